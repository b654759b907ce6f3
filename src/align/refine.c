/* Refine: from a rough start to the place where two pictures lie best over each other, from small
 * copies to large ones.
 *
 * At each level all of the eight parameters are changed by one Gauss-Newton step after another: the
 * picture after is resampled into the frame of the picture before, and what still moves it is a
 * homography near the identity, x' = (x + p0 x + p1 y + p2) / (1 + p6 x + p7 y), y' likewise.
 */
#include <platewright/align.h>

#include <math.h>
#include <string.h>

#include "evidence.h"
#include "window.h"

enum { PARAMETERS = 8 };
enum { STEPS_MAX = 20 };
/* A step that moves no window by more px of the level ends it; of the last level, and of others. */
#define DONE_PX 0.005
#define DONE_COARSE_PX 0.05
/* Tukey's biweight at 95 % efficiency, and the deviation from the median of absolute values. */
#define TUKEY 4.685
#define MEDIAN_TO_DEVIATION 1.4826
#define LEAST_CUT 0.25
/* Further than this, px of the level, gradients do not see. */
#define MOST_STEP_PX 2.0
/* Of one step to the one before, where the next may be told from them. */
#define LEAST_RATIO 0.2
#define MOST_RATIO 0.9
/* Pixels that determine eight parameters, at least. */
#define LEAST_PIXELS 800

typedef struct {
  const PwGrey *before, *after;
  GArray *windows; /* PwWindow */
  PwSums *sums;    /* one a window */
  PwComparison with;
  double last[PARAMETERS]; /* the step before, as it was found */
  gboolean was_carried_on; /* further than it was found */
  double alike;            /* how far the two agreed when the step was taken */
} Level;

/* ---- Which windows ------------------------------------------------------------------ */

static void
clear_window(gpointer window)
{
  pw_window_clear(window);
}

static GArray *
windows_new(void)
{
  GArray *windows = g_array_new(FALSE, FALSE, sizeof(PwWindow));
  g_array_set_clear_func(windows, clear_window);
  return windows;
}

static GArray *
all_windows(const PwGrey *grey, const PwPxPath *within)
{
  GArray *windows = windows_new();
  for (int y = 0; y < grey->height; y += PW_WINDOW_SIDE)
    for (int x = 0; x < grey->width; x += PW_WINDOW_SIDE) {
      PwWindow window;
      if (!pw_grey_is_within(grey, within, x + PW_WINDOW_SIDE / 2.0, y + PW_WINDOW_SIDE / 2.0))
        continue;
      pw_window_init(&window, grey, x, y);
      g_array_append_val(windows, window);
    }
  return windows;
}

static gint
by_texture(gconstpointer a, gconstpointer b)
{
  const PwWindow *left = a, *right = b;
  if (left->texture > right->texture || left->texture < right->texture)
    return left->texture > right->texture ? -1 : 1;
  return left->y != right->y ? left->y - right->y : left->x - right->x;
}

/* The `most` with most texture, but of no part of the picture more than twice its share. */
static void
keep_textured(GArray *windows, const PwGrey *grey, guint most)
{
  enum { ACROSS = 6, DOWN = 4 };
  guint in_part[ACROSS * DOWN] = {0}, kept = 0;
  if (windows->len <= most)
    return;
  g_array_sort(windows, by_texture);
  for (guint i = 0; i < windows->len && kept < most; i++) {
    PwWindow *window = &g_array_index(windows, PwWindow, i);
    guint part =
        (guint)(window->y * DOWN / grey->height * ACROSS + window->x * ACROSS / grey->width);
    if (++in_part[part] > 2 * most / (ACROSS * DOWN) + 1)
      continue;
    PwWindow *place = &g_array_index(windows, PwWindow, kept++);
    PwWindow swapped = *place;
    *place = *window;
    *window = swapped;
  }
  g_array_set_size(windows, kept);
}

/* Where those of a copy lie, of the picture itself. */
static GArray *
windows_of_picture(const PwGrey *picture, const PwGrey *copy, GArray *of_copy)
{
  GArray *windows = windows_new();
  double by = picture->scale / copy->scale;
  for (guint i = 0; i < of_copy->len; i++) {
    const PwWindow *small = &g_array_index(of_copy, PwWindow, i);
    int x = (int)((small->x + small->width / 2.0) * by) - PW_WINDOW_SIDE / 2;
    int y = (int)((small->y + small->height / 2.0) * by) - PW_WINDOW_SIDE / 2;
    PwWindow window;
    pw_window_init(&window, picture, CLAMP(x, 0, picture->width - 1),
                   CLAMP(y, 0, picture->height - 1));
    g_array_append_val(windows, window);
  }
  return windows;
}

/* ---- A step -------------------------------------------------------------------------- */

