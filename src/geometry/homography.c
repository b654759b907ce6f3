/* Homographies between planes: fitted, applied, inverted, combined.
 *
 * Both point sets are brought to their centre and a mean distance of sqrt 2 before the linear
 * solution (Hartley and Zisserman, Multiple View Geometry, 2nd ed., 4.4.4), which the refinement
 * then carries to the least sum of squared distances in the target plane. Units are the caller's.
 */
#include <platewright/geometry.h>

#include "solve.h"

#include <math.h>
#include <string.h>

/* Heights of a triangle under this part of its longest side are a line to us: corners are placed
 * by hand to some 1e-3 of the scale's size at best. */
static const double LINE_HEIGHT = 1e-6;
/* Two solutions of the linear system this close (in eigenvalues of the normal matrix of points at
 * mean distance sqrt 2) mean that there is no one answer. */
static const double SECOND_EIGENVALUE = 1e-12;
static const double TINY_PIVOT = 1e-15;
static const int GAUSS_NEWTON_STEPS = 30;
static const double GAUSS_NEWTON_DONE = 1e-15; /* change of a coefficient of order 1 */

/* x' = scale (x - cx) */
typedef struct {
  double cx, cy, scale;
} Frame;

typedef struct {
  const double (*from)[2];
  const double (*to)[2];
  gsize n;
  Frame frame_from, frame_to;
} Fit;

static gboolean
frame_init(Frame *frame, const double (*points)[2], gsize n)
{
  double x = 0, y = 0, distance = 0;
  for (gsize i = 0; i < n; i++) {
    x += points[i][0] / (double)n;
    y += points[i][1] / (double)n;
  }
  for (gsize i = 0; i < n; i++)
    distance += hypot(points[i][0] - x, points[i][1] - y) / (double)n;
  *frame = (Frame){x, y, G_SQRT2 / distance};
  return distance > 0 && isfinite(frame->scale) && isfinite(x) && isfinite(y);
}

static void
frame_apply(const Frame *frame, const double point[2], double out[2])
{
  out[0] = frame->scale * (point[0] - frame->cx);
  out[1] = frame->scale * (point[1] - frame->cy);
}

static gboolean
on_a_line(const double a[2], const double b[2], const double c[2])
{
  double twice = fabs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
  double side = fmax(hypot(b[0] - a[0], b[1] - a[1]),
                     fmax(hypot(c[0] - b[0], c[1] - b[1]), hypot(a[0] - c[0], a[1] - c[1])));
  return !(twice > LINE_HEIGHT * side * side);
}

/* With four points every three must span a plane; with more the fit itself tells. */
static gboolean
four_are_degenerate(const double (*p)[2], gsize n)
{
  return n == 4 && (on_a_line(p[0], p[1], p[2]) || on_a_line(p[0], p[1], p[3]) ||
                    on_a_line(p[0], p[2], p[3]) || on_a_line(p[1], p[2], p[3]));
}

static gboolean
fit_init(Fit *fit, const double (*from)[2], const double (*to)[2], gsize n, GError **error)
{
  *fit = (Fit){.from = from, .to = to, .n = n};
  if (n < 4) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, "a plane needs at least four points");
    return FALSE;
  }
  if (!frame_init(&fit->frame_from, from, n) || !frame_init(&fit->frame_to, to, n)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, "the points coincide");
    return FALSE;
  }
  if (four_are_degenerate(from, n) || four_are_degenerate(to, n)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "three of the four points lie on a line or coincide");
    return FALSE;
  }
  return TRUE;
}

static void
add_outer(double *normal, const double *row)
{
  for (int i = 0; i < 9; i++)
    for (int j = 0; j < 9; j++)
      normal[i * 9 + j] += row[i] * row[j];
}

/* Four points: eight equations for eight entries, h[8] being 1 where the centre of the points lies.
 * No singular value is needed, which makes the many fits of an uncertainty quick. */
static gboolean
solve_four(const Fit *fit, double h[9])
{
  double a[64];
  for (gsize i = 0; i < 4; i++) {
    double p[2], q[2];
    frame_apply(&fit->frame_from, fit->from[i], p);
    frame_apply(&fit->frame_to, fit->to[i], q);
    double rows[16] = {p[0], p[1], 1, 0,    0,    0, -q[0] * p[0], -q[0] * p[1],
                       0,    0,    0, p[0], p[1], 1, -q[1] * p[0], -q[1] * p[1]};
    memcpy(a + 16 * i, rows, sizeof rows);
    h[2 * i] = q[0];
    h[2 * i + 1] = q[1];
  }
  h[8] = 1;
  return pw_solve(a, h, 8, TINY_PIVOT);
}

