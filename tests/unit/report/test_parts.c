/* What the documents say, as plain text: of an empty record, of a full one, to each reader, in each
 * language. How they look is tested where they are set. */
#include "../model/bench.h"
#include "report/write.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define N_KINDS (PW_REPORT_SUMMARY + 1)
#define N_READERS (PW_FOR_PUBLIC + 1)

static const char *const languages[] = {"en", "de"};

/* ---- A record ---------------------------------------------------------------------- */

#define GIVEN "  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n"

/* Everything is invented. */
static const char full[] =
    "volume: {id: T-7, title: \"Tables of Tides\", maker: \"Skerrow Light House\", date: \"1881\", "
    "size: 412 x 276 x 61, mass: 4.9, description: \"ruled by hand\"}\n"
    "owner: {name: \"Ida Lundvall\", contact: \"ida@lundvall.example\"}\n"
    "studio: {name: \"Halmgate bench\", by: \"K. Amsel\", contact: \"bench@halmgate.example\"}\n"
    "received: 2026-03-02\nexamined: 2026-03-04\nreturned: 2026-05-20\npurpose: \"loan\"\n"
    "treated: {from: 2026-03-10, to: 2026-05-15}\n"
    "observations:\n"
    "  - {part: sewing, term: loose sewing, says: \"moves by 2 mm\", basis: tested, on: "
    "2026-03-04}\n"
    "  - {part: leaf, says: \"one leaf was cut out for use\", basis: reported, on: 2026-03-02}\n"
    "measurements:\n"
    "  - {what: \"thickness at the spine\", value: 61.5, unit: mm, with: callipers, tolerance: "
    "0.5, "
    "stage: before}\n"
    "tests:\n"
    "  - {on: 2026-03-06, place: \"under the lining\", method: \"a drop of water\", result: "
    "\"swells\", consumed: yes}\n"
    "proposal:\n"
    "  - {part: spine, do: \"Resew two gatherings.\", risk: \"Old leather may break.\"}\n"
    "estimate: {currency: EUR, lines: [{what: \"sewing\", hours: 3.5, rate: 68.00}, {what: "
    "\"thread\", cost: 1024.50}], tax: 21}\n"
    "treatment:\n"
    "  - {on: 2026-03-18, by: \"K. Amsel\", part: sewing, did: \"Resewn through the old holes.\", "
    "materials: \"linen thread\", hours: 5.0, differs: \"a poultice was needed\"}\n"
    "  - {on: 2026-03-19, part: leaf, did: \"Seen by Ida Lundvall at the bench.\"}\n"
    "decisions:\n"
    "  - {on: 2026-03-06, question: \"Wash the cloth?\", options: [\"wash it\", \"leave it\"], "
    "chosen: \"leave it\", because: \"the dye runs\", risk: \"it stays stained\", basis: tested}\n"
    "pieces:\n"
    "  - {id: P1, kind: part, what: \"endband\", kept: \"envelope 2\", outcome: reattached, on: "
    "2026-04-28}\n"
    "  - {id: P2, kind: found inside, what: \"a pressed leaf\", count: 5, at: \"p. 44\", kept: "
    "\"envelope 1\"}\n"
    "  - {id: P3, kind: removed, what: \"brown lining\", outcome: discarded, because: \"brittle\", "
    "agreed: 2026-03-09, on: 2026-03-18}\n"
    "consents:\n"
    "  - {on: 2026-03-09, by: owner, to: treatment, is: given, how: e-mail}\n" GIVEN "issued:\n"
    "  - {document: proposal, version: 1, on: 2026-03-08, to: owner, sha256: "
    "\"0123456789012345678901234567890123456789012345678901234567890123\"}\n"
    "care: [\"Store flat.\"]\n"
    "notes: [\"the lender is slow to answer\"]\n";

static const char photo[] =
    "stage: before\nview: front board\nprivacy-checked: 2026-03-05\n" BENCH_SCALE "marks:\n"
    "  - {id: 1, term: loss, part: spine leather, severity: 3, note: \"torn away at the head\", "
    "outline: " BENCH_SQUARE(
        1, 1) "}\n"
              "  - {id: 2, term: stain, part: cloth side, note: \"from a wet cup\", basis: "
              "inferred, outline: " BENCH_SQUARE(
                  3, 3) "}\n"
                        "  - {id: 3, term: inscription, part: endleaf, private: yes, note: \"for "
                        "Orsolya\", outline: " BENCH_SQUARE(5, 5) "}\n";

static const char after[] =
    "stage: after\nview: front board\nprivacy-checked: 2026-03-05\n" BENCH_SCALE "marks:\n"
    "  - {id: 1, term: loss, part: spine leather, earlier: \"IMG_2041.jpg#1\", gone: yes}\n"
    "  - {id: 3, term: inscription, part: endleaf, private: yes, earlier: \"IMG_2041.jpg#3\", "
    "outline: " BENCH_SQUARE(5, 5) "}\n";

static void
open_full(Bench *bench)
{
  bench_volume(bench, full);
  bench_photo(bench, "IMG_2041.jpg", photo);
  bench_photo(bench, "IMG_2155.jpg", after);
  bench_open(bench, 0);
}

/* ---- What it says ------------------------------------------------------------------ */

static PwWords *
words_of(const char *language)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwWords *words = pw_words_read(language, complaints, NULL);
  assert_non_null(words);
  return words;
}

static PwStyle *
style_of_plates(void)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwStyle *style = pw_style_read("plate", complaints, NULL);
  assert_non_null(style);
  return style;
}

/* The text of a document; "" where this reader gets none. */
static char *
told(const Bench *bench, const PwWords *words, PwReportKind kind, PwAudience audience)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(PwStyle) style = style_of_plates();
  PwReportOptions options = {.style = style, .words = words, .kind = kind, .audience = audience};
  g_autoptr(PwDoc) doc = pw_report_write(bench->model, &options, &error);
  if (doc == NULL) {
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_RECORD));
    return g_strdup("");
  }
  g_autofree char *text = pw_doc_dup_text(doc);
  return g_strconcat(text, doc->foot, "\n", doc->author ? doc->author : "", NULL);
}

static char *
told_in_english(const Bench *bench, PwReportKind kind, PwAudience audience)
{
  g_autoptr(PwWords) words = words_of("en");
  return told(bench, words, kind, audience);
}

static void
assert_holds(const char *text, const char *words)
{
  if (strstr(text, words) == NULL) {
    print_error("\"%s\" is not in:\n%s\n", words, text);
    fail();
  }
}

static void
assert_lacks(const char *text, const char *words)
{
  if (strstr(text, words) != NULL) {
    print_error("\"%s\" is in:\n%s\n", words, text);
    fail();
  }
}

typedef void (*Check)(const char *text, PwReportKind kind, PwAudience audience);

/* Every kind to every reader in every language; none asks for a word that is not there. */
static void
each_document(const Bench *bench, Check check)
{
  for (gsize i = 0; i < G_N_ELEMENTS(languages); i++) {
    g_autoptr(PwWords) words = words_of(languages[i]);
    for (int kind = 0; kind < N_KINDS; kind++)
      for (int audience = 0; audience < N_READERS; audience++) {
        g_autofree char *text = told(bench, words, (PwReportKind)kind, (PwAudience)audience);
        check(text, (PwReportKind)kind, (PwAudience)audience);
      }
    for (gsize j = 0; j < pw_words_n_missing(words); j++)
      print_error("%s lacks %s\n", languages[i], pw_words_peek_missing(words, j));
    assert_int_equal(pw_words_n_missing(words), 0);
  }
}

