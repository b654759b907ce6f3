/* Edits of volume.yaml, case by case on the demo's own: the whole text after each is the text
 * before with one stretch exchanged, so that no other byte can have moved.
 */
#include "fixtures.h"

#include <glib/gstdio.h>
#include <string.h>

#define TEXTS(...) ((const char *const[]){__VA_ARGS__, NULL})
enum { MOST_EDITS = 8 };

typedef struct {
  const char *from, *to;          /* the stretch; `from` stands once in the text */
  PwVolumeEdit edits[MOST_EDITS]; /* ends with one that is all NULL */
} Case;

typedef struct {
  char *folder, *path, *demo;
  PwComplaints *complaints;
  GError *error;
} Bench;

static int
begin(void **state)
{
  Bench *bench = g_new0(Bench, 1);
  g_autofree char *from =
      g_build_filename(g_getenv("PW_SOURCE"), "fixtures", "demo", PW_VOLUME_FILE, NULL);
  bench->folder = g_dir_make_tmp("platewright-volume-XXXXXX", NULL);
  bench->path = g_build_filename(bench->folder, PW_VOLUME_FILE, NULL);
  bench->complaints = pw_complaints_new();
  assert_true(g_file_get_contents(from, &bench->demo, NULL, NULL));
  *state = bench;
  return 0;
}

static int
end(void **state)
{
  Bench *bench = *state;
  g_remove(bench->path);
  const int left = g_rmdir(bench->folder); /* nothing was left beside it */
  pw_complaints_free(bench->complaints);
  g_clear_error(&bench->error);
  g_free(bench->demo);
  g_free(bench->path);
  g_free(bench->folder);
  g_free(bench);
  return left;
}

static char *
dup_tag_of(const char *text)
{
  g_autofree char *sum = pw_sha256_dup_hex(text, strlen(text));
  return g_strndup(sum, 32);
}

static gsize
n_of(const PwVolumeEdit *edits)
{
  gsize n = 0;
  while (n < MOST_EDITS && (edits[n].list || edits[n].key))
    n++;
  return n;
}

/* What stands in the file after the edits; yours. */
static char *
dup_after(Bench *bench, const char *before, const PwVolumeEdit *edits, gsize n, gboolean *done)
{
  assert_true(g_file_set_contents(bench->path, before, -1, NULL));
  g_autofree char *tag = dup_tag_of(before), *new_tag = NULL;
  g_clear_error(&bench->error);
  pw_complaints_free(bench->complaints);
  bench->complaints = pw_complaints_new();
  *done = pw_volume_edit(bench->path, tag, edits, n, &new_tag, bench->complaints, &bench->error);
  char *after = NULL;
  assert_true(g_file_get_contents(bench->path, &after, NULL, NULL));
  g_autofree char *tag_of_file = dup_tag_of(after);
  if (*done)
    assert_string_equal(new_tag, tag_of_file);
  else
    assert_null(new_tag);
  return after;
}

static void
assert_gives(Bench *bench, const char *before, const char *after, const PwVolumeEdit *edits)
{
  gboolean done;
  g_autofree char *text = dup_after(bench, before, edits, n_of(edits), &done);
  if (!done)
    fail_msg("refused: %s", bench->error->message);
  assert_no_complaint(bench->complaints);
  if (!g_str_equal(text, after)) /* longer than cmocka prints */
    print_error("# got\n%s\n# not\n%s\n", text, after);
  assert_true(g_str_equal(text, after));
}

static char *
dup_exchanged(const char *text, const char *from, const char *to)
{
  const char *at = strstr(text, from);
  if (at == NULL || strstr(at + 1, from) != NULL)
    fail_msg("\"%s\" does not stand in the text once", from);
  g_autofree char *before = g_strndup(text, (gsize)(at - text));
  return g_strconcat(before, to, at + strlen(from), NULL);
}

static void
assert_refused(Bench *bench, const char *before, int code, const PwVolumeEdit *edits, gsize n)
{
  gboolean done;
  g_autofree char *text = dup_after(bench, before, edits, n, &done);
  assert_false(done);
  if (!g_error_matches(bench->error, PW_ERROR, code))
    fail_msg("not the error that was expected: %s", bench->error->message);
  assert_string_equal(text, before);
}

/* ---- The demo ---------------------------------------------------------------------- */

