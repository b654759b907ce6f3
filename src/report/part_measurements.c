/* What was measured by hand, with what, and how sure it is. */
#include "parts.h"

#include <math.h>
#include <string.h>

/* With as many decimals as its tolerance has: 62.0, once read, is 62. */
static char *
dup_number(const PwWriter *w, const PwHandMeasure *measure)
{
  g_autofree char *plain = pw_format_double(measure->value);
  g_autofree char *doubt = isnan(measure->tolerance) ? NULL : pw_format_double(measure->tolerance);
  const char *point = doubt != NULL ? strchr(doubt, '.') : NULL;
  g_autofree char *padded = pw_decimal_dup_padded(plain, point ? (guint)strlen(point + 1) : 0);
  return pw_words_dup_number(w->words, padded);
}

static char *
dup_value(const PwWriter *w, const PwHandMeasure *measure)
{
  g_autofree char *value = dup_number(w, measure);
  if (isnan(measure->tolerance))
    return pw_words_dup_phrase(w->words, "measurements-unsure", "value", value, "unit",
                               measure->unit ? measure->unit : "", NULL);
  g_autofree char *tolerance = pw_writer_dup_number(w, measure->tolerance);
  return pw_words_dup_phrase(w->words, "measurements-value", "value", value, "tolerance", tolerance,
                             "unit", measure->unit ? measure->unit : "", NULL);
}

static void
tell_measure(PwWriter *w, PwBlock *table, const PwHandMeasure *measure)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *value = isnan(measure->value) ? NULL : dup_value(w, measure);
  pw_writer_add_text(w, pw_row_cell(row, 0), measure->what);
  pw_writer_add_text(w, pw_row_cell(row, 1), value);
  pw_writer_add_text(w, pw_row_cell(row, 2), measure->with);
  pw_prose_add(pw_row_cell(row, 3), PW_VOICE_PLAIN, pw_writer_peek_stage(w, measure->stage));
}

/* Of the examination, or of the treatment too. */
static gboolean
belongs(const PwWriter *w, const PwHandMeasure *measure)
{
  return w->kind == PW_REPORT_TREATMENT || measure->stage == PW_STAGE_BEFORE ||
         measure->stage == PW_STAGE_NONE;
}

void
pw_part_measurements(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "measurements-what"), PW_COLUMN_WORDS, 2},
      {pw_writer_word(w, "measurements-size"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "measurements-with"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "stage"), PW_COLUMN_NARROW, 0},
  };
  PwBlock *table = NULL;
  for (gsize i = 0; i < w->volume->n_measurements; i++) {
    const PwHandMeasure *measure = &w->volume->measurements[i];
    const char *texts[] = {measure->what, measure->unit, measure->with};
    if (!belongs(w, measure) || !pw_writer_may_tell(w, measure, texts, G_N_ELEMENTS(texts), NULL))
      continue;
    if (table == NULL) {
      pw_writer_heading(w, 1, "measurements");
      table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
    }
    tell_measure(w, table, measure);
  }
}
