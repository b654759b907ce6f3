/* From what a sidecar says of its scale, and what is known of the camera, to a resolved scale. */
#include "model-private.h"

#include <math.h>
#include <string.h>

/* ---- Plane-offset: the first that stands counts: mark, scale, card, volume.yaml ---- */

static double
offset_mm(const PwModel *model, const PwPlaneOffset *offset, const char **why)
{
  if (!offset->thickness) {
    if (isnan(offset->mm))
      *why = "the plane-offset is not understood; write mm as a number, without a unit";
    return offset->mm;
  }
  double thickness = model->volume ? model->volume->size_mm[2] : (double)NAN;
  if (isnan(thickness))
    *why = "the plane-offset is `thickness`, but volume.yaml gives no third number of size";
  return thickness;
}

/* In mm; NAN with the reason in `why`. `card` NULL: the scale is no card's; `mark` NULL: that of
 * the photograph or the card. */
static double
plane_offset(const PwModel *model, const PwModelPhoto *photo, const PwModelCard *card,
             const PwModelMark *mark, const char **why)
{
  const PwPlaneOffset *stated[] = {mark ? &mark->text->plane_offset : NULL,
                                   &photo->sidecar->scale.plane_offset,
                                   card && card->text ? &card->text->plane_offset : NULL,
                                   model->volume ? &model->volume->plane_offset : NULL};
  for (gsize i = 0; i < G_N_ELEMENTS(stated); i++)
    if (stated[i] != NULL && stated[i]->node != NULL)
      return offset_mm(model, stated[i], why);
  *why = "no plane-offset: say how far above the card the surface stood (0 when level with it)";
  return (double)NAN;
}

/* ---- Uncertainty ------------------------------------------------------------------- */

static void
override_uncertainty(PwUncertainty *uncertainty, const PwYaml *yaml, const PwNamed *named, gsize n,
                     PwComplaints *complaints)
{
  const char *names[PW_N_INPUTS + 1] = {NULL};
  for (int input = 0; input < PW_N_INPUTS; input++)
    names[input] = pw_input_name((PwInput)input);
  for (gsize i = 0; i < n; i++) {
    int input = 0;
    while (input < PW_N_INPUTS && strcmp(names[input], named[i].name) != 0)
      input++;
    if (input < PW_N_INPUTS) {
      uncertainty->by[input] = named[i].value;
    } else if (complaints != NULL) {
      const char *near = pw_nearest_word(named[i].name, names);
      pw_yaml_complain(yaml, named[i].node, complaints, "unknown key", PW_SEVERITY_ERROR,
                       "no input of a size is called %s%s%s", named[i].name,
                       near ? "; did you mean " : "; docs/measuring.md lists them",
                       near ? near : "");
    }
  }
}

void
pw_model_uncertainty_of(const PwModel *model, const PwModelPhoto *photo, PwUncertainty *uncertainty,
                        PwComplaints *complaints)
{
  pw_uncertainty_init_defaults(uncertainty);
  if (model->volume)
    override_uncertainty(uncertainty, model->volume->yaml, model->volume->uncertainty,
                         model->volume->n_uncertainty, NULL);
  override_uncertainty(uncertainty, photo->sidecar->yaml, photo->sidecar->uncertainty,
                       photo->sidecar->n_uncertainty, complaints);
}

double
pw_model_outline_px(const PwModel *model, const PwModelPhoto *photo)
{
  PwUncertainty uncertainty;
  pw_model_uncertainty_of(model, photo, &uncertainty, NULL);
  return uncertainty.by[PW_INPUT_OUTLINE];
}

/* ---- The lens ---------------------------------------------------------------------- */

static guint
lens_owner(GHashTable *owners, const PwPhotoFacts *facts)
{
  /* the focal length belongs to the lens as it was set: a zoom is another lens at every length */
  g_autofree char *key = g_strdup_printf("%s|%s|%s|%.2f", facts->make ? facts->make : "",
                                         facts->model ? facts->model : "",
                                         facts->lens ? facts->lens : "", facts->focal_mm);
  gpointer known = g_hash_table_lookup(owners, key);
  if (known != NULL)
    return GPOINTER_TO_UINT(known);
  guint owner = g_hash_table_size(owners) + 1;
  g_hash_table_insert(owners, g_steal_pointer(&key), GUINT_TO_POINTER(owner));
  return owner;
}

/* EXIF tells focal lengths to a tenth. */
static const double SAME_FOCAL_MM = 0.05;

gboolean
pw_is_same_focal(double a_mm, double b_mm)
{
  return fabs(a_mm - b_mm) < SAME_FOCAL_MM;
}

