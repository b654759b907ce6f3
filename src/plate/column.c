/* Callouts in columns on a baseline grid, with leaders that never cross.
 *
 * Straight leaders from ports on one vertical line to anchors on one side of it can always be drawn
 * without a crossing: from the topmost port to the anchor that leaves all others below the line
 * through both, and so on downwards (the rotating line of boundary labelling; Bekos, Kaufmann,
 * Symvonis and Wolff, Boundary labeling, 2007). So an order is tried by the anchors' heights, the
 * callouts are placed for it near their anchors, and where leaders cross the order is taken from
 * the rotating line through the ports just found, and placed again. If that does not settle,
 * callouts are set down one by one, each given the anchor that the rotating line chooses: that
 * cannot cross.
 *
 * A placing is the mean of two: every callout as high as its wish and its upper neighbours let it,
 * and as low as its wish and its lower neighbours let it. Both keep all distances, so their mean
 * does, and a crowd spreads evenly about its middle.
 */
#include "column.h"

#include <math.h>
#include <string.h>

#define MOST_TRIES 12

double
pw_grid_y(const PwGrid *grid, double line)
{
  return grid->origin_mm + line * grid->step_mm;
}

PwPaper
pw_slot_bend(const PwSlot *slot, const PwColumn *columns, const PwGrid *grid)
{
  return (PwPaper){columns[slot->column].bend_x, pw_grid_y(grid, slot->line)};
}

/* ---- Crossing -------------------------------------------------------------------------------- */

