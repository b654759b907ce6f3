/* Pieces, consents, what was done and what left the studio under them; money and hours. */
#include "bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define AGREED "consents:\n  - {on: 2026-03-09, by: owner, to: treatment, is: given}\n"

static PwModelLedger *
ledger_of(Bench *bench, const char *pieces, const char *consents, PwAudience audience)
{
  g_autofree char *text = g_strconcat("volume: {id: T-1}\npieces:\n", pieces, consents, NULL);
  bench_volume(bench, text);
  bench_open(bench, 0);
  return pw_model_ledger_new(bench->model, audience);
}

/* What the one piece with that text after its id lacks. */
static void
assert_lacks(Bench *bench, const char *piece, const char *consents, guint lacks)
{
  g_autofree char *text = g_strdup_printf("  - {id: P1, kind: part, what: board, %s}\n", piece);
  g_autoptr(PwModelLedger) ledger = ledger_of(bench, text, consents, PW_FOR_STUDIO);
  if (ledger->pieces[0].lacks != lacks)
    fail_msg("%s: lacks %u, not %u", piece, ledger->pieces[0].lacks, lacks);
  assert_int_equal(ledger->pieces[0].is_open, (lacks & ~(guint)PW_LACKS_DATE) != 0);
  assert_int_equal(ledger->n_open, ledger->pieces[0].is_open);
  g_clear_pointer(&bench->model, pw_model_free);
}

static void
a_piece_is_closed_by_what_its_outcome_needs(void **state)
{
  Bench *bench = *state;
  assert_lacks(bench, "kept: tray 2", "", PW_LACKS_OUTCOME);
  assert_lacks(bench, "outcome: reattached, on: 2026-05-02", "", 0);
  assert_lacks(bench, "outcome: reattached", "", PW_LACKS_DATE);
  assert_lacks(bench, "outcome: replaced in position, on: 2026-05-02", "", 0);
  assert_lacks(bench, "outcome: returned to owner, on: 2026-05-02", "", 0);
  assert_lacks(bench, "outcome: housed, on: 2026-05-02", "", PW_LACKS_PLACE);
  assert_lacks(bench, "outcome: housed, kept: box, on: 2026-05-02", "", 0);
}

static void
what_is_discarded_needs_a_reason_and_a_consent(void **state)
{
  Bench *bench = *state;
  assert_lacks(bench, "outcome: discarded, on: 2026-05-02", AGREED,
               PW_LACKS_REASON | PW_LACKS_CONSENT);
  assert_lacks(bench, "outcome: discarded, because: acid, agreed: 2026-03-09", AGREED, 0);
  assert_lacks(bench, "outcome: discarded, because: acid, agreed: 2026-03-10", AGREED,
               PW_LACKS_CONSENT);
  assert_lacks(bench, "outcome: discarded, because: acid, agreed: 2026-03-09", "",
               PW_LACKS_CONSENT);
}

#define DISCARDED "outcome: discarded, because: acid, agreed: 2026-03-09, on: 2026-04-01"

static void
a_consent_to_discard_has_to_hold_on_the_day(void **state)
{
  Bench *bench = *state;
  assert_lacks(bench, DISCARDED,
               "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n",
               PW_LACKS_CONSENT);
  assert_lacks(bench, DISCARDED,
               "consents:\n  - {on: 2026-03-09, by: owner, to: treatment, is: asked}\n",
               PW_LACKS_CONSENT);
  assert_lacks(bench, DISCARDED,
               "consents:\n  - {on: 2026-03-09, by: owner, to: discard the board, is: given}\n", 0);
  assert_lacks(bench, DISCARDED,
               "consents:\n  - {on: 2026-03-09, by: owner, to: treatment, is: given, "
               "until: 2026-03-20}\n",
               PW_LACKS_CONSENT);
  assert_lacks(bench, DISCARDED,
               "consents:\n  - {on: 2026-03-09, by: owner, to: treatment, is: limited, "
               "except: [P1]}\n",
               PW_LACKS_CONSENT);
}

static void
a_withdrawal_counts_from_its_day(void **state)
{
  Bench *bench = *state;
  assert_lacks(bench, DISCARDED,
               AGREED "  - {on: 2026-03-20, by: owner, to: treatment, is: withdrawn}\n",
               PW_LACKS_CONSENT);
  assert_lacks(bench, DISCARDED,
               AGREED "  - {on: 2026-04-20, by: owner, to: treatment, is: withdrawn}\n", 0);
  g_autofree char *piece = g_strconcat("  - {id: P1, kind: part, what: b, " DISCARDED "}\n", NULL);
  g_autoptr(PwModelLedger) ledger = ledger_of(
      bench, piece, AGREED "  - {on: 2026-04-20, by: owner, to: treatment, is: withdrawn}\n",
      PW_FOR_STUDIO);
  assert_int_equal(ledger->pieces[0].standing, PW_STANDING_WITHDRAWN);
}