/* The direct linear solution in normalised frames, all nine entries, of unit length. */
static gboolean
solve_linear(const Fit *fit, double h[9])
{
  double normal[81] = {0}, values[9], vectors[81];
  for (gsize i = 0; i < fit->n; i++) {
    double p[2], q[2];
    frame_apply(&fit->frame_from, fit->from[i], p);
    frame_apply(&fit->frame_to, fit->to[i], q);
    add_outer(normal, (double[9]){p[0], p[1], 1, 0, 0, 0, -q[0] * p[0], -q[0] * p[1], -q[0]});
    add_outer(normal, (double[9]){0, 0, 0, p[0], p[1], 1, -q[1] * p[0], -q[1] * p[1], -q[1]});
  }
  pw_eigen_symmetric(normal, values, vectors, 9);
  int least = 0, largest = 0;
  for (int i = 1; i < 9; i++) {
    least = values[i] < values[least] ? i : least;
    largest = values[i] > values[largest] ? i : largest;
  }
  for (int i = 0; i < 9; i++) {
    if (i != least && values[i] < SECOND_EIGENVALUE * values[largest])
      return FALSE;
    h[i] = vectors[i * 9 + least];
  }
  return TRUE;
}

/* h[8] = 1 where the centre of the points lies; FALSE when it lies on the horizon. */
static gboolean
normalise(double h[9])
{
  double last = h[8], largest = 0;
  for (int i = 0; i < 9; i++)
    largest = fmax(largest, fabs(h[i]));
  if (!(fabs(last) > 1e-12 * largest))
    return FALSE;
  for (int i = 0; i < 8; i++)
    h[i] /= last;
  h[8] = 1;
  return TRUE;
}

/* The points must all lie on one side of the horizon, that of their centre. */
static gboolean
horizon_is_clear(const Fit *fit, const double h[9])
{
  for (gsize i = 0; i < fit->n; i++) {
    double p[2];
    frame_apply(&fit->frame_from, fit->from[i], p);
    if (!(h[6] * p[0] + h[7] * p[1] + 1 > 1e-9))
      return FALSE;
  }
  return TRUE;
}

static double
sum_of_squares(const Fit *fit, const double h[9])
{
  PwHomography map;
  for (int i = 0; i < 9; i++)
    map.m[i] = h[i];
  double sum = 0;
  for (gsize i = 0; i < fit->n; i++) {
    double p[2], q[2], x, y;
    frame_apply(&fit->frame_from, fit->from[i], p);
    frame_apply(&fit->frame_to, fit->to[i], q);
    pw_homography_apply(&map, p[0], p[1], &x, &y);
    sum += (x - q[0]) * (x - q[0]) + (y - q[1]) * (y - q[1]);
  }
  return sum;
}

static void
add_equation(double *normal, double *right, const double row[8], double residual)
{
  for (int i = 0; i < 8; i++) {
    for (int j = 0; j < 8; j++)
      normal[i * 8 + j] += row[i] * row[j];
    right[i] += row[i] * residual;
  }
}

/* What a coefficient of h changes in the place of a point p: a row for x, one for y. */
static void
derivatives(const double h[9], const double p[2], double in_x[8], double in_y[8], double at[2])
{
  double w = h[6] * p[0] + h[7] * p[1] + 1;
  double x = (h[0] * p[0] + h[1] * p[1] + h[2]) / w;
  double y = (h[3] * p[0] + h[4] * p[1] + h[5]) / w;
  double px = p[0] / w, py = p[1] / w;
  memcpy(in_x, (double[8]){px, py, 1 / w, 0, 0, 0, -x * px, -x * py}, 8 * sizeof *in_x);
  memcpy(in_y, (double[8]){0, 0, 0, px, py, 1 / w, -y * px, -y * py}, 8 * sizeof *in_y);
  at[0] = x;
  at[1] = y;
}

/* One step of Gauss-Newton: the change of the eight coefficients. */
static gboolean
gauss_newton_step(const Fit *fit, const double h[9], double step[8])
{
  double normal[64] = {0};
  for (int i = 0; i < 8; i++)
    step[i] = 0;
  for (gsize i = 0; i < fit->n; i++) {
    double p[2], q[2], at[2], in_x[8], in_y[8];
    frame_apply(&fit->frame_from, fit->from[i], p);
    frame_apply(&fit->frame_to, fit->to[i], q);
    derivatives(h, p, in_x, in_y, at);
    add_equation(normal, step, in_x, q[0] - at[0]);
    add_equation(normal, step, in_y, q[1] - at[1]);
  }
  return pw_solve(normal, step, 8, TINY_PIVOT);
}

