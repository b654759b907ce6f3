/* How long following a colour edge over 4 megapixels takes beside decoding them: a ragged loss that
 * covers half a picture of noisy cloth, written as a JPEG of quality 92. One thread; CPU time, the
 * median of seven rounds in turn. Prints lines of Markdown for docs/benchmark.md; never gates a
 * test.
 */
#include "../unit/trace/ground.h"

#include <platewright/photo.h>

#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <vips/vips.h>

enum { WIDTH = 2400, HEIGHT = 1700, ROUNDS = 7 };

static double
cpu_ms(void)
{
  struct timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median(double values[ROUNDS])
{
  qsort(values, ROUNDS, sizeof *values, compare_doubles);
  return values[ROUNDS / 2];
}

static gboolean
write_picture(const char *path, double noise)
{
  Ground ground = ground_new(WIDTH, HEIGHT, CLOTH);
  PwPxPath ring = ring_ragged(WIDTH / 2.0, HEIGHT / 2.0, 0.49 * HEIGHT, 0.1, 3);
  ground_lay(&ground, &ring, PAPER);
  ground_weave(&ground, 4, 0.3);
  ground_shade(&ground, 0.2);
  ground_blur(&ground, 0.9);
  PwPlane plane = ground_photograph(&ground, 3, noise, 1);
  guint8 *packed = g_malloc(3 * WIDTH * HEIGHT);
  for (int y = 0; y < HEIGHT; y++)
    memcpy(packed + 3 * WIDTH * y, plane.pixels + (gsize)y * plane.stride, 3 * WIDTH);
  VipsImage *image =
      vips_image_new_from_memory(packed, 3 * WIDTH * HEIGHT, WIDTH, HEIGHT, 3, VIPS_FORMAT_UCHAR);
  gboolean done = vips_jpegsave(image, path, "Q", 92, NULL) == 0;
  g_object_unref(image);
  g_free(packed);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
  return done;
}

static gboolean
round_of(const char *path, double *decode, double *follow, gsize *n_points)
{
  const PwRender whole = {0};
  const PwTraceOptions options = {.tolerance = 15};
  PwPlane plane;
  PwTrace trace;
  double start = cpu_ms();
  PwPhoto *photo = pw_photo_open(path, NULL);
  if (photo == NULL || !pw_photo_render(photo, &whole, &plane, NULL))
    return FALSE;
  *decode = cpu_ms() - start;
  start = cpu_ms();
  gboolean done = pw_trace_follow(&plane, (PwPx){WIDTH / 2, HEIGHT / 2}, &options, &trace, NULL);
  *follow = cpu_ms() - start;
  *n_points = trace.outline.n;
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_photo_free(photo);
  return done;
}

static int
measure(const char *path, double noise)
{
  double decode[ROUNDS], follow[ROUNDS], ratio[ROUNDS];
  gsize n_points = 0;
  if (!write_picture(path, noise))
    return 3;
  for (int i = 0; i < ROUNDS; i++) {
    if (!round_of(path, &decode[i], &follow[i], &n_points))
      return 3;
    ratio[i] = follow[i] / decode[i];
  }
  printf("- %.1f MP, noise of %.0f levels: following the edge takes %.2f of decoding "
         "(%.0f ms against %.0f ms; aim 250 ms), an outline of %d points\n",
         WIDTH * HEIGHT / 1e6, noise, median(ratio), median(follow), median(decode), (int)n_points);
  return 0;
}

int
main(void)
{
  g_autofree char *top = g_dir_make_tmp("platewright-benchmark-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(top, "loss.jpg", NULL);
  if (!pw_photo_startup(NULL))
    return 2;
  vips_concurrency_set(1);
  int result = measure(path, 2) || measure(path, 8);
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  printf("- peak memory of all, the making of the pictures too: %ld MB\n", usage.ru_maxrss / 1024);
  g_unlink(path);
  g_rmdir(top);
  pw_photo_shutdown();
  return result;
}
