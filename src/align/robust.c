/* Robust: RANSAC (Fischler and Bolles 1981). Four matches at a time are tried, first among the
 * surest and then among ever more of them (as PROSAC does, Chum and Matas 2005); each trial is
 * scored by how near the others come (MSAC, Torr and Zisserman 2000), and the best so far is fitted
 * anew to all that it carries near (locally optimised, Chum, Matas and Kittler 2003).
 */
#include "robust.h"

#include <math.h>
#include <string.h>

enum {
  SAMPLE = 4,
  TRIES_MAX = 5000,
  TRIES_LEAST = 100,
  TRIES_GROWING = 1500, /* until all matches may be drawn */
  POOL_LEAST = 16,      /* of them, at first */
  REFITS = 5,
  SEED = 1
};
/* That one of the trials were all of the kind that fits, had they a share as large as the best. */
#define SURE 0.9999
/* Of what fits, across over along; less is a line. */
#define LEAST_SPREAD 0.04

typedef struct {
  PwMatch *matches; /* the surest first */
  gsize n;
  double within_px;
} Matches;

typedef struct {
  PwHomography h;
  double score;
  gsize n_fit;
} Trial;

/* ---- Of one homography ----------------------------------------------------------------- */

static double
square_distance(const PwHomography *h, const PwPx *from, const PwPx *to)
{
  double x, y;
  pw_homography_apply(h, from->x, from->y, &x, &y);
  return (x - to->x) * (x - to->x) + (y - to->y) * (y - to->y);
}

/* 1 where a match lies just there, both ways, falling to 0 at the limit and beyond. */
static double
fit_of(const Matches *all, const PwHomography *h, const PwHomography *back, gsize i)
{
  const PwMatch *match = &all->matches[i];
  double limit = all->within_px * all->within_px;
  double forth = square_distance(h, &match->after, &match->before);
  if (!(forth < limit))
    return 0;
  double worse = MAX(forth, square_distance(back, &match->before, &match->after));
  return worse < limit ? 1 - worse / limit : 0;
}

static void
score(const Matches *all, Trial *trial)
{
  PwHomography back;
  trial->score = 0;
  trial->n_fit = 0;
  if (!pw_homography_invert(&trial->h, &back))
    return;
  for (gsize i = 0; i < all->n; i++) {
    double fit = fit_of(all, &trial->h, &back, i);
    trial->score += fit;
    trial->n_fit += fit > 0;
  }
}

/* ---- Fits ------------------------------------------------------------------------------ */

static double
turn(const PwPx *a, const PwPx *b, const PwPx *c)
{
  return (b->x - a->x) * (c->y - a->y) - (b->y - a->y) * (c->x - a->x);
}

/* A homography that a camera makes, of the front of a surface, turns every three points the way
 * they were turned; no other is to be tried. */
static gboolean
turn_alike(const PwMatch *four[SAMPLE])
{
  static const int triples[][3] = {{0, 1, 2}, {0, 1, 3}, {0, 2, 3}, {1, 2, 3}};
  for (guint i = 0; i < G_N_ELEMENTS(triples); i++) {
    const PwMatch *a = four[triples[i][0]], *b = four[triples[i][1]], *c = four[triples[i][2]];
    double here = turn(&a->after, &b->after, &c->after);
    double there = turn(&a->before, &b->before, &c->before);
    if (!(here * there > 0))
      return FALSE;
  }
  return TRUE;
}

static gboolean
try_four(const PwMatch *four[SAMPLE], PwHomography *h)
{
  double from[SAMPLE][2], to[SAMPLE][2];
  if (!turn_alike(four))
    return FALSE;
  for (int i = 0; i < SAMPLE; i++) {
    from[i][0] = four[i]->after.x;
    from[i][1] = four[i]->after.y;
    to[i][0] = four[i]->before.x;
    to[i][1] = four[i]->before.y;
  }
  return pw_homography_fit((const double(*)[2])from, (const double(*)[2])to, SAMPLE, h, NULL, NULL);
}

/* The matches that fit, their places as the least squares want them; how many. */
static gsize
gather(const Matches *all, const PwHomography *h, double (*from)[2], double (*to)[2])
{
  PwHomography back;
  gsize n = 0;
  if (!pw_homography_invert(h, &back))
    return 0;
  for (gsize i = 0; i < all->n; i++) {
    if (!(fit_of(all, h, &back, i) > 0))
      continue;
    from[n][0] = all->matches[i].after.x;
    from[n][1] = all->matches[i].after.y;
    to[n][0] = all->matches[i].before.x;
    to[n++][1] = all->matches[i].before.y;
  }
  return n;
}

