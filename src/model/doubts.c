/* What a scale that was found in the picture tells of itself: how sure it is, how much higher one
 * card lies than another, and what speaks against it. Nothing here changes a size. */
#include "model-private.h"

#include <math.h>

/* Of a tilt that is budgeted (normal): one in 20 is larger. */
static const double TILT_COVERED = 2;

/* ---- How sure, how high ------------------------------------------------------------ */

#define INPUT_BIT(input) (1U << (input))

/* The size without what some inputs make unsure. */
static void
leave_out(PwSize *size, guint inputs)
{
  gsize kept = 0;
  for (gsize i = 0; i < size->n; i++)
    if (!(inputs & INPUT_BIT(size->contributions[i].input)))
      size->contributions[kept++] = size->contributions[i];
  size->n = kept;
}

/* The length across a card, from the middle of its left edge to that of its right one, on the
 * surface that `scale` measures. */
static gboolean
length_across(const PwScale *scale, const PwModelCard *card, guint without, PwSize *length)
{
  const PwPx *at = card->outline;
  PwPx ends[2] = {{(at[0].x + at[3].x) / 2, (at[0].y + at[3].y) / 2},
                  {(at[1].x + at[2].x) / 2, (at[1].y + at[2].y) / 2}};
  PwShape line = {.kind = PW_KIND_LINE, .path = {ends, G_N_ELEMENTS(ends)}};
  PwShapeSizes sizes = {0};
  if (!pw_measure_shape(scale, &line, &sizes, NULL))
    return FALSE;
  pw_size_copy(&sizes.length_mm, length);
  pw_shape_sizes_clear(&sizes);
  leave_out(length, without | INPUT_BIT(PW_INPUT_OUTLINE) | INPUT_BIT(PW_INPUT_OUTLINING));
  return length->value > 0;
}

static double
doubt_percent(const PwModelCard *card)
{
  PwSize length = {0};
  double doubt = (double)NAN;
  if (length_across(card->scale, card, 0, &length)) {
    PwQuantity quantity = pw_size_quantity(&length);
    doubt = 100 * quantity.u * pw_coverage_factor(quantity.dof) / quantity.value;
  }
  pw_size_clear(&length);
  return doubt;
}

/* The same line of the picture measured on the planes of both cards, their own heights aside: seen
 * through one centre, the nearer plane shows it shorter by (D - h) / D. */
static gboolean
shortening(const PwModelCard *first, const PwModelCard *card, PwSize *ratio)
{
  PwSize far = {0}, near = {0};
  guint without = INPUT_BIT(PW_INPUT_PLANE_OFFSET) | INPUT_BIT(PW_INPUT_DISTANCE);
  g_autoptr(PwScale) on_first = pw_scale_new_at_offset(first->scale, 0, PW_SCOPE_PHOTO, 0, NULL);
  g_autoptr(PwScale) on_card = pw_scale_new_at_offset(card->scale, 0, PW_SCOPE_PHOTO, 0, NULL);
  gboolean told = on_first && on_card && length_across(on_first, card, without, &far) &&
                  length_across(on_card, card, without, &near) &&
                  pw_size_ratio(1, &near, &far, ratio);
  pw_size_clear(&far);
  pw_size_clear(&near);
  return told;
}

static PwQuantity
nearer_by(const PwModelCard *first, const PwModelCard *card, double distance_percent)
{
  PwQuantity nearer = {(double)NAN, (double)NAN, (double)NAN};
  PwScaleFacts facts;
  PwSize ratio = {0};
  pw_scale_facts(first->scale, &facts);
  if (isnan(facts.camera_distance_mm) || !shortening(first, card, &ratio))
    return nearer;
  PwQuantity part = pw_size_quantity(&ratio);
  double D = facts.camera_distance_mm, h = D * (1 - part.value);
  nearer = (PwQuantity){h, hypot(D * part.u, h * distance_percent / 100 / sqrt(3)), part.dof};
  pw_size_clear(&ratio);
  return nearer;
}

