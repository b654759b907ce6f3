/* What was done: by date, by whom, with what, in how many hours. */
#include "parts.h"

#include <math.h>

static void
tell_plates(const PwWriter *w, PwProse *prose, char *const *files)
{
  g_autoptr(GPtrArray) photos = g_ptr_array_new();
  for (; files != NULL && *files != NULL; files++) {
    PwModelPhoto *photo = pw_model_find_photo(w->model, *files);
    if (pw_writer_plate_of(w, photo) != 0)
      g_ptr_array_add(photos, photo);
  }
  if (photos->len == 0)
    return;
  pw_prose_add(prose, PW_VOICE_PLAIN, "\n");
  pw_writer_add_plates(w, prose, (const PwModelPhoto *const *)(gconstpointer)photos->pdata,
                       photos->len);
}

/* A step that was not agreed to on its day is told as that to whoever had to agree. */
static void
tell_agreed(const PwWriter *w, PwProse *prose, const PwTreatment *step)
{
  static const char *const keys[] = {
      [PW_STEP_AGREED] = NULL,
      [PW_STEP_NOT_AGREED] = "treatment-not-agreed",
      [PW_STEP_EXCEPTED] = "treatment-excepted",
  };
  const PwStepAgreed agreed = pw_model_step_agreed(w->model, step);
  const char *key = agreed == PW_STEP_NOT_AGREED && !g_date_valid(&step->on)
                        ? "treatment-not-agreed-undated"
                        : keys[agreed];
  if (key != NULL && !pw_writer_is_public(w))
    pw_writer_add_line(prose, PW_VOICE_STRONG, pw_writer_word(w, key));
}

static void
tell_step(PwWriter *w, PwBlock *table, const PwTreatment *step)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *on = pw_writer_dup_date(w, &step->on);
  g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
  PwProse *what = pw_row_cell(row, 1);
  pw_writer_add_text(w, pw_row_cell(row, 0), on);
  pw_prose_add(what, PW_VOICE_STRONG, part);
  if (step->did != NULL)
    pw_writer_add_line(what, PW_VOICE_PLAIN, step->did);
  pw_writer_add_labelled(w, what, "treatment-materials", step->materials);
  tell_agreed(w, what, step);
  tell_plates(w, what, step->photos);
  if (pw_writer_is_public(w))
    return;
  g_autofree char *plain = isnan(step->hours) ? NULL : pw_format_double(step->hours);
  const char *all = pw_model_peek_hours(w->model)->hours;
  g_autofree char *hours = plain != NULL ? pw_writer_dup_hours(w, plain, all) : NULL;
  pw_writer_add_text(w, pw_row_cell(row, 2), step->by);
  pw_writer_add_text(w, pw_row_cell(row, 3), hours);
}

static void
tell_hours(const PwWriter *w, PwBlock *table)
{
  const PwModelHours *all = pw_model_peek_hours(w->model);
  if (pw_writer_is_public(w) || all->hours == NULL)
    return;
  PwRow *row = pw_table_row(table);
  g_autofree char *hours = pw_writer_dup_hours(w, all->hours, all->hours);
  row->is_sum = TRUE;
  pw_prose_add(pw_row_cell(row, 1), PW_VOICE_STRONG, pw_writer_word(w, "hours-in-all"));
  if (all->n_unsaid > 0) {
    g_autofree char *unsaid = pw_words_dup_count(w->words, "hours-unsaid", all->n_unsaid);
    pw_writer_add_line(pw_row_cell(row, 1), PW_VOICE_SOFT, unsaid);
  }
  pw_prose_add(pw_row_cell(row, 3), PW_VOICE_STRONG, hours);
}

static gboolean
may_tell(PwWriter *w, const PwTreatment *step)
{
  const char *texts[] = {step->part, step->did, step->materials};
  return pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts));
}

static PwBlock *
begin_table(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "treatment-what"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "treatment-by"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "hours"), PW_COLUMN_FIGURES, 0},
  };
  return pw_doc_table(w->doc, NULL, columns, pw_writer_is_public(w) ? 2 : G_N_ELEMENTS(columns));
}

void
pw_part_treatment(PwWriter *w)
{
  guint n_left_out = 0;
  PwBlock *table = NULL;
  g_autoptr(GPtrArray) steps = pw_writer_steps_by_day(w);
  pw_writer_heading(w, 1, "treatment");
  for (guint i = 0; i < steps->len; i++) {
    if (!may_tell(w, steps->pdata[i])) {
      n_left_out++;
      continue;
    }
    if (table == NULL)
      table = begin_table(w);
    tell_step(w, table, steps->pdata[i]);
  }
  if (table == NULL)
    pw_writer_say_none(w, n_left_out, "treatment-none");
  else
    tell_hours(w, table);
}

/* ---- What differs ------------------------------------------------------------------ */

static void
tell_difference(const PwWriter *w, PwBlock *table, const PwTreatment *step)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *on = pw_writer_dup_date(w, &step->on);
  g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
  pw_writer_add_text(w, pw_row_cell(row, 0), on);
  pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, part);
  pw_prose_add(pw_row_cell(row, 2), PW_VOICE_PLAIN, step->differs);
}

/* Where nothing was proposed, or nothing done, there is nothing that could differ. */
static gboolean
may_differ(const PwVolume *volume)
{
  gboolean differs = volume->n_proposal > 0 && volume->n_treatment > 0;
  for (gsize i = 0; i < volume->n_treatment; i++)
    differs = differs || volume->treatment[i].differs != NULL;
  return differs;
}

void
pw_part_differs(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "differs-where"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "differs-how"), PW_COLUMN_WORDS, 3},
  };
  guint n_left_out = 0;
  PwBlock *table = NULL;
  if (!may_differ(w->volume))
    return;
  g_autoptr(GPtrArray) steps = pw_writer_steps_by_day(w);
  pw_writer_heading(w, 1, "differs");
  for (guint i = 0; i < steps->len; i++) {
    const PwTreatment *step = steps->pdata[i];
    const char *texts[] = {step->part, step->differs};
    if (step->differs == NULL)
      continue;
    if (!pw_writer_may_tell_step(w, step, texts, G_N_ELEMENTS(texts))) {
      n_left_out++;
      continue;
    }
    if (table == NULL)
      table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
    tell_difference(w, table, step);
  }
  if (table == NULL)
    pw_writer_say_none(w, n_left_out, "differs-none");
}
