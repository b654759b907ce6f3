/* Links, totals, changes: what is counted once, what is united, what cancels. */
#include "bench.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Squares of 9.99 mm: exact in the plane, so only rounding is left. */
#define SQUARE_MM2 (9.99 * 9.99)
#define ROUNDING 1e-6

static double
value(const PwSize *size)
{
  return pw_size_quantity(size).value;
}

static void
linked_marks_count_once_and_the_surest_is_kept(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_photo(bench, "b.png",
              "stage: before\n" BENCH_SCALE "uncertainty: {outline: 9}\nmarks:\n"
              "  - {id: 1, term: loss, part: spine, outline: \"100,100 300,100 300,300 100,300\", "
              "same-as: \"a.png#1\"}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_totals(bench->model), 1);
  const PwModelTotal *total = pw_model_peek_total(bench->model, 0);
  assert_int_equal(total->count, 1);
  assert_true(total->has_area);
  bench_assert_near(value(&total->area_mm2), SQUARE_MM2, ROUNDING);
}

static void
a_mark_that_was_placed_worse_is_not_the_surest(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(
                  1, 1) ", "
                        "uncertainty: {outline: 90}}\n");
  bench_photo(bench, "b.png",
              "stage: before\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: \"100,100 300,100 300,300 100,300\", "
              "same-as: \"a.png#1\"}\n");
  bench_open(bench, 0);
  const PwModelTotal *total = pw_model_peek_total(bench->model, 0);
  bench_assert_near(value(&total->area_mm2), 400, ROUNDING);
}

static void
overlaps_are_united_and_planes_are_added(void **state)
{
  Bench *bench = *state;
  bench_photo(
      bench, "a.png",
      "stage: before\n" BENCH_SCALE "marks:\n"
      "  - {id: 1, term: stain, part: board, outline: \"100,100 300,100 300,300 100,300\"}\n"
      "  - {id: 2, term: stain, part: board, outline: \"200,200 400,200 400,400 200,400\"}\n");
  bench_photo(
      bench, "b.png",
      "stage: before\n" BENCH_SCALE "marks:\n"
      "  - {id: 1, term: stain, part: board, outline: \"100,100 300,100 300,300 100,300\"}\n");
  bench_open(bench, 0);
  const PwModelTotal *total = pw_model_peek_total(bench->model, 0);
  assert_int_equal(total->count, 3);
  bench_assert_near(value(&total->area_mm2), 2 * 400 - 100 + 400, ROUNDING);
}

static void
unsized_marks_are_counted_and_told(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(
                  1, 1) "}\n"
                        "  - {id: 2, term: loss, part: spine, point: \"500,500\", count: 4}\n");
  bench_open(bench, 0);
  const PwModelTotal *total = pw_model_peek_total(bench->model, 0);
  assert_int_equal(total->count, 5);
  assert_int_equal(total->unsized, 1);
  assert_false(total->has_area);
  PwModelMark *mark = pw_model_find_mark(bench->model, "a.png#1");
  assert_false(mark->sized);
  assert_string_equal(mark->why, "no scale in the picture");
  assert_true(mark->area_px > 9000);
}

static void
what_was_made_good_is_nothing_without_uncertainty(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_photo(bench, "b.png",
              "stage: after\nmarks:\n"
              "  - {id: 7, term: loss, part: spine, earlier: \"a.png#1\", gone: yes}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_changes(bench->model), 1);
  const PwModelChange *change = pw_model_peek_change(bench->model, 0);
  assert_true(change->gone && change->sized);
  bench_assert_near(value(&change->delta), -SQUARE_MM2, ROUNDING);
  bench_assert_near(pw_size_quantity(&change->delta).u,
                    pw_size_quantity(&change->before->sizes.area_mm2).u, ROUNDING);
  bench_assert_near(pw_size_quantity(&change->after_size).u, 0, 0);
  PwModelMark *after = pw_model_find_mark(bench->model, "b.png#7");
  PwModelMark *before = pw_model_find_mark(bench->model, "a.png#1");
  assert_ptr_equal(after->family, before);
  assert_true(before->followed);
  assert_ptr_equal(after->change, change);
}

static void
after_marks_of_one_before_mark_are_united_first(void **state)
{
  Bench *bench = *state;
  bench_photo(
      bench, "a.png",
      "stage: before\n" BENCH_SCALE "marks:\n"
      "  - {id: 1, term: stain, part: board, outline: \"100,100 500,100 500,500 100,500\"}\n");
  bench_photo(bench, "b.png",
              "stage: after\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: stain, part: board, outline: \"100,100 300,100 300,300 100,300\", "
              "earlier: \"a.png#1\"}\n"
              "  - {id: 2, term: stain, part: board, outline: \"200,200 400,200 400,400 200,400\", "
              "earlier: \"a.png#1\"}\n");
  bench_open(bench, 0);
  const PwModelChange *change = pw_model_peek_change(bench->model, 0);
  assert_int_equal(change->n_after, 2);
  bench_assert_near(value(&change->delta), 700 - 1600, ROUNDING);
}

static void
points_change_by_count(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: loose sewing, part: sewing, point: \"5,5\", count: 3}\n");
  bench_photo(
      bench, "b.png",
      "stage: after\nmarks:\n"
      "  - {id: 1, term: loose sewing, part: sewing, point: \"5,5\", earlier: \"a.png#1\"}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_peek_change(bench->model, 0)->count_delta, -2);
}

static void
a_mark_may_stand_on_a_level_of_its_own(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n"
              "scale:\n"
              "  rectangle: {corners: \"0,0 1000,0 1000,600 0,600\", width: 100, height: 60}\n"
              "  camera-distance: 800\n"
              "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(
                  1, 1) "}\n"
                        "  - {id: 2, term: loss, part: spine, outline: " BENCH_SQUARE(
                            1, 1) ", plane-offset: 80}\n");
  bench_open(bench, 0);
  assert_false(pw_model_find_mark(bench->model, "a.png#1")->sized);
  PwModelMark *raised = pw_model_find_mark(bench->model, "a.png#2");
  assert_true(raised->sized);
  /* REL3 of the facts: what stands h nearer looks larger by D / (D - h), so its true size is less
   */
  bench_assert_near(value(&raised->sizes.area_mm2), SQUARE_MM2 * 0.9 * 0.9, 1e-3);
}