/* No blank is left unfilled and nothing is printed that is none. */
static void
check_whole(const char *text, PwReportKind kind, PwAudience audience)
{
  (void)kind;
  (void)audience;
  assert_lacks(text, "{");
  assert_lacks(text, "(null)");
  assert_lacks(text, " nan");
}

static void
an_empty_record_says_that_nothing_is_recorded(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_open(bench, 0);
  each_document(bench, check_whole);
  for (int kind = 0; kind < N_KINDS; kind++) {
    g_autofree char *text = told_in_english(bench, (PwReportKind)kind, PW_FOR_OWNER);
    assert_holds(text, "Title: not recorded");
  }
  g_autofree char *condition = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  assert_holds(condition, "No damage is recorded.");
  assert_lacks(condition, "How the sizes were measured");
  g_autofree char *treatment = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(treatment, "Nothing is recorded on housing and handling.");
  assert_holds(condition, "Examined: not recorded");
  g_autofree char *proposal = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(proposal, "What is wrong: No damage is recorded.");
  assert_holds(proposal, "there is nothing to agree to or to sign yet");
  assert_lacks(proposal, "With your signature");
  assert_lacks(proposal, "For the owner");
}

static void
a_folder_without_volume_yaml_is_told_of_too(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\nview: spine\n");
  bench_open(bench, 0);
  each_document(bench, check_whole);
}

static void
a_plate_without_a_name_has_its_files(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png", "stage: before\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_STUDIO);
  assert_holds(text, "a.png");
  assert_lacks(text, "A.png");
}

static void
a_full_record_is_told_in_every_document(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  each_document(bench, check_whole);
}

/* ---- Who reads what ---------------------------------------------------------------- */

/* Sums are those of the estimate, 3.5 x 68 + 1024.50 with 21 % of tax. */
static const char *const never_public[] = {
    "Lundvall",  "Ida",      "Halmgate", "Amsel",    "Skerrow", "Orsolya", "inscription",
    "IMG_",      "envelope", "1,262.50", "1,527.63", "68.00",   "e-mail",  "slow to answer",
    "Inschrift", "1.262,50", "1.527,63", "01234567", "Seen by", "Agreed",  "Zugestimmt"};

static void
check_public(const char *text, PwReportKind kind, PwAudience audience)
{
  (void)kind;
  if (audience != PW_FOR_PUBLIC)
    return;
  for (gsize i = 0; i < G_N_ELEMENTS(never_public); i++)
    assert_lacks(text, never_public[i]);
}

static void
the_public_reads_no_private_word(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  each_document(bench, check_public);
  g_autofree char *studio = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_STUDIO);
  static const char *const there[] = {"Ida Lundvall", "Halmgate",   "K. Amsel",   "Skerrow",
                                      "IMG_2041",     "1,527.63",   "envelope 1", "e-mail",
                                      "Seen by",      "Inscription"};
  for (gsize i = 0; i < G_N_ELEMENTS(there); i++)
    assert_holds(studio, there[i]);
  g_autofree char *public = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_PUBLIC);
  static const char *const also[] = {"Tables of Tides", "Resewn through the old holes.",
                                     "linen thread",    "torn away at the head",
                                     "brown lining",    "1 step of treatment that may hold"};
  for (gsize i = 0; i < G_N_ELEMENTS(also); i++)
    assert_holds(public, also[i]);
}

static void
check_notes(const char *text, PwReportKind kind, PwAudience audience)
{
  gboolean is_short = kind == PW_REPORT_RECEIPT || kind == PW_REPORT_SUMMARY;
  if (audience != PW_FOR_STUDIO || is_short)
    assert_lacks(text, "slow to answer");
  else
    assert_holds(text, "the lender is slow to answer");
}

static void
notes_are_the_studios_alone(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  each_document(bench, check_notes);
}

static void
without_consent_the_public_gets_no_document(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1, title: \"Tables\"}\n");
  bench_open(bench, 0);
  for (int kind = 0; kind < N_KINDS; kind++) {
    g_autofree char *text = told_in_english(bench, (PwReportKind)kind, PW_FOR_PUBLIC);
    assert_string_equal(text, "");
  }
}

/* ---- What a document holds --------------------------------------------------------- */

/* An owner asks: what is wrong, what is proposed, what it risks and costs, what to agree to. */
static void
a_proposal_answers_an_owner(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  static const char *const answers[] = {
      "Recorded as strong: Loss (spine leather): Original material is gone here.",
      "What is proposed: Spine: Resew two gatherings.",
      "What it risks: Spine: Old leather may break.",
      "Cloth side the cloth on the outside of a cover",
      "Loss",
      "Original material is gone here",
      "torn away at the head",
      "99.8",
      "strong",
      "interpretation: from a wet cup",
      "tested: moves by 2 mm",
      "according to the owner: one leaf was cut out for use",
      "61.5 \u00b1 0.5 mm",
      "Proposed: Resew two gatherings.",
      "Risk: Old leather may break.",
      "What else could be done: not recorded",
      "3.5 | 68.00 | 238.00",
      "1,262.50",
      "265.13",
      "1,527.63\u00a0EUR",
      "Sizes are measured in the photographs",
      "1. The treatment is carried out",
      "estimated to cost 1,527.63\u00a0EUR, including 21 % tax.",
      "In a test on 6 March 2026 some of the volume was used up: under the lining.",
      "____ For the owner: Ida Lundvall",
      "____ For the studio: K. Amsel",
  };
  for (gsize i = 0; i < G_N_ELEMENTS(answers); i++)
    assert_holds(text, answers[i]);
}

static void
figures_follow_the_language(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *text = told(bench, words, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text, "1.527,63\u00a0EUR");
  assert_holds(text, "61,5 \u00b1 0,5 mm");
  assert_holds(text, "2. M\u00e4rz 2026");
}

static void
interpretation_stands_apart_from_observation(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  const char *seen = strstr(text, "## Observed and tested"),
             *inferred = strstr(text, "## Interpretation, and what the owner reports");
  assert_non_null(seen);
  assert_non_null(inferred);
  assert_true(seen < strstr(text, "moves by 2 mm") && strstr(text, "moves by 2 mm") < inferred);
  assert_true(inferred < strstr(text, "one leaf was cut out"));
}

static void
a_report_on_treatment_tells_the_course(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  static const char *const says[] = {
      "18 March 2026 | Sewing",
      "K. Amsel | 5",
      "Hours in all",
      "a poultice was needed",
      "Chosen: leave it",
      "Because: tested: the dye runs",
      "made good",
      "Of 1 place marked before treatment nothing is recorded after treatment: "
      "1\u00a0\u00d7\u00a0stain "
      "(cloth side)",
      "Store flat.",
      "t is 412 mm tall, as recorded",
      "IMG_2155.jpg",
      "P3 brown lining: brittle",
      "8 March 2026 | Treatment proposal | 1 | the owner | stands",
  };
  for (gsize i = 0; i < G_N_ELEMENTS(says); i++)
    assert_holds(text, says[i]);
}

