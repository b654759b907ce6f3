/* A card's plane from its tags' corners, in two steps: which tags agree at all, then which of
 * their corners stand out.
 *
 * Residuals are in px: the plane is fitted from mm to px, where corners are equally sure, and
 * turned round at the end. A lens moves corners of a large card by more than they are unsure of;
 * so nothing is measured against a fixed number of pixels alone, but tags against their own size
 * and corners against the middle one of all residuals.
 */
#include "fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A tag agrees with a plane when no corner lies further off than this part of its edge. 2 % of
 * barrel over a card as large as the picture stays under it; another card's tag does not. */
static const double AGREES = 0.15;
/* A corner stands out from this many times the median residual on (of a normal spread the median
 * in two dimensions is 1.18 sigma), but never within so many px: half the blur of a usual edge. */
static const double STANDS_OUT = 5, NEVER_WITHIN_PX = 0.75;
/* A tag that lies so near to its place that it still agrees betrays itself otherwise: without it
 * the others fit that many times better. What a lens does to a card is done to all tags of it. */
static const double STRAY = 5;
/* At most this part of the corners may stand out: more are not a few bad ones. */
static const double MOST_OUTLIERS = 0.25;
enum {
  MOST_PAIRS = 400 /* of a sheet's 1953, from which an agreement is sought */,
  MOST_ROUNDS = 4
};

/* The corners of some tags, in step. */
typedef struct {
  double (*mm)[2], (*px)[2];
  double (*out)[2]; /* 1 or -1: which way is out of the tag */
  gsize *tag;       /* which of the tags given */
  gsize n;
} Corners;

typedef struct {
  PwCardSize size;
  const PwTag *tags;
  const int *numbers;
  gsize n;
} Tags;

static void
corners_init(Corners *corners, const Tags *tags)
{
  gsize most = 4 * tags->n;
  *corners = (Corners){g_malloc_n(most, sizeof(double[2])), g_malloc_n(most, sizeof(double[2])),
                       g_malloc_n(most, sizeof(double[2])), g_new(gsize, most), 0};
}

static void
corners_clear(Corners *corners)
{
  g_free(corners->mm);
  g_free(corners->px);
  g_free(corners->out);
  g_free(corners->tag);
}

static void
add_corners(Corners *corners, const Tags *tags, gsize i)
{
  for (int corner = 0; corner < 4; corner++) {
    PwMm mm = pw_card_corner(tags->size, tags->numbers[i], corner);
    corners->mm[corners->n][0] = mm.x;
    corners->mm[corners->n][1] = mm.y;
    corners->px[corners->n][0] = tags->tags[i].corners[corner].x;
    corners->px[corners->n][1] = tags->tags[i].corners[corner].y;
    corners->out[corners->n][0] = corner == 1 || corner == 2 ? 1 : -1;
    corners->out[corners->n][1] = corner >= 2 ? 1 : -1;
    corners->tag[corners->n++] = i;
  }
}

static double
residual(const PwHomography *to_px, const Corners *corners, gsize i)
{
  double x, y;
  pw_homography_apply(to_px, corners->mm[i][0], corners->mm[i][1], &x, &y);
  return hypot(x - corners->px[i][0], y - corners->px[i][1]);
}

static gboolean
fit_corners(const Corners *corners, PwHomography *to_px)
{
  return pw_homography_fit((const double(*)[2])corners->mm, (const double(*)[2])corners->px,
                           corners->n, to_px, NULL, NULL);
}

/* ---- Which tags agree -------------------------------------------------------------- */

static gboolean
agrees(const Tags *tags, gsize i, const PwHomography *to_px)
{
  double allowed = AGREES * pw_tag_edge_px(&tags->tags[i]);
  for (int corner = 0; corner < 4; corner++) {
    PwMm mm = pw_card_corner(tags->size, tags->numbers[i], corner);
    double x, y;
    pw_homography_apply(to_px, mm.x, mm.y, &x, &y);
    if (!(hypot(x - tags->tags[i].corners[corner].x, y - tags->tags[i].corners[corner].y) <=
          allowed))
      return FALSE;
  }
  return TRUE;
}

static gsize
collect(const Tags *tags, const PwHomography *to_px, gboolean *in)
{
  gsize n = 0;
  for (gsize i = 0; i < tags->n; i++) {
    in[i] = agrees(tags, i, to_px);
    n += in[i] ? 1 : 0;
  }
  return n;
}

/* Fits those marked in and marks those that agree with the fit, until the marks stay; the number
 * of them, 0 where no plane can be fitted. */
static gsize
settle(const Tags *tags, gboolean *in)
{
  Corners corners;
  gsize n = 0, before = 0;
  corners_init(&corners, tags);
  for (int round = 0; round < MOST_ROUNDS; round++) {
    PwHomography to_px;
    corners.n = 0;
    for (gsize i = 0; i < tags->n; i++)
      if (in[i])
        add_corners(&corners, tags, i);
    before = corners.n / 4;
    n = corners.n > 4 && fit_corners(&corners, &to_px) ? collect(tags, &to_px, in) : 0;
    if (n <= before)
      break;
  }
  corners_clear(&corners);
  return n;
}

