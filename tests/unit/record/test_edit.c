/* Edits of a sidecar, case by case: the whole text after each is compared, so that nothing else can
 * have moved.
 */
#include "fixtures.h"

#include <glib/gstdio.h>
#include <string.h>
#include <time.h>

#define HEAD "format: platewright-photo 1\nphoto: {size: 1000 x 1000}\n"
#define SQUARE "1,1 9,1 9,9 1,9"

typedef struct {
  char *folder, *path;
  PwComplaints *complaints;
  GError *error;
} Bench;

static int
begin(void **state)
{
  Bench *bench = g_new0(Bench, 1);
  bench->folder = g_dir_make_tmp("platewright-edit-XXXXXX", NULL);
  bench->path = g_build_filename(bench->folder, "a.jpg.yaml", NULL);
  bench->complaints = pw_complaints_new();
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

static gboolean
edit_text(Bench *bench, const char *before, const PwSidecarEdit *edits, gsize n)
{
  assert_true(g_file_set_contents(bench->path, before, -1, NULL));
  g_autofree char *tag = dup_tag_of(before), *new_tag = NULL;
  g_clear_error(&bench->error);
  pw_complaints_free(bench->complaints);
  bench->complaints = pw_complaints_new();
  const gboolean done = pw_sidecar_edit(bench->path, "a.jpg", tag, edits, n, &new_tag,
                                        bench->complaints, &bench->error);
  if (!done)
    return FALSE;
  g_autofree char *after = NULL;
  assert_true(g_file_get_contents(bench->path, &after, NULL, NULL));
  g_autofree char *tag_of_file = dup_tag_of(after);
  assert_string_equal(new_tag, tag_of_file);
  return TRUE;
}

static void
assert_gives(Bench *bench, const char *before, const char *after, const PwSidecarEdit *edits,
             gsize n)
{
  if (!edit_text(bench, before, edits, n))
    fail_msg("refused: %s", bench->error->message);
  assert_int_equal(pw_complaints_n(bench->complaints), 0);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(bench->path, &text, NULL, NULL));
  assert_string_equal(text, after);
}

static void
assert_refused(Bench *bench, const char *before, int code, const PwSidecarEdit *edits, gsize n)
{
  assert_false(edit_text(bench, before, edits, n));
  if (!g_error_matches(bench->error, PW_ERROR, code))
    fail_msg("not the error that was expected: %s", bench->error->message);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(bench->path, &text, NULL, NULL));
  assert_string_equal(text, before);
}

#define TEXTS(...) ((const char *const[]){__VA_ARGS__, NULL})
#define EDITS(...)                        \
  ((const PwSidecarEdit[]){__VA_ARGS__}), \
      sizeof((const PwSidecarEdit[]){__VA_ARGS__}) / sizeof(PwSidecarEdit)

static void
a_new_mark_is_written_in_lines(void **state)
{
  assert_gives(
      *state, HEAD "# end\n",
      HEAD "marks:\n  - id: 1\n    term: loose sewing\n    part: \"spine: leather\"\n"
           "    outline: \"1,1 9.13,1 9,9 1,9\"\n    holes: [\"2,2 3,2 3,3\", \"5,5 6,5 6,6\"]\n"
           "    note: \"a \\\"note\\\" # 1\"\n    same-as: \"b c.jpg#2\"\n# end\n",
      EDITS({"1", "outline", TEXTS("1,1 9.1299,1 9,9 1,9")}, {"1", "same-as", TEXTS("b c.jpg#2")},
            {"1", "term", TEXTS("loose sewing")}, {"1", "part", TEXTS("spine: leather")},
            {"1", "holes", TEXTS("2,2 3,2 3,3", "5,5 6,5 6,6")},
            {"1", "note", TEXTS("a \"note\" # 1")}));
  assert_gives(*state, HEAD "marks:\r\n- {id: x, term: tear, point: \"1,1\"} # first\r\n",
               HEAD "marks:\r\n- {id: x, term: tear, point: \"1,1\"} # first\r\n"
                    "- id: 01\r\n  term: tear\r\n  point: \"2,2\"\r\n",
               EDITS({"01", "term", TEXTS("tear")}, {"01", "point", TEXTS("2,2")}));
  assert_gives(*state, HEAD "marks: [] # none\nview: spine",
               HEAD "marks: # none\n  - id: 1\n    term: tear\n    point: \"2,2\"\nview: spine",
               EDITS({"1", "term", TEXTS("tear")}, {"1", "point", TEXTS("2,2")}));
  assert_gives(*state, HEAD "marks: [{id: 1, term: tear, point: \"2,2\"}]\n",
               HEAD "marks: [{id: 1, term: tear, point: \"2,2\"}, "
                    "{id: 2, term: loss, outline: \"" SQUARE "\"}]\n",
               EDITS({"2", "term", TEXTS("loss")}, {"2", "outline", TEXTS(SQUARE)}));
}

