/* One label: what stands on it, in words, and how it is drawn into its place. */
#ifndef PW_REPORT_LABEL_H
#define PW_REPORT_LABEL_H

#include <platewright/labels.h>
#include <platewright/pdf.h>

enum { PW_LABEL_WIDTH_UM = 99100, PW_LABEL_HEIGHT_UM = 38100 };
#define PW_LABEL_WIDTH (PW_LABEL_WIDTH_UM / 1000.0) /* mm */
#define PW_LABEL_HEIGHT (PW_LABEL_HEIGHT_UM / 1000.0)

/* "HOM" of "Harbour Office of Merrowsund, the keeper": the words before a comma that begin with a
 * capital, else all of them; four letters at most. Yours; NULL without a name. */
char *pw_label_dup_initials(const char *name);
/* Draws it with its upper left corner there. */
gboolean pw_label_draw(PwPdf *pdf, cairo_t *cr, const PwModel *model,
                       const PwLabelOptions *options, const PwModelPiece *piece, double x_mm,
                       double y_mm, GError **error);

#endif
