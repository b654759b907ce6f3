/* Making sizes, and what their coverage stands on. Private to measure. */
#ifndef PW_MEASURE_SIZE_H
#define PW_MEASURE_SIZE_H

#include <platewright/measure.h>

/* Contributions of one input, scope and owner whose indices lie in one block of so many, and whose
 * finite degrees of freedom are equal, rest on one estimate of a variance. */
enum { PW_ESTIMATE_BLOCK = 8 };

/* Makes a size of a value and an array of PwContribution in any order, which is taken: sorted,
 * equal inputs added. */
void pw_size_take(double value, GArray *contributions, PwSize *size);

/* Student's t quantile, two-sided probability p in 0..1, any positive dof (may be fractional,
 * INFINITY). NAN for other figures. */
double pw_student_t(double p, double dof);

#endif
