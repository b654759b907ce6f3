/* One straight edge beside a line that was drawn by hand.
 *
 * Straight across the line the picture is sampled at many places. Every straight line that passes
 * both ends within reach is asked how steep the picture is across it, all along; the steepest is
 * the edge. Then the middle of the rise of light is found at each place and a line fitted through
 * those that agree.
 */
#include "side.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PLACES_MIN = 16, PLACES_MAX = 240, ROUNDS = 4, BLOCKS = 16 };
/* The rise is the difference of the light so far to either side. */
static const double HALF_RISE_PX = 1.5;
/* The middle of a rise is sought within so many half px. */
enum { PROFILE = 25 };
/* What rises less steeply than this part of the steepest is not of the edge; a block whose rise is
 * below that part of the others' has none. */
static const double FOOT = 0.2, FAINT = 0.3;
/* And what rises more than this part is its steepest part. */
static const double TOP = 0.55;
/* An edge is seen along this part of the line at least, and more along a short one. */
static const double SEEN = 0.35, SEEN_SHORT = 2.5;
/* Lines so far to either side at least are asked, to know how plain lines are here. */
static const double AROUND_PX = 24;
/* A rise of this part of the steepest counts in full: two steps of grey in a frame are two edges.
 */
static const double FULL = 0.5;
/* It stands out against the middle of all lines by this much. A slow change does not. */
static const double STANDS_OUT = 2.5;
/* Another line as plain as this, further away than that, in px, with less between. */
static const double AS_PLAIN = 0.65, AWAY_PX = 2.5, VALLEY = 0.8;
/* What lies at the end of the reach counts so much less than what lies under the line. */
static const double FAR_LESS = 0.4;
/* The middle of a rise is known no better than this, however little it scatters. */
static const double U_MIN_PX = 0.02;

typedef struct {
  const PwPlane *grey;
  double light[256];
  PwPx from, to;
  double nx, ny, length; /* the normal, to the left */
  double margin, reach;
  int n, half;  /* places along; whole px to either side */
  double *rise; /* n rows of 2 half + 1 */
  double full;  /* the rise that counts as a whole one */
} Side;

static double
light_at(const Side *side, double x, double y)
{
  const PwPlane *grey = side->grey;
  x = fmin(fmax(x - 0.5, 0), grey->width - 1);
  y = fmin(fmax(y - 0.5, 0), grey->height - 1);
  int x0 = (int)x, y0 = (int)y;
  const guint8 *at = grey->pixels + (gsize)y0 * grey->stride + x0;
  gsize right = x0 + 1 < grey->width ? 1 : 0, below = y0 + 1 < grey->height ? grey->stride : 0;
  double u = x - x0, v = y - y0;
  const double *light = side->light;
  return (1 - v) * ((1 - u) * light[at[0]] + u * light[at[right]]) +
         v * ((1 - u) * light[at[below]] + u * light[at[below + right]]);
}

/* 0..1 along the line. */
static double
part_of(const Side *side, int i)
{
  return side->margin + (1 - 2 * side->margin) * (i + 0.5) / side->n;
}

