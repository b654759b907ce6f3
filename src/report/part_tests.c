/* Spot tests and samples: where, how, what came of it, whether matter of the volume was used up and
 * whether that was agreed to. */
#include "parts.h"

static const char *
consumed_word(const PwWriter *w, const PwTest *test)
{
  return test->consumed < 0 ? NULL
                            : pw_writer_word(w, test->consumed ? "tests-consumed" : "tests-spared");
}

static void
tell_matter(PwWriter *w, PwProse *prose, const PwTest *test)
{
  pw_writer_add_text(w, prose, consumed_word(w, test));
  if (pw_writer_is_public(w))
    return;
  pw_writer_add_labelled(w, prose, "tests-kept", test->kept);
  g_autofree char *agreed =
      pw_writer_is_by_then(w, &test->agreed) ? pw_writer_dup_date(w, &test->agreed) : NULL;
  if (agreed != NULL)
    pw_writer_add_labelled(w, prose, "tests-agreed", agreed);
  else if (test->consumed == 1)
    pw_writer_add_line(prose, PW_VOICE_STRONG, pw_writer_word(w, "tests-not-agreed"));
}

static void
tell_test(PwWriter *w, PwBlock *table, const PwTest *test)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *on = pw_writer_dup_date(w, &test->on);
  PwProse *how = pw_row_cell(row, 1);
  pw_writer_add_text(w, pw_row_cell(row, 0), on);
  pw_writer_add_text(w, how, test->place);
  if (test->method != NULL)
    pw_writer_add_line(how, PW_VOICE_SOFT, test->method);
  pw_writer_add_text(w, pw_row_cell(row, 2), test->result);
  tell_matter(w, pw_row_cell(row, 3), test);
}

void
pw_part_tests(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "tests-how"), PW_COLUMN_WORDS, 2},
      {pw_writer_word(w, "tests-result"), PW_COLUMN_WORDS, 2},
      {pw_writer_word(w, "tests-matter"), PW_COLUMN_WORDS, 1.4},
  };
  PwBlock *table = NULL;
  g_autoptr(GPtrArray) tests =
      pw_entries_by_day(w->volume->tests, w->volume->n_tests, sizeof(PwTest), offsetof(PwTest, on));
  for (guint i = 0; i < tests->len; i++) {
    const PwTest *test = tests->pdata[i];
    const char *texts[] = {test->place, test->method, test->result};
    if (!pw_writer_is_by_then(w, &test->on) ||
        !pw_writer_may_tell(w, test, texts, G_N_ELEMENTS(texts), NULL))
      continue;
    if (table == NULL) {
      pw_writer_heading(w, 1, "tests");
      table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
    }
    tell_test(w, table, test);
  }
}
