/* Making sizes. Private to measure. */
#ifndef PW_MEASURE_SIZE_H
#define PW_MEASURE_SIZE_H

#include <platewright/measure.h>

/* Makes a size of a value and an array of PwContribution in any order, which is taken: sorted,
 * equal inputs added. */
void pw_size_take(double value, GArray *contributions, PwSize *size);

#endif