static void
a_mark_keeps_the_way_it_is_written(void **state)
{
  assert_gives(*state,
               HEAD "marks:\n  - {id: 1, term: tear, point: \"2,2\"} # a\n  - id: 2 # b\n"
                    "    term: tear # c\n    point: 3,3\n",
               HEAD "marks:\n  - {id: 1, term: \"a, b\", point: \"2,2\", note: \"x\"} # a\n"
                    "  - id: 2 # b\n    term: loss # c\n    outline: \"" SQUARE "\"\n",
               EDITS({"1", "note", TEXTS("x")}, {"1", "term", TEXTS("a, b")},
                     {"2", "outline", TEXTS(SQUARE)}, {"2", "point", NULL},
                     {"2", "term", TEXTS("loss")}));
}

static void
marks_go_and_leave_an_empty_list(void **state)
{
  const char *two = HEAD "marks:\n  # the first\n  - id: 1\n    term: tear\n    point: \"2,2\"\n"
                         "  - {id: 2, term: tear, point: \"2,2\"}\n# end\n";
  assert_gives(*state, two,
               HEAD "marks:\n  # the first\n  - {id: 2, term: tear, point: \"2,2\"}\n# end\n",
               EDITS({"1", NULL, NULL}));
  assert_gives(*state, two, HEAD "marks: []\n  # the first\n# end\n",
               EDITS({"1", NULL, NULL}, {"2", NULL, NULL}));
}

static void
one_scale_takes_the_place_of_another(void **state)
{
  assert_gives(*state,
               HEAD "scale:\n  tags: bench # card\n  plane-offset: 0 # level\nview: spine\n",
               HEAD "scale:\n  plane-offset: 0 # level\n  rectangle: {corners: \"" SQUARE
                    "\", width: 85.60, height: 53.98}\nview: spine\n",
               EDITS({NULL, "scale/tags", NULL}, {NULL, "scale/rectangle/height", TEXTS("53.98")},
                     {NULL, "scale/rectangle/corners", TEXTS(SQUARE)},
                     {NULL, "scale/rectangle/width", TEXTS("85.60")}));
  assert_gives(*state, HEAD "scale:\n  tags: bench\n",
               HEAD "scale:\n  span: {from: \"1,1\", to: \"9,1\", length: 100}\n",
               EDITS({NULL, "scale/tags", NULL}, {NULL, "scale/span/from", TEXTS("1,1")},
                     {NULL, "scale/span/to", TEXTS("9,1")},
                     {NULL, "scale/span/length", TEXTS("100")}));
  assert_gives(*state, HEAD "scale:\n  span: {from: \"1,1\", to: \"9,1\", length: 100}\n# end\n",
               HEAD "# end\n",
               EDITS({NULL, "scale/span/from", NULL}, {NULL, "scale/span/to", NULL},
                     {NULL, "scale/span/length", NULL}));
  assert_gives(*state, HEAD, HEAD "scale:\n  tags: [bench, second]\n  plane-offset: 0\n",
               EDITS({NULL, "scale/tags", TEXTS("bench", "second")},
                     {NULL, "scale/plane-offset", TEXTS("0")}));
  assert_gives(*state, HEAD "scale:\n  tags: bench\nview: spine\n",
               HEAD "scale:\n  span: {from: \"1,1\", to: \"9,1\", length: 100}\nview: spine\n",
               EDITS({NULL, "scale/tags", NULL}, {NULL, "scale/span/from", TEXTS("1,1")},
                     {NULL, "scale/span/to", TEXTS("9,1")},
                     {NULL, "scale/span/length", TEXTS("100")}));
}