/* Fits a trial anew to all that it carries near, as long as that makes it better. */
static void
refit(const Matches *all, Trial *trial)
{
  g_autofree double *from = g_new(double, 2 * all->n), *to = g_new(double, 2 * all->n);
  for (int i = 0; i < REFITS; i++) {
    Trial next;
    gsize n = gather(all, &trial->h, (double(*)[2])(void *)from, (double(*)[2])(void *)to);
    if (n <= SAMPLE || !pw_homography_fit((const double(*)[2])(void *)from,
                                          (const double(*)[2])(void *)to, n, &next.h, NULL, NULL))
      return;
    score(all, &next);
    if (next.score <= trial->score)
      return;
    *trial = next;
  }
}

/* ---- Trials ---------------------------------------------------------------------------- */

static void
draw_four(const Matches *all, GRand *random, guint tries, const PwMatch *four[SAMPLE])
{
  gsize pool = POOL_LEAST + all->n * tries / TRIES_GROWING;
  pool = MIN(pool, all->n);
  for (int i = 0; i < SAMPLE; i++)
    four[i] = &all->matches[g_rand_int_range(random, 0, (gint32)pool)];
}

static guint
tries_needed(const Matches *all, const Trial *best)
{
  double share = (double)best->n_fit / (double)all->n, all_fit = pow(share, SAMPLE);
  double needed = all_fit < 1 ? log(1 - SURE) / log1p(-all_fit) : 0;
  return (guint)CLAMP(needed, TRIES_LEAST, TRIES_MAX);
}

static void
find_best(const Matches *all, Trial *best)
{
  GRand *random = g_rand_new_with_seed(SEED);
  guint needed = TRIES_MAX;
  for (guint tries = 0; tries < needed; tries++) {
    const PwMatch *four[SAMPLE];
    Trial trial;
    draw_four(all, random, tries, four);
    if (!try_four(four, &trial.h))
      continue;
    score(all, &trial);
    if (trial.score <= best->score)
      continue;
    refit(all, &trial);
    *best = trial;
    needed = tries_needed(all, best);
  }
  g_rand_free(random);
}

/* Across over along: the standard deviations of points about their mean. */
static double
spread_of(const double (*points)[2], gsize n)
{
  double mean[2] = {0}, xx = 0, xy = 0, yy = 0;
  for (gsize i = 0; i < n; i++)
    for (int k = 0; k < 2; k++)
      mean[k] += points[i][k] / (double)n;
  for (gsize i = 0; i < n; i++) {
    double x = points[i][0] - mean[0], y = points[i][1] - mean[1];
    xx += x * x;
    xy += x * y;
    yy += y * y;
  }
  double root = hypot(xx - yy, 2 * xy), along = xx + yy + root, across = xx + yy - root;
  return along > 0 ? sqrt(MAX(across, 0) / along) : 0;
}

static gboolean
is_on_a_line(const Matches *all, const PwHomography *h)
{
  g_autofree double *from = g_new(double, 2 * all->n), *to = g_new(double, 2 * all->n);
  gsize n = gather(all, h, (double(*)[2])(void *)from, (double(*)[2])(void *)to);
  return spread_of((const double(*)[2])(void *)from, n) < LEAST_SPREAD ||
         spread_of((const double(*)[2])(void *)to, n) < LEAST_SPREAD;
}

/* ---- The whole ------------------------------------------------------------------------- */

int
pw_match_compare(const void *a, const void *b)
{
  const PwMatch *left = a, *right = b;
  return left->doubt < right->doubt ? -1 : left->doubt > right->doubt;
}

static void
matches_init(Matches *all, const PwMatch *matches, gsize n, double within_px)
{
  *all = (Matches){.matches = g_new(PwMatch, n), .within_px = within_px};
  for (gsize i = 0; i < n; i++) {
    const PwMatch *m = &matches[i];
    if (isfinite(m->after.x) && isfinite(m->after.y) && isfinite(m->before.x) &&
        isfinite(m->before.y) && isfinite(m->doubt))
      all->matches[all->n++] = *m;
  }
  if (all->n > 0)
    qsort(all->matches, all->n, sizeof *all->matches, pw_match_compare);
}

gboolean
pw_matches_fit(const PwMatch *matches, gsize n, double within_px, PwHomography *h, gsize *n_fit,
               GError **error)
{
  Matches all;
  Trial best = {.score = 0};
  gboolean ok = FALSE;
  matches_init(&all, matches, n, within_px);
  if (all.n >= PW_MATCHES_LEAST)
    find_best(&all, &best);
  if (best.n_fit < PW_MATCHES_LEAST)
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "too few places of one picture are found again in the other; set four "
                        "ties");
  else if (is_on_a_line(&all, &best.h))
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                        "the places of one picture that are found again in the other lie on a "
                        "line; set four ties");
  else
    ok = TRUE;
  *h = best.h;
  if (n_fit != NULL)
    *n_fit = best.n_fit;
  g_free(all.matches);
  return ok;
}
