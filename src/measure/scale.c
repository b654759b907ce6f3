/* Scales: what a photograph says of its scale becomes a map from px to mm on the measured surface,
 * and one such map more for every input, moved by its standard uncertainty either way.
 *
 * The chain is: upright px -> undistorted px -> the card's plane in mm -> the measured surface, h
 * nearer the camera. Planes that lie parallel at D and D - h are seen through one centre, so the
 * second is the first shrunk by (D - h) / D about the camera's foot, however the camera leans.
 */
#include "scale.h"

#include "pose.h"

#include <math.h>
#include <string.h>

/* Without camera-distance or pose: for the uncertainty alone (DESIGN, "Numbers"). */
static const double UNKNOWN_DISTANCE_MM = 500;
static const double UNKNOWN_DISTANCE_HALF_WIDTH = 0.5;
/* A span shorter than this, in px, has no direction and no length to speak of. */
static const double SHORTEST_SPAN_PX = 1;

/* The inputs of a fit, each at its estimate or moved from it. */
typedef struct {
  PwPx points[4];
  double sides[2]; /* mm: width and height, or the span's length */
  double offset_mm;
  double distance; /* factor on the camera or principal distance */
  double lean[2];  /* rad, of the card's plane: spans */
  double lens;     /* displacement at the frame's corner, part of the half diagonal */
} Figures;

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

/* ---- From figures to a map ---------------------------------------------------------------------
 */

/* 0 where neither EXIF nor the lens coefficients tell. */
static double
principal_distance_px(const PwScale *scale, double mm_per_px)
{
  const PwScaleInput *in = &scale->input;
  if (!(in->focal_px > 0))
    return in->lens.f_px > 0 ? in->lens.f_px : 0;
  double pixel_mm = in->focal_mm > 0 ? in->focal_mm / in->focal_px : 0;
  return in->focal_px * (1 + pixel_mm / mm_per_px);
}

static double
mm_per_px_at(const PwHomography *h, PwPx at)
{
  double j[4];
  pw_homography_jacobian(h, at.x, at.y, j);
  return sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
}

/* Where the middle of the card is seen, in undistorted px. */
static gboolean
card_middle(const PwScale *scale, const Figures *figures, const PwHomography *h, PwPx *middle)
{
  const PwPx *p = figures->points;
  if (is_span(scale)) {
    *middle = (PwPx){(p[0].x + p[1].x) / 2, (p[0].y + p[1].y) / 2};
    return TRUE;
  }
  PwHomography back;
  if (!pw_homography_invert(h, &back))
    return FALSE;
  pw_homography_apply(&back, figures->sides[0] / 2, figures->sides[1] / 2, &middle->x, &middle->y);
  return TRUE;
}

/* The distance from the card's plane; FALSE where it is not known. */
static gboolean
camera_distance(const PwScale *scale, const PwHomography *h, PwPx middle, double factor,
                double *distance)
{
  if (scale->input.camera_distance_mm > 0) {
    *distance = factor * scale->input.camera_distance_mm;
    return TRUE;
  }
  PwPose pose;
  double c = factor * principal_distance_px(scale, mm_per_px_at(h, middle));
  if (!(c > 0) || !pw_pose_of(h, c, scale->principal, &pose))
    return FALSE;
  *distance = pose.distance_mm;
  return TRUE;
}

/* Scale alone, the picture's axes kept; a lean is seen with the principal distance that D implies.
 */
static gboolean
fit_span(const PwScale *scale, const Figures *figures, const PwPx points[2], PwHomography *h)
{
  PwPx middle = {(points[0].x + points[1].x) / 2, (points[0].y + points[1].y) / 2};
  double px = hypot(points[1].x - points[0].x, points[1].y - points[0].y);
  double mm_per_px = figures->sides[0] / px, distance = UNKNOWN_DISTANCE_MM;
  *h = (PwHomography){
      {mm_per_px, 0, -mm_per_px * middle.x, 0, mm_per_px, -mm_per_px * middle.y, 0, 0, 1}};
  camera_distance(scale, h, middle, figures->distance, &distance);
  if (!(fabs(figures->lean[0]) > 0 || fabs(figures->lean[1]) > 0))
    return TRUE;
  pw_leaning_plane(distance / mm_per_px, scale->principal, middle, figures->lean[0],
                   figures->lean[1], h);
  double x0, y0, x1, y1;
  pw_homography_apply(h, points[0].x, points[0].y, &x0, &y0);
  pw_homography_apply(h, points[1].x, points[1].y, &x1, &y1);
  double factor = figures->sides[0] / hypot(x1 - x0, y1 - y0);
  for (int i = 0; i < 6; i++)
    h->m[i] *= factor;
  return TRUE;
}

