/* A lens from photographs of a flat sheet (Z. Zhang, A Flexible New Technique for Camera
 * Calibration, IEEE PAMI 22 (2000)): what the joint fit gives, and what is refused because the
 * views do not tell it.
 */
#include "bundle.h"

#include <math.h>

enum { L = PW_LENS_UNKNOWNS, N_LENS = 5 };

/* The limits are ours: set where a calibration is no longer plainly better than none. */
/* In each quarter of the frame the corners must come out to this part of the half diagonal: what
 * lies further out is extrapolated by k2 r^4. */
static const double LEAST_REACH = 0.4;
/* Two views at least must have been taken at directions this far apart. */
static const double LEAST_SPREAD_DEG = 15;
/* Standard errors: of f as a part of it, of the centre as a part of the half diagonal. */
static const double MOST_U_F = 0.01, MOST_U_CENTRE = 0.02;
/* RMS over the half diagonal: times LEFT_BY_RMS a third of what an unknown lens is allowed (1 %).
 */
static const double MOST_RMS = 0.001;
/* A sheet that is not quite flat leaves up to so many times the RMS that it shows: of 1,000
 * simulated sessions with bulges and curls (tests/unit/measure/test_calibrate.c) more than nine in
 * ten. */
static const double LEFT_BY_RMS = 3.5;

static const char LEAN_MORE[] =
    "photograph the sheet from several sides, the camera leaning by 20 to 40 degrees, now left, "
    "now right, from above and from below";

/* ---- What the views must show ------------------------------------------------------ */

static gboolean
check_reach(const PwSheetView *views, gsize n, double width, double height, GError **error)
{
  static const char *const quarters[] = {"upper left", "upper right", "lower left", "lower right"};
  double reach[4] = {0}, half_diagonal = hypot(width, height) / 2;
  for (gsize v = 0; v < n; v++)
    for (gsize i = 0; i < views[v].n; i++) {
      double x = views[v].px[i].x - width / 2, y = views[v].px[i].y - height / 2;
      double *far = &reach[(x > 0 ? 1 : 0) + (y > 0 ? 2 : 0)];
      *far = fmax(*far, hypot(x, y) / half_diagonal);
    }
  for (int q = 0; q < 4; q++)
    if (!(reach[q] >= LEAST_REACH)) {
      g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                  "the sheet was never seen far out in the %s of the frame (%.0f %% of the way to "
                  "its corner, %.0f %% are needed); add photographs in which it fills the frame",
                  quarters[q], 100 * reach[q], 100 * LEAST_REACH);
      return FALSE;
    }
  return TRUE;
}

/* ---- What is refused after it ------------------------------------------------------ */

static double
view_rms(const PwBundle *bundle, gsize v)
{
  return sqrt(pw_bundle_view_sum(bundle, v) / (double)bundle->views[v].n);
}

static gboolean
check_residual(const PwBundle *bundle, double rms, double limit, GError **error)
{
  gsize worst = 0;
  for (gsize v = 1; v < bundle->n; v++)
    if (view_rms(bundle, v) > view_rms(bundle, worst))
      worst = v;
  if (rms <= limit)
    return TRUE;
  g_set_error(
      error, PW_ERROR, PW_ERROR_NUMERIC,
      "the sheet fits by %.2f px only (at most %.2f px are accepted), worst in %s (%.2f px); "
      "was the sheet flat, was it printed without stretching, were the focus and the zoom "
      "left alone?",
      rms, limit, bundle->views[worst].name, view_rms(bundle, worst));
  return FALSE;
}

/* The largest angle between the sheet's normals in two views. */
static double
spread_deg(const PwBundle *bundle)
{
  double least = 1;
  for (gsize v = 0; v < bundle->n; v++)
    for (gsize w = 0; w < v; w++) {
      const double *a = bundle->poses[v].r, *b = bundle->poses[w].r;
      least = fmin(least, a[2] * b[2] + a[5] * b[5] + a[8] * b[8]);
    }
  return acos(fmax(-1, least)) * 180 / G_PI;
}

static gboolean
check_determined(const PwBundle *bundle, const PwLens *u, double half_diagonal, GError **error)
{
  double spread = spread_deg(bundle), part = u->f_px / bundle->lens.f_px;
  if (!(spread >= LEAST_SPREAD_DEG)) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "the sheet leans nearly the same way in all photographs (directions within %.0f "
                "degrees), so that the principal distance is not told; %s",
                spread, LEAN_MORE);
    return FALSE;
  }
  if (part <= MOST_U_F && hypot(u->cx, u->cy) <= MOST_U_CENTRE * half_diagonal)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
              "the principal distance is told to %.1f %% only, the centre to %.0f px; %s",
              100 * part, hypot(u->cx, u->cy), LEAN_MORE);
  return FALSE;
}

/* ---- What the coefficients leave uncertain ----------------------------------------- */

