/* Set as HTML: a document becomes one file that opens anywhere and fetches nothing: style, script
 * and pictures lie in it, and a policy in its head refuses whatever else. */
#ifndef PW_REPORT_SET_HTML_H
#define PW_REPORT_SET_HTML_H

#include <platewright/report.h>

#include "doc.h"

/* No picture takes more than this, written out as base64. */
#define PW_HTML_PICTURE_BYTES 200000

/* The finished file. The same document gives the same bytes. PW_ERROR_FILE and the like when a
 * picture cannot be made. */
GBytes *pw_set_html(const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
                    GError **error);

#endif
