/* Aim: where the leaders of callouts end, and slots for the columns that they come from. */
#ifndef PW_PLATE_AIM_H
#define PW_PLATE_AIM_H

#include "layout.h"

/* The grid lines that the words of a callout take. */
int pw_aim_lines(const PwPlaced *placed);
/* The middle of its mark on the page; the picture's lower right corner without one. */
PwPaper pw_aim_middle(const PwLayout *layout, const PwPlaced *placed);
/* Finds where its leader ends, seen from its column: its `space` must be set. */
void pw_aim(const PwLayout *layout, PwPlaced *placed);
/* Gives the callouts (PwPlaced, aimed) of one page their places in their columns: words and
 * leaders, or with `as_tags` numbers and leaders of those that lead, whose words stand elsewhere.
 * FALSE when they do not fit. With `try_only` nothing is placed. */
gboolean pw_aim_place(const PwLayout *layout, GArray *placed, gboolean as_tags, gboolean try_only);

#endif
