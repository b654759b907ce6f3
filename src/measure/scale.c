/* Scales: what a photograph says of its scale becomes a map from px to mm on the measured surface,
 * and two such maps more for every input, moved by its standard uncertainty either way.
 */
#include "fit.h"
#include "pose.h"

#include <math.h>
#include <string.h>

/* Of a distance that is not known, about PW_UNKNOWN_DISTANCE_MM (docs/measuring.md). */
static const double UNKNOWN_DISTANCE_HALF_WIDTH = 0.5;
/* A span shorter than this, in px, has no direction and no length to speak of. */
static const double SHORTEST_SPAN_PX = 1;

static gboolean
fail(GError **error, gint code, const char *why)
{
  g_set_error_literal(error, PW_ERROR, code, why);
  return FALSE;
}

static gboolean
is_span(const PwScale *scale)
{
  return scale->input.method == PW_SCALE_SPAN;
}

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
  key.dof = HUGE_VAL;
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
  return (PwContribution){
      .input = input, .scope = PW_SCOPE_PHOTO, .owner = scale->input.photo_owner, .index = index};
}

static gboolean
add_corners(PwScale *scale, PwFigures *figures, GError **error)
{
  double u = scale->uncertainty.by[PW_INPUT_CORNER];
  guint n = is_span(scale) ? 2 : 4;
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
  PwInput input = is_span(scale) ? PW_INPUT_SPAN : PW_INPUT_RECTANGLE;
  double tolerance = scale->input.tolerance_mm;
  if (!(tolerance >= 0))
    tolerance = scale->uncertainty.by[input];
  guint n = is_span(scale) ? 1 : 2;
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
  key.dof = HUGE_VAL;
  scale->products[scale->n_products++] =
      (PwProduct){key, scale->n_effects - 1, sqrt(1 / (1 - a * a) - 1)};
}