#define FERN "  - {id: P3, kind: found inside, what: \"pressed fern\""
#define LAST_PIECE "kept: \"envelope 4\", outcome: housed, on: 2026-05-19}\n"
#define LAST_STEP "made outside the studio\", hours: 0.5}\n"
#define NOTES "notes:\n  - \"studio only: ask again about the cut leaf at the end\"\n"
#define BOX "    - {what: \"box\", cost: 118.00}\n"
static const Case cases[] = {
    /* single values */
    {"returned: 2026-05-20\n",
     "returned: 2026-05-21\n",
     {{.key = "returned", TEXTS("2026-05-21")}}},
    {"purpose: \"condition and treatment, so that the register can be read and shown\"",
     "purpose: \"loan: \\\"Charts\\\" # 2\"",
     {{.key = "purpose", TEXTS("loan: \"Charts\" # 2")}}},
    {"examined: 2026-03-04\n", "", {{.key = "examined"}}},
    /* nested */
    {"  mass: 4.9\n", "  mass: 5.02\n", {{.key = "volume/mass", TEXTS("5.02")}}},
    {"No. 3\"\n  maker",
     "No. 3, \\\"b\\\"\"\n  maker",
     {{.key = "volume/title", TEXTS("Pilots' Register of Soundings and Marks, No. 3, \"b\"")}}},
    {"to: 2026-05-15}", "to: 2026-05-16}", {{.key = "treated/to", TEXTS("2026-05-16")}}},
    {"  currency: EUR\n", "  currency: DKK\n", {{.key = "estimate/currency", TEXTS("DKK")}}},
    {"uncertainty: {corner: 0.5}   #",
     "uncertainty: {corner: 0.5, outline: 3}   #",
     {{.key = "uncertainty/outline", TEXTS("3")}}},
    /* lists of texts */
    {"views: [front board, spine, back board, head, tail, fore edge]",
     "views: [front board, spine, back board, head, fore edge]",
     {{.key = "views", TEXTS("front board", "spine", "back board", "head", "fore edge")}}},
    {NOTES "  - \"studio only: LF-12 needs its clock set\"\n",
     NOTES "  - \"LF-12's clock is set\"\n  - \"new\"\n",
     {{.key = "notes",
       TEXTS("studio only: ask again about the cut leaf at the end", "LF-12's clock is set",
             "new")}}},
    /* entries: one key, several, one that goes, by id and by place */
    {FERN ", count: 1,", FERN ", count: 2,", {{"pieces", "P3", "count", TEXTS("2")}}},
    {"outcome: reattached, on: 2026-05-06}",
     "outcome: housed, on: 2026-05-07, because: \"does not \\\"sit\\\"\"}",
     {{"pieces", "P1", "outcome", TEXTS("housed")},
      {"pieces", "P1", "because", TEXTS("does not \"sit\"")},
      {"pieces", "P1", "on", TEXTS("2026-05-07")}}},
    {"hours: 5.0, differs: \"the lower half of the lining was lifted with a poultice, as it would "
     "not come away dry\"}",
     "hours: 5.25}",
     {{"treatment", "2", "differs", NULL}, {"treatment", "2", "hours", TEXTS("5.25")}}},
    {"photos: [during/LF12_0051.jpg]}",
     "photos: [during/LF12_0051.jpg, \"during/LF12_0063.jpg\"]}",
     {{"treatment", "1", "photos", TEXTS("during/LF12_0051.jpg", "during/LF12_0063.jpg")}}},
    {"    about: [P5]\n",
     "    about: [P5, \"before/LF12_0031.jpg#1\"]\n",
     {{"decisions", "2", "about", TEXTS("P5", "before/LF12_0031.jpg#1")}}},
    {"    options: [\"keep it under the new one\", \"remove it and keep a sample\"]\n",
     "    options: [\"keep it under the new one\"]\n",
     {{"decisions", "2", "options", TEXTS("keep it under the new one")}}},
    {"    basis: reported\nproposal",
     "    basis: reported\n    risk: \"none\"\nproposal",
     {{"decisions", "3", "risk", TEXTS("none")}}},
    {"rate: 68.00}\n    - {what: \"leaves",
     "rate: 70.50}\n    - {what: \"leaves",
     {{"estimate/lines", "1", "rate", TEXTS("70.50")}}},
    {"small: {design: id1, check-along: 99.7,",
     "small: {design: id1, check-along: 100.1,",
     {{"cards", "small", "check-along", TEXTS("100.1")}}},
    {"measured: 2026-02-27}\n  strip:",
     "measured: 2026-02-27, greys-lab: [[95.1, -0.4, 1.2], [50, 0, 0]]}\n  strip:",
     {{"cards", "small", "greys-lab", TEXTS("95.1 -0.4 1.2", "50 0 0")}}},
    {"{clock-offset: \"+01:00\"}",
     "{clock-offset: +02:00}",
     {{"cameras", "Larkfield LF-12", "clock-offset", TEXTS("+02:00")}}},
    /* entries that go, and an entry and a list of its own that go together */
    {"  - {title: \"Under the spine\", during: during/LF12_0051.jpg}\n",
     "",
     {{"plates", "3", NULL, NULL}}},
    {"    - {what: \"leather, tissue, thread\", cost: 64.50}\n" BOX,
     "",
     {{"estimate/lines", "3", NULL, NULL},
      {"estimate/lines", "4", "cost", TEXTS("1")},
      {"estimate/lines", "4", NULL, NULL}}},
    {"  strip: {design: strip, check-along: 99.7, check-across: 99.9, tolerance: 0.2, measured: "
     "2026-02-27}\n",
     "",
     {{"cards", "strip", NULL, NULL}}},
    /* entries that are new, like the last one there */
    {LAST_PIECE,
     LAST_PIECE "  - {id: P7, kind: found inside, what: \"a hair\", photo: "
                "\"during/LF12_0044.jpg\"}\n",
     {{"pieces", "P7", "what", TEXTS("a hair")},
      {"pieces", "P7", "photo", TEXTS("during/LF12_0044.jpg")},
      {"pieces", "P7", "kind", TEXTS("found inside")}}},
    {LAST_STEP,
     LAST_STEP "  - {on: 2026-05-15, did: \"boxed\", hours: 0.5, photos: "
               "[\"after/LF12_0071.jpg\"]}\n  - {on: 2026-05-16, did: \"packed\"}\n",
     {{"treatment", "+a", "did", TEXTS("boxed")},
      {"treatment", "+b", "on", TEXTS("2026-05-16")},
      {"treatment", "+a", "photos", TEXTS("after/LF12_0071.jpg")},
      {"treatment", "+a", "on", TEXTS("2026-05-15")},
      {"treatment", "+b", "did", TEXTS("packed")},
      {"treatment", "+a", "hours", TEXTS("0.5")},
      {"treatment", "+c", "did", TEXTS("thought better of")},
      {"treatment", "+c", NULL, NULL}}},
    {"    basis: reported\nproposal",
     "    basis: reported\n  - on: 2026-05-01\n    about: [\"P6\"]\n    chosen: \"keep: all\"\n"
     "proposal",
     {{"decisions", "+", "chosen", TEXTS("keep: all")},
      {"decisions", "+", "about", TEXTS("P6")},
      {"decisions", "+", "on", TEXTS("2026-05-01")}}},
    {BOX,
     BOX "    - {what: \"postage\", cost: 12.00}\n",
     {{"estimate/lines", "+", "what", TEXTS("postage")},
      {"estimate/lines", "+", "cost", TEXTS("12.00")}}},
    {"how: e-mail}\ncare:",
     "how: e-mail}\n  - {on: 2026-06-01, by: \"owner\", to: \"show "
     "publicly\", is: withdrawn}\ncare:",
     {{"consents", "+", "is", TEXTS("withdrawn")},
      {"consents", "+", "to", TEXTS("show publicly")},
      {"consents", "+", "by", TEXTS("owner")},
      {"consents", "+", "on", TEXTS("2026-06-01")}}},
    {"2026-02-27}\nuncertainty",
     "2026-02-27}\n  \"new: one\": {design: a6}\nuncertainty",
     {{"cards", "new: one", "design", TEXTS("a6")}}},
    /* an entry of a list that is not there yet, at the end of the text */
    {"  - \"studio only: LF-12 needs its clock set\"\n",
     "  - \"studio only: LF-12 needs its clock set\"\nissued:\n"
     "  - {document: \"proposal\", version: 1, on: 2026-03-08, to: \"owner\", sha256: "
     "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855}\n",
     {{"issued", "+", "sha256",
       TEXTS("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855")},
      {"issued", "+", "to", TEXTS("owner")},
      {"issued", "+", "on", TEXTS("2026-03-08")},
      {"issued", "+", "version", TEXTS("1")},
      {"issued", "+", "document", TEXTS("proposal")}}},
    /* what is said already leaves the text as it is */
    {"received: 2026-03-02\n",
     "received: 2026-03-02\n",
     {{.key = "received", TEXTS("2026-03-02")},
      {"pieces", "P9", NULL, NULL},
      {"tests", "99", NULL, NULL}}},
};