#define FOUR                                                                            \
  "  - {id: P10, kind: part, what: board, outcome: reattached, on: 2026-05-02}\n"       \
  "  - {id: P2, kind: part, what: label, outcome: reattached, on: 2026-05-02}\n"        \
  "  - {id: F1, kind: found inside, what: leaves, count: 5, photo: a.png, kept: box}\n" \
  "  - {id: P3, kind: part, what: cord, kept: tray 1}\n"

static void
open_pieces_come_first_and_are_counted(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: pieces\n");
  g_autoptr(PwModelLedger) ledger = ledger_of(bench, FOUR, "", PW_FOR_STUDIO);
  const char *const order[] = {"P3", "F1", "P2", "P10"};
  for (gsize i = 0; i < G_N_ELEMENTS(order); i++)
    assert_string_equal(ledger->pieces[i].text->id, order[i]);
  assert_int_equal(ledger->n_open, 2);
  assert_int_equal(ledger->count, 8);
  assert_int_equal(ledger->count_open, 6);
  assert_int_equal(ledger->by_kind[PW_PIECE_PART], 3);
  assert_int_equal(ledger->by_outcome[PW_OUTCOME_REATTACHED], 2);
  assert_string_equal(ledger->pieces[1].photo->file, "a.png");
}

static void
the_public_is_told_of_no_piece_that_is_withheld(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: pieces\n"); /* nobody looked it through */
  g_autoptr(PwModelLedger) ledger =
      ledger_of(bench, FOUR,
                "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: limited, "
                "except: [P10]}\n",
                PW_FOR_PUBLIC);
  assert_int_equal(ledger->n_pieces, 2);
  assert_int_equal(ledger->n_withheld, 2);
  assert_int_equal(ledger->count, 2);
  assert_int_equal(ledger->by_kind[PW_PIECE_FOUND_INSIDE], 0);
}

/* ---- Consents ---------------------------------------------------------------------- */

static void
assert_standing(Bench *bench, const char *log, const char *to, PwStanding standing)
{
  g_autofree char *text = g_strconcat("volume: {id: T-1}\n", log, NULL);
  bench_volume(bench, text);
  bench_open(bench, 0);
  const PwStanding got = pw_model_consent_to(bench->model, to).standing;
  if (got != standing)
    fail_msg("%s%s, not %s", log, pw_standing_name(got), pw_standing_name(standing));
  g_clear_pointer(&bench->model, pw_model_free);
}

#define SHOW(on, rest) "  - {on: " on ", by: owner, to: show publicly, " rest "}\n"

/* The clock stands after 2002 and before 2999. */
static void
the_last_word_says_how_it_stands(void **state)
{
  Bench *bench = *state;
  const char *to = PW_CONSENT_TO_SHOW;
  assert_standing(bench, "", to, PW_STANDING_NEVER_ASKED);
  assert_standing(bench, AGREED, to, PW_STANDING_NEVER_ASKED);
  assert_standing(bench, "consents:\n" SHOW("2026-03-09", "is: asked"), to, PW_STANDING_ASKED);
  assert_standing(bench, "consents:\n" SHOW("2026-03-09", "is: given"), to, PW_STANDING_GIVEN);
  assert_standing(bench, "consents:\n" SHOW("2026-03-09", "is: given, except: [x1]"), to,
                  PW_STANDING_LIMITED);
  assert_standing(bench, "consents:\n" SHOW("2026-03-09", "is: limited"), to, PW_STANDING_LIMITED);
  assert_standing(bench, "consents:\n" SHOW("2026-03-09", "is: given, until: 2999-01-01"), to,
                  PW_STANDING_GIVEN);
  assert_standing(bench, "consents:\n" SHOW("2001-03-09", "is: given, until: 2002-01-01"), to,
                  PW_STANDING_EXPIRED);
  assert_standing(bench,
                  "consents:\n" SHOW("2026-04-09", "is: withdrawn") SHOW("2026-03-09", "is: given"),
                  to, PW_STANDING_WITHDRAWN);
  assert_standing(bench,
                  "consents:\n" SHOW("2026-03-09", "is: given") SHOW("2026-03-09", "is: withdrawn"),
                  to, PW_STANDING_WITHDRAWN);
}

