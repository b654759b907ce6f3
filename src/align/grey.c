/* Grey: smaller copies by plain means of squares, so that places keep their coordinates up to the
 * scale; and pieces cut out, straight or where a homography puts them. */
#include "grey.h"

#include <math.h>
#include <string.h>

/* Of a card, about its middle: at its edge a px of a small copy is half card, and its shadow lies
 * beside it. */
#define LARGER 1.25

/* ---- What is left out ------------------------------------------------------------------ */

static void
left_out_init(PwLeftOut *left_out, const PwPxPath *card)
{
  *left_out =
      (PwLeftOut){{g_new(PwPx, card->n), card->n}, {HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};
  PwPx middle = {0, 0};
  for (gsize i = 0; i < card->n; i++) {
    middle.x += card->points[i].x / (double)card->n;
    middle.y += card->points[i].y / (double)card->n;
  }
  for (gsize i = 0; i < card->n; i++) {
    PwPx at = {middle.x + LARGER * (card->points[i].x - middle.x),
               middle.y + LARGER * (card->points[i].y - middle.y)};
    left_out->outline.points[i] = at;
    left_out->low = (PwPx){fmin(left_out->low.x, at.x), fmin(left_out->low.y, at.y)};
    left_out->high = (PwPx){fmax(left_out->high.x, at.x), fmax(left_out->high.y, at.y)};
  }
}

gboolean
pw_grey_is_left_out(const PwGrey *grey, double x, double y)
{
  PwPx at = {x / grey->scale, y / grey->scale};
  for (gsize i = 0; i < grey->n_left_out; i++) {
    const PwLeftOut *out = &grey->left_out[i];
    if (at.x >= out->low.x && at.y >= out->low.y && at.x <= out->high.x && at.y <= out->high.y &&
        pw_px_is_inside(&out->outline, at))
      return TRUE;
  }
  return FALSE;
}

/* Whether what `h` makes of a rectangle may touch what is left out. */
static gboolean
touches_left_out(const PwGrey *grey, const PwHomography *h, int x, int y, int width, int height)
{
  PwPx low = {HUGE_VAL, HUGE_VAL}, high = {-HUGE_VAL, -HUGE_VAL};
  if (grey->n_left_out == 0)
    return FALSE;
  for (int i = 0; i < 4; i++) {
    PwPx at;
    double corner_x = x + (i % 2 ? width : 0), corner_y = y + (i / 2 ? height : 0);
    if (!(h->m[6] * corner_x + h->m[7] * corner_y + h->m[8] > 0))
      return TRUE;
    pw_homography_apply(h, corner_x, corner_y, &at.x, &at.y);
    low = (PwPx){fmin(low.x, at.x / grey->scale), fmin(low.y, at.y / grey->scale)};
    high = (PwPx){fmax(high.x, at.x / grey->scale), fmax(high.y, at.y / grey->scale)};
  }
  for (gsize i = 0; i < grey->n_left_out; i++) {
    const PwLeftOut *out = &grey->left_out[i];
    if (low.x <= out->high.x && low.y <= out->high.y && high.x >= out->low.x &&
        high.y >= out->low.y)
      return TRUE;
  }
  return FALSE;
}

/* Marks as not there what lies on what is left out. */
static void
leave_out(const PwGrey *grey, const PwHomography *h, int x, int y, int width, int height,
          guint8 *there)
{
  if (!touches_left_out(grey, h, x, y, width, height))
    return;
  for (int i = 0; i < height; i++)
    for (int j = 0; j < width; j++, there++) {
      double to_x, to_y;
      pw_homography_apply(h, x + j + 0.5, y + i + 0.5, &to_x, &to_y);
      *there = *there && !pw_grey_is_left_out(grey, to_x, to_y);
    }
}

/* ---- Copies ---------------------------------------------------------------------------- */

static void
mean_of_squares(const PwGrey *from, int side, PwGrey *to)
{
  *to = (PwGrey){.width = from->width / side,
                 .height = from->height / side,
                 .scale = from->scale / side,
                 .left_out = from->left_out,
                 .n_left_out = from->n_left_out};
  to->values = g_new(float, (gsize)to->width *(gsize)to->height);
  float *out = to->values;
  for (int y = 0; y < to->height; y++)
    for (int x = 0; x < to->width; x++) {
      float sum = 0;
      for (int i = 0; i < side; i++)
        for (int j = 0; j < side; j++)
          sum += pw_grey_at(from, x * side + j, y * side + i);
      *out++ = sum / (float)(side * side);
    }
}

/* Of the first copy, px of the picture a side. */
static int
first_step(const PwPlane *plane)
{
  int side = 2;
  for (double n = (double)plane->width * plane->height / 4; n > PW_GREY_PIXELS; n /= 4)
    side *= 2;
  return side;
}

gboolean
pw_grey_check(const PwPlane *plane, GError **error)
{
  int least = MIN(plane->width, plane->height);
  if (least < PW_ALIGN_SIDE_MIN)
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "a picture is too small to be laid over another");
  else if ((double)plane->width * plane->height > PW_GREY_PIXELS &&
           least / first_step(plane) < PW_GREY_SIDE_MIN)
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "a picture is too long and narrow to be laid over another");
  else
    return TRUE;
  return FALSE;
}

