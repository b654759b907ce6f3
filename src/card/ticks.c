/* Reading a ruler's graduations: of all periods that the signal along the line may have, the finest
 * at which the graduations are complete, gated on how straight its phase runs. */
#include "ticks.h"

#include <math.h>

static const double OUTSIDE_PX = 2; /* a line may end so far beyond the picture's edge */
static const double SHORTEST_PX = 24;
static const double FEWEST = 7; /* graduations on the line */
/* RMS of the phase, in graduations: the strips of tests/unit/card/test_ticks.c, and others held
 * out, read under it with errors of a few tenths of a percent at most. */
static const double GATE = 0.05;
static const double SURE = 0.002; /* standard uncertainty of the count over the count */
/* No end of a fit is surer than this, as with a tag's corner: printing and pixels are not even. */
static const double FLOOR_PX = 0.05;
static const double LEAST_SEEN = 0.7, SOME_SEEN = 0.3;
/* The band about the line: narrow, so that short graduations fill it, wide enough against noise. */
static const double BAND_PITCHES = 0.35;
enum { FIRST_HALF = 2, HARMONICS = 4 };
static const double HARMONIC_PX = 6;
/* The finest graduations that are looked for beside the line. */
static const double FINEST_PX = 3;
/* Where a hand may have drawn beside the graduations' ends. */
static const double SHIFT_PART = 0.01, LEAST_SHIFT_PX = 4, MOST_SHIFT_PX = 12;

typedef enum {
  READ_WELL,
  READ_NOTHING,
  READ_LOOSE, /* they are there, but run off a straight row */
  READ_SHORT, /* on a part of the line only */
  READ_STEEP,
  READ_UNSURE,
  READ_TWO_PITCHES,
  READ_HIDDEN, /* finer ones lie between, blurred to grey */
  READ_COARSE  /* finer ones lie beside */
} Verdict;

static const char *const WHY[] = {
    [READ_NOTHING] = "no graduations are seen along the line: draw it across them, near the edge "
                     "where every one crosses it, at least 7 of them and 3 px apart",
    [READ_LOOSE] = "the graduations do not run evenly along the line: the ruler may be bent or the "
                   "picture unsharp; draw a shorter line where they are sharp",
    [READ_SHORT] = "the graduations are seen on a part of the line only: begin and end it on the "
                   "first and last that cross it",
    [READ_STEEP] = "the line runs aslant of the ruler: draw it along the edge",
    [READ_UNSURE] = "too few graduations to be sure of their pitch: draw a longer line",
    [READ_TWO_PITCHES] =
        "two pitches are equally likely: draw the line nearer the edge where every "
        "graduation crosses it",
    [READ_HIDDEN] = "between the graduations that are seen the line is grey, as if finer ones lay "
                    "there, too fine in this picture: draw it clear of the ruler's edge, or take "
                    "the picture from nearer",
    [READ_COARSE] = "finer graduations stand beside the line, which crosses only the long ones: "
                    "draw it nearer the edge where every graduation crosses it",
};

typedef struct {
  PwTickFit fit;
  double slope, u_slope;
  double u_count; /* of both */
} Reading;

/* ---- One candidate ----------------------------------------------------------------- */

static int
half_band(const PwTickLine *line, const PwTickCurve *curve)
{
  return CLAMP((int)(BAND_PITCHES * line->n / curve->count), FIRST_HALF, PW_TICKS_WIDEST);
}

static void
take_band(const PwTickLine *line, const PwTickCurve *curve, double *signal, double *level)
{
  double pitch = line->n / curve->count;
  pw_tick_band(line, half_band(line, curve), signal);
  pw_tick_level(signal, line->n, 2 * (int)(pitch / 2) + 1, level);
}

/* Harmonics of narrow graduations tell where they stand better than the fundamental alone. */
static void
sharpen(const PwTickLine *line, const double *signal, PwTickFit *fit)
{
  g_autofree double *level = g_new(double, line->n);
  PwTickFit best = *fit;
  for (int h = 2; h <= HARMONICS && line->n / fit->curve.count / h >= HARMONIC_PX; h++) {
    PwTickFit finer;
    PwTickCurve start = {0, fit->curve.count * h, fit->curve.bend};
    pw_tick_level(signal, line->n, 2 * (int)(line->n / start.count / 2) + 1, level);
    if (!pw_tick_fit(level, line->n, &start, 0, &finer) || finer.residual > GATE)
      continue;
    finer.curve.count /= h;
    finer.u_count /= h;
    finer.residual /= h;
    if (finer.u_count < best.u_count && finer.seen >= LEAST_SEEN &&
        fabs(finer.curve.count - fit->curve.count) < 3 * hypot(fit->u_count, finer.u_count))
      best = finer;
  }
  best.curve.phase = fit->curve.phase;
  best.residual = fit->residual;
  best.seen = fit->seen;
  *fit = best;
}

