/* Lines: of what lines a mark is drawn, in the order they lie on each other. The one place that
 * knows the look of a mark, on paper and on a screen. Lengths in mm on paper. */
#ifndef PW_PLATE_LINES_H
#define PW_PLATE_LINES_H

#include <platewright/style.h>

#include "shape.h"

typedef enum {
  PW_LINES_HATCH, /* strokes */
  PW_LINES_PATH,  /* the mark's own rings, or its line */
  PW_LINES_RING   /* a point; what is too small to be found without */
} PwLinesKind;

/* Each is drawn twice: wide in the casing's ink, then narrow in its own. */
typedef struct {
  PwLinesKind kind;
  PwInk ink;
  double width, casing;
  double dash[4], casing_dash[4]; /* zeros: solid */
  GArray *strokes;                /* PwStroke; of a hatch */
  double gap, angle_deg;          /* of a hatch */
  PwPaper middle;                 /* of a ring */
  double radius;
} PwLines;

/* An array of PwLines; yours. The path's rings are the shape's. */
GArray *pw_lines_new(const PwStyle *style, const PwPaperShape *shape, const char *group,
                     gboolean was);

#endif
