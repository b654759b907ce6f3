/* The patch: what is joined to the place touched and of its colour.
 *
 * A px belongs to the core where all nine px about it are of the colour; the patch is the core that
 * is joined to the touch, and the px about it. So it never passes a neck narrower than 3 px.
 * It is grown at three tolerances one after the other, each going on from where the one before it
 * stopped: how much larger it becomes tells an edge from a slow change.
 */
#include "patch.h"

#include <math.h>
#include <string.h>

/* The tolerances, as parts of the one asked for; the patch is that of the middle one. */
static const double PARTS[3] = {0.8, 1, 1.25};
enum { N_PARTS = 3, MIDDLE = 1, WAITING = 0x80 };
/* The touch may lie so far from the next px of the core. */
enum { SEEK = 4 };

void
pw_patch_clear(PwPatch *patch)
{
  g_free(patch->in);
  *patch = (PwPatch){0};
}

/* ---- The core ---------------------------------------------------------------------- */

static void
greatest_of_three(const guint16 *a, const guint16 *b, const guint16 *c, gsize n, guint16 *out)
{
  for (gsize i = 0; i < n; i++) {
    guint16 most = a[i] > b[i] ? a[i] : b[i];
    out[i] = most > c[i] ? most : c[i];
  }
}

/* Every difference becomes the greatest of the nine about it; beyond the plane's edge is nothing.
 */
static void
spread_greatest(guint16 *difference, int width, int height)
{
  gsize w = (gsize)width;
  g_autofree guint16 *rows = g_new(guint16, 3 * w);
  guint16 *before = rows, *here = rows + w, *row = rows + 2 * w;
  memcpy(here, difference, w * sizeof *here);
  memcpy(before, here, w * sizeof *here);
  for (int y = 0; y < height; y++) {
    guint16 *at = difference + (gsize)y * w;
    greatest_of_three(before, here, y + 1 < height ? at + w : here, w, row);
    memcpy(before, here, w * sizeof *here);
    if (y + 1 < height)
      memcpy(here, at + w, w * sizeof *here);
    at[0] = width > 1 ? MAX(row[0], row[1]) : row[0];
    if (width > 2)
      greatest_of_three(row, row + 1, row + 2, w - 2, at + 1);
    if (width > 1)
      at[w - 1] = MAX(row[w - 2], row[w - 1]);
  }
}

typedef struct {
  const guint16 *core;
  guint8 *label; /* 0, or 1 and more: the tolerance at which the px came in; or WAITING */
  int width, height;
  guint32 *stack, *waiting;
  gsize n_stack, n_waiting, stack_size, waiting_size;
  guint16 most, most_of_all;
  guint8 now;
} Growth;

static void
push(guint32 **list, gsize *n, gsize *size, guint32 value)
{
  if (*n == *size) {
    *size = *size > 0 ? 2 * *size : 4096;
    *list = g_renew(guint32, *list, *size);
  }
  (*list)[(*n)++] = value;
}

static inline void
visit(Growth *growth, guint32 i)
{
  if (growth->label[i] != 0)
    return;
  guint16 core = growth->core[i];
  if (core <= growth->most) {
    growth->label[i] = growth->now;
    push(&growth->stack, &growth->n_stack, &growth->stack_size, i);
  } else if (core <= growth->most_of_all) {
    growth->label[i] = WAITING;
    push(&growth->waiting, &growth->n_waiting, &growth->waiting_size, i);
  }
}

/* Grows from what lies on the stack; how many px came in. */
static gsize
grow(Growth *growth)
{
  gsize n = 0;
  guint32 w = (guint32)growth->width, last_row = w * (guint32)(growth->height - 1);
  while (growth->n_stack > 0) {
    guint32 i = growth->stack[--growth->n_stack], x = i % w;
    n++;
    if (x > 0)
      visit(growth, i - 1);
    if (x + 1 < w)
      visit(growth, i + 1);
    if (i >= w)
      visit(growth, i - w);
    if (i < last_row)
      visit(growth, i + w);
  }
  return n;
}

/* What waited and is let in now goes on the stack. */
static void
let_in(Growth *growth)
{
  gsize still = 0;
  for (gsize k = 0; k < growth->n_waiting; k++) {
    guint32 i = growth->waiting[k];
    if (growth->core[i] <= growth->most) {
      growth->label[i] = growth->now;
      push(&growth->stack, &growth->n_stack, &growth->stack_size, i);
    } else
      growth->waiting[still++] = i;
  }
  growth->n_waiting = still;
}

