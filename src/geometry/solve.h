/* Eigenvalues of small dense systems. Private to geometry. */
#ifndef PW_GEOMETRY_SOLVE_H
#define PW_GEOMETRY_SOLVE_H

#include <glib.h>

/* Eigenvalues and orthonormal eigenvectors (columns of v) of the symmetric n x n matrix a, which is
 * destroyed, by Jacobi rotations (Golub and Van Loan, Matrix Computations, 8.5). */
void pw_eigen_symmetric(double *a, double *values, double *v, int n);

#endif