/* Positive when c lies clockwise of the ray from a to b as seen (y down). */
static double
side(PwPaper a, PwPaper b, PwPaper c)
{
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static gboolean
within(PwPaper a, PwPaper b, PwPaper c)
{
  return c.x >= MIN(a.x, b.x) && c.x <= MAX(a.x, b.x) && c.y >= MIN(a.y, b.y) &&
         c.y <= MAX(a.y, b.y);
}

gboolean
pw_segments_meet(PwPaper a, PwPaper b, PwPaper c, PwPaper d)
{
  double s1 = side(a, b, c), s2 = side(a, b, d), s3 = side(c, d, a), s4 = side(c, d, b);
  if (((s1 > 0 && s2 < 0) || (s1 < 0 && s2 > 0)) && ((s3 > 0 && s4 < 0) || (s3 < 0 && s4 > 0)))
    return TRUE;
  return (!(s1 > 0) && !(s1 < 0) && within(a, b, c)) ||
         (!(s2 > 0) && !(s2 < 0) && within(a, b, d)) ||
         (!(s3 > 0) && !(s3 < 0) && within(c, d, a)) || (!(s4 > 0) && !(s4 < 0) && within(c, d, b));
}

gboolean
pw_slots_cross(const PwSlot *a, const PwSlot *b, const PwColumn *columns, const PwGrid *grid)
{
  return a->leads && b->leads &&
         pw_segments_meet(pw_slot_bend(a, columns, grid), a->anchor, pw_slot_bend(b, columns, grid),
                          b->anchor);
}

/* ---- Fitting --------------------------------------------------------------------------------- */

static int
needs(const PwSlot *slot, const PwColumn *columns)
{
  return slot->lines + columns[slot->column].blank;
}

static gboolean
column_fits(const PwSlot *slots, guint n, const PwColumn *columns, guint which)
{
  const PwColumn *column = &columns[which];
  int sum = 0, least = G_MAXINT;
  gboolean leads = FALSE;
  for (guint i = 0; i < n; i++) {
    if (slots[i].column != which)
      continue;
    sum += needs(&slots[i], columns);
    least = MIN(least, needs(&slots[i], columns));
    leads = leads || slots[i].leads;
  }
  if (sum == 0)
    return TRUE;
  /* Whichever comes last begins no later than when the shortest does. */
  return column->first + sum - column->blank <= column->end &&
         (!leads || column->first + sum - least <= column->last_start);
}

gboolean
pw_slots_fit(const PwSlot *slots, guint n, const PwColumn *columns, guint n_columns)
{
  for (guint c = 0; c < n_columns; c++)
    if (!column_fits(slots, n, columns, c))
      return FALSE;
  return TRUE;
}

/* ---- Placing for a given order ------------------------------------------------------------------
 */

/* The slots of all columns in an order (by column, then from the top), and the rows they share:
 * slots of one row get one line. */
typedef struct {
  PwSlot *slots;
  guint n;
  const PwColumn *columns;
  guint n_columns;
  const PwGrid *grid;
  guint *order;       /* indices of slots */
  guint *row;         /* of each slot */
  double *high, *low; /* of each row */
} Placing;

/* The slot above in the same column, or -1. */
static int
above(const Placing *p, guint k)
{
  if (k == 0 || p->slots[p->order[k - 1]].column != p->slots[p->order[k]].column)
    return -1;
  return (int)p->order[k - 1];
}

static int
last_line(const Placing *p, const PwSlot *slot)
{
  const PwColumn *column = &p->columns[slot->column];
  int last = column->end - slot->lines;
  return slot->leads ? MIN(last, column->last_start) : last;
}

/* Raises low bounds (`sign` 1: from the top down) or lowers high ones (-1) until all distances
 * hold. FALSE when they never do: rows in a circle, or no room. */
static gboolean
settle(const Placing *p, double *line, gboolean downwards)
{
  gboolean moved = TRUE;
  for (guint round = 0; moved && round <= p->n; round++) {
    moved = FALSE;
    for (guint step = 0; step < p->n; step++) {
      guint k = downwards ? step : p->n - 1 - step;
      int upper = above(p, k);
      if (upper < 0)
        continue;
      guint a = p->row[upper], b = p->row[p->order[k]];
      double apart = needs(&p->slots[upper], p->columns);
      if (line[b] - line[a] >= apart - 1e-9)
        continue;
      moved = TRUE;
      if (downwards)
        line[b] = line[a] + apart;
      else
        line[a] = line[b] - apart;
    }
  }
  return !moved;
}

static void
bound_rows(const Placing *p, double *first, double *last)
{
  for (guint r = 0; r < p->n; r++) {
    first[r] = -1e9;
    last[r] = 1e9;
  }
  for (guint i = 0; i < p->n; i++) {
    guint r = p->row[i];
    first[r] = MAX(first[r], p->columns[p->slots[i].column].first);
    last[r] = MIN(last[r], last_line(p, &p->slots[i]));
  }
}

/* A row's wish: the mean of its slots'. */
static double
row_wish(const Placing *p, guint row)
{
  double sum = 0;
  guint n = 0;
  for (guint i = 0; i < p->n; i++)
    if (p->row[i] == row) {
      sum += p->slots[i].wanted;
      n++;
    }
  return n > 0 ? sum / n : 0;
}

/* FALSE when these rows in this order have no room. */
static gboolean
place_rows(Placing *p)
{
  g_autofree double *first = g_new(double, p->n), *last = g_new(double, p->n);
  bound_rows(p, first, last);
  if (!settle(p, first, TRUE) || !settle(p, last, FALSE))
    return FALSE;
  for (guint r = 0; r < p->n; r++) {
    if (first[r] > last[r] + 1e-9 && first[r] > -1e8)
      return FALSE;
    p->high[r] = p->low[r] = CLAMP(row_wish(p, r), first[r], MAX(first[r], last[r]));
  }
  if (!settle(p, p->low, TRUE) || !settle(p, p->high, FALSE))
    return FALSE;
  for (guint i = 0; i < p->n; i++) {
    guint r = p->row[i];
    p->slots[i].line = (int)floor((p->low[r] + p->high[r]) / 2 + 0.5);
  }
  return TRUE;
}

static void
share_rows(Placing *p, gboolean share)
{
  for (guint i = 0; i < p->n; i++) {
    p->row[i] = i;
    for (guint j = 0; share && p->slots[i].family != 0 && j < i; j++)
      if (p->slots[j].family == p->slots[i].family && p->slots[j].column != p->slots[i].column) {
        p->row[i] = p->row[j];
        break;
      }
  }
}

/* The widest apart of two slots that share a row, or FALSE when none do. */
static gboolean
part_one_row(Placing *p)
{
  double widest = -1;
  guint which = 0;
  for (guint i = 0; i < p->n; i++)
    if (p->row[i] != i) {
      double apart = fabs(p->slots[i].wanted - p->slots[p->row[i]].wanted);
      if (apart > widest) {
        widest = apart;
        which = i;
      }
    }
  if (widest < 0)
    return FALSE;
  p->row[which] = which;
  return TRUE;
}

static gboolean
place_in_order(Placing *p)
{
  share_rows(p, TRUE);
  while (!place_rows(p))
    if (!part_one_row(p))
      return FALSE;
  return TRUE;
}

/* ---- Order ----------------------------------------------------------------------------------- */

static int
compare_wishes(gconstpointer a, gconstpointer b, gpointer user)
{
  const PwSlot *slots = user;
  guint i = *(const guint *)a, j = *(const guint *)b;
  if (slots[i].column != slots[j].column)
    return slots[i].column < slots[j].column ? -1 : 1;
  if (slots[i].wanted < slots[j].wanted || slots[i].wanted > slots[j].wanted)
    return slots[i].wanted < slots[j].wanted ? -1 : 1;
  return i < j ? -1 : i > j;
}

/* Whether the leader from `port` to `a` leaves b below it; of two on one line, the nearer first. */
static gboolean
comes_before(PwPaper port, const PwSlot *a, const PwSlot *b)
{
  double turn = side(port, a->anchor, b->anchor);
  if (a->anchor.x < port.x)
    turn = -turn;
  if (turn > 0 || turn < 0)
    return turn > 0;
  return fabs(a->anchor.x - port.x) < fabs(b->anchor.x - port.x);
}

/* Puts the one that the rotating line chooses from slot `k`'s port at place k of the order. A slot
 * without leader keeps its place. `end` is the end of its column in the order. */
static void
choose_for_port(Placing *p, guint k, guint end, PwPaper port)
{
  guint best = k;
  for (guint j = k + 1; j < end; j++) {
    const PwSlot *slot = &p->slots[p->order[j]];
    if (slot->leads && comes_before(port, slot, &p->slots[p->order[best]]))
      best = j;
  }
  guint chosen = p->order[best];
  memmove(&p->order[k + 1], &p->order[k], (best - k) * sizeof *p->order);
  p->order[k] = chosen;
}

static guint
column_end(const Placing *p, guint k)
{
  guint end = k;
  while (end < p->n && p->slots[p->order[end]].column == p->slots[p->order[k]].column)
    end++;
  return end;
}

static void
reorder(Placing *p)
{
  g_autofree int *lines = g_new(int, p->n);
  for (guint k = 0; k < p->n; k++)
    lines[k] = p->slots[p->order[k]].line;
  for (guint k = 0; k < p->n; k++) {
    const PwSlot *slot = &p->slots[p->order[k]];
    if (!slot->leads)
      continue;
    PwPaper port = {p->columns[slot->column].bend_x, pw_grid_y(p->grid, lines[k])};
    choose_for_port(p, k, column_end(p, k), port);
  }
}

static gboolean
any_cross(const Placing *p)
{
  for (guint i = 0; i < p->n; i++)
    for (guint j = i + 1; j < p->n; j++)
      if (p->slots[i].column == p->slots[j].column &&
          pw_slots_cross(&p->slots[i], &p->slots[j], p->columns, p->grid))
        return TRUE;
  return FALSE;
}

/* ---- One by one ------------------------------------------------------------------------------ */

static void
room_left(const Placing *p, guint k, guint end, int *sum, int *least)
{
  *sum = 0;
  *least = G_MAXINT;
  for (guint j = k; j < end; j++) {
    *sum += needs(&p->slots[p->order[j]], p->columns);
    *least = MIN(*least, needs(&p->slots[p->order[j]], p->columns));
  }
}

/* From the top: a line that leaves room for the rest, then whom the rotating line chooses for it.
 */
static void
set_down(Placing *p)
{
  int next = 0;
  for (guint k = 0; k < p->n; k++) {
    PwSlot *slot = &p->slots[p->order[k]];
    const PwColumn *column = &p->columns[slot->column];
    guint end = column_end(p, k);
    if (above(p, k) < 0)
      next = column->first;
    int sum, least;
    room_left(p, k, end, &sum, &least);
    int last = MIN(column->end - (sum - column->blank), column->last_start - (sum - least));
    int line = CLAMP((int)floor(slot->wanted + 0.5), next, MAX(next, last));
    if (slot->leads)
      choose_for_port(p, k, end, (PwPaper){column->bend_x, pw_grid_y(p->grid, line)});
    slot = &p->slots[p->order[k]];
    slot->line = line;
    next = line + needs(slot, p->columns);
  }
}

gboolean
pw_slots_place_as(PwSlot *slots, guint n, const PwColumn *columns, guint n_columns,
                  const PwGrid *grid, guint *order)
{
  g_autofree guint *row = g_new(guint, n + 1);
  g_autofree double *high = g_new(double, n + 1), *low = g_new(double, n + 1);
  Placing p = {slots, n, columns, n_columns, grid, order, row, high, low};
  return place_in_order(&p);
}

void
pw_slots_place(PwSlot *slots, guint n, const PwColumn *columns, guint n_columns, const PwGrid *grid)
{
  g_autofree guint *order = g_new(guint, n + 1), *row = g_new(guint, n + 1);
  g_autofree double *high = g_new(double, n + 1), *low = g_new(double, n + 1);
  Placing p = {slots, n, columns, n_columns, grid, order, row, high, low};
  for (guint i = 0; i < n; i++)
    order[i] = i;
  g_qsort_with_data(order, (int)n, sizeof *order, compare_wishes, slots);
  for (guint try = 0; try < MOST_TRIES; try++) {
    place_in_order(&p);
    if (!any_cross(&p))
      return;
    reorder(&p);
  }
  set_down(&p);
}
