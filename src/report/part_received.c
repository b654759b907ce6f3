/* The receipt: what came in, counted, and the return sheet of a volume that goes back: what is
 * handed over, counted again. Both are signed by both. */
#include "keys.h"
#include "parts.h"
#include "pieces.h"

/* The volume alone has no number: no column for numbers. */
static PwBlock *
begin_table(PwWriter *w, gboolean alone)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "pieces-id"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "pieces-what"), PW_COLUMN_WORDS, 1.5},
      {pw_writer_word(w, "pieces-count"), PW_COLUMN_FIGURES, 0},
  };
  const gsize first = alone ? 1 : 0;
  return pw_doc_table(w->doc, NULL, columns + first, G_N_ELEMENTS(columns) - first);
}

static void
add_count(PwRow *row, gsize column, guint n)
{
  g_autofree char *count = g_strdup_printf("%u", n);
  pw_prose_add(pw_row_cell(row, column), PW_VOICE_PLAIN, count);
}

static PwRow *
add_volume(const PwWriter *w, PwBlock *table, gsize what, gsize column)
{
  PwRow *row = pw_table_row(table);
  pw_prose_add(pw_row_cell(row, what), PW_VOICE_STRONG, pw_writer_word(w, "received-volume"));
  add_count(row, column, 1);
  return row;
}

static void
add_sum(const PwWriter *w, PwBlock *table, gsize what, gsize column, const char *key, guint n)
{
  PwRow *row = pw_table_row(table);
  row->is_sum = TRUE;
  pw_prose_add(pw_row_cell(row, what), PW_VOICE_STRONG, pw_writer_word(w, key));
  add_count(row, column, n);
}

static void
sign(PwWriter *w, const char *says)
{
  if (pw_writer_is_public(w))
    return;
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
  pw_writer_sign(w);
}

/* ---- What came in ------------------------------------------------------------------ */

static void
tell_photographs(PwWriter *w)
{
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_photos(w->model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(w->model, i);
    n += photo->stage == PW_STAGE_BEFORE && pw_writer_shows(w, photo) ? 1 : 0;
  }
  if (n == 0 && w->doc->n_left_out > 0)
    return;
  g_autofree char *says = pw_words_dup_count(w->words, "received-photographs", n);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, says);
}

/* What was taken away never came apart from the volume. */
static gboolean
is_of(const PwWriter *w, const PwModelPiece *piece, PwKnown known)
{
  return piece->text->kind != PW_PIECE_REMOVED &&
         pw_model_piece_known(w->model, piece->text, &w->volume->received) == known;
}

/* What would have been counted or listed. */
static gboolean
came_in(const PwWriter *w, const PwModelPiece *piece)
{
  return is_of(w, piece, PW_KNOWN_BY_THEN) || is_of(w, piece, PW_KNOWN_NOT_TOLD);
}

static guint
tell_pieces(const PwWriter *w, PwBlock *table, PwKnown known)
{
  guint n = 0;
  g_autoptr(GPtrArray) pieces = pw_pieces_by_number(w);
  for (guint i = 0; i < pieces->len; i++) {
    const PwModelPiece *piece = pieces->pdata[i];
    if (!is_of(w, piece, known))
      continue;
    PwRow *row = pw_piece_row(w, table, piece, FALSE);
    row->is_open = FALSE;
    pw_piece_tell_what(w, pw_row_cell(row, 1), piece);
    add_count(row, 2, (guint)piece->text->count);
    n += (guint)piece->text->count;
  }
  return n;
}

static guint
count_entries(const PwWriter *w, PwKnown known)
{
  guint n = 0;
  for (gsize i = 0; i < w->ledger->n_pieces; i++)
    n += is_of(w, &w->ledger->pieces[i], known) ? 1 : 0;
  return n;
}

/* What is not known to have come in is for the hand to count. */
static void
tell_not_counted(PwWriter *w)
{
  guint later = count_entries(w, PW_KNOWN_LATER);
  if (count_entries(w, PW_KNOWN_NOT_TOLD) > 0) {
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "received-not-told");
    tell_pieces(w, begin_table(w, FALSE), PW_KNOWN_NOT_TOLD);
  }
  if (later == 0)
    return;
  g_autofree char *says = pw_words_dup_count(w->words, "received-later", later);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, says);
}

void
pw_part_received(PwWriter *w)
{
  const guint n_left_out = pw_pieces_count_left_out(w, came_in);
  const gboolean alone = count_entries(w, PW_KNOWN_BY_THEN) == 0;
  const gsize what = alone ? 0 : 1, column = alone ? 1 : 2;
  pw_writer_heading(w, 1, "received");
  PwBlock *table = begin_table(w, alone);
  add_volume(w, table, what, column);
  const guint n = 1 + tell_pieces(w, table, PW_KNOWN_BY_THEN);
  add_sum(w, table, what, column, n_left_out > 0 ? "sum-of-told" : "received-sum", n);
  pw_writer_say_left_out(w, n_left_out);
  tell_not_counted(w);
  tell_photographs(w);
  /* what is not counted may stand on pages between the sum and the hand that signs for it */
  g_autofree char *says = pw_words_dup_count(w->words, "received-sign", n);
  sign(w, says);
}