/* The px of the core next to the touch; FALSE when there is none near. */
static gboolean
find_seed(const Growth *growth, const PwTouch *touch, guint32 *seed)
{
  int nearest = SEEK * SEEK + 1;
  for (int y = MAX(touch->y - SEEK, 0); y <= MIN(touch->y + SEEK, growth->height - 1); y++)
    for (int x = MAX(touch->x - SEEK, 0); x <= MIN(touch->x + SEEK, growth->width - 1); x++) {
      int dx = x - touch->x, dy = y - touch->y, away = dx * dx + dy * dy;
      guint32 i = (guint32)y * (guint32)growth->width + (guint32)x;
      if (away < nearest && growth->core[i] <= growth->most) {
        nearest = away;
        *seed = i;
      }
    }
  return nearest <= SEEK * SEEK;
}

static gboolean
grow_core(Growth *growth, const PwTouch *touch, double tolerance, gsize n[N_PARTS])
{
  growth->most_of_all = (guint16)(tolerance * PARTS[N_PARTS - 1] * PW_LIKENESS_PARTS);
  gboolean begun = FALSE;
  for (int k = 0; k < N_PARTS; k++) {
    guint32 seed;
    growth->most = (guint16)(tolerance * PARTS[k] * PW_LIKENESS_PARTS);
    growth->now = (guint8)(k + 1);
    if (!begun && find_seed(growth, touch, &seed)) {
      visit(growth, seed);
      begun = TRUE;
    }
    let_in(growth);
    n[k] = grow(growth) + (k > 0 ? n[k - 1] : 0);
  }
  return n[MIDDLE] > 0;
}

/* ---- The patch --------------------------------------------------------------------- */

static void
widen_bounds(PwPatch *patch, int x, int y)
{
  patch->left = MIN(patch->left, x);
  patch->right = MAX(patch->right, x + 1);
  patch->top = MIN(patch->top, y);
  patch->bottom = MAX(patch->bottom, y + 1);
}

/* The core of the middle tolerance and the px about it. */
static void
fill_in(const guint8 *label, PwPatch *patch)
{
  int w = patch->width, h = patch->height;
  patch->left = w;
  patch->top = h;
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++) {
      guint8 l = label[(gsize)y * (gsize)w + (gsize)x];
      if (l == 0 || l > MIDDLE + 1)
        continue;
      int first = MAX(x - 1, 0), last = MIN(x + 1, w - 1);
      widen_bounds(patch, first, MAX(y - 1, 0));
      widen_bounds(patch, last, MIN(y + 1, h - 1));
      for (int v = MAX(y - 1, 0); v <= MIN(y + 1, h - 1); v++)
        memset(patch->in + (gsize)v * (gsize)w + first, 1, (gsize)(last - first + 1));
    }
}

static void
count_edge(PwPatch *patch)
{
  gsize w = (gsize)patch->width, h = (gsize)patch->height;
  for (gsize x = 0; x < w; x++)
    patch->n_edge += (gsize)patch->in[x] + patch->in[(h - 1) * w + x];
  for (gsize y = 0; y < h; y++)
    patch->n_edge += (gsize)patch->in[y * w] + patch->in[y * w + w - 1];
}

gboolean
pw_patch_grow(guint16 *difference, int width, int height, const PwTouch *touch, double tolerance,
              PwPatch *patch)
{
  gsize n = (gsize)width * (gsize)height, counts[N_PARTS] = {0};
  spread_greatest(difference, width, height);
  Growth growth = {.core = difference, .label = g_malloc0(n), .width = width, .height = height};
  gboolean found = grow_core(&growth, touch, tolerance, counts);
  *patch = (PwPatch){.width = width, .height = height};
  if (found) {
    patch->in = g_malloc0(n);
    fill_in(growth.label, patch);
    count_edge(patch);
    /* The smaller of the two ways, for a leak at a little more is none at this. */
    double less =
        counts[0] > 0 ? log((double)counts[1] / (double)counts[0]) / -log(PARTS[0]) : HUGE_VAL;
    double more = log((double)counts[2] / (double)counts[1]) / log(PARTS[2]);
    patch->growth = fmin(less, more);
  }
  g_free(growth.label);
  g_free(growth.stack);
  g_free(growth.waiting);
  return found;
}