static gboolean
is_word_of(const char *stated, const char *found)
{
  return stated == NULL || g_strcmp0(stated, found) == 0;
}

/* What an entry leaves out is any (docs/formats.md). */
gboolean
pw_lens_text_fits(const PwLensText *lens, const PwPhotoFacts *facts)
{
  return is_word_of(lens->make, facts->make) && is_word_of(lens->model, facts->model) &&
         is_word_of(lens->lens, facts->lens) &&
         (isnan(lens->focal) || pw_is_same_focal(lens->focal, facts->focal_mm)) &&
         lens->width == facts->stored_width && lens->height == facts->stored_height;
}

/* Coefficients are of the stored frame. Only the centre moves with the picture: the distortion is
 * radial. */
static PwLens
upright_lens(const PwLensText *text, const PwPhotoFacts *facts)
{
  PwPx centre = pw_photo_facts_upright(facts, (PwPx){text->cx, text->cy});
  return (PwLens){text->f_px, centre.x, centre.y, text->k1, text->k2};
}

static void
apply_lens(const PwModel *model, const PwModelPhoto *photo, PwScaleInput *input)
{
  input->lens_residual_px = (double)NAN;
  if (!photo->readable)
    return;
  input->focal_px = pw_photo_facts_focal_px(&photo->facts);
  input->focal_mm = photo->facts.focal_mm;
  input->lens_owner = photo->lens_owner;
  for (gsize i = 0; model->volume && i < model->volume->n_lenses; i++) {
    const PwLensText *lens = &model->volume->lenses[i];
    if (!pw_lens_text_fits(lens, &photo->facts))
      continue;
    input->lens = upright_lens(lens, &photo->facts);
    input->lens_residual_px = lens->residual_px;
    return;
  }
}

/* ---- The scale --------------------------------------------------------------------- */

static PwScaleMethod
method_of(PwGiven given)
{
  switch (given) {
  case PW_GIVEN_RECTANGLE:
    return PW_SCALE_RECTANGLE;
  case PW_GIVEN_SPAN:
    return PW_SCALE_SPAN;
  case PW_GIVEN_TICKS:
    return PW_SCALE_TICKS;
  case PW_GIVEN_TAGS:
    return PW_SCALE_TAGS;
  default:
    return PW_SCALE_NONE;
  }
}

static void
fill_ticks(const PwModelPhoto *photo, PwScaleInput *input)
{
  const PwTicks *ticks = &photo->look->ticks;
  double pitch = photo->sidecar->scale.pitch;
  input->length_mm = ticks->count * pitch;
  input->length_u_mm = ticks->u_count * pitch;
  input->length_dof = ticks->dof;
}

static void
fill_card(const PwModel *model, const PwModelCard *card, PwScaleInput *input)
{
  PwCardSize size;
  int copy;
  pw_card_parse(card->design, &size, &copy);
  input->tag_px = card->px;
  input->tag_mm = card->mm;
  input->n_tag_points = card->n;
  input->card_width_mm = pw_card_design(size)->width_mm;
  input->card_height_mm = pw_card_design(size)->height_mm;
  input->print_along = card->text->check_along / PW_CARD_CHECK_MM;
  input->print_across = card->text->check_across / PW_CARD_CHECK_MM;
  input->print_tolerance = card->text->tolerance / PW_CARD_CHECK_MM;
  input->card_owner = (guint)(card->text - model->volume->cards) + 1;
}

static void
fill_input(const PwModel *model, const PwModelPhoto *photo, const PwModelCard *card,
           PwScaleInput *input)
{
  const PwScaleText *text = &photo->sidecar->scale;
  *input = (PwScaleInput){.method = method_of(text->given),
                          .from = text->from,
                          .to = text->to,
                          .width_mm = text->width,
                          .height_mm = text->height,
                          .length_mm = text->length,
                          .tolerance_mm = text->tolerance,
                          .camera_distance_mm = text->camera_distance,
                          .focal_px = (double)NAN,
                          .photo_owner = photo->owner};
  memcpy(input->corners, text->corners, sizeof input->corners);
  input->picture_width = photo->sidecar->width ? photo->sidecar->width : photo->facts.width;
  input->picture_height = photo->sidecar->height ? photo->sidecar->height : photo->facts.height;
  if (text->given == PW_GIVEN_TICKS)
    fill_ticks(photo, input);
  if (card != NULL)
    fill_card(model, card, input);
  apply_lens(model, photo, input);
}

