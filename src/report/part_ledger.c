/* The ledger of pieces: parts that came off, things found inside, matter removed; open ones first.
 */
#include "keys.h"
#include "parts.h"
#include "pieces.h"

static void
tell_piece(const PwWriter *w, PwBlock *table, const PwModelPiece *piece)
{
  PwRow *row = pw_piece_row(w, table, piece, TRUE);
  g_autofree char *count = g_strdup_printf("%d", piece->text->count);
  gsize column = 1;
  pw_piece_tell_what(w, pw_row_cell(row, column++), piece);
  pw_prose_add(pw_row_cell(row, column++), PW_VOICE_PLAIN, count);
  if (!pw_writer_is_public(w))
    pw_piece_tell_kept(w, pw_row_cell(row, column++), piece->text);
  pw_piece_tell_outcome(w, pw_row_cell(row, column), piece);
}

/* Where a thing is kept is the studio's and the owner's business. */
static PwBlock *
begin_table(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "pieces-id"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "pieces-what"), PW_COLUMN_WORDS, 1.5},
      {pw_writer_word(w, "pieces-count"), PW_COLUMN_FIGURES, 0},
      {pw_writer_word(w, "pieces-kept"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "pieces-outcome"), PW_COLUMN_WORDS, 1.5},
  };
  PwColumn for_public[] = {columns[0], columns[1], columns[2], columns[4]};
  g_autofree char *caption = pw_pieces_dup_count(w);
  return pw_writer_is_public(w)
             ? pw_doc_table(w->doc, caption, for_public, G_N_ELEMENTS(for_public))
             : pw_doc_table(w->doc, caption, columns, G_N_ELEMENTS(columns));
}

void
pw_part_ledger(PwWriter *w)
{
  pw_writer_heading(w, 1, "ledger");
  if (w->ledger->n_pieces == 0) {
    pw_writer_say_none(w, w->ledger->n_withheld, "ledger-none");
    return;
  }
  pw_pieces_warn(w);
  PwBlock *table = begin_table(w);
  for (gsize i = 0; i < w->ledger->n_pieces; i++)
    tell_piece(w, table, &w->ledger->pieces[i]);
  pw_writer_say_left_out(w, w->ledger->n_withheld);
}
