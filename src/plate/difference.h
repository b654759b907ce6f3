/* Difference: a picture of how far the colours of the two photographs of a plate are apart, in
 * steps that darken, and its key. */
#ifndef PW_PLATE_DIFFERENCE_H
#define PW_PLATE_DIFFERENCE_H

#include "lay.h"

enum { PW_DIFFERENCE_STEPS = 5 };

/* Where a step ends, and the next one begins, in CIEDE2000, counted from 0; the last has no end. */
double pw_difference_end(guint step);
PwInk pw_difference_ink(const PwStyle *style, guint step);
/* Adds it to a sheet with both photographs, where one is laid over the other and their colours may
 * be told from each other. What it shows, or why there is none; NULL where they are not both
 * there. Yours. */
char *pw_difference_add(PwSheet *sheet, const PwLay *lay);
/* Levels as the model gives them, in the style's inks; white where nothing was compared. `picture`
 * is yours to clear. */
void pw_difference_paint(const PwPlane *levels, const PwStyle *style, PwPlane *picture);

#endif
