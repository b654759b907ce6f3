/* Documents made by hand for the tests of report: invented volumes, nobody's names. */
#ifndef PW_TEST_REPORT_MADE_H
#define PW_TEST_REPORT_MADE_H

#include "report/doc.h"

/* A report of a usual length: every kind of block, as a studio would fill them. */
PwDoc *made_usual(void);
/* What strains a page: long names, a table of 40 rows, lists of 60 points, cells of 2,000
 * characters, a table without rows, words wider than the page, text from the right. */
PwDoc *made_straining(void);
/* The table of 40 rows alone. */
PwDoc *made_table(void);
/* A title and nothing else. */
PwDoc *made_empty(void);

#endif