/* Refines while the sum of squares falls; the linear solution stands where it does not. */
static void
refine(const Fit *fit, double h[9])
{
  double best = sum_of_squares(fit, h);
  for (int round = 0; round < GAUSS_NEWTON_STEPS; round++) {
    double step[8], tried[9], largest = 0;
    if (!gauss_newton_step(fit, h, step))
      return;
    for (int i = 0; i < 8; i++) {
      tried[i] = h[i] + step[i];
      largest = fmax(largest, fabs(step[i]));
    }
    tried[8] = 1;
    double sum = horizon_is_clear(fit, tried) ? sum_of_squares(fit, tried) : HUGE_VAL;
    if (!(sum < best))
      return;
    best = sum;
    for (int i = 0; i < 8; i++)
      h[i] = tried[i];
    if (largest < GAUSS_NEWTON_DONE)
      return;
  }
}

static void
multiply3(const double a[9], const double b[9], double out[9])
{
  double product[9];
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      product[3 * i + j] = a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
  for (int i = 0; i < 9; i++)
    out[i] = product[i];
}

/* Out of the normalised frames. */
static gboolean
unframe(const Fit *fit, const double h[9], PwHomography *out)
{
  const Frame *f = &fit->frame_from, *t = &fit->frame_to;
  const double into[9] = {f->scale, 0, -f->scale * f->cx, 0, f->scale, -f->scale * f->cy, 0, 0, 1};
  const double back[9] = {1 / t->scale, 0, t->cx, 0, 1 / t->scale, t->cy, 0, 0, 1};
  multiply3(h, into, out->m);
  multiply3(back, out->m, out->m);
  return normalise(out->m);
}

gboolean
pw_homography_fit(const double (*from)[2], const double (*to)[2], gsize n, PwHomography *h,
                  double *rms, GError **error)
{
  Fit fit;
  double m[9];
  if (!fit_init(&fit, from, to, n, error))
    return FALSE;
  if (n == 4 ? !solve_four(&fit, m) : !solve_linear(&fit, m)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "the points lie on a line, or their plane is seen edge-on");
    return FALSE;
  }
  if (!normalise(m) || !horizon_is_clear(&fit, m)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "the points are not the picture of a flat figure; are they in order?");
    return FALSE;
  }
  refine(&fit, m);
  if (rms)
    *rms = sqrt(sum_of_squares(&fit, m) / (double)n) / fit.frame_to.scale;
  if (!unframe(&fit, m, h)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "the plane's horizon runs through the picture's corner");
    return FALSE;
  }
  return TRUE;
}

gboolean
pw_homography_spread(const PwHomography *h, const double (*from)[2], gsize n, double changes[8][8])
{
  double normal[64] = {0}, unused[8] = {0};
  for (gsize i = 0; i < n; i++) {
    double at[2], in_x[8], in_y[8];
    derivatives(h->m, from[i], in_x, in_y, at);
    add_equation(normal, unused, in_x, 0);
    add_equation(normal, unused, in_y, 0);
  }
  if (!pw_invert_cholesky(normal, 8, TINY_PIVOT))
    return FALSE;
  memcpy(changes, normal, sizeof normal);
  return TRUE;
}

void
pw_homography_apply(const PwHomography *h, double x, double y, double *out_x, double *out_y)
{
  const double *m = h->m;
  double w = m[6] * x + m[7] * y + m[8];
  double new_x = (m[0] * x + m[1] * y + m[2]) / w;
  *out_y = (m[3] * x + m[4] * y + m[5]) / w;
  *out_x = new_x;
}

gboolean
pw_homography_invert(const PwHomography *h, PwHomography *inverse)
{
  const double *m = h->m;
  double out[9] = {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                   m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                   m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]};
  double determinant = m[0] * out[0] + m[1] * out[3] + m[2] * out[6];
  if (!isnormal(determinant) || !isnormal(out[8]))
    return FALSE;
  for (int i = 0; i < 9; i++)
    inverse->m[i] = out[i] / out[8];
  inverse->m[8] = 1;
  return TRUE;
}

void
pw_homography_multiply(const PwHomography *a, const PwHomography *b, PwHomography *out)
{
  double product[9];
  multiply3(a->m, b->m, product);
  for (int i = 0; i < 9; i++)
    out->m[i] = product[i] / product[8];
  out->m[8] = 1;
}

void
pw_homography_jacobian(const PwHomography *h, double x, double y, double j[4])
{
  const double *m = h->m;
  double w = m[6] * x + m[7] * y + m[8], to_x, to_y;
  pw_homography_apply(h, x, y, &to_x, &to_y);
  j[0] = (m[0] - to_x * m[6]) / w;
  j[1] = (m[1] - to_x * m[7]) / w;
  j[2] = (m[3] - to_y * m[6]) / w;
  j[3] = (m[4] - to_y * m[7]) / w;
}
