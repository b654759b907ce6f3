/* Homographies and the lens: published figures, OpenCV's, and properties. */
#include <platewright/geometry.h>

#include "../../reference/rows.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <cmocka.h>

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

static void
assert_maps(const PwHomography *h, double x, double y, double to_x, double to_y, double tolerance)
{
  double got_x, got_y;
  pw_homography_apply(h, x, y, &got_x, &got_y);
  assert_near(got_x, to_x, tolerance);
  assert_near(got_y, to_y, tolerance);
}

/* HOM1 and HOM2 of facts/worked-examples.csv: Hartley and Zisserman ch. 4, exact rationals. */
static void
four_points_give_the_exact_map(void **state)
{
  (void)state;
  static const double unit[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
  static const double trapezium[4][2] = {{0, 0}, {4, 0}, {3, 2}, {1, 2}};
  static const double expected1[9] = {4, 2, 0, 0, 4, 0, 0, 1, 1};
  PwHomography h;
  double rms;
  assert_true(pw_homography_fit(unit, trapezium, 4, &h, &rms, NULL));
  for (int i = 0; i < 9; i++)
    assert_near(h.m[i], expected1[i], 1e-12);
  assert_near(rms, 0, 1e-12);
  assert_maps(&h, .5, .5, 2, 4. / 3, 1e-12);

  static const double card[4][2] = {{0, 0}, {100, 0}, {100, 60}, {0, 60}};
  static const double seen[4][2] = {{100, 100}, {1100, 140}, {1060, 720}, {130, 690}};
  static const double expected2[9] = {
      9142. / 901, 5387. / 8109, 100, 1886. / 4505, 28937. / 2703, 100, 3. / 22525, 41. / 32436, 1};
  assert_true(pw_homography_fit(card, seen, 4, &h, NULL, NULL));
  for (int i = 0; i < 9; i++)
    assert_near(h.m[i], expected2[i], 1e-10);
  assert_maps(&h, 50, 30, 600.4852133876, 423.2300336462, 1e-9);
  assert_maps(&h, 25, 45, 361.7744046061, 558.5815231615, 1e-9);
}

static void
points_of(const char *text, double (**points)[2], gsize *n)
{
  PwPxPath path;
  assert_true(pw_px_path_parse(text, &path, NULL, NULL));
  *n = path.n;
  *points = g_malloc(path.n * sizeof **points);
  for (gsize i = 0; i < path.n; i++) {
    (*points)[i][0] = path.points[i].x;
    (*points)[i][1] = path.points[i].y;
  }
  pw_px_path_clear(&path);
}

/* Check values by OpenCV's findHomography (tests/reference/geometry.py), compared all over a frame.
 * OpenCV solves four points without refining and stops a little short of the least sum of squares
 * with more, hence the tolerance (mm, on a plane of 540 x 350 mm); our sum may not be the larger.
 */
static const double OPENCV_STOPS_SHORT_MM = 1e-3;

static void
agrees_with_opencv(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) rows = reference_rows("homographies.csv");
  assert_non_null(rows);
  assert_true(rows->len >= 7);
  double worst = 0;
  for (guint r = 0; r < rows->len; r++) {
    char **row = g_ptr_array_index(rows, r);
    double(*from)[2], (*to)[2], rms;
    gsize n, n_to;
    points_of(row[0], &from, &n);
    points_of(row[1], &to, &n_to);
    g_auto(GStrv) numbers = g_strsplit(row[2], " ", -1);
    PwHomography h, theirs;
    for (int i = 0; i < 9; i++)
      theirs.m[i] = g_ascii_strtod(numbers[i], NULL);
    assert_true(
        pw_homography_fit((const double(*)[2])from, (const double(*)[2])to, n, &h, &rms, NULL));
    assert_true(rms <= g_ascii_strtod(row[3], NULL) + 1e-9);
    assert_true(n > 4 || rms < 1e-10);
    for (double x = 0; x <= 6000; x += 1000)
      for (double y = 0; y <= 4000; y += 1000) {
        double their_x, their_y, our_x, our_y;
        pw_homography_apply(&theirs, x, y, &their_x, &their_y);
        pw_homography_apply(&h, x, y, &our_x, &our_y);
        worst = fmax(worst, hypot(our_x - their_x, our_y - their_y));
      }
    g_free(from);
    g_free(to);
  }
  print_message("# largest difference from OpenCV over the frame: %.2g mm\n", worst);
  assert_true(worst < OPENCV_STOPS_SHORT_MM);
}

