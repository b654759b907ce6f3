/* The phase fit: the signal is turned back by a candidate's own phase, so that what is left turns
 * slowly; where it points, piece by piece along the line, is how far the candidate is off. */
#include "ticks.h"

#include <math.h>

enum { UNKNOWNS = 3, GROUPS = 64, MOST_PIECES = 4096, PASSES = 3 };
static const double SEARCH_STEP = 0.3;  /* graduations at the end, and about the middle */
static const double SEARCH_BEND = 0.02; /* a little over half of the candidates' step */
static const double LEAST_SEEN = 0.35;  /* of the median amplitude */
static const double PIECES_WANTED = 16, LONGEST_PIECE = 4; /* graduations in one */
static const double WINDOWS_OVERLAP = 1.0 / 6; /* correlation of neighbouring Hann windows */

typedef struct {
  double u;
  double complex z;
} Piece;

/* ---- The search: slip by slip, over what the candidate leaves open ------------------ */

static int
group(const double *signal, int n, const PwTickCurve *curve, Piece *groups)
{
  int m = (int)CLAMP(curve->count / 2, 4, GROUPS);
  for (int j = 0; j < m; j++)
    groups[j] = (Piece){(j + 0.5) / m, 0};
  for (int i = 0; i < n; i++) {
    double u = (i + 0.5) / n;
    groups[(int)(u * m)].z += signal[i] * pw_tick_turn(pw_tick_at(curve, u));
  }
  return m;
}

/* The groups turned back by a bend that differs by `bend` and a count that is `more` larger, and
 * the turns that one SEARCH_STEP of the count adds to each. */
static void
turn_groups(const Piece *groups, int m, const PwTickCurve *curve, double more, double bend,
            double complex *turned, double complex *steps)
{
  PwTickCurve base = {0, curve->count, curve->bend};
  PwTickCurve moved = {0, curve->count + more, curve->bend + bend};
  PwTickCurve one = {0, SEARCH_STEP, moved.bend};
  for (int j = 0; j < m; j++) {
    double u = groups[j].u;
    turned[j] = groups[j].z * pw_tick_turn(pw_tick_at(&moved, u) - pw_tick_at(&base, u));
    steps[j] = pw_tick_turn(pw_tick_at(&one, u));
  }
}

static void
search(const double *signal, int n, double slack, PwTickCurve *curve)
{
  Piece groups[GROUPS];
  double complex turned[GROUPS], steps[GROUPS];
  int m = group(signal, n, curve, groups);
  double bend_step = 4 * SEARCH_STEP / curve->count;
  int bends = (int)(SEARCH_BEND / bend_step) + 1, mores = (int)(slack / SEARCH_STEP) + 1;
  double best = -1, best_more = 0, best_bend = 0;
  for (int b = -bends; b <= bends; b++) {
    turn_groups(groups, m, curve, -mores * SEARCH_STEP, b * bend_step, turned, steps);
    for (int k = -mores; k <= mores; k++) {
      double complex sum = 0;
      for (int j = 0; j < m; j++) {
        sum += turned[j];
        turned[j] *= steps[j];
      }
      if (cabs(sum) > best) {
        best = cabs(sum);
        best_more = k * SEARCH_STEP;
        best_bend = b * bend_step;
      }
    }
  }
  curve->count += best_more;
  curve->bend += best_bend;
}

/* ---- The fit ----------------------------------------------------------------------- */

/* Pieces of `each` graduations under Hann windows that overlap by half; those cut off at the ends
 * are left out. */
static int
demodulate(const double *signal, int n, const PwTickCurve *curve, double each, Piece *pieces)
{
  double first = pw_tick_at(curve, 0);
  int m = (int)(curve->count / each) - 1;
  if (m < UNKNOWNS + 1 || m > MOST_PIECES)
    return 0;
  for (int j = 0; j < m; j++)
    pieces[j] = (Piece){0, 0};
  for (int i = 0; i < n; i++) {
    double u = (i + 0.5) / n, t = pw_tick_at(curve, u);
    double at = (t - first) / each - 1; /* piece j has its middle at at = j */
    int j = (int)floor(at);
    double part = cos(G_PI * (at - j) / 2);
    double complex z = signal[i] * pw_tick_turn(t);
    if (j >= 0 && j < m)
      pieces[j].z += part * part * z;
    if (j + 1 >= 0 && j + 1 < m)
      pieces[j + 1].z += (1 - part * part) * z;
  }
  for (int j = 0; j < m; j++) { /* u of the piece's middle, the curve turned round */
    double part = (j + 1) * each / curve->count;
    pieces[j].u = part / (1 + curve->bend - curve->bend * part);
  }
  return m;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median_amplitude(const Piece *pieces, int m)
{
  g_autofree double *sizes = g_new(double, m);
  for (int j = 0; j < m; j++)
    sizes[j] = cabs(pieces[j].z);
  qsort(sizes, (gsize)m, sizeof *sizes, compare_doubles);
  return sizes[m / 2];
}

/* Keeps the pieces in which the graduations are seen. */
static int
keep_seen(Piece *pieces, int m)
{
  double least = LEAST_SEEN * median_amplitude(pieces, m);
  int kept = 0;
  for (int j = 0; j < m; j++)
    if (cabs(pieces[j].z) > least)
      pieces[kept++] = pieces[j];
  return kept;
}

/* The inverse of a symmetric positive 3 x 3 by cofactors. */
static gboolean
invert(double a[3][3], double inverse[3][3])
{
  double det = 0;
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) {
      int r = (j + 1) % 3, s = (j + 2) % 3, p = (i + 1) % 3, q = (i + 2) % 3;
      inverse[i][j] = a[r][p] * a[s][q] - a[r][q] * a[s][p];
    }
  for (int j = 0; j < 3; j++)
    det += a[0][j] * inverse[j][0];
  if (!(fabs(det) > 1e-12 * a[0][0] * a[1][1] * a[2][2]))
    return FALSE;
  for (int i = 0; i < 9; i++)
    inverse[i / 3][i % 3] /= det;
  return TRUE;
}