void
pw_greys_init(PwGreys *greys, const PwPlane *plane, const PwAlignCards *cards)
{
  *greys = (PwGreys){.n = 1, .left_out = g_new(PwLeftOut, cards->n)};
  for (gsize i = 0; i < cards->n; i++)
    left_out_init(&greys->left_out[i], &cards->outlines[i]);
  greys->of[0] = (PwGrey){.width = plane->width,
                          .height = plane->height,
                          .bytes = plane->pixels,
                          .stride = plane->stride,
                          .scale = 1,
                          .left_out = greys->left_out,
                          .n_left_out = cards->n};
  int side = first_step(plane);
  while (greys->n < PW_GREYS_MAX) {
    const PwGrey *last = &greys->of[greys->n - 1];
    if (MIN(last->width, last->height) / side < PW_GREY_SIDE_MIN)
      return;
    mean_of_squares(last, side, &greys->of[greys->n++]);
    side = 2;
  }
}

void
pw_greys_clear(PwGreys *greys)
{
  for (guint i = 0; i < greys->n; i++)
    g_free(greys->of[i].values);
  for (gsize i = 0; greys->left_out != NULL && i < greys->of[0].n_left_out; i++)
    pw_px_path_clear(&greys->left_out[i].outline);
  g_free(greys->left_out);
  *greys = (PwGreys){0};
}

void
pw_grey_cut(const PwGrey *grey, int x, int y, int width, int height, float *values, guint8 *there)
{
  const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};
  guint8 *out = there;
  for (int i = 0; i < height; i++)
    for (int j = 0; j < width; j++) {
      gboolean inside = x + j >= 0 && x + j < grey->width && y + i >= 0 && y + i < grey->height;
      *out++ = (guint8)inside;
      *values++ = inside ? pw_grey_at(grey, x + j, y + i) : 0;
    }
  leave_out(grey, &same, x, y, width, height, there);
}

/* Weights of four neighbours, `t` of the way from the second to the third. */
static inline void
cubic(float t, float w[4])
{
  w[0] = t * (-0.5f + t * (1 - 0.5f * t));
  w[1] = 1 + t * t * (-2.5f + 1.5f * t);
  w[2] = t * (0.5f + t * (2 - 1.5f * t));
  w[3] = t * t * (-0.5f + 0.5f * t);
}

/* Four times four neighbours from (left, top), under their weights. Written out for each kind of
 * pixels: most of the time of an alignment is spent here. */
static inline float
weigh_bytes(const PwGrey *grey, int left, int top, const float across[4], const float down[4])
{
  const guint8 *at = grey->bytes + (gsize)top * grey->stride + left;
  float sum = 0;
  for (int i = 0; i < 4; i++, at += grey->stride)
    sum += down[i] * (across[0] * (float)at[0] + across[1] * (float)at[1] +
                      across[2] * (float)at[2] + across[3] * (float)at[3]);
  return sum;
}

static inline float
weigh_values(const PwGrey *grey, int left, int top, const float across[4], const float down[4])
{
  const float *at = grey->values + (gsize)top * (gsize)grey->width + left;
  float sum = 0;
  for (int i = 0; i < 4; i++, at += grey->width)
    sum +=
        down[i] * (across[0] * at[0] + across[1] * at[1] + across[2] * at[2] + across[3] * at[3]);
  return sum;
}

/* At (x, y) in px whose centres are whole numbers. */
static inline gboolean
sample(const PwGrey *grey, double x, double y, float *value)
{
  if (!(x >= 1 && y >= 1 && x < grey->width - 2 && y < grey->height - 2))
    return FALSE;
  int column = (int)x, row = (int)y;
  float across[4], down[4];
  cubic((float)(x - column), across);
  cubic((float)(y - row), down);
  *value = grey->bytes ? weigh_bytes(grey, column - 1, row - 1, across, down)
                       : weigh_values(grey, column - 1, row - 1, across, down);
  return TRUE;
}

void
pw_grey_warp(const PwGrey *grey, const PwHomography *h, int x, int y, int width, int height,
             float *values, guint8 *there)
{
  const double *m = h->m;
  guint8 *out = there;
  for (int i = 0; i < height; i++) {
    double px = x + 0.5, py = y + i + 0.5;
    double to_x = m[0] * px + m[1] * py + m[2], to_y = m[3] * px + m[4] * py + m[5];
    double w = m[6] * px + m[7] * py + m[8];
    for (int j = 0; j < width; j++, to_x += m[0], to_y += m[3], w += m[6], values++) {
      double by = 1 / w;
      *values = 0;
      *out++ = w > 0 && sample(grey, to_x * by - 0.5, to_y * by - 0.5, values);
    }
  }
  leave_out(grey, h, x, y, width, height, there);
}

gboolean
pw_grey_is_within(const PwGrey *grey, const PwPxPath *within, double x, double y)
{
  return within->n == 0 || pw_px_is_inside(within, (PwPx){x / grey->scale, y / grey->scale});
}

PwHomography
pw_homography_of_copies(const PwHomography *h, double scale_from, double scale_to)
{
  PwHomography shrink = {{1 / scale_from, 0, 0, 0, 1 / scale_from, 0, 0, 0, 1}}, half, whole;
  PwHomography grow = {{scale_to, 0, 0, 0, scale_to, 0, 0, 0, 1}};
  pw_homography_multiply(h, &shrink, &half);
  pw_homography_multiply(&grow, &half, &whole);
  return whole;
}

const PwGrey *
pw_greys_nearest(const PwGreys *greys, double scale)
{
  const PwGrey *best = &greys->of[0];
  for (guint i = 1; i < greys->n; i++)
    if (fabs(log(greys->of[i].scale / scale)) < fabs(log(best->scale / scale)))
      best = &greys->of[i];
  return best;
}

const PwGrey *
pw_greys_fellow(const PwGreys *after, const PwGrey *before, const PwHomography *to_after)
{
  double j[4];
  pw_homography_jacobian(to_after, before->width / before->scale / 2,
                         before->height / before->scale / 2, j);
  return pw_greys_nearest(after, before->scale / sqrt(fabs(j[0] * j[3] - j[1] * j[2])));
}
