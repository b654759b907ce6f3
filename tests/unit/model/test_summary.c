/* Condition by part and by face, for each audience; what is not recorded. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define LOOKED "privacy-checked: 2026-03-05\n"
#define VOLUME                                             \
  "volume: {id: T-1}\nviews: [tail, front board, spine]\n" \
  "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n"

/* Squares of 10 mm: a loss seen twice, one that is private, one on the leaf; afterwards the first
 * is a quarter of what it was and the private one made good. */
static void
open_squares(Bench *bench)
{
  bench_volume(bench, VOLUME);
  bench_photo(bench, "a.png",
              "stage: before\nview: front board\n" LOOKED BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: board, severity: 2, "
              "outline: \"100,100 200,100 200,200 100,200\"}\n"
              "  - {id: 2, term: loss, part: board, severity: 3, private: yes, "
              "outline: \"300,100 400,100 400,200 300,200\"}\n"
              "  - {id: 3, term: tear, part: leaf, line: \"500,100 600,100\"}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: spine\n" LOOKED BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: board, same-as: \"a.png#1\", "
              "outline: \"100,100 200,100 200,200 100,200\"}\n");
  bench_photo(bench, "c.png",
              "stage: after\nview: front board\n" LOOKED BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: board, earlier: \"a.png#1\", "
              "outline: \"100,100 150,100 150,150 100,150\"}\n"
              "  - {id: 2, term: loss, part: board, earlier: \"a.png#2\", gone: yes}\n");
  bench_open(bench, 0);
}

static void
damage_counts_once_by_part_and_its_change_is_that_of_the_totals(void **state)
{
  Bench *bench = *state;
  open_squares(bench);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_OWNER);
  assert_int_equal(summary->n_before, 3);
  assert_int_equal(summary->n_after, 1);
  assert_int_equal(summary->n_parts, 2);
  const PwModelPart *board = &summary->parts[0];
  assert_string_equal(board->part, "board");
  assert_int_equal(board->severity, 3);
  assert_int_equal(board->n_terms, 1);
  const PwModelCondition *loss = &board->terms[0];
  assert_string_equal(loss->term, "loss");
  assert_string_equal(loss->group, "missing");
  assert_int_equal(loss->n_followed, 2);
  assert_int_equal(loss->before.count, 2);
  bench_assert_near(pw_size_quantity(&loss->before.area_mm2).value, 200, 1e-6);
  bench_assert_near(pw_size_quantity(&loss->after.area_mm2).value, 25, 1e-6);
  assert_true(loss->has_change);
  bench_assert_near(pw_size_quantity(&loss->change).value, -175, 1e-6);
}

/* The same totals as `measure` has, where all may be seen. */
static void
totals_for_the_owner_are_those_of_the_model(void **state)
{
  Bench *bench = *state;
  open_squares(bench);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_OWNER);
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_totals(bench->model); i++) {
    const PwModelTotal *total = pw_model_peek_total(bench->model, i);
    for (gsize j = 0; j < summary->n_parts; j++) {
      const PwModelCondition *condition = &summary->parts[j].terms[0];
      const PwModelTotal *mine =
          total->stage == PW_STAGE_BEFORE ? &condition->before : &condition->after;
      if (g_strcmp0(total->part, condition->part) != 0)
        continue;
      n++;
      assert_int_equal(mine->count, total->count);
      if (!total->has_area)
        continue;
      const PwQuantity a = pw_size_quantity(&mine->area_mm2);
      const PwQuantity b = pw_size_quantity(&total->area_mm2);
      bench_assert_near(a.value, b.value, 1e-9);
      bench_assert_near(a.u, b.u, 1e-9);
    }
  }
  assert_int_equal(n, pw_model_n_totals(bench->model));
}

static void
what_is_withheld_counts_nowhere_for_the_public(void **state)
{
  Bench *bench = *state;
  open_squares(bench);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_PUBLIC);
  /* b.png shows the face of no private mark; a.png and c.png cover theirs, c.png by no outline */
  assert_false(pw_model_photo_shown(bench->model, pw_model_find_photo(bench->model, "c.png"),
                                    PW_FOR_PUBLIC));
  const PwModelCondition *loss = &summary->parts[0].terms[0];
  assert_int_equal(loss->before.count, 1);
  assert_int_equal(loss->severity, 2);
  bench_assert_near(pw_size_quantity(&loss->before.area_mm2).value, 100, 1e-6);
  assert_false(loss->has_change);
  assert_int_equal(summary->n_before, 2);
  assert_false(summary->faces[1].has_after);
}

