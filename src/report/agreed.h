/* Agreed: what the owner has agreed to already, so that a later proposal asks for no more than what
 * it says otherwise. */
#ifndef PW_REPORT_AGREED_H
#define PW_REPORT_AGREED_H

#include "writer.h"

struct PwAgreed {
  const PwConsent *word;    /* the answer, which holds on the day of the document */
  const PwIssued *proposal; /* the version that it answered */
  GArray *steps;            /* PwChangedPart, of the proposed steps; NULL: the text of that
                             * version is not there, or is in another language */
  GArray *others;           /* PwChangedPart: the estimate, where it has changed; NULL likewise */
};

/* By the last answer on treatment and the last proposal that was issued to the owner no later than
 * it. NULL where the record tells of no such two, where the answer does not hold, for the public,
 * and of any other document. Yours. */
PwAgreed *pw_agreed_new(const PwWriter *w);
void pw_agreed_free(PwAgreed *agreed);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwAgreed, pw_agreed_free)

#endif