static void
a_receipt_counts_what_came_and_what_goes_back(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_OWNER);
  assert_holds(text, "Things in all | 1"); /* of no piece it is told that it came in */
  assert_holds(text, "What, and from where | Count\nThe volume itself | 1\n");
  assert_holds(text, "is not recorded, so that they are not counted");
  assert_holds(text,
               "\n1 thing, counted above under \u201cThings in all\u201d, was handed over and "
               "received.\n");
  assert_holds(text, "# Handed back");
  assert_holds(text, "OPEN: 1 entry (5 things): what becomes of them is not fully recorded");
  assert_lacks(text, "NOT ACCOUNTED FOR");
  g_autofree char *summary = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_OWNER);
  assert_holds(summary, "OPEN: 1 entry (5 things)");
  assert_holds(text, "1 photograph was taken before treatment.");
  assert_holds(text, "and the volume |  |  | 1"); /* no leaf is said to have been handed over */
}

static void
photo_of_day(Bench *bench, const char *name, const char *stage, const char *day, const char *marks)
{
  g_autofree char *sidecar = g_strconcat(name, ".yaml", NULL);
  g_autofree char *text =
      g_strdup_printf("format: platewright-photo 1\nphoto: {size: 1000 x 1000, taken: "
                      "%sT10:00:00+00:00}\nstage: %s\n%s",
                      day, stage, marks);
  bench_write(bench, name, "");
  bench_write(bench, sidecar, text);
}

