/* From the plane to a signal along the line. */
#include "ticks.h"

#include <math.h>

/* The plane at a point in px, whose pixel centres are at .5, bilinear; beyond the edge the edge's
 * own pixels. */
static double
sample(const PwPlane *grey, double x, double y)
{
  double px = fmin(fmax(x - 0.5, 0), grey->width - 1);
  double py = fmin(fmax(y - 0.5, 0), grey->height - 1);
  int left = (int)px, top = (int)py;
  double fx = px - left, fy = py - top;
  int right = left + 1 < grey->width ? 1 : 0;
  const guint8 *upper = grey->pixels + (gsize)top * grey->stride + left;
  const guint8 *lower = top + 1 < grey->height ? upper + grey->stride : upper;
  return (1 - fy) * ((1 - fx) * upper[0] + fx * upper[right]) +
         fy * ((1 - fx) * lower[0] + fx * lower[right]);
}

void
pw_tick_row(const PwTickLine *line, double across, double *row)
{
  double ux = (line->to.x - line->from.x) / line->length;
  double uy = (line->to.y - line->from.y) / line->length;
  for (int i = 0; i < line->n; i++) {
    double u = (i + 0.5) / line->n;
    double v = across + line->shift_from + (line->shift_to - line->shift_from) * u;
    double s = u * line->length + line->slope * v;
    row[i] = sample(line->grey, line->from.x + s * ux + v * uy, line->from.y + s * uy - v * ux);
  }
}

void
pw_tick_band(const PwTickLine *line, int half, double *signal)
{
  g_autofree double *row = g_new(double, line->n);
  for (int i = 0; i < line->n; i++)
    signal[i] = 0;
  for (int v = -half; v <= half; v++) {
    pw_tick_row(line, v, row);
    for (int i = 0; i < line->n; i++)
      signal[i] += row[i] / (2 * half + 1);
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