static void
lists_change_item_by_item(void **state)
{
  assert_gives(
      *state,
      HEAD "ties:\n  - {here: \"1,1\", there: \"2,2\"} # a\n  - {here: \"3,3\", there: "
           "\"4,4\"} # b\n  - {here: 5 , there: \"6,6\"}\n",
      HEAD
      "ties:\n  - {here: \"1,1\", there: \"2,2\"} # a\n  - {here: \"3,3\", there: "
      "\"4,5\"} # b\n  - {here: \"7,7\", there: \"8,8\"}\n  - {here: \"9,9\", there: \"9,1\"}\n",
      EDITS({NULL, "ties", TEXTS("1,1 2,2", "3,3 4,5", "7,7 8,8", "9,9 9,1")}));
  assert_gives(
      *state,
      HEAD "scale:\n  tags: [a, b] # two\nties:\n  - {here: \"1,1\", there: \"2,2\"} # a\n"
           "  - {here: \"3,3\", there: \"4,4\"} # b\n  - {here: \"5,5\", there: \"6,6\"} # c\n"
           "  - {here: \"7,7\", there: \"8,8\"} # d\n  - {here: \"9,9\", there: \"9,8\"}\n",
      HEAD "scale:\n  tags: [b] # two\nties:\n"
           "  - {here: \"3,3\", there: \"4,4\"} # b\n  - {here: \"5,5\", there: \"6,6\"} # c\n"
           "  - {here: \"7,7\", there: \"8,8\"} # d\n  - {here: \"9,9\", there: \"9,8\"}\n",
      EDITS({NULL, "ties", TEXTS("3,3 4,4", "5,5 6,6", "7,7 8,8", "9,9 9,8")},
            {NULL, "scale/tags", TEXTS("b")}));
}

static void
keys_of_the_photograph_are_edited(void **state)
{
  assert_gives(*state, HEAD "stage: before # c\n#\ta tab\ncaption: 'x'",
               HEAD
               "stage: after # c\n#\ta tab\ncaption: \"y # 1\"\nview: spine\nplace: \"f. 2r\"\n"
               "uncertainty:\n  outline: 3",
               EDITS({NULL, "stage", TEXTS("after")}, {NULL, "caption", TEXTS("y # 1")},
                     {NULL, "view", TEXTS("spine")}, {NULL, "place", TEXTS("f. 2r")},
                     {NULL, "uncertainty/outline", TEXTS("3")}));
  assert_gives(*state, HEAD "view: spine\n", HEAD "view: spine\n",
               EDITS({NULL, "caption", NULL}, {"7", "note", NULL}, {"8", NULL, NULL}));
}

static void
keys_below_a_mark_s_are_its_own(void **state)
{
  assert_gives(*state, HEAD "marks:\n  - {id: 1, term: tear, line: \"2,2 3,3\"}\n",
               HEAD
               "marks:\n  - {id: 1, term: tear, line: \"2,2 3,3\", uncertainty: {outline: 9}}\n"
               "  - id: 2\n    term: tear\n    line: \"4,4 5,5\"\n"
               "    uncertainty: {outline: 12}\n",
               EDITS({"1", "uncertainty/outline", TEXTS("9")}, {"2", "term", TEXTS("tear")},
                     {"2", "line", TEXTS("4,4 5,5")}, {"2", "uncertainty/outline", TEXTS("12")}));
  assert_gives(*state,
               HEAD
               "marks:\n  - {id: 1, term: tear, line: \"2,2 3,3\", uncertainty: {outline: 9}}\n",
               HEAD "marks:\n  - {id: 1, term: tear, line: \"2,2 3,3\"}\n",
               EDITS({"1", "uncertainty/outline", NULL}));
}

