/* One straight edge beside a line that was drawn by hand. Private to trace. */
#ifndef PW_TRACE_SIDE_H
#define PW_TRACE_SIDE_H

#include <platewright/trace.h>

#define PW_REACH_MIN 2.0
#define PW_REACH_MAX 100.0

/* Where an edge passes the ends of the line, in px to the left of it as one goes from its first end
 * to its second, y down: towards (dy, -dx). */
typedef struct {
  double at_from, at_to;
  double u; /* standard uncertainty of either */
  int sign; /* 1: lighter on the left */
} PwSideEdge;

/* The plainest straight edge within `reach` px of both ends of the line, and after it others that
 * are nearly as plain. How many: 0 where there is none. `margin` is the part of the line left out
 * at either end, where corners are round. */
enum { PW_SIDE_EDGES = 3 };
int pw_side_find(const PwPlane *grey, PwPx from, PwPx to, double reach, double margin,
                 PwSideEdge edges[PW_SIDE_EDGES]);

#endif