/* Nobody signs for having handed over what came off, or was found, on a later day. */
static void
a_receipt_counts_only_what_is_known_to_have_come_in(void **state)
{
  Bench *bench = *state;
  bench_volume(bench,
               "volume: {id: T-1}\nreceived: 2026-03-02\npieces:\n"
               "  - {id: P1, kind: part, what: \"loose board\", photo: came.jpg}\n"
               "  - {id: P2, kind: found inside, what: \"fern\", count: 3, photo: found.jpg}\n"
               "  - {id: P3, kind: part, what: \"endband\"}\n"
               "  - {id: P4, kind: part, what: \"clasp\", photo: looked.jpg}\n"
               "  - {id: P5, kind: part, what: \"spine\", photo: off.jpg}\n");
  photo_of_day(bench, "came.jpg", "before", "2026-03-02", "");
  photo_of_day(bench, "looked.jpg", "before", "2026-03-04", "");
  photo_of_day(bench, "found.jpg", "during", "2026-03-11", "");
  bench_photo(bench, "off.jpg", "stage: during\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_OWNER);
  const char *sum = strstr(text, "Things in all | 2");
  assert_non_null(sum);
  assert_true(strstr(text, "loose board") < sum);
  assert_true(strstr(text, "endband") > sum && strstr(text, "clasp") > sum);
  assert_lacks(text, "fern");
  assert_lacks(text, "| spine");
  assert_holds(text, "2 entries of the record are of later days");
}

/* On the day itself the record goes no further, and all that stands in it came in. */
static void
a_receipt_of_the_day_counts_all_that_is_recorded(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nreceived: 2026-03-02\npieces:\n"
                      "  - {id: P1, kind: part, what: \"loose board\", count: 2}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_OWNER);
  assert_holds(text, "Things in all | 3");
  assert_lacks(text, "not recorded, so that");
  assert_holds(text,
               "\n3 things, counted above under \u201cThings in all\u201d, were handed over and "
               "received.\n");
}

/* What has become of a piece since, or what kind it is, is no order of what came in or goes back.
 */
static void
a_receipt_lists_pieces_by_their_numbers(void **state)
{
  Bench *bench = *state;
  bench_volume(bench,
               "volume: {id: T-1}\nreceived: 2026-03-02\nreturned: 2026-03-02\npieces:\n"
               "  - {id: P10, kind: part, what: \"one\"}\n"
               "  - {id: P3, kind: part, what: \"two\", outcome: reattached}\n"
               "  - {id: P2, kind: found inside, what: \"three\", outcome: returned to owner}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_OWNER);
  const char *back = strstr(text, "# Handed back");
  const char *came[] = {strstr(text, "P2 |"), strstr(text, "P3 |"), strstr(text, "P10 |")};
  const char *goes[] = {strstr(back, "P2 |"), strstr(back, "P3 |"), strstr(back, "P10 |")};
  assert_true(came[0] < came[1] && came[1] < came[2] && came[2] < back);
  assert_true(goes[0] < goes[1] && goes[1] < goes[2]);
}

static void
assert_in_order(const char *text, const char *const *words, gsize n)
{
  for (gsize i = 0; i < n; i++) {
    const char *at = strstr(text, words[i]);
    if (at == NULL)
      fail_msg("\"%s\" does not stand behind the words before it", words[i]);
    text = at + strlen(words[i]);
  }
}

/* However it was written down; what has no day comes last, in the order of the record. */
static void
what_was_done_and_decided_is_told_by_day(void **state)
{
  static const char *const steps[] = {"Sewn early.", "Lined later.", "Undated one.",
                                      "Undated two."};
  static const char *const decisions[] = {"Early?", "Later?"};
  static const char *const spots[] = {"early test", "later test"};
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\ntreated: {from: 2026-03-10}\n"
                      "tests:\n  - {on: 2026-03-13, place: \"later test\", method: drop}\n"
                      "  - {on: 2026-03-06, place: \"early test\", method: drop}\n"
                      "decisions:\n  - {on: 2026-03-09, question: \"Later?\", chosen: \"yes\"}\n"
                      "  - {on: 2026-03-08, question: \"Early?\", chosen: \"yes\"}\n"
                      "treatment:\n  - {part: spine, did: \"Undated one.\"}\n"
                      "  - {on: 2026-03-18, part: spine, did: \"Lined later.\"}\n"
                      "  - {on: 2026-03-11, part: spine, did: \"Sewn early.\"}\n"
                      "  - {part: spine, did: \"Undated two.\"}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_STUDIO);
  assert_in_order(text, steps, G_N_ELEMENTS(steps));
  assert_in_order(text, decisions, G_N_ELEMENTS(decisions));
  assert_in_order(text, spots, G_N_ELEMENTS(spots));
}

/* Of hours as many decimals in one table; of a text that ends as a sentence no second stop; of one
 * kind of reason its words once. */
static void
figures_and_stops_stand_well(void **state)
{
  Bench *bench = *state;
  bench_volume(bench,
               "volume: {id: T-1}\nproposal: [{part: leaf, do: mend}]\n"
               "treatment:\n  - {part: leaf, did: \"Mended.\", hours: 12.25}\n"
               "  - {part: leaf, did: \"Pressed.\", hours: 1}\n"
               "estimate: {currency: EUR, lines: [{what: \"mending\", hours: 3, rate: 60}]}\n"
               "tests: [{place: \"under the lining. \", method: drop, consumed: yes}]\n"
               "pieces:\n  - {id: P1, kind: removed, what: \"old lining. \", because: \"acidic\"}\n"
               "  - {id: P2, kind: found inside, what: \"pressed fern\"}\n"
               "  - {id: P3, kind: found inside, what: \"pressed flower\"}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_STUDIO);
  assert_holds(text, "| 12.25\n");
  assert_holds(text, "| 1.00\n");
  assert_holds(text, "| 13.25\n");
  assert_holds(text, "P1 old lining: acidic\n");
  assert_holds(text, "Found inside: pressed fern\u00a0(P2); pressed flower\u00a0(P3)");
  g_autofree char *proposal = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(proposal, "| 3.0 |");
  assert_holds(proposal, "used up: under the lining.\n");
}

/* The day of a source is said in the reader's language. */
static void
a_source_has_its_day_in_the_readers_language(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks: [{id: 1, term: bore hole, part: leaf, point: \"5,5\"}]\n");
  bench_open(bench, 0);
  g_autoptr(PwWords) german = words_of("de");
  g_autofree char *text = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  g_autofree char *in_german = told(bench, german, PW_REPORT_CONDITION, PW_FOR_OWNER);
  assert_holds(text, "British Library, 27\u00a0August\u00a02013\n");
  assert_holds(in_german, "British Library, 27.\u00a0August\u00a02013\n");
}

/* A column that no row fills does not stand. */
static void
no_column_stands_empty(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks: [{id: 1, term: tear, part: leaf, line: \"0,0 9,9\"}]\n");
  bench_open(bench, 0);
  g_autofree char *bare = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  g_autofree char *summary = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_OWNER);
  assert_holds(bare, "| Places | Size in all\n");
  assert_holds(summary, "Part | Places before | ");
}

/* Forty pieces, the open ones first. */
static void
a_long_ledger_lists_every_piece(void **state)
{
  enum { PIECES = 40, OPEN = 37 };
  Bench *bench = *state;
  g_autoptr(GString) volume = g_string_new("volume: {id: T-1}\npieces:\n");
  for (int i = 1; i <= PIECES; i++)
    g_string_append_printf(volume, "  - {id: P%d, kind: part, what: \"flake %d\", kept: tray%s}\n",
                           i, i, i == OPEN ? "" : ", outcome: reattached, on: 2026-05-02");
  bench_volume(bench, volume->str);
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  const char *first = strstr(text, "P37 | flake 37");
  assert_non_null(first);
  assert_holds(text, "40 entries, 40 things");
  assert_holds(text, "OPEN: 1 entry (1 thing): what becomes of it is not fully recorded");
  for (int i = 1; i <= PIECES; i++) {
    g_autofree char *row = g_strdup_printf("\nP%d | flake %d ", i, i);
    assert_holds(text, row);
    assert_true(i == OPEN || first < strstr(text, row));
  }
}

static void
only_what_is_asked_for_is_listed(void **state)
{
  Bench *bench = *state;
  open_full(bench);
  g_autoptr(PwWords) words = words_of("en");
  g_autoptr(GError) error = NULL;
  const char *only[] = {"IMG_2155.jpg", NULL}, *none[] = {"IMG_9.jpg", NULL};
  g_autoptr(PwStyle) style = style_of_plates();
  PwReportOptions options = {.style = style,
                             .words = words,
                             .kind = PW_REPORT_TREATMENT,
                             .audience = PW_FOR_OWNER,
                             .only = only};
  g_autoptr(PwDoc) doc = pw_report_write(bench->model, &options, &error);
  g_autofree char *text = pw_doc_dup_text(doc);
  assert_holds(text, "IMG_2155.jpg");
  assert_lacks(text, "IMG_2041.jpg");
  assert_holds(text, "1 photograph that was not asked for");
  options.only = none;
  assert_null(pw_report_write(bench->model, &options, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
}

/* ---- Of which day ------------------------------------------------------------------ */

#define ASKED "  - {on: 2026-03-08, by: owner, to: treatment, is: asked}\n"
#define DATED                                                                                 \
  "volume: {id: T-1}\nreceived: 2026-03-02\ntreated: {from: 2026-03-10}\n"                    \
  "proposal: [{part: spine, do: \"Resew it.\"}]\n"                                            \
  "pieces: [{id: P1, kind: found inside, what: \"pressed fern\", photo: during.jpg}]\n"       \
  "observations: [{term: red rot, part: spine, says: \"powder\", on: 2026-03-20}]\n"          \
  "tests:\n  - {on: 2026-03-06, place: \"hinge\", method: \"drop\", result: \"swells\", "     \
  "consumed: yes, agreed: "                                                                   \
  "2026-03-09}\n  - {on: 2026-03-13, place: \"lining\", method: \"drop\", result: \"glue\", " \
  "consumed: yes}\n"

static void
open_dated(Bench *bench, const char *consents)
{
  g_autofree char *volume = g_strconcat(DATED, "consents:\n", consents, NULL);
  bench_volume(bench, volume);
  bench_photo(bench, "before.jpg",
              "stage: before\nmarks: [{id: 1, term: tear, line: \"0,0 9,9\"}]\n");
  photo_of_day(bench, "during.jpg", "during", "2026-03-11",
               "marks: [{id: 1, term: mould, part: leaf, point: \"9,9\"}]\n");
  bench_open(bench, 0);
}

static void
a_proposal_tells_nothing_of_later_days(void **state)
{
  Bench *bench = *state;
  open_dated(bench, ASKED "  - {on: 2026-03-09, by: owner, to: treatment, is: given}\n"
                          "  - {on: 2026-03-12, by: owner, to: gilding, is: asked}\n");
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text, "Treatment: asked, not answered on 8 March 2026");
  static const char *const later[] = {"9 March",  "fern",   "Mould",  "Red rot",
                                      "11 March", "lining", "gilding"};
  for (gsize i = 0; i < G_N_ELEMENTS(later); i++)
    assert_lacks(text, later[i]);
  assert_holds(text, "In a test on 6 March 2026 some of the volume was used up: hinge. "
                     "That is agreed to afterwards.\n");
  const char *list = strstr(text, "With your signature you agree");
  assert_non_null(list);
  assert_true(strstr(list, "used up: hinge") < strstr(list, "Strike out"));
  g_autofree char *treated = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  static const char *const then[] = {"Treatment: agreed", "pressed fern", "Mould",
                                     "Red rot",           "lining",       "gilding"};
  for (gsize i = 0; i < G_N_ELEMENTS(then); i++)
    assert_holds(treated, then[i]);
}

/* What the owner limited a word to stands beside the word, not only in the log. */
static void
a_consent_is_told_with_its_limits(void **state)
{
  Bench *bench = *state;
  open_dated(bench, "  - {on: 2026-03-07, by: owner, to: treatment, is: given, except: [endleaf], "
                    "scope: \"all but the writing\"}\n" ASKED
                    "  - {on: 2026-03-09, by: owner, to: treatment, is: given, except: [endleaf], "
                    "scope: \"all but the fern\"}\n");
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Treatment: agreed with limits on 9 March 2026 For: all but the fern "
                     "Except: endleaf");
}

/* To show it is asked for by itself, and only where the record says that it was asked for. */
static void
showing_is_asked_for_apart(void **state)
{
  Bench *bench = *state;
  open_dated(bench, ASKED "  - {on: 2026-03-08, by: owner, to: show publicly, is: asked}\n");
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  const char *strike = strstr(text, "Strike out");
  const char *asked = strstr(text, "May photographs of the volume be shown publicly?");
  assert_non_null(asked);
  assert_true(strike < asked && strstr(asked, "Yes") < strstr(asked, "____ For the owner"));
  assert_holds(asked, "without a tick nothing is shown");
  assert_holds(text, "yes or no: whether photographs may be shown");
}

static void
showing_that_was_never_asked_for_is_not_asked(void **state)
{
  Bench *bench = *state;
  open_dated(bench, ASKED "  - {on: 2026-03-09, by: owner, to: show publicly, is: asked}\n");
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text, "Strike out");
  assert_lacks(text, "shown publicly");
}

/* ---- Pieces, parts, steps ---------------------------------------------------------- */

static const char handed[] =
    "volume: {id: T-1}\nreturned: 2026-05-20\npieces:\n"
    "  - {id: P1, kind: part, what: endband, kept: tray 2, outcome: reattached, on: 2026-05-02}\n"
    "  - {id: P2, kind: part, what: flakes, count: 4, kept: tray 3, outcome: housed, on: "
    "2026-05-03}\n"
    "  - {id: P3, kind: found inside, what: letter, count: 2, kept: tray 4, outcome: returned to "
    "owner, on: 2026-05-20}\n"
    "  - {id: P4, kind: removed, what: lining, kept: none, outcome: discarded, because: brittle}\n"
    "  - {id: P5, kind: removed, what: paste, kept: tray 6, outcome: discarded, because: "
    "brittle}\n";

static void
what_went_back_is_where_it_was_kept_no_longer(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, handed);
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  static const char *const kept[] = {"| no longer; before: tray 2 |", "| tray 3 |",
                                     "| no longer; before: tray 4 |", "| none |",
                                     "| discarded; the record names: tray 6 |"};
  for (gsize i = 0; i < G_N_ELEMENTS(kept); i++)
    assert_holds(text, kept[i]);
}

static void
a_return_sheet_says_of_each_piece_whether_the_owner_gets_it(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, handed);
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_OWNER);
  static const char *const gets[] = {
      "| yes, in the volume: 1 | \u2013\n",
      "| not recorded: 4 Kept now: tray 3 | \u2013\n",
      "| yes, separately | 2\n",
      "P4 | lining | OPEN: no agreement to discard it is recorded "
      "discarded Because: brittle date not recorded | no: 1 | \u2013\n",
      "P5 | paste | OPEN: no agreement to discard it is recorded "
      "discarded Because: brittle date not recorded | no: 1 "
      "discarded; the record names: tray 6 | \u2013\n",
      "and the volume |  |  | 3\n"};
  for (gsize i = 0; i < G_N_ELEMENTS(gets); i++)
    assert_holds(text, gets[i]);
}

