/* Ink: how marks, leaders, rules and the scale bar look. Nothing is filled over a picture but the
 * dot at a leader's end, nothing is see-through. Lengths in mm. */
#ifndef PW_PLATE_INK_H
#define PW_PLATE_INK_H

#include <cairo.h>
#include <platewright/style.h>

#include "shape.h"

void pw_ink_rule(cairo_t *cr, const PwStyle *style, double from_x, double to_x, double y);
/* A mark in its group's look, or as what was there before. */
void pw_ink_mark(cairo_t *cr, const PwStyle *style, const PwPaperShape *shape, const char *group,
                 gboolean was);
/* `look` NULL: what was there before. */
void pw_ink_swatch(cairo_t *cr, const PwStyle *style, const PwGroupLook *look, PwKind kind,
                   const PwBox *box);
/* The steps of a difference in colour side by side, in a hairline, for the lightest is all but
 * white. */
void pw_ink_steps(cairo_t *cr, const PwStyle *style, const PwBox *box);
/* Level from `start` to `bend`, then straight to `end`, with a dot there. */
void pw_ink_leader(cairo_t *cr, const PwStyle *style, PwPaper start, PwPaper bend, PwPaper end);
/* `parts` parts in turn filled and open. */
void pw_ink_bar(cairo_t *cr, const PwStyle *style, const PwBox *box, guint parts);
/* A frame as a hairline, for a picture that is white at its edges. */
void pw_ink_border(cairo_t *cr, const PwStyle *style, const PwBox *box);
/* A frame with a light casing, for the locator. */
void pw_ink_frame(cairo_t *cr, const PwStyle *style, const PwBox *box);

#endif