static gboolean
add_offset_and_distance(PwScale *scale, PwFigures *figures, gboolean distance_known, GError **error)
{
  PwContribution offset = {
      .input = PW_INPUT_PLANE_OFFSET, .scope = scale->offset_scope, .owner = scale->offset_owner};
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
  for (guint i = 0; i < 2 && is_span(scale); i++) {
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
  PwContribution key = {.input = PW_INPUT_LENS, .scope = PW_SCOPE_LENS, .owner = in->lens_owner};
  double half_width = scale->uncertainty.by[PW_INPUT_LENS] / 100;
  if (in->lens.f_px > 0 && in->lens_residual_px >= 0)
    half_width = in->lens_residual_px / scale->half_diagonal;
  return add_effect(scale, figures, key, &figures->lens, rectangular(half_width), error);
}

static gboolean
add_effects(PwScale *scale, PwFigures *figures, gboolean distance_known, GError **error)
{
  return add_corners(scale, figures, error) && add_sides(scale, figures, error) &&
         add_offset_and_distance(scale, figures, distance_known, error) &&
         add_tilts(scale, figures, distance_known, error) && add_lens(scale, figures, error);
}

static gboolean
check_rectangle(const PwScaleInput *in, GError **error)
{
  if (!(in->width_mm > 0 && in->height_mm > 0 && isfinite(in->width_mm) && isfinite(in->height_mm)))
    return fail(error, PW_ERROR_RECORD, "the rectangle's width and height must be above 0 mm");
  if (!(pw_px_signed_area(in->corners, 4) > 0))
    return fail(error, PW_ERROR_NUMERIC,
                "the rectangle's corners must run clockwise as seen, the width first");
  return TRUE;
}

static gboolean
check_span(const PwScaleInput *in, GError **error)
{
  if (!(in->length_mm > 0 && isfinite(in->length_mm)))
    return fail(error, PW_ERROR_RECORD, "the span's length must be above 0 mm");
  if (!(hypot(in->to.x - in->from.x, in->to.y - in->from.y) >= SHORTEST_SPAN_PX))
    return fail(error, PW_ERROR_NUMERIC, "the span's two ends coincide");
  return TRUE;
}

static gboolean
check_method(const PwScaleInput *in, GError **error)
{
  switch (in->method) {
  case PW_SCALE_RECTANGLE:
    return check_rectangle(in, error);
  case PW_SCALE_SPAN:
    return check_span(in, error);
  case PW_SCALE_NONE:
    return fail(error, PW_ERROR_RECORD, "no scale in the picture");
  case PW_SCALE_TICKS:
  case PW_SCALE_TAGS:
    break;
  }
  return fail(error, PW_ERROR_RECORD,
              "this version reads a scale from a rectangle or a span; give one of these");
}

static gboolean
check_input(const PwScaleInput *in, GError **error)
{
  if (!check_method(in, error))
    return FALSE;
  if (!isfinite(in->plane_offset_mm))
    return fail(error, PW_ERROR_RECORD,
                "no plane-offset: say by how many mm the measured surface stands nearer the camera "
                "than the card (0 where they are level)");
  if (!(in->picture_width > 0 && in->picture_height > 0))
    return fail(error, PW_ERROR_RECORD, "the size of the picture is not known");
  return TRUE;
}

static void
init_camera(PwScale *scale)
{
  const PwScaleInput *in = &scale->input;
  scale->principal = in->lens.f_px > 0 ? (PwPx){in->lens.cx, in->lens.cy}
                                       : (PwPx){in->picture_width / 2, in->picture_height / 2};
  scale->half_diagonal = hypot(in->picture_width, in->picture_height) / 2;
}

static PwFigures
estimates(const PwScaleInput *in)
{
  PwFigures figures = {.offset_mm = in->plane_offset_mm, .distance = 1};
  if (in->method == PW_SCALE_SPAN) {
    figures.points[0] = in->from;
    figures.points[1] = in->to;
    figures.sides[0] = in->length_mm;
    return figures;
  }
  memcpy(figures.points, in->corners, sizeof figures.points);
  figures.sides[0] = in->width_mm;
  figures.sides[1] = in->height_mm;
  return figures;
}

/* Origin where the card's middle is seen, x along the picture's x there. */
static void
set_frame(PwMap *map, PwPx middle)
{
  double j[4], x, y;
  pw_homography_jacobian(&map->h, middle.x, middle.y, j);
  pw_homography_apply(&map->h, middle.x, middle.y, &x, &y);
  double length = hypot(j[0], j[2]), c = j[0] / length, s = j[2] / length;
  PwHomography turn = {{c, s, -c * x - s * y, -s, c, s * x - c * y, 0, 0, 1}};
  pw_homography_multiply(&turn, &map->h, &map->h);
}

static void
set_pose(PwScale *scale, const PwSeenCard *card)
{
  PwScaleFacts *facts = &scale->facts;
  PwPose pose;
  double c = pw_principal_distance_px(scale, pw_mm_per_px_at(&card->h, card->middle));
  facts->tilt_deg = facts->camera_distance_mm = nan("");
  if (card->distance_known)
    facts->camera_distance_mm = card->distance_mm;
  if (!is_span(scale) && c > 0 && pw_pose_of(&card->h, c, scale->principal, &pose))
    facts->tilt_deg = pose.tilt_rad * 180 / G_PI;
}

static gboolean
init_scale(PwScale *scale, GError **error)
{
  PwFigures figures = estimates(&scale->input);
  PwSeenCard card;
  init_camera(scale);
  if (!pw_fit_card(scale, &figures, &card, error))
    return FALSE;
  if (!card.distance_known && fabs(figures.offset_mm) > 0)
    return fail(error, PW_ERROR_RECORD,
                "no camera distance: a plane-offset other than 0 needs camera-distance, or a "
                "photograph whose EXIF tells the focal length");
  if (!pw_fit(scale, &figures, &scale->map, error))
    return FALSE;
  set_frame(&scale->map, card.middle);
  scale->facts = (PwScaleFacts){.method = scale->input.method,
                                .homography = scale->map.h,
                                .mm_per_px = pw_mm_per_px_at(&scale->map.h, card.middle),
                                .fit_rms_px = nan(""),
                                .plane_offset_mm = figures.offset_mm,
                                .lens = scale->input.lens};
  set_pose(scale, &card);
  return add_effects(scale, &figures, card.distance_known, error);
}

static PwScale *
scale_new(const PwScaleInput *input, const PwUncertainty *uncertainty, PwScope scope, guint owner,
          GError **error)
{
  if (!check_input(input, error))
    return NULL;
  g_autoptr(PwScale) scale = g_new0(PwScale, 1);
  scale->input = *input;
  scale->uncertainty = *uncertainty;
  scale->offset_scope = scope;
  scale->offset_owner = owner;
  return init_scale(scale, error) ? g_steal_pointer(&scale) : NULL;
}

PwScale *
pw_scale_new(const PwScaleInput *input, const PwUncertainty *uncertainty, GError **error)
{
  return scale_new(input, uncertainty, PW_SCOPE_PHOTO, input->photo_owner, error);
}

PwScale *
pw_scale_new_at_offset(const PwScale *scale, double plane_offset_mm, PwScope scope, guint owner,
                       GError **error)
{
  PwScaleInput input = scale->input;
  input.plane_offset_mm = plane_offset_mm;
  return scale_new(&input, &scale->uncertainty, scope, owner, error);
}

void
pw_scale_free(PwScale *scale)
{
  g_free(scale);
}

void
pw_scale_facts(const PwScale *scale, PwScaleFacts *facts)
{
  *facts = scale->facts;
}

gboolean
pw_scale_map(const PwScale *scale, PwPx at, PwMm *mm)
{
  PwPx undistorted;
  return pw_lens_undistort(&scale->input.lens, at, &undistorted) &&
         pw_map_apply(&scale->map, scale->principal, undistorted, mm);
}

void
pw_scale_jacobian(const PwScale *scale, PwPx undistorted, double j[4])
{
  double plane[4], lens[4];
  pw_homography_jacobian(&scale->map.h, undistorted.x, undistorted.y, plane);
  pw_lens_jacobian(&scale->input.lens, undistorted, lens);
  /* The lens jacobian leads from undistorted to distorted px; we come the other way. */
  double determinant = lens[0] * lens[3] - lens[1] * lens[2];
  double back[4] = {lens[3] / determinant, -lens[1] / determinant, -lens[2] / determinant,
                    lens[0] / determinant};
  j[0] = plane[0] * back[0] + plane[1] * back[2];
  j[1] = plane[0] * back[1] + plane[1] * back[3];
  j[2] = plane[2] * back[0] + plane[3] * back[2];
  j[3] = plane[2] * back[1] + plane[3] * back[3];
}