/* Six parts, of which the last in the order of a volume is the worst. */
static void
a_summary_begins_with_the_worst(void **state)
{
  Bench *bench = *state;
  g_autoptr(GString) marks = g_string_new("stage: before\nmarks:\n");
  static const char *const parts[] = {"front board", "spine", "back board", "joint", "sewing"};
  for (guint i = 0; i < G_N_ELEMENTS(parts); i++)
    g_string_append_printf(marks,
                           "  - {id: %u, term: tear, part: %s, severity: 1, line: \"0,0 9,9\"}\n",
                           i + 1, parts[i]);
  g_string_append(marks, "  - {id: 8, term: tear, part: sewing, line: \"20,20 29,29\"}\n"
                         "  - {id: 9, term: loss, part: leaf, severity: 3, point: \"9,9\"}\n");
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg", marks->str);
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_OWNER);
  const char *leaf = strstr(text, "Leaf | strong"), *sewing = strstr(text, "Sewing | slight | 2");
  assert_true(leaf && sewing && leaf < sewing && sewing < strstr(text, "Front board"));
  assert_lacks(text, "Joint");
  assert_holds(text, "Part | Severity before | Places before | Places after | "
                     "After not recorded");
  const char *more =
      strstr(text, "and 3 more parts, in the treatment report | slight | 3 | \u2013");
  assert_true(more && more < strstr(text, "In all |  | 7 | \u2013 | 7\n"));
}

/* Nothing after treatment is a figure only where it was told of each place what became of it. */
static void
a_summary_takes_nothing_recorded_for_nothing_left(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, severity: 3, line: \"0,0 9,9\"}\n"
              "  - {id: 2, term: tear, part: leaf, line: \"20,20 29,29\"}\n"
              "  - {id: 3, term: tear, part: joint, line: \"30,30 39,39\"}\n"
              "  - {id: 4, term: loose sewing, part: sewing, point: \"5,5\", count: 3}\n"
              "  - {id: 5, term: loose sewing, part: sewing, point: \"7,7\"}\n");
  bench_photo(
      bench, "b.jpg",
      "stage: after\nmarks:\n"
      "  - {id: 1, term: tear, part: leaf, earlier: \"a.jpg#1\", gone: yes}\n"
      "  - {id: 3, term: tear, part: joint, earlier: \"a.jpg#3\", gone: yes}\n"
      "  - {id: 4, term: loose sewing, part: sewing, earlier: \"a.jpg#4\", point: \"5,5\"}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_OWNER);
  assert_holds(text, "Leaf | strong | 2 | \u2013 | 1\n");
  assert_holds(text, "Joint | \u2013 | 1 | 0 | \n");
  assert_holds(text, "Sewing | \u2013 | 4 | 1 | 1\n");
  assert_holds(text, "In all |  | 7 | 1 | 2\n");
}

/* A place is the same in every document: of a point that is three, each tells three. */
static void
documents_count_the_same_places(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nproposal: [{part: sewing, do: sew}]\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: loose sewing, part: sewing, point: \"5,5\", count: 3}\n"
              "  - {id: 2, term: tear, part: leaf, line: \"0,0 9,9\"}\n");
  bench_open(bench, 0);
  g_autofree char *proposal = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(proposal, "4 places are marked as damaged, on 2 parts");
  assert_holds(proposal, "Part | What was found | Places | ");
  assert_holds(proposal, "a place counts once, on however many photographs it stands.");
  g_autofree char *summary = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_OWNER);
  assert_holds(summary, "Sewing | 3 | \u2013 | 3\n");
  assert_holds(summary, "In all | 4 | \u2013 | 4\n");
  g_autofree char *treatment = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(treatment,
               "Of 4 places marked before treatment nothing is recorded after treatment: "
               "3\u00a0\u00d7\u00a0loose sewing (sewing); 1\u00a0\u00d7\u00a0tear (leaf)");
}

/* A tear that is mended is closed, on the plate and in the table; where no size tells a change, the
 * severities do. */