static PwWhy
why_no_scale(const PwModelPhoto *photo)
{
  if (photo->sidecar == NULL)
    return (PwWhy){PW_WHY_NOT_GIVEN, g_strdup("no sidecar")};
  if (photo->sidecar->curved)
    return (PwWhy){PW_WHY_NOT_CURVED, g_strdup("a curved surface: no sizes, only counts")};
  if (photo->sidecar->scale.given == PW_GIVEN_NONE)
    return (PwWhy){PW_WHY_NOT_GIVEN, g_strdup("no scale in the picture")};
  return (PwWhy){PW_WHY_NOT_NONE, NULL};
}

/* Why there is none at an offset: what no `reason` of the offset's own explains, the scale did. */
static PwWhy
why_not_at(double offset, const char *reason, const GError *cause)
{
  if (reason != NULL)
    return (PwWhy){PW_WHY_NOT_LEVEL, g_strdup(reason)};
  gboolean lacks = g_error_matches(cause, PW_ERROR, PW_ERROR_RECORD) && fabs(offset) > 0;
  return (PwWhy){lacks ? PW_WHY_NOT_DISTANCE : PW_WHY_NOT_ANSWER, g_strdup(cause->message)};
}

/* The scale of a photograph, by one of its cards or its other scale (`card` NULL), at a given
 * offset, which may be one that only a mark states. How far each card stands from the surface is
 * its own doubt. */
static PwScale *
scale_at(const PwModel *model, const PwModelPhoto *photo, const PwModelCard *card, double offset,
         GError **error)
{
  PwUncertainty uncertainty;
  PwScaleInput input;
  pw_model_uncertainty_of(model, photo, &uncertainty, NULL);
  fill_input(model, photo, card, &input);
  input.plane_offset_mm = offset;
  g_autoptr(PwScale) scale = pw_scale_new(&input, &uncertainty, error);
  if (scale == NULL || card == NULL || card == photo->cards)
    return g_steal_pointer(&scale);
  guint owner = model->photos->len * (guint)(card - photo->cards) + photo->owner;
  return pw_scale_new_at_offset(scale, offset, PW_SCOPE_PHOTO, owner, error);
}

/* The scale at the offset that the photograph or the card states; NULL with a reason in `why`. */
static PwScale *
stated_scale(const PwModel *model, const PwModelPhoto *photo, const PwModelCard *card, PwWhy *why,
             PwComplaints *complaints)
{
  const char *reason = NULL;
  g_autoptr(GError) cause = NULL;
  double offset = plane_offset(model, photo, card, NULL, &reason);
  PwScale *scale = reason ? NULL : scale_at(model, photo, card, offset, &cause);
  if (scale != NULL)
    return scale;
  *why = why_not_at(offset, reason, cause);
  if (g_error_matches(cause, PW_ERROR, PW_ERROR_NUMERIC))
    pw_yaml_complain(photo->sidecar->yaml, photo->sidecar->scale.node, complaints, "scale",
                     PW_SEVERITY_ERROR, "%s", cause->message);
  return NULL;
}

/* The reasons of all cards; to documents, of the first that lies in the picture. */
static void
gather_reasons(PwModelPhoto *photo)
{
  g_autoptr(GPtrArray) reasons = g_ptr_array_new();
  photo->why_not = PW_WHY_NOT_CARD;
  for (gsize i = 0; i < photo->n_cards; i++) {
    const PwModelCard *card = &photo->cards[i];
    if (!g_ptr_array_find_with_equal_func(reasons, card->why, g_str_equal, NULL))
      g_ptr_array_add(reasons, card->why);
    if (photo->why_not == PW_WHY_NOT_CARD)
      photo->why_not = card->why_not;
  }
  g_ptr_array_add(reasons, NULL);
  photo->why = g_strjoinv("; ", (char **)reasons->pdata);
}

static void
resolve_cards(const PwModel *model, PwModelPhoto *photo, PwComplaints *complaints)
{
  for (gsize i = 0; i < photo->n_cards; i++) {
    PwModelCard *card = &photo->cards[i];
    PwWhy why = {card->why_not, card->why};
    if (card->design != NULL)
      card->scale = stated_scale(model, photo, card, &why, complaints);
    card->why = why.says;
    card->why_not = why.kind;
    if (photo->scale == NULL)
      photo->scale = card->scale;
  }
  if (photo->scale == NULL)
    gather_reasons(photo);
}

