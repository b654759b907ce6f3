/* Sheet: the building of a plate's description. */
#ifndef PW_PLATE_SHEET_H
#define PW_PLATE_SHEET_H

#include <platewright/plate.h>

#include "arrange.h"

PwSheet *pw_sheet_new(const PwWords *words);
/* Its pictures without that of a difference, which is the last. */
guint pw_sheet_n_photographs(const PwSheet *sheet);
/* Adds a callout of which nothing is drawn yet; it is the sheet's. */
PwCallout *pw_sheet_add_callout(PwSheet *sheet, guint picture, guint number);
/* Adds a paragraph; `text` is taken, NULL or empty adds nothing. */
void pw_callout_take_words(PwCallout *callout, PwRole role, char *text);
/* What is drawn for a callout; NULL when nothing is. */
const PwSheetMark *pw_callout_peek_mark(const PwSheet *sheet, const PwCallout *callout);
/* What is drawn besides of where it was; NULL when nothing is. */
const PwSheetMark *pw_callout_peek_earlier(const PwSheet *sheet, const PwCallout *callout);

#endif