static double
light_beside(const Side *side, double t, double off)
{
  return light_at(side, side->from.x + t * (side->to.x - side->from.x) + off * side->nx,
                  side->from.y + t * (side->to.y - side->from.y) + off * side->ny);
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
middle_of(double *values, int n, double part)
{
  qsort(values, (gsize)n, sizeof *values, compare_doubles);
  return values[(int)(part * (n - 1))];
}

static void
sample(Side *side)
{
  int row = 2 * side->half + 1;
  g_autofree double *steepest = g_new0(double, side->n);
  side->rise = g_new(double, (gsize)side->n *(gsize)row);
  for (int i = 0; i < side->n; i++)
    for (int k = 0; k < row; k++) {
      double off = k - side->half, t = part_of(side, i);
      double rise =
          light_beside(side, t, off + HALF_RISE_PX) - light_beside(side, t, off - HALF_RISE_PX);
      side->rise[(gsize)i * (gsize)row + (gsize)k] = rise;
      steepest[i] = fmax(steepest[i], fabs(rise));
    }
  side->full = FULL * middle_of(steepest, side->n, 0.75);
}

/* How plain the line is that passes the ends at whole px `p` and `q`, -1 to 1. */
static double
plainness(const Side *side, int p, int q)
{
  int row = 2 * side->half + 1;
  double sum = 0;
  for (int i = 0; i < side->n; i++) {
    double t = part_of(side, i);
    int k = (int)lround(p + t * (q - p)) + side->half;
    double rise = side->rise[(gsize)i * (gsize)row + (gsize)k] / side->full;
    sum += fmin(fmax(rise, -1), 1);
  }
  double far = fmax(abs(p), abs(q)) / fmax(side->reach, 1);
  return sum / side->n * (1 - FAR_LESS * fmin(far, 1));
}

typedef struct {
  int p, q;
  double plain;
} Candidate;

/* As plain as any of its neighbours. */
static gboolean
is_peak(const double *plain, int half, int p, int q)
{
  int row = 2 * half + 1;
  double here = fabs(plain[(p + half) * row + q + half]);
  for (int dp = -1; dp <= 1; dp++)
    for (int dq = -1; dq <= 1; dq++)
      if (abs(p + dp) <= half && abs(q + dq) <= half &&
          fabs(plain[(p + dp + half) * row + q + dq + half]) > here)
        return FALSE;
  return TRUE;
}

/* Apart from the others, and a valley or an edge of the other sign between. */
static gboolean
is_apart(const double *plain, int half, const Candidate *others, int n, const Candidate *here)
{
  for (int i = 0; i < n; i++) {
    int p = (int)lround((here->p + others[i].p) / 2.0);
    int q = (int)lround((here->q + others[i].q) / 2.0);
    double between = plain[(p + half) * (2 * half + 1) + q + half];
    double same = here->plain > 0 ? between : -between;
    if (MAX(abs(here->p - others[i].p), abs(here->q - others[i].q)) <= AWAY_PX ||
        ((here->plain > 0) == (others[i].plain > 0) && same > VALLEY * fabs(here->plain)))
      return FALSE;
  }
  return TRUE;
}

/* The plainest peak within reach, apart from those found already. */
static Candidate
plainest(const double *plain, int half, int reach, const Candidate *found, int n)
{
  Candidate best = {0, 0, 0};
  for (int p = -reach; p <= reach; p++)
    for (int q = -reach; q <= reach; q++) {
      Candidate here = {p, q, plain[(p + half) * (2 * half + 1) + q + half]};
      if (fabs(here.plain) > fabs(best.plain) && is_apart(plain, half, found, n, &here) &&
          is_peak(plain, half, p, q))
        best = here;
    }
  return best;
}

static int
search(const Side *side, Candidate found[PW_SIDE_EDGES])
{
  int row = 2 * side->half + 1, n = 0;
  g_autofree double *plain = g_new(double, (gsize)row *(gsize)row);
  g_autofree double *sizes = g_new(double, (gsize)row *(gsize)row);
  for (int p = -side->half; p <= side->half; p++)
    for (int q = -side->half; q <= side->half; q++) {
      int at = (p + side->half) * row + q + side->half;
      plain[at] = plainness(side, p, q);
      sizes[at] = fabs(plain[at]);
    }
  double least =
      fmax(fmax(SEEN, SEEN_SHORT / sqrt(side->n)), STANDS_OUT * middle_of(sizes, row * row, 0.5));
  for (; n < PW_SIDE_EDGES; n++) {
    found[n] = plainest(plain, side->half, (int)ceil(side->reach), found, n);
    if (fabs(found[n].plain) < (n == 0 ? least : AS_PLAIN * fabs(found[0].plain)))
      break;
  }
  return n;
}

/* ---- The fit ----------------------------------------------------------------------- */

/* Where the edge was seen in one block of places; `lean`: how much further its steepest part lies
 * than the whole of it, which it does not where both sides are even. */
typedef struct {
  double t, off, lean, rise, weight;
} Sight;

/* The mean light of a block beside the edge as it is known so far, every half px. */
static void
mean_profile(const Side *side, int block, const PwSideEdge *edge, double profile[PROFILE],
             double *t)
{
  int first = block * side->n / BLOCKS, end = (block + 1) * side->n / BLOCKS;
  memset(profile, 0, PROFILE * sizeof *profile);
  *t = 0;
  for (int i = first; i < end; i++) {
    double at = part_of(side, i), off = edge->at_from + at * (edge->at_to - edge->at_from);
    *t += at / (end - first);
    for (int k = 0; k < PROFILE; k++)
      profile[k] += light_beside(side, at, off + (k - PROFILE / 2) / 2.0) / (end - first);
  }
}

/* The centre of mass of what rises more steeply than a part of the steepest, in px; about the
 * steepest place alone, so that noise pulls no way. */
static double
middle_above(const double *rise, int steepest, double part)
{
  double foot = part * rise[steepest], sum = 0, weight = 0;
  int first = steepest, last = steepest;
  while (first > 0 && rise[first - 1] > foot)
    first--;
  while (last + 2 < PROFILE && rise[last + 1] > foot)
    last++;
  for (int k = first; k <= last; k++) {
    weight += rise[k] - foot;
    sum += (rise[k] - foot) * (k + 0.5 - PROFILE / 2) / 2;
  }
  return weight > 0 ? sum / weight : 0;
}

static Sight
sight_of(const double profile[PROFILE], int sign)
{
  double rise[PROFILE - 1];
  int steepest = 0;
  for (int k = 0; k + 1 < PROFILE; k++) {
    rise[k] = sign * (profile[k + 1] - profile[k]);
    if (rise[k] > rise[steepest])
      steepest = k;
  }
  double off = middle_above(rise, steepest, FOOT), top = middle_above(rise, steepest, TOP);
  return (Sight){0, off, top - off, rise[steepest], rise[steepest] > 0};
}

/* Sums for a weighted straight line through the sights. */
typedef struct {
  double w, t, tt, y, ty;
} Sums;

static Sums
sums_of(const Sight *sights)
{
  Sums s = {0};
  for (int i = 0; i < BLOCKS; i++) {
    const Sight *sight = &sights[i];
    s.w += sight->weight;
    s.t += sight->weight * sight->t;
    s.tt += sight->weight * sight->t * sight->t;
    s.y += sight->weight * sight->off;
    s.ty += sight->weight * sight->t * sight->off;
  }
  return s;
}

static gboolean
fit_line(const Sight *sights, PwSideEdge *edge)
{
  Sums s = sums_of(sights);
  double determinant = s.w * s.tt - s.t * s.t;
  if (!(s.w > 2) || !(determinant > 1e-6 * s.w * s.w))
    return FALSE;
  double slope = (s.w * s.ty - s.t * s.y) / determinant;
  edge->at_from = (s.y - slope * s.t) / s.w;
  edge->at_to = edge->at_from + slope;
  return TRUE;
}

static double
residual(const Sight *sight, const PwSideEdge *edge)
{
  return sight->off - edge->at_from - sight->t * (edge->at_to - edge->at_from);
}

/* Blocks without the edge do not count, and those that do not agree count less: Tukey's weights, at
 * six times the middle departure. */
static void
weigh(Sight *sights, const PwSideEdge *edge)
{
  double sizes[BLOCKS], rises[BLOCKS];
  for (int i = 0; i < BLOCKS; i++) {
    sizes[i] = fabs(residual(&sights[i], edge));
    rises[i] = sights[i].rise;
  }
  double scale = fmax(6 * middle_of(sizes, BLOCKS, 0.5), 0.1);
  double faint = FAINT * middle_of(rises, BLOCKS, 0.5);
  for (int i = 0; i < BLOCKS; i++) {
    double r = residual(&sights[i], edge) / scale;
    sights[i].weight *= fabs(r) < 1 && sights[i].rise > faint ? (1 - r * r) * (1 - r * r) : 0;
  }
}

/* Of the line at its worse end: from the scatter of the blocks about it, and from how unlike the
 * two flanks of the edge are, which moves all blocks alike. */
static double
uncertainty(const Sight *sights, const PwSideEdge *edge)
{
  Sums s = sums_of(sights);
  double squares = 0, lean = 0;
  for (int i = 0; i < BLOCKS; i++) {
    double r = residual(&sights[i], edge);
    squares += sights[i].weight * r * r;
    lean += sights[i].weight * sights[i].lean / s.w;
  }
  double mean = s.t / s.w, end = fmax(mean, 1 - mean), spread = s.tt / s.w - mean * mean;
  double variance = s.w > 2 ? squares / (s.w - 2) / s.w * (1 + end * end / spread) : HUGE_VAL;
  return fmin(fmax(sqrt(variance + lean * lean), U_MIN_PX), PW_REACH_MAX);
}

static gboolean
fit(const Side *side, const Candidate *start, PwSideEdge *edge)
{
  Sight sights[BLOCKS];
  *edge = (PwSideEdge){start->p, start->q, 0, start->plain > 0 ? 1 : -1};
  for (int round = 0; round < ROUNDS; round++) {
    for (int i = 0; i < BLOCKS; i++) {
      double profile[PROFILE], t;
      mean_profile(side, i, edge, profile, &t);
      sights[i] = sight_of(profile, edge->sign);
      sights[i].t = t;
      sights[i].off += edge->at_from + t * (edge->at_to - edge->at_from);
    }
    if (round > 0)
      weigh(sights, edge);
    if (!fit_line(sights, edge))
      return FALSE;
  }
  edge->u = uncertainty(sights, edge);
  return TRUE;
}

int
pw_side_find(const PwPlane *grey, PwPx from, PwPx to, double reach, double margin,
             PwSideEdge edges[PW_SIDE_EDGES])
{
  Side side = {.grey = grey, .from = from, .to = to, .margin = margin, .reach = reach};
  side.length = hypot(to.x - from.x, to.y - from.y);
  side.nx = (to.y - from.y) / side.length;
  side.ny = (from.x - to.x) / side.length;
  side.n = (int)fmin(fmax(side.length, PLACES_MIN), PLACES_MAX);
  side.half = (int)ceil(fmax(reach, AROUND_PX));
  for (int v = 0; v < 256; v++)
    side.light[v] = pw_srgb_light((guint8)v);
  sample(&side);
  Candidate found[PW_SIDE_EDGES];
  int n = side.full > 0 ? search(&side, found) : 0;
  for (int i = 0; i < n; i++)
    if (!fit(&side, &found[i], &edges[i]))
      n = i;
  g_free(side.rise);
  return n;
}
