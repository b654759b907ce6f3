/* Fewer points for several strokes together. Private to trace. */
#ifndef PW_TRACE_THIN_H
#define PW_TRACE_THIN_H

#include <platewright/trace.h>

/* A run of points of which some are kept; closed: it goes on from the last to the first. */
typedef struct {
  const PwPx *points;
  gsize n;
  gboolean closed;
  guint8 *kept; /* one a point */
} PwStroke;
void pw_stroke_clear(PwStroke *stroke);

/* Marks what to keep, so that every point lies within `tolerance` of the lines through those kept,
 * and these do not come nearer than 0.015 px to each other unless the strokes themselves do. FALSE
 * when they are so tangled that this is not found out in reasonable time. */
gboolean pw_strokes_thin(PwStroke *strokes, gsize n, double tolerance);
/* The points kept. Of a closed stroke each is moved, by `most` px at the most, so that the area
 * that the points left out had added or taken is given back, where that makes no crossing and
 * within the plane. Yours; coordinates are whole hundredths of a px. FALSE, and no paths, when they
 * are as tangled. */
gboolean pw_strokes_balance(const PwStroke *strokes, gsize n, double most, const PwPlane *plane,
                            PwPxPath *paths);

#endif