static gboolean
fit_rectangle(const Figures *figures, const PwPx points[4], PwHomography *h, GError **error)
{
  double w = figures->sides[0], v = figures->sides[1], from[4][2];
  const double to[4][2] = {{0, 0}, {w, 0}, {w, v}, {0, v}};
  for (int i = 0; i < 4; i++) {
    from[i][0] = points[i].x;
    from[i][1] = points[i].y;
  }
  g_autoptr(GError) cause = NULL;
  if (pw_homography_fit((const double(*)[2])from, to, 4, h, NULL, &cause))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "the rectangle's corners give no plane: %s",
              cause->message);
  return FALSE;
}

static PwPx
outwards(PwPx principal, double radial, PwPx at)
{
  double x = at.x - principal.x, y = at.y - principal.y;
  double stretch = 1 + radial * (x * x + y * y);
  return (PwPx){principal.x + x * stretch, principal.y + y * stretch};
}

static gboolean
place_points(const PwScale *scale, const Figures *figures, double radial, PwPx out[4],
             GError **error)
{
  int n = is_span(scale) ? 2 : 4;
  for (int i = 0; i < n; i++) {
    if (!pw_lens_undistort(&scale->input.lens, figures->points[i], &out[i]))
      return fail(error, PW_ERROR_NUMERIC,
                  "the lens coefficients give no place for a corner of the scale");
    out[i] = outwards(scale->principal, radial, out[i]);
  }
  return TRUE;
}

/* From the card's plane to the measured surface. */
static gboolean
shrink_to_surface(const PwScale *scale, const Figures *figures, PwPx middle, PwHomography *h,
                  GError **error)
{
  double distance = UNKNOWN_DISTANCE_MM;
  if (!(fabs(figures->offset_mm) > 0))
    return TRUE;
  camera_distance(scale, h, middle, figures->distance, &distance);
  if (!(figures->offset_mm < distance))
    return fail(error, PW_ERROR_NUMERIC,
                "the plane-offset would put the measured surface behind the camera");
  for (int i = 0; i < 6; i++)
    h->m[i] *= (distance - figures->offset_mm) / distance;
  return TRUE;
}

static gboolean
resolve(const PwScale *scale, const Figures *figures, PwMap *map, GError **error)
{
  PwPx points[4], middle;
  Figures placed = *figures;
  map->radial = figures->lens / (scale->half_diagonal * scale->half_diagonal);
  if (!place_points(scale, figures, map->radial, points, error))
    return FALSE;
  if (is_span(scale) ? !fit_span(scale, figures, points, &map->h)
                     : !fit_rectangle(figures, points, &map->h, error))
    return FALSE;
  memcpy(placed.points, points, sizeof points);
  if (!card_middle(scale, &placed, &map->h, &middle))
    return fail(error, PW_ERROR_NUMERIC, "the rectangle's corners give no plane");
  map->side = copysign(1, map->h.m[6] * middle.x + map->h.m[7] * middle.y + 1);
  return shrink_to_surface(scale, figures, middle, &map->h, error);
}