/* How t changes with phase, count and bend (the last in graduations about the middle). */
static void
derivatives(const PwTickCurve *curve, double u, double d[UNKNOWNS])
{
  double below = 1 + curve->bend * u;
  d[0] = 1;
  d[1] = u * (1 + curve->bend) / below;
  d[2] = u * (1 - u) / (below * below);
}

/* One step of least squares on the phases. `residuals` gets what was left before it. */
static gboolean
step(const Piece *pieces, int m, PwTickCurve *curve, double *residuals, double inverse[3][3])
{
  double normal[UNKNOWNS][UNKNOWNS] = {{0}}, right[UNKNOWNS] = {0}, d[UNKNOWNS];
  double complex sum = 0;
  for (int j = 0; j < m; j++)
    sum += pieces[j].z / cabs(pieces[j].z);
  for (int j = 0; j < m; j++) {
    residuals[j] = carg(pieces[j].z * conj(sum)) / (2 * G_PI);
    derivatives(curve, pieces[j].u, d);
    for (int p = 0; p < UNKNOWNS; p++) {
      right[p] += d[p] * residuals[j];
      for (int q = 0; q < UNKNOWNS; q++)
        normal[p][q] += d[p] * d[q];
    }
  }
  if (!invert(normal, inverse))
    return FALSE;
  double move[UNKNOWNS] = {0};
  for (int p = 0; p < UNKNOWNS; p++)
    for (int q = 0; q < UNKNOWNS; q++)
      move[p] += inverse[p][q] * right[q];
  for (int j = 0; j < m; j++) {
    derivatives(curve, pieces[j].u, d);
    residuals[j] -= d[0] * move[0] + d[1] * move[1] + d[2] * move[2];
  }
  curve->phase += move[0] + carg(sum) / (2 * G_PI);
  curve->count += move[1];
  curve->bend += move[2] / curve->count;
  return TRUE;
}

/* Neighbouring pieces overlap, and what a bent tape or an uneven print does to one it does to the
 * next: the scatter says less of the fit than its pieces are many. */
static double
correlation(const double *residuals, int m)
{
  double squares = 1e-30, neighbours = 0;
  for (int j = 0; j < m; j++)
    squares += residuals[j] * residuals[j];
  for (int j = 0; j + 1 < m; j++)
    neighbours += residuals[j] * residuals[j + 1];
  return CLAMP(neighbours / squares, WINDOWS_OVERLAP, 0.8);
}

static void
judge(const double *residuals, int m, double inverse[3][3], PwTickFit *fit)
{
  double squares = 0, r = correlation(residuals, m);
  for (int j = 0; j < m; j++)
    squares += residuals[j] * residuals[j];
  fit->dof = m - UNKNOWNS;
  fit->residual = sqrt(squares / m);
  fit->u_count = sqrt(squares / fit->dof * inverse[1][1] * (1 + r) / (1 - r));
}

gboolean
pw_tick_fit(const double *signal, int n, const PwTickCurve *start, double slack, PwTickFit *fit)
{
  fit->curve = *start;
  search(signal, n, slack, &fit->curve);
  g_autofree Piece *pieces = g_new(Piece, MOST_PIECES);
  g_autofree double *residuals = g_new(double, MOST_PIECES);
  for (int pass = 0; pass < PASSES; pass++) {
    double inverse[3][3];
    double each = CLAMP(fit->curve.count / PIECES_WANTED, 1, LONGEST_PIECE);
    int m = demodulate(signal, n, &fit->curve, each, pieces);
    int kept = m > 0 ? keep_seen(pieces, m) : 0;
    if (kept < UNKNOWNS + 1 || !step(pieces, kept, &fit->curve, residuals, inverse))
      return FALSE;
    judge(residuals, kept, inverse, fit);
    fit->seen = (double)kept / m;
    if (!(fabs(fit->curve.bend) < 0.5) || !(fit->curve.count > 1))
      return FALSE;
  }
  return TRUE;
}
