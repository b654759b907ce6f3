/* Strokes with fewer points. */
#include "ground.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static double
distance_to_line(PwPx p, PwPx a, PwPx b)
{
  double dx = b.x - a.x, dy = b.y - a.y, l = dx * dx + dy * dy;
  double t = l > 0 ? fmin(fmax(((p.x - a.x) * dx + (p.y - a.y) * dy) / l, 0), 1) : 0;
  return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

static double
furthest_from(const PwPxPath *path, const PwPxPath *line, gboolean closed)
{
  double furthest = 0;
  for (gsize i = 0; i < path->n; i++) {
    double least = HUGE_VAL;
    for (gsize k = 0; k + (closed ? 0 : 1) < line->n; k++)
      least = fmin(least, distance_to_line(path->points[i], line->points[k],
                                           line->points[(k + 1) % line->n]));
    furthest = fmax(furthest, least);
  }
  return furthest;
}

/* Crossings of lines that do not follow each other, counted by pairs. */
static int
crossings(const PwPxPath *path, gboolean closed)
{
  int n = 0;
  gsize lines = closed ? path->n : path->n - 1;
  for (gsize i = 0; i < lines; i++)
    for (gsize k = i + 2; k < lines; k++) {
      if (closed && i == 0 && k == lines - 1)
        continue;
      PwPx a = path->points[i], b = path->points[i + 1];
      PwPx c = path->points[k], d = path->points[(k + 1) % path->n];
      double s1 = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
      double s2 = (b.x - a.x) * (d.y - a.y) - (b.y - a.y) * (d.x - a.x);
      double s3 = (d.x - c.x) * (a.y - c.y) - (d.y - c.y) * (a.x - c.x);
      double s4 = (d.x - c.x) * (b.y - c.y) - (d.y - c.y) * (b.x - c.x);
      n += (s1 > 0) != (s2 > 0) && (s3 > 0) != (s4 > 0);
    }
  return n;
}

static void
simplify(const PwPxPath *path, gboolean closed, double tolerance, PwPxPath *out)
{
  g_autoptr(GError) error = NULL;
  if (!pw_trace_simplify(path, closed, tolerance, out, &error))
    fail_msg("%s", error->message);
}

/* A spiral whose windings lie nearer together than the tolerance, a comb, and a random walk round a
 * disc: all simple, none may cross itself afterwards. */
static PwPxPath
spiral(void)
{
  PwPxPath path = {g_new(PwPx, 3000), 3000};
  for (gsize i = 0; i < path.n; i++) {
    double turn = 0.05 * (double)i, r = 20 + 0.02 * (double)i;
    path.points[i] = (PwPx){200 + 2.2 * r * cos(turn), 200 + r * sin(turn)};
  }
  return path;
}

static PwPxPath
comb(void)
{
  PwPxPath path = {g_new(PwPx, 404), 404};
  for (gsize i = 0; i < 402; i++) /* teeth 1 px apart, of different lengths */
    path.points[i] = (PwPx){10 + (double)i, i % 2 ? 50 : 60 + (double)((i * 7919) % 40)};
  path.points[402] = (PwPx){412, 20};
  path.points[403] = (PwPx){10, 20};
  return path;
}

static void
what_does_not_cross_itself_does_not_afterwards(void **state)
{
  (void)state;
  const double tolerances[] = {0.3, 1, 3, 12, 60};
  for (int kind = 0; kind < 3; kind++) {
    gboolean closed = kind > 0;
    PwPxPath path = kind == 0 ? spiral() : kind == 1 ? comb() : ring_ragged(200, 200, 150, 0.9, 3);
    assert_int_equal(crossings(&path, closed), 0);
    for (gsize t = 0; t < G_N_ELEMENTS(tolerances); t++) {
      PwPxPath out;
      simplify(&path, closed, tolerances[t], &out);
      print_message("# kind %d, tolerance %.1f: %d of %d points\n", kind, tolerances[t], (int)out.n,
                    (int)path.n);
      assert_int_equal(crossings(&out, closed), 0);
      assert_true(!closed || pw_outline_check(&out, NULL));
      assert_true(furthest_from(&path, &out, closed) <= tolerances[t] + 1e-9);
      pw_px_path_clear(&out);
    }
    pw_px_path_clear(&path);
  }
}

/* A quarter circle of 200 points to what an arc needs: a chord of sagitta t spans 2 acos(1 - t/r).
 */
static void
an_arc_keeps_as_few_points_as_it_needs(void **state)
{
  (void)state;
  PwPxPath path = {g_new(PwPx, 200), 200};
  for (gsize i = 0; i < path.n; i++)
    path.points[i] =
        (PwPx){500 * cos(G_PI / 2 * (double)i / 199), 500 * sin(G_PI / 2 * (double)i / 199)};
  PwPxPath out;
  simplify(&path, FALSE, 1, &out);
  double fewest = ceil(G_PI / 2 / (2 * acos(1 - 1 / 500.0))) + 1;
  print_message("# %d points, %.0f at the fewest\n", (int)out.n, fewest);
  assert_true((double)out.n >= fewest && (double)out.n <= 2 * fewest);
  assert_memory_equal(&out.points[0], &path.points[0], sizeof(PwPx));
  assert_memory_equal(&out.points[out.n - 1], &path.points[199], sizeof(PwPx));
  pw_px_path_clear(&out);
  pw_px_path_clear(&path);
}

static void
a_straight_stroke_keeps_its_ends(void **state)
{
  (void)state;
  PwPx points[] = {{0, 0}, {1, 0.2}, {2, -0.1}, {3, 0.1}, {3, 0.1}, {9, 0}};
  PwPxPath path = {points, G_N_ELEMENTS(points)}, out;
  simplify(&path, FALSE, 0.5, &out);
  assert_int_equal(out.n, 2);
  assert_true(fabs(out.points[1].x - 9) < 1e-12);
  pw_px_path_clear(&out);
  for (gsize n = 1; n <= 3; n++) { /* nothing to leave out */
    path.n = n;
    simplify(&path, TRUE, 0.01, &out);
    assert_int_equal(out.n, n);
    pw_px_path_clear(&out);
  }
}

/* A thin ring, flatter than the tolerance, stays a ring. */
static void
a_flat_ring_stays_one(void **state)
{
  (void)state;
  PwPx points[] = {{0, 0}, {50, -0.4}, {100, 0}, {50, 0.4}};
  PwPxPath path = {points, 4}, out;
  simplify(&path, TRUE, 5, &out);
  assert_true(pw_outline_check(&out, NULL));
  pw_px_path_clear(&out);
}

/* Back along a bow to a place on its chord: without the bow's own point both lines would lie on
 * each other. */
static void
a_stroke_does_not_run_back_along_itself(void **state)
{
  (void)state;
  PwPx points[] = {{0, 0}, {50, -3}, {100, 0}, {20, 0}};
  PwPxPath path = {points, 4}, out;
  simplify(&path, FALSE, 5, &out);
  assert_int_equal(out.n, 4);
  pw_px_path_clear(&out);
}

static void
a_stroke_that_crosses_itself_is_let_be(void **state)
{
  (void)state;
  PwPx points[] = {{0, 0}, {100, 100}, {100, 0}, {0, 100}};
  PwPxPath path = {points, 4}, out;
  simplify(&path, FALSE, 2, &out);
  assert_int_equal(out.n, 4);
  pw_px_path_clear(&out);
}

static void
what_is_no_stroke_is_refused(void **state)
{
  (void)state;
  PwPx points[] = {{0, 0}, {NAN, 1}, {5, HUGE_VAL}, {3, 3}};
  PwPxPath none = {points, 0}, bad = {points, 3}, good = {points + 3, 1}, out;
  PwPxPath many = {points, PW_LIMIT_POINTS + 1};
  const struct {
    const PwPxPath *path;
    double tolerance;
    int code;
  } cases[] = {{&none, 1, PW_ERROR_LIMIT},     {&bad, 1, PW_ERROR_LIMIT},
               {&many, 1, PW_ERROR_LIMIT},     {&good, 0, PW_ERROR_USE},
               {&good, NAN, PW_ERROR_USE},     {&good, -1, PW_ERROR_USE},
               {&good, HUGE_VAL, PW_ERROR_USE}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(GError) error = NULL;
    assert_false(pw_trace_simplify(cases[i].path, TRUE, cases[i].tolerance, &out, &error));
    assert_int_equal(error->code, cases[i].code);
    assert_null(out.points);
  }
}

/* A sheet scribbled black, as long as a stroke may be: an answer in time, whatever it is. */
static void
a_tangle_ends(void **state)
{
  (void)state;
  PwPxPath path = {g_new(PwPx, PW_LIMIT_POINTS), PW_LIMIT_POINTS}, out;
  GRand *chance = g_rand_new_with_seed(4);
  for (gsize i = 0; i < path.n; i++)
    path.points[i] =
        (PwPx){g_rand_double_range(chance, 0, 4000), g_rand_double_range(chance, 0, 4000)};
  g_autoptr(GError) error = NULL;
  gint64 start = g_get_monotonic_time();
  gboolean done = pw_trace_simplify(&path, FALSE, 1, &out, &error);
  print_message("# %s after %.1f s\n", done ? "done" : error->message,
                (double)(g_get_monotonic_time() - start) / 1e6);
  assert_true(done || error->code == PW_ERROR_LIMIT);
  pw_px_path_clear(&out);
  pw_px_path_clear(&path);
  g_rand_free(chance);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_does_not_cross_itself_does_not_afterwards),
      cmocka_unit_test(an_arc_keeps_as_few_points_as_it_needs),
      cmocka_unit_test(a_straight_stroke_keeps_its_ends),
      cmocka_unit_test(a_flat_ring_stays_one),
      cmocka_unit_test(a_stroke_does_not_run_back_along_itself),
      cmocka_unit_test(a_stroke_that_crosses_itself_is_let_be),
      cmocka_unit_test(what_is_no_stroke_is_refused),
      cmocka_unit_test(a_tangle_ends),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