/* ---- What goes back ---------------------------------------------------------------- */

/* Columns of the return sheet. Only what is handed over by itself is counted there: what stays in
 * the volume goes with it. */
enum { WHAT = 1, GETS = 3, HANDED = 4 };

/* Whether the owner gets it: what is housed may stay or go, and the record does not say. */
static const char *
word_of_handing(const PwPiece *piece)
{
  if (piece->outcome == PW_OUTCOME_RETURNED)
    return "returned-apart";
  if (piece->outcome == PW_OUTCOME_REATTACHED || piece->outcome == PW_OUTCOME_REPLACED)
    return "returned-within";
  return piece->outcome == PW_OUTCOME_DISCARDED ? "returned-none" : "returned-not-told";
}

static guint
tell_returned(const PwWriter *w, PwBlock *table, const PwModelPiece *piece)
{
  PwRow *row = pw_piece_row(w, table, piece, FALSE);
  PwProse *gets = pw_row_cell(row, GETS);
  const PwPiece *text = piece->text;
  g_autofree char *count = g_strdup_printf("%d", text->count);
  g_autofree char *handed = pw_words_dup_phrase(w->words, word_of_handing(text), "n", count, NULL);
  pw_writer_add_text(w, pw_row_cell(row, 1), text->what);
  pw_piece_tell_outcome(w, pw_row_cell(row, 2), piece);
  pw_prose_add(gets, PW_VOICE_PLAIN, handed);
  const gboolean tells_kept = pw_model_piece_is_kept(text) && !pw_writer_is_public(w);
  if (tells_kept && text->outcome == PW_OUTCOME_DISCARDED)
    pw_piece_tell_kept(w, gets, text);
  else if (tells_kept)
    pw_writer_add_labelled(w, gets, "pieces-kept", text->kept);
  if (text->outcome != PW_OUTCOME_RETURNED) {
    pw_prose_add(pw_row_cell(row, HANDED), PW_VOICE_SOFT, "\u2013");
    return 0;
  }
  add_count(row, HANDED, (guint)text->count);
  return (guint)text->count;
}

/* The volume alone has no number, and nothing has become of it. */
static PwBlock *
begin_returned(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "pieces-id"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "pieces-what"), PW_COLUMN_WORDS, 1.2},
      {pw_writer_word(w, "returned-how"), PW_COLUMN_WORDS, 1.2},
      {pw_writer_word(w, "returned-gets"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "returned-count"), PW_COLUMN_FIGURES, 0},
  };
  const PwColumn alone[] = {columns[WHAT], columns[HANDED]};
  return w->ledger->n_pieces > 0 ? pw_doc_table(w->doc, NULL, columns, G_N_ELEMENTS(columns))
                                 : pw_doc_table(w->doc, NULL, alone, G_N_ELEMENTS(alone));
}

/* The volume, each piece, and how many things that makes in the owner's hands. */
static void
count_returned(PwWriter *w)
{
  const gboolean alone = w->ledger->n_pieces == 0;
  const gsize what = alone ? 0 : WHAT, column = alone ? 1 : HANDED;
  guint n = 1;
  PwBlock *table = begin_returned(w);
  PwRow *volume = add_volume(w, table, what, column);
  if (!alone)
    pw_prose_add(pw_row_cell(volume, GETS), PW_VOICE_PLAIN, pw_writer_word(w, "returned-whole"));
  g_autoptr(GPtrArray) pieces = pw_pieces_by_number(w);
  for (guint i = 0; i < pieces->len; i++)
    n += tell_returned(w, table, pieces->pdata[i]);
  add_sum(w, table, what, column, w->ledger->n_withheld > 0 ? "sum-of-told" : "returned-sum", n);
  pw_writer_say_left_out(w, w->ledger->n_withheld);
}

void
pw_part_handed_back(PwWriter *w)
{
  const char *key = w->ledger->n_withheld > 0 ? "returned-on-alone" : "returned-on";
  if (!g_date_valid(&w->volume->returned))
    return;
  g_autofree char *on = pw_writer_dup_date(w, &w->volume->returned);
  g_autofree char *says = pw_words_dup_phrase(w->words, key, "date", on, NULL);
  if (!pw_writer_is_public(w)) /* a sheet of its own is signed */
    pw_doc_break(w->doc);
  pw_writer_heading(w, 1, "returned");
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
  pw_pieces_warn(w);
  count_returned(w);
  sign(w, pw_writer_word(w, "returned-sign"));
}
