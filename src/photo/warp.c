/* Warp: a picture laid where a homography puts it, and made smaller on the way.
 *
 * Every pixel of the result asks where its centre lies in the source, and takes the mean of the
 * pixels round that place, weighed across and down by Lanczos' kernel of three lobes (Duchon 1979,
 * Lanczos Filtering in One and Two Dimensions, J. Appl. Meteorology 18). The kernel is as wide as
 * the source is fine there, so that nothing is left out where the picture shrinks. Samples are
 * weighed as they stand, as the scaling of an unlaid picture does. Origin at the outer corner of
 * the top-left pixel, in source and result alike.
 */
#include "photo-private.h"

#include <string.h>

enum {
  LOBES = 3,
  STEPS = 256, /* of the kernel's table, to a pixel of the result */
  KERNEL = 2 * LOBES * STEPS + 2,
  BAND_ROWS = 16,
  CHANNELS = 3,
  MOST_TAPS = 64,
  RUN = 16 /* samples added at once */
};
/* Px of the source, to one of the result, that the kernel takes in. Beyond, pixels are left out:
 * the far edge of a plane that is seen at a grazing angle. */
#define MOST_REACH ((MOST_TAPS - 1) / (2.0 * LOBES))
/* The plane's horizon is near where what is far off becomes so many times smaller. */
#define NEAREST_HORIZON (1.0 / 16)

typedef struct {
  const PwWarp *warp;
  PwPlane *to;
  float kernel[KERNEL];
} Work;

/* The weights of some neighbours along one axis. */
typedef struct {
  int first, n;
  float weights[MOST_TAPS], sum;
} Taps;

/* ---- Where things lie ---------------------------------------------------------------- */

gboolean
pw_warp_horizon_is_clear(const PwHomography *h, double x, double y, double width, double height)
{
  double least = HUGE_VAL, most = -HUGE_VAL;
  for (int i = 0; i < 4; i++) {
    double w = h->m[6] * (x + (i & 1) * width) + h->m[7] * (y + (i >> 1) * height) + h->m[8];
    least = fmin(least, w);
    most = fmax(most, w);
  }
  return isfinite(least) && isfinite(most) && least > NEAREST_HORIZON * most;
}

/* Source px that one step across and one step down the result pass, along each axis. */
static PwPx
reach_at(const PwHomography *to_source, double x, double y)
{
  double j[4];
  pw_homography_jacobian(to_source, x, y, j);
  return (PwPx){hypot(j[0], j[1]), hypot(j[2], j[3])};
}

void
pw_warp_reach(const PwHomography *to_source, int width, int height, PwWarpReach *reach)
{
  *reach = (PwWarpReach){HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL, HUGE_VAL, 0};
  for (int i = 0; i < 4; i++) {
    double x = (i & 1) * width, y = (i >> 1) * height, source_x, source_y;
    pw_homography_apply(to_source, x, y, &source_x, &source_y);
    reach->left = fmin(reach->left, source_x);
    reach->top = fmin(reach->top, source_y);
    reach->right = fmax(reach->right, source_x);
    reach->bottom = fmax(reach->bottom, source_y);
    PwPx by = reach_at(to_source, x, y);
    reach->least = fmin(reach->least, fmin(by.x, by.y));
    reach->most = fmax(reach->most, fmax(by.x, by.y));
  }
  double margin = LOBES * fmax(reach->most, 1) + 1;
  reach->left -= margin;
  reach->top -= margin;
  reach->right += margin;
  reach->bottom += margin;
}

/* ---- Pixels -------------------------------------------------------------------------- */

/* From one end to the other. */
static void
make_kernel(float kernel[KERNEL])
{
  for (int i = 0; i < KERNEL; i++) {
    double x = G_PI * (i - LOBES * STEPS) / STEPS;
    kernel[i] = i == LOBES * STEPS ? 1 : (float)(sin(x) / x * sin(x / LOBES) / (x / LOBES));
  }
}

