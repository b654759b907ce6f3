/* Of which day a document is: a table of records. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

typedef struct {
  const char *record; /* of volume.yaml, after its id */
  const char *received, *examined, *proposed, *last;
} Case;

#define CAME "received: 2026-03-02\nexamined: 2026-03-04\n"
#define ASKED(on) "  - {on: " on ", by: owner, to: treatment, is: asked}\n"
#define GIVEN(on) "  - {on: " on ", by: owner, to: treatment, is: given}\n"
#define SHOWN(on) "  - {on: " on ", by: owner, to: show publicly, is: given}\n"
#define TEST(on) "tests: [{on: " on ", place: a, method: b, result: c, consumed: no}]\n"
#define SAYS(on) "observations: [{part: leaf, says: a, on: " on "}]\n"
#define STEP(on) "treatment: [{on: " on ", part: leaf, did: a}]\n"
#define PIECE(on) "pieces: [{id: P1, kind: part, what: a, kept: b, outcome: housed, on: " on "}]\n"
#define SHA256 "0123456789012345678901234567890123456789012345678901234567890123"
#define DECISION(on) "decisions: [{on: " on ", question: a, chosen: b, because: c}]\n"

static const Case cases[] = {
    {"", NULL, NULL, NULL, NULL},
    {"received: 2026-03-02\n", "2026-03-02", "2026-03-02", "2026-03-02", "2026-03-02"},
    {"examined: 2026-03-04\n", NULL, "2026-03-04", "2026-03-04", "2026-03-04"},
    {CAME, "2026-03-02", "2026-03-04", "2026-03-04", "2026-03-04"},
    /* what goes on after the examination is of the condition until the work begins */
    {CAME TEST("2026-03-06"), "2026-03-02", "2026-03-06", "2026-03-06", "2026-03-06"},
    {CAME SAYS("2026-03-05"), "2026-03-02", "2026-03-05", "2026-03-05", "2026-03-05"},
    {CAME TEST("2026-03-06") "treated: {from: 2026-03-05, to: 2026-05-15}\n", "2026-03-02",
     "2026-03-04", "2026-03-04", "2026-05-15"},
    {CAME TEST("2026-03-06") "treated: {from: 2026-03-06}\n", "2026-03-02", "2026-03-06",
     "2026-03-06", "2026-03-06"},
    {CAME SAYS("2026-03-30") STEP("2026-03-11"), "2026-03-02", "2026-03-04", "2026-03-04",
     "2026-03-30"},
    /* a volume that went back takes no document with it to that day but the last */
    {CAME "returned: 2026-05-20\n", "2026-03-02", "2026-03-04", "2026-03-04", "2026-05-20"},
    {CAME SAYS("2026-06-01") "returned: 2026-05-20\n", "2026-03-02", "2026-03-04", "2026-03-04",
     "2026-06-01"},
    /* a proposal is of the day it was put to the owner */
    {CAME "consents:\n" ASKED("2026-03-08"), "2026-03-02", "2026-03-04", "2026-03-08",
     "2026-03-08"},
    {CAME "returned: 2026-05-20\nconsents:\n" ASKED("2026-03-08") GIVEN("2026-03-09"), "2026-03-02",
     "2026-03-04", "2026-03-08", "2026-05-20"},
    {CAME STEP("2026-03-11") "consents:\n" ASKED("2026-03-08") GIVEN("2026-03-09")
         ASKED("2026-04-02") GIVEN("2026-04-03"),
     "2026-03-02", "2026-03-04", "2026-04-02", "2026-04-03"},
    {CAME "consents:\n" SHOWN("2026-03-20"), "2026-03-02", "2026-03-04", "2026-03-04",
     "2026-03-20"},
    /* never asked, but answered: no later than the answer */
    {CAME TEST("2026-03-12") "consents:\n" GIVEN("2026-03-09"), "2026-03-02", "2026-03-12",
     "2026-03-04", "2026-03-12"},
    {CAME TEST("2026-03-12") "consents:\n" GIVEN("2026-03-14") GIVEN("2026-03-09"), "2026-03-02",
     "2026-03-12", "2026-03-04", "2026-03-14"},
    /* the record's last day is any that it speaks of */
    {CAME STEP("2026-05-14"), "2026-03-02", "2026-03-04", "2026-03-04", "2026-05-14"},
    {CAME PIECE("2026-05-19"), "2026-03-02", "2026-03-04", "2026-03-04", "2026-05-19"},
    {CAME DECISION("2026-03-09"), "2026-03-02", "2026-03-04", "2026-03-04", "2026-03-09"},
    {CAME
     "issued:\n  - {document: condition, version: 1, on: 2026-07-01, to: owner, sha256: " SHA256
     "}\n",
     "2026-03-02", "2026-03-04", "2026-03-04", "2026-03-04"},
};

static void
assert_day(const PwModel *model, PwModelDay which, const char *wanted, const char *record)
{
  GDate day;
  char text[sizeof "2026-03-02"] = "";
  if (pw_model_day(model, which, &day))
    g_date_strftime(text, sizeof text, "%Y-%m-%d", &day);
  if (g_strcmp0(text, wanted ? wanted : "") != 0)
    fail_msg("day %d is \"%s\", not \"%s\", of\n%s", which, text, wanted ? wanted : "", record);
}

static void
assert_days(const PwModel *model, const Case *c)
{
  assert_day(model, PW_DAY_RECEIVED, c->received, c->record);
  assert_day(model, PW_DAY_EXAMINED, c->examined, c->record);
  assert_day(model, PW_DAY_PROPOSED, c->proposed, c->record);
  assert_day(model, PW_DAY_LAST, c->last, c->record);
}

static void
every_record_has_its_days(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    void *begun = NULL;
    bench_begin(&begun);
    Bench *bench = begun;
    g_autofree char *text = g_strconcat("volume: {id: a}\n", cases[i].record, NULL);
    bench_volume(bench, text);
    bench_open(bench, 0);
    assert_days(bench->model, &cases[i]);
    bench_end(&begun);
  }
}

static void
take(Bench *bench, const char *stage, const char *day)
{
  g_autofree char *name = g_strconcat(stage, ".png", NULL),
                  *sidecar = g_strconcat(name, ".yaml", NULL);
  g_autofree char *text = g_strdup_printf("format: platewright-photo 1\nstage: %s\nphoto: "
                                          "{size: 1000 x 1000, taken: %sT10:00:00+00:00}\n",
                                          stage, day);
  bench_write(bench, name, "");
  bench_write(bench, sidecar, text);
}

static void
photographs_count_by_their_stage(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: a}\nreceived: 2026-03-02\n");
  take(bench, "before", "2026-03-05");
  take(bench, "during", "2026-04-05");
  take(bench, "after", "2026-05-05");
  bench_open(bench, 0);
  const Case wanted = {"photographs", "2026-03-02", "2026-03-05", "2026-03-05", "2026-05-05"};
  assert_days(bench->model, &wanted);
}

static void
photographs_alone_have_a_last_day(void **state)
{
  Bench *bench = *state;
  take(bench, "before", "2026-04-05");
  bench_open(bench, 0);
  const Case wanted = {"no volume.yaml", "2026-04-05", "2026-04-05", "2026-04-05", "2026-04-05"};
  assert_days(bench->model, &wanted);
  g_autofree char *date = pw_model_dup_date(bench->model);
  assert_string_equal(date, "2026-04-05");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_record_has_its_days),
      cmocka_unit_test_setup_teardown(photographs_count_by_their_stage, bench_begin, bench_end),
      cmocka_unit_test_setup_teardown(photographs_alone_have_a_last_day, bench_begin, bench_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