/* d/dp of what is compared: a gradient times a polynomial, at most two of them. */
typedef struct {
  int gradient, x, y; /* of the gradient's coordinate; powers of X and Y */
  double factor;
} Term;
static const Term jacobian[PARAMETERS][2] = {
    {{0, 1, 0, 1}},
    {{0, 0, 1, 1}},
    {{0, 0, 0, 1}},
    {{1, 1, 0, 1}},
    {{1, 0, 1, 1}},
    {{1, 0, 0, 1}},
    {{0, 2, 0, -1}, {1, 1, 1, -1}},
    {{0, 1, 1, -1}, {1, 0, 2, -1}},
};

static double
product(const PwSums *sums, const Term *a, const Term *b)
{
  return a->factor * b->factor *
         sums->products[a->gradient + b->gradient][a->x + b->x][a->y + b->y];
}

static void
normal_equations(const PwSums *sums, double h[PARAMETERS * PARAMETERS], double b[PARAMETERS])
{
  for (int i = 0; i < PARAMETERS; i++) {
    const Term *row = jacobian[i];
    b[i] = 0;
    for (int t = 0; t < 2; t++)
      b[i] += row[t].factor * sums->differences[row[t].gradient][row[t].x][row[t].y];
    for (int k = 0; k < PARAMETERS; k++) {
      h[i * PARAMETERS + k] = 0;
      for (int t = 0; t < 4; t++)
        h[i * PARAMETERS + k] += product(sums, &row[t / 2], &jacobian[k][t % 2]);
    }
  }
}

static void
run_window(void *user, guint i)
{
  Level *level = user;
  pw_window_compare(&g_array_index(level->windows, PwWindow, i), &level->with, &level->sums[i]);
}

static double
cut_of(const PwSums *sums)
{
  guint below = 0, bin = 0;
  while (bin < PW_ERROR_BINS - 1 && (below += sums->bins[bin]) < sums->n / 2)
    bin++;
  return MAX(TUKEY * MEDIAN_TO_DEVIATION * (bin + 0.5) * (double)PW_ERROR_BIN, LEAST_CUT);
}

/* x' = N^-1 P N x, N to X and Y. */
static PwHomography
change_of(const PwComparison *with, const double p[PARAMETERS])
{
  double u = with->unit, cx = with->centre.x, cy = with->centre.y;
  PwHomography to = {{1 / u, 0, -cx / u, 0, 1 / u, -cy / u, 0, 0, 1}};
  PwHomography back = {{u, 0, cx, 0, u, cy, 0, 0, 1}};
  PwHomography change = {{1 + p[0], p[1], p[2], p[3], 1 + p[4], p[5], p[6], p[7], 1}}, half;
  pw_homography_multiply(&change, &to, &half);
  pw_homography_multiply(&back, &half, &change);
  return change;
}

/* How far a homography moves the windows that were compared; infinite where its horizon runs
 * through one. */
static double
most_moved(const Level *level, const PwHomography *h)
{
  double most = 0;
  for (guint i = 0; i < level->windows->len; i++) {
    const PwWindow *window = &g_array_index(level->windows, PwWindow, i);
    double x = window->x + window->width / 2.0, y = window->y + window->height / 2.0, to_x, to_y;
    if (level->sums[i].n == 0)
      continue;
    if (!(h->m[6] * x + h->m[7] * y + h->m[8] > 0))
      return INFINITY;
    pw_homography_apply(h, x, y, &to_x, &to_y);
    most = MAX(most, hypot(to_x - x, to_y - y));
  }
  return most;
}

/* Noise in the gradients makes every step too short by much the same part. Where two steps show by
 * how much, the second goes the whole way that is left (Aitken's extrapolation). */
static void
carry_on(Level *level, double p[PARAMETERS])
{
  double along = 0, square = 0;
  for (int i = 0; i < PARAMETERS; i++) {
    along += p[i] * level->last[i];
    square += level->last[i] * level->last[i];
    level->last[i] = p[i];
  }
  double ratio = square > 0 ? along / square : 0;
  level->was_carried_on = !level->was_carried_on && ratio > LEAST_RATIO && ratio < MOST_RATIO;
  for (int i = 0; level->was_carried_on && i < PARAMETERS; i++)
    p[i] /= 1 - ratio;
}

