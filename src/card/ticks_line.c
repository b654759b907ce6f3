/* From the plane to a signal along the line. */
#include "ticks.h"

#include <math.h>

enum { TAPS = 6, BEFORE = 2 };

/* Lagrange's weights of six neighbours at -2..3 for a place `f` in 0..1. Between two neighbours on
 * a straight line a pitch of 3.4 px would stand up to 0.02 of itself from where it is, and further
 * along the line, where pixels lie otherwise, to the other side. */
static void
weigh(double f, double weights[TAPS])
{
  const double below[TAPS] = {-120, 24, -12, 12, -24, 120};
  for (int k = 0; k < TAPS; k++) {
    weights[k] = 1 / below[k];
    for (int j = 0; j < TAPS; j++)
      if (j != k)
        weights[k] *= f - (j - BEFORE);
  }
}

/* Where the rows of samples go in the plane: `along` is the step from pixel to pixel on the axis
 * nearer to the line, `across` on the other; they end at n_along and n_across. */
typedef struct {
  gboolean level; /* the line runs along x more than along y */
  const guint8 *pixels;
  gsize along, across;
  int n_along, n_across;
} Grid;

static Grid
grid_of(const PwTickLine *line)
{
  const PwPlane *grey = line->grey;
  gboolean level = fabs(line->to.x - line->from.x) >= fabs(line->to.y - line->from.y);
  return level ? (Grid){TRUE, grey->pixels, 1, grey->stride, grey->width, grey->height}
               : (Grid){FALSE, grey->pixels, grey->stride, 1, grey->height, grey->width};
}

/* The plane at a point in px, whose pixel centres are at .5: by six pixels along, linear across;
 * beyond the edge the edge's own pixels. */
static double
sample(const Grid *grid, double along, double across)
{
  double a = fmin(fmax(along - 0.5, 0), grid->n_along - 1);
  double c = fmin(fmax(across - 0.5, 0), grid->n_across - 1);
  int first = (int)a, upper = (int)c, lower = upper + 1 < grid->n_across ? upper + 1 : upper;
  double weights[TAPS], part = c - upper, sum = 0;
  weigh(a - first, weights);
  const guint8 *near = grid->pixels + (gsize)upper * grid->across;
  const guint8 *far = grid->pixels + (gsize)lower * grid->across;
  for (int k = 0; k < TAPS; k++) {
    gsize at = (gsize)CLAMP(first + k - BEFORE, 0, grid->n_along - 1) * grid->along;
    sum += weights[k] * (near[at] + part * (far[at] - near[at]));
  }
  return sum;
}

void
pw_tick_row(const PwTickLine *line, double across, double *row)
{
  const Grid grid = grid_of(line);
  double ux = (line->to.x - line->from.x) / line->length;
  double uy = (line->to.y - line->from.y) / line->length;
  for (int i = 0; i < line->n; i++) {
    double u = (i + 0.5) / line->n;
    double v = across + line->shift_from + (line->shift_to - line->shift_from) * u;
    double s = u * line->length + line->slope * v;
    double x = line->from.x + s * ux + v * uy, y = line->from.y + s * uy - v * ux;
    row[i] = grid.level ? sample(&grid, x, y) : sample(&grid, y, x);
  }
}

double *
pw_tick_rows(const PwTickLine *line)
{
  double *rows = g_new(double, (gsize)(2 * PW_TICKS_WIDEST + 1) * (gsize)line->n);
  for (int v = -PW_TICKS_WIDEST; v <= PW_TICKS_WIDEST; v++)
    pw_tick_row(line, v, rows + (gsize)(v + PW_TICKS_WIDEST) * (gsize)line->n);
  return rows;
}

void
pw_tick_band(const PwTickLine *line, int half, double *signal)
{
  g_autofree double *row = g_new(double, line->n);
  for (int i = 0; i < line->n; i++)
    signal[i] = 0;
  for (int v = -half; v <= half; v++) {
    const double *one = row;
    if (line->rows != NULL)
      one = line->rows + (gsize)(v + PW_TICKS_WIDEST) * (gsize)line->n;
    else
      pw_tick_row(line, v, row);
    for (int i = 0; i < line->n; i++)
      signal[i] += one[i] / (2 * half + 1);
  }
}

void
pw_tick_level(const double *signal, int n, int width, double *level)
{
  int half = MIN(width / 2, (n - 1) / 2);
  g_autofree double *sums = g_new(double, n + 1);
  sums[0] = 0;
  for (int i = 0; i < n; i++)
    sums[i + 1] = sums[i] + signal[i];
  for (int i = 0; i < n; i++) {
    int first = CLAMP(i - half, 0, n - 1 - 2 * half); /* whole windows at the ends too */
    level[i] = signal[i] - (sums[first + 2 * half + 1] - sums[first]) / (2 * half + 1);
  }
}
