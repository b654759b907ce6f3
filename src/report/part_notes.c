/* The small print at the end: how sizes are got, what left the studio before, what the studio noted
 * for itself, what was left out. */
#include "keys.h"
#include "parts.h"

/* What was made good has a size, 0, and counts no place. */
static gboolean
is_sized(const PwModelTotal *total)
{
  return (total->has_area || total->has_length) && total->count > total->unsized;
}

/* Whether any size stands in the document; what stands after treatment is told in one kind. */
static gboolean
has_sizes(const PwWriter *w)
{
  const gboolean tells_after = w->kind == PW_REPORT_TREATMENT;
  for (gsize i = 0; i < w->summary->n_parts; i++)
    for (gsize j = 0; j < w->summary->parts[i].n_terms; j++) {
      const PwModelCondition *term = &w->summary->parts[i].terms[j];
      if (is_sized(&term->before) || (tells_after && is_sized(&term->after)))
        return TRUE;
    }
  return FALSE;
}

void
pw_part_how_sizes(PwWriter *w)
{
  const gboolean sized = has_sizes(w);
  if (w->summary->n_parts == 0)
    return;
  pw_writer_heading(w, 1, "how-sizes");
  if (sized) {
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "how-sizes-scale");
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "how-sizes-uncertainty");
  }
  if (sized && w->kind == PW_REPORT_TREATMENT)
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "how-sizes-change");
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "how-sizes-none");
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "how-sizes-basis");
}

/* ---- What left the studio ---------------------------------------------------------- */

/* The title of a kind of document; a document of another kind stands as it is written. */
static const char *
name_of_document(const PwWriter *w, const char *document)
{
  PwReportKind kind;
  return document != NULL && pw_report_parse(document, &kind)
             ? pw_key_peek_word(w->words, "title", document)
             : document;
}

static const char *
name_of_reader(const PwWriter *w, const char *to)
{
  PwAudience audience;
  return to != NULL && pw_audience_parse(to, &audience) ? pw_key_peek_word(w->words, "whom", to)
                                                        : to;
}

static void
tell_issued(const PwWriter *w, PwBlock *table, const PwModelIssued *issued)
{
  PwRow *row = pw_table_row(table);
  const PwIssued *text = issued->text;
  g_autofree char *on = pw_writer_dup_date(w, &text->on);
  g_autofree char *version = g_strdup_printf("%d", text->version);
  PwProse *stands = pw_row_cell(row, 4);
  pw_writer_add_text(w, pw_row_cell(row, 0), on);
  pw_writer_add_text(w, pw_row_cell(row, 1), name_of_document(w, text->document));
  pw_prose_add(pw_row_cell(row, 2), PW_VOICE_PLAIN, version);
  pw_writer_add_text(w, pw_row_cell(row, 3), name_of_reader(w, text->to));
  pw_prose_add(stands, issued->standing == PW_ISSUED_STANDS ? PW_VOICE_PLAIN : PW_VOICE_STRONG,
               pw_key_peek_word(w->words, "issued", pw_issued_standing_name(issued->standing)));
  if (text->sha256 != NULL)
    pw_writer_add_line(stands, PW_VOICE_SOFT, text->sha256);
}

/* Of itself a document tells which version it replaces; were its own versions listed, each would be
 * news to the next. */
static gboolean
is_of_itself(const PwWriter *w, const PwIssued *issued)
{
  return g_strcmp0(issued->document, pw_report_name(w->kind)) == 0 &&
         g_strcmp0(issued->to, pw_audience_name(w->audience)) == 0;
}

static guint
count_others(const PwWriter *w)
{
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_issued(w->model); i++)
    n += is_of_itself(w, pw_model_issued(w->model, i).text) ? 0 : 1;
  return n;
}

void
pw_part_issued(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "issued-document"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "issued-version"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "issued-to"), PW_COLUMN_WORDS, 0.8},
      {pw_writer_word(w, "issued-standing"), PW_COLUMN_WORDS, 2},
  };
  if (count_others(w) == 0)
    return;
  pw_writer_heading(w, 1, "issued");
  PwBlock *table = pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns));
  for (gsize i = 0; i < pw_model_n_issued(w->model); i++) {
    PwModelIssued issued = pw_model_issued(w->model, i);
    if (!is_of_itself(w, issued.text))
      tell_issued(w, table, &issued);
  }
}

/* ---- The studio's own -------------------------------------------------------------- */

void
pw_part_studio_notes(PwWriter *w)
{
  char **note = w->volume->notes;
  if (note == NULL || *note == NULL)
    return;
  pw_writer_heading(w, 1, "studio-notes");
  for (PwBlock *list = pw_doc_list(w->doc, FALSE); *note != NULL; note++)
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, *note);
}

/* ---- What was left out ------------------------------------------------------------- */

/* As items of a list, where it is one thing a sentence, in a summary small print. */
static void
tell_count(const PwWriter *w, PwBlock *list, const char *key, guint n)
{
  if (n == 0)
    return;
  g_autofree char *says = pw_words_dup_count(w->words, key, n);
  if (list != NULL)
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
  else if (w->kind == PW_REPORT_SUMMARY)
    pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, says);
  else
    pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
}

/* Photographs that this reader might see here and that were not asked for. */
static guint
count_not_asked_for(const PwWriter *w)
{
  guint n = 0;
  for (gsize i = 0; w->only != NULL && i < pw_model_n_photos(w->model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(w->model, i);
    n += pw_model_photo_shown(w->model, photo, w->audience) && pw_writer_is_of_kind(w, photo) &&
                 !pw_writer_shows(w, photo)
             ? 1
             : 0;
  }
  return n;
}

static guint
count_steps(const PwWriter *w)
{
  guint n = 0;
  for (gsize i = 0; i < w->volume->n_treatment; i++)
    n += g_hash_table_contains(w->kept_back, &w->volume->treatment[i]) ? 1 : 0;
  return n;
}

void
pw_part_left_out(PwWriter *w)
{
  guint steps = count_steps(w);
  guint not_asked_for = count_not_asked_for(w);
  guint kept_back = g_hash_table_size(w->kept_back) - steps + w->ledger->n_withheld;
  const guint counts[] = {w->doc->n_left_out, not_asked_for, steps, kept_back};
  guint n_kinds = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(counts); i++)
    n_kinds += counts[i] > 0 ? 1 : 0;
  if (n_kinds == 0)
    return;
  const gboolean is_brief = w->kind == PW_REPORT_SUMMARY; /* which is one page */
  pw_writer_heading(w, is_brief ? 2 : 1, "left-out");
  PwBlock *list = is_brief || n_kinds == 1 ? NULL : pw_doc_list(w->doc, FALSE);
  tell_count(w, list, "left-out-photographs", w->doc->n_left_out);
  tell_count(w, list, "left-out-not-asked-for", not_asked_for);
  tell_count(w, list, "left-out-steps", steps);
  tell_count(w, list, "left-out-entries", kept_back);
}
