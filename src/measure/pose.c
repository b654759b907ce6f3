/* Where the camera stood, from what it saw of a plane (Zhang 2000, A Flexible New Technique for
 * Camera Calibration, 3.1): the columns of the inverse homography, freed of the camera's own
 * matrix, are two axes of the plane and its origin, all in one unknown unit, which the axes'
 * length of 1 mm settles. Camera axes: x and y as the picture's, z away from the camera.
 */
#include "pose.h"

#include <math.h>

typedef struct {
  double x, y, z;
} Vector;

static double
dot(Vector a, Vector b)
{
  return a.x * b.x + a.y * b.y + a.z * b.z;
}

static Vector
cross(Vector a, Vector b)
{
  return (Vector){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static Vector
times(double factor, Vector a)
{
  return (Vector){factor * a.x, factor * a.y, factor * a.z};
}

static Vector
unit(Vector a)
{
  return times(1 / sqrt(dot(a, a)), a);
}

/* Column i of the homography mm to px, freed of the camera's matrix. */
static Vector
column(const PwHomography *mm_to_px, int i, double c, PwPx principal)
{
  const double *m = mm_to_px->m;
  return (Vector){(m[i] - principal.x * m[6 + i]) / c, (m[3 + i] - principal.y * m[6 + i]) / c,
                  m[6 + i]};
}

gboolean
pw_pose_of(const PwHomography *px_to_mm, double principal_distance_px, PwPx principal, PwPose *pose)
{
  PwHomography mm_to_px;
  if (!pw_homography_invert(px_to_mm, &mm_to_px))
    return FALSE;
  Vector right = column(&mm_to_px, 0, principal_distance_px, principal);
  Vector down = column(&mm_to_px, 1, principal_distance_px, principal);
  Vector origin = column(&mm_to_px, 2, principal_distance_px, principal);
  /* The two axes differ in length by the noise of the fit; neither is the better. */
  double length = sqrt(sqrt(dot(right, right) * dot(down, down)));
  Vector normal = unit(cross(right, down));
  pose->distance_mm = fabs(dot(normal, origin)) / length;
  pose->tilt_rad = acos(fmin(1, fabs(normal.z)));
  return isfinite(pose->distance_mm) && pose->distance_mm > 0;
}

PwMisfit
pw_misfit_of(const PwHomography *px_to_mm, double principal_distance_px, PwPx principal)
{
  PwHomography mm_to_px;
  if (!pw_homography_invert(px_to_mm, &mm_to_px))
    return (PwMisfit){nan(""), nan("")};
  Vector right = column(&mm_to_px, 0, principal_distance_px, principal);
  Vector down = column(&mm_to_px, 1, principal_distance_px, principal);
  double a = dot(right, right), b = dot(down, down);
  return (PwMisfit){(a - b) / (a + b), 2 * dot(right, down) / (a + b)};
}

void
pw_leaning_plane(double principal_distance_px, PwPx principal, PwPx middle, double lean_x,
                 double lean_y, PwHomography *h)
{
  double c = principal_distance_px;
  Vector normal = unit((Vector){tan(lean_x), tan(lean_y), 1});
  Vector right =
      unit((Vector){1 - normal.x * normal.x, -normal.x * normal.y, -normal.x * normal.z});
  Vector down = cross(normal, right);
  Vector origin = {middle.x - principal.x, middle.y - principal.y, c};
  double depth = dot(normal, origin);
  /* A ray d meets the plane at d depth / (normal . d); its place there is counted from `origin`. */
  Vector rows[3] = {times(depth, right), times(depth, down), normal};
  double back[2] = {dot(right, origin), dot(down, origin)};
  for (int i = 0; i < 2; i++) {
    rows[i].x -= back[i] * normal.x;
    rows[i].y -= back[i] * normal.y;
    rows[i].z -= back[i] * normal.z;
  }
  double last = 0;
  for (int i = 2; i >= 0; i--) {
    /* d = (x - principal.x, y - principal.y, c) */
    double constant = rows[i].z * c - rows[i].x * principal.x - rows[i].y * principal.y;
    last = i == 2 ? constant : last;
    h->m[3 * i] = rows[i].x / last;
    h->m[3 * i + 1] = rows[i].y / last;
    h->m[3 * i + 2] = constant / last;
  }
}