static Verdict
judge(const double *signal, int n, const PwTickFit *fit)
{
  if (fit->residual > 2 * GATE || fit->seen < SOME_SEEN || fit->curve.count < FEWEST - 1)
    return READ_NOTHING;
  if (fit->residual > GATE)
    return READ_LOOSE;
  PwComb comb = pw_tick_comb(signal, n, &fit->curve);
  if (comb == PW_COMB_EMPTY)
    return READ_NOTHING;
  if (fit->seen < LEAST_SEEN)
    return READ_SHORT;
  return comb == PW_COMB_UNEVEN ? READ_TWO_PITCHES : READ_WELL;
}

/* The fit in the band that lies along the line's slope. */
static Verdict
try_fit(const PwTickLine *line, const PwTickCurve *start, double slack, PwTickFit *fit)
{
  g_autofree double *signal = g_new(double, line->n), *level = g_new(double, line->n);
  take_band(line, start, signal, level);
  if (!pw_tick_fit(level, line->n, start, slack, fit))
    return READ_NOTHING;
  Verdict verdict = judge(signal, line->n, fit);
  if (verdict == READ_WELL)
    sharpen(line, signal, fit);
  return verdict;
}

static double
slope_part(const Reading *reading)
{
  double angle = atan(reading->slope), u = reading->u_slope;
  return u * sqrt(angle * angle + u * u / 2);
}

static gboolean
hides_finer(PwTickLine line, const Reading *reading)
{
  line.slope = reading->slope;
  return pw_tick_hides_finer(&line, &reading->fit.curve, half_band(&line, &reading->fit.curve));
}

static Verdict
try_candidate(PwTickLine line, const PwTickCurve *start, double slack, Reading *reading)
{
  PwTickFit *fit = &reading->fit;
  Verdict verdict = try_fit(&line, start, slack, fit);
  if (verdict == READ_NOTHING)
    return verdict;
  pw_tick_slope(&line, &fit->curve, &reading->slope, &reading->u_slope);
  if (fabs(reading->slope) > PW_TICKS_STEEPEST)
    return READ_STEEP;
  line.slope = reading->slope;
  line.rows = NULL;
  PwTickCurve again = fit->curve;
  verdict = try_fit(&line, &again, 0, fit);
  double u_fit = hypot(fit->u_count, FLOOR_PX * fit->curve.count / line.length);
  reading->u_count = hypot(u_fit, fit->curve.count * slope_part(reading));
  if (verdict == READ_WELL && reading->u_count > SURE * fit->curve.count)
    return READ_UNSURE;
  return verdict == READ_WELL && hides_finer(line, reading) ? READ_HIDDEN : verdict;
}

/* ---- One band ---------------------------------------------------------------------- */

/* Coarser pitches are not asked. */
static gboolean
is_final(Verdict verdict)
{
  return verdict == READ_WELL || verdict == READ_TWO_PITCHES || verdict == READ_HIDDEN;
}

/* The finest period at which the graduations are complete. Where there is none, why the one that
 * came nearest was not taken. */
static Verdict
read_band(PwTickLine line, Reading *reading)
{
  g_autofree double *signal = g_new(double, line.n), *rows = pw_tick_rows(&line);
  PwTickCurve candidates[PW_TICKS_CANDIDATES];
  double slack[PW_TICKS_CANDIDATES];
  Verdict why = READ_NOTHING;
  line.rows = rows;
  pw_tick_band(&line, FIRST_HALF, signal);
  int n = pw_tick_candidates(signal, line.n, candidates, slack);
  for (int i = 0; i < n; i++) {
    Verdict verdict = try_candidate(line, &candidates[i], slack[i], reading);
    if (verdict == READ_TWO_PITCHES && why == READ_LOOSE)
      return why; /* what makes the finest stray makes coarser ones uneven */
    if (is_final(verdict))
      return verdict;
    if (verdict != READ_NOTHING && why != READ_LOOSE)
      why = verdict;
  }
  return why;
}

/* A hand is not always exact: bands a little beside the line, or aslant of it, where the line
 * itself shows nothing whole. What they say must agree. */
