/* Amendment: which version of a document this is, and what it says otherwise than the one before.
 */
#ifndef PW_REPORT_AMENDMENT_H
#define PW_REPORT_AMENDMENT_H

#include <glib.h>

typedef enum { PW_PART_CHANGED, PW_PART_ADDED, PW_PART_REMOVED } PwPartChange;
typedef struct {
  PwPartChange change;
  char *heading; /* of a part of the document, as it is printed */
} PwChangedPart;

typedef struct {
  int version;
  GDate on;
  int replaces; /* the version before; 0: none */
  GDate replaced_on;
  GArray *parts; /* PwChangedPart; NULL: the text of the version before is not there */
} PwAmendment;
void pw_amendment_clear(PwAmendment *amendment);

/* Compares two documents as pw_doc_dup_text writes them, part by part (headings of the first
 * level); what stands before the first heading is passed over. PwChangedPart; yours. */
GArray *pw_amendment_compare(const char *before, const char *after);

#endif
