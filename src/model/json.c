/* Scales and marks as JSON objects of the format platewright-measure 1, for whoever prints them.
 * Programs read it: keys are added, never changed. */
#include "model-private.h"

#include <math.h>

static void
put_quantity(PwJson *json, const char *key, const PwQuantity *quantity)
{
  double k = pw_coverage_factor(quantity->dof);
  pw_json_key(json, key);
  pw_json_begin_object(json);
  pw_json_pair_double(json, "value", quantity->value);
  pw_json_pair_double(json, "u", quantity->u);
  pw_json_pair_double(json, "U", k * quantity->u);
  pw_json_pair_double(json, "k", k);
  pw_json_end(json);
}

void
pw_model_put_size_json(PwJson *json, const char *key, const PwSize *size)
{
  PwQuantity quantity = pw_size_quantity(size);
  put_quantity(json, key, &quantity);
}

/* ---- Scale ------------------------------------------------------------------------- */

static const char *
method_name(PwScaleMethod method)
{
  static const char *const names[] = {"none", "rectangle", "span", "ticks", "tags"};
  return names[method];
}

static void
put_lens(PwJson *json, const PwLens *lens)
{
  pw_json_key(json, "lens");
  pw_json_begin_object(json);
  pw_json_pair_double(json, "k1", lens->k1);
  pw_json_pair_double(json, "k2", lens->k2);
  pw_json_pair_string(json, "from", lens->f_px > 0 ? "volume.yaml" : "none");
  pw_json_end(json);
}

/* One scale as an object, or null and why. */
static void
put_scale(PwJson *json, const PwScale *scale, const char *card, const char *why)
{
  pw_json_key(json, "scale");
  if (scale == NULL) {
    pw_json_null(json);
    pw_json_pair_string(json, "why", why);
    return;
  }
  PwScaleFacts facts;
  pw_scale_facts(scale, &facts);
  pw_json_begin_object(json);
  pw_json_pair_string(json, "method", method_name(facts.method));
  pw_json_pair_string(json, "card", card);
  pw_json_pair_double(json, "mm_per_px", facts.mm_per_px);
  pw_json_pair_double(json, "fit_rms_px", facts.fit_rms_px);
  pw_json_pair_double(json, "plane_offset_mm", facts.plane_offset_mm);
  pw_json_pair_double(json, "tilt_deg", facts.tilt_deg);
  pw_json_pair_double(json, "camera_distance_mm", facts.camera_distance_mm);
  put_lens(json, &facts.lens);
  pw_json_key(json, "homography");
  pw_json_begin_array(json);
  for (gsize i = 0; i < G_N_ELEMENTS(facts.homography.m); i++)
    pw_json_double(json, facts.homography.m[i]);
  pw_json_end(json);
  pw_json_end(json);
}

static const char *
card_of_scale(const PwModelPhoto *photo)
{
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].scale == photo->scale)
      return photo->cards[i].name;
  return NULL;
}

static void
put_card(PwJson *json, const PwModelCard *card)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "name", card->name);
  pw_json_pair_string(json, "design", card->design);
  pw_json_pair_int(json, "tags", card->n_tags);
  put_scale(json, card->scale, card->name, card->why);
  if (!isnan(card->nearer_mm.value))
    put_quantity(json, "nearer_mm", &card->nearer_mm);
  pw_json_end(json);
}

void
pw_model_put_scale_json(PwJson *json, const PwModelPhoto *photo)
{
  put_scale(json, photo->scale, card_of_scale(photo), photo->why);
  if (photo->graduations > 0)
    pw_json_pair_double(json, "graduations", photo->graduations);
  if (photo->n_cards > 1) {
    pw_json_key(json, "cards");
    pw_json_begin_array(json);
    for (gsize i = 0; i < photo->n_cards; i++)
      put_card(json, &photo->cards[i]);
    pw_json_end(json);
  }
}

/* ---- Marks ------------------------------------------------------------------------- */

typedef struct {
  const char *name;
  const PwSize *size;
} Named;

/* The sizes that a mark's kind has, by their names. */
static gsize
sizes_of(const PwModelMark *mark, Named sizes[4])
{
  gsize n = 0;
  if (!mark->sized)
    return 0;
  if (mark->kind == PW_KIND_AREA) {
    sizes[n++] = (Named){"area_mm2", &mark->sizes.area_mm2};
    sizes[n++] = (Named){"perimeter_mm", &mark->sizes.perimeter_mm};
    sizes[n++] = (Named){"longest_mm", &mark->sizes.longest_mm};
    if (mark->has_share)
      sizes[n++] = (Named){"share_percent", &mark->share_percent};
  } else {
    sizes[n++] = (Named){"length_mm", &mark->sizes.length_mm};
  }
  return n;
}

static void
put_budget(PwJson *json, const Named *sizes, gsize n)
{
  pw_json_key(json, "budget");
  pw_json_begin_array(json);
  for (int input = 0; input < PW_N_INPUTS; input++)
    for (int scope = PW_SCOPE_MARK; scope <= PW_SCOPE_VOLUME; scope++) {
      double share[4], sum = 0;
      for (gsize i = 0; i < n; i++)
        sum += share[i] = pw_size_share_of(sizes[i].size, (PwInput)input, (PwScope)scope);
      if (!(sum > 0))
        continue;
      pw_json_begin_object(json);
      pw_json_pair_string(json, "source", pw_input_name((PwInput)input));
      pw_json_pair_string(json, "scope", pw_scope_name((PwScope)scope));
      for (gsize i = 0; i < n; i++)
        pw_json_pair_double(json, sizes[i].name, share[i]);
      pw_json_end(json);
    }
  pw_json_end(json);
}

static void
put_pixels(PwJson *json, const PwModelMark *mark)
{
  if (mark->kind == PW_KIND_AREA)
    pw_json_pair_double(json, "area_px", mark->area_px);
  if (mark->kind != PW_KIND_POINT)
    pw_json_pair_double(json, "length_px", mark->length_px);
}

void
pw_model_put_mark_json(PwJson *json, const PwModelMark *mark)
{
  Named sizes[4];
  gsize n = sizes_of(mark, sizes);
  pw_json_begin_object(json);
  pw_json_pair_string(json, "id", mark->text->id);
  pw_json_pair_string(json, "term", mark->text->term);
  pw_json_pair_string(json, "part", mark->text->part);
  pw_json_pair_string(json, "kind", pw_kind_name(mark->kind));
  pw_json_pair_string(json, "basis", pw_basis_name(mark->text->basis));
  if (mark->photo->n_cards > 1)
    pw_json_pair_string(json, "card", mark->card ? mark->card->name : NULL);
  if (mark->kind == PW_KIND_POINT)
    pw_json_pair_int(json, "count", mark->text->gone ? 0 : mark->text->count);
  if (mark->text->gone) {
    pw_json_key(json, "gone");
    pw_json_bool(json, TRUE);
  }
  for (gsize i = 0; i < n; i++)
    pw_model_put_size_json(json, sizes[i].name, sizes[i].size);
  if (!mark->sized)
    put_pixels(json, mark);
  if (mark->why != NULL)
    pw_json_pair_string(json, "why", mark->why);
  if (n > 0 && !mark->text->gone)
    put_budget(json, sizes, n);
  pw_json_end(json);
}
