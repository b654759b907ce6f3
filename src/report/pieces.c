/* Pieces as the ledger, the receipt and the return sheet tell of them. */
#include "pieces.h"

#include "keys.h"

void
pw_piece_tell_what(const PwWriter *w, PwProse *prose, const PwModelPiece *piece)
{
  const PwPiece *text = piece->text;
  const PwModelPhoto *photo = piece->photo;
  pw_writer_add_text(w, prose, text->what);
  pw_writer_add_line(prose, PW_VOICE_SOFT,
                     pw_key_peek_word(w->words, "piece-kind", pw_piece_kind_name(text->kind)));
  pw_writer_add_labelled(w, prose, "pieces-at", text->at);
  pw_writer_add_labelled(w, prose, "pieces-found", text->found);
  if (pw_writer_plate_of(w, photo) == 0)
    return;
  pw_prose_add(prose, PW_VOICE_PLAIN, "\n");
  pw_writer_add_plates(w, prose, &photo, 1);
}

static void
tell_lacks(const PwWriter *w, PwProse *prose, guint lacks)
{
  for (guint bit = 0; bit < PW_N_LACKS; bit++) {
    PwLacks lack = (PwLacks)(1u << bit);
    if ((lacks & lack) == 0)
      continue;
    gboolean opens = (lack & PW_LACKS_WHAT_CLOSES) != 0;
    pw_writer_add_line(prose, opens ? PW_VOICE_STRONG : PW_VOICE_SOFT,
                       pw_key_peek_word(w->words, "piece-lacks", pw_lacks_name(lack)));
  }
}

void
pw_piece_tell_outcome(const PwWriter *w, PwProse *prose, const PwModelPiece *piece)
{
  const PwPiece *text = piece->text;
  g_autofree char *on = pw_writer_dup_date(w, &text->on);
  g_autofree char *agreed = piece->agreed != NULL && !pw_writer_is_public(w)
                                ? pw_writer_dup_date(w, &piece->agreed->on)
                                : NULL;
  tell_lacks(w, prose, piece->lacks & PW_LACKS_WHAT_CLOSES);
  if (text->outcome != PW_OUTCOME_NONE)
    pw_writer_add_line(prose, PW_VOICE_PLAIN,
                       pw_key_peek_word(w->words, "outcome", pw_outcome_name(text->outcome)));
  pw_writer_add_labelled(w, prose, "date", on);
  pw_writer_add_labelled(w, prose, "pieces-because", text->because);
  pw_writer_add_labelled(w, prose, "pieces-agreed", agreed);
  tell_lacks(w, prose, piece->lacks & ~(guint)PW_LACKS_WHAT_CLOSES);
}

void
pw_piece_tell_kept(const PwWriter *w, PwProse *prose, const PwPiece *piece)
{
  const gboolean is_none = piece->kept != NULL && g_ascii_strcasecmp(piece->kept, "none") == 0;
  const gboolean discarded = piece->outcome == PW_OUTCOME_DISCARDED;
  if (is_none || (pw_model_piece_is_kept(piece) && !discarded)) {
    pw_writer_add_text(w, prose, piece->kept);
  } else if (piece->kept != NULL) {
    g_autofree char *was = pw_words_dup_phrase(
        w->words, discarded ? "pieces-discarded" : "pieces-was-kept", "place", piece->kept, NULL);
    pw_writer_add_line(prose, PW_VOICE_SOFT, was);
  }
}

PwRow *
pw_piece_row(const PwWriter *w, PwBlock *table, const PwModelPiece *piece, gboolean anchored)
{
  PwRow *row = pw_table_row(table);
  row->is_open = piece->is_open;
  if (anchored)
    row->anchor = g_strdup_printf("piece-%s", piece->text->id);
  pw_writer_add_text(w, pw_row_cell(row, 0), piece->text->id);
  return row;
}

static gint
compare_numbers(gconstpointer a, gconstpointer b)
{
  const PwModelPiece *x = *(const PwModelPiece *const *)a, *y = *(const PwModelPiece *const *)b;
  return pw_model_compare_piece_ids(x->text->id, y->text->id);
}

GPtrArray *
pw_pieces_by_number(const PwWriter *w)
{
  GPtrArray *pieces = g_ptr_array_new();
  for (gsize i = 0; i < w->ledger->n_pieces; i++)
    g_ptr_array_add(pieces, &w->ledger->pieces[i]);
  g_ptr_array_sort(pieces, compare_numbers);
  return pieces;
}

/* "6 entries, 7 things" in a phrase: of the one are rows, of the other what to hold in hand. */
static char *
dup_counted(const PwWriter *w, const char *key, guint n_pieces, guint n_things)
{
  g_autofree char *pieces = pw_words_dup_count(w->words, "ledger-pieces", n_pieces);
  g_autofree char *things = pw_words_dup_count(w->words, "ledger-things", n_things);
  return pw_words_dup_phrase(w->words, key, "pieces", pieces, "things", things, NULL);
}

char *
pw_pieces_dup_count(const PwWriter *w)
{
  return dup_counted(w, "ledger-caption", (guint)w->ledger->n_pieces, w->ledger->count);
}

static guint
count_those(const PwWriter *w, const PwModelLedger *ledger, PwPieceFilter holds)
{
  guint n = 0;
  for (gsize i = 0; i < ledger->n_pieces; i++)
    n += holds(w, &ledger->pieces[i]) ? 1 : 0;
  return n;
}

guint
pw_pieces_count_left_out(const PwWriter *w, PwPieceFilter holds)
{
  if (w->ledger->n_withheld == 0)
    return 0;
  g_autoptr(PwModelLedger) all = pw_model_ledger_new(w->model, PW_FOR_STUDIO); /* to be counted */
  return count_those(w, all, holds) - count_those(w, w->ledger, holds);
}

void
pw_pieces_warn(PwWriter *w)
{
  if (w->ledger->n_open == 0)
    return;
  const guint things = w->ledger->count_open;
  g_autofree char *says = dup_counted(w, things == 1 ? "ledger-open-one" : "ledger-open-many",
                                      w->ledger->n_open, things);
  pw_doc_say(w->doc, PW_PARAGRAPH_CAUTION, PW_VOICE_STRONG, says);
}
