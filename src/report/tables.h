/* Tables: what a record holds in rows, as texts of CSV. */
#ifndef PW_REPORT_TABLES_H
#define PW_REPORT_TABLES_H

#include <platewright/export.h>

typedef struct {
  const char *name; /* "marks.csv" */
  char *(*dup_text)(const PwModel *model, PwAudience audience);
  gboolean never_public;
} PwTable;
enum { PW_N_TABLES = 4 };
extern const PwTable pw_tables[PW_N_TABLES];

#endif