static void
changes_are_told_as_plates_tell_them_and_by_severity(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, line: \"0,0 9,9\"}\n"
              "  - {id: 2, term: stain, part: leaf, severity: 3, outline: " BENCH_SQUARE(
                  1, 1) "}\n"
                        "  - {id: 3, term: stain, part: spine, severity: 2, outline: " BENCH_SQUARE(
                            3, 3) "}\n");
  bench_photo(
      bench, "b.jpg",
      "stage: after\nmarks:\n"
      "  - {id: 1, term: tear, part: leaf, earlier: \"a.jpg#1\", gone: yes}\n"
      "  - {id: 2, term: stain, part: leaf, severity: 2, earlier: \"a.jpg#2\", "
      "outline: " BENCH_SQUARE(1, 1) "}\n"
                                     "  - {id: 3, term: stain, part: spine, severity: 2, earlier: "
                                     "\"a.jpg#3\", outline: " BENCH_SQUARE(3, 3) "}\n");
  bench_open(bench, 0);
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  g_autofree char *german = told(bench, words, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Tear, leaf | no size | closed | ");
  assert_holds(text, "Stain, leaf | no size | no size | strong before, moderate after\n");
  assert_holds(text, "Stain, spine | no size | no size | \n");
  assert_holds(german, "| geschlossen | ");
  assert_holds(german, "| vorher stark, nachher mittel\n");
}

/* Where the record does not say when the volume was treated, its steps do as far as they go. */
static void
when_it_was_treated_is_taken_from_the_steps(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\ntreatment:\n"
                      "  - {on: 2026-03-18, did: \"Sewn.\"}\n  - {did: \"Pressed.\"}\n"
                      "  - {on: 2026-03-12, did: \"Cleaned.\"}\n");
  bench_open(bench, 0);
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  g_autofree char *german = told(bench, words, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Treated: 12 March 2026 to 18 March 2026, by the dates of the steps\n");
  assert_holds(german, "12. M\u00e4rz 2026 bis 18. M\u00e4rz 2026, nach den Daten der Schritte\n");
}

static void
a_single_step_tells_a_single_day(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\ntreatment: [{on: 2026-03-18, did: \"Sewn.\"}]\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Treated: 18 March 2026, by the dates of the steps\n");
}

/* That a record is silent by a day does not say that nobody asked. */
static void
what_is_not_recorded_as_asked_is_said_to_be_that(void **state)
{
  Bench *bench = *state;
  open_dated(bench, "");
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  g_autofree char *german = told(bench, words, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Treatment: nothing recorded up to 20 March 2026\n"
                     "Showing publicly: nothing recorded up to 20 March 2026\n");
  assert_holds(german, "Behandlung: bis 20. M\u00e4rz 2026 nichts dokumentiert\n");
}

static void
of_no_day_a_silent_record_is_silent(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "Treatment: none recorded\n");
}

/* What is done already is not told as if it were to come, and what was agreed to is not asked for.
 */
static void
a_test_that_was_done_is_told_as_done(void **state)
{
  Bench *bench = *state;
  bench_volume(
      bench,
      "volume: {id: T-1}\nexamined: 2026-03-08\nproposal: [{part: leaf, do: mend}]\n"
      "tests:\n"
      "  - {on: 2026-03-06, place: \"Under the lining.\", method: drop, consumed: yes}\n"
      "  - {place: \"The hinge.\", method: drop, consumed: yes}\n"
      "  - {on: 2026-03-07, method: drop, consumed: yes}\n"
      "  - {place: \"leaf\", result: \"swells\", method: drop, consumed: yes}\n"
      "  - {on: 2026-03-07, place: \"spine\", method: drop, consumed: yes, agreed: 2026-03-05}\n");
  bench_open(bench, 0);
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  g_autofree char *german = told(bench, words, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text,
               "2. In a test on 6 March 2026 some of the volume was used up: Under the lining. "
               "That is agreed to afterwards.\n"
               "3. In a test some of the volume is used up: The hinge.\n"
               "4. In a test on 7 March 2026 some of the volume was used up: place not "
               "recorded. That is agreed to afterwards.\n"
               "5. In a test some of the volume was used up: leaf. That is agreed to "
               "afterwards.\n");
  assert_lacks(text, "used up: spine");
  assert_holds(german, "2. Bei einem Test am 6. M\u00e4rz 2026 wurde etwas Substanz des Bandes "
                       "verbraucht: Under the lining. Dem wird nachtr\u00e4glich zugestimmt.\n");
}

/* Writing that is noted is not what is wrong with a volume. */
static void
what_is_only_noted_is_not_counted_as_wrong(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nproposal: [{part: leaf, do: mend}]\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, line: \"0,0 9,9\"}\n"
              "  - {id: 2, term: inscription, part: endleaf, severity: 3, outline: " BENCH_SQUARE(
                  5, 5) "}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text, "What is wrong: 1 place is marked as damaged, on 1 part of the volume "
                     "1 more place is noted that is no damage");
  assert_lacks(text, "Recorded as strong");
  assert_holds(text, "Endleaf"); /* in the table it stands */
}

/* A photograph that nobody has looked through keeps its picture back, and only a step that goes
 * with something private is left out, and counted. */
