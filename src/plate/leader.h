/* Leader: what a leader costs that runs from its bend to a place of its mark. Lengths in mm. */
#ifndef PW_PLATE_LEADER_H
#define PW_PLATE_LEADER_H

#include "layout.h"

/* What leaders should not run over, as it lies on one page. */
typedef struct {
  guint picture;
  int mark; /* of its picture; -1: a card */
  const PwPaperShape *shape;
  PwPaper middle;
  double ring;  /* radius of the ring that is drawn round its middle; 0: none */
  PwBox reach;  /* nothing outside is near it */
  double worth; /* the detour that one crossing of its line is worth */
} PwObstacle;

/* Of the callouts (PwPlaced) of one page. An array of PwObstacle; yours. */
GArray *pw_obstacles_new(const PwLayout *layout, const GArray *placed);
/* What it runs over, or too near to, on its way to the mark of `callout`: 0 for nothing. Where it
 * runs over its own mark to reach it from behind is counted, too. */
double pw_leader_trouble(const GArray *obstacles, const PwCallout *callout, PwPaper bend,
                         PwPaper end);
/* Of the leaders of one page (PwPlaced, in their places), how many times one runs through a mark
 * that is not its own, or its line or ring, or over a card. What lies within a mark is reached over
 * its line once, which is not counted. */
guint pw_leaders_over(const PwLayout *layout, const GArray *placed);
/* Whether it runs so near to where another ends that it seems to end there. */
gboolean pw_leader_is_at(PwPaper bend, PwPaper end, PwPaper dot);

#endif
