/* Which periods the signal may have: windows along the line, each with its power spectrum, whose
 * peaks agree when the pitch drifts by one and the same bend from end to end. Windows of several
 * sizes, so that each pitch is seen by some that hold enough of it to tell it and not so much that
 * the drift smears it. */
#include "ticks.h"

#include <math.h>
#include <string.h>

/* Periods in one window, from and to: what lies below is the light's own unevenness. */
static const double FEWEST = 5, MOST = 40;
static const double FEWEST_WHOLE = 4; /* where the window is the whole line */
static const double STEP = 1.008;     /* between neighbouring counts that are tried */
/* (1 + bend)^2 is the pitch at the end over that at the start. */
static const double BEND_STEP = 0.025;
enum { BENDS = 4, WINDOW_RATIO = 3, SHORTEST_WINDOW = 24, NEIGHBOURS = 50, PEAKS = 8 };
static const double PROMINENT = 1.6; /* over the median of its neighbours */

double
pw_tick_at(const PwTickCurve *curve, double u)
{
  return curve->phase + curve->count * u * (1 + curve->bend) / (1 + curve->bend * u);
}

double complex
pw_tick_turn(double t)
{
  double angle = -2 * G_PI * t;
  return cos(angle) + (double complex)I * sin(angle); /* not every compiler knows CMPLX */
}

/* In place, radix 2, n a power of two (Cooley and Tukey 1965). */
static void
fourier(double *re, double *im, int n)
{
  for (int i = 1, j = 0; i < n; i++) {
    int bit = n >> 1;
    for (; j & bit; bit >>= 1)
      j ^= bit;
    j ^= bit;
    if (i < j) {
      double keep_re = re[i], keep_im = im[i];
      re[i] = re[j], im[i] = im[j];
      re[j] = keep_re, im[j] = keep_im;
    }
  }
  for (int half = 1; half < n; half *= 2)
    for (int k = 0; k < half; k++) {
      double c = cos(G_PI * k / half), s = -sin(G_PI * k / half);
      for (int i = k; i < n; i += 2 * half) {
        int j = i + half;
        double x = re[j] * c - im[j] * s, y = re[j] * s + im[j] * c;
        re[j] = re[i] - x, im[j] = im[i] - y;
        re[i] += x, im[i] += y;
      }
    }
}

typedef struct {
  int size;       /* samples in a window */
  int n_windows;  /* overlapping by half */
  int n_bins;     /* of one spectrum */
  double per_bin; /* periods in a window that one bin stands for */
  double *power;  /* n_windows x n_bins, each spectrum's sum 1 */
  double *at;     /* u of each window's middle */
} Spectra;

static void
spectra_clear(Spectra *spectra)
{
  g_free(spectra->power);
  g_free(spectra->at);
}

static void
window_power(const double *signal, int size, int n_fourier, double fewest, double *power)
{
  g_autofree double *re = g_new0(double, n_fourier), *im = g_new0(double, n_fourier);
  double mean = 0;
  for (int i = 0; i < size; i++)
    mean += signal[i] / size;
  for (int i = 0; i < size; i++)
    re[i] = (signal[i] - mean) * (0.5 - 0.5 * cos(2 * G_PI * (i + 0.5) / size));
  fourier(re, im, n_fourier);
  double sum = 1e-9;
  for (int i = 0; i < n_fourier / 2; i++) {
    power[i] = i * (double)size / n_fourier < fewest ? 0 : re[i] * re[i] + im[i] * im[i];
    sum += power[i];
  }
  for (int i = 0; i < n_fourier / 2; i++)
    power[i] /= sum;
}

static void
spectra_init(Spectra *spectra, const double *signal, int n, int n_parts)
{
  int n_fourier = 1;
  spectra->size = n / n_parts;
  while (n_fourier < 4 * spectra->size)
    n_fourier *= 2;
  spectra->n_windows = 2 * n_parts - 1;
  spectra->n_bins = n_fourier / 2;
  spectra->per_bin = (double)spectra->size / n_fourier;
  spectra->power = g_new(double, (gsize)(spectra->n_windows * spectra->n_bins));
  spectra->at = g_new(double, spectra->n_windows);
  for (int w = 0; w < spectra->n_windows; w++) {
    int first = w * spectra->size / 2;
    spectra->at[w] = (first + spectra->size / 2.0) / n;
    window_power(signal + first, spectra->size, n_fourier, FEWEST_WHOLE - 1,
                 spectra->power + w * spectra->n_bins);
  }
}

