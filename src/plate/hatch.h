/* Hatch: the thin lines inside an outline, computed as segments so that nothing is ever clipped,
 * filled or tinted. */
#ifndef PW_PLATE_HATCH_H
#define PW_PLATE_HATCH_H

#include "paper.h"

typedef struct {
  PwPaper from, to;
} PwStroke;

/* Parallel lines `gap_mm` apart at `angle_deg` (counter-clockwise as seen, 0 level), cut to the
 * inside of `rings` by the even-odd rule: a hole is one more ring. The lines of all marks of a page
 * lie on one raster, so that hatches of one group run on from mark to mark. A line reaches
 * `reach_mm` in from each edge and leaves the middle of a large mark free (INFINITY: runs through).
 * An array of PwStroke; yours. */
GArray *pw_hatch_new(const PwPaperPath *rings, gsize n_rings, double angle_deg, double gap_mm,
                     double reach_mm);

#endif