static void
what_cannot_stand_is_refused_whole(void **state)
{
  const char *text = HEAD "marks:\n  - {id: 1, term: tear, point: \"2,2\"}\n"
                          "  - {id: \"2\", term: tear, point: \"2,2\"}\n";
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "format", TEXTS("x")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "photo/sha256", NULL}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "photo", NULL}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "marks", NULL}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "colour", TEXTS("x")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "scale/tags/x", TEXTS("x")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "view/", TEXTS("x")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, "stage", TEXTS("before", "after")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({"a/b", "term", TEXTS("x")}));
  assert_refused(*state, text, PW_ERROR_USE, EDITS({NULL, NULL, NULL}));
  assert_refused(*state, text, PW_ERROR_RECORD, EDITS({"1", "id", TEXTS("2")}));
  assert_refused(*state, text, PW_ERROR_RECORD,
                 EDITS({NULL, "stage", TEXTS("after")}, {"1", "point", TEXTS("2000,1")}));
  assert_refused(*state, text, PW_ERROR_RECORD, EDITS({"3", "term", TEXTS("tear")}));
  assert_int_equal(pw_complaints_n(((Bench *)*state)->complaints), 1);
  assert_refused(*state, "format: platewright-photo 2\n", PW_ERROR_RECORD,
                 EDITS({NULL, "stage", TEXTS("after")}));
  assert_refused(*state, HEAD "a: [", PW_ERROR_RECORD, EDITS({NULL, "stage", TEXTS("after")}));
  assert_refused(*state,
                 HEAD "marks:\n  - {id: 1, term: tear, point: \"2,2\"}\n"
                      "  - {id: '1', term: tear, point: \"2,2\"}\n",
                 PW_ERROR_RECORD, EDITS({"1", "term", TEXTS("loss")}));
}

static void
an_old_error_does_not_stand_in_the_way(void **state)
{
  assert_gives(
      *state, HEAD "light: candle\nmarks:\n  - {id: 1, term: tear, severity: 9, point: \"2,2\"}\n",
      HEAD
      "light: candle\nmarks:\n  - {id: 1, term: loss, severity: 9, point: \"2,2\"}\nview: spine\n",
      EDITS({"1", "term", TEXTS("loss")}, {NULL, "view", TEXTS("spine")}));
}

static void
another_text_than_the_one_meant_is_left(void **state)
{
  Bench *bench = *state;
  g_autofree char *new_tag = NULL;
  assert_true(g_file_set_contents(bench->path, HEAD, -1, NULL));
  const PwSidecarEdit edit = {NULL, "stage", TEXTS("after")};
  assert_false(pw_sidecar_edit(bench->path, "a.jpg", "0123456789abcdef0123456789abcdef", &edit, 1,
                               &new_tag, bench->complaints, &bench->error));
  assert_true(g_error_matches(bench->error, PW_ERROR, PW_ERROR_STALE));
  assert_null(new_tag);
}

static void
too_many_at_once_are_refused(void **state)
{
  Bench *bench = *state;
  g_autofree PwSidecarEdit *edits = g_new0(PwSidecarEdit, PW_LIMIT_EDITS + 1);
  const PwSidecarEdit one = {NULL, "stage", TEXTS("after")};
  for (int i = 0; i <= PW_LIMIT_EDITS; i++)
    edits[i] = one;
  g_autofree char *tag = NULL, *new_tag = NULL;
  assert_true(g_file_set_contents(bench->path, HEAD, -1, NULL));
  g_autoptr(PwSidecar) sidecar =
      pw_sidecar_read(bench->path, "a.jpg", bench->complaints, &bench->error);
  tag = pw_sidecar_dup_tag(sidecar);
  assert_false(pw_sidecar_edit(bench->path, "a.jpg", tag, edits, PW_LIMIT_EDITS + 1, &new_tag,
                               bench->complaints, &bench->error));
  assert_true(g_error_matches(bench->error, PW_ERROR, PW_ERROR_LIMIT));
  g_clear_error(&bench->error);
  assert_true(pw_sidecar_edit(bench->path, "a.jpg", tag, edits, PW_LIMIT_EDITS, &new_tag,
                              bench->complaints, &bench->error));
}

/* Every second mark in braces; comments between. Yours. */
static char *
dup_marks(int n)
{
  GString *text = g_string_new(HEAD "marks:\n");
  for (int i = 0; i < n; i++)
    g_string_append_printf(text,
                           i % 2 ? "  - {id: m%d, term: tear, point: \"%d,1\"} # in braces\n"
                                 : "  - id: m%d\n    term: loss # in lines\n    point: \"%d,2\"\n"
                                   "    note: \"old\"\n  # between\n",
                           i, i + 1);
  return g_string_free(text, FALSE);
}

