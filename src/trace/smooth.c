/* Smoothing: binomial weights 1 4 6 4 1 along and across, first between neighbours, then between
 * every second px, then every fourth; what two steps together do is near to a Gaussian. Beyond the
 * plane's edge the edge's own px count. */
#include "patch.h"

#include <string.h>

/* Variances 1, 4 and 16 add up. */
const double pw_smooth_px[PW_SMOOTH_STEPS + 1] = {0, 1, 2.236, 4.583};

enum { BLOCK = 64 };

/* Weighted sums of five rows, 16 times as large; in blocks, so that compilers do many at once. */
static void
add_rows(const guint8 *const rows[5], gsize n, guint16 *sums)
{
  gsize i = 0;
  for (; i + BLOCK <= n; i += BLOCK)
    for (gsize k = i; k < i + BLOCK; k++)
      sums[k] = (guint16)(rows[0][k] + rows[4][k] + 4 * (rows[1][k] + rows[3][k]) + 6 * rows[2][k]);
  for (; i < n; i++)
    sums[i] = (guint16)(rows[0][i] + rows[4][i] + 4 * (rows[1][i] + rows[3][i]) + 6 * rows[2][i]);
}

static guint8
along_one(const guint16 *at, gsize gap)
{
  const guint16 *a = at - 2 * gap, *b = at - gap, *d = at + gap, *e = at + 2 * gap;
  return (guint8)((guint16)(*a + *e + 4 * (*b + *d) + 6 * *at + 128) >> 8);
}

/* And along the row: 255 * 256 and a half still is a guint16. */
static void
add_along(const guint16 *sums, gsize n, gsize gap, guint8 *out)
{
  gsize i = 0;
  for (; i + BLOCK <= n; i += BLOCK)
    for (gsize k = i; k < i + BLOCK; k++)
      out[k] = along_one(sums + k, gap);
  for (; i < n; i++)
    out[i] = along_one(sums + i, gap);
}

static void
step(const guint8 *pixels, gsize stride, int width, int height, int channels, int spacing,
     guint8 *out)
{
  gsize n = (gsize)width * (gsize)channels, gap = (gsize)spacing * (gsize)channels;
  g_autofree guint16 *buffer = g_new(guint16, n + 4 * gap);
  guint16 *sums = buffer + 2 * gap;
  for (int y = 0; y < height; y++) {
    const guint8 *rows[5];
    for (int k = 0; k < 5; k++)
      rows[k] = pixels + (gsize)CLAMP(y + (k - 2) * spacing, 0, height - 1) * stride;
    add_rows(rows, n, sums);
    for (gsize i = 0; i < 2 * gap; i++) {
      sums[n + i] = sums[n - (gsize)channels + i % (gsize)channels];
      buffer[i] = sums[i % (gsize)channels];
    }
    add_along(sums, n, gap, out + (gsize)y * n);
  }
}

guint8 *
pw_smooth(const PwPlane *plane, int steps)
{
  gsize row = (gsize)plane->width * (gsize)plane->channels, n = row * (gsize)plane->height;
  guint8 *out = g_malloc(n);
  step(plane->pixels, plane->stride, plane->width, plane->height, plane->channels, 1, out);
  for (int i = 1; i < steps; i++) {
    guint8 *wider = g_malloc(n);
    step(out, row, plane->width, plane->height, plane->channels, 1 << i, wider);
    g_free(out);
    out = wider;
  }
  return out;
}