static void
the_demo_takes_every_kind_of_edit(void **state)
{
  Bench *bench = *state;
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *after = dup_exchanged(bench->demo, cases[i].from, cases[i].to);
    assert_gives(bench, bench->demo, after, cases[i].edits);
  }
  print_message("# %zu edits of the demo's volume.yaml\n", G_N_ELEMENTS(cases));
}

/* ---- Other texts ------------------------------------------------------------------- */

#define HEAD "format: platewright-volume 1\nvolume: {id: A1}\n"

static void
a_new_text_is_filled_in(void **state)
{
  assert_gives(*state, HEAD "# end\n",
               HEAD "owner: {name: \"A. B\", contact: \"c\"}\nreceived: 2026-03-02\n"
                    "estimate:\n  lines:\n    - {what: \"box\", cost: 4}\n  currency: EUR\n"
                    "care: [\"flat\"]\n# end\n",
               (const PwVolumeEdit[MOST_EDITS]){{.key = "owner/contact", TEXTS("c")},
                                                {.key = "received", TEXTS("2026-03-02")},
                                                {"estimate/lines", "+", "cost", TEXTS("4")},
                                                {"estimate/lines", "+", "what", TEXTS("box")},
                                                {.key = "estimate/currency", TEXTS("EUR")},
                                                {.key = "owner/name", TEXTS("A. B")},
                                                {.key = "care", TEXTS("flat")}});
  assert_gives(*state, HEAD "pieces: [] # none yet\r\ncards:\r\n  a:\r\n    design: a6\r\n",
               HEAD "pieces: # none yet\r\n  - {id: \"a, b\", kind: part, what: \"x\"}\r\n"
                    "cards:\r\n  a:\r\n    design: a6\r\n  b:\r\n    design: id1\r\n"
                    "    measured: 2026-03-01\r\n",
               (const PwVolumeEdit[MOST_EDITS]){{"pieces", "a, b", "what", TEXTS("x")},
                                                {"pieces", "a, b", "kind", TEXTS("part")},
                                                {"cards", "b", "design", TEXTS("id1")},
                                                {"cards", "b", "measured", TEXTS("2026-03-01")}});
}

