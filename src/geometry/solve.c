/* Small dense systems, for fits of up to nine unknowns. */
#include "solve.h"

#include <platewright/geometry.h>

#include <math.h>

/* Cyclic Jacobi converges quadratically; nine unknowns take six or seven sweeps. */
static const int JACOBI_SWEEPS = 50;

static double
largest_entry(const double *a, int n)
{
  double largest = 0;
  for (int i = 0; i < n * n; i++)
    largest = fmax(largest, fabs(a[i]));
  return largest;
}

static void
swap_rows(double *a, double *b, int n, int r, int s)
{
  for (int k = 0; k < n; k++) {
    double held = a[r * n + k];
    a[r * n + k] = a[s * n + k];
    a[s * n + k] = held;
  }
  double held = b[r];
  b[r] = b[s];
  b[s] = held;
}

static gboolean
eliminate_column(double *a, double *b, int n, int column, double least)
{
  int pivot = column;
  for (int r = column + 1; r < n; r++)
    if (fabs(a[r * n + column]) > fabs(a[pivot * n + column]))
      pivot = r;
  if (!(fabs(a[pivot * n + column]) > least))
    return FALSE;
  swap_rows(a, b, n, column, pivot);
  for (int r = column + 1; r < n; r++) {
    double factor = a[r * n + column] / a[column * n + column];
    for (int k = column; k < n; k++)
      a[r * n + k] -= factor * a[column * n + k];
    b[r] -= factor * b[column];
  }
  return TRUE;
}

gboolean
pw_solve(double *a, double *b, int n, double tiny)
{
  double least = tiny * largest_entry(a, n);
  for (int column = 0; column < n; column++)
    if (!eliminate_column(a, b, n, column, least))
      return FALSE;
  for (int r = n - 1; r >= 0; r--) {
    for (int k = r + 1; k < n; k++)
      b[r] -= a[r * n + k] * b[k];
    b[r] /= a[r * n + r];
  }
  return TRUE;
}

/* Turns the plane of axes p and q so that a[p][q] becomes 0, and v with it. */
static void
rotate(double *a, double *v, int n, int p, int q)
{
  double theta = (a[q * n + q] - a[p * n + p]) / (2 * a[p * n + q]);
  double t = copysign(1, theta) / (fabs(theta) + sqrt(theta * theta + 1));
  double c = 1 / sqrt(t * t + 1), s = t * c;
  for (int k = 0; k < n; k++) {
    double kp = a[k * n + p], kq = a[k * n + q];
    a[k * n + p] = c * kp - s * kq;
    a[k * n + q] = s * kp + c * kq;
  }
  for (int k = 0; k < n; k++) {
    double pk = a[p * n + k], qk = a[q * n + k];
    a[p * n + k] = c * pk - s * qk;
    a[q * n + k] = s * pk + c * qk;
    double vp = v[k * n + p], vq = v[k * n + q];
    v[k * n + p] = c * vp - s * vq;
    v[k * n + q] = s * vp + c * vq;
  }
}

static double
off_diagonal(const double *a, int n)
{
  double sum = 0;
  for (int p = 0; p < n; p++)
    for (int q = p + 1; q < n; q++)
      sum += a[p * n + q] * a[p * n + q];
  return sum;
}

void
pw_eigen_symmetric(double *a, double *values, double *v, int n)
{
  double scale = largest_entry(a, n);
  for (int i = 0; i < n * n; i++)
    v[i] = i % (n + 1) == 0 ? 1 : 0;
  for (int sweep = 0; sweep < JACOBI_SWEEPS; sweep++) {
    if (off_diagonal(a, n) <= scale * scale * 1e-32)
      break;
    for (int p = 0; p < n; p++)
      for (int q = p + 1; q < n; q++)
        if (fabs(a[p * n + q]) > scale * 1e-300)
          rotate(a, v, n, p, q);
  }
  for (int i = 0; i < n; i++)
    values[i] = a[i * n + i];
}

/* a = l l^T, l in the lower triangle. */
static gboolean
factor_cholesky(double *a, int n, double tiny)
{
  for (int j = 0; j < n; j++) {
    double diagonal = a[j * n + j], left = diagonal;
    for (int k = 0; k < j; k++)
      left -= a[j * n + k] * a[j * n + k];
    if (!(left > tiny * diagonal))
      return FALSE;
    a[j * n + j] = sqrt(left);
    for (int i = j + 1; i < n; i++) {
      for (int k = 0; k < j; k++)
        a[i * n + j] -= a[i * n + k] * a[j * n + k];
      a[i * n + j] /= a[j * n + j];
    }
  }
  return TRUE;
}

gboolean
pw_invert_cholesky(double *a, int n, double tiny)
{
  if (!factor_cholesky(a, n, tiny))
    return FALSE;
  /* Column by column; what is still needed of l stands right of and below what is done. */
  for (int j = 0; j < n; j++) {
    a[j * n + j] = 1 / a[j * n + j];
    for (int i = j + 1; i < n; i++) {
      double sum = 0;
      for (int k = j; k < i; k++)
        sum -= a[i * n + k] * a[k * n + j];
      a[i * n + j] = sum / a[i * n + i];
      a[j * n + i] = 0;
    }
  }
  return TRUE;
}
