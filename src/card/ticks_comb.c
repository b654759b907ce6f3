/* Whether graduations stand at every whole number of a curve, and nowhere else.
 *
 * Where every m-th graduation is stronger than the others, whose strength is r of it, the signal
 * has lines at the m-th parts of the curve's frequency too; the whole one is (1 + (m - 1) r) /
 * (1 - r) times as strong as the part just below it, which blur weakens nearly as much. A mere
 * harmonic of a coarser pitch is weaker than what stands below it. */
#include "ticks.h"

#include <math.h>

enum { BINS = 24, COARSEST = 10, LEAST_PERIODS = 3, THIRDS = 3 };
static const double FAINT_MEDIAN = 0.35; /* of the mean strength: most periods are empty */
/* Over the part just below: r is a third for m = 2, a tenth and less for 5 and 10. */
static const double EVEN = 2, FINER = 1.5;
static const double OVER_ALL = 1.2;   /* over every part below */
static const double OVER_FIRST = 0.4; /* of the pitch's own line: a bar of blocks has a third */
static const double FINEST_BETWEEN_PX = 2.2; /* beyond which harmonics fold back */

/* The lines at j / m of the curve's frequency, j = 1..n_parts, from the samples first..last - 1,
 * under a Hann window. */
static void
amplitudes(const double *signal, int n, int first, int last, const PwTickCurve *curve, int m,
           int n_parts, double *found)
{
  double complex sums[COARSEST + 1] = {0};
  double mean = 0;
  for (int i = first; i < last; i++)
    mean += signal[i] / (last - first);
  for (int i = first; i < last; i++) {
    double window = 0.5 - 0.5 * cos(2 * G_PI * (i - first + 0.5) / (last - first));
    double complex turn = pw_tick_turn(pw_tick_at(curve, (i + 0.5) / n) / m);
    double complex z = window * (signal[i] - mean);
    for (int j = 0; j < n_parts; j++)
      sums[j] += z *= turn;
  }
  for (int j = 0; j < n_parts; j++)
    found[j] = cabs(sums[j]);
}

/* ---- Coarser pitches --------------------------------------------------------------- */

static PwComb
hold_against_parts(const double *signal, int n, const PwTickCurve *curve, int m)
{
  double found[COARSEST], most = 0;
  amplitudes(signal, n, 0, n, curve, m, m, found);
  double whole = found[m - 1];
  for (int j = 0; j < m - 1; j++)
    most = fmax(most, found[j]);
  if (whole < most)
    return PW_COMB_EMPTY;
  gboolean even = whole > OVER_ALL * most && whole > EVEN * found[m - 2];
  return even ? PW_COMB_COMPLETE : PW_COMB_UNEVEN;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* The signal laid over itself is a pattern; each period's strength is what it has of it. The middle
 * one, where the mean of all is 1. */
static double
median_strength(const double *level, int n, const PwTickCurve *curve)
{
  double pattern[BINS] = {0}, first = ceil(pw_tick_at(curve, 0));
  int counts[BINS] = {0}, m = (int)(floor(pw_tick_at(curve, 1)) - first);
  if (m < LEAST_PERIODS)
    return 0;
  g_autofree double *strengths = g_new0(double, m), *norms = g_new0(double, m);
  for (int pass = 0; pass < 2; pass++)
    for (int i = 0; i < n; i++) {
      double t = pw_tick_at(curve, (i + 0.5) / n);
      int bin = MIN((int)((t - floor(t)) * BINS), BINS - 1), k = (int)(floor(t) - first);
      if (pass == 0) {
        pattern[bin] += level[i];
        counts[bin]++;
      } else if (k >= 0 && k < m) {
        strengths[k] += level[i] * pattern[bin] / counts[bin];
        norms[k] += pattern[bin] / counts[bin] * pattern[bin] / counts[bin];
      }
    }
  for (int k = 0; k < m; k++)
    strengths[k] /= norms[k] + 1e-12;
  qsort(strengths, (gsize)m, sizeof *strengths, compare_doubles);
  return (strengths[m / 2] + strengths[(m - 1) / 2]) / 2;
}

/* ---- Finer pitches ----------------------------------------------------------------- */

/* Graduations at the m-th parts too, for an m up to `finest`, on two thirds of the line at least: a
 * bar of which only the first centimetre is divided into millimetres has centimetres. */
static gboolean
has_parts(const double *signal, int n, const PwTickCurve *curve, int finest)
{
  int seen[COARSEST + 1] = {0};
  gboolean any = FALSE;
  for (int third = 0; third < THIRDS; third++) {
    double found[COARSEST];
    amplitudes(signal, n, n * third / THIRDS, n * (third + 1) / THIRDS, curve, 1, finest, found);
    for (int m = 2; m <= finest; m++) {
      double part = found[m - 1];
      seen[m] += part > FINER * found[m - 2] && part > OVER_FIRST * found[0];
      any = any || seen[m] >= 2;
    }
  }
  return any;
}

PwComb
pw_tick_comb(const double *signal, int n, const PwTickCurve *curve)
{
  double pitch = n / curve->count;
  g_autofree double *level = g_new(double, n);
  pw_tick_level(signal, n, 2 * (int)(pitch / 2) + 1, level);
  if (median_strength(level, n, curve) < FAINT_MEDIAN)
    return PW_COMB_EMPTY;
  PwComb comb = PW_COMB_COMPLETE;
  for (int m = 2; m <= COARSEST && m * LEAST_PERIODS <= curve->count; m++) {
    PwComb one = hold_against_parts(signal, n, curve, m);
    if (one == PW_COMB_EMPTY)
      return one;
    comb = one == PW_COMB_UNEVEN ? one : comb;
  }
  int finest = MIN((int)(pitch / FINEST_BETWEEN_PX), COARSEST);
  return finest >= 2 && has_parts(signal, n, curve, finest) ? PW_COMB_UNEVEN : comb;
}
