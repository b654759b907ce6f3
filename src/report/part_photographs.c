/* The photographs that the document rests on, with what tells one file from another: a condition
 * report those before treatment alone. The public is told when and with what they were taken, and
 * no file's name. */
#include "parts.h"

static char *
dup_camera(const PwPhotoFacts *facts)
{
  if (facts->make == NULL || facts->model == NULL || g_str_has_prefix(facts->model, facts->make))
    return g_strdup(facts->model != NULL ? facts->model : facts->make);
  return g_strdup_printf("%s %s", facts->make, facts->model);
}

static void
tell_taken(const PwWriter *w, PwProse *prose, const PwModelPhoto *photo)
{
  g_autofree char *taken = photo->taken != NULL ? pw_words_dup_date(w->words, photo->taken) : NULL;
  g_autofree char *camera = dup_camera(&photo->facts);
  pw_writer_add_text(w, prose, taken);
  if (camera != NULL)
    pw_writer_add_line(prose, PW_VOICE_SOFT, camera);
}

static void
tell_file(const PwWriter *w, PwProse *prose, const PwModelPhoto *photo)
{
  pw_prose_add(prose, PW_VOICE_PLAIN, photo->file);
  if (photo->sha256 != NULL)
    pw_writer_add_line(prose, PW_VOICE_SOFT, photo->sha256);
  else
    pw_writer_add_line(prose, PW_VOICE_SOFT, pw_writer_word(w, "photographs-no-checksum"));
}

static void
tell_photo(PwWriter *w, PwBlock *table, const PwModelPhoto *photo)
{
  PwRow *row = pw_table_row(table);
  PwProse *what = pw_row_cell(row, 0);
  const PwSidecar *sidecar = photo->sidecar;
  g_autofree char *title = pw_writer_dup_view(w, photo);
  pw_writer_add_text(w, what, title);
  pw_writer_add_line(what, PW_VOICE_SOFT, pw_writer_peek_stage(w, photo->stage));
  if (sidecar != NULL && sidecar->caption != NULL)
    pw_writer_add_line(what, PW_VOICE_SOFT, sidecar->caption);
  if (pw_writer_plate_of(w, photo) != 0)
    pw_prose_add(what, PW_VOICE_PLAIN, "\n");
  pw_writer_add_plates(w, what, &photo, 1);
  tell_taken(w, pw_row_cell(row, 1), photo);
  if (!pw_writer_is_public(w))
    tell_file(w, pw_row_cell(row, 2), photo);
}

void
pw_part_photographs(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "photographs-what"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "photographs-taken"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "photographs-file"), PW_COLUMN_WORDS, 1.2},
  };
  PwBlock *table = NULL;
  gsize n_columns = pw_writer_is_public(w) ? 2 : G_N_ELEMENTS(columns);
  pw_writer_heading(w, 1, "photographs");
  for (gsize i = 0; i < pw_model_n_photos(w->model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(w->model, i);
    if (!pw_writer_is_of_kind(w, photo) || !pw_writer_shows(w, photo))
      continue;
    if (table == NULL)
      table = pw_doc_table(w->doc, NULL, columns, n_columns);
    tell_photo(w, table, photo);
  }
  if (table == NULL)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "photographs-none");
}
