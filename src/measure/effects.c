/* What every input of a scale does to its map: the map with that input moved by its standard
 * uncertainty up and down (docs/measuring.md, "All inputs").
 */
#include "effects.h"

#include "size.h"

#include <math.h>

/* Of a distance that is not known, about PW_UNKNOWN_DISTANCE_MM (docs/measuring.md). */
static const double UNKNOWN_DISTANCE_HALF_WIDTH = 0.5;
/* A corner of a tag is not found better than this, however well a few agree; px. */
static const double LEAST_TAG_PX = 0.05;
/* How true a ruler's pitch is, as a part of it. */
static const double PITCH_HALF_WIDTH = 0.001;

/* A rectangular distribution's standard uncertainty (JCGM 100 4.3.7). */
static double
rectangular(double half_width)
{
  return half_width / sqrt(3);
}

/* `moved` is the figure inside `figures` that the input stands for, u its standard uncertainty. */
static gboolean
add_effect(PwScale *scale, PwFigures *figures, PwContribution key, double *moved, double u,
           GError **error)
{
  if (!(u > 0))
    return TRUE;
  PwEffect *effect = &scale->effects[scale->n_effects];
  double estimate = *moved;
  effect->key = key;
  *moved = estimate + u;
  gboolean done = pw_fit(scale, figures, &effect->up, error);
  *moved = estimate - u;
  done = done && pw_fit(scale, figures, &effect->down, error);
  *moved = estimate;
  scale->n_effects += done ? 1 : 0;
  return done;
}

static PwContribution
of_photo(const PwScale *scale, PwInput input, guint index)
{
  return (PwContribution){.input = input,
                          .scope = PW_SCOPE_PHOTO,
                          .owner = scale->input.photo_owner,
                          .index = index,
                          .dof = HUGE_VAL};
}

static gboolean
add_corners(PwScale *scale, PwFigures *figures, GError **error)
{
  double u = scale->uncertainty.by[PW_INPUT_CORNER];
  guint n = pw_scale_is_line(scale) ? 2 : 4;
  for (guint i = 0; i < n; i++) {
    PwContribution x = of_photo(scale, PW_INPUT_CORNER, 2 * i);
    PwContribution y = of_photo(scale, PW_INPUT_CORNER, 2 * i + 1);
    if (!add_effect(scale, figures, x, &figures->points[i].x, u, error) ||
        !add_effect(scale, figures, y, &figures->points[i].y, u, error))
      return FALSE;
  }
  return TRUE;
}

static gboolean
add_sides(PwScale *scale, PwFigures *figures, GError **error)
{
  gboolean span = scale->input.method == PW_SCALE_SPAN;
  PwInput input = span ? PW_INPUT_SPAN : PW_INPUT_RECTANGLE;
  double tolerance = scale->input.tolerance_mm;
  if (!(tolerance >= 0))
    tolerance = scale->uncertainty.by[input];
  guint n = span ? 1 : 2;
  for (guint i = 0; i < n; i++)
    if (!add_effect(scale, figures, of_photo(scale, input, i), &figures->sides[i],
                    rectangular(tolerance), error))
      return FALSE;
  return TRUE;
}

/* What makes more of an effect because the distance itself is hardly known. A displacement out of
 * the plane acts as 1/D; with D even over D0 (1 +- a), the mean of 1/D^2 is 1/(D0^2 (1 - a^2)), so
 * the variance grows by 1/(1 - a^2) - 1. */
static void
add_product(PwScale *scale, guint index)
{
  double a = UNKNOWN_DISTANCE_HALF_WIDTH;
  PwContribution key = of_photo(scale, PW_INPUT_DISTANCE, index);
  scale->products[scale->n_products++] =
      (PwProduct){key, scale->n_effects - 1, sqrt(1 / (1 - a * a) - 1)};
}

static gboolean
add_offset_and_distance(PwScale *scale, PwFigures *figures, gboolean distance_known, GError **error)
{
  PwContribution offset = {.input = PW_INPUT_PLANE_OFFSET,
                           .scope = scale->offset_scope,
                           .owner = scale->offset_owner,
                           .dof = HUGE_VAL};
  double u = rectangular(scale->uncertainty.by[PW_INPUT_PLANE_OFFSET]);
  guint before = scale->n_effects;
  if (!add_effect(scale, figures, offset, &figures->offset_mm, u, error))
    return FALSE;
  if (!distance_known && scale->n_effects > before)
    add_product(scale, 1);
  /* On the card's own plane the distance changes nothing. */
  if (!distance_known || !(fabs(figures->offset_mm) > 0))
    return TRUE;
  return add_effect(scale, figures, of_photo(scale, PW_INPUT_DISTANCE, 0), &figures->distance,
                    rectangular(scale->uncertainty.by[PW_INPUT_DISTANCE] / 100), error);
}

