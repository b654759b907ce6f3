/* Outlines that are simple or not, unions, grown outlines. */
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
assert_fault(const char *points, const char *says, double x, double y)
{
  PwPxPath ring;
  PwOutlineFault fault = {{0, 0}, NULL};
  assert_true(pw_px_path_parse(points, &ring, NULL, NULL));
  assert_false(pw_outline_check(&ring, &fault));
  assert_non_null(strstr(fault.what, says));
  assert_near(fault.at.x, x, 1e-9);
  assert_near(fault.at.y, y, 1e-9);
  assert_false(pw_outline_check(&ring, NULL));
  pw_px_path_clear(&ring);
}

static void
a_crossing_is_named_with_its_place(void **state)
{
  (void)state;
  assert_fault("0,0 10,10 10,0 0,10", "crosses", 5, 5);
  assert_fault("0,0 40,0 40,30 20,0 0,30", "touches", 20, 0); /* a vertex on an edge */
  assert_fault("0,0 10,0 20,10 30,0 40,0 40,20 30,20 20,10 10,20 0,20", "touches itself", 20, 10);
  assert_fault("0,0 10,0 10,10 10,0 20,0 20,20 0,20", "itself", 10, 10); /* a spike */
}

static void
too_little_for_an_outline(void **state)
{
  (void)state;
  assert_fault("5,6", "three different points", 5, 6);
  assert_fault("5,6 7,8", "three different points", 5, 6);
  assert_fault("5,6 7,8 5,6 7,8", "three different points", 5, 6);
  PwPxPath ring;
  PwOutlineFault fault;
  assert_true(pw_px_path_parse("0,0 10,0 20,0", &ring, NULL, NULL));
  assert_false(pw_outline_check(&ring, &fault)); /* on a line */
  pw_px_path_clear(&ring);
  assert_false(pw_outline_check(&ring, &fault)); /* no points at all */
}

static gboolean
holes_stand(const char *outline, const char *holes, PwOutlineFault *fault)
{
  PwPxPath ring;
  gsize n;
  assert_true(pw_px_path_parse(outline, &ring, NULL, NULL));
  PwPxPath *paths = reference_paths(holes, &n);
  gboolean good = pw_outline_check_holes(&ring, paths, n, fault);
  reference_paths_free(paths, n);
  pw_px_path_clear(&ring);
  return good;
}

static void
holes_lie_inside_and_apart(void **state)
{
  (void)state;
  static const char square[] = "0,0 100,0 100,100 0,100";
  PwOutlineFault fault;
  assert_true(holes_stand(square, "10,10 20,10 20,20|30,30 50,30 50,50", &fault));
  assert_false(holes_stand(square, "110,10 120,10 120,20", &fault));
  assert_non_null(strstr(fault.what, "outside"));
  assert_false(holes_stand(square, "90,10 120,10 120,20", &fault));
  assert_non_null(strstr(fault.what, "crosses"));
  assert_false(holes_stand(square, "10,10 60,10 60,60|30,20 70,20 70,40", &fault));
  assert_false(holes_stand(square, "10,10 60,10 60,60 10,60|20,20 30,20 30,30", &fault));
  assert_non_null(strstr(fault.what, "inside another"));
  assert_false(holes_stand(square, "10,10 60,60 60,10 10,60", &fault));
}

/* As many points as the record may hold, checked in the time a command has. */
static void
a_hundred_thousand_points_are_checked(void **state)
{
  (void)state;
  PwPxPath ring = {g_new(PwPx, PW_LIMIT_POINTS), PW_LIMIT_POINTS};
  for (gsize i = 0; i < ring.n; i++) {
    double angle = 2 * G_PI * (double)i / (double)ring.n, radius = i % 2 ? 1000 : 1001;
    ring.points[i] = (PwPx){2000 + radius * cos(angle), 2000 + radius * sin(angle)};
  }
  gint64 start = g_get_monotonic_time();
  assert_true(pw_outline_check(&ring, NULL));
  print_message("# 100,000 points checked in %.0f ms\n",
                (double)(g_get_monotonic_time() - start) / 1e3);
  PwPx held = ring.points[10];
  ring.points[10] = ring.points[60000];
  assert_false(pw_outline_check(&ring, NULL));
  ring.points[10] = held;
  pw_px_path_clear(&ring);
}

static double
area_of(const PwRegion *region)
{
  double area = 0;
  for (gsize i = 0; i < region->n_rings; i++) {
    double ring = fabs(pw_px_signed_area(region->rings[i].points, region->rings[i].n));
    area += region->is_hole[i] ? -ring : ring;
  }
  return area;
}

