/* Complaints: kept in order, counted when there are too many, shown with a caret that points. */
#include <platewright/base.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static void
assert_shown(guint line, guint column, const char *excerpt, const char *expected)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  pw_complaints_add(complaints, "a.yaml", line, column, "kind", PW_SEVERITY_ERROR, excerpt,
                    "bad %d", 7);
  g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, 0));
  assert_string_equal(text, expected);
}

static void
the_caret_stands_under_the_column(void **state)
{
  (void)state;
  assert_shown(7, 3, "a: x", "a.yaml:7:3: error: bad 7\n  a: x\n    ^");
  assert_shown(7, 1, "a: x", "a.yaml:7:1: error: bad 7\n  a: x\n  ^");
  assert_shown(1, 5, "a: x", "a.yaml:1:5: error: bad 7\n  a: x\n      ^"); /* behind the line */
  assert_shown(1, 2, "a: x", "a.yaml:1:2: error: bad 7\n  a: x\n   ^");
  /* Two columns of a terminal each, and none for a combining accent. */
  assert_shown(1, 4, "日本: x", "a.yaml:1:4: error: bad 7\n  日本: x\n       ^");
  assert_shown(1, 5, "e\u0301: x", "a.yaml:1:5: error: bad 7\n  e\u0301: x\n     ^");
  /* A tab is shown as one blank, so the caret follows. */
  assert_shown(1, 3, "\t\tx", "a.yaml:1:3: error: bad 7\n    x\n    ^");
}

static void
a_place_may_be_missing(void **state)
{
  (void)state;
  assert_shown(0, 0, NULL, "a.yaml: error: bad 7");
  assert_shown(3, 0, NULL, "a.yaml:3: error: bad 7");
  assert_shown(3, 0, "x", "a.yaml:3: error: bad 7\n  x");
  const PwComplaint without_file = {.says = (char[]){"odd"}, .severity = PW_SEVERITY_NOTE};
  g_autofree char *text = pw_complaint_dup_text(&without_file);
  assert_string_equal(text, "note: odd");
}

static void
control_characters_are_not_shown(void **state)
{
  (void)state;
  assert_shown(1, 2, "a\x1B[31m", "a.yaml:1:2: error: bad 7\n  a\uFFFD[31m\n   ^");
  assert_shown(1, 2, "a\xFFz", "a.yaml:1:2: error: bad 7\n  a\uFFFDz\n   ^");
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  pw_complaints_add(complaints, "a\n\x07", 0, 0, "kind", PW_SEVERITY_WARNING, NULL, "%s", "x\x9by");
  g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, 0));
  assert_string_equal(text, "a \uFFFD: warning: x\uFFFDy");
}

static void
of_a_long_line_only_the_part_around_is_kept(void **state)
{
  (void)state;
  g_autofree char *line = g_strnfill(5000, 'a');
  line[2999] = 'X';
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  pw_complaints_add(complaints, "f", 1, 3000, "kind", PW_SEVERITY_ERROR, line, "x");
  const PwComplaint *complaint = pw_complaints_peek(complaints, 0);
  assert_true(strlen(complaint->excerpt) < 200);
  assert_int_equal(complaint->excerpt[3000 - complaint->excerpt_column], 'X');
  g_autofree char *text = pw_complaint_dup_text(complaint);
  const char *shown = strchr(text, '\n') + 1;
  const char *caret_line = strchr(shown, '\n') + 1;
  const glong x = g_utf8_pointer_to_offset(shown, strchr(shown, 'X'));
  assert_int_equal(strchr(caret_line, '^') - caret_line, x);
}

static void
past_the_limit_they_are_only_counted(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  for (int i = 0; i < PW_LIMIT_COMPLAINTS; i++)
    pw_complaints_add(complaints, "f", 1, 1, "kind", PW_SEVERITY_WARNING, NULL, "w");
  pw_complaints_add(complaints, "f", 1, 1, "kind", PW_SEVERITY_ERROR, NULL, "e");
  assert_int_equal(pw_complaints_n(complaints), PW_LIMIT_COMPLAINTS);
  assert_int_equal(pw_complaints_n_dropped(complaints), 1);
  assert_int_equal(pw_complaints_count(complaints, PW_SEVERITY_ERROR), 1);
  assert_int_equal(pw_complaints_count(complaints, PW_SEVERITY_NOTE), PW_LIMIT_COMPLAINTS + 1);
  g_autoptr(PwComplaints) all = pw_complaints_new();
  pw_complaints_add(all, "g", 1, 1, "kind", PW_SEVERITY_ERROR, NULL, "first");
  pw_complaints_move(all, complaints);
  assert_int_equal(pw_complaints_n(complaints), 0);
  assert_int_equal(pw_complaints_count(complaints, PW_SEVERITY_NOTE), 0);
  assert_int_equal(pw_complaints_n(all), PW_LIMIT_COMPLAINTS);
  assert_int_equal(pw_complaints_n_dropped(all), 2);
  assert_int_equal(pw_complaints_count(all, PW_SEVERITY_ERROR), 2);
  assert_int_equal(pw_complaints_count(all, PW_SEVERITY_NOTE), PW_LIMIT_COMPLAINTS + 2);
}

static void
sorted_by_place_and_else_as_found(void **state)
{
  (void)state;
  static const struct {
    const char *file;
    guint line, column;
    const char *says;
  } given[] = {{"b", 1, 1, "6"}, {"a", 2, 1, "4"}, {"a", 1, 9, "3"}, {"a", 2, 1, "5"},
               {"a", 1, 2, "1"}, {"a", 1, 2, "2"}, {"a", 0, 0, "0"}};
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  for (gsize i = 0; i < G_N_ELEMENTS(given); i++)
    pw_complaints_add(complaints, given[i].file, given[i].line, given[i].column, "kind",
                      PW_SEVERITY_ERROR, NULL, "%s", given[i].says);
  pw_complaints_sort(complaints);
  for (guint i = 0; i < pw_complaints_n(complaints); i++)
    assert_int_equal(pw_complaints_peek(complaints, i)->says[0], '0' + (int)i);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_caret_stands_under_the_column),
      cmocka_unit_test(a_place_may_be_missing),
      cmocka_unit_test(control_characters_are_not_shown),
      cmocka_unit_test(of_a_long_line_only_the_part_around_is_kept),
      cmocka_unit_test(past_the_limit_they_are_only_counted),
      cmocka_unit_test(sorted_by_place_and_else_as_found),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
