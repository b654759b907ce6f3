/* Set as PDF: a document becomes pages of text, its plates on pages of their own between them. */
#ifndef PW_REPORT_SET_PDF_H
#define PW_REPORT_SET_PDF_H

#include <platewright/report.h>

#include "doc.h"

/* The finished file. The same document gives the same bytes. `archival` and `why` as in
 * pw_pdf_finish. */
GBytes *pw_set_pdf(const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
                   gboolean *archival, char **why, GError **error);
/* One page of it, from 1, for a screen; `n_pages`: how many it has. PW_ERROR_USE: no such page. */
GBytes *pw_set_svg(const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
                   guint page, guint *n_pages, GError **error);

#endif