/* The largest set of tags that agree, so far. */
typedef struct {
  gboolean *in;
  gsize n;
  gboolean rivalled; /* by another set as large */
} Agreement;

static gboolean
is_same_set(const gboolean *a, const gboolean *b, gsize n)
{
  return memcmp(a, b, n * sizeof *a) == 0;
}

static void
consider(const Tags *tags, const gboolean *in, gsize n, Agreement *best)
{
  if (n == best->n && !is_same_set(in, best->in, tags->n))
    best->rivalled = TRUE;
  if (n <= best->n)
    return;
  best->n = n;
  best->rivalled = FALSE;
  memcpy(best->in, in, tags->n * sizeof *in);
}

static void
consider_pair(const Tags *tags, gsize a, gsize b, gboolean *in, Agreement *best)
{
  for (gsize i = 0; i < tags->n; i++)
    in[i] = i == a || i == b;
  gsize n = settle(tags, in);
  if (n >= 2 && in[a] && in[b])
    consider(tags, in, n, best);
}

/* Marks the largest set of tags that agree: all of them, or the largest that grows from a pair.
 * FALSE when no two do, or when two sets are as large and neither is nearly all. */
static gboolean
find_agreement(const Tags *tags, gboolean *agreed)
{
  Agreement best = {agreed, 1, FALSE};
  g_autofree gboolean *in = g_new(gboolean, tags->n);
  gsize step = 1 + tags->n * (tags->n - 1) / 2 / MOST_PAIRS, pair = 0;
  for (gsize i = 0; i < tags->n; i++)
    in[i] = TRUE;
  if (settle(tags, in) == tags->n)
    consider(tags, in, tags->n, &best);
  for (gsize a = 0; a < tags->n && best.n < tags->n; a++)
    for (gsize b = a + 1; b < tags->n && best.n < tags->n; b++)
      if (pair++ % step == 0)
        consider_pair(tags, a, b, in, &best);
  return best.n >= 2 && (!best.rivalled || 4 * best.n > 3 * tags->n);
}

/* RMS in px of the tags that are in, but for `without`; HUGE_VAL where no plane can be fitted. */
static double
rms_without(const Tags *tags, const gboolean *in, gsize without, Corners *corners)
{
  PwHomography to_px;
  double sum = 0;
  corners->n = 0;
  for (gsize i = 0; i < tags->n; i++)
    if (in[i] && i != without)
      add_corners(corners, tags, i);
  if (corners->n < 8 || !fit_corners(corners, &to_px))
    return HUGE_VAL;
  for (gsize i = 0; i < corners->n; i++)
    sum += residual(&to_px, corners, i) * residual(&to_px, corners, i);
  return sqrt(sum / (double)corners->n);
}

/* Takes out one tag without which the others fit far better; FALSE where there is none. */
static gboolean
drop_stray(const Tags *tags, gboolean *in)
{
  Corners corners;
  corners_init(&corners, tags);
  double all = rms_without(tags, in, tags->n, &corners), least = HUGE_VAL;
  gsize stray = 0;
  for (gsize i = 0; i < tags->n; i++) {
    double rest = in[i] ? rms_without(tags, in, i, &corners) : HUGE_VAL;
    stray = rest < least ? i : stray;
    least = fmin(rest, least);
  }
  corners_clear(&corners);
  gboolean found = all > NEVER_WITHIN_PX && STRAY * least < all;
  if (found)
    in[stray] = FALSE;
  return found;
}

