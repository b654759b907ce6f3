/* Paths: reading, writing, areas, lengths, the longest extent. */
#include <platewright/geometry.h>

#include "../../reference/rows.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

static void
reads_points(void **state)
{
  (void)state;
  PwPxPath path;
  assert_true(pw_px_path_parse("  1204,880\t1250.5,871\n-1e1,0.25 ", &path, NULL, NULL));
  assert_int_equal(path.n, 3);
  assert_near(path.points[0].x, 1204, 0);
  assert_near(path.points[1].x, 1250.5, 0);
  assert_near(path.points[2].x, -10, 0);
  assert_near(path.points[2].y, .25, 0);
  pw_px_path_clear(&path);
}

static void
tells_where_points_go_wrong(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    gsize offset;
    const char *says;
  } bad[] = {
      {"", 0, "no points"},
      {"   ", 3, "no points"},
      {"1,2 3", 5, "comma is missing"},
      {"1,2 3 4", 5, "comma is missing"},
      {"1,2 3, 4", 6, "number is missing"},
      {"1,2 ,4", 4, "number is missing"},
      {"1,2 x41,4", 4, "not a number: x41"},
      {"1,2 4,1e999", 6, "not a number: 1e999"},
      {"1,nan", 2, "not a number: nan"},
      {"1,2,3", 3, "a point has two numbers"},
      {"1,2 0x10,3", 4, "not a number: 0x10"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
    PwPxPath path;
    gsize offset = 999;
    g_autoptr(GError) error = NULL;
    assert_false(pw_px_path_parse(bad[i].text, &path, &offset, &error));
    assert_int_equal(offset, bad[i].offset);
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_RECORD));
    assert_non_null(strstr(error->message, bad[i].says));
    assert_null(path.points);
  }
}

static void
refuses_too_many_points(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new(NULL);
  for (int i = 0; i < PW_LIMIT_POINTS; i++)
    g_string_append(text, "1,2 ");
  PwPxPath path;
  assert_true(pw_px_path_parse(text->str, &path, NULL, NULL));
  pw_px_path_clear(&path);
  g_string_append(text, "3,4");
  g_autoptr(GError) error = NULL;
  gsize offset = 0;
  assert_false(pw_px_path_parse(text->str, &path, &offset, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT));
  assert_int_equal(offset, 4 * PW_LIMIT_POINTS);
}

static void
writes_two_decimals_at_most(void **state)
{
  (void)state;
  PwPx points[] = {{1204, 880.5}, {0.126, -0.001}, {1e6 / 3, 12.3}};
  PwPxPath path = {points, G_N_ELEMENTS(points)};
  g_autofree char *text = pw_px_path_format(&path);
  assert_string_equal(text, "1204,880.5 0.13,0 333333.33,12.3");
}

/* N, E in feet: J. Mahun, Open Access Surveying Library, Traverse Computations ch. G (Area), by way
 * of facts/worked-examples.csv. */
static void
areas_by_coordinates(void **state)
{
  (void)state;
  static const PwPx area1[] = {
      {2000.000, 500.000}, {1561.426, 323.614}, {1488.321, 526.996}, {1686.956, 719.336}};
  static const PwMm area2[] = {
      {1000.000, 600.000}, {1209.288, 254.542}, {566.876, 97.543}, {397.969, 470.303}};
  static const PwMm area3[] = {{2215.890, 1541.207},
                               {2336.574, 1373.915},
                               {2350.205, 1299.818},
                               {2523.212, 1343.189},
                               {2359.080, 1569.360}};
  assert_near(fabs(pw_px_signed_area(area1, 4)), 102935.7226, 1e-4); /* AREA1 */
  assert_near(pw_px_length(area1, 4, TRUE), 1347.5699, 1e-3);        /* AREA1p */
  assert_near(fabs(pw_mm_signed_area(area2, 4)), 250552.089, 1e-3);  /* AREA2 */
  assert_near(fabs(pw_mm_signed_area(area3, 5)), 38965.8156, 1e-4);  /* AREA3 */
}

static void
areas_of_simple_figures(void **state)
{
  (void)state;
  /* AREA-SQ and AREA-TRI of facts/worked-examples.csv */
  static const PwPx square[] = {{0, 0}, {100, 0}, {100, 60}, {0, 60}};
  static const PwPx triangle[] = {{0, 0}, {4, 0}, {0, 3}};
  assert_near(pw_px_signed_area(square, 4), 6000, 0);
  assert_near(pw_px_length(square, 4, TRUE), 320, 0);
  assert_near(pw_px_signed_area(triangle, 3), 6, 0);
  assert_near(pw_px_length(triangle, 3, TRUE), 12, 1e-12);
  assert_near(pw_px_length(triangle, 3, FALSE), 9, 1e-12);
}

