/* The text that a bag is opened by, for somebody without this program. */
#ifndef PW_REPORT_READ_ME_H
#define PW_REPORT_READ_ME_H

#include <platewright/export.h>

#define PW_READ_ME_FILE "READ ME FIRST.txt"
/* Plain text of at most 78 columns, yours; for the studio or the owner. */
char *pw_read_me_dup(const PwModel *model, const PwWords *words, PwAudience audience);

#endif