static void
thickness_is_that_of_the_volume(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1, size: 300 x 200 x 80}\n");
  bench_photo(bench, "a.png",
              "stage: before\n"
              "scale:\n"
              "  rectangle: {corners: \"0,0 1000,0 1000,600 0,600\", width: 100, height: 60}\n"
              "  camera-distance: 800\n"
              "  plane-offset: thickness\n"
              "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_open(bench, 0);
  PwModelMark *mark = pw_model_find_mark(bench->model, "a.png#1");
  bench_assert_near(mark->plane_offset_mm, 80, 0);
}

static void
a_curved_face_has_no_sizes(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nshape: curved\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: spine, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_open(bench, 0);
  assert_false(pw_model_find_mark(bench->model, "a.png#1")->sized);
}

static void
shares_are_of_the_face(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n" BENCH_SCALE "surface: \"0,0 1000,0 1000,500 0,500\"\nmarks:\n"
              "  - {id: 1, term: loss, part: board, outline: \"0,0 100,0 100,50 0,50\"}\n");
  bench_open(bench, 0);
  PwModelMark *mark = pw_model_find_mark(bench->model, "a.png#1");
  assert_true(mark->has_share);
  bench_assert_near(value(&mark->share_percent), 1, ROUNDING);
}

static void
no_share_is_of_a_face_that_crosses_itself(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\n" BENCH_SCALE "surface: \"0,0 1000,500 1000,0 0,200\"\nmarks:\n"
              "  - {id: 1, term: loss, part: board, outline: \"0,0 100,0 100,50 0,50\"}\n");
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "crossing outline"));
  PwModelMark *mark = pw_model_find_mark(bench->model, "a.png#1");
  assert_true(mark->sized);
  assert_false(mark->has_share);
}

static void
an_unknown_name_under_uncertainty_is_told(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\n" BENCH_SCALE "uncertainty: {outlin: 3}\n");
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "unknown key"));
}

static void
damage_is_not_gone_and_still_drawn(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nview: spine\nmarks:\n"
              "  - {id: 1, term: loss, part: leaf, outline: \"1,1 20,1 20,20\"}\n");
  bench_photo(bench, "b.png",
              "stage: after\nview: spine\nmarks:\n"
              "  - {id: 1, term: loss, part: leaf, earlier: \"a.png#1\", gone: yes}\n");
  bench_photo(bench, "c.png",
              "stage: after\nview: head\nmarks:\n"
              "  - {id: 1, term: loss, part: leaf, outline: \"1,1 9,1 9,9\", "
              "same-as: \"b.png#1\"}\n");
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "wrong link"));
}

static void
a_synonym_is_the_same_term(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nview: spine\nmarks:\n"
              "  - {id: 1, term: loss, part: leaf, outline: \"1,1 20,1 20,20\"}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: head\nmarks:\n"
              "  - {id: 1, term: lacuna, part: leaf, outline: \"1,1 20,1 20,20\", "
              "same-as: \"a.png#1\"}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_totals(bench->model), 1);
  assert_int_equal(pw_model_peek_total(bench->model, 0)->count, 1);
}

#define A_SCALE                                                                            \
  "scale: {plane-offset: 0, rectangle: {corners: \"0,0 100,0 100,100 0,100\", width: 10, " \
  "height: 10}}\n"

static void
an_outline_that_crosses_itself_has_no_size(void **state)
{
  Bench *bench = *state;
  bench_photo(
      bench, "a.png",
      "stage: before\nview: spine\n" A_SCALE "marks:\n"
      "  - {id: 1, term: loss, part: leaf, outline: \"200,200 300,300 300,200 200,300\"}\n"
      "  - {id: 2, term: loss, part: leaf, outline: \"500,500 600,500 600,600 500,600\"}\n");
  bench_open(bench, 1);
  assert_false(pw_model_find_mark(bench->model, "a.png#1")->sized);
  assert_non_null(pw_model_find_mark(bench->model, "a.png#1")->why);
  const PwModelTotal *total = pw_model_peek_total(bench->model, 0);
  assert_int_equal(total->count, 2);
  assert_int_equal(total->unsized, 1);
  bench_assert_near(total->area_mm2.value, 100, 0.001);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(linked_marks_count_once_and_the_surest_is_kept),
      TEST(overlaps_are_united_and_planes_are_added),
      TEST(unsized_marks_are_counted_and_told),
      TEST(what_was_made_good_is_nothing_without_uncertainty),
      TEST(after_marks_of_one_before_mark_are_united_first),
      TEST(points_change_by_count),
      TEST(a_mark_may_stand_on_a_level_of_its_own),
      TEST(thickness_is_that_of_the_volume),
      TEST(a_curved_face_has_no_sizes),
      TEST(shares_are_of_the_face),
      TEST(no_share_is_of_a_face_that_crosses_itself),
      TEST(a_mark_that_was_placed_worse_is_not_the_surest),
      TEST(an_unknown_name_under_uncertainty_is_told),
      TEST(damage_is_not_gone_and_still_drawn),
      TEST(a_synonym_is_the_same_term),
      TEST(an_outline_that_crosses_itself_has_no_size),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
