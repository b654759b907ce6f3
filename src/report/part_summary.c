/* The body of the summary, held to what one page takes. */
#include <string.h>

#include "parts.h"
#include "pieces.h"

enum { MOST_PARTS = 4, MOST_STEPS = 3, MOST_CARE = 4, MOST_CHARACTERS = 110, MOST_OF_NAME = 36 };

/* Of a long text its beginning, up to the end of a word where one ends. */
static char *
dup_begun(const char *text, glong most)
{
  if (g_utf8_strlen(text, -1) <= most)
    return g_strdup(text);
  g_autofree char *begun = g_utf8_substring(text, 0, most);
  char *end = strrchr(begun, ' ');
  if (end != NULL)
    *end = '\0';
  return g_strconcat(begun, "\u2026", NULL);
}

static char *
dup_brief(const char *text)
{
  g_autofree char *sentence = pw_writer_dup_first_sentence(text);
  return dup_begun(sentence, MOST_CHARACTERS);
}

static void
tell_more(const PwWriter *w, guint n)
{
  if (n == 0)
    return;
  g_autofree char *says = pw_words_dup_count(w->words, "summary-more", n);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, says);
}

static void
add_count(PwRow *row, gsize column, guint n)
{
  g_autofree char *count = g_strdup_printf("%u", n);
  pw_prose_add(pw_row_cell(row, column), PW_VOICE_PLAIN, count);
}

static void
tell_part(const PwWriter *w, PwBlock *table, const PwModelPart *part)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *whole = pw_writer_dup_part(w, part->part, "part-none");
  g_autofree char *name = dup_begun(whole, MOST_OF_NAME);
  const char *severity = pw_writer_peek_severity(w, part->severity);
  pw_prose_add(pw_row_cell(row, 0), PW_VOICE_PLAIN, name);
  if (severity != NULL)
    pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, severity);
  add_count(row, 2, part->n_before);
  add_count(row, 3, part->n_after);
}

/* The strongest first, then where most is wrong; else as they come. */
static gint
compare_worst(gconstpointer a, gconstpointer b)
{
  const PwModelPart *x = *(const PwModelPart *const *)a, *y = *(const PwModelPart *const *)b;
  if (x->severity != y->severity)
    return x->severity > y->severity ? -1 : 1;
  return (x->n_before < y->n_before) - (x->n_before > y->n_before);
}

static GPtrArray *
worst_first(const PwModelSummary *summary)
{
  GPtrArray *parts = g_ptr_array_new();
  for (gsize i = 0; i < summary->n_parts; i++)
    if (summary->parts[i].n_before + summary->parts[i].n_after > 0)
      g_ptr_array_add(parts, &summary->parts[i]);
  g_ptr_array_sort(parts, compare_worst);
  return parts;
}

static void
tell_condition(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "summary-part"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "condition-severity"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "summary-before"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "summary-after"), PW_COLUMN_FIGURES, 0},
  };
  const PwModelSummary *summary = w->summary;
  pw_writer_heading(w, 2, "summary-condition");
  g_autoptr(GPtrArray) parts = worst_first(summary);
  if (parts->len == 0) {
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "condition-none");
    return;
  }
  PwBlock *table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < MIN(parts->len, MOST_PARTS); i++)
    tell_part(w, table, parts->pdata[i]);
  PwRow *sum = pw_table_row(table);
  sum->is_sum = TRUE;
  pw_prose_add(pw_row_cell(sum, 0), PW_VOICE_STRONG, pw_writer_word(w, "summary-sum"));
  add_count(sum, 2, summary->n_before);
  add_count(sum, 3, summary->n_after);
  tell_more(w, parts->len - MIN(parts->len, MOST_PARTS));
}

static void
tell_treatment(PwWriter *w)
{
  guint told = 0, more = 0;
  PwBlock *list = NULL;
  pw_writer_heading(w, 2, "summary-treatment");
  for (gsize i = 0; i < w->volume->n_treatment; i++) {
    const PwTreatment *step = &w->volume->treatment[i];
    const char *texts[] = {step->part, step->did};
    if (step->did == NULL || !pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts)))
      continue;
    more += told >= MOST_STEPS ? 1 : 0;
    if (told++ >= MOST_STEPS)
      continue;
    if (list == NULL)
      list = pw_doc_list(w->doc, FALSE);
    g_autofree char *did = dup_brief(step->did);
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, did);
  }
  if (list == NULL)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "treatment-none");
  tell_more(w, more);
}

static void
tell_pieces(PwWriter *w)
{
  if (w->ledger->n_pieces == 0)
    return;
  pw_writer_heading(w, 2, "summary-pieces");
  pw_pieces_warn(w);
  g_autofree char *says = pw_pieces_dup_count(w);
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
}

static void
tell_care(PwWriter *w)
{
  guint told = 0, more = 0;
  PwBlock *list = NULL;
  for (char **care = w->volume->care; care != NULL && *care != NULL; care++) {
    if (pw_writer_peek_shown(w, *care) == NULL)
      continue;
    more += told >= MOST_CARE ? 1 : 0;
    if (told++ >= MOST_CARE)
      continue;
    if (list == NULL) {
      pw_writer_heading(w, 2, "summary-care");
      list = pw_doc_list(w->doc, FALSE);
    }
    g_autofree char *brief = dup_brief(*care);
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, brief);
  }
  tell_more(w, more);
}

void
pw_part_summary(PwWriter *w)
{
  tell_condition(w);
  tell_treatment(w);
  tell_pieces(w);
  tell_care(w);
}
