/* Window: the two pictures compared where light no longer tells them apart. Both gradients are used
 * halfway (as in efficient second-order minimisation, Malis 2004), which doubles the reach of a
 * step. */
#include "window.h"

#include <math.h>
#include <string.h>

enum {
  RING = 1, /* px round the window, for gradients */
  RIM = RING + PW_WINDOW_BOX,
  PADDED = PW_WINDOW_SIDE + 2 * RIM,
  SPAN = 2 * PW_WINDOW_BOX + 1
};
/* Grey values: what is added to a deviation, so that noise of a bare surface is not blown up. */
#define LEAST_DEVIATION 2.0
/* Of a window whose gradients have nothing in common: it may yet have, after a few steps. */
#define LEAST_WEIGHT 0.02
/* Sums of squares keep their digits near zero. */
#define MIDDLE_GREY 128.0f

typedef struct {
  double n, sum, squares;
} Box;

static void
add(Box *box, const Box *other, double sign)
{
  box->n += sign * other->n;
  box->sum += sign * other->sum;
  box->squares += sign * other->squares;
}

static Box
box_of(float value, guint8 there)
{
  double v = there ? value - MIDDLE_GREY : 0;
  return (Box){there, v, v * v};
}

/* One row: boxes are sums of the columns they span. */
static void
normalise_row(const Box *columns, const float *values, const guint8 *there, int n, float *out,
              guint8 *out_there)
{
  Box box = {0};
  for (int x = 0; x < SPAN - 1; x++)
    add(&box, &columns[x], 1);
  for (int x = 0; x < n; x++) {
    add(&box, &columns[x + SPAN - 1], 1);
    double mean = box.n > 0 ? box.sum / box.n : 0;
    double variance = box.n > 0 ? MAX(box.squares / box.n - mean * mean, 0) : 0;
    out_there[x] = there[x] && box.n > SPAN * SPAN / 2;
    double value = (double)(values[x] - MIDDLE_GREY);
    out[x] = (float)((value - mean) / (sqrt(variance) + LEAST_DEVIATION));
    add(&box, &columns[x], -1);
  }
}

/* From a padded piece, `width` x `height` with its ring. */
static void
normalise(const float *values, const guint8 *there, int width, int height, PwNormal *normal)
{
  const int padded = width + 2 * PW_WINDOW_BOX;
  Box columns[PADDED] = {{0}};
  for (int y = 0; y < height + 2 * PW_WINDOW_BOX; y++) {
    for (int x = 0; x < padded; x++) {
      Box in = box_of(values[y * padded + x], there[y * padded + x]);
      add(&columns[x], &in, 1);
    }
    int row = y - (SPAN - 1);
    if (row < 0)
      continue;
    int middle = (row + PW_WINDOW_BOX) * padded + PW_WINDOW_BOX;
    normalise_row(columns, values + middle, there + middle, width, normal->values + row * width,
                  normal->there + row * width);
    for (int x = 0; x < padded; x++) {
      Box outgoing = box_of(values[row * padded + x], there[row * padded + x]);
      add(&columns[x], &outgoing, -1);
    }
  }
}

static gsize
n_with_ring(const PwWindow *window)
{
  return (gsize)(window->width + 2 * RING) * (gsize)(window->height + 2 * RING);
}

static gboolean
is_there(const PwNormal *normal, int at, int stride)
{
  const guint8 *there = normal->there + at;
  return there[0] && there[-1] && there[1] && there[-stride] && there[stride];
}

static void
set_texture(PwWindow *window)
{
  const int stride = window->width + 2 * RING;
  double xx = 0, xy = 0, yy = 0;
  for (int y = RING; y < window->height + RING; y++)
    for (int x = RING; x < window->width + RING; x++) {
      const float *at = window->before.values + y * stride + x;
      double gx = (at[1] - at[-1]) / 2, gy = (at[stride] - at[-stride]) / 2;
      if (!is_there(&window->before, y * stride + x, stride))
        continue;
      xx += gx * gx;
      xy += gx * gy;
      yy += gy * gy;
    }
  window->texture = ((xx + yy) - hypot(xx - yy, 2 * xy)) / (2.0 * window->width * window->height);
}

void
pw_window_init(PwWindow *window, const PwGrey *before, int x, int y)
{
  *window = (PwWindow){x,
                       y,
                       MIN(PW_WINDOW_SIDE, before->width - x),
                       MIN(PW_WINDOW_SIDE, before->height - y),
                       {NULL, NULL},
                       0};
  float values[PADDED * PADDED];
  guint8 there[PADDED * PADDED];
  pw_grey_cut(before, x - RIM, y - RIM, window->width + 2 * RIM, window->height + 2 * RIM, values,
              there);
  window->before.values = g_new(float, n_with_ring(window));
  window->before.there = g_new(guint8, n_with_ring(window));
  normalise(values, there, window->width + 2 * RING, window->height + 2 * RING, &window->before);
  set_texture(window);
}

void
pw_window_clear(PwWindow *window)
{
  g_free(window->before.values);
  g_free(window->before.there);
  *window = (PwWindow){0};
}