static void
the_log_is_about_each_thing_once(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: discard the board, is: given}\n"
                      "  - {on: 2026-03-01, by: owner, to: treatment, is: asked}\n"
                      "  - {on: 2026-03-09, by: owner, to: treatment, is: given}\n");
  bench_open(bench, 0);
  assert_int_equal(pw_model_n_consents(bench->model), 3);
  const PwModelConsent treatment = pw_model_consent(bench->model, 0);
  assert_string_equal(treatment.to, PW_CONSENT_TO_TREATMENT);
  assert_int_equal(treatment.word->is, PW_CONSENT_GIVEN);
  assert_int_equal(treatment.before->is, PW_CONSENT_ASKED);
  assert_string_equal(pw_model_consent(bench->model, 1).to, PW_CONSENT_TO_SHOW);
  assert_string_equal(pw_model_consent(bench->model, 2).to, "discard the board");
}

static void
a_step_is_agreed_to_on_its_day_and_for_its_part(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: treatment, is: given, "
                      "except: [endleaf], until: 2026-05-01}\n"
                      "treatment:\n"
                      "  - {on: 2026-03-08, part: spine, did: x}\n"
                      "  - {on: 2026-03-09, part: spine, did: x}\n"
                      "  - {on: 2026-03-10, part: Endleaf, did: x}\n"
                      "  - {on: 2026-05-02, part: spine, did: x}\n");
  bench_open(bench, 0);
  const PwStepAgreed wanted[] = {PW_STEP_NOT_AGREED, PW_STEP_AGREED, PW_STEP_EXCEPTED,
                                 PW_STEP_NOT_AGREED};
  const PwTreatment *steps = pw_model_peek_volume(bench->model)->treatment;
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
    assert_int_equal(pw_model_step_agreed(bench->model, &steps[i]), wanted[i]);
}

static void
a_part_excepted_in_other_words_is_told(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n"
                      "  - {on: 2026-03-09, by: owner, to: treatment, is: given, "
                      "except: [endleavs, clasp]}\n"
                      "proposal: [{part: endleaves, do: mend}]\n");
  bench_open(bench, 1);
  assert_string_equal(bench_complaint(bench, "excepts nothing"),
                      "except: \"endleavs\" is no part that was proposed, treated or marked here, "
                      "so it keeps nothing back; did you mean endleaves");
}

#define SHA  \
  "sha256: " \
  "\"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef\"}\n"
#define ISSUED(on, to) "  - {document: summary, version: 1, on: " on ", to: " to ", " SHA

static void
assert_issued(Bench *bench, const char *log, PwIssuedStanding standing)
{
  g_autofree char *text =
      g_strconcat("volume: {id: T-1}\nissued:\n", ISSUED("2026-04-01", "public"),
                  ISSUED("2026-04-01", "owner"), log, NULL);
  bench_volume(bench, text);
  bench_open(bench, 0);
  const PwIssuedStanding got = pw_model_issued(bench->model, 0).standing;
  if (got != standing)
    fail_msg("%s%s, not %s", log, pw_issued_standing_name(got), pw_issued_standing_name(standing));
  assert_int_equal(pw_model_issued(bench->model, 1).standing, PW_ISSUED_STANDS);
  g_clear_pointer(&bench->model, pw_model_free);
}

static void
what_left_the_studio_is_told_of_when_its_consent_goes(void **state)
{
  Bench *bench = *state;
  assert_issued(bench, "", PW_ISSUED_WITHOUT);
  assert_issued(bench, "consents:\n" SHOW("2026-04-02", "is: given"), PW_ISSUED_WITHOUT);
  assert_issued(bench, "consents:\n" SHOW("2026-03-09", "is: given"), PW_ISSUED_STANDS);
  assert_issued(bench,
                "consents:\n" SHOW("2026-03-09", "is: given") SHOW("2026-05-01", "is: withdrawn"),
                PW_ISSUED_WITHDRAWN);
  assert_issued(bench,
                "consents:\n" SHOW("2026-03-09", "is: given") SHOW("2026-05-01", "is: withdrawn")
                    SHOW("2026-05-02", "is: asked"),
                PW_ISSUED_WITHDRAWN);
  assert_issued(bench,
                "consents:\n" SHOW("2026-03-09", "is: given") SHOW("2026-05-02", "is: asked"),
                PW_ISSUED_STANDS);
  assert_issued(bench,
                "consents:\n" SHOW("2026-03-09", "is: limited, except: [x1]")
                    SHOW("2026-05-01", "is: limited, except: [x1, x2]"),
                PW_ISSUED_NARROWED);
}

