/* Reading a ruler's graduations along a line. Private to card.
 *
 * The line is sampled into a signal of n values, one about every px, u in 0..1 along it. What is
 * sought is a curve t(u), the graduation's number: a straight row of even graduations seen by a
 * camera is projective in one dimension.
 */
#ifndef PW_CARD_TICKS_H
#define PW_CARD_TICKS_H

#include <platewright/card.h>

#include <complex.h>

/* Finer graduations are not told from what the pixels' own grid makes of them. */
#define PW_TICKS_FINEST_PX 3.0
/* A line from corner to corner of the largest picture that is opened, and more. */
#define PW_LIMIT_TICKS_PX 65536

/* t(u) = phase + count u (1 + bend) / (1 + bend u). */
typedef struct {
  double phase, count, bend;
} PwTickCurve;
double pw_tick_at(const PwTickCurve *curve, double u);
/* exp(-2 pi i t): what turns a signal of that t back. */
double complex pw_tick_turn(double t);

/* ---- The signal (ticks_line.c) ----------------------------------------------------- */

/* The line, and the band beside it from which the signal is taken. */
typedef struct {
  const PwPlane *grey;
  PwPx from, to;
  double length;
  int n;
  double shift_from, shift_to; /* px that the band lies to the left of the line, at its ends */
  double slope;       /* px along the line that a graduation goes forward for 1 px across */
  const double *rows; /* of these very settings, pw_tick_rows', when they serve more than once */
} PwTickLine;
/* One row of samples, `across` px from the band's middle, moved along the graduations' slope so
 * that sample i belongs to u = (i + 0.5) / n on the line itself. */
void pw_tick_row(const PwTickLine *line, double across, double *row);
/* The rows from -PW_TICKS_WIDEST to PW_TICKS_WIDEST, one after the other. Yours. */
#define PW_TICKS_WIDEST 5
double *pw_tick_rows(const PwTickLine *line);
/* The mean of the rows within `half` px, PW_TICKS_WIDEST at most. */
void pw_tick_band(const PwTickLine *line, int half, double *signal);
/* Takes off the running mean over `width` samples (odd, at least 3). */
void pw_tick_level(const double *signal, int n, int width, double *level);

/* ---- Periods that may be (ticks_period.c) ------------------------------------------ */

enum { PW_TICKS_CANDIDATES = 48 };
/* Curves, without phase, under which the signal repeats itself; the finest first. How many. */
int pw_tick_candidates(const double *signal, int n, PwTickCurve candidates[PW_TICKS_CANDIDATES],
                       double slack[PW_TICKS_CANDIDATES]);

/* ---- The fit (ticks_fit.c) --------------------------------------------------------- */

typedef struct {
  PwTickCurve curve;
  double u_count; /* standard uncertainty of curve.count */
  double dof;
  double residual; /* RMS of the phase about the curve, in graduations */
  double seen;     /* share of the line in which they are seen */
} PwTickFit;
/* Moves a candidate, whose count is known to `slack`, onto the signal. FALSE where there is nothing
 * to hold on to. */
gboolean pw_tick_fit(const double *signal, int n, const PwTickCurve *start, double slack,
                     PwTickFit *fit);

/* ---- Row by row (ticks_rows.c) ----------------------------------------------------- */

/* 15 degrees */
#define PW_TICKS_STEEPEST 0.27
/* How many px along the line a graduation goes forward for 1 px across, by a straight line through
 * the phases of the rows in which it is seen. */
void pw_tick_slope(const PwTickLine *line, const PwTickCurve *curve, double *slope,
                   double *u_slope);
/* Whether the graduations stand out more, and on another ground, a little beside the band of half
 * width `half`: then finer and shorter ones lie between them there, which the picture does not
 * resolve, and make the band grey. Of a ruler without finer ones each row shows the same. */
gboolean pw_tick_hides_finer(const PwTickLine *line, const PwTickCurve *curve, int half);

/* ---- Graduation by graduation (ticks_comb.c) --------------------------------------- */

typedef enum {
  PW_COMB_COMPLETE, /* a graduation stands at every whole number */
  PW_COMB_EMPTY,    /* at few of them: a fraction of the true pitch, or none at all */
  PW_COMB_UNEVEN    /* some are so much fainter that two pitches are equally likely */
} PwComb;
PwComb pw_tick_comb(const double *signal, int n, const PwTickCurve *curve);

#endif
