/* The condition as it was found, part by part: the trade's word, what it means where it first
 * occurs, how many, how large, how severe, and what was noted there. What was observed or tested
 * stands first; interpretation and the owner's word stand below it as asides. */
#include "parts.h"

#include <platewright/measure.h>

enum { SIZE = 3, SEVERITY = 4, SHOWN = 5 }; /* columns */

/* The marks that a line is about, and what they say. */
typedef struct {
  GPtrArray *all;   /* const PwModelMark * */
  GPtrArray *marks; /* of them: one of each note */
} Found;

static const char *
term_of(const PwModelMark *mark)
{
  return mark->term != NULL ? mark->term->name : mark->text->term;
}

static gboolean
is_of(const PwModelMark *mark, const PwModelCondition *condition)
{
  return g_strcmp0(term_of(mark), condition->term) == 0 &&
         g_strcmp0(mark->text->part, condition->part) == 0;
}

static gboolean
is_told(const Found *found, const PwModelMark *mark)
{
  for (guint i = 0; i < found->marks->len; i++)
    if (g_strcmp0(((const PwModelMark *)found->marks->pdata[i])->text->note, mark->text->note) == 0)
      return TRUE;
  return FALSE;
}

static void
look_at_photo(const PwWriter *w, const PwModelCondition *condition, PwModelPhoto *photo,
              Found *found)
{
  for (gsize j = 0; j < photo->n_marks; j++) {
    const PwModelMark *mark = &photo->marks[j];
    if (!pw_model_mark_shown(w->model, mark, w->audience) || !is_of(mark, condition))
      continue;
    g_ptr_array_add(found->all, (gpointer)(gsize)mark);
    if (mark->text->note != NULL && !is_told(found, mark))
      g_ptr_array_add(found->marks, (gpointer)(gsize)mark);
  }
}

static void
find_marks(const PwWriter *w, const PwModelCondition *condition, Found *found)
{
  for (gsize i = 0; i < pw_model_n_photos(w->model); i++) {
    PwModelPhoto *photo = pw_model_peek_photo(w->model, i);
    if (photo->stage != PW_STAGE_AFTER && photo->stage != PW_STAGE_DURING &&
        pw_model_photo_shown(w->model, photo, w->audience))
      look_at_photo(w, condition, photo, found);
  }
}

static void
tell_notes(const PwWriter *w, PwProse *prose, const Found *found, gboolean asides)
{
  for (guint i = 0; i < found->marks->len; i++) {
    const PwMark *text = ((const PwModelMark *)found->marks->pdata[i])->text;
    if (pw_writer_is_aside(text->basis) == asides)
      pw_writer_add_known(w, prose, text->basis, text->note);
  }
}

static void
tell_what(PwWriter *w, PwProse *prose, const PwModelCondition *condition, const Found *found)
{
  g_autofree char *term = pw_writer_dup_term(w, condition->term);
  pw_prose_add(prose, PW_VOICE_STRONG, term);
  pw_writer_explain(w, prose, condition->term);
  tell_notes(w, prose, found, FALSE);
  tell_notes(w, prose, found, TRUE);
}

/* Area and length, and how many have neither for want of a scale. */
static void
tell_size(const PwWriter *w, PwProse *prose, const PwModelTotal *total)
{
  g_autofree char *area =
      total->has_area ? pw_writer_dup_size(w, &total->area_mm2, "mm\u00b2") : NULL;
  g_autofree char *length =
      total->has_length ? pw_writer_dup_size(w, &total->length_mm, "mm") : NULL;
  if (area != NULL)
    pw_writer_add_line(prose, PW_VOICE_PLAIN, area);
  if (length != NULL)
    pw_writer_add_line(prose, PW_VOICE_PLAIN, length);
  if (total->unsized > 0) {
    g_autofree char *unsized = pw_words_dup_count(w->words, "condition-unsized", total->unsized);
    pw_writer_add_line(prose, PW_VOICE_SOFT, unsized);
  }
}

/* The part stands in every row, so that a row that begins a page is understood. */
static void
tell_condition(PwWriter *w, PwBlock *table, const PwModelCondition *condition, gboolean is_first)
{
  Found found = {g_ptr_array_new(), g_ptr_array_new()};
  find_marks(w, condition, &found);
  PwRow *row = pw_table_row(table);
  g_autofree char *part = pw_writer_dup_part(w, condition->part, "part-none");
  g_autofree char *count = g_strdup_printf("%u", condition->before.count);
  const char *severity = pw_writer_peek_severity(w, condition->severity);
  pw_prose_add(pw_row_cell(row, 0), is_first ? PW_VOICE_PLAIN : PW_VOICE_SOFT, part);
  pw_writer_explain_part(w, pw_row_cell(row, 0), condition->part);
  tell_what(w, pw_row_cell(row, 1), condition, &found);
  pw_prose_add(pw_row_cell(row, 2), PW_VOICE_PLAIN, count);
  tell_size(w, pw_row_cell(row, SIZE), &condition->before);
  if (severity != NULL)
    pw_prose_add(pw_row_cell(row, SEVERITY), PW_VOICE_PLAIN, severity);
  pw_writer_add_plates_of_marks(w, pw_row_cell(row, SHOWN),
                                (const PwModelMark *const *)(gconstpointer)found.all->pdata,
                                found.all->len);
  g_ptr_array_unref(found.all);
  g_ptr_array_unref(found.marks);
}

static void
tell_part(PwWriter *w, PwBlock *table, const PwModelPart *part)
{
  gboolean is_first = TRUE;
  for (gsize i = 0; i < part->n_terms; i++) {
    if (part->terms[i].before.count == 0)
      continue;
    tell_condition(w, table, &part->terms[i], is_first);
    is_first = FALSE;
  }
}

static PwBlock *
begin_table(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "condition-part"), PW_COLUMN_WORDS, 1.6},
      {pw_writer_word(w, "condition-what"), PW_COLUMN_WORDS, 4},
      {pw_writer_word(w, "condition-count"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "condition-size"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "condition-severity"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "condition-where"), PW_COLUMN_WORDS, 0.8},
  };
  return pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
}

void
pw_part_condition(PwWriter *w)
{
  const char *key = w->kind == PW_REPORT_TREATMENT ? "condition-before" : "condition";
  pw_doc_heading(w->doc, 1, pw_writer_word(w, key), "condition");
  if (w->summary->n_before + w->summary->n_noted == 0) {
    pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, pw_writer_peek_no_damage(w));
    return;
  }
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "condition-note");
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "condition-counted");
  PwBlock *table = begin_table(w);
  for (gsize i = 0; i < w->summary->n_parts; i++)
    if (w->summary->parts[i].n_before + w->summary->parts[i].n_noted > 0)
      tell_part(w, table, &w->summary->parts[i]);
  pw_table_tidy(table, SHOWN);
  pw_table_tidy(table, SEVERITY);
  pw_table_tidy(table, SIZE);
}
