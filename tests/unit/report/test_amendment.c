/* What has changed between two versions of a document. */
#include "report/amendment.h"
#include "report/doc.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static char *
told_of(const GArray *parts)
{
  GString *all = g_string_new(NULL);
  for (guint i = 0; i < parts->len; i++) {
    const PwChangedPart *part = &g_array_index(parts, PwChangedPart, i);
    g_string_append_printf(all, "%c%s;", "~+-"[part->change], part -> heading);
  }
  return g_string_free(all, FALSE);
}

static char *
told(const char *before, const char *after)
{
  g_autoptr(GArray) parts = pw_amendment_compare(before, after);
  return told_of(parts);
}

static void
parts_are_compared_one_by_one(void **state)
{
  (void)state;
  static const struct {
    const char *before, *after, *told;
  } cases[] = {
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# A\none\n# B\ntwo\n", ""},
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# A\none\n# B\nthree\n", "~B;"},
      {"T\nS\n# A\none\n", "T\nS\n# A\none\n# B\ntwo\n", "+B;"},
      {"T\nS\n# A\none\n# B\ntwo\n", "T\nS\n# B\ntwo\n", "-A;"},
      /* a heading below belongs to the part above it */
      {"T\nS\n# A\n## x\none\n", "T\nS\n# A\n## y\none\n", "~A;"},
      /* what stands before the first heading says which version it is, and no more */
      {"T\nS\nlead\n# A\none\n", "U\nS\nother\n# A\none\n", ""},
      {"", "T\nS\n# A\n", "+A;"},
      {"T\nS\n# A\n", "", "-A;"},
      {"\n# A", "\n# A\n", ""},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *got = told(cases[i].before, cases[i].after);
    assert_string_equal(got, cases[i].told);
  }
}

/* Steps of one part may bear one heading twice: each is held against its own. */
static void
what_stands_in_one_part_is_compared_heading_by_heading(void **state)
{
  (void)state;
  static const char before[] = "T\n# A\n## x\none\n# B\n## x\na: 1\n## y\nb: 1\n## x\nc: 1\n";
  static const char after[] = "T\n# B\n## x\na: 1\n## y\nb: 2\n## x\nc: 2\n## x\nd: 1\n# C\n## z\n";
  g_autoptr(GArray) parts = pw_amendment_compare_within(before, after, "B");
  g_autofree char *got = told_of(parts);
  assert_string_equal(got, "~y;~x;+x;");
  g_autoptr(GArray) back = pw_amendment_compare_within(after, before, "B");
  g_autofree char *got_back = told_of(back);
  assert_string_equal(got_back, "~y;~x;-x;");
  g_autoptr(GArray) none = pw_amendment_compare_within(before, after, "D");
  assert_int_equal(none->len, 0);
}

/* "label=now<before;" of the first part, "+" at the end where others differ too. */
static char *
lines_told(const char *before, const char *after)
{
  g_autofree char *old = g_strconcat("T\nS\n# A\n", before, NULL);
  g_autofree char *new = g_strconcat("T\nS\n# A\n", after, NULL);
  g_autoptr(GArray) parts = pw_amendment_compare(old, new);
  const PwChangedPart *part = &g_array_index(parts, PwChangedPart, 0);
  GString *all = g_string_new(NULL);
  for (guint i = 0; i < part->lines->len; i++) {
    const PwChangedLine *line = part->lines->pdata[i];
    g_string_append_printf(all, "%s=%s<%s;", line->label, line->now ? line->now : "",
                           line->before ? line->before : "");
  }
  g_string_append(all, part->is_more ? "+" : "");
  return g_string_free(all, FALSE);
}