/* How the undistorted place of what is seen at `at` moves with f, cx, cy, k1, k2: the distortion
 * d(x_u, p) = x_d stays, so dx_u/dp = -(dd/dx_u)^-1 dd/dp. */
static gboolean
moves_of(const PwLens *lens, PwPx at, double moves[2][N_LENS])
{
  PwPx u;
  double j[4];
  if (!pw_lens_undistort(lens, at, &u))
    return FALSE;
  pw_lens_jacobian(lens, u, j);
  double x = u.x - lens->cx, y = u.y - lens->cy;
  double r2 = (x * x + y * y) / (lens->f_px * lens->f_px);
  double by_f = -2 * r2 / lens->f_px * (lens->k1 + 2 * lens->k2 * r2);
  double by[2][N_LENS] = {{x * by_f, 1 - j[0], -j[1], x * r2, x * r2 * r2},
                          {y * by_f, -j[2], 1 - j[3], y * r2, y * r2 * r2}};
  double determinant = j[0] * j[3] - j[1] * j[2];
  for (int i = 0; i < N_LENS; i++) {
    moves[0][i] = -(j[3] * by[0][i] - j[1] * by[1][i]) / determinant;
    moves[1][i] = -(j[0] * by[1][i] - j[2] * by[0][i]) / determinant;
  }
  return TRUE;
}

/* The largest standard uncertainty of an undistorted corner of the frame, px. FALSE when the
 * coefficients have no answer there. */
static gboolean
corner_u(const PwBundle *bundle, double width, double height, double *largest)
{
  const PwPx corners[] = {{0, 0}, {width, 0}, {width, height}, {0, height}};
  *largest = 0;
  for (gsize corner = 0; corner < G_N_ELEMENTS(corners); corner++) {
    double moves[2][N_LENS], sum = 0;
    if (!moves_of(&bundle->lens, corners[corner], moves))
      return FALSE;
    for (int c = 0; c < 2; c++)
      for (int i = 0; i < N_LENS; i++)
        for (int j = 0; j < N_LENS; j++)
          sum += moves[c][i] * bundle->by_view[i * L + j] * moves[c][j];
    *largest = fmax(*largest, sqrt(sum));
  }
  return TRUE;
}

static gboolean
judge(const PwBundle *bundle, double width, double height, PwCalibration *out, GError **error)
{
  double points = 0, half_diagonal = hypot(width, height) / 2, u_corner;
  for (gsize v = 0; v < bundle->n; v++)
    points += (double)bundle->views[v].n;
  double variance = bundle->sum / (2 * points - L - PW_POSE_UNKNOWNS * (double)bundle->n);
  const double *c = bundle->covariance;
  out->lens = bundle->lens;
  out->u = (PwLens){sqrt(variance * c[0]), sqrt(variance * c[L + 1]), sqrt(variance * c[2 * L + 2]),
                    sqrt(variance * c[3 * L + 3]), sqrt(variance * c[4 * L + 4])};
  out->stretch = bundle->stretch;
  out->u_stretch = sqrt(variance * c[5 * L + 5]);
  out->rms_px = sqrt(bundle->sum / points);
  if (!check_residual(bundle, out->rms_px, MOST_RMS * half_diagonal, error) ||
      !check_determined(bundle, &out->u, half_diagonal, error))
    return FALSE;
  if (!corner_u(bundle, width, height, &u_corner)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "the coefficients fold over within the frame; add photographs in which the "
                        "sheet reaches into its corners");
    return FALSE;
  }
  out->residual_px = hypot(LEFT_BY_RMS * out->rms_px, sqrt(3) * u_corner);
  return TRUE;
}

static gboolean
check_views(const PwSheetView *views, gsize n, GError **error)
{
  if (n < PW_LEAST_SHEET_VIEWS) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "the sheet is seen in %" G_GSIZE_FORMAT " photographs only, %d are needed", n,
                PW_LEAST_SHEET_VIEWS);
    return FALSE;
  }
  for (gsize v = 0; v < n; v++)
    if (views[v].n < PW_LEAST_SHEET_POINTS) {
      g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                  "%s: only %" G_GSIZE_FORMAT " corners of the sheet are seen, %d are needed",
                  views[v].name, views[v].n, PW_LEAST_SHEET_POINTS);
      return FALSE;
    }
  return TRUE;
}

gboolean
pw_lens_calibrate(const PwSheetView *views, gsize n, double width, double height,
                  PwCalibration *calibration, GError **error)
{
  if (!check_views(views, n, error) || !check_reach(views, n, width, height, error))
    return FALSE;
  g_autofree PwSheetPose *poses = g_new(PwSheetPose, n);
  PwBundle bundle = {.views = views, .n = n, .poses = poses};
  if (!pw_bundle_begin(&bundle, width, height, error))
    return FALSE;
  if (!(bundle.lens.f_px > 0) || !pw_bundle_fit(&bundle)) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "the photographs do not tell the principal distance; %s", LEAN_MORE);
    return FALSE;
  }
  return judge(&bundle, width, height, calibration, error);
}