static double
perimeter_of(const PwRegion *region)
{
  double length = 0;
  for (gsize i = 0; i < region->n_rings; i++)
    length += pw_px_length(region->rings[i].points, region->rings[i].n, TRUE);
  return length;
}

/* Check values by Shapely (tests/reference/geometry.py). */
static void
unions_agree_with_shapely(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) rows = reference_rows("unions.csv");
  assert_non_null(rows);
  assert_true(rows->len >= 6);
  for (guint r = 0; r < rows->len; r++) {
    char **row = g_ptr_array_index(rows, r);
    gsize n;
    PwPxPath *paths = reference_paths(row[0], &n);
    gboolean outer = FALSE;
    g_autofree PwRegion *regions = g_new(PwRegion, n);
    for (gsize i = 0; i < n; i++)
      regions[i] = (PwRegion){&paths[i], &outer, 1};
    PwRegion united;
    assert_true(pw_region_unite(regions, n, &united, NULL));
    double area = g_ascii_strtod(row[1], NULL), length = g_ascii_strtod(row[2], NULL);
    assert_near(area_of(&united), area, 1e-11 * area);
    assert_near(perimeter_of(&united), length, 1e-11 * length);
    assert_int_equal(united.n_rings, (int)g_ascii_strtoll(row[3], NULL, 10));
    pw_region_clear(&united);
    reference_paths_free(paths, n);
  }
}

static void
a_union_keeps_holes(void **state)
{
  (void)state;
  PwPxPath rings[2], bar;
  gboolean is_hole[] = {FALSE, TRUE}, outer = FALSE;
  assert_true(pw_px_path_parse("0,0 100,0 100,100 0,100", &rings[0], NULL, NULL));
  assert_true(pw_px_path_parse("20,20 80,20 80,80 20,80", &rings[1], NULL, NULL));
  assert_true(pw_px_path_parse("40,-10 60,-10 60,110 40,110", &bar, NULL, NULL));
  PwRegion regions[] = {{rings, is_hole, 2}, {&bar, &outer, 1}}, united;
  assert_true(pw_region_unite(regions, 2, &united, NULL));
  assert_int_equal(united.n_rings, 3); /* the bar cuts the hole in two */
  assert_near(area_of(&united), 10000 - 3600 + 20 * 60 + 2 * 20 * 10, 1e-9);
  pw_region_clear(&united);
  assert_true(pw_region_unite(regions, 0, &united, NULL));
  assert_int_equal(united.n_rings, 0);
  pw_region_clear(&united);
  pw_px_path_clear(&rings[0]);
  pw_px_path_clear(&rings[1]);
  pw_px_path_clear(&bar);
}

static double
distance_to_segment(PwPx p, PwPx a, PwPx b)
{
  double dx = b.x - a.x, dy = b.y - a.y;
  double t = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy);
  t = CLAMP(t, 0, 1);
  return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/* Nowhere nearer than asked, and no further than the chords of the round corners make it. */
static void
a_grown_outline_keeps_its_distance(void **state)
{
  (void)state;
  PwPxPath ring, *grown;
  gsize n;
  assert_true(pw_px_path_parse("10,10 200,30 120,60 180,150 20,120", &ring, NULL, NULL));
  assert_true(pw_px_outline_grow(&ring, 25, &grown, &n, NULL));
  assert_int_equal(n, 1);
  for (gsize i = 0; i < grown[0].n; i++) {
    PwPx a = grown[0].points[i], b = grown[0].points[(i + 1) % grown[0].n];
    double nearest = HUGE_VAL, farthest = HUGE_VAL;
    for (gsize k = 0; k < ring.n; k++) {
      PwPx middle = {(a.x + b.x) / 2, (a.y + b.y) / 2}, from = ring.points[k];
      PwPx to = ring.points[(k + 1) % ring.n];
      nearest = fmin(nearest, distance_to_segment(middle, from, to));
      farthest = fmin(farthest, distance_to_segment(a, from, to));
    }
    assert_true(nearest >= 25 - 1e-9);
    assert_true(farthest <= 25.2);
  }
  pw_px_path_clear(&grown[0]);
  g_free(grown);
  pw_px_path_clear(&ring);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_crossing_is_named_with_its_place),
      cmocka_unit_test(too_little_for_an_outline),
      cmocka_unit_test(holes_lie_inside_and_apart),
      cmocka_unit_test(a_hundred_thousand_points_are_checked),
      cmocka_unit_test(unions_agree_with_shapely),
      cmocka_unit_test(a_union_keeps_holes),
      cmocka_unit_test(a_grown_outline_keeps_its_distance),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
