/* What is still to do, in the order of the row, and that `check` says the same. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* "VIEW|STAGE|FILE|WHAT|N", a line each. */
static char *
dup_owed(const PwModel *model)
{
  GString *all = g_string_new("");
  for (gsize i = 0; i < pw_model_n_owed(model); i++) {
    const PwOwed *owed = pw_model_peek_owed(model, i);
    assert_true(owed->says && *owed->says);
    g_string_append_printf(all, "%s|%s|%s|%s|%u\n", owed->view ? owed->view : "",
                           pw_stage_name(owed->stage), owed->photo ? owed->photo->file : "",
                           pw_owed_name(owed->what), owed->n);
  }
  return g_string_free(all, FALSE);
}

#define DONE "privacy-checked: 2026-03-05\n"
#define MARK "marks:\n  - {id: 1, term: loss, part: board, outline: " BENCH_SQUARE(1, 1) "}\n"

static void
the_row_says_what_is_owed(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: a}\nviews: [spine, head]\n");
  bench_photo(bench, "1.png", "stage: before\nview: head\n" DONE MARK); /* no scale */
  bench_photo(bench, "2.png", "stage: after\nview: head\n" DONE);       /* what became of it? */
  bench_photo(bench, "3.png", "view: opening\n" DONE BENCH_SCALE MARK); /* no stage */
  bench_photo(bench, "4.png", "stage: before\n" DONE);                  /* no view, not marked */
  bench_photo(bench, "5.png",
              "stage: before\nview: tail\nscale: {span: {from: \"1,1\", to: \"9,1\", length: 10}}\n"
              "marks:\n  - {id: 1, term: undecided, line: \"1,1 5,5\"}\n"
              "  - {id: 2, term: undecided, point: \"1,1\"}\n");
  bench_photo(bench, "6.png", "stage: during\nview: tail\n" DONE);
  bench_photo(bench, "7.png", "stage: before\nview: tail\nlight: candle\n" DONE MARK);
  bench_photo(bench, "8.png", "stage: before\nview: tail\nshape: curved\n" DONE MARK);
  bench_write(bench, "9.png", "");
  bench_open(bench, 1);
  g_autofree char *owed = dup_owed(bench->model);
  assert_string_equal(owed, "spine|before||no photograph|1\n"
                            "spine|after||no photograph|1\n"
                            "head|before|1.png|no scale|1\n"
                            "head|after|2.png|not marked|1\n"
                            "opening||3.png|no stage|1\n"
                            "tail|before|5.png|no size|1\n"
                            "tail|before|5.png|undecided|2\n"
                            "tail|before|5.png|not looked through|1\n"
                            "tail|before|7.png|fault|1\n"
                            "tail|before|7.png|no scale|1\n"
                            "||9.png|not taken in|1\n"
                            "|before|4.png|no view|1\n"
                            "|before|4.png|not marked|1\n");
}

static guint
count_kind(const PwComplaints *findings, const char *kind)
{
  guint n = 0;
  for (guint i = 0; i < pw_complaints_n(findings); i++)
    n += strcmp(pw_complaints_peek(findings, i)->kind, kind) == 0;
  return n;
}

static void
check_says_the_same(void **state)
{
  the_row_says_what_is_owed(state);
  Bench *bench = *state;
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  const PwCheckOptions options = {.full = FALSE};
  pw_check(bench->model, &options, findings);
  assert_int_equal(count_kind(findings, "view missing"), 2);
  assert_int_equal(count_kind(findings, "no size"), 3);
  assert_int_equal(count_kind(findings, "no stage"), 1);
  assert_int_equal(count_kind(findings, "no view"), 1);
  assert_int_equal(count_kind(findings, "undecided"), 2);
  assert_int_equal(count_kind(findings, "not looked through"), 1);
}

static void
nothing_is_owed_by_a_record_that_is_done(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: a}\nviews: [spine]\n");
  bench_photo(bench, "1.png", "stage: before\nview: spine\n" DONE BENCH_SCALE MARK);
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_owed(bench->model), 0);
}

/* Only where the volume has gone back, open ones alone, in the ledger's order, behind the row. */
static void
open_pieces_are_owed(void **state)
{
  static const char pieces[] =
      "pieces:\n  - {id: P10, kind: part, what: board}\n"
      "  - {id: P2, kind: part, what: lining, outcome: discarded, on: 2026-03-02}\n"
      "  - {id: P3, kind: part, what: cord, outcome: reattached, on: 2026-03-02}\n";
  Bench *bench = *state;
  g_autofree char *here = g_strconcat("volume: {id: a}\nviews: [spine]\n", pieces, NULL);
  bench_volume(bench, here);
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_owed(bench->model), 1);
  g_autofree char *back = g_strconcat("returned: 2026-03-03\n", here, NULL);
  bench_volume(bench, back);
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_owed(bench->model), 4);
  const PwOwed *first = pw_model_peek_owed(bench->model, 2);
  const PwOwed *second = pw_model_peek_owed(bench->model, 3);
  assert_int_equal(first->what, PW_OWED_PIECE);
  assert_string_equal(first->piece->id, "P2");
  assert_int_equal(first->lacks, PW_LACKS_REASON | PW_LACKS_CONSENT);
  assert_string_equal(second->piece->id, "P10");
  assert_int_equal(second->lacks, PW_LACKS_OUTCOME);
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  const PwCheckOptions options = {.full = FALSE};
  pw_check(bench->model, &options, findings);
  assert_int_equal(count_kind(findings, "piece open"), 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(the_row_says_what_is_owed, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(check_says_the_same, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(nothing_is_owed_by_a_record_that_is_done, bench_begin,
                                      bench_end),
      cmocka_unit_test_setup_teardown(open_pieces_are_owed, bench_begin, bench_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
