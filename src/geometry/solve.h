/* Eigenvalues of small dense systems. Private to geometry. */
#ifndef PW_GEOMETRY_SOLVE_H
#define PW_GEOMETRY_SOLVE_H

#include <glib.h>

/* Eigenvalues and orthonormal eigenvectors (columns of v) of the symmetric n x n matrix a, which is
 * destroyed, by Jacobi rotations (Golub and Van Loan, Matrix Computations, 8.5). */
void pw_eigen_symmetric(double *a, double *values, double *v, int n);
/* Of the symmetric positive definite n x n matrix a, destroyed: in its place, row by row, the lower
 * triangular r with r^T r = a^-1 (Cholesky; Golub and Van Loan, 4.2). FALSE when a has no inverse
 * to within `tiny`. */
gboolean pw_invert_cholesky(double *a, int n, double tiny);

#endif
