/* Table: callouts below the pictures, in rows by number, each under its picture; beside the
 * pictures stand their numbers alone. */
#ifndef PW_PLATE_TABLE_H
#define PW_PLATE_TABLE_H

#include "layout.h"

/* Whether these callouts (PwPlaced, in order of their numbers) have room on one page. */
gboolean pw_table_fits(const PwLayout *layout, GArray *placed);
void pw_table_place(const PwLayout *layout, GArray *placed);

#endif
