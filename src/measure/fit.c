/* From the figures of a scale to a map.
 *
 * The chain is: upright px -> undistorted px -> the card's plane in mm -> the measured surface, h
 * nearer the camera. Planes that lie parallel at D and D - h are seen through one centre, so the
 * second is the first shrunk by (D - h) / D about the camera's foot, however the camera leans.
 */
#include "fit.h"

#include "pose.h"

#include <math.h>
#include <string.h>

static gboolean
fail(GError **error, const char *why)
{
  g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, why);
  return FALSE;
}

static gboolean
is_span(const PwScale *scale)
{
  return scale->input.method == PW_SCALE_SPAN;
}

/* 0 where neither EXIF nor the lens coefficients tell. */
double
pw_principal_distance_px(const PwScale *scale, double mm_per_px)
{
  const PwScaleInput *in = &scale->input;
  if (!(in->focal_px > 0))
    return in->lens.f_px > 0 ? in->lens.f_px : 0;
  double pixel_mm = in->focal_mm > 0 ? in->focal_mm / in->focal_px : 0;
  return in->focal_px * (1 + pixel_mm / mm_per_px);
}

double
pw_mm_per_px_at(const PwHomography *h, PwPx at)
{
  double j[4];
  pw_homography_jacobian(h, at.x, at.y, j);
  return sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
}

/* Where the middle of the card is seen, in undistorted px. */
static gboolean
card_middle(const PwScale *scale, const PwFigures *figures, const PwHomography *h, PwPx *middle)
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
  double c = factor * pw_principal_distance_px(scale, pw_mm_per_px_at(h, middle));
  if (!(c > 0) || !pw_pose_of(h, c, scale->principal, &pose))
    return FALSE;
  *distance = pose.distance_mm;
  return TRUE;
}

/* Scale alone, the picture's axes kept; a lean is seen with the principal distance that D implies.
 */
static gboolean
fit_span(const PwScale *scale, const PwFigures *figures, const PwPx points[2], PwHomography *h)
{
  PwPx middle = {(points[0].x + points[1].x) / 2, (points[0].y + points[1].y) / 2};
  double px = hypot(points[1].x - points[0].x, points[1].y - points[0].y);
  double mm_per_px = figures->sides[0] / px, distance = PW_UNKNOWN_DISTANCE_MM;
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
fit_rectangle(const PwFigures *figures, const PwPx points[4], PwHomography *h, GError **error)
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
place_points(const PwScale *scale, const PwFigures *figures, double radial, PwPx out[4],
             GError **error)
{
  int n = is_span(scale) ? 2 : 4;
  for (int i = 0; i < n; i++) {
    if (!pw_lens_undistort(&scale->input.lens, figures->points[i], &out[i]))
      return fail(error, "the lens coefficients give no place for a corner of the scale");
    out[i] = outwards(scale->principal, radial, out[i]);
  }
  return TRUE;
}

/* From the card's plane to the measured surface. */
static gboolean
shrink_to_surface(const PwScale *scale, const PwFigures *figures, PwPx middle, PwHomography *h,
                  GError **error)
{
  double distance = PW_UNKNOWN_DISTANCE_MM;
  if (!(fabs(figures->offset_mm) > 0))
    return TRUE;
  camera_distance(scale, h, middle, figures->distance, &distance);
  if (!(figures->offset_mm < distance))
    return fail(error, "the plane-offset would put the measured surface behind the camera");
  for (int i = 0; i < 6; i++)
    h->m[i] *= (distance - figures->offset_mm) / distance;
  return TRUE;
}

gboolean
pw_fit(const PwScale *scale, const PwFigures *figures, PwMap *map, GError **error)
{
  PwPx points[4], middle;
  PwFigures placed = *figures;
  map->radial = figures->lens / (scale->half_diagonal * scale->half_diagonal);
  if (!place_points(scale, figures, map->radial, points, error))
    return FALSE;
  if (is_span(scale) ? !fit_span(scale, figures, points, &map->h)
                     : !fit_rectangle(figures, points, &map->h, error))
    return FALSE;
  memcpy(placed.points, points, sizeof points);
  if (!card_middle(scale, &placed, &map->h, &middle))
    return fail(error, "the rectangle's corners give no plane");
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

gboolean
pw_fit_card(const PwScale *scale, const PwFigures *figures, PwSeenCard *card, GError **error)
{
  PwFigures level = *figures;
  PwMap map;
  level.offset_mm = 0;
  if (!pw_fit(scale, &level, &map, error) || !place_points(scale, &level, 0, level.points, error))
    return FALSE;
  card->h = map.h;
  if (!card_middle(scale, &level, &card->h, &card->middle))
    return fail(error, "the rectangle's corners give no plane");
  card->distance_known = camera_distance(scale, &card->h, card->middle, 1, &card->distance_mm);
  return TRUE;
}
