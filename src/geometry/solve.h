/* Small dense systems, for fits. Private to geometry. */
#ifndef PW_GEOMETRY_SOLVE_H
#define PW_GEOMETRY_SOLVE_H

#include <glib.h>

/* Solves a x = b in place (n x n, row by row) by elimination with partial pivoting; b becomes x.
 * FALSE when a pivot falls under `tiny` times the largest entry of a. */
gboolean pw_solve(double *a, double *b, int n, double tiny);
/* Eigenvalues and orthonormal eigenvectors (columns of v) of the symmetric n x n matrix a, which is
 * destroyed, by Jacobi rotations (Golub and Van Loan, Matrix Computations, 8.5). */
void pw_eigen_symmetric(double *a, double *values, double *v, int n);

#endif
