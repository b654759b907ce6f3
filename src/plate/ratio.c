/* Round ratios and round scale bars. */
#include "ratio.h"

#include <math.h>

#include <platewright/plate.h>

/* Steps of the printed figure, coarsest first, and how much size a coarser one may cost. */
static const double steps[] = {100, 50, 10, 5, 1, 0.5, 0.2, 0.1};
static const double worth = 1.05;
/* Figures that are whole but for rounding must not jump to the next step. */
static const double slack = 1e-9;

/* The figure F of 1 : F, not below `least`. */
static double
round_up(double least)
{
  for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
    double figure = ceil(least / steps[i] - slack) * steps[i];
    if (figure <= least * worth)
      return figure;
  }
  return ceil(least / 0.1 - slack) * 0.1;
}

/* The figure F of F : 1, not above `most` (at least 1). */
static double
round_down(double most)
{
  for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
    double figure = floor(most / steps[i] + slack) * steps[i];
    if (figure * worth >= most)
      return figure;
  }
  return floor(most / 0.1 + slack) * 0.1;
}

double
pw_ratio_round(double most)
{
  return most >= 1 ? round_down(most) : 1 / round_up(1 / most);
}

char *
pw_ratio_dup_figure(double ratio)
{
  double figure = ratio >= 1 ? ratio : 1 / ratio;
  gboolean whole = fabs(figure - round(figure)) < 1e-6;
  return pw_format_fixed(figure, whole ? 0 : 1);
}

double
pw_bar_length(double ratio, double longest_mm)
{
  double most = longest_mm / ratio * (1 + slack);
  double power = pow(10, floor(log10(most)));
  if (5 * power <= most)
    return 5 * power;
  return 2 * power <= most ? 2 * power : power;
}

guint
pw_bar_parts(double length_mm)
{
  double mantissa = length_mm / pow(10, floor(log10(length_mm) + slack));
  return fabs(mantissa - 2) < 0.5 ? 4 : 5;
}

double
pw_plate_bar_length(double most)
{
  return pw_bar_length(1, most);
}
