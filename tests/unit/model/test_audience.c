/* Who may see what, and which plates there are. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define LOOKED "privacy-checked: 2026-03-05\n"
#define PRIVATE_MARK                                                     \
  "marks:\n  - {id: 1, term: inscription, part: endleaf, private: yes, " \
  "outline: \"100,100 200,100 200,200 100,200\"}\n"
#define GIVEN "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n"

static gboolean
shown(const Bench *bench, const char *file)
{
  return pw_model_photo_shown(bench->model, pw_model_find_photo(bench->model, file), PW_FOR_PUBLIC);
}

static void
nothing_goes_public_without_consent(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.png", "stage: before\nview: spine\n" LOOKED);
  bench_open(bench, 0);
  g_autoptr(GError) error = NULL;
  assert_false(pw_model_may_show(bench->model, PW_FOR_PUBLIC, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_RECORD));
  assert_true(pw_model_may_show(bench->model, PW_FOR_OWNER, NULL));
}

static void
the_last_word_counts(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN
                      "  - {on: 2026-04-01, by: owner, to: show publicly, is: withdrawn}\n");
  bench_photo(bench, "a.png", "stage: before\nview: spine\n" LOOKED);
  bench_open(bench, 0);
  assert_false(pw_model_may_show(bench->model, PW_FOR_PUBLIC, NULL));
}

static void
a_consent_runs_out(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2001-03-09, by: owner, to: show publicly, is: given, "
                      "until: 2002-03-09}\n");
  bench_photo(bench, "a.png", "stage: before\nview: spine\n" LOOKED);
  bench_open(bench, 0);
  assert_false(pw_model_may_show(bench->model, PW_FOR_PUBLIC, NULL));
}

static void
what_nobody_looked_through_stays_out(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN);
  bench_photo(bench, "a.png", "stage: before\nview: spine\n");
  bench_photo(bench, "b.png", "stage: before\nview: head\n" LOOKED);
  bench_open(bench, 0);
  assert_false(shown(bench, "a.png"));
  assert_true(shown(bench, "b.png"));
}

static void
a_private_outline_is_covered_and_grown(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN);
  bench_photo(bench, "a.png", "stage: before\nview: opening\n" LOOKED PRIVATE_MARK);
  bench_open(bench, 0);
  gsize n;
  PwModelPhoto *photo = pw_model_find_photo(bench->model, "a.png");
  assert_true(shown(bench, "a.png"));
  PwPxPath *masks = pw_model_dup_masks(bench->model, photo, PW_FOR_PUBLIC, &n);
  assert_int_equal(n, 1);
  double left = 1e9, right = -1e9;
  for (gsize i = 0; i < masks[0].n; i++) {
    left = MIN(left, masks[0].points[i].x);
    right = MAX(right, masks[0].points[i].x);
  }
  assert_true(left <= 90.01 && right >= 209.99);
  pw_model_masks_free(masks, n);
  masks = pw_model_dup_masks(bench->model, photo, PW_FOR_OWNER, &n);
  assert_int_equal(n, 0);
  pw_model_masks_free(masks, n);
}

/* Four times 20 px beyond an outline whose left is at 100. */
static void
a_private_outline_placed_from_far_away_is_grown_further(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN);
  bench_photo(bench, "a.png",
              "stage: before\nview: opening\n" LOOKED "marks:\n"
              "  - {id: 1, term: inscription, part: endleaf, private: yes, "
              "outline: \"100,100 200,100 200,200 100,200\", uncertainty: {outline: 20}}\n");
  bench_open(bench, 0);
  gsize n;
  PwPxPath *masks = pw_model_dup_masks(bench->model, pw_model_find_photo(bench->model, "a.png"),
                                       PW_FOR_PUBLIC, &n);
  assert_int_equal(n, 1);
  double left = 1e9;
  for (gsize i = 0; i < masks[0].n; i++)
    left = MIN(left, masks[0].points[i].x);
  assert_true(left <= 20.01);
  pw_model_masks_free(masks, n);
}

