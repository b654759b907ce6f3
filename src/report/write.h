/* Write: which parts stand in which document, for whom, and in what order. */
#ifndef PW_REPORT_WRITE_H
#define PW_REPORT_WRITE_H

#include <platewright/report.h>

#include "amendment.h"
#include "doc.h"

/* The document as blocks. PW_ERROR_RECORD when nothing may be shown to this reader at all,
 * PW_ERROR_USE when `only` names a photograph that is none of the record's. */
PwDoc *pw_report_write(const PwModel *model, const PwReportOptions *options, GError **error);
/* The same as a version that is issued. */
PwDoc *pw_report_write_version(const PwModel *model, const PwReportOptions *options,
                               const PwAmendment *amendment, GError **error);

#endif
