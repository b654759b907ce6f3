/* Evidence: each square of the picture before looks for its like in the picture after, a few px
 * round where the fit puts it. Where one flat surface is seen twice, most find it there; where the
 * two have nothing in common each finds another place; where the surface is not flat, neighbours
 * find the same place, but another.
 */
#include "evidence.h"

#include <math.h>

enum {
  CELL = 32, /* px of the copy a side */
  REACH = 4, /* px of the copy to each side */
  SPAN = 2 * REACH + 1,
  WIDE = CELL + 2 * REACH,
  CELLS_LEAST = 12 /* with texture */
};
/* Grey values: a square that deviates less from its mean has no texture. */
#define LEAST_DEVIATION 1.0
/* A best place within this of where it should be is there; px of the copy. */
#define THERE_PX 1.5
/* By chance a square finds its best place there 9 times in 81. */
#define LEAST_AGREEMENT 0.4
/* Squares that find their like, but elsewhere: correlation from which they did. */
#define FOUND 0.8
/* So many for one that agrees, and the surface is not flat. */
#define MOST_ELSEWHERE 0.3
#define LEAST_OVERLAP 0.1

typedef struct {
  const PwGrey *before, *after;
  PwHomography to_after;
  PwAlignCell *cells;
  gboolean *is_covered;
  gint n_within; /* atomic */
  const PwPxPath *within;
  int across;
} Judging;

typedef struct {
  float before[CELL * CELL], after[WIDE * WIDE];
} Pair;

/* Normalised correlation of the cell with what lies (dx, dy) off. */
static double
correlation_at(const Pair *pair, double mean, double deviation, int dx, int dy)
{
  double sum = 0, squares = 0, products = 0;
  for (int y = 0; y < CELL; y++) {
    const float *b = pair->before + y * CELL;
    const float *a = pair->after + (y + dy) * WIDE + dx;
    float part[3] = {0}; /* sum, squares, products of the row */
    for (int x = 0; x < CELL; x++) {
      part[0] += a[x];
      part[1] += a[x] * a[x];
      part[2] += a[x] * b[x];
    }
    sum += (double)part[0];
    squares += (double)part[1];
    products += (double)part[2];
  }
  const double n = CELL * CELL;
  double variance = squares / n - sum / n * (sum / n);
  double spread = sqrt(MAX(variance, 0)) * deviation;
  return spread > 0 ? (products / n - sum / n * mean) / spread : 0;
}

/* Where a parabola through three neighbours has its top, from the middle one. */
static double
top_of(double left, double middle, double right)
{
  double bend = left - 2 * middle + right;
  return bend < 0 ? CLAMP((left - right) / (2 * bend), -0.5, 0.5) : 0;
}

static void
find_best(const Pair *pair, double mean, double deviation, double scale, PwAlignCell *cell)
{
  double at[SPAN][SPAN];
  int best_x = REACH, best_y = REACH;
  for (int i = 0; i < SPAN * SPAN; i++)
    at[i / SPAN][i % SPAN] = correlation_at(pair, mean, deviation, i % SPAN, i / SPAN);
  for (int i = 0; i < SPAN * SPAN; i++)
    if (at[i / SPAN][i % SPAN] > at[best_y][best_x]) {
      best_x = i % SPAN;
      best_y = i / SPAN;
    }
  double dx = best_x - REACH, dy = best_y - REACH;
  if (best_x > 0 && best_x < SPAN - 1)
    dx += top_of(at[best_y][best_x - 1], at[best_y][best_x], at[best_y][best_x + 1]);
  if (best_y > 0 && best_y < SPAN - 1)
    dy += top_of(at[best_y - 1][best_x], at[best_y][best_x], at[best_y + 1][best_x]);
  cell->correlation = at[best_y][best_x];
  cell->agrees = hypot(dx, dy) <= THERE_PX;
  cell->dx = dx / scale;
  cell->dy = dy / scale;
}

static gboolean
all_there(const guint8 *there, int n)
{
  for (int k = 0; k < n; k++)
    if (!there[k])
      return FALSE;
  return TRUE;
}

/* The square of before from (x, y) and what lies over it, into `pair`, grey values from the middle
 * one. FALSE where after does not cover it, or a card lies on either. */