static void
another_photograph_of_the_same_view_is_left_out(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN);
  bench_photo(bench, "a.png",
              "stage: before\nview: opening\nplace: \"f. 1r\"\n" LOOKED PRIVATE_MARK);
  bench_photo(bench, "b.png", "stage: after\nview: opening\nplace: \"f. 1r\"\n" LOOKED);
  bench_photo(bench, "c.png", "stage: after\nview: opening\nplace: \"f. 2r\"\n" LOOKED);
  bench_photo(bench, "d.png",
              "stage: after\nview: opening\nplace: \"f. 1r\"\n" LOOKED "marks:\n"
              "  - {id: 1, term: inscription, part: endleaf, earlier: \"a.png#1\", "
              "outline: \"100,100 200,100 200,200 100,200\"}\n");
  bench_open(bench, 0);
  assert_true(shown(bench, "a.png"));
  assert_false(shown(bench, "b.png"));
  assert_true(shown(bench, "c.png"));
  assert_true(shown(bench, "d.png"));
  gsize n;
  PwPxPath *masks = pw_model_dup_masks(bench->model, pw_model_find_photo(bench->model, "d.png"),
                                       PW_FOR_PUBLIC, &n);
  assert_int_equal(n, 1);
  pw_model_masks_free(masks, n);
  assert_false(pw_model_mark_shown(bench->model, pw_model_find_mark(bench->model, "d.png#1"),
                                   PW_FOR_PUBLIC));
}

static void
what_a_consent_excepts_is_withheld(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [a.png, \"b.png#1\"]}\n");
  bench_photo(bench, "a.png", "stage: before\nview: spine\n" LOOKED);
  bench_photo(bench, "b.png",
              "stage: before\nview: head\n" LOOKED "marks:\n"
              "  - {id: 1, term: stamp, part: leaf, outline: \"1,1 20,1 20,20\"}\n"
              "  - {id: 2, term: tear, part: leaf, line: \"1,1 20,1\"}\n");
  bench_open(bench, 0);
  assert_false(shown(bench, "a.png"));
  assert_true(shown(bench, "b.png"));
  assert_true(pw_model_find_mark(bench->model, "b.png#1")->withheld);
  assert_false(pw_model_find_mark(bench->model, "b.png#2")->withheld);
}

static void
a_withheld_line_cannot_be_covered_so_its_photograph_stays_out(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [\"b.png#2\"]}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: head\n" LOOKED "marks:\n"
              "  - {id: 2, term: tear, part: leaf, line: \"1,1 20,1\"}\n");
  bench_open(bench, 0);
  assert_false(shown(bench, "b.png"));
}

static void
a_withheld_line_of_many_points_is_no_outline(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [leaf]}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: head\n" LOOKED "marks:\n"
              "  - {id: 2, term: tear, part: leaf, line: \"100,100 300,100 200,300\"}\n");
  bench_open(bench, 0);
  assert_false(shown(bench, "b.png"));
}

static void
an_exception_does_not_hang_on_a_capital(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [Leaf, Tail, \"F.  12R\"]}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: head\n" LOOKED "marks:\n"
              "  - {id: 1, term: stamp, part: leaf, outline: \"1,1 20,1 20,20\"}\n");
  bench_photo(bench, "b.png", "stage: before\nview: tail\n" LOOKED);
  bench_photo(bench, "c.png", "stage: before\nview: opening\nplace: \"f. 12r\"\n" LOOKED);
  bench_photo(bench, "d.png", "stage: before\nview: opening\nplace: \"f. 12rv\"\n" LOOKED);
  bench_open(bench, 0);
  assert_true(pw_model_find_mark(bench->model, "a.png#1")->withheld);
  assert_true(shown(bench, "a.png"));
  assert_false(shown(bench, "b.png"));
  assert_false(shown(bench, "c.png"));
  assert_true(shown(bench, "d.png"));
}

static void
the_same_view_is_the_same_with_a_capital(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN);
  bench_photo(bench, "a.png", "stage: before\nview: front board\n" LOOKED PRIVATE_MARK);
  bench_photo(bench, "b.png", "stage: after\nview: \"Front  board \"\n" LOOKED);
  bench_open(bench, 0);
  assert_true(shown(bench, "a.png"));
  assert_false(shown(bench, "b.png"));
}

static void
an_exception_that_names_nothing_is_an_error(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [a.png, \"before/a.png#2\", endleaves]}\n");
  bench_photo(bench, "before/a.png",
              "stage: before\nview: head\n" LOOKED "marks:\n"
              "  - {id: 1, term: stamp, part: endleaf, outline: \"1,1 20,1 20,20\"}\n");
  bench_open(bench, 3);
  assert_true(bench_has_complaint(bench, "dangling link"));
  assert_true(bench_has_complaint(bench, "excepts nothing"));
}

static void
an_exception_of_what_no_mark_is_on_is_only_told(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                      "except: [bookplate, \"leaf 3\"]}\n");
  bench_photo(bench, "a.png", "stage: before\nview: opening\nplace: \"leaf 2\"\n" LOOKED);
  bench_open(bench, 0);
  assert_true(bench_has_complaint(bench, "excepts nothing"));
}

