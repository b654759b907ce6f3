/* Report: the documents of a volume, written off a resolved model for one audience in one language,
 * as PDF and as a single file of HTML. Formats what the record and the model hold, computes none.
 */
#ifndef PLATEWRIGHT_REPORT_H
#define PLATEWRIGHT_REPORT_H

#include <platewright/model.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

typedef enum {
  PW_REPORT_RECEIPT,   /* what came in, counted and signed for; once returned, what goes back */
  PW_REPORT_CONDITION, /* the examination alone */
  PW_REPORT_PROPOSAL,  /* what is wrong, proposed, risked, costed; what to agree to */
  PW_REPORT_TREATMENT, /* what was found, done, kept; how to look after the volume */
  PW_REPORT_SUMMARY    /* one page */
} PwReportKind;
/* "receipt", "condition", "proposal", "treatment", "summary" */
gboolean pw_report_parse(const char *word, PwReportKind *kind);
const char *pw_report_name(PwReportKind kind);

typedef struct {
  const PwStyle *style;
  const PwWords *words;
  PwAudience audience;
  PwReportKind kind;
  const char *const *only;    /* files of the photographs to show, NULL at the end; NULL: all */
  const PwProgress *progress; /* or NULL */
} PwReportOptions;

PW_END_DECLS
#endif