void
pw_model_resolve_scale(const PwModel *model, PwModelPhoto *photo, PwComplaints *complaints)
{
  PwUncertainty unused;
  PwWhy why = why_no_scale(photo);
  photo->why = why.says;
  photo->why_not = why.kind;
  if (photo->sidecar == NULL)
    return;
  pw_model_uncertainty_of(model, photo, &unused, complaints);
  PwGiven given = photo->sidecar->scale.given;
  if (given == PW_GIVEN_TAGS)
    pw_model_match_cards(model, photo, complaints);
  for (gsize i = 0; i < photo->n_marks; i++)
    pw_model_choose_card(&photo->marks[i], complaints);
  if (given == PW_GIVEN_TICKS && photo->why == NULL)
    pw_model_take_look(photo, complaints);
  if (photo->why != NULL)
    return;
  if (given == PW_GIVEN_TAGS) {
    resolve_cards(model, photo, complaints);
    pw_model_weigh_cards(model, photo);
    pw_model_judge_cards(photo, complaints);
    return;
  }
  photo->scale = stated_scale(model, photo, NULL, &why, complaints);
  photo->why = why.says;
  photo->why_not = why.kind;
  if (given == PW_GIVEN_TICKS && photo->scale != NULL)
    pw_model_judge_ticks(model, photo, complaints);
}

/* A mark on a level of its own, above or below that of the photograph. */
static PwScale *
own_scale(const PwModel *model, const PwModelMark *mark, PwWhy *why)
{
  const char *reason = NULL;
  g_autoptr(GError) cause = NULL;
  double offset = plane_offset(model, mark->photo, mark->card, mark, &reason);
  g_autoptr(PwScale) base =
      reason ? NULL : scale_at(model, mark->photo, mark->card, offset, &cause);
  PwScale *own =
      base ? pw_scale_new_at_offset(base, offset, PW_SCOPE_MARK, mark->owner, &cause) : NULL;
  if (own == NULL)
    *why = why_not_at(offset, reason, cause);
  return own;
}

static PwWhy
reason_dup(PwWhyNot kind, const char *says)
{
  return (PwWhy){kind, g_strdup(says)};
}

/* Why nothing on the photograph, or nothing by the mark's card, can have a size, whatever its
 * level. */
static PwWhy
dup_why_none(const PwModelMark *mark)
{
  const PwModelPhoto *photo = mark->photo;
  const PwModelCard *card = mark->card;
  PwGiven given = photo->sidecar->scale.given;
  PwWhy none = why_no_scale(photo);
  if (none.kind != PW_WHY_NOT_NONE)
    return none;
  if (given == PW_GIVEN_TICKS && photo->look->ticks.count <= 0)
    return reason_dup(photo->why_not, photo->why);
  if (given != PW_GIVEN_TAGS || (card != NULL && card->design != NULL))
    return none;
  if (card == NULL)
    return reason_dup(PW_WHY_NOT_CARD,
                      "its card is not among those that the photograph's scale names");
  return reason_dup(PW_WHY_NOT_CARD, card->why ? card->why : photo->why);
}

const PwScale *
pw_model_scale_of(const PwModel *model, PwModelMark *mark, PwWhy *why)
{
  if (mark->own_scale != NULL)
    return mark->own_scale;
  *why = dup_why_none(mark);
  if (why->kind != PW_WHY_NOT_NONE)
    return NULL;
  if (mark->text->plane_offset.node != NULL)
    return mark->own_scale = own_scale(model, mark, why);
  const PwModelCard *card = mark->card;
  const PwScale *scale = card ? card->scale : mark->photo->scale;
  if (scale == NULL)
    *why = card ? reason_dup(card->why_not, card->why)
                : reason_dup(mark->photo->why_not, mark->photo->why);
  return scale;
}

/* Cameras and lenses numbered in the order of the photographs. */
static void
number_lenses(PwModel *model)
{
  g_autoptr(GHashTable) owners = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    if (photo->readable)
      photo->lens_owner = lens_owner(owners, &photo->facts);
  }
}

void
pw_model_clear_scale(PwModelPhoto *photo)
{
  if (photo->n_cards == 0)
    g_clear_pointer(&photo->scale, pw_scale_free);
  for (gsize i = 0; i < photo->n_cards; i++) {
    g_clear_pointer(&photo->cards[i].scale, pw_scale_free);
    g_free(photo->cards[i].design);
    g_free(photo->cards[i].why);
  }
  g_free(photo->cards);
}

void
pw_model_resolve_scales(PwModel *model, PwComplaints *complaints)
{
  if (model->volume) {
    PwUncertainty unused;
    override_uncertainty(&unused, model->volume->yaml, model->volume->uncertainty,
                         model->volume->n_uncertainty, complaints);
  }
  pw_model_check_designs(model, complaints);
  number_lenses(model);
  for (guint i = 0; i < model->photos->len; i++)
    pw_model_resolve_scale(model, model->photos->pdata[i], complaints);
}