static void
a_withdrawal_written_otherwise_is_not_passed_over(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" GIVEN
                      "  - {on: 2026-04-01, by: owner, to: Show publicly, is: withdrawn}\n"
                      "  - {on: 2026-04-01, by: owner, to: discard piece P3, is: given}\n");
  bench_photo(bench, "a.png", "stage: before\nview: head\n" LOOKED);
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "unknown consent"));
}

/* ---- What outputs never replace --------------------------------------------------- */

static gboolean
holds(const Bench *bench, const char *name)
{
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  return pw_model_holds(bench->model, path);
}

static void
names_of_the_record_are_held_before_they_are_there(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: head\n");
  bench_write(bench, "issued/old.pdf", "%PDF-");
  bench_write(bench, "plates.pdf", "%PDF-");
  bench_open(bench, 0);
  const char *const held[] = {"volume.yaml", "terms.yaml", "b.png.yaml", "B.JPG", "issued/old.pdf"};
  for (gsize i = 0; i < G_N_ELEMENTS(held); i++)
    assert_true(holds(bench, held[i]));
  assert_false(holds(bench, "plates.pdf"));
  assert_false(holds(bench, "new.pdf"));
  assert_false(holds(bench, "issued/new.pdf"));
}

/* ---- Plates ------------------------------------------------------------------------ */

static void
a_plate_for_each_view_pairs_the_earliest_of_each_stage(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nviews: [spine, front board]\n");
  bench_photo(bench, "a.png", "stage: before\nview: front board\n");
  bench_photo(bench, "b.png", "stage: before\nview: front board\n");
  bench_photo(bench, "c.png", "stage: after\nview: front board\n");
  bench_photo(bench, "d.png", "stage: during\nview: spine\n");
  bench_photo(bench, "e.png",
              "stage: before\nview: front board\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, line: \"1,1 20,1\"}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_plates(bench->model), 3);
  const PwModelPlate *spine = pw_model_peek_plate(bench->model, 0);
  const PwModelPlate *board = pw_model_peek_plate(bench->model, 1);
  const PwModelPlate *more = pw_model_peek_plate(bench->model, 2);
  assert_string_equal(spine->title, "Spine");
  assert_string_equal(spine->during->file, "d.png");
  assert_string_equal(board->before->file, "a.png");
  assert_string_equal(board->after->file, "c.png");
  assert_string_equal(more->before->file, "e.png");
  assert_null(more->after);
}

static void
plates_that_are_named_are_the_plates(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nplates:\n"
                      "  - {title: The headcap, detail: \"a.png#1\"}\n"
                      "  - {title: All, before: a.png, after: c.png}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: front board\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, line: \"1,1 20,1\"}\n");
  bench_photo(bench, "c.png", "stage: after\nview: front board\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_plates(bench->model), 2);
  assert_string_equal(pw_model_peek_plate(bench->model, 0)->detail_mark->reference, "a.png#1");
  assert_string_equal(pw_model_peek_plate(bench->model, 1)->after->file, "c.png");
}

static void
a_plate_of_a_photograph_that_is_not_there_is_told(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nplates:\n  - {title: All, before: z.png}\n");
  bench_photo(bench, "a.png", "stage: before\nview: front board\n");
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "dangling link"));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(nothing_goes_public_without_consent),
      TEST(the_last_word_counts),
      TEST(a_consent_runs_out),
      TEST(what_nobody_looked_through_stays_out),
      TEST(a_private_outline_is_covered_and_grown),
      TEST(a_private_outline_placed_from_far_away_is_grown_further),
      TEST(another_photograph_of_the_same_view_is_left_out),
      TEST(what_a_consent_excepts_is_withheld),
      TEST(a_withheld_line_cannot_be_covered_so_its_photograph_stays_out),
      TEST(a_withheld_line_of_many_points_is_no_outline),
      TEST(an_exception_does_not_hang_on_a_capital),
      TEST(the_same_view_is_the_same_with_a_capital),
      TEST(an_exception_that_names_nothing_is_an_error),
      TEST(an_exception_of_what_no_mark_is_on_is_only_told),
      TEST(a_withdrawal_written_otherwise_is_not_passed_over),
      TEST(names_of_the_record_are_held_before_they_are_there),
      TEST(a_plate_for_each_view_pairs_the_earliest_of_each_stage),
      TEST(plates_that_are_named_are_the_plates),
      TEST(a_plate_of_a_photograph_that_is_not_there_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