static void
a_list_of_one_stays_as_it_is_written(void **state)
{
  assert_gives(*state, HEAD "care: 'flat' # so\nviews: spine\n",
               HEAD "care: 'flat' # so\nviews: [\"spine\", \"head\"]\n",
               (const PwVolumeEdit[MOST_EDITS]){{.key = "care", TEXTS("flat")},
                                                {.key = "views", TEXTS("spine", "head")}});
}

static void
entries_go_by_the_places_that_were_read(void **state)
{
  const char *text = HEAD "treatment:\n  - {did: \"a\"} # a\n  # b\n  - {did: \"b\"}\n"
                          "  - {did: \"c\"}\n  - {did: \"d\"}\n";
  assert_gives(*state, text,
               HEAD "treatment:\n  # b\n  - {did: \"B\"}\n  - {did: \"D\"}\n  - {did: \"e\"}\n",
               (const PwVolumeEdit[MOST_EDITS]){{"treatment", "0", NULL, NULL},
                                                {"treatment", "+", "did", TEXTS("e")},
                                                {"treatment", "1", "did", TEXTS("B")},
                                                {"treatment", "2", NULL, NULL},
                                                {"treatment", "0", NULL, NULL},
                                                {"treatment", "3", "did", TEXTS("D")}});
  assert_gives(*state, text, HEAD "treatment: []\n  # b\n",
               (const PwVolumeEdit[MOST_EDITS]){{"treatment", "0", NULL, NULL},
                                                {"treatment", "2", NULL, NULL},
                                                {"treatment", "3", NULL, NULL},
                                                {"treatment", "1", NULL, NULL}});
}

#define REFUSED(text, code, ...) \
  assert_refused(*state, text, code, &(const PwVolumeEdit)__VA_ARGS__, 1)

