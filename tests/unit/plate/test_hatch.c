/* Hatch lines: inside the outline, outside its holes, one gap apart, all of the area covered. */
#include "plate/hatch.h"

#include "chance.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#define TRIALS 200
/* Of a hatch line's end from the edge it was cut at, from rounding alone. */
#define CUT_MM 1e-9

static gboolean
inside_ring(const PwPaperPath *ring, PwPaper p)
{
  gboolean in = FALSE;
  for (gsize i = 0; i < ring->n; i++) {
    PwPaper a = ring->points[i], b = ring->points[(i + 1) % ring->n];
    if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
      in = !in;
  }
  return in;
}

/* A star of n corners about a middle, never crossing itself. */
static void
star(Chance *chance, PwPaperPath *ring, gsize n, PwPaper middle, double least, double most)
{
  ring->n = n;
  for (gsize i = 0; i < n; i++) {
    double angle = 2 * G_PI * (double)i / (double)n, r = chance_double(chance, least, most);
    ring->points[i] = (PwPaper){middle.x + r * cos(angle), middle.y + r * sin(angle)};
  }
}

static void
check_inside(const PwPaperPath *rings, const PwStroke *stroke)
{
  for (double t = 0.01; t < 1; t += 0.07) {
    PwPaper p = {stroke->from.x + t * (stroke->to.x - stroke->from.x),
                 stroke->from.y + t * (stroke->to.y - stroke->from.y)};
    if (hypot(stroke->to.x - stroke->from.x, stroke->to.y - stroke->from.y) < 100 * CUT_MM)
      continue;
    assert_true(inside_ring(&rings[0], p));
    assert_false(inside_ring(&rings[1], p));
  }
}

static void
stays_inside_and_leaves_holes_free(void **state)
{
  (void)state;
  Chance chance = {3};
  PwPaper outer[40], hole[12];
  for (guint trial = 0; trial < TRIALS; trial++) {
    PwPaperPath rings[2] = {{outer, 0}, {hole, 0}};
    double reach = trial % 2 == 0 ? 3 : HUGE_VAL;
    star(&chance, &rings[0], 40, (PwPaper){100, 80}, 8, 20);
    star(&chance, &rings[1], 12, (PwPaper){101, 79}, 2, 5);
    g_autoptr(GArray) strokes = pw_hatch_new(rings, 2, chance_double(&chance, 0, 180), 1.1, reach);
    assert_true(strokes->len > 10);
    for (guint i = 0; i < strokes->len; i++)
      check_inside(rings, &g_array_index(strokes, PwStroke, i));
  }
}

/* The lines' length times the gap is the area, as gap goes to nothing. */
static void
covers_the_area(void **state)
{
  (void)state;
  PwPaper square[4] = {{10, 10}, {40, 10}, {40, 30}, {10, 30}};
  PwPaper window[4] = {{20, 15}, {30, 15}, {30, 25}, {20, 25}};
  PwPaperPath rings[2] = {{square, 4}, {window, 4}};
  for (double angle = 0; angle < 180; angle += 15) {
    g_autoptr(GArray) strokes = pw_hatch_new(rings, 2, angle, 0.05, HUGE_VAL);
    double area = 0;
    for (guint i = 0; i < strokes->len; i++) {
      const PwStroke *s = &g_array_index(strokes, PwStroke, i);
      area += hypot(s->to.x - s->from.x, s->to.y - s->from.y) * 0.05;
    }
    assert_true(fabs(area - 500) < 500 * 0.005);
  }
}

static void
runs_at_its_angle(void **state)
{
  (void)state;
  PwPaper square[4] = {{10, 10}, {40, 10}, {40, 30}, {10, 30}};
  PwPaperPath ring = {square, 4};
  g_autoptr(GArray) strokes = pw_hatch_new(&ring, 1, 45, 2, 4);
  for (guint i = 0; i < strokes->len; i++) {
    const PwStroke *s = &g_array_index(strokes, PwStroke, i);
    /* Counter-clockwise as seen: up to the right, with y down. */
    assert_true(fabs((s->to.x - s->from.x) + (s->to.y - s->from.y)) < CUT_MM);
  }
  g_autoptr(GArray) none = pw_hatch_new(&ring, 1, 45, 0, 4);
  assert_int_equal(none->len, 0);
}

/* The middle of a large mark is free; a small one is hatched through. */
static void
leaves_a_large_middle_free(void **state)
{
  (void)state;
  PwPaper square[4] = {{10, 10}, {60, 10}, {60, 60}, {10, 60}};
  PwPaperPath ring = {square, 4};
  g_autoptr(GArray) strokes = pw_hatch_new(&ring, 1, 0, 2, 4);
  assert_int_equal(strokes->len, 50);
  for (guint i = 0; i < strokes->len; i++) {
    const PwStroke *s = &g_array_index(strokes, PwStroke, i);
    assert_true(MAX(s->from.x, s->to.x) <= 14 + CUT_MM || MIN(s->from.x, s->to.x) >= 56 - CUT_MM);
  }
  PwPaper small[4] = {{10, 10}, {19, 10}, {19, 19}, {10, 19}};
  PwPaperPath small_ring = {small, 4};
  g_autoptr(GArray) through = pw_hatch_new(&small_ring, 1, 0, 2, 4);
  for (guint i = 0; i < through->len; i++) {
    const PwStroke *s = &g_array_index(through, PwStroke, i);
    assert_true(fabs(fabs(s->to.x - s->from.x) - 9) < CUT_MM);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(stays_inside_and_leaves_holes_free),
      cmocka_unit_test(covers_the_area),
      cmocka_unit_test(runs_at_its_angle),
      cmocka_unit_test(leaves_a_large_middle_free),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