static void
assert_refused(const double (*from)[2], const double (*to)[2], gsize n)
{
  PwHomography h;
  g_autoptr(GError) error = NULL;
  assert_false(pw_homography_fit(from, to, n, &h, NULL, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC));
}

/* The covariance of the coefficients: by the spread, and by fitting again with every coordinate
 * moved both ways. */
static void
the_spread_is_what_errors_do(void **state)
{
  (void)state;
  static const double from[7][2] = {{5, 3},   {140, 2}, {146, 99}, {4, 100},
                                    {60, 40}, {90, 80}, {30, 70}};
  static const PwHomography map = {{8, 1.2, 3900, -.9, 8.3, 2700, 2e-4, -1e-4, 1}};
  double to[7][2], changes[8][8], by_fits[14][8], step = 1e-3;
  PwHomography h;
  for (int i = 0; i < 7; i++) {
    pw_homography_apply(&map, from[i][0], from[i][1], &to[i][0], &to[i][1]);
    to[i][i % 2] += .02 * (i - 3); /* some residual */
  }
  for (int i = 0; i < 14; i++) {
    double *moved = &to[i / 2][i % 2], stood = *moved;
    for (int way = -1; way <= 1; way += 2) {
      *moved = stood + way * step;
      assert_true(pw_homography_fit(from, (const double(*)[2])to, 7, &h, NULL, NULL));
      for (int k = 0; k < 8; k++)
        by_fits[i][k] = way < 0 ? -h.m[k] : (by_fits[i][k] + h.m[k]) / (2 * step);
    }
    *moved = stood;
  }
  assert_true(pw_homography_fit(from, (const double(*)[2])to, 7, &h, NULL, NULL));
  assert_true(pw_homography_spread(&h, from, 7, changes));
  for (int j = 0; j < 8; j++)
    for (int k = 0; k < 8; k++) {
      double told = 0, found = 0, scale_j = 0, scale_k = 0;
      for (int i = 0; i < 14; i++) {
        told += i < 8 ? changes[i][j] * changes[i][k] : 0;
        found += by_fits[i][j] * by_fits[i][k];
        scale_j += by_fits[i][j] * by_fits[i][j];
        scale_k += by_fits[i][k] * by_fits[i][k];
      }
      assert_near(told, found, 1e-3 * sqrt(scale_j * scale_k));
    }
  assert_false(pw_homography_spread(&h, from, 3, changes));
}

static void
degenerate_points_are_refused(void **state)
{
  (void)state;
  static const double card[][2] = {{0, 0}, {100, 0}, {100, 60}, {0, 60}, {50, 20}};
  static const double line[][2] = {{0, 0}, {10, 10}, {20, 20}, {30, 30}, {40, 40}};
  static const double three[][2] = {{0, 0}, {50, 0}, {100, 0}, {0, 60}};
  static const double four_of_five[][2] = {{0, 0}, {10, 10}, {20, 20}, {30, 30}, {40, 0}};
  static const double same[][2] = {{5, 5}, {5, 5}, {5, 5}, {5, 5}};
  static const double twice[][2] = {{0, 0}, {0, 0}, {100, 60}, {0, 60}};
  static const double crossed[][2] = {{0, 0}, {100, 0}, {0, 60}, {100, 60}};
  static const double dented[][2] = {{0, 0}, {100, 0}, {20, 10}, {0, 60}};
  assert_refused(card, card, 3);
  assert_refused(line, card, 4);
  assert_refused(line, card, 5);
  assert_refused(three, card, 4);
  assert_refused(card, three, 4);
  assert_refused(four_of_five, card, 5);
  assert_refused(same, card, 4);
  assert_refused(twice, card, 4);
  assert_refused(crossed, card, 4);
  assert_refused(dented, card, 4);
}

static void
inverse_and_product(void **state)
{
  (void)state;
  PwHomography h = {{9.1, .6, 100, .4, 10.7, 90, 1e-4, 1.2e-3, 1}}, back, one;
  assert_true(pw_homography_invert(&h, &back));
  pw_homography_multiply(&h, &back, &one);
  for (int i = 0; i < 9; i++)
    assert_near(one.m[i], i % 4 == 0 ? 1 : 0, 1e-9);
  PwHomography flat = {{1, 2, 0, 2, 4, 0, 0, 0, 1}};
  assert_false(pw_homography_invert(&flat, &back));
}

