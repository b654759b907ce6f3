/* Sizes before and after treatment, damage by damage, with their change, as `measure` tells them.
 */
#include "parts.h"

#include <platewright/pair.h>

#include <math.h>
#include <stdlib.h>

static void
tell(const PwWriter *w, PwProse *prose, const char *shown)
{
  if (shown != NULL)
    pw_prose_add(prose, PW_VOICE_PLAIN, shown);
  else
    pw_prose_add(prose, PW_VOICE_SOFT, pw_writer_word(w, "no-size-here"));
}

static void
tell_before(const PwWriter *w, PwProse *prose, const PwModelMark *before)
{
  g_autofree char *shown = pw_model_mark_dup_shown(before, w->words);
  tell(w, prose, shown);
}

static void
tell_after(const PwWriter *w, PwProse *prose, const PwModelChange *change)
{
  g_autofree char *shown = pw_model_change_dup_after(change, w->words);
  tell(w, prose, shown);
}

static void
tell_delta(const PwWriter *w, PwProse *prose, const PwModelChange *change)
{
  const gboolean is_count = change->before->kind == PW_KIND_POINT;
  if (is_count && change->count_delta == 0) {
    pw_prose_add(prose, PW_VOICE_SOFT, pw_writer_word(w, "unchanged"));
    return;
  }
  g_autofree char *delta = pw_model_change_dup_shown(change, w->words);
  if (delta == NULL)
    return;
  pw_prose_add(prose, PW_VOICE_PLAIN, delta);
  if (!is_count && !pw_model_change_is_measurable(change))
    pw_writer_add_line(prose, PW_VOICE_SOFT, pw_writer_word(w, "no-change"));
}

static void
tell_colour(const PwWriter *w, PwProse *prose, double difference)
{
  g_autofree char *plain = pw_format_fixed(difference, 1);
  g_autofree char *figure = pw_words_dup_number(w->words, plain);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "changes-colour", "difference", figure, NULL);
  pw_writer_add_line(prose, PW_VOICE_SOFT, says);
}

/* Where both stages say how severe it is: of what has no size, all that can be told of a change. */
static void
tell_severity(const PwWriter *w, PwProse *prose, const PwModelChange *change)
{
  const int before = change->before->text->severity;
  int after = 0;
  for (gsize i = 0; i < change->n_after; i++)
    after = MAX(after, change->after[i]->text->severity);
  const char *was = pw_writer_peek_severity(w, before);
  const char *is = pw_writer_peek_severity(w, after);
  if (was == NULL || is == NULL || before == after || change->gone)
    return;
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "changes-severity", "before", was, "after", is, NULL);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, says);
}

static void
tell_change(const PwWriter *w, PwBlock *table, const PwModelChange *change, double colour)
{
  PwRow *row = pw_table_row(table);
  pw_writer_add_mark(w, pw_row_cell(row, 0), change->before);
  tell_before(w, pw_row_cell(row, 1), change->before);
  tell_after(w, pw_row_cell(row, 2), change);
  tell_delta(w, pw_row_cell(row, 3), change);
  tell_severity(w, pw_row_cell(row, 3), change);
  if (!isnan(colour))
    tell_colour(w, pw_row_cell(row, 3), colour);
}

/* Both photographs and every mark of it, or the change would tell what one of them shows. */
static gboolean
is_shown(const PwWriter *w, const PwModelChange *change)
{
  const PwModelMark *before = change->before;
  gboolean shown = pw_model_mark_shown(w->model, before, w->audience) &&
                   pw_model_photo_shown(w->model, before->photo, w->audience);
  for (gsize i = 0; shown && i < change->n_after; i++)
    shown = pw_model_mark_shown(w->model, change->after[i], w->audience) &&
            pw_model_photo_shown(w->model, change->after[i]->photo, w->audience);
  return shown;
}

/* "1 × inscription (leaf); 2 × stain (cloth side)". */
static void
add_unfollowed(const PwWriter *w, GString *all, const PwModelCondition *condition)
{
  const guint n = condition->before.count - condition->n_followed;
  const char *term = pw_writer_peek_term(w, condition->term);
  g_autofree char *both =
      condition->part == NULL
          ? g_strdup(term)
          : pw_words_dup_phrase(w->words, "in-short-damage", "term", term, "part",
                                pw_words_peek_part(w->words, condition->part), NULL);
  g_string_append_printf(all, "%s%u\u00a0\u00d7\u00a0%s", all->len > 0 ? "; " : "", n, both);
}

static void
tell_unfollowed(const PwWriter *w)
{
  guint n = 0;
  g_autoptr(GString) which = g_string_new(NULL);
  for (gsize i = 0; i < w->summary->n_parts; i++)
    for (gsize j = 0; j < w->summary->parts[i].n_terms; j++) {
      const PwModelCondition *condition = &w->summary->parts[i].terms[j];
      if (condition->before.count == condition->n_followed)
        continue;
      n += condition->before.count - condition->n_followed;
      add_unfollowed(w, which, condition);
    }
  if (n == 0)
    return;
  g_autofree char *says = pw_words_dup_count(w->words, "changes-unfollowed", n);
  g_autofree char *whole =
      pw_words_dup_phrase(w->words, "labelled", "label", says, "text", which->str, NULL);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, whole);
}

void
pw_part_changes(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "changes-what"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "changes-before"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "changes-after"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "changes-change"), PW_COLUMN_FIGURES, 0},
  };
  g_autofree double *colours = pw_model_dup_colour_changes(w->model, NULL);
  gboolean tells_colour = FALSE, left_out = FALSE;
  PwBlock *table = NULL;
  pw_writer_heading(w, 1, "changes");
  for (gsize i = 0; i < pw_model_n_changes(w->model); i++) {
    const PwModelChange *change = pw_model_peek_change(w->model, i);
    if (!is_shown(w, change)) {
      left_out = TRUE;
      continue;
    }
    if (table == NULL)
      table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
    tell_change(w, table, change, colours[i]);
    tells_colour = tells_colour || !isnan(colours[i]);
  }
  if (table == NULL)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT,
                  left_out ? "changes-left-out" : "changes-none");
  if (tells_colour)
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "changes-colour-note");
  tell_unfollowed(w);
}
