/* Student's t: quantiles for coverage factors (JCGM 100 annex G).
 *
 * The two-sided probability within t is 1 - I_x(dof/2, 1/2), x = dof / (dof + t^2), with the
 * regularised incomplete beta function by its continued fraction (Press et al., Numerical Recipes,
 * 6.4; Abramowitz and Stegun 26.5.8, and 26.7.5 for many degrees of freedom).
 */
#include "size.h"

#include <math.h>

/* The normal distribution's probability within two standard deviations, 95.45 %. */
static const double TWO_SIGMA = 0.95449973610364158;

static const int FRACTION_TERMS = 10000;
static const double FRACTION_DONE = 1e-15;
static const int BISECTIONS = 200;
/* From here on the fraction needs too many terms, and the expansion about the normal distribution
 * is exact to rounding. */
static const double LARGE_DOF = 1e6;

static double
away_from_zero(double value)
{
  return fabs(value) < 1e-300 ? 1e-300 : value;
}

/* Lentz's method. */
static double
beta_fraction(double a, double b, double x)
{
  double c = 1, d = 1 / away_from_zero(1 - (a + b) * x / (a + 1)), fraction = d;
  for (int m = 1; m < FRACTION_TERMS; m++) {
    double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
    double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / away_from_zero(1 + even * d);
    c = away_from_zero(1 + even / c);
    fraction *= c * d;
    d = 1 / away_from_zero(1 + odd * d);
    c = away_from_zero(1 + odd / c);
    fraction *= c * d;
    if (fabs(c * d - 1) < FRACTION_DONE)
      break;
  }
  return fraction;
}

/* I_x(a, b), from x and 1 - x so that neither is lost to rounding. */
static double
incomplete_beta(double a, double b, double x, double one_less_x)
{
  double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(one_less_x));
  if (x < (a + 1) / (a + b + 2))
    return front * beta_fraction(a, b, x) / a;
  return 1 - front * beta_fraction(b, a, one_less_x) / b;
}

static double
probability_within(double t, double dof)
{
  if (!(t > 0))
    return 0;
  if (isinf(dof))
    return erf(t / G_SQRT2);
  double sum = dof + t * t;
  return 1 - incomplete_beta(dof / 2, 0.5, dof / sum, t * t / sum);
}

static double
quantile(double p, double dof)
{
  double low = 0, high = 1;
  while (probability_within(high, dof) < p && high < 1e150) {
    low = high;
    high *= 2;
  }
  for (int i = 0; i < BISECTIONS; i++) {
    double middle = (low + high) / 2;
    if (!(middle > low && middle < high))
      break;
    if (probability_within(middle, dof) < p)
      low = middle;
    else
      high = middle;
  }
  return (low + high) / 2;
}

double
pw_student_t(double p, double dof)
{
  g_return_val_if_fail(p > 0 && p < 1 && dof > 0, nan(""));
  if (dof < LARGE_DOF)
    return quantile(p, dof);
  double z = quantile(p, HUGE_VAL), z3 = z * z * z;
  return z + (z3 + z) / (4 * dof) + (5 * z3 * z * z + 16 * z3 + 3 * z) / (96 * dof * dof);
}

double
pw_coverage_factor(double dof)
{
  return isinf(dof) ? 2 : fmax(2, pw_student_t(TWO_SIGMA, dof));
}
