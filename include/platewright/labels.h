/* Labels: for the envelopes and trays that the pieces of a volume are kept in, on sheets of labels
 * of A4, two by seven of 99.1 x 38.1 mm. Part of module report.
 */
#ifndef PLATEWRIGHT_LABELS_H
#define PLATEWRIGHT_LABELS_H

#include <platewright/model.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

enum { PW_LABELS_A_SHEET = 14 };

typedef struct {
  const PwStyle *style;
  const PwWords *words;
  guint start;             /* the first label of the first sheet that is printed on, from 1; across,
                              then down */
  const char *const *only; /* ids of pieces, NULL at the end; NULL: all still kept apart */
} PwLabelOptions;
typedef struct {
  guint n_labels, n_sheets;
  guint n_not_kept;        /* left out: not kept apart, or no longer */
  gboolean archival;       /* PDF/A-1b; else: */
  char *why_not_archival;  /* yours */
} PwLabelResult;
/* The finished PDF, for the studio. Each label has the ids, what it is, where it was, where it is
 * kept, the owner's initials, and a QR code of both ids. PW_ERROR_USE for a place that a sheet does
 * not have and for a piece that is not in the record; PW_ERROR_RECORD where there are no pieces, or
 * an id is too long for a code. */
GBytes *pw_labels_draw(const PwModel *model, const PwLabelOptions *options, PwLabelResult *result,
                       GError **error);
/* One sheet of it, from 1, as SVG for a screen. Of the result `archival` is not known.
 * PW_ERROR_USE: no such sheet; else as pw_labels_draw. Re-entrant. */
GBytes *pw_labels_draw_svg(const PwModel *model, const PwLabelOptions *options, guint sheet,
                           PwLabelResult *result, GError **error);
/* What whoever made them is told, in a line each: first what they are. NULL-terminated; yours. */
char **pw_labels_result_dup_told(const PwLabelResult *result, const PwWords *words);
/* What the code of a piece holds: the volume's id, '#', the piece's id. Yours. */
char *pw_label_dup_code(const PwModel *model, const PwPiece *piece);

PW_END_DECLS
#endif
