/* What changes from row to row beside the line: where graduations stand, which tells their slope,
 * and how strong they are. */
#include "ticks.h"

#include <math.h>

enum { SLOPE_ROWS = 16, STRENGTH_ROWS = 40, LEAST_ROWS = 12 };
static const double ROWS_IN_PITCHES = 1.2; /* as far as the longest graduations reach */
static const double STRONGER = 1.2;        /* than on the line */
static const double GREY = 2;              /* times the graduations' own line */

/* ---- The graduations' slope -------------------------------------------------------- */

/* The rows -SLOPE_ROWS.. turned back by the curve and summed. */
static void
turn_rows(const PwTickLine *line, const PwTickCurve *curve, double complex *z)
{
  g_autofree double *row = g_new(double, line->n), *level = g_new(double, line->n);
  g_autofree double complex *turns = g_new(double complex, line->n);
  int width = 2 * (int)(line->n / curve->count / 2) + 1;
  for (int i = 0; i < line->n; i++)
    turns[i] = pw_tick_turn(pw_tick_at(curve, (i + 0.5) / line->n));
  for (int v = -SLOPE_ROWS; v <= SLOPE_ROWS; v++) {
    pw_tick_row(line, v, row);
    pw_tick_level(row, line->n, width, level);
    double complex sum = 0;
    for (int i = 0; i < line->n; i++)
      sum += level[i] * turns[i];
    z[v + SLOPE_ROWS] = sum;
  }
}

/* Px along the line for 1 px across, by a straight line through the rows' phases. */
void
pw_tick_slope(const PwTickLine *line, const PwTickCurve *curve, double *slope, double *u_slope)
{
  double complex z[2 * SLOPE_ROWS + 1], middle;
  double sums[5] = {0}; /* 1, v, v v, phase, v phase */
  turn_rows(line, curve, z);
  int first = SLOPE_ROWS, last = SLOPE_ROWS;
  middle = z[SLOPE_ROWS];
  while (first > 0 && cabs(z[first - 1]) > cabs(middle) / 2)
    first--;
  while (last < 2 * SLOPE_ROWS && cabs(z[last + 1]) > cabs(middle) / 2)
    last++;
  for (int i = first; i <= last; i++) {
    double v = i - SLOPE_ROWS, phase = carg(z[i] * conj(middle)) / (2 * G_PI);
    const double terms[] = {1, v, v * v, phase, v * phase};
    for (int k = 0; k < 5; k++)
      sums[k] += terms[k];
  }
  double spread = sums[2] - sums[1] * sums[1] / sums[0];
  double turn = spread > 0 ? (sums[4] - sums[1] * sums[3] / sums[0]) / spread : 0;
  double squares = 0;
  for (int i = first; i <= last; i++) {
    double v = i - SLOPE_ROWS - sums[1] / sums[0];
    double phase = carg(z[i] * conj(middle)) / (2 * G_PI) - sums[3] / sums[0];
    squares += (phase - turn * v) * (phase - turn * v);
  }
  double pitch = line->length / curve->count;
  *slope = -turn * pitch;
  /* neighbouring rows share pixels: half of them count */
  *u_slope =
      last - first < 3 ? PW_TICKS_STEEPEST : pitch * sqrt(2 * squares / (sums[0] - 2) / spread);
}

/* ---- Finer graduations than the picture shows --------------------------------------- */

typedef struct {
  double complex z; /* the signal's line at the curve's frequency */
  double mean;
} Strength;

static void
find_strengths(const PwTickLine *line, const PwTickCurve *curve, int rows, Strength *found)
{
  g_autofree double *row = g_new(double, line->n);
  g_autofree double complex *turns = g_new(double complex, line->n);
  for (int i = 0; i < line->n; i++)
    turns[i] = pw_tick_turn(pw_tick_at(curve, (i + 0.5) / line->n)) / line->n;
  for (int v = -rows; v <= rows; v++) {
    Strength *one = &found[v + rows];
    *one = (Strength){0};
    pw_tick_row(line, v, row);
    for (int i = 0; i < line->n; i++)
      one->mean += row[i] / line->n;
    for (int i = 0; i < line->n; i++)
      one->z += (row[i] - one->mean) * turns[i];
  }
}

static Strength
mean_strength(const Strength *rows, int n)
{
  Strength mean = {0};
  for (int i = 0; i < n; i++) {
    mean.z += rows[i].z / n;
    mean.mean += rows[i].mean / n;
  }
  return mean;
}

gboolean
pw_tick_hides_finer(const PwTickLine *line, const PwTickCurve *curve, int half)
{
  Strength found[2 * STRENGTH_ROWS + 1];
  int rows = (int)fmin(ROWS_IN_PITCHES * line->n / curve->count, STRENGTH_ROWS);
  rows = MAX(rows, LEAST_ROWS);
  find_strengths(line, curve, rows, found);
  Strength here = mean_strength(found + rows - half, 2 * half + 1);
  for (int i = 0; i + 2 < 2 * rows + 1; i++) {
    Strength there = mean_strength(found + i, 3);
    double size = cabs(there.z);
    if (size > STRONGER * cabs(here.z) && creal(there.z * conj(here.z)) > 0 &&
        fabs(there.mean - here.mean) > GREY * size)
      return TRUE;
  }
  return FALSE;
}