/* Clockwise as seen on a screen, y running down, is positive. */
static void
area_is_signed_as_seen(void **state)
{
  (void)state;
  static const PwPx clockwise[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};
  static const PwPx other_way[] = {{0, 10}, {10, 10}, {10, 0}, {0, 0}};
  assert_near(pw_px_signed_area(clockwise, 4), 100, 0);
  assert_near(pw_px_signed_area(other_way, 4), -100, 0);
}

static void
longest_takes_the_first_pair_of_equals(void **state)
{
  (void)state;
  static const PwMm square[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}};
  gsize i, j;
  assert_near(pw_mm_longest(square, 5, &i, &j), 10 * G_SQRT2, 1e-12);
  assert_int_equal(i, 0);
  assert_int_equal(j, 2);
  static const PwMm line[] = {{0, 0}, {5, 5}, {1, 1}, {9, 9}};
  assert_near(pw_mm_longest(line, 4, &i, &j), 9 * G_SQRT2, 1e-12);
  assert_int_equal(j, 3);
  assert_near(pw_mm_longest(line, 1, &i, &j), 0, 0);
  static const PwMm same[] = {{3, 3}, {3, 3}, {3, 3}};
  assert_near(pw_mm_longest(same, 3, &i, &j), 0, 0);
}

static double
longest_of_all_pairs(const PwMm *points, gsize n)
{
  double longest = 0;
  for (gsize i = 0; i < n; i++)
    for (gsize j = i + 1; j < n; j++)
      longest = fmax(longest, hypot(points[i].x - points[j].x, points[i].y - points[j].y));
  return longest;
}

/* Regular rings have parallel edges and many equal distances: the hard case of walking round. */
static void
longest_agrees_with_all_pairs(void **state)
{
  (void)state;
  PwMm points[120];
  guint32 dice = 12345;
  for (gsize n = 2; n <= 120; n++) {
    for (gsize k = 0; k < n; k++) {
      dice = dice * 1664525u + 1013904223u;
      double angle = 2 * G_PI * (double)k / (double)n;
      double radius = n % 2 ? 10 + (double)(dice >> 24) / 64 : 10;
      points[k] = (PwMm){radius * cos(angle), radius * sin(angle)};
    }
    assert_near(pw_mm_longest(points, n, NULL, NULL), longest_of_all_pairs(points, n), 1e-12);
  }
}

/* Check values by Shapely (tests/reference/geometry.py). */
static void
agrees_with_shapely(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) rows = reference_rows("polygons.csv");
  assert_non_null(rows);
  assert_true(rows->len >= 8);
  for (guint r = 0; r < rows->len; r++) {
    char **row = g_ptr_array_index(rows, r);
    gsize n_holes = 0;
    PwPxPath ring;
    assert_true(pw_px_path_parse(row[0], &ring, NULL, NULL));
    PwPxPath *holes = row[1][0] ? reference_paths(row[1], &n_holes) : NULL;
    double area = fabs(pw_px_signed_area(ring.points, ring.n));
    double perimeter = pw_px_length(ring.points, ring.n, TRUE);
    for (gsize i = 0; i < n_holes; i++) {
      area -= fabs(pw_px_signed_area(holes[i].points, holes[i].n));
      perimeter += pw_px_length(holes[i].points, holes[i].n, TRUE);
    }
    g_autofree PwMm *mm = g_new(PwMm, ring.n);
    for (gsize i = 0; i < ring.n; i++)
      mm[i] = (PwMm){ring.points[i].x, ring.points[i].y};
    double expected = g_ascii_strtod(row[2], NULL);
    assert_near(area, expected, 1e-11 * expected);
    expected = g_ascii_strtod(row[3], NULL);
    assert_near(perimeter, expected, 1e-11 * expected);
    expected = g_ascii_strtod(row[4], NULL);
    assert_near(pw_mm_longest(mm, ring.n, NULL, NULL), expected, 1e-11 * expected);
    assert_true(pw_outline_check_holes(&ring, holes, n_holes, NULL));
    reference_paths_free(holes, n_holes);
    pw_px_path_clear(&ring);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(reads_points),
      cmocka_unit_test(tells_where_points_go_wrong),
      cmocka_unit_test(refuses_too_many_points),
      cmocka_unit_test(writes_two_decimals_at_most),
      cmocka_unit_test(areas_by_coordinates),
      cmocka_unit_test(areas_of_simple_figures),
      cmocka_unit_test(area_is_signed_as_seen),
      cmocka_unit_test(longest_takes_the_first_pair_of_equals),
      cmocka_unit_test(longest_agrees_with_all_pairs),
      cmocka_unit_test(agrees_with_shapely),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
