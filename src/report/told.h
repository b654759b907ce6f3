/* What whoever made something is told of it, in lines. */
#ifndef PW_REPORT_TOLD_H
#define PW_REPORT_TOLD_H

#include <platewright/style.h>

/* The first line: what it holds, and what it claims. */
void pw_told_made(GPtrArray *told, const PwWords *words, char *what_taken, gboolean archival);
/* The lines, NULL-terminated, the last of them why it is no PDF/A where there is a reason;
 * yours. */
char **pw_told_end(GPtrArray *told_taken, const PwWords *words, const char *why_not_archival);

#endif
