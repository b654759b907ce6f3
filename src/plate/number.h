/* Number: which printed number each mark of a plate has. */
#ifndef PW_PLATE_NUMBER_H
#define PW_PLATE_NUMBER_H

#include <glib.h>

/* A mark to be numbered, in the plate's order: photographs from before to after, marks as their
 * sidecars hold them. */
typedef struct {
  const char *id;       /* in its sidecar */
  gconstpointer family; /* the damage: marks of one family get one number */
  guint number;         /* out, from 1 */
  gboolean differs;     /* out: the number is not the mark's id */
} PwNumbered;

/* A family's number is the id of its first mark where that is a whole number that no earlier family
 * of the plate has; else the next free one. `afresh`: 1, 2, 3 in order, and nothing differs. */
void pw_number_marks(PwNumbered *marks, guint n, gboolean afresh);

#endif