/* Five edits of each mark, round by round; the last overtakes the first. */
static GArray *
edits_of_marks(int n, GPtrArray *ids)
{
  static const char *const texts[][2] = {{"crack"}, {"new # 1"}, {"4"}, {"3"}, {"scratch"}};
  static const char *const keys[] = {"term", "note", "uncertainty/outline", "count", "term"};
  GArray *edits = g_array_new(FALSE, FALSE, sizeof(PwSidecarEdit));
  for (int i = 0; i < n; i++)
    g_ptr_array_add(ids, g_strdup_printf("m%d", i));
  for (int round = 0; round < 5; round++)
    for (int i = 0; i < n; i++) {
      const gboolean goes = round == 1 && i % 3 == 0;
      const PwSidecarEdit edit = {ids->pdata[i], keys[round], goes ? NULL : texts[round]};
      g_array_append_val(edits, edit);
    }
  return edits;
}

static void
many_marks_at_once_become_what_they_become_one_by_one(void **state)
{
  Bench *bench = *state;
  enum { MARKS = 40 };
  g_autofree char *text = dup_marks(MARKS), *at_once = NULL;
  g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(GArray) edits = edits_of_marks(MARKS, ids);
  const PwSidecarEdit *all = (const PwSidecarEdit *)(const void *)edits->data;
  if (!edit_text(bench, text, all, edits->len))
    fail_msg("%s", bench->error->message);
  assert_true(g_file_get_contents(bench->path, &at_once, NULL, NULL));
  for (guint i = 0; i < edits->len; i++) {
    g_autofree char *before = g_steal_pointer(&text);
    if (!edit_text(bench, before, &all[i], 1))
      fail_msg("%s", bench->error->message);
    assert_true(g_file_get_contents(bench->path, &text, NULL, NULL));
  }
  assert_string_equal(at_once, text);
}

/* CPU time of a note to each of the first `n` of as many marks as one save may change. */
static double
seconds_of_notes(Bench *bench, int n)
{
  static const char *const note[] = {"new", NULL};
  g_autofree char *text = dup_marks(PW_LIMIT_EDITS);
  g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
  g_autofree PwSidecarEdit *edits = g_new0(PwSidecarEdit, n);
  for (int i = 0; i < n; i++) {
    g_ptr_array_add(ids, g_strdup_printf("m%d", i));
    edits[i] = (PwSidecarEdit){ids->pdata[i], "note", note};
  }
  const clock_t began = clock();
  assert_true(edit_text(bench, text, edits, (gsize)n));
  return (double)(clock() - began) / CLOCKS_PER_SEC;
}

/* One edit is reading the text a few times; each by itself they took 600 times as long. */
static void
many_marks_at_once_are_read_back_together(void **state)
{
  const double one = seconds_of_notes(*state, 1), all = seconds_of_notes(*state, PW_LIMIT_EDITS);
  print_message("# one edit: %.3f s, %d edits: %.3f s\n", one, PW_LIMIT_EDITS, all);
  assert_true(all < 100 * one);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(a_new_mark_is_written_in_lines, begin, end),
      cmocka_unit_test_setup_teardown(too_many_at_once_are_refused, begin, end),
      cmocka_unit_test_setup_teardown(many_marks_at_once_become_what_they_become_one_by_one, begin,
                                      end),
      cmocka_unit_test_setup_teardown(many_marks_at_once_are_read_back_together, begin, end),
      cmocka_unit_test_setup_teardown(a_mark_keeps_the_way_it_is_written, begin, end),
      cmocka_unit_test_setup_teardown(marks_go_and_leave_an_empty_list, begin, end),
      cmocka_unit_test_setup_teardown(one_scale_takes_the_place_of_another, begin, end),
      cmocka_unit_test_setup_teardown(lists_change_item_by_item, begin, end),
      cmocka_unit_test_setup_teardown(keys_of_the_photograph_are_edited, begin, end),
      cmocka_unit_test_setup_teardown(keys_below_a_mark_s_are_its_own, begin, end),
      cmocka_unit_test_setup_teardown(what_cannot_stand_is_refused_whole, begin, end),
      cmocka_unit_test_setup_teardown(an_old_error_does_not_stand_in_the_way, begin, end),
      cmocka_unit_test_setup_teardown(another_text_than_the_one_meant_is_left, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
