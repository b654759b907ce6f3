/* Grey: a picture and its smaller copies, each half as wide as the one before. */
#ifndef PW_ALIGN_GREY_H
#define PW_ALIGN_GREY_H

#include <platewright/align.h>

#include "limits.h"

/* What is looked past, in px of the picture, and the box round it. */
typedef struct {
  PwPxPath outline;
  PwPx low, high;
} PwLeftOut;

/* One of them. A place (x, y) of the picture is (x scale, y scale) here, outer corners being 0. */
typedef struct {
  int width, height;
  const guint8 *bytes; /* the picture itself, the caller's, or NULL */
  gsize stride;
  float *values; /* a copy, rows without a gap, or NULL */
  double scale;
  const PwLeftOut *left_out; /* of the picture and all its copies */
  gsize n_left_out;
} PwGrey;

enum { PW_GREYS_MAX = 12, PW_GREY_SIDE_MIN = 48 };

typedef struct {
  PwGrey of[PW_GREYS_MAX]; /* the picture first, then copies, the smallest last */
  guint n;
  PwLeftOut *left_out; /* the cards, with a rim */
} PwGreys;

/* FALSE (PW_ERROR_NUMERIC with the reason) for a picture that is too small, or so long and narrow
 * that it has no copy small enough to be looked at whole. */
gboolean pw_grey_check(const PwPlane *plane, GError **error);
void pw_greys_init(PwGreys *greys, const PwPlane *plane, const PwAlignCards *cards);
void pw_greys_clear(PwGreys *greys);

static inline float
pw_grey_at(const PwGrey *grey, int x, int y)
{
  return grey->bytes ? (float)grey->bytes[(gsize)y * grey->stride + (gsize)x]
                     : grey->values[(gsize)y * (gsize)grey->width + (gsize)x];
}

/* A square of `grey` from (x, y), the parts of it outside, or on what is left out, marked as not
 * there: `values` and `there` have `width` x `height` entries. */
void pw_grey_cut(const PwGrey *grey, int x, int y, int width, int height, float *values,
                 guint8 *there);
/* The same where `h` puts its pixels' centres, by cubic convolution (Keys 1981, a = -1/2). */
void pw_grey_warp(const PwGrey *grey, const PwHomography *h, int x, int y, int width, int height,
                  float *values, guint8 *there);

/* Whether a place of a copy, in its px, lies within an outline in px of the picture; of none, all
 * do. */
gboolean pw_grey_is_within(const PwGrey *grey, const PwPxPath *within, double x, double y);
gboolean pw_grey_is_left_out(const PwGrey *grey, double x, double y);

/* A homography from px of one picture to px of another, as one between copies of them. */
PwHomography pw_homography_of_copies(const PwHomography *h, double scale_from, double scale_to);
/* The copy whose scale is nearest to that. */
const PwGrey *pw_greys_nearest(const PwGreys *greys, double scale);
/* The copy of after whose px are nearest in size to those of a copy of before, where they lie on
 * each other; `to_after` in px of the pictures. */
const PwGrey *pw_greys_fellow(const PwGreys *after, const PwGrey *before,
                              const PwHomography *to_after);

#endif