static void
the_public_reads_a_step_whose_photograph_is_not_shown(void **state)
{
  Bench *bench = *state;
  bench_volume(bench,
               "volume: {id: T-1}\ntreatment:\n"
               "  - {part: sewing, did: \"Sewn again.\", photos: [unseen.jpg]}\n"
               "  - {part: leaf, did: \"A letter was lifted.\", photos: [private.jpg]}\n"
               "  - {part: joint, did: \"Covered again.\", photos: [excepted.jpg]}\n"
               "consents: [{on: 2026-03-09, by: owner, to: show publicly, is: given, except: "
               "[excepted.jpg]}]\n");
  bench_photo(bench, "unseen.jpg", "stage: during\nview: spine\n");
  bench_photo(bench, "excepted.jpg", "stage: during\nview: joint\n");
  bench_photo(bench, "private.jpg",
              "stage: during\nview: opening\nprivacy-checked: 2026-03-05\nmarks:\n"
              "  - {id: 1, term: inscription, private: yes, outline: " BENCH_SQUARE(5, 5) "}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_PUBLIC);
  assert_holds(text, "Sewn again.");
  assert_lacks(text, "letter");
  assert_lacks(text, "Covered");
  assert_holds(text, "2 steps of treatment that may hold");
}

/* An examination shows nothing that was taken during or after treatment, to anybody. */
static void
only_what_a_document_would_show_is_left_out_of_it(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n" GIVEN);
  bench_photo(bench, "before.jpg", "stage: before\nview: spine\n");
  bench_photo(bench, "during.jpg", "stage: during\nview: spine\n");
  bench_photo(bench, "after.jpg", "stage: after\nview: spine\n");
  bench_open(bench, 0);
  static const char *const says[N_KINDS] = {"1 photograph not", "1 photograph not",
                                            "1 photograph not", "3 photographs not",
                                            "3 photographs not"};
  for (int kind = 0; kind < N_KINDS; kind++) {
    g_autofree char *text = told_in_english(bench, (PwReportKind)kind, PW_FOR_PUBLIC);
    assert_holds(text, says[kind]);
    g_autofree char *owners = told_in_english(bench, (PwReportKind)kind, PW_FOR_OWNER);
    assert_lacks(owners, "photograph that");
    assert_lacks(owners, "photographs not");
  }
}

/* Like the meaning of any other term. */
static void
what_is_undecided_is_explained_in_a_sentence(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks:\n"
              "  - {id: 1, term: undecided, part: leaf, line: \"0,0 9,9\"}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  assert_holds(text, "Undecided What it is has not been decided.");
}

/* ---- What is withheld -------------------------------------------------------------- */

/* Every entry names the owner, and every mark is private: of nothing is the public told. */
static const char withheld[] =
    "volume: {id: T-1}\nowner: {name: \"Ida Lundvall\"}\nreceived: 2026-05-20\n"
    "returned: 2026-05-20\n"
    "observations: [{part: leaf, says: \"cut by Lundvall\", basis: reported}]\n"
    "proposal:\n  - {part: spine, do: \"Ask Lundvall.\", risk: \"Lundvall may object.\"}\n"
    "treatment:\n"
    "  - {part: leaf, did: \"Seen by Lundvall.\", materials: \"paste of Lundvall\", differs: "
    "\"as Lundvall asked\"}\n"
    "  - {on: 2026-05-20, part: spine, did: \"Seen by Lundvall again.\"}\n"
    "pieces:\n"
    "  - {id: P1, kind: part, what: \"clasp of Lundvall\"}\n"
    "  - {id: P2, kind: removed, what: \"slip of Lundvall\", outcome: discarded}\n"
    "consents:\n" GIVEN "care: [\"Ask Lundvall.\"]\n";

static void
open_withheld(Bench *bench)
{
  bench_volume(bench, withheld);
  bench_photo(
      bench, "a.jpg",
      "stage: before\nview: spine\nprivacy-checked: 2026-03-05\n" BENCH_SCALE "marks:\n"
      "  - {id: 1, term: loss, part: leaf, private: yes, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_photo(bench, "b.jpg",
              "stage: after\nview: spine\nprivacy-checked: 2026-03-05\n" BENCH_SCALE "marks:\n"
              "  - {id: 1, term: loss, part: leaf, private: yes, earlier: \"a.jpg#1\", "
              "outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_open(bench, 0);
}

/* In no language, in no document. */
static void
assert_none_is_said_to_be_unrecorded(const Bench *bench)
{
  static const char *const none[] = {"condition-none", "proposal-none", "treatment-none",
                                     "differs-none",   "matter-none",   "changes-none",
                                     "ledger-none",    "care-none"};
  for (gsize i = 0; i < G_N_ELEMENTS(languages); i++) {
    g_autoptr(PwWords) words = words_of(languages[i]);
    for (int kind = 0; kind < N_KINDS; kind++) {
      g_autofree char *text = told(bench, words, (PwReportKind)kind, PW_FOR_PUBLIC);
      for (gsize j = 0; j < G_N_ELEMENTS(none); j++)
        assert_lacks(text, pw_words_peek(words, none[j]));
    }
  }
}

static void
of_what_is_withheld_nobody_is_told_that_none_is_recorded(void **state)
{
  Bench *bench = *state;
  open_withheld(bench);
  g_autofree char *treatment = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_PUBLIC);
  static const char *const says[] = {
      "part by part\nWhat is recorded of damage is left out here.\n",
      "# What was proposed\n1 entry of the record is left out here.\n",
      "# What was done\n2 entries of the record are left out here.\n",
      "# What differs from the proposal\n1 entry of the record is left out here.\n",
      "and matter removed\n2 entries of the record are left out here.\n",
      "and after treatment\nWhat is recorded of changes is left out here.\n",
      "# Ledger of pieces\n2 entries of the record are left out here.\n",
      "# Housing and handling\n1 entry of the record is left out here.\n",
      "2 steps of treatment that may hold"};
  for (gsize i = 0; i < G_N_ELEMENTS(says); i++)
    assert_holds(treatment, says[i]);
  assert_lacks(treatment, "What no photograph shows");
  assert_holds(treatment, "Treated: 1 entry of the record is left out here.\n");
  g_autofree char *proposal = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_PUBLIC);
  assert_holds(proposal, "What is wrong: What is recorded of damage is left out here.\n");
  assert_holds(proposal, "What is proposed: 1 entry of the record is left out here.\n");
  assert_holds(proposal, "What it risks: 1 entry of the record is left out here.\n");
  g_autofree char *summary = told_in_english(bench, PW_REPORT_SUMMARY, PW_FOR_PUBLIC);
  assert_holds(summary, "## What was done\n2 entries of the record are left out here.\n");
  assert_none_is_said_to_be_unrecorded(bench);
}

/* To the studio all of it is told, and nothing is said to be left out. */
static void
what_is_not_withheld_is_not_said_to_be_left_out(void **state)
{
  Bench *bench = *state;
  open_withheld(bench);
  for (int kind = 0; kind < N_KINDS; kind++) {
    g_autofree char *text = told_in_english(bench, (PwReportKind)kind, PW_FOR_STUDIO);
    assert_lacks(text, "left out");
  }
}

static void
a_ledger_that_is_told_in_part_says_so(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nowner: {name: \"Ida Lundvall\"}\npieces:\n"
                      "  - {id: P1, kind: part, what: \"clasp of Lundvall\"}\n"
                      "  - {id: P2, kind: removed, what: lining, outcome: discarded}\n"
                      "consents:\n" GIVEN);
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_PUBLIC);
  const char *told = strstr(text, "P2 | lining");
  assert_non_null(told);
  assert_holds(told, "1 entry of the record is left out here.\n");
  assert_holds(text, "Removed\n- P2 lining\n");
}

/* What is left out of a count is said beside it, and no column stands empty. */
static void
a_receipt_does_not_pretend_to_count_what_is_withheld(void **state)
{
  Bench *bench = *state;
  open_withheld(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_PUBLIC);
  assert_holds(text, "Counted here, without what is left out | 1\n"
                     "1 entry of the record is left out here.\n");
  assert_holds(text, "On 20 May 2026 the volume goes back to its owner.\n"
                     "What, and from where | Handed over\n"
                     "The volume itself | 1\n"
                     "Counted here, without what is left out | 1\n"
                     "2 entries of the record are left out here.\n");
  g_autofree char *studio = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_STUDIO);
  assert_holds(studio, "Things in all | 2\n");
  assert_holds(studio, "with what is counted here.");
  assert_holds(studio, "No. | What, and from where | What has become of it | ");
}

/* Of a volume whose photographs are all left out nobody is told that none shows it. */
static void
a_receipt_does_not_count_no_photograph(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nconsents:\n" GIVEN);
  bench_photo(bench, "a.jpg", "stage: before\nview: spine\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_PUBLIC);
  assert_lacks(text, "taken before treatment");
  assert_holds(text, "1 photograph not for this reader");
  g_autofree char *studio = told_in_english(bench, PW_REPORT_RECEIPT, PW_FOR_STUDIO);
  assert_holds(studio, "1 photograph was taken before treatment.");
}

/* ---- What is not there ------------------------------------------------------------- */

/* What was made good is nothing left, and no size that was measured. */
static void
without_a_size_nothing_is_said_of_measuring(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg",
              "stage: before\nmarks: [{id: 1, term: tear, part: leaf, line: \"0,0 9,9\"}]\n");
  bench_photo(bench, "b.jpg",
              "stage: after\nmarks:\n"
              "  - {id: 1, term: tear, part: leaf, earlier: \"a.jpg#1\", gone: yes}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "no size is given");
  assert_lacks(text, "Sizes are measured");
}

static void
nothing_leads_to_where_nothing_is_told(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_PROPOSAL, PW_FOR_OWNER);
  assert_holds(text, "What it is estimated to cost: not recorded\n");
  assert_lacks(text, "See: ");
}

