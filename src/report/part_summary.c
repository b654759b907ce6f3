/* The body of the summary, held to what one page takes. */
#include <string.h>

#include "parts.h"
#include "pieces.h"

enum { MOST_PARTS = 3, MOST_STEPS = 3, MOST_CARE = 4, MOST_CHARACTERS = 110, MOST_OF_NAME = 36 };

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

/* That nothing was recorded after treatment must not be read as nothing left: of how many places
 * that is so stands beside it. */
static void
add_places(PwRow *row, guint n_before, guint n_followed, guint n_after)
{
  const guint untold = n_before - n_followed;
  add_count(row, 2, n_before);
  if (pw_model_after_is_told(n_before, n_followed, n_after))
    add_count(row, 3, n_after);
  else
    pw_prose_add(pw_row_cell(row, 3), PW_VOICE_SOFT, "\u2013");
  if (untold > 0)
    add_count(row, 4, untold);
}

static void
tell_row(const PwWriter *w, PwBlock *table, const char *name, const PwModelPart *part)
{
  PwRow *row = pw_table_row(table);
  const char *severity = pw_writer_peek_severity(w, part->severity);
  pw_prose_add(pw_row_cell(row, 0), PW_VOICE_PLAIN, name);
  if (severity != NULL)
    pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, severity);
  add_places(row, part->n_before, part->n_followed, part->n_after);
}

static void
tell_part(const PwWriter *w, PwBlock *table, const PwModelPart *part)
{
  g_autofree char *whole = pw_writer_dup_part(w, part->part, "part-none");
  g_autofree char *name = dup_begun(whole, MOST_OF_NAME);
  tell_row(w, table, name, part);
}

/* Those that have no row of their own in one, so that the rows add up to the sum. */
static void
tell_other_parts(const PwWriter *w, PwBlock *table, const GPtrArray *parts, guint first)
{
  PwModelPart others = {0};
  if (first >= parts->len)
    return;
  for (guint i = first; i < parts->len; i++) {
    const PwModelPart *part = parts->pdata[i];
    others.severity = MAX(others.severity, part->severity);
    others.n_before += part->n_before;
    others.n_after += part->n_after;
    others.n_followed += part->n_followed;
  }
  g_autofree char *says = pw_words_dup_count(w->words, "summary-more-parts", parts->len - first);
  tell_row(w, table, says, &others);
}

static void
tell_sum(const PwWriter *w, PwBlock *table)
{
  const PwModelSummary *summary = w->summary;
  PwRow *sum = pw_table_row(table);
  sum->is_sum = TRUE;
  pw_prose_add(pw_row_cell(sum, 0), PW_VOICE_STRONG, pw_writer_word(w, "summary-sum"));
  add_places(sum, summary->n_before, summary->n_followed, summary->n_after);
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

/* A damage that is named otherwise after treatment may be followed in the whole and not in a part.
 */
static gboolean
has_untold(const PwModelSummary *summary)
{
  gboolean any = summary->n_followed < summary->n_before;
  for (gsize i = 0; i < summary->n_parts; i++)
    any = any || summary->parts[i].n_followed < summary->parts[i].n_before;
  return any;
}

static void
tell_condition(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "summary-part"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "summary-severity"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "summary-before"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "summary-after"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "summary-untold"), PW_COLUMN_FIGURES, 0},
  };
  const gsize n_columns = G_N_ELEMENTS(columns) - (has_untold(w->summary) ? 0 : 1);
  pw_writer_heading(w, 2, "summary-condition");
  g_autoptr(GPtrArray) parts = worst_first(w->summary);
  if (parts->len == 0) {
    pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, pw_writer_peek_no_damage(w));
    return;
  }
  PwBlock *table = pw_doc_table(w->doc, NULL, columns, n_columns);
  for (guint i = 0; i < MIN(parts->len, MOST_PARTS); i++)
    tell_part(w, table, parts->pdata[i]);
  tell_other_parts(w, table, parts, MOST_PARTS);
  tell_sum(w, table);
  pw_table_tidy(table, 1); /* how severe */
}

static void
tell_treatment(PwWriter *w)
{
  guint told = 0, more = 0, n_left_out = 0;
  PwBlock *list = NULL;
  pw_writer_heading(w, 2, "summary-treatment");
  g_autoptr(GPtrArray) steps = pw_writer_steps_by_day(w);
  for (guint i = 0; i < steps->len; i++) {
    const PwTreatment *step = steps->pdata[i];
    const char *texts[] = {step->part, step->did};
    if (step->did == NULL)
      continue;
    if (!pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts))) {
      n_left_out++;
      continue;
    }
    more += told >= MOST_STEPS ? 1 : 0;
    if (told++ >= MOST_STEPS)
      continue;
    if (list == NULL)
      list = pw_doc_list(w->doc, FALSE);
    g_autofree char *did = dup_brief(step->did);
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, did);
  }
  if (list == NULL)
    pw_writer_say_none(w, n_left_out, "treatment-none");
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
