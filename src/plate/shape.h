/* Shape: a mark's path carried from pixels to paper, and where on it a leader ends. */
#ifndef PW_PLATE_SHAPE_H
#define PW_PLATE_SHAPE_H

#include <platewright/geometry.h>

#include "paper.h"

/* Where a picture lies: the crop's corner in upright px, mm of paper for one px along each axis,
 * and the box it fills. */
typedef struct {
  double crop_x, crop_y, scale_x, scale_y;
  PwBox box;
} PwFrame;

/* A path on paper: rings[0] and holes for an area, rings[0] for a line or a point. */
typedef struct {
  PwKind kind;
  PwPaperPath *rings;
  gsize n_rings;
} PwPaperShape;

/* Points nearer together than a printer can show are left out. */
void pw_paper_shape_init(PwPaperShape *shape, const PwFrame *frame, PwKind kind,
                         const PwPxPath *path, const PwPxPath *holes, gsize n_holes);
void pw_paper_shape_clear(PwPaperShape *shape);
/* Of the first ring. */
PwBox pw_paper_shape_bounds(const PwPaperShape *shape);
/* The place of its edge nearest to `from` within `box`. FALSE when no part of it lies there. */
gboolean pw_paper_shape_nearest(const PwPaperShape *shape, const PwBox *box, PwPaper from,
                                PwPaper *nearest);
/* Up to `most` places spread evenly along its first ring, of those within `box`; how many. */
guint pw_paper_shape_spread(const PwPaperShape *shape, const PwBox *box, PwPaper *places,
                            guint most);

#endif