static void
faces_stand_as_they_are_wanted_and_say_what_was_not_photographed(void **state)
{
  Bench *bench = *state;
  open_squares(bench);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  assert_int_equal(summary->n_faces, 3);
  assert_string_equal(summary->faces[0].view, "tail");
  assert_int_equal(summary->faces[0].n_photos, 0);
  assert_false(summary->faces[0].has_before);
  const PwModelFace *board = &summary->faces[1], *spine = &summary->faces[2];
  assert_string_equal(board->view, "front board");
  assert_int_equal(board->n_photos, 2);
  assert_int_equal(board->n_before, 3);
  assert_int_equal(board->n_after, 1);
  assert_int_equal(spine->n_before, 1);
  assert_true(board->has_after);
  assert_false(spine->has_after);
}

/* The stain is seen from two sides, and told of after treatment from the second alone; of the
 * spine's tear nothing tells. */
static void
a_damage_is_followed_on_every_face_where_it_was_seen(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: spine\nmarks:\n"
              "  - {id: 1, term: stain, part: joint, line: \"1,1 20,1\"}\n"
              "  - {id: 2, term: tear, part: spine, line: \"1,9 20,9\"}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: front board\nmarks:\n"
              "  - {id: 1, term: stain, part: joint, line: \"1,1 20,1\", same-as: \"a.png#1\"}\n");
  bench_photo(bench, "c.png",
              "stage: after\nview: front board\nmarks:\n"
              "  - {id: 1, term: stain, part: joint, earlier: \"b.png#1\", gone: yes}\n");
  bench_open(bench, 0);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  for (gsize i = 0; i < summary->n_faces; i++) {
    const PwModelFace *face = &summary->faces[i];
    assert_int_equal(face->n_before, strcmp(face->view, "spine") == 0 ? 2 : 1);
    assert_int_equal(face->n_followed, 1);
    assert_int_equal(face->n_after, 0);
  }
}

/* The leaf's tear is on no photograph of after: nothing is said of what became of it. */
static void
no_change_is_told_of_what_was_not_followed(void **state)
{
  Bench *bench = *state;
  open_squares(bench);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  const PwModelCondition *tear = &summary->parts[1].terms[0];
  assert_string_equal(tear->term, "tear");
  assert_int_equal(tear->before.count, 1);
  assert_int_equal(tear->n_followed, 0);
  assert_int_equal(tear->after.count, 0);
  assert_false(tear->has_change);
}

static void
no_change_is_told_where_one_of_two_was_not_followed(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: front board\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: board, "
              "outline: \"100,100 200,100 200,200 100,200\"}\n"
              "  - {id: 2, term: loss, part: board, "
              "outline: \"300,100 400,100 400,200 300,200\"}\n");
  bench_photo(bench, "c.png",
              "stage: after\nview: front board\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: board, earlier: \"a.png#1\", gone: yes}\n");
  bench_open(bench, 0);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  const PwModelCondition *loss = &summary->parts[0].terms[0];
  assert_int_equal(loss->before.count, 2);
  assert_int_equal(loss->n_followed, 1);
  assert_true(loss->before.has_area && loss->after.has_area);
  assert_false(loss->has_change);
}

/* A point with a count stands for as many places, in every figure; seen twice, it is the same. */
static void
a_point_is_as_many_places_as_its_count(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: spine\nmarks:\n"
              "  - {id: 1, term: loose sewing, part: sewing, point: \"9,9\", count: 3}\n"
              "  - {id: 2, term: loose sewing, part: sewing, point: \"20,9\", count: 4}\n"
              "  - {id: 3, term: stain, part: leaf, line: \"1,1 20,1\"}\n"
              "  - {id: 4, term: inscription, part: leaf, point: \"9,20\", count: 2}\n");
  bench_photo(bench, "b.png",
              "stage: before\nview: spine\nmarks:\n"
              "  - {id: 1, term: loose sewing, part: sewing, point: \"9,9\", count: 3, "
              "same-as: \"a.png#1\"}\n");
  bench_photo(bench, "c.png",
              "stage: after\nview: spine\nmarks:\n"
              "  - {id: 1, term: loose sewing, part: sewing, point: \"9,9\", count: 2, "
              "earlier: \"b.png#1\"}\n");
  bench_open(bench, 0);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  const PwModelCondition *loose = &summary->parts[0].terms[0];
  assert_string_equal(loose->term, "loose sewing");
  assert_int_equal(loose->before.count, 7);
  assert_int_equal(loose->before.points, 7);
  assert_int_equal(
      summary->parts[1].terms[0].before.points + summary->parts[1].terms[1].before.points, 2);
  assert_int_equal(loose->n_followed, 3);
  assert_int_equal(loose->after.count, 2);
  assert_int_equal(summary->parts[0].n_before, 7);
  assert_int_equal(summary->parts[0].n_after, 2);
  assert_int_equal(summary->faces[0].n_before, 8);
  assert_int_equal(summary->faces[0].n_after, 2);
  assert_int_equal(summary->n_before, 8);
  assert_int_equal(summary->n_after, 2);
  assert_int_equal(summary->n_noted, 2);
}

