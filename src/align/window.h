/* Window: a small part of the picture before, compared with what of the picture after lies over
 * it. */
#ifndef PW_ALIGN_WINDOW_H
#define PW_ALIGN_WINDOW_H

#include "grey.h"

enum {
  PW_WINDOW_SIDE = 64,
  PW_WINDOW_BOX = 12 /* px on each side of one whose mean and deviation are taken away from it */
};

/* Grey values freed of the mean and the deviation round each, inside the window and one px round
 * it. */
typedef struct {
  float *values;
  guint8 *there;
} PwNormal;

typedef struct {
  int x, y, width, height; /* px of the level */
  PwNormal before;
  double texture; /* of `before`: the smaller eigenvalue of its mean gradient products */
} PwWindow;

void pw_window_init(PwWindow *window, const PwGrey *before, int x, int y);
void pw_window_clear(PwWindow *window);

enum { PW_MOMENT_ORDER = 4, PW_ERROR_BINS = 128 };
/* What Gauss-Newton needs of a comparison: sums over pixels of weighted products of the gradient,
 * gx gx, gx gy, gy gy, and of gradient and difference, times X^i Y^j; and how large differences
 * were. X and Y are px of the level from `centre`, over `unit`. */
typedef struct {
  double products[3][PW_MOMENT_ORDER + 1][PW_MOMENT_ORDER + 1];
  double differences[2][3][3];
  double own; /* half the sum of the squared gradients of both, so weighted */
  guint bins[PW_ERROR_BINS];
  guint n;
} PwSums;
#define PW_ERROR_BIN (1 / 32.0f) /* wide, in deviations */

typedef struct {
  const PwGrey *after;
  PwHomography to_after; /* px of the level of before to px of `after` */
  PwPx centre;
  double unit;
  double cut; /* differences from here on count nothing (Tukey's weights); in deviations */
} PwComparison;
void pw_window_compare(const PwWindow *window, const PwComparison *with, PwSums *sums);
/* How far the gradients of the two agree: 1 where they are the same, 0 where they have nothing in
 * common. */
double pw_sums_alike(const PwSums *sums);
/* Adds what a window has to say, as far as the gradients of the two pictures agree in it: what is
 * noise, or was treated, says nothing. */
void pw_sums_add(PwSums *all, const PwSums *of_window);

#endif