void
pw_model_weigh_cards(const PwModel *model, PwModelPhoto *photo)
{
  const PwModelCard *first = NULL;
  PwUncertainty uncertainty;
  pw_model_uncertainty_of(model, photo, &uncertainty, NULL);
  for (gsize i = 0; i < photo->n_cards; i++) {
    PwModelCard *card = &photo->cards[i];
    if (card->scale == NULL)
      continue;
    card->doubt_percent = doubt_percent(card);
    if (first != NULL)
      card->nearer_mm = nearer_by(first, card, uncertainty.by[PW_INPUT_DISTANCE]);
    first = first ? first : card;
  }
}

/* ---- What speaks against it -------------------------------------------------------- */

static void
complain(const PwModelPhoto *photo, const char *key, const char *kind, const char *says,
         PwComplaints *complaints)
{
  const PwYamlNode *scale = photo->sidecar->scale.node, *node = pw_yaml_node_get(scale, key);
  pw_yaml_complain(photo->sidecar->yaml, node ? node : scale, complaints, kind, PW_SEVERITY_WARNING,
                   "%s", says);
}

static void
judge_flatness(const PwModelPhoto *photo, const PwModelCard *card, const PwScaleFacts *facts,
               PwComplaints *complaints)
{
  if (!pw_scale_is_bent(facts))
    return;
  g_autofree char *px = pw_format_fixed(facts->fit_rms_px, 2);
  g_autofree char *mm = pw_format_fixed(facts->fit_rms_mm, 2);
  g_autofree char *says = g_strdup_printf(
      "the tags of card %s miss a plane by %s px (%s mm): it is bent, unsharp or moved, or the "
      "lens distorts; lay it flat, for what a bent card does to sizes is not all in their "
      "uncertainty",
      card->name, px, mm);
  complain(photo, "tags", "card not flat", says, complaints);
}

static void
judge_pose(const PwModelPhoto *photo, const PwModelCard *card, const PwScaleFacts *facts,
           PwComplaints *complaints)
{
  if (!pw_scale_disagrees(facts))
    return;
  g_autofree char *shown = pw_format_quantity(facts->misfit_percent, 2 * facts->misfit_u_percent);
  g_autofree char *says = g_strdup_printf(
      "card %s is not seen as its camera would show it: a millimetre of it is longer in one "
      "direction than in another by %s %%; the print is stretched (measure its check lines), the "
      "picture was cropped, the focal length in EXIF is another, or the card does not lie flat",
      card->name, shown);
  complain(photo, "tags", "card against camera", says, complaints);
}

void
pw_model_judge_cards(const PwModelPhoto *photo, PwComplaints *complaints)
{
  for (gsize i = 0; i < photo->n_cards; i++) {
    const PwModelCard *card = &photo->cards[i];
    PwScaleFacts facts;
    if (card->scale == NULL)
      continue;
    pw_scale_facts(card->scale, &facts);
    judge_flatness(photo, card, &facts, complaints);
    judge_pose(photo, card, &facts, complaints);
  }
}

/* Along a line that leans by t, seen from D, graduations shrink as 1/Z^2: over a length L by the
 * part 2 L sin(t) / D. */
void
pw_model_judge_ticks(const PwModel *model, const PwModelPhoto *photo, PwComplaints *complaints)
{
  const PwTicks *ticks = &photo->look->ticks;
  PwUncertainty uncertainty;
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  pw_model_uncertainty_of(model, photo, &uncertainty, NULL);
  double length = ticks->count * photo->sidecar->scale.pitch;
  double sine = fabs(ticks->drift) * facts.camera_distance_mm / (2 * length);
  double lean = asin(fmin(sine, 1)) * 180 / G_PI,
         covered = TILT_COVERED * uncertainty.by[PW_INPUT_TILT];
  if (isnan(sine) || !(lean > covered))
    return;
  g_autofree char *percent = pw_format_fixed(100 * fabs(ticks->drift), 1);
  g_autofree char *degrees = pw_format_fixed(lean, 0);
  g_autofree char *allowed = pw_format_fixed(covered, 1);
  g_autofree char *says = g_strdup_printf(
      "the graduations are %s %% wider at one end than at the other: the camera leaned by about "
      "%s\u00b0 along the ruler, and the sizes allow for %s\u00b0; use a card, or set "
      "`uncertainty: "
      "{tilt: ...}`",
      percent, degrees, allowed);
  complain(photo, "ticks", "ruler leans", says, complaints);
}