/* One step; `moved` gets the px by which it moved a corner. FALSE when nothing determines it. */
static gboolean
step(Level *level, double *moved)
{
  pw_each(level->windows->len, 0, run_window, level);
  PwSums all = {0};
  for (guint i = 0; i < level->windows->len; i++)
    pw_sums_add(&all, &level->sums[i]);
  level->with.cut = cut_of(&all);
  level->alike = pw_sums_alike(&all);
  double h[PARAMETERS * PARAMETERS], p[PARAMETERS];
  normal_equations(&all, h, p);
  if (all.n < LEAST_PIXELS || !pw_solve(h, p, PARAMETERS, 1e-9))
    return FALSE;
  carry_on(level, p);
  PwHomography change = change_of(&level->with, p), before = level->with.to_after;
  *moved = most_moved(level, &change);
  if (*moved > MOST_STEP_PX) {
    for (int i = 0; i < PARAMETERS; i++)
      p[i] *= MOST_STEP_PX / *moved;
    change = change_of(&level->with, p);
  }
  pw_homography_multiply(&before, &change, &level->with.to_after);
  return isfinite(*moved);
}

/* ---- Levels ------------------------------------------------------------------------- */

/* Carries `to_after`, in px of the pictures, on by what a level has to say; FALSE, and nothing is
 * changed, where it finds no place, or none that is better than the one it had. */
static gboolean
refine_level(Level *level, double done, PwHomography *to_after)
{
  const PwGrey *before = level->before;
  level->sums = g_new(PwSums, level->windows->len);
  level->with = (PwComparison){
      .after = level->after,
      .to_after = pw_homography_of_copies(to_after, before->scale, level->after->scale),
      .centre = {before->width / 2.0, before->height / 2.0},
      .unit = hypot(before->width, before->height) / 2,
      .cut = PW_ERROR_BINS * (double)PW_ERROR_BIN,
  };
  gboolean ok = TRUE;
  double moved = INFINITY, alike_first = 0;
  for (int i = 0; ok && i < STEPS_MAX && moved > done; i++) {
    ok = step(level, &moved);
    alike_first = i == 0 ? level->alike : alike_first;
  }
  g_free(level->sums);
  if (!ok || level->alike < alike_first)
    return FALSE;
  *to_after =
      pw_homography_of_copies(&level->with.to_after, 1 / before->scale, 1 / level->after->scale);
  return TRUE;
}

/* What too small a copy does not show, a larger one may. */
static gboolean
refine(const PwGreys *before, const PwGreys *after, const PwPxPath *within, PwHomography *to_after)
{
  GArray *windows = NULL;
  gboolean ok = FALSE;
  for (guint i = before->n; i-- > 0;) {
    const PwGrey *grey = &before->of[i];
    double n_pixels = (double)grey->width * grey->height;
    GArray *coarser = windows;
    if (n_pixels > PW_GREY_PIXELS && coarser != NULL) {
      keep_textured(coarser, grey + 1, PW_WINDOWS_AT_FULL);
      windows = windows_of_picture(grey, grey + 1, coarser);
    } else {
      windows = all_windows(grey, within);
    }
    if (n_pixels > PW_GREY_WHOLE_PIXELS)
      keep_textured(windows, grey, PW_WINDOWS_AT_COPY);
    if (coarser != NULL)
      g_array_unref(coarser);
    Level level = {
        .before = grey, .after = pw_greys_fellow(after, grey, to_after), .windows = windows};
    ok = refine_level(&level, i == 0 ? DONE_PX : DONE_COARSE_PX, to_after) || (ok && i == 0);
  }
  g_array_unref(windows);
  return ok;
}

/* ---- The whole ---------------------------------------------------------------------- */

static gboolean
refuse(GError **error, const char *why)
{
  g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, why);
  return FALSE;
}

static gboolean
align(const PwGreys *before, const PwGreys *after, const PwPxPath *within, PwHomography *to_after,
      PwAlignment *alignment, GError **error)
{
  if (!refine(before, after, within, to_after) || !pw_homography_invert(to_after, &alignment->h))
    return refuse(error, "the two pictures were not brought to lie over each other: there is too "
                         "little in them to hold on to, or the start is too far off");
  return pw_align_judge(before, after, within, to_after, alignment, error);
}

gboolean
pw_align_refine(const PwAlignPair *pair, const PwHomography *start, PwAlignment *alignment,
                GError **error)
{
  const PwPlane *before = pair->before, *after = pair->after;
  *alignment = (PwAlignment){0};
  g_return_val_if_fail(before->channels == 1 && after->channels == 1, FALSE);
  if (!pw_grey_check(before, error) || !pw_grey_check(after, error))
    return FALSE;
  PwHomography to_after;
  if (!pw_homography_invert(start, &to_after))
    return refuse(error, "the start is no place for one picture over the other");
  PwGreys small_before, small_after;
  pw_greys_init(&small_before, before, &pair->cards_before);
  pw_greys_init(&small_after, after, &pair->cards_after);
  gboolean ok = align(&small_before, &small_after, &pair->within, &to_after, alignment, error);
  pw_greys_clear(&small_before);
  pw_greys_clear(&small_after);
  return ok;
}

void
pw_alignment_clear(PwAlignment *alignment)
{
  g_free(alignment->cells);
  *alignment = (PwAlignment){0};
}