static void
short_lines_that_differ_are_told(void **state)
{
  (void)state;
  static const struct {
    const char *before, *after, *told;
  } cases[] = {
      {"All | 3.5 | 1.00", "All | 3.5 | 2.00", "All=2.00<1.00;"},
      {"All | 1.00", "All | 3.5 | 2.00", "All=3.5, 2.00<1.00;"},
      {"Maker: A\nDate: B", "Maker: A\nDate: C", "Date=C<B;"},
      {"Cost: 1 EUR See: E", "Cost: 2 EUR See: E", "Cost=2<1;"},
      {"Cost: 1 EUR", "Cost: 2 EUR", "Cost=2 EUR<1 EUR;"},
      {"Cost: a b c", "Cost: b c", "Cost=b c<a b c;"},
      {"a: 1\na: 1", "a: 1", "a=<1;"},
      {"a: 1", "a: 1\na: 1", "a=1<;"},
      {"a: 1\nb: 2", "b: 2\na: 1", ""},
      {"Prose that says this.", "Prose that says that.", "+"},
      {"- Maker: A", "- Maker: B", "+"},
      {"x: 0123456789012345678901234567890123456789012345678901234567890", "x: 1", "+"},
      {"x: 012345678901234567890123456789012345678901234567890123456789", "x: 1",
       "x=1<012345678901234567890123456789012345678901234567890123456789;"},
      {"a: 1\nb: 1\nc: 1\nd: 1\ne: 1\nf: 1", "a: 2\nb: 2\nc: 2\nd: 2\ne: 2\nf: 2",
       "a=2<1;b=2<1;c=2<1;d=2<1;e=2<1;+"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *got = lines_told(cases[i].before, cases[i].after);
    assert_string_equal(got, cases[i].told);
  }
}

/* Two steps of one day, two pieces of one name: the words tell which has become which; where they
 * do not, nothing is paired. */
static void
lines_about_one_thing_are_paired_by_what_they_say(void **state)
{
  (void)state;
  static const struct {
    const char *before, *after, *told;
  } cases[] = {
      /* one goes, another is changed */
      {"d | spine washed twice | 1 h\nd | leaf mended with paste | 2 h",
       "d | leaf mended with paste | 3 h", "d=3 h<2 h;d=<spine washed twice, 1 h;"},
      /* one comes before it */
      {"d | leaf mended with paste | 2 h",
       "d | spine washed twice | 1 h\n"
       "d | leaf mended with paste | 3 h",
       "d=spine washed twice, 1 h<;d=3 h<2 h;"},
      /* both change, and change places */
      {"d | spine washed twice | 1 h\nd | leaf mended with paste | 2 h",
       "d | leaf mended with paste | 3 h\nd | spine washed twice | 4 h", "d=3 h<2 h;d=4 h<1 h;"},
      /* one that stands as it did is about the same, too */
      {"d | spine washed | 1 h\nd | leaf mended with paste | 2 h",
       "d | spine washed | 1 h\nd | new endleaf sewn in | 2 h",
       "d=new endleaf sewn in, 2 h<;d=<leaf mended with paste, 2 h;"},
      /* nothing tells the two apart */
      {"leaf | tray 1 | housed dry", "leaf | tray 2 | housed dry\nleaf | tray 3 | housed dry",
       "leaf=tray 2, housed dry<;leaf=tray 3, housed dry<;leaf=<tray 1, housed dry;"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *got = lines_told(cases[i].before, cases[i].after);
    assert_string_equal(got, cases[i].told);
  }
}

/* A remark that begins as headings do stays where it stands. */
static void
words_of_the_record_are_no_heading(void **state)
{
  (void)state;
  const PwColumn columns[] = {{"What", PW_COLUMN_WORDS, 1}, {"Where", PW_COLUMN_WORDS, 1}};
  g_autofree char *texts[2] = {NULL, NULL};
  for (int i = 0; i < 2; i++) {
    g_autoptr(PwDoc) doc = pw_doc_new("Treatment", "en", PW_FOR_OWNER);
    pw_doc_heading(doc, 1, "Notes", "notes");
    pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "# B\n# C");
    pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, i == 0 ? "one" : "two");
    PwRow *row = pw_table_row(pw_doc_table(doc, NULL, columns, 2));
    pw_prose_add(pw_row_cell(row, 0), PW_VOICE_PLAIN, "# 7");
    pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, i == 0 ? "tray 1" : "tray 2");
    texts[i] = pw_doc_dup_text(doc);
  }
  g_autoptr(GArray) parts = pw_amendment_compare(texts[0], texts[1]);
  g_autofree char *got = told_of(parts);
  assert_string_equal(got, "~Notes;");
  const PwChangedPart *part = &g_array_index(parts, PwChangedPart, 0);
  assert_int_equal(part->lines->len, 1);
  assert_string_equal(((const PwChangedLine *)part->lines->pdata[0])->label, "# 7");
}

static void
the_language_stands_before_the_first_heading(void **state)
{
  (void)state;
  g_autofree char *de = pw_amendment_dup_language("T\nS\nlanguage: de\n# A\nlanguage: en\n");
  assert_string_equal(de, "de");
  assert_null(pw_amendment_dup_language("T\nS\n# A\nlanguage: en\n"));
  assert_null(pw_amendment_dup_language(""));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(parts_are_compared_one_by_one),
      cmocka_unit_test(what_stands_in_one_part_is_compared_heading_by_heading),
      cmocka_unit_test(short_lines_that_differ_are_told),
      cmocka_unit_test(lines_about_one_thing_are_paired_by_what_they_say),
      cmocka_unit_test(words_of_the_record_are_no_heading),
      cmocka_unit_test(the_language_stands_before_the_first_heading)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
