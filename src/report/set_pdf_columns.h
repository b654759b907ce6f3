/* Columns: the widths of a table's columns, off what its cells need. */
#ifndef PW_REPORT_SET_PDF_COLUMNS_H
#define PW_REPORT_SET_PDF_COLUMNS_H

#include <platewright/pdf.h>

#include "doc.h"

/* `heads` one a column, `cells` row by row, each set as one line. A table that has room in `narrow`
 * mm without breaking a line is so wide, every other `wide`; the widths, `apart` between them, use
 * all of it. TRUE: it is `wide`. */
gboolean pw_set_columns(const PwBlock *block, PwText *const *heads, PwText *const *cells,
                        double narrow, double wide, double apart, double *widths);

#endif
