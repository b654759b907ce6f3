/* The steps of following an edge by themselves: smoothing, and likeness as it is remembered. */
#include <trace/patch.h>
#include <trace/thin.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { SIDE = 101 };

static double
variance_along(const guint8 *plane, int steps)
{
  double sum = 0, square = 0;
  for (int i = 0; i < SIDE * SIDE; i++) {
    double x = i % SIDE - SIDE / 2;
    sum += plane[i];
    square += plane[i] * x * x;
  }
  print_message("# %d steps: standard deviation %.3f px, said %.3f px\n", steps, sqrt(square / sum),
                pw_smooth_px[steps]);
  return square / sum;
}

/* A line down the middle of a plane spreads as far as is said; rounding to whole levels is let off
 * a twentieth. */
static void
smoothing_is_as_wide_as_it_says(void **state)
{
  (void)state;
  g_autofree guint8 *pixels = g_malloc0(SIDE * SIDE);
  for (int y = 0; y < SIDE; y++)
    pixels[y * SIDE + SIDE / 2] = 255;
  PwPlane plane = {pixels, SIDE, SIDE, 1, SIDE};
  for (int steps = 1; steps <= PW_SMOOTH_STEPS; steps++) {
    g_autofree guint8 *smooth = pw_smooth(&plane, steps);
    double said = pw_smooth_px[steps];
    assert_true(fabs(sqrt(variance_along(smooth, steps)) / said - 1) < 0.05);
  }
}

/* One level stays that level to the very edge, channels apart, whatever the size and stride. */
static void
smoothing_leaves_what_is_even(void **state)
{
  (void)state;
  const int sizes[][2] = {{1, 1}, {1, 40}, {40, 1}, {3, 3}, {70, 21}};
  for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
    int w = sizes[i][0], h = sizes[i][1];
    gsize stride = 3 * (gsize)w + 7;
    g_autofree guint8 *pixels = g_malloc(stride * (gsize)h);
    memset(pixels, 77, stride * (gsize)h);
    for (int k = 0; k < w * h; k++)
      memcpy(pixels + (gsize)(k / w) * stride + 3 * (gsize)(k % w), "\x00\xff\x80", 3);
    PwPlane plane = {pixels, w, h, 3, stride};
    g_autofree guint8 *smooth = pw_smooth(&plane, PW_SMOOTH_STEPS);
    for (int k = 0; k < w * h; k++)
      assert_memory_equal(smooth + 3 * k, "\x00\xff\x80", 3);
  }
}

/* Every colour as CIEDE2000 has it, the first time and the second. */
static void
likeness_is_the_difference(void **state)
{
  (void)state;
  enum { COLOURS = 4000 };
  GRand *chance = g_rand_new_with_seed(8);
  const guint8 to[3] = {120, 60, 45};
  double light[3] = {pw_srgb_light(120), pw_srgb_light(60), pw_srgb_light(45)};
  PwLab there = pw_lab_from_light(light);
  g_autoptr(PwLikeness) likeness = pw_likeness_new(to);
  for (int i = 0; i < COLOURS; i++) {
    guint8 rgb[6];
    guint16 found[2];
    for (int c = 0; c < 3; c++) {
      rgb[c] = rgb[c + 3] = (guint8)g_rand_int_range(chance, 0, 256);
      light[c] = pw_srgb_light(rgb[c]);
    }
    pw_likeness_of(likeness, rgb, 2, found);
    double truth = pw_lab_difference(there, pw_lab_from_light(light));
    assert_true(fabs(found[0] / PW_LIKENESS_PARTS - truth) <= 0.501 / PW_LIKENESS_PARTS);
    assert_int_equal(found[0], found[1]);
  }
  g_rand_free(chance);
}

/* Lines that all lie beside each other make too many pairs to look at: nothing is handed over. */
static void
balancing_that_is_given_up_leaves_nothing(void **state)
{
  (void)state;
  enum { LINES = 7000 };
  g_autofree PwPx *points = g_new(PwPx, LINES);
  g_autofree guint8 *kept = g_malloc(LINES);
  memset(kept, 1, LINES);
  for (int i = 0; i < LINES; i++)
    points[i] = (PwPx){i % 2 ? 1000 : 0, i};
  const PwStroke stroke = {.points = points, .n = LINES, .closed = TRUE, .kept = kept};
  const PwPlane plane = {.width = 1000, .height = LINES};
  PwPxPath path = {0};
  assert_false(pw_strokes_balance(&stroke, 1, 0.1, &plane, &path));
  assert_null(path.points);
  assert_int_equal(path.n, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(smoothing_is_as_wide_as_it_says),
      cmocka_unit_test(smoothing_leaves_what_is_even),
      cmocka_unit_test(likeness_is_the_difference),
      cmocka_unit_test(balancing_that_is_given_up_leaves_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
