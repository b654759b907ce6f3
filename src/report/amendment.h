/* Amendment: which version of a document this is, and what it says otherwise than the one before.
 */
#ifndef PW_REPORT_AMENDMENT_H
#define PW_REPORT_AMENDMENT_H

#include <platewright/record.h>
#include <platewright/model.h>

typedef enum { PW_PART_CHANGED, PW_PART_ADDED, PW_PART_REMOVED } PwPartChange;
typedef struct {
  PwPartChange change;
  char *heading;    /* of a part of the document, as it is printed */
  GPtrArray *lines; /* PwChangedLine *, those that can be told in short; never NULL */
  gboolean is_more; /* others differ too */
} PwChangedPart;

/* A line of a part: what it is about, and what it says otherwise than before. */
typedef struct {
  char *label, *now, *before; /* NULL now: it is gone; NULL before: it is new */
} PwChangedLine;
enum { PW_MOST_LINES_TOLD = 5 }; /* of one part */

typedef struct {
  int version;
  GDate on;
  int replaces; /* the version before; 0: none */
  GDate replaced_on;
  char *language; /* of the version before, BCP 47, where it is another: not compared; or NULL */
  GArray *parts; /* PwChangedPart; NULL: the text of the version before is not there */
} PwAmendment;
void pw_amendment_clear(PwAmendment *amendment);

/* The text kept with a version that was issued; yours, NULL where it is not there. */
char *pw_issued_dup_text(const PwModel *model, const PwIssued *issued);

/* Compares two documents as pw_doc_dup_text writes them, part by part (headings of the first
 * level); what stands before the first heading is passed over. PwChangedPart; yours. */
GArray *pw_amendment_compare(const char *before, const char *after);
/* Likewise what stands in one part of both, by headings of the second level; where one heading
 * stands there several times, the first is held against the first. */
GArray *pw_amendment_compare_within(const char *before, const char *after, const char *heading);
/* The language that such a text says it is in; yours, NULL where it does not. */
char *pw_amendment_dup_language(const char *text);

#endif