gboolean
pw_map_apply(const PwMap *map, PwPx principal, PwPx at, PwMm *mm)
{
  const double *m = map->h.m;
  if (fabs(map->radial) > 0)
    at = outwards(principal, map->radial, at);
  double w = m[6] * at.x + m[7] * at.y + 1;
  mm->x = (m[0] * at.x + m[1] * at.y + m[2]) / w;
  mm->y = (m[3] * at.x + m[4] * at.y + m[5]) / w;
  return w * map->side > 0 && isfinite(mm->x) && isfinite(mm->y);
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

/* ---- Effects of the inputs -------------------------------------------------------------- */

/* A rectangular distribution's standard uncertainty (JCGM 100 4.3.7). */
static double
rectangular(double half_width)
{
  return half_width / sqrt(3);
}

/* `moved` is the figure inside `figures` that the input stands for, u its standard uncertainty. */
static gboolean
add_effect(PwScale *scale, Figures *figures, PwContribution key, double *moved, double u,
           GError **error)
{
  if (!(u > 0))
    return TRUE;
  PwEffect *effect = &scale->effects[scale->n_effects];
  double estimate = *moved;
  key.dof = HUGE_VAL;
  effect->key = key;
  *moved = estimate + u;
  gboolean done = resolve(scale, figures, &effect->up, error);
  *moved = estimate - u;
  done = done && resolve(scale, figures, &effect->down, error);
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
add_corners(PwScale *scale, Figures *figures, GError **error)
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
add_sides(PwScale *scale, Figures *figures, GError **error)
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
add_offset_and_distance(PwScale *scale, Figures *figures, gboolean distance_known, GError **error)
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
add_tilts(PwScale *scale, Figures *figures, gboolean distance_known, GError **error)
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
add_lens(PwScale *scale, Figures *figures, GError **error)
{
  const PwScaleInput *in = &scale->input;
  PwContribution key = {.input = PW_INPUT_LENS, .scope = PW_SCOPE_LENS, .owner = in->lens_owner};
  double half_width = scale->uncertainty.by[PW_INPUT_LENS] / 100;
  if (in->lens.f_px > 0 && in->lens_residual_px >= 0)
    half_width = in->lens_residual_px / scale->half_diagonal;
  return add_effect(scale, figures, key, &figures->lens, rectangular(half_width), error);
}

static gboolean
add_effects(PwScale *scale, Figures *figures, gboolean distance_known, GError **error)
{
  return add_corners(scale, figures, error) && add_sides(scale, figures, error) &&
         add_offset_and_distance(scale, figures, distance_known, error) &&
         add_tilts(scale, figures, distance_known, error) && add_lens(scale, figures, error);
}

/* ---- Making a scale --------------------------------------------------------------------- */

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

static Figures
estimates(const PwScaleInput *in)
{
  Figures figures = {.offset_mm = in->plane_offset_mm, .distance = 1};
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
set_frame(PwHomography *h, PwPx middle)
{
  double j[4], x, y;
  pw_homography_jacobian(h, middle.x, middle.y, j);
  pw_homography_apply(h, middle.x, middle.y, &x, &y);
  double length = hypot(j[0], j[2]), c = j[0] / length, s = j[2] / length;
  PwHomography turn = {{c, s, -c * x - s * y, -s, c, s * x - c * y, 0, 0, 1}};
  pw_homography_multiply(&turn, h, h);
}

/* The map of the card's own plane, to tell the pose from. */
static gboolean
fit_card(const PwScale *scale, Figures figures, PwHomography *h, PwPx *middle, GError **error)
{
  PwMap map;
  figures.offset_mm = 0;
  if (!resolve(scale, &figures, &map, error) ||
      !place_points(scale, &figures, 0, figures.points, error))
    return FALSE;
  *h = map.h;
  return card_middle(scale, &figures, h, middle);
}

static void
set_pose(PwScale *scale, const PwHomography *card, PwPx middle, gboolean known, double distance)
{
  PwScaleFacts *facts = &scale->facts;
  PwPose pose;
  double c = principal_distance_px(scale, mm_per_px_at(card, middle));
  facts->tilt_deg = facts->camera_distance_mm = nan("");
  if (known)
    facts->camera_distance_mm = distance;
  if (!is_span(scale) && c > 0 && pw_pose_of(card, c, scale->principal, &pose))
    facts->tilt_deg = pose.tilt_rad * 180 / G_PI;
}

static gboolean
init_scale(PwScale *scale, GError **error)
{
  Figures figures = estimates(&scale->input);
  PwHomography card;
  PwPx middle;
  double distance = UNKNOWN_DISTANCE_MM;
  init_camera(scale);
  if (!fit_card(scale, figures, &card, &middle, error))
    return FALSE;
  gboolean known = camera_distance(scale, &card, middle, 1, &distance);
  if (!known && fabs(figures.offset_mm) > 0)
    return fail(error, PW_ERROR_RECORD,
                "no camera distance: a plane-offset other than 0 needs camera-distance, or a "
                "photograph whose EXIF tells the focal length");
  if (!resolve(scale, &figures, &scale->map, error))
    return FALSE;
  set_frame(&scale->map.h, middle);
  scale->map.side = copysign(1, scale->map.h.m[6] * middle.x + scale->map.h.m[7] * middle.y + 1);
  scale->facts = (PwScaleFacts){.method = scale->input.method,
                                .homography = scale->map.h,
                                .mm_per_px = mm_per_px_at(&scale->map.h, middle),
                                .fit_rms_px = nan(""),
                                .plane_offset_mm = figures.offset_mm,
                                .lens = scale->input.lens};
  set_pose(scale, &card, middle, known, distance);
  return add_effects(scale, &figures, known, error);
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