static void
parts_stand_from_the_outside_in(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.png",
              "stage: before\nview: head\nmarks:\n"
              "  - {id: 1, term: tear, line: \"1,1 20,1\"}\n"
              "  - {id: 2, term: tear, part: leaf, line: \"1,1 20,1\"}\n"
              "  - {id: 3, term: tear, part: zigzag, line: \"1,1 20,1\"}\n"
              "  - {id: 4, term: tear, part: back board, line: \"1,1 20,1\"}\n"
              "  - {id: 5, term: tear, part: sewing, line: \"1,1 20,1\"}\n"
              "  - {id: 6, term: tear, part: spine leather, line: \"1,1 20,1\"}\n"
              "  - {id: 7, term: tear, part: front board, line: \"1,1 20,1\"}\n");
  bench_open(bench, 0);
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(bench->model, PW_FOR_STUDIO);
  const char *const order[] = {"front board", "spine leather", "back board", "sewing",
                               "leaf",        "zigzag",        NULL};
  assert_int_equal(summary->n_parts, G_N_ELEMENTS(order));
  for (gsize i = 0; i + 1 < G_N_ELEMENTS(order); i++)
    assert_string_equal(summary->parts[i].part, order[i]);
  assert_null(summary->parts[G_N_ELEMENTS(order) - 1].part);
}

/* ---- What is not recorded ---------------------------------------------------------- */

static gboolean
is_unrecorded(const Bench *bench, guint due, const char *key)
{
  g_autofree const char **keys = pw_model_dup_unrecorded(bench->model, due);
  return g_strv_contains(keys, key);
}

static void
what_a_document_owes_and_the_record_lacks_is_named(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1, title: \"A register\", size: 300 x 200 x 40}\n"
                      "received: 2026-03-02\nproposal: [{do: \"mend\"}]\n");
  bench_photo(bench, "a.png", "stage: before\nview: head\n");
  bench_open(bench, 0);
  assert_false(is_unrecorded(bench, PW_DUE_RECEIVED, "volume/title"));
  assert_false(is_unrecorded(bench, PW_DUE_RECEIVED, "volume/size"));
  assert_true(is_unrecorded(bench, PW_DUE_RECEIVED, "owner/name"));
  assert_false(is_unrecorded(bench, PW_DUE_RECEIVED, "volume/mass"));
  assert_true(is_unrecorded(bench, PW_DUE_EXAMINED, "volume/mass"));
  assert_false(is_unrecorded(bench, PW_DUE_PROPOSED, "proposal"));
  assert_true(is_unrecorded(bench, PW_DUE_PROPOSED, "estimate"));
  assert_false(is_unrecorded(bench, PW_DUE_PROPOSED, "returned"));
  assert_true(is_unrecorded(bench, PW_DUE_TREATED, "returned"));
  assert_true(is_unrecorded(bench, PW_DUE_TREATED, "photographs/after"));
  assert_false(is_unrecorded(bench, PW_DUE_TREATED, "photographs/before"));
}

static void
a_folder_without_volume_yaml_owes_everything(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: head\n");
  bench_open(bench, 0);
  assert_true(is_unrecorded(bench, PW_DUE_RECEIVED, "volume/size"));
  assert_true(is_unrecorded(bench, PW_DUE_TREATED, "consents/treatment"));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(damage_counts_once_by_part_and_its_change_is_that_of_the_totals),
      TEST(totals_for_the_owner_are_those_of_the_model),
      TEST(what_is_withheld_counts_nowhere_for_the_public),
      TEST(faces_stand_as_they_are_wanted_and_say_what_was_not_photographed),
      TEST(a_damage_is_followed_on_every_face_where_it_was_seen),
      TEST(no_change_is_told_of_what_was_not_followed),
      TEST(no_change_is_told_where_one_of_two_was_not_followed),
      TEST(a_point_is_as_many_places_as_its_count),
      TEST(parts_stand_from_the_outside_in),
      TEST(what_a_document_owes_and_the_record_lacks_is_named),
      TEST(a_folder_without_volume_yaml_owes_everything),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
