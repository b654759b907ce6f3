/* Pieces in tables: what each is, where it comes from, what has become of it. */
#ifndef PW_REPORT_PIECES_H
#define PW_REPORT_PIECES_H

#include "writer.h"

/* "pressed fern" and, below, what kind of piece it is, where it was found, its plate. */
void pw_piece_tell_what(const PwWriter *w, PwProse *prose, const PwModelPiece *piece);
/* Its outcome with date, reason and consent; first and strong whatever it still lacks. */
void pw_piece_tell_outcome(const PwWriter *w, PwProse *prose, const PwModelPiece *piece);
/* Where it is; or where it was, before it went back. Of what was thrown away the record may name a
 * sample, or where the whole lay: neither is promised. */
void pw_piece_tell_kept(const PwWriter *w, PwProse *prose, const PwPiece *piece);
/* A row for it, open where it is; its id in the first cell, its anchor "piece-ID". */
PwRow *pw_piece_row(const PwWriter *w, PwBlock *table, const PwModelPiece *piece,
                    gboolean anchored);
/* All of the ledger by their numbers, const PwModelPiece *: what is counted into hands is looked
 * for by those, whatever has become of it since. Yours. */
GPtrArray *pw_pieces_by_number(const PwWriter *w);
/* "6 entries, 7 things". Yours. */
char *pw_pieces_dup_count(const PwWriter *w);
/* How many pieces of which that holds this reader is not told of. */
typedef gboolean (*PwPieceFilter)(const PwWriter *w, const PwModelPiece *piece);
guint pw_pieces_count_left_out(const PwWriter *w, PwPieceFilter holds);
/* What cannot be missed, where some piece is open. */
void pw_pieces_warn(PwWriter *w);

#endif