static void
what_cannot_stand_is_refused_whole(void **state)
{
  const char *text = HEAD "pieces:\n  - {id: P1, kind: part, what: \"x\"}\ntests:\n"
                          "  - {method: \"m\"}\n";
  REFUSED(text, PW_ERROR_USE, {.key = "format", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {.key = "pieces", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {.key = "pieces"});
  REFUSED(text, PW_ERROR_USE, {.key = "cards/a/design", TEXTS("a6")});
  REFUSED(text, PW_ERROR_USE, {.key = "cards/a", TEXTS("a6")});
  REFUSED(text, PW_ERROR_USE, {.key = "colour", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"care", "0", "x", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"pieces", NULL, "what", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"pieces", "a/b", "what", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"cards", "", "design", TEXTS("a6")});
  REFUSED(text, PW_ERROR_USE, {"tests", "1", "method", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "00", "method", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "99999999999999999999", "method", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "-1", "method", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "0", "method", TEXTS("x", "y")});
  REFUSED(text, PW_ERROR_USE, {"tests", "0", NULL, TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "0", "colour", TEXTS("x")});
  REFUSED(text, PW_ERROR_USE, {"tests", "0", "method", TEXTS("\xff")});
  REFUSED(text, PW_ERROR_USE, {NULL, "0", NULL, NULL});
  REFUSED(text, PW_ERROR_RECORD, {.key = "received", TEXTS("yesterday")});
  REFUSED(text, PW_ERROR_RECORD, {.key = "volume"});
  REFUSED(text, PW_ERROR_RECORD, {"pieces", "P1", "what", NULL});
  REFUSED(text, PW_ERROR_RECORD, {"pieces", "P2", "what", TEXTS("without a kind")});
  REFUSED(text, PW_ERROR_RECORD, {"tests", "0", "method", NULL});
  REFUSED("format: platewright-photo 1\n", PW_ERROR_RECORD, {.key = "care", TEXTS("x")});
  REFUSED(HEAD "a: [", PW_ERROR_RECORD, {.key = "care", TEXTS("x")});
  REFUSED(HEAD "tests: none\n", PW_ERROR_RECORD, {"tests", "+", "method", TEXTS("x")});
  const PwVolumeEdit gone[] = {{"tests", "0", NULL, NULL}, {"tests", "0", "method", TEXTS("x")}};
  assert_refused(*state, text, PW_ERROR_USE, gone, 2);
  const PwVolumeEdit half[] = {{.key = "care", TEXTS("x")}, {"tests", "0", "on", TEXTS("x")}};
  assert_refused(*state, text, PW_ERROR_RECORD, half, 2);
  assert_int_equal(pw_complaints_n(((Bench *)*state)->complaints), 1);
  g_autofree PwVolumeEdit *many = g_new0(PwVolumeEdit, PW_LIMIT_EDITS + 1);
  for (int i = 0; i <= PW_LIMIT_EDITS; i++)
    many[i] = half[0];
  assert_refused(*state, text, PW_ERROR_LIMIT, many, PW_LIMIT_EDITS + 1);
}

static void
an_old_error_does_not_stand_in_the_way(void **state)
{
  assert_gives(*state, HEAD "received: today\ntests:\n  - {result: \"r\"}\n",
               HEAD "received: today\ntests:\n  - {result: \"s\"}\n",
               (const PwVolumeEdit[MOST_EDITS]){{"tests", "0", "result", TEXTS("s")}});
}

static void
another_text_than_the_one_meant_is_left(void **state)
{
  Bench *bench = *state;
  g_autofree char *new_tag = NULL;
  assert_true(g_file_set_contents(bench->path, HEAD, -1, NULL));
  const PwVolumeEdit edit = {.key = "care", TEXTS("x")};
  assert_false(pw_volume_edit(bench->path, "0123456789abcdef0123456789abcdef", &edit, 1, &new_tag,
                              bench->complaints, &bench->error));
  assert_true(g_error_matches(bench->error, PW_ERROR, PW_ERROR_STALE));
  assert_null(new_tag);
}

static void
the_tag_is_that_of_the_text(void **state)
{
  Bench *bench = *state;
  assert_true(g_file_set_contents(bench->path, HEAD, -1, NULL));
  g_autoptr(PwVolume) volume = pw_volume_read(bench->path, bench->complaints, NULL);
  g_autofree char *tag = pw_volume_dup_tag(volume), *expected = dup_tag_of(HEAD);
  assert_string_equal(tag, expected);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(the_demo_takes_every_kind_of_edit, begin, end),
      cmocka_unit_test_setup_teardown(a_new_text_is_filled_in, begin, end),
      cmocka_unit_test_setup_teardown(a_list_of_one_stays_as_it_is_written, begin, end),
      cmocka_unit_test_setup_teardown(entries_go_by_the_places_that_were_read, begin, end),
      cmocka_unit_test_setup_teardown(what_cannot_stand_is_refused_whole, begin, end),
      cmocka_unit_test_setup_teardown(an_old_error_does_not_stand_in_the_way, begin, end),
      cmocka_unit_test_setup_teardown(another_text_than_the_one_meant_is_left, begin, end),
      cmocka_unit_test_setup_teardown(the_tag_is_that_of_the_text, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