/* ---- Which corners stand out ------------------------------------------------------- */

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median(double *values, gsize n)
{
  qsort(values, n, sizeof *values, compare_doubles);
  return n % 2 == 1 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

/* The corner that is furthest off, if it stands out; else `n`. */
static gsize
find_outlier(const Corners *corners, const PwHomography *to_px)
{
  g_autofree double *off = g_new(double, corners->n);
  gsize worst = 0;
  for (gsize i = 0; i < corners->n; i++) {
    off[i] = residual(to_px, corners, i);
    worst = off[i] > off[worst] ? i : worst;
  }
  double furthest = off[worst];
  double allowed = fmax(NEVER_WITHIN_PX, STANDS_OUT * median(off, corners->n));
  return furthest > allowed ? worst : corners->n;
}

static void
remove_corner(Corners *corners, gsize i)
{
  corners->n--;
  for (; i < corners->n; i++) {
    for (int k = 0; k < 2; k++) {
      corners->mm[i][k] = corners->mm[i + 1][k];
      corners->px[i][k] = corners->px[i + 1][k];
      corners->out[i][k] = corners->out[i + 1][k];
    }
    corners->tag[i] = corners->tag[i + 1];
  }
}

/* Leaves out, one after the other, the corners that stand out. */
static gboolean
fit_without_outliers(Corners *corners, PwHomography *to_px)
{
  const gsize least = corners->n - (gsize)(MOST_OUTLIERS * (double)corners->n);
  while (fit_corners(corners, to_px)) {
    gsize outlier = find_outlier(corners, to_px);
    if (outlier == corners->n)
      return TRUE;
    if (corners->n == least)
      return FALSE;
    remove_corner(corners, outlier);
  }
  return FALSE;
}

/* ---- Spill ------------------------------------------------------------------------- */

/* Where an edge is blurred, a camera's tone curve lets white spill over black, and a printer's ink
 * spreads the other way: every edge of black lies off by one distance, which is taken for the size
 * of a card whose tags stand close together. Half a px of it is common out of focus.
 * On the sheet, whose tags stand on every side of each other, it does no harm, and a bent lens
 * would be taken for it. */
enum { SPILL_ROUNDS = 6 }; /* a fit takes up less than half of what it is not told of */

/* A step from a corner, in mm, as the picture shows it: a unit vector. */
static void
unit_step(const PwHomography *to_px, const double mm[2], double dx, double dy, double out[2])
{
  double x0, y0, x1, y1;
  pw_homography_apply(to_px, mm[0], mm[1], &x0, &y0);
  pw_homography_apply(to_px, mm[0] + dx, mm[1] + dy, &x1, &y1);
  double length = hypot(x1 - x0, y1 - y0);
  out[0] = (x1 - x0) / length;
  out[1] = (y1 - y0) / length;
}

/* How a corner moves when both edges that meet in it move outwards by one px. */
static void
outwards(const PwHomography *to_px, const Corners *corners, gsize i, double out[2])
{
  double along[2], across[2];
  unit_step(to_px, corners->mm[i], corners->out[i][0], 0, along);
  unit_step(to_px, corners->mm[i], 0, corners->out[i][1], across);
  double sine = fabs(along[0] * across[1] - along[1] * across[0]);
  for (int k = 0; k < 2; k++)
    out[k] = (along[k] + across[k]) / sine;
}

/* By how many px the edges lie outside of where the plane has them, by least squares. */
static double
find_spill(const PwHomography *to_px, const Corners *corners)
{
  double product = 0, square = 0;
  for (gsize i = 0; i < corners->n; i++) {
    double x, y, out[2];
    pw_homography_apply(to_px, corners->mm[i][0], corners->mm[i][1], &x, &y);
    outwards(to_px, corners, i, out);
    product += (corners->px[i][0] - x) * out[0] + (corners->px[i][1] - y) * out[1];
    square += out[0] * out[0] + out[1] * out[1];
  }
  return product / square;
}

/* Puts the corners where they are without it, and fits them anew. */
static gboolean
fit_without_spill(Corners *corners, PwHomography *to_px)
{
  for (int round = 0; round < SPILL_ROUNDS; round++) {
    double spill = find_spill(to_px, corners);
    for (gsize i = 0; i < corners->n; i++) {
      double out[2];
      outwards(to_px, corners, i, out);
      for (int k = 0; k < 2; k++)
        corners->px[i][k] -= spill * out[k];
    }
    if (!fit_corners(corners, to_px))
      return FALSE;
  }
  return TRUE;
}

/* ---- The card ---------------------------------------------------------------------- */

static void
fill_card(PwCardSize size, const Corners *corners, const PwHomography *to_px, PwFoundCard *card)
{
  double sum = 0;
  card->size = size;
  card->n = corners->n;
  card->px = g_new(PwPx, card->n);
  card->mm = g_new(PwMm, card->n);
  card->n_tags = 0;
  for (gsize i = 0; i < card->n; i++) {
    card->px[i] = (PwPx){corners->px[i][0], corners->px[i][1]};
    card->mm[i] = (PwMm){corners->mm[i][0], corners->mm[i][1]};
    card->n_tags += i == 0 || corners->tag[i] != corners->tag[i - 1] ? 1 : 0;
    double off = residual(to_px, corners, i);
    sum += off * off;
  }
  card->rms_px = sqrt(sum / (double)card->n);
}

gboolean
pw_card_fit(PwCardSize size, const PwTag *tags, const int *numbers, gsize n, PwFoundCard *card,
            guint64 *dropped)
{
  const Tags all = {size, tags, numbers, n};
  g_autofree gboolean *in = g_new0(gboolean, n);
  PwHomography to_px, to_mm;
  *dropped = 0;
  if (n < 2 || !find_agreement(&all, in))
    return FALSE;
  while (drop_stray(&all, in))
    ;
  Corners corners;
  corners_init(&corners, &all);
  for (gsize i = 0; i < n; i++)
    if (in[i])
      add_corners(&corners, &all, i);
    else
      *dropped |= G_GUINT64_CONSTANT(1) << numbers[i];
  gboolean fits = fit_without_outliers(&corners, &to_px) &&
                  (size == PW_CARD_SHEET || fit_without_spill(&corners, &to_px)) &&
                  pw_homography_invert(&to_px, &to_mm);
  if (fits) {
    fill_card(size, &corners, &to_px, card);
    card->h = to_mm;
  }
  corners_clear(&corners);
  return fits;
}