static gboolean
add_tilts(PwScale *scale, PwFigures *figures, gboolean distance_known, GError **error)
{
  double u = scale->uncertainty.by[PW_INPUT_TILT] * G_PI / 180;
  for (guint i = 0; i < 2 && pw_scale_is_line(scale); i++) {
    guint before = scale->n_effects;
    if (!add_effect(scale, figures, of_photo(scale, PW_INPUT_TILT, i), &figures->lean[i], u, error))
      return FALSE;
    if (!distance_known && scale->n_effects > before)
      add_product(scale, 2 + i);
  }
  return TRUE;
}

static gboolean
add_lens(PwScale *scale, PwFigures *figures, GError **error)
{
  const PwScaleInput *in = &scale->input;
  PwContribution key = {
      .input = PW_INPUT_LENS, .scope = PW_SCOPE_LENS, .owner = in->lens_owner, .dof = HUGE_VAL};
  double half_width = scale->uncertainty.by[PW_INPUT_LENS] / 100;
  if (in->lens.f_px > 0 && in->lens_residual_px >= 0)
    half_width = in->lens_residual_px / scale->half_diagonal;
  return add_effect(scale, figures, key, &figures->lens, rectangular(half_width), error);
}

/* The length between the line's ends, as it was read and as the ruler's maker made it. */
static gboolean
add_ticks(PwScale *scale, PwFigures *figures, GError **error)
{
  const PwScaleInput *in = &scale->input;
  PwContribution reading = of_photo(scale, PW_INPUT_TICKS, 0);
  double u = scale->uncertainty.by[PW_INPUT_TICKS], tolerance = in->tolerance_mm;
  if (isnan(u)) {
    u = in->length_u_mm;
    reading.dof = in->length_dof;
  }
  if (!(tolerance >= 0))
    tolerance = PITCH_HALF_WIDTH * in->length_mm;
  return add_effect(scale, figures, reading, &figures->sides[0], u, error) &&
         add_effect(scale, figures, of_photo(scale, PW_INPUT_TICKS, 1), &figures->sides[0],
                    rectangular(tolerance), error);
}

/* The coefficients of the fit hang together, through errors of all corners that have one standard
 * deviation: eight errors that do not are put in their place (pw_homography_spread). They are the
 * same for every surface measured by this card. */
static gboolean
add_tags(PwScale *scale, PwFigures *figures, double fit_rms_px, GError **error)
{
  const PwScaleInput *in = &scale->input;
  double n = (double)in->n_tag_points, u = scale->uncertainty.by[PW_INPUT_TAG], dof = HUGE_VAL;
  if (isnan(u)) {
    dof = 2 * n - 8;
    u = fmax(LEAST_TAG_PX, fit_rms_px * sqrt(n / dof));
  }
  for (guint i = 0; i < PW_ESTIMATE_BLOCK; i++) {
    PwContribution key = of_photo(scale, PW_INPUT_TAG, PW_ESTIMATE_BLOCK * in->card_owner + i);
    key.dof = dof;
    if (!add_effect(scale, figures, key, &figures->tags[i], u, error))
      return FALSE;
  }
  return TRUE;
}

static gboolean
add_print(PwScale *scale, PwFigures *figures, GError **error)
{
  const PwScaleInput *in = &scale->input;
  const double measured[2] = {in->print_along, in->print_across};
  for (guint i = 0; i < 2; i++) {
    double half_width = scale->uncertainty.by[PW_INPUT_PRINT] / 100;
    if (!isnan(measured[i]) && in->print_tolerance >= 0)
      half_width = in->print_tolerance;
    PwContribution key = {.input = PW_INPUT_PRINT,
                          .scope = PW_SCOPE_CARD,
                          .owner = in->card_owner,
                          .index = i,
                          .dof = HUGE_VAL};
    if (!add_effect(scale, figures, key, &figures->print[i], rectangular(half_width), error))
      return FALSE;
  }
  return TRUE;
}

static gboolean
add_method(PwScale *scale, PwFigures *figures, double fit_rms_px, GError **error)
{
  switch (scale->input.method) {
  case PW_SCALE_TICKS:
    return add_ticks(scale, figures, error);
  case PW_SCALE_TAGS:
    return add_tags(scale, figures, fit_rms_px, error) && add_print(scale, figures, error);
  default:
    return add_corners(scale, figures, error) && add_sides(scale, figures, error);
  }
}

gboolean
pw_add_effects(PwScale *scale, PwFigures *figures, const PwSeenCard *card, GError **error)
{
  return add_method(scale, figures, card->fit_rms_px, error) &&
         add_offset_and_distance(scale, figures, card->distance_known, error) &&
         add_tilts(scale, figures, card->distance_known, error) && add_lens(scale, figures, error);
}