/* The mean power at a count of graduations along the whole line, the best over the bends. */
static double
strength(const Spectra *spectra, int n, double count, double *bend)
{
  double best = -1;
  int bends = spectra->n_windows > 1 ? BENDS : 0;
  for (int b = -bends; b <= bends; b++) {
    double k = b * BEND_STEP, sum = 0;
    for (int w = 0; w < spectra->n_windows; w++) {
      double slope = count * (1 + k) / ((1 + k * spectra->at[w]) * (1 + k * spectra->at[w]));
      double bin = slope * spectra->size / n / spectra->per_bin;
      int i = (int)bin;
      if (i + 1 < spectra->n_bins) {
        const double *power = spectra->power + w * spectra->n_bins + i;
        sum += power[0] + (bin - i) * (power[1] - power[0]);
      }
    }
    if (sum > best) {
      best = sum;
      *bend = k;
    }
  }
  return best / spectra->n_windows;
}

typedef struct {
  PwTickCurve curve;
  double slack, prominence;
} Peak;

static int
by_prominence(const void *a, const void *b)
{
  double x = ((const Peak *)a)->prominence, y = ((const Peak *)b)->prominence;
  return (x < y) - (x > y);
}

static int
finest_first(const void *a, const void *b)
{
  double x = ((const Peak *)a)->curve.count, y = ((const Peak *)b)->curve.count;
  return (x < y) - (x > y);
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median_about(const double *values, int n, int at)
{
  double near[2 * NEIGHBOURS + 1];
  int m = 0;
  for (int i = MAX(at - NEIGHBOURS, 0); i <= MIN(at + NEIGHBOURS, n - 1); i++)
    near[m++] = values[i];
  qsort(near, (gsize)m, sizeof *near, compare_doubles);
  return near[m / 2];
}

/* The peaks that windows of one size see, the most prominent of them. */
static void
find_peaks(const double *signal, int n, int n_parts, GArray *peaks)
{
  double lowest = n_parts == 1 ? FEWEST_WHOLE : FEWEST * n_parts;
  double highest = fmin(MOST * n_parts, n / PW_TICKS_FINEST_PX);
  if (highest <= lowest)
    return;
  Spectra spectra = {0};
  spectra_init(&spectra, signal, n, n_parts);
  int steps = (int)(log(highest / lowest) / log(STEP)) + 1;
  g_autofree double *values = g_new(double, steps), *bends = g_new(double, steps);
  for (int i = 0; i < steps; i++)
    values[i] = strength(&spectra, n, lowest * pow(STEP, i), &bends[i]);
  g_autoptr(GArray) found = g_array_new(FALSE, FALSE, sizeof(Peak));
  for (int i = 1; i + 1 < steps; i++) {
    if (values[i] < values[i - 1] || values[i] <= values[i + 1])
      continue;
    Peak peak = {{0, lowest * pow(STEP, i), bends[i]}, n_parts, 0};
    peak.prominence = values[i] / (median_about(values, steps, i) + 1e-12);
    if (peak.prominence >= PROMINENT)
      g_array_append_val(found, peak);
  }
  g_array_sort(found, by_prominence);
  g_array_append_vals(peaks, found->data, MIN(found->len, PEAKS));
  spectra_clear(&spectra);
}

int
pw_tick_candidates(const double *signal, int n, PwTickCurve candidates[PW_TICKS_CANDIDATES],
                   double slack[PW_TICKS_CANDIDATES])
{
  g_autoptr(GArray) peaks = g_array_new(FALSE, FALSE, sizeof(Peak));
  for (int n_parts = 1; n / n_parts >= SHORTEST_WINDOW; n_parts *= WINDOW_RATIO)
    find_peaks(signal, n, n_parts, peaks);
  g_array_sort(peaks, finest_first);
  int m = MIN((int)peaks->len, PW_TICKS_CANDIDATES);
  for (int i = 0; i < m; i++) {
    candidates[i] = g_array_index(peaks, Peak, i).curve;
    slack[i] = g_array_index(peaks, Peak, i).slack;
  }
  return m;
}
