/* Ratio: how large a thing is printed, and the scale bar that says so. A ratio is mm on paper for
 * one mm of the object. */
#ifndef PW_PLATE_RATIO_H
#define PW_PLATE_RATIO_H

#include <glib.h>

/* The largest ratio not above `most` that can be printed in short and exactly: 1 : 4, 1 : 2.5, 3
 * : 1. Gives up at most a twentieth for a rounder figure, a tenth where figures are coarse near 1
 * : 1. */
double pw_ratio_round(double most);
/* The figure F of "1 : F", or of "F : 1" from 1 : 1 upwards. Exact for what pw_ratio_round gives.
 * Yours. */
char *pw_ratio_dup_figure(double ratio);
/* The longest 1, 2 or 5 x 10^k mm of the object that is no longer than `longest_mm` on paper. */
double pw_bar_length(double ratio, double longest_mm);
/* Into how many equal parts such a length is divided: 4 for 2 x 10^k, else 5. */
guint pw_bar_parts(double length_mm);

#endif