/* ---- The comparison ---------------------------------------------------------------- */

typedef struct {
  float x, y;
} Gradient;

static Gradient
gradient_at(const float *at, int stride, float unit)
{
  return (Gradient){unit * (at[1] - at[-1]) / 2, unit * (at[stride] - at[-stride]) / 2};
}

/* Sums over one row, by powers of X. */
typedef struct {
  float products[3][PW_MOMENT_ORDER + 1];
  float differences[2][3];
  float own;
} RowSums;

/* Of the products of gradients those between the pictures are summed, not those of one with itself:
 * the noise of the one does not know that of the other, and where there is nothing but noise they
 * sum to nothing. */
static void
add_pixel(RowSums *row, float x, const Gradient *b, const Gradient *a, float e, float weight)
{
  float p[3] = {weight * b->x * a->x, weight * (b->x * a->y + b->y * a->x) / 2,
                weight * b->y * a->y};
  float d[2] = {weight * (b->x + a->x) * e / 2, weight * (b->y + a->y) * e / 2};
  row->own += weight * (b->x * b->x + b->y * b->y + a->x * a->x + a->y * a->y) / 2;
  for (int i = 0; i <= PW_MOMENT_ORDER; i++)
    for (int k = 0; k < 3; k++) {
      row->products[k][i] += p[k];
      p[k] *= x;
    }
  for (int i = 0; i < 3; i++)
    for (int k = 0; k < 2; k++) {
      row->differences[k][i] += d[k];
      d[k] *= x;
    }
}

static void
add_row(PwSums *sums, const RowSums *row, double y)
{
  double power = 1;
  sums->own += (double)row->own;
  for (int j = 0; j <= PW_MOMENT_ORDER; j++, power *= y) {
    for (int k = 0; k < 3; k++)
      for (int i = 0; i + j <= PW_MOMENT_ORDER; i++)
        sums->products[k][i][j] += power * (double)row->products[k][i];
    for (int k = 0; j < 3 && k < 2; k++)
      for (int i = 0; i + j < 3; i++)
        sums->differences[k][i][j] += power * (double)row->differences[k][i];
  }
}

static void
compare_row(const PwWindow *window, const PwNormal *after, int y, const PwComparison *with,
            PwSums *sums)
{
  const int stride = window->width + 2 * RING;
  const PwNormal *before = &window->before;
  const float unit = (float)with->unit;
  RowSums row = {0};
  for (int x = 0; x < window->width; x++) {
    int at = (y + RING) * stride + x + RING;
    if (!is_there(before, at, stride) || !is_there(after, at, stride))
      continue;
    const float *b = before->values + at, *a = after->values + at;
    float e = b[0] - a[0], size = fabsf(e);
    sums->bins[MIN((guint)(size / PW_ERROR_BIN), PW_ERROR_BINS - 1)]++;
    sums->n++;
    if (size >= (float)with->cut)
      continue;
    float t = size / (float)with->cut, weight = (1 - t * t) * (1 - t * t);
    Gradient of_before = gradient_at(b, stride, unit), of_after = gradient_at(a, stride, unit);
    add_pixel(&row, (float)((window->x + x + 0.5 - with->centre.x) / with->unit), &of_before,
              &of_after, e, weight);
  }
  add_row(sums, &row, (window->y + y + 0.5 - with->centre.y) / with->unit);
}

void
pw_window_compare(const PwWindow *window, const PwComparison *with, PwSums *sums)
{
  float values[PADDED * PADDED], normal[PADDED * PADDED];
  guint8 there[PADDED * PADDED], normal_there[PADDED * PADDED];
  PwNormal after = {normal, normal_there};
  memset(sums, 0, sizeof *sums);
  pw_grey_warp(with->after, &with->to_after, window->x - RIM, window->y - RIM,
               window->width + 2 * RIM, window->height + 2 * RIM, values, there);
  normalise(values, there, window->width + 2 * RING, window->height + 2 * RING, &after);
  for (int y = 0; y < window->height; y++)
    compare_row(window, &after, y, with, sums);
}

static void
add_scaled(double *to, const double *from, gsize n, double by)
{
  for (gsize i = 0; i < n; i++)
    to[i] += by * from[i];
}

double
pw_sums_alike(const PwSums *sums)
{
  double shared = sums->products[0][0][0] + sums->products[2][0][0];
  return sums->own > 0 ? shared / sums->own : 0;
}

void
pw_sums_add(PwSums *all, const PwSums *one)
{
  double weight = CLAMP(pw_sums_alike(one), LEAST_WEIGHT, 1);
  add_scaled(&all->products[0][0][0], &one->products[0][0][0],
             sizeof all->products / sizeof(double), weight);
  add_scaled(&all->differences[0][0][0], &one->differences[0][0][0],
             sizeof all->differences / sizeof(double), weight);
  all->own += weight * one->own;
  for (guint i = 0; i < PW_ERROR_BINS; i++)
    all->bins[i] += one->bins[i];
  all->n += one->n;
}