static void
jacobian_is_the_derivative(void **state)
{
  (void)state;
  PwHomography h = {{9.1, .6, 100, .4, 10.7, 90, 1e-4, 1.2e-3, 1}};
  double j[4], x0, y0, x1, y1, step = 1e-4;
  pw_homography_jacobian(&h, 40, 30, j);
  pw_homography_apply(&h, 40 - step, 30, &x0, &y0);
  pw_homography_apply(&h, 40 + step, 30, &x1, &y1);
  assert_near(j[0], (x1 - x0) / (2 * step), 1e-6);
  assert_near(j[2], (y1 - y0) / (2 * step), 1e-6);
  pw_homography_apply(&h, 40, 30 - step, &x0, &y0);
  pw_homography_apply(&h, 40, 30 + step, &x1, &y1);
  assert_near(j[1], (x1 - x0) / (2 * step), 1e-6);
  assert_near(j[3], (y1 - y0) / (2 * step), 1e-6);
}

static const PwLens LENSES[] = {
    {10012, 3004, 1996, -.012, .003}, {533, 342, 234, -.286, .068},
    {2038, 770, 1346, .27, -2.2},     {900, 500, 500, 0, 0},
    {800, 400, 300, .2, 0},           {800, 400, 300, 0, .3},
};

static void
undistortion_undoes_distortion(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(LENSES); i++)
    for (double angle = 0; angle < 6; angle += .5)
      for (double part = 0; part <= .45; part += .05) {
        const PwLens *lens = &LENSES[i];
        PwPx at = {lens->cx + part * lens->f_px * cos(angle),
                   lens->cy + part * lens->f_px * sin(angle)};
        PwPx back;
        assert_true(pw_lens_undistort(lens, pw_lens_distort(lens, at), &back));
        assert_near(back.x, at.x, 1e-6);
        assert_near(back.y, at.y, 1e-6);
      }
}

static void
a_lens_that_folds_over_is_refused(void **state)
{
  (void)state;
  /* r (1 - .5 r^2) is largest at r = sqrt(2/3), where it is .5443. */
  PwLens lens = {1000, 0, 0, -.5, 0};
  PwPx back;
  assert_true(pw_lens_undistort(&lens, (PwPx){544, 0}, &back));
  assert_near(pw_lens_distort(&lens, back).x, 544, 1e-6);
  assert_false(pw_lens_undistort(&lens, (PwPx){545, 0}, &back));
  assert_false(pw_lens_undistort(&lens, (PwPx){1e9, 0}, &back));
  assert_false(pw_lens_undistort(&lens, (PwPx){nan(""), 0}, &back));
}

static void
no_lens_changes_nothing(void **state)
{
  (void)state;
  PwLens none = {0};
  PwPx back, at = {123.25, -4};
  assert_true(pw_lens_undistort(&none, at, &back));
  assert_near(back.x, at.x, 0);
  assert_near(pw_lens_distort(&none, at).y, at.y, 0);
}

static void
lens_jacobian_is_the_derivative(void **state)
{
  (void)state;
  const PwLens *lens = &LENSES[1];
  PwPx at = {500, 60};
  double j[4], step = 1e-4;
  pw_lens_jacobian(lens, at, j);
  PwPx a = pw_lens_distort(lens, (PwPx){at.x - step, at.y});
  PwPx b = pw_lens_distort(lens, (PwPx){at.x + step, at.y});
  assert_near(j[0], (b.x - a.x) / (2 * step), 1e-7);
  assert_near(j[2], (b.y - a.y) / (2 * step), 1e-7);
  a = pw_lens_distort(lens, (PwPx){at.x, at.y - step});
  b = pw_lens_distort(lens, (PwPx){at.x, at.y + step});
  assert_near(j[1], (b.x - a.x) / (2 * step), 1e-7);
  assert_near(j[3], (b.y - a.y) / (2 * step), 1e-7);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(four_points_give_the_exact_map),
      cmocka_unit_test(agrees_with_opencv),
      cmocka_unit_test(the_spread_is_what_errors_do),
      cmocka_unit_test(degenerate_points_are_refused),
      cmocka_unit_test(inverse_and_product),
      cmocka_unit_test(jacobian_is_the_derivative),
      cmocka_unit_test(undistortion_undoes_distortion),
      cmocka_unit_test(a_lens_that_folds_over_is_refused),
      cmocka_unit_test(no_lens_changes_nothing),
      cmocka_unit_test(lens_jacobian_is_the_derivative),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