/* An examination shows nothing of a later day, and no heading over it. */
static void
a_part_without_entries_does_not_stand(void **state)
{
  Bench *bench = *state;
  open_dated(bench, ASKED);
  g_autofree char *condition = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_STUDIO);
  assert_lacks(condition, "What no photograph shows");
  g_autofree char *treatment = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_STUDIO);
  assert_holds(treatment, "# What no photograph shows\n## Observed and tested\n");
}

static void
without_materials_it_says_that_none_are_recorded(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\ntreatment: [{part: leaf, did: Mended.}]\n");
  bench_open(bench, 0);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "and matter removed\nNothing is recorded as used or as taken away.\n");
  assert_lacks(text, "whether it stayed on the volume");
}

/* Without a proposal or a step nothing can have been done otherwise, nor as proposed. */
static void
what_differs_stands_only_where_something_could(void **state)
{
  static const struct {
    const char *volume, *says;
  } cases[] = {
      {"", NULL},
      {"proposal: [{part: leaf, do: mend}]\n", NULL},
      {"treatment: [{part: leaf, did: mended}]\n", NULL},
      {"treatment: [{part: leaf, did: mended, differs: wetted}]\n", "| Leaf | wetted\n"},
      {"proposal: [{part: leaf, do: mend}]\ntreatment: [{part: leaf, did: mended}]\n",
       "Nothing is recorded as done otherwise than proposed.\n"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    Bench *bench = *state;
    g_autofree char *volume = g_strconcat("volume: {id: T-1}\n", cases[i].volume, NULL);
    bench_volume(bench, volume);
    bench_open(bench, 0);
    g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
    if (cases[i].says != NULL)
      assert_holds(text, cases[i].says);
    else
      assert_lacks(text, "# What differs");
  }
}

/* ---- What plates are called -------------------------------------------------------- */

/* As if the pictures could be read, of which only plates ask. */
static void
open_with_plates(Bench *bench)
{
  bench_open(bench, 0);
  for (gsize i = 0; i < pw_model_n_photos(bench->model); i++)
    pw_model_peek_photo(bench->model, i)->readable = TRUE;
}

static void
a_plate_is_called_what_the_record_allows(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nowner: {name: Lundvall}\nplates:\n"
                      "  - {before: a.jpg}\n  - {title: \"By Lundvall\", detail: \"a.jpg#1\"}\n"
                      "  - {before: IMG_7.old.jpg}\nconsents:\n" GIVEN);
  bench_photo(bench, "a.jpg",
              "stage: before\nview: front board\nprivacy-checked: 2026-03-05\nmarks:\n"
              "  - {id: 1, term: loss, part: leaf, outline: " BENCH_SQUARE(1, 1) "}\n");
  bench_photo(bench, "IMG_7.old.jpg", "stage: before\nprivacy-checked: 2026-03-05\n");
  open_with_plates(bench);
  g_autofree char *owner = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_OWNER);
  assert_holds(owner, "[1] Front board\n[2] By Lundvall\n[3] Photograph IMG_7.old\n");
  g_autofree char *public = told_in_english(bench, PW_REPORT_CONDITION, PW_FOR_PUBLIC);
  assert_holds(public, "[1] Front board\n[2] Front board, detail\n[3] Before treatment\n");
  g_autoptr(PwWords) words = words_of("de");
  g_autofree char *german = told(bench, words, PW_REPORT_CONDITION, PW_FOR_PUBLIC);
  assert_holds(german, "[2] Vorderdeckel, Detail\n[3] Vor der Behandlung\n");
}

/* A photograph of no stage stands whole on its plate. */
static void
only_what_is_a_detail_is_called_one(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg", "view: spine\n");
  bench_photo(bench, "b.jpg", "view: detail\nplace: \"tail corner\"\n");
  open_with_plates(bench);
  g_autofree char *text = told_in_english(bench, PW_REPORT_TREATMENT, PW_FOR_OWNER);
  assert_holds(text, "] Spine\n");
  assert_holds(text, "] Detail, tail corner\n");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(an_empty_record_says_that_nothing_is_recorded),
      TEST(a_folder_without_volume_yaml_is_told_of_too),
      TEST(a_plate_without_a_name_has_its_files),
      TEST(a_full_record_is_told_in_every_document),
      TEST(the_public_reads_no_private_word),
      TEST(notes_are_the_studios_alone),
      TEST(without_consent_the_public_gets_no_document),
      TEST(a_proposal_answers_an_owner),
      TEST(figures_follow_the_language),
      TEST(interpretation_stands_apart_from_observation),
      TEST(a_report_on_treatment_tells_the_course),
      TEST(a_receipt_counts_what_came_and_what_goes_back),
      TEST(a_receipt_counts_only_what_is_known_to_have_come_in),
      TEST(a_receipt_of_the_day_counts_all_that_is_recorded),
      TEST(a_receipt_lists_pieces_by_their_numbers),
      TEST(what_was_done_and_decided_is_told_by_day),
      TEST(figures_and_stops_stand_well),
      TEST(no_column_stands_empty),
      TEST(a_source_has_its_day_in_the_readers_language),
      TEST(a_long_ledger_lists_every_piece),
      TEST(only_what_is_asked_for_is_listed),
      TEST(a_proposal_tells_nothing_of_later_days),
      TEST(what_went_back_is_where_it_was_kept_no_longer),
      TEST(a_return_sheet_says_of_each_piece_whether_the_owner_gets_it),
      TEST(a_summary_begins_with_the_worst),
      TEST(a_summary_takes_nothing_recorded_for_nothing_left),
      TEST(documents_count_the_same_places),
      TEST(changes_are_told_as_plates_tell_them_and_by_severity),
      TEST(when_it_was_treated_is_taken_from_the_steps),
      TEST(a_single_step_tells_a_single_day),
      TEST(what_is_not_recorded_as_asked_is_said_to_be_that),
      TEST(of_no_day_a_silent_record_is_silent),
      TEST(a_test_that_was_done_is_told_as_done),
      TEST(what_is_only_noted_is_not_counted_as_wrong),
      TEST(the_public_reads_a_step_whose_photograph_is_not_shown),
      TEST(only_what_a_document_would_show_is_left_out_of_it),
      TEST(what_is_undecided_is_explained_in_a_sentence),
      TEST(a_consent_is_told_with_its_limits),
      TEST(showing_is_asked_for_apart),
      TEST(showing_that_was_never_asked_for_is_not_asked),
      TEST(of_what_is_withheld_nobody_is_told_that_none_is_recorded),
      TEST(what_is_not_withheld_is_not_said_to_be_left_out),
      TEST(a_ledger_that_is_told_in_part_says_so),
      TEST(a_receipt_does_not_pretend_to_count_what_is_withheld),
      TEST(a_receipt_does_not_count_no_photograph),
      TEST(without_a_size_nothing_is_said_of_measuring),
      TEST(nothing_leads_to_where_nothing_is_told),
      TEST(a_part_without_entries_does_not_stand),
      TEST(without_materials_it_says_that_none_are_recorded),
      TEST(what_differs_stands_only_where_something_could),
      TEST(a_plate_is_called_what_the_record_allows),
      TEST(only_what_is_a_detail_is_called_one),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