static Verdict
read_beside(PwTickLine line, Verdict why, Reading *reading)
{
  const PwTickLine drawn = line;
  double shift = CLAMP(SHIFT_PART * line.length, LEAST_SHIFT_PX, MOST_SHIFT_PX);
  gboolean found = FALSE;
  for (int i = 0; i < 9; i++) {
    Reading other;
    line.shift_from = shift * (i % 3 - 1);
    line.shift_to = shift * (i / 3 - 1);
    Verdict verdict = i == 4 ? READ_NOTHING : read_band(line, &other);
    if (verdict == READ_HIDDEN)
      return verdict;
    if (verdict == READ_TWO_PITCHES && why == READ_NOTHING)
      why = verdict;
    if (verdict != READ_WELL)
      continue;
    if (hides_finer(drawn, &other))
      return READ_HIDDEN;
    if (found && fabs(other.fit.curve.count / reading->fit.curve.count - 1) > 2 * SURE)
      return READ_TWO_PITCHES;
    if (!found || other.u_count < reading->u_count)
      *reading = other;
    found = TRUE;
  }
  return found ? READ_WELL : why;
}

/* How finer graduations divide coarser ones, and how far beside the line their ends may stand, in
 * pitches of the coarser. */
static const double DIVISIONS[] = {2, 5, 10};
static const double BESIDE[] = {0.2, 0.4, 0.8, 1.2};

static gboolean
is_divided(const PwTickLine *line, const PwTickCurve *curve)
{
  for (gsize i = 0; i < G_N_ELEMENTS(DIVISIONS); i++) {
    PwTickFit fit;
    PwTickCurve finer = {0, DIVISIONS[i] * curve->count, curve->bend};
    if (line->n / finer.count >= FINEST_PX && try_fit(line, &finer, 0, &fit) == READ_WELL)
      return TRUE;
  }
  return FALSE;
}

/* A line that crosses the long graduations alone reads fives or tens as ones. */
static gboolean
has_finer_beside(PwTickLine line, const Reading *reading)
{
  double pitch = line.length / reading->fit.curve.count;
  line.slope = reading->slope;
  for (gsize i = 0; i < 2 * G_N_ELEMENTS(BESIDE); i++) {
    double shift = BESIDE[i / 2] * pitch * (i % 2 ? 1 : -1);
    line.shift_from = line.shift_to = shift;
    line.rows = NULL;
    if (is_divided(&line, &reading->fit.curve))
      return TRUE;
  }
  return FALSE;
}

/* ---- The whole --------------------------------------------------------------------- */

static gboolean
check_bounds(const PwPlane *grey, PwPx from, PwPx to, GError **error)
{
  const PwPx ends[] = {from, to};
  if (grey->channels != 1 || grey->width < 1 || grey->height < 1) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_LIMIT, "graduations are read in one grey plane");
    return FALSE;
  }
  for (int i = 0; i < 2; i++)
    if (!(ends[i].x >= -OUTSIDE_PX && ends[i].x <= grey->width + OUTSIDE_PX &&
          ends[i].y >= -OUTSIDE_PX && ends[i].y <= grey->height + OUTSIDE_PX)) {
      g_set_error_literal(error, PW_ERROR, PW_ERROR_LIMIT,
                          "the line along the graduations leaves the picture");
      return FALSE;
    }
  if (hypot(to.x - from.x, to.y - from.y) > PW_LIMIT_TICKS_PX) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "the line along the graduations is longer than %d px", PW_LIMIT_TICKS_PX);
    return FALSE;
  }
  return TRUE;
}

/* What is counted along the line is farther apart along it than across the ruler: by the cosine of
 * the slope, whose own uncertainty is taken off its square and goes into the count's. */
static void
fill(const Reading *reading, double length, PwTicks *ticks)
{
  const PwTickFit *fit = &reading->fit;
  double angle = atan(reading->slope), u = reading->u_slope;
  double stretch = 1 / cos(sqrt(fmax(angle * angle - u * u, 0)));
  double count = fit->curve.count * stretch, bend = fit->curve.bend;
  *ticks = (PwTicks){
      .a = count * (1 + bend) / length,
      .c = bend / length,
      .count = count,
      .u_count = reading->u_count,
      .dof = fit->dof,
      .residual = fit->residual,
      .drift = (1 + bend) * (1 + bend) - 1,
  };
}

gboolean
pw_ticks_read(const PwPlane *grey, PwPx from, PwPx to, PwTicks *ticks, GError **error)
{
  if (!check_bounds(grey, from, to, error))
    return FALSE;
  Reading reading = {0};
  PwTickLine line = {.grey = grey, .from = from, .to = to};
  line.length = hypot(to.x - from.x, to.y - from.y);
  line.n = (int)line.length;
  Verdict verdict = line.length < SHORTEST_PX ? READ_NOTHING : read_band(line, &reading);
  if (!is_final(verdict) && line.length >= SHORTEST_PX)
    verdict = read_beside(line, verdict, &reading);
  if (verdict == READ_WELL && has_finer_beside(line, &reading))
    verdict = READ_COARSE;
  if (verdict != READ_WELL) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, WHY[verdict]);
    return FALSE;
  }
  fill(&reading, line.length, ticks);
  return TRUE;
}
