/* From the figures of a scale to a map.
 *
 * The chain is: upright px -> undistorted px -> the card's plane in mm -> the measured surface, h
 * nearer the camera. Planes that lie parallel at D and D - h are seen through one centre, so the
 * second is the first shrunk by (D - h) / D about the camera's foot, however the camera leans.
 */
#include "fit.h"

#include "pose.h"

#include <math.h>

static gboolean
fail(GError **error, const char *why)
{
  g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, why);
  return FALSE;
}

gboolean
pw_scale_is_line(const PwScale *scale)
{
  return scale->input.method == PW_SCALE_SPAN || scale->input.method == PW_SCALE_TICKS;
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

static PwPx
outwards(PwPx principal, double radial, PwPx at)
{
  double x = at.x - principal.x, y = at.y - principal.y;
  double stretch = 1 + radial * (x * x + y * y);
  return (PwPx){principal.x + x * stretch, principal.y + y * stretch};
}

/* Where n upright px points would be seen without lens. */
static gboolean
place_points(const PwScale *scale, const PwPx *points, gsize n, double radial, PwPx *out,
             GError **error)
{
  for (gsize i = 0; i < n; i++) {
    if (!pw_lens_undistort(&scale->input.lens, points[i], &out[i]))
      return fail(error, "the lens coefficients give no place for a corner of the scale");
    out[i] = outwards(scale->principal, radial, out[i]);
  }
  return TRUE;
}

/* Scale alone, the picture's axes kept; a lean is seen with the principal distance that D implies.
 */
static gboolean
fit_line(const PwScale *scale, const PwFigures *figures, double radial, PwSeenCard *card,
         GError **error)
{
  PwPx points[2];
  if (!place_points(scale, figures->points, 2, radial, points, error))
    return FALSE;
  PwPx middle = {(points[0].x + points[1].x) / 2, (points[0].y + points[1].y) / 2};
  double px = hypot(points[1].x - points[0].x, points[1].y - points[0].y);
  double mm_per_px = figures->sides[0] / px, distance = PW_UNKNOWN_DISTANCE_MM;
  PwHomography *h = &card->h;
  *h = (PwHomography){
      {mm_per_px, 0, -mm_per_px * middle.x, 0, mm_per_px, -mm_per_px * middle.y, 0, 0, 1}};
  card->middle = middle;
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

/* From a fit of the card in mm to where it is seen: the map back, and the card's middle. */
static gboolean
turn_round(const PwHomography *mm_to_px, double middle_x, double middle_y, PwSeenCard *card)
{
  pw_homography_apply(mm_to_px, middle_x, middle_y, &card->middle.x, &card->middle.y);
  return pw_homography_invert(mm_to_px, &card->h);
}

static gboolean
fit_rectangle(const PwScale *scale, const PwFigures *figures, double radial, PwSeenCard *card,
              GError **error)
{
  double w = figures->sides[0], v = figures->sides[1], seen[4][2];
  const double corners[4][2] = {{0, 0}, {w, 0}, {w, v}, {0, v}};
  PwPx points[4];
  PwHomography h;
  if (!place_points(scale, figures->points, 4, radial, points, error))
    return FALSE;
  for (int i = 0; i < 4; i++) {
    seen[i][0] = points[i].x;
    seen[i][1] = points[i].y;
  }
  g_autoptr(GError) cause = NULL;
  if (pw_homography_fit(corners, (const double(*)[2])seen, 4, &h, NULL, &cause) &&
      turn_round(&h, w / 2, v / 2, card))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "the rectangle's corners give no plane%s%s",
              cause ? ": " : "", cause ? cause->message : "");
  return FALSE;
}

/* The errors of the fit, by which the picture of the card moves. */
static gboolean
move_fit(const double (*mm)[2], gsize n, const double errors[8], PwHomography *h)
{
  double changes[8][8];
  if (!pw_homography_spread(h, mm, n, changes))
    return FALSE;
  for (int k = 0; k < 8; k++)
    for (int i = 0; i < 8; i++)
      h->m[i] += errors[k] * changes[k][i];
  return TRUE;
}

static gboolean
any(const double *values, int n)
{
  for (int i = 0; i < n; i++)
    if (fabs(values[i]) > 0)
      return TRUE;
  return FALSE;
}

/* From mm to px, where the corners were found: what is least squared are distances in the picture.
 */
static gboolean
fit_tags(const PwScale *scale, const PwFigures *figures, double radial, PwSeenCard *card,
         GError **error)
{
  const PwScaleInput *in = &scale->input;
  gsize n = in->n_tag_points;
  g_autofree PwPx *points = g_new(PwPx, n);
  g_autofree double(*mm)[2] = g_malloc_n(n, sizeof *mm);
  g_autofree double(*px)[2] = g_malloc_n(n, sizeof *px);
  PwHomography h;
  if (!place_points(scale, in->tag_px, n, radial, points, error))
    return FALSE;
  for (gsize i = 0; i < n; i++) {
    px[i][0] = points[i].x;
    px[i][1] = points[i].y;
    mm[i][0] = in->tag_mm[i].x * figures->print[0];
    mm[i][1] = in->tag_mm[i].y * figures->print[1];
  }
  const double(*from)[2] = (const double(*)[2])mm;
  g_autoptr(GError) cause = NULL;
  if (pw_homography_fit(from, (const double(*)[2])px, n, &h, &card->fit_rms_px, &cause) &&
      (!any(figures->tags, 8) || move_fit(from, n, figures->tags, &h)) &&
      turn_round(&h, in->card_width_mm * figures->print[0] / 2,
                 in->card_height_mm * figures->print[1] / 2, card))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "the card's tags give no plane%s%s",
              cause ? ": " : "", cause ? cause->message : "");
  return FALSE;
}

static gboolean
fit_plane(const PwScale *scale, const PwFigures *figures, double radial, PwSeenCard *card,
          GError **error)
{
  card->fit_rms_px = nan("");
  if (pw_scale_is_line(scale))
    return fit_line(scale, figures, radial, card, error);
  if (scale->input.method == PW_SCALE_TAGS)
    return fit_tags(scale, figures, radial, card, error);
  return fit_rectangle(scale, figures, radial, card, error);
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
  PwSeenCard card;
  map->radial = figures->lens / (scale->half_diagonal * scale->half_diagonal);
  if (!fit_plane(scale, figures, map->radial, &card, error))
    return FALSE;
  map->h = card.h;
  map->side = copysign(1, map->h.m[6] * card.middle.x + map->h.m[7] * card.middle.y + 1);
  return shrink_to_surface(scale, figures, card.middle, &map->h, error);
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
  if (!fit_plane(scale, figures, 0, card, error))
    return FALSE;
  card->distance_known = camera_distance(scale, &card->h, card->middle, 1, &card->distance_mm);
  return TRUE;
}