static gboolean
take(const Judging *judging, int x, int y, Pair *pair, double *mean, double *deviation)
{
  guint8 there[WIDE * WIDE];
  double sum = 0, squares = 0;
  pw_grey_cut(judging->before, x, y, CELL, CELL, pair->before, there);
  if (!all_there(there, CELL * CELL))
    return FALSE;
  pw_grey_warp(judging->after, &judging->to_after, x - REACH, y - REACH, WIDE, WIDE, pair->after,
               there);
  if (!all_there(there, WIDE * WIDE))
    return FALSE;
  for (int k = 0; k < CELL * CELL; k++) {
    pair->before[k] -= 128;
    double value = (double)pair->before[k];
    sum += value;
    squares += value * value;
  }
  for (int k = 0; k < WIDE * WIDE; k++)
    pair->after[k] -= 128;
  *mean = sum / (CELL * CELL);
  *deviation = sqrt(MAX(squares / (CELL * CELL) - *mean * *mean, 0));
  return TRUE;
}

/* Whether the frame of after reaches round the square from (x, y). */
static gboolean
is_framed(const Judging *judging, int x, int y)
{
  const PwHomography *h = &judging->to_after;
  for (int i = 0; i < 4; i++) {
    double to_x, to_y, corner_x = x - REACH + (i % 2 ? WIDE : 0),
                       corner_y = y - REACH + (i / 2 ? WIDE : 0);
    if (!(h->m[6] * corner_x + h->m[7] * corner_y + h->m[8] > 0))
      return FALSE;
    pw_homography_apply(h, corner_x, corner_y, &to_x, &to_y);
    if (!(to_x >= 0 && to_y >= 0 && to_x <= judging->after->width &&
          to_y <= judging->after->height))
      return FALSE;
  }
  return TRUE;
}

static void
judge_cell(void *user, guint i)
{
  Judging *judging = user;
  const PwGrey *before = judging->before;
  Pair pair;
  double mean, deviation;
  int x = (int)i % judging->across * CELL, y = (int)i / judging->across * CELL;
  if (!pw_grey_is_within(before, judging->within, x + CELL / 2.0, y + CELL / 2.0))
    return;
  gboolean taken = take(judging, x, y, &pair, &mean, &deviation);
  if (taken || !is_framed(judging, x, y))
    g_atomic_int_inc(&judging->n_within);
  if (!taken)
    return;
  PwAlignCell *cell = &judging->cells[i];
  *cell = (PwAlignCell){
      .from = {x / before->scale, y / before->scale},
      .to = {(x + CELL) / before->scale, (y + CELL) / before->scale},
      .has_texture = deviation >= LEAST_DEVIATION,
  };
  judging->is_covered[i] = TRUE;
  if (cell->has_texture)
    find_best(&pair, mean, deviation, before->scale, cell);
}

/* ---- What they say together ---------------------------------------------------------- */

static void
summarise(PwAlignment *alignment, guint *n_texture)
{
  double correlation = 0, squares = 0;
  guint n = 0;
  *n_texture = 0;
  for (gsize i = 0; i < alignment->n_cells; i++) {
    const PwAlignCell *cell = &alignment->cells[i];
    *n_texture += (guint)cell->has_texture;
    if (!cell->agrees)
      continue;
    n++;
    correlation += cell->correlation;
    squares += cell->dx * cell->dx + cell->dy * cell->dy;
  }
  alignment->agreement = *n_texture > 0 ? (double)n / *n_texture : 0;
  alignment->correlation = n > 0 ? correlation / n : 0;
  alignment->residual_px = n > 0 ? sqrt(squares / n) : 0;
}

static gboolean
decide(const PwAlignment *alignment, guint n_texture, GError **error)
{
  guint elsewhere = 0;
  for (gsize i = 0; i < alignment->n_cells; i++)
    if (!alignment->cells[i].agrees && alignment->cells[i].correlation >= FOUND)
      elsewhere++;
  double agreeing = alignment->agreement * n_texture;
  if (alignment->overlap < LEAST_OVERLAP)
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "the two pictures share only %.0f %% of the one before", 100 * alignment->overlap);
  else if (n_texture < CELLS_LEAST)
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "there is too little in the two pictures to hold on to");
  else if (elsewhere > MOST_ELSEWHERE * agreeing && elsewhere >= CELLS_LEAST)
    g_set_error(
        error, PW_ERROR, PW_ERROR_NUMERIC,
        "what is shown is not one flat surface in both: a leaf opened anew, or a board that "
        "has warped, has no plane in common with what it was");
  else if (alignment->agreement < LEAST_AGREEMENT)
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "the two pictures do not show the same: only %.0f %% of the places compared are "
                "alike",
                100 * alignment->agreement);
  else
    return TRUE;
  return FALSE;
}

/* ---- How far off, at full size ------------------------------------------------------- */

enum { AT_FULL = 96, AT_FULL_LEAST = 6 };
/* By chance the most alike of 81 places is so by 0.1. */
#define FOUND_AT_FULL 0.3