static void
a_version_that_a_later_one_replaced_does_not_stand(void **state)
{
  Bench *bench = *state;
  static const PwIssuedStanding wanted[] = {PW_ISSUED_REPLACED, PW_ISSUED_STANDS, PW_ISSUED_STANDS,
                                            PW_ISSUED_WITHOUT};
  bench_volume(bench, "volume: {id: T-1}\nissued:\n"
                      "  - {document: proposal, version: 1, on: 2026-03-08, to: owner, " SHA
                      "  - {document: proposal, version: 2, on: 2026-03-10, to: owner, " SHA
                      "  - {document: summary, version: 1, on: 2026-03-10, to: owner, " SHA
                      "  - {document: proposal, version: 1, on: 2026-03-10, to: public, " SHA);
  bench_open(bench, 0);
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
    assert_int_equal(pw_model_issued(bench->model, i).standing, wanted[i]);
}

/* ---- Money and hours --------------------------------------------------------------- */

#define ESTIMATE                                     \
  "estimate:\n  currency: EUR\n  lines:\n"           \
  "    - {what: spine, hours: 17.25, rate: 67.99}\n" \
  "    - {what: less, hours: 0.5, rate: -0.01}\n"    \
  "    - {what: leather, cost: 64.505}\n  tax: 21\n"

/* By hand: 17.25 x 67.99 = 1172.8275, 0.5 x -0.01 = -0.005, 64.505: each rounded away from zero. */
static void
each_line_of_the_estimate_is_rounded_by_itself(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n" ESTIMATE);
  bench_open(bench, 0);
  const PwModelEstimate *estimate = pw_model_peek_estimate(bench->model, PW_FOR_OWNER);
  assert_string_equal(estimate->lines[0].sum, "1172.83");
  assert_string_equal(estimate->lines[1].sum, "-0.01");
  assert_string_equal(estimate->lines[2].sum, "64.51");
  assert_string_equal(estimate->hours, "17.75");
  assert_string_equal(estimate->subtotal, "1237.33");
  assert_string_equal(estimate->tax, "259.84"); /* 259.8393 */
  assert_string_equal(estimate->total, "1497.17");
  assert_null(pw_model_peek_estimate(bench->model, PW_FOR_PUBLIC));
}

static void
sums_have_the_decimals_of_their_currency(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nestimate: {currency: JPY, lines: "
                      "[{what: spine, hours: 2.5, rate: 7001}]}\n");
  bench_open(bench, 0);
  const PwModelEstimate *estimate = pw_model_peek_estimate(bench->model, PW_FOR_STUDIO);
  assert_string_equal(estimate->total, "17503");
  assert_null(estimate->tax);
}

static void
an_estimate_too_large_to_count_is_an_error(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nestimate: {currency: EUR, lines: "
                      "[{what: spine, hours: 999999999999.9, rate: 999999999999.9}]}\n");
  bench_open(bench, 1);
  assert_true(bench_has_complaint(bench, "not money"));
  assert_null(pw_model_peek_estimate(bench->model, PW_FOR_STUDIO));
}

static void
hours_are_added_exactly(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\ntreatment:\n"
                      "  - {part: spine, did: x, hours: 0.1}\n"
                      "  - {part: leaves, did: x, hours: 2.5}\n"
                      "  - {part: Spine, did: x, hours: 0.2}\n"
                      "  - {part: spine, did: x}\n"
                      "  - {did: x}\n");
  bench_open(bench, 0);
  const PwModelHours *hours = pw_model_peek_hours(bench->model);
  assert_string_equal(hours->hours, "2.8");
  assert_int_equal(hours->n_unsaid, 2);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(a_piece_is_closed_by_what_its_outcome_needs),
      TEST(what_is_discarded_needs_a_reason_and_a_consent),
      TEST(a_consent_to_discard_has_to_hold_on_the_day),
      TEST(a_withdrawal_counts_from_its_day),
      TEST(open_pieces_come_first_and_are_counted),
      TEST(the_public_is_told_of_no_piece_that_is_withheld),
      TEST(the_last_word_says_how_it_stands),
      TEST(the_log_is_about_each_thing_once),
      TEST(a_step_is_agreed_to_on_its_day_and_for_its_part),
      TEST(a_part_excepted_in_other_words_is_told),
      TEST(what_left_the_studio_is_told_of_when_its_consent_goes),
      TEST(a_version_that_a_later_one_replaced_does_not_stand),
      TEST(each_line_of_the_estimate_is_rounded_by_itself),
      TEST(sums_have_the_decimals_of_their_currency),
      TEST(an_estimate_too_large_to_count_is_an_error),
      TEST(hours_are_added_exactly),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
