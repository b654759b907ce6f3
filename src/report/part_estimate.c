/* What it is estimated to cost. The sums are the model's; nobody but the studio and the owner sees
 * them. */
#include "parts.h"

static void
add_money(const PwWriter *w, PwProse *prose, const char *plain, const char *currency)
{
  if (plain == NULL)
    return;
  g_autofree char *money = pw_words_dup_money(w->words, plain, currency);
  pw_prose_add(prose, PW_VOICE_PLAIN, money);
}

static void
add_hours(const PwWriter *w, PwProse *prose, const char *plain)
{
  if (plain == NULL)
    return;
  const PwModelEstimate *estimate = pw_model_peek_estimate(w->model, w->audience);
  g_autofree char *hours = pw_writer_dup_hours(w, plain, estimate->hours);
  pw_prose_add(prose, PW_VOICE_PLAIN, hours);
}

/* A rate is set with the decimals of a sum, though it may have been written without. */
static void
add_rate(const PwWriter *w, PwProse *prose, const char *plain, const char *currency)
{
  if (plain == NULL)
    return;
  g_autofree char *padded = pw_decimal_dup_padded(plain, pw_currency_decimals(currency));
  add_money(w, prose, padded, NULL);
}

static void
tell_line(const PwWriter *w, PwBlock *table, const PwModelEstimateLine *line, const char *currency)
{
  PwRow *row = pw_table_row(table);
  pw_writer_add_text(w, pw_row_cell(row, 0), line->text->what);
  add_hours(w, pw_row_cell(row, 1), line->text->hours);
  add_rate(w, pw_row_cell(row, 2), line->text->rate, currency);
  add_money(w, pw_row_cell(row, 3), line->sum, NULL);
}

static void
tell_sum(const PwWriter *w, PwBlock *table, const char *label, const char *hours, const char *sum,
         const char *currency)
{
  PwRow *row = pw_table_row(table);
  row->is_sum = TRUE;
  pw_prose_add(pw_row_cell(row, 0), PW_VOICE_STRONG, label);
  add_hours(w, pw_row_cell(row, 1), hours);
  add_money(w, pw_row_cell(row, 3), sum, currency);
}

static void
tell_sums(const PwWriter *w, PwBlock *table, const PwModelEstimate *estimate)
{
  if (estimate->tax == NULL) {
    tell_sum(w, table, pw_writer_word(w, "estimate-total"), estimate->hours, estimate->total,
             estimate->currency);
    return;
  }
  g_autofree char *percent = pw_words_dup_number(w->words, w->volume->tax);
  g_autofree char *tax = pw_words_dup_phrase(w->words, "estimate-tax", "percent", percent, NULL);
  tell_sum(w, table, pw_writer_word(w, "estimate-subtotal"), estimate->hours, estimate->subtotal,
           NULL);
  tell_sum(w, table, tax, NULL, estimate->tax, NULL);
  tell_sum(w, table, pw_writer_word(w, "estimate-total"), NULL, estimate->total,
           estimate->currency);
}

void
pw_part_estimate(PwWriter *w)
{
  const PwModelEstimate *estimate = pw_model_peek_estimate(w->model, w->audience);
  pw_writer_heading(w, 1, "estimate");
  if (estimate == NULL) {
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "estimate-none");
    return;
  }
  const PwColumn columns[] = {
      {pw_writer_word(w, "estimate-what"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "hours"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "estimate-rate"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "estimate-sum"), PW_COLUMN_FIGURES, 0},
  };
  g_autofree char *caption =
      pw_words_dup_phrase(w->words, "estimate-caption", "currency", estimate->currency, NULL);
  PwBlock *table = pw_doc_table(w->doc, caption, columns, G_N_ELEMENTS(columns));
  for (gsize i = 0; i < estimate->n_lines; i++)
    tell_line(w, table, &estimate->lines[i], estimate->currency);
  tell_sums(w, table, estimate);
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "estimate-note");
}