typedef struct {
  Judging judging; /* of the pictures themselves */
  const PwAlignCell *of[AT_FULL];
  double squared[AT_FULL]; /* px; NAN: not found */
} AtFull;

static gint
by_likeness(gconstpointer a, gconstpointer b)
{
  const PwAlignCell *left = *(const PwAlignCell *const *)a, *right = *(const PwAlignCell *const *)b;
  if (left->correlation > right->correlation || left->correlation < right->correlation)
    return left->correlation > right->correlation ? -1 : 1;
  return left < right ? -1 : left > right;
}

static void
look_at_full(void *user, guint i)
{
  AtFull *full = user;
  const PwAlignCell *cell = full->of[i];
  PwAlignCell found = {0};
  Pair pair;
  double mean, deviation;
  int x = (int)((cell->from.x + cell->to.x) / 2) - CELL / 2;
  int y = (int)((cell->from.y + cell->to.y) / 2) - CELL / 2;
  full->squared[i] = (double)NAN;
  if (!take(&full->judging, x, y, &pair, &mean, &deviation) || deviation < LEAST_DEVIATION)
    return;
  find_best(&pair, mean, deviation, 1, &found);
  if (found.correlation >= FOUND_AT_FULL)
    full->squared[i] = found.dx * found.dx + found.dy * found.dy;
}

/* In the middle of those cells that agree and are most alike; where too few are found there, what
 * the copy told stays. */
static void
measure_at_full(const PwGreys *before, const PwGreys *after, const PwHomography *to_after,
                PwAlignment *alignment)
{
  AtFull full = {.judging = {.before = &before->of[0], .after = &after->of[0]}};
  full.judging.to_after = *to_after;
  g_autoptr(GPtrArray) agreeing = g_ptr_array_new();
  for (gsize i = 0; i < alignment->n_cells; i++)
    if (alignment->cells[i].agrees)
      g_ptr_array_add(agreeing, &alignment->cells[i]);
  g_ptr_array_sort(agreeing, by_likeness);
  guint n = MIN(agreeing->len, AT_FULL), found = 0;
  for (guint i = 0; i < n; i++)
    full.of[i] = agreeing->pdata[i];
  pw_each(n, 0, look_at_full, &full);
  double sum = 0;
  for (guint i = 0; i < n; i++)
    if (!isnan(full.squared[i])) {
      sum += full.squared[i];
      found++;
    }
  if (found >= AT_FULL_LEAST)
    alignment->residual_px = sqrt(sum / found);
}

/* ---- The whole ----------------------------------------------------------------------- */

/* Of what is to be covered no more than PW_GREY_WHOLE_PIXELS, but no copy finer than the pictures
 * are laid by, all of them. */
static const PwGrey *
copy_to_judge(const PwGreys *greys, const PwPxPath *within)
{
  const PwGrey *picture = &greys->of[0];
  double all = (double)picture->width * picture->height, part = all;
  if (within->n > 0)
    part = MIN(fabs(pw_px_signed_area(within->points, within->n)), all);
  guint i = 0;
  for (; i + 1 < greys->n; i++) {
    double n = (double)greys->of[i].width * greys->of[i].height;
    if (n <= PW_GREY_PIXELS && n * part / all <= PW_GREY_WHOLE_PIXELS)
      break;
  }
  return &greys->of[i];
}

gboolean
pw_align_judge(const PwGreys *before, const PwGreys *after, const PwPxPath *within,
               const PwHomography *to_after, PwAlignment *alignment, GError **error)
{
  const PwGrey *grey = copy_to_judge(before, within);
  Judging judging = {.before = grey,
                     .after = pw_greys_fellow(after, grey, to_after),
                     .within = within,
                     .across = grey->width / CELL};
  judging.to_after = pw_homography_of_copies(to_after, grey->scale, judging.after->scale);
  guint n = (guint)(judging.across * (grey->height / CELL)), kept = 0, n_texture = 0;
  judging.cells = g_new0(PwAlignCell, n);
  judging.is_covered = g_new0(gboolean, n);
  pw_each(n, 0, judge_cell, &judging);
  for (guint i = 0; i < n; i++)
    if (judging.is_covered[i])
      judging.cells[kept++] = judging.cells[i];
  g_free(judging.is_covered);
  alignment->cells = judging.cells;
  alignment->n_cells = kept;
  alignment->overlap = judging.n_within > 0 ? (double)kept / judging.n_within : 0;
  summarise(alignment, &n_texture);
  measure_at_full(before, after, to_after, alignment);
  return decide(alignment, n_texture, error);
}