/* Neighbours of a place, `reach` px to one of the result; those there are. */
static void
weigh(const float *kernel, double at, double reach, int size, Taps *taps)
{
  int first = MAX((int)ceil(at - 0.5 - LOBES * reach), 0);
  int last = MIN((int)floor(at - 0.5 + LOBES * reach), size - 1);
  double step = STEPS / reach, place = (first + 0.5 - at) * step + LOBES * STEPS + 0.5;
  taps->first = first;
  taps->n = last - first + 1;
  taps->sum = 0;
  for (int i = 0; i < taps->n; i++) {
    taps->weights[i] = kernel[(int)(place + i * step)];
    taps->sum += taps->weights[i];
  }
}

/* Adds a row's samples, weighed. In runs of a length that the compiler knows, which it makes into
 * few instructions. */
static void
add_row(const guint8 *restrict row, int n, float weight, float *restrict sums)
{
  int i = 0;
  for (; i + RUN <= n; i += RUN)
    for (int k = 0; k < RUN; k++)
      sums[i + k] += weight * (float)row[i + k];
  for (; i < n; i++)
    sums[i] += weight * (float)row[i];
}

static void
weigh_pixels(const PwPlane *from, const Taps *across, const Taps *down, float mean[CHANNELS])
{
  float columns[MOST_TAPS * CHANNELS] = {0};
  const guint8 *row =
      from->pixels + (gsize)down->first * from->stride + (gsize)across->first * CHANNELS;
  for (int j = 0; j < down->n; j++, row += from->stride)
    add_row(row, across->n * CHANNELS, down->weights[j], columns);
  for (int c = 0; c < CHANNELS; c++) {
    mean[c] = 0;
    for (int i = 0; i < across->n; i++)
      mean[c] += across->weights[i] * columns[i * CHANNELS + c];
    mean[c] /= across->sum * down->sum;
  }
}

/* How much of a pixel lies between two edges. */
static double
share_between(double from, double to, double at, double reach)
{
  return CLAMP(fmin(at - from, to - at) / reach + 0.5, 0, 1);
}

static void
make_pixel(const Work *work, int x, int y, guint8 *pixel)
{
  const PwWarp *warp = work->warp;
  double at_x, at_y;
  pw_homography_apply(&warp->to_source, x + 0.5, y + 0.5, &at_x, &at_y);
  PwPx reach = reach_at(&warp->to_source, x + 0.5, y + 0.5);
  reach = (PwPx){CLAMP(reach.x, 1, MOST_REACH), CLAMP(reach.y, 1, MOST_REACH)};
  double covered = share_between(warp->left, warp->right, at_x, reach.x) *
                   share_between(warp->top, warp->bottom, at_y, reach.y);
  if (!(covered > 0))
    return;
  Taps across, down;
  float mean[CHANNELS];
  weigh(work->kernel, at_x, reach.x, warp->source->width, &across);
  weigh(work->kernel, at_y, reach.y, warp->source->height, &down);
  weigh_pixels(warp->source, &across, &down, mean);
  for (int c = 0; c < CHANNELS; c++)
    pixel[c] = (guint8)(fmax(0, fmin(255 + covered * ((double)mean[c] - 255), 255)) + 0.5);
}

static void
make_band(void *user, guint band)
{
  const Work *work = user;
  int end = MIN(((int)band + 1) * BAND_ROWS, work->to->height);
  for (int y = (int)band * BAND_ROWS; y < end; y++) {
    guint8 *row = work->to->pixels + (gsize)y * work->to->stride;
    memset(row, 255, work->to->stride);
    for (int x = 0; x < work->to->width; x++)
      make_pixel(work, x, y, row + x * CHANNELS);
  }
}

void
pw_warp_plane(const PwWarp *warp, int width, int height, PwPlane *to)
{
  gsize stride = (gsize)width * CHANNELS;
  *to = (PwPlane){g_malloc(stride * (gsize)height), width, height, CHANNELS, stride};
  Work work = {.warp = warp, .to = to};
  make_kernel(work.kernel);
  pw_each((guint)((height + BAND_ROWS - 1) / BAND_ROWS), 0, make_band, &work);
}
