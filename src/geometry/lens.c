/* The lens: radial distortion x_d = x_u (1 + k1 r^2 + k2 r^4) about (cx, cy), r in units of f_px
 * (Brown 1971, radial terms). Upright px on both sides.
 */
#include <platewright/geometry.h>

#include <math.h>

/* A thousandth of the promised 1e-6 px, in px. */
static const double CONVERGED_PX = 1e-9;
static const int MAX_STEPS = 100;

static gboolean
is_none(const PwLens *lens)
{
  return !(lens->f_px > 0);
}

PwPx
pw_lens_distort(const PwLens *lens, PwPx undistorted)
{
  if (is_none(lens))
    return undistorted;
  double x = undistorted.x - lens->cx, y = undistorted.y - lens->cy;
  double r2 = (x * x + y * y) / (lens->f_px * lens->f_px);
  double stretch = 1 + r2 * (lens->k1 + r2 * lens->k2);
  return (PwPx){lens->cx + x * stretch, lens->cy + y * stretch};
}

void
pw_lens_jacobian(const PwLens *lens, PwPx undistorted, double j[4])
{
  j[0] = j[3] = 1;
  j[1] = j[2] = 0;
  if (is_none(lens))
    return;
  double x = (undistorted.x - lens->cx) / lens->f_px, y = (undistorted.y - lens->cy) / lens->f_px;
  double r2 = x * x + y * y;
  double stretch = 1 + r2 * (lens->k1 + r2 * lens->k2);
  double slope = 2 * (lens->k1 + 2 * r2 * lens->k2); /* d stretch / d r^2, times two */
  j[0] = stretch + slope * x * x;
  j[1] = j[2] = slope * x * y;
  j[3] = stretch + slope * y * y;
}

/* r^2 at which the distorted radius stops growing: 1 + 3 k1 r^2 + 5 k2 r^4 = 0; infinite if never.
 */
static double
fold_radius_squared(const PwLens *lens)
{
  double a = 5 * lens->k2, b = 3 * lens->k1;
  double under = b * b - 4 * a;
  if (under < 0)
    return HUGE_VAL;
  /* The smallest positive root, in the form that does not cancel and allows a = 0. */
  double one = 2 / (-b + sqrt(under)), other = 2 / (-b - sqrt(under));
  double least = HUGE_VAL;
  if (one > 0)
    least = one;
  if (other > 0 && other < least)
    least = other;
  return least;
}

/* The r with r (1 + k1 r^2 + k2 r^4) = `distorted`, by Newton held inside a shrinking bracket. */
static gboolean
undistorted_radius(const PwLens *lens, double distorted, double *radius)
{
  double fold = sqrt(fold_radius_squared(lens));
  double low = 0, high = fold, r = fmin(distorted, fold);
  for (int step = 0; step < MAX_STEPS; step++) {
    double r2 = r * r;
    double error = r * (1 + r2 * (lens->k1 + r2 * lens->k2)) - distorted;
    if (error > 0)
      high = r;
    else
      low = r;
    double slope = 1 + r2 * (3 * lens->k1 + 5 * r2 * lens->k2);
    double next = slope > 0 ? r - error / slope : HUGE_VAL;
    if (!(next >= low && next <= high))
      next = isfinite(high) ? (low + high) / 2 : 2 * r;
    if (fabs(next - r) * lens->f_px < CONVERGED_PX) {
      *radius = next;
      return fabs(error) * lens->f_px < 1e3 * CONVERGED_PX;
    }
    r = next;
  }
  return FALSE;
}

gboolean
pw_lens_undistort(const PwLens *lens, PwPx distorted, PwPx *undistorted)
{
  if (is_none(lens)) {
    *undistorted = distorted;
    return TRUE;
  }
  double x = distorted.x - lens->cx, y = distorted.y - lens->cy;
  double distorted_radius = hypot(x, y) / lens->f_px, radius;
  if (!(distorted_radius > 0)) {
    *undistorted = distorted;
    return isfinite(x) && isfinite(y);
  }
  if (!undistorted_radius(lens, distorted_radius, &radius))
    return FALSE;
  double back = radius / distorted_radius;
  *undistorted = (PwPx){lens->cx + x * back, lens->cy + y * back};
  return TRUE;
}
