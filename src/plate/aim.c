/* Leaders. Where a callout's leader ends is first guessed from its column, at the height of its
 * mark; once the callouts stand it is taken to the place of the mark's edge that costs least, near
 * at hand and past other marks, wherever that crosses no other. A leader of a point ends at the
 * ring. Where some still run over marks, callouts change places. */
#include "aim.h"

#include <math.h>
#include <string.h>

#include "leader.h"
#include "spacing.h"

/* Leaders never cross: worth more than all else. One that runs over another's dot is worth a detour
 * of this much; the same damage not standing level of this. */
#define CROSSING_MM 1e5
#define AT_DOT_MM 60.0
#define NOT_LEVEL_MM 6.0
/* Callouts change places for no less than this. */
#define WORTH_CHANGING_MM 2.0
/* What a leader may run beside without being worth a search for other places. */
#define LITTLE_MM 7.0
/* Searches of a page, once neighbours have changed places. */
#define MOST_TRIALS 200
/* Where an edge is looked for, from the bend up and down; and places all round it. */
static const double looks_mm[] = {0, -12, 12, -30, 30};
enum { PLACES_ROUND = 14, MOST_ENDS = G_N_ELEMENTS(looks_mm) + PLACES_ROUND };

static const PwPaperShape *
shape_of(const PwLayout *layout, const PwPlaced *placed)
{
  const PwCallout *callout = placed->block->callout;
  return callout->mark >= 0 ? &layout->shapes[callout->picture][callout->mark] : NULL;
}

static const PwBox *
box_of(const PwLayout *layout, const PwPlaced *placed)
{
  return &layout->arranged.boxes[placed->block->callout->picture];
}

int
pw_aim_lines(const PwPlaced *placed)
{
  return 1 + pw_block_steps(placed->block, placed->first, placed->end);
}

/* FALSE when nothing of its mark is in the picture. */
static gboolean
find_anchor(const PwLayout *layout, const PwPlaced *placed, PwPaper from, PwPaper *anchor)
{
  const PwPaperShape *shape = shape_of(layout, placed);
  return shape != NULL && pw_paper_shape_nearest(shape, box_of(layout, placed), from, anchor);
}

PwPaper
pw_aim_middle(const PwLayout *layout, const PwPlaced *placed)
{
  const PwPaperShape *shape = shape_of(layout, placed);
  const PwBox *box = box_of(layout, placed);
  double right = box->x + box->width, bottom = box->y + box->height;
  if (shape == NULL)
    return (PwPaper){right, bottom};
  PwBox bounds = pw_paper_shape_bounds(shape);
  return (PwPaper){CLAMP(bounds.x + bounds.width / 2, box->x, right),
                   CLAMP(bounds.y + bounds.height / 2, box->y, bottom)};
}

void
pw_aim(const PwLayout *layout, PwPlaced *placed)
{
  PwPaper from = {layout->columns[placed->space].bend_x, pw_aim_middle(layout, placed).y};
  placed->leads = find_anchor(layout, placed, from, &placed->anchor);
  if (!placed->leads)
    placed->anchor = from;
}

/* ---- Slots --------------------------------------------------------------------------------------
 */

/* A callout without a mark in the picture wishes to stand where its like in the other picture does.
 */
static double
wish(const PwLayout *layout, const GArray *placed, guint i)
{
  const PwPlaced *own = &g_array_index(placed, PwPlaced, i), *like = own;
  for (guint j = 0; !like->leads && own->block->callout->family != 0 && j < placed->len; j++) {
    const PwPlaced *other = &g_array_index(placed, PwPlaced, j);
    if (other->leads && other->block->callout->family == own->block->callout->family)
      like = other;
  }
  return (like->anchor.y - layout->grid.origin_mm) / layout->grid.step_mm;
}

/* A slot for each; `as_tags`: for each that leads, `which` telling whose it is. */
static PwSlot *
slots_new(const PwLayout *layout, const GArray *placed, gboolean as_tags, guint *which, guint *n)
{
  PwSlot *slots = g_new0(PwSlot, placed->len + 1);
  *n = 0;
  for (guint i = 0; i < placed->len; i++) {
    const PwPlaced *own = &g_array_index(placed, PwPlaced, i);
    if (as_tags && !own->leads)
      continue;
    which[*n] = i;
    slots[(*n)++] = (PwSlot){
        .column = own->space,
        .family = own->block->callout->family,
        .lines = as_tags ? 1 : pw_aim_lines(own),
        .leads = own->leads,
        .anchor = own->anchor,
        .wanted = wish(layout, placed, i),
    };
  }
  return slots;
}

/* ---- Leaders --------------------------------------------------------------------------------- */

/* Callouts of one page under way: slot i is that of placed[which[i]]. */
typedef struct {
  const PwLayout *layout;
  GArray *placed;
  guint *which, n;
  GArray *obstacles;
  guint n_trials;
} Aiming;

static const PwPlaced *
owner_of(const Aiming *a, guint i)
{
  return &g_array_index(a->placed, PwPlaced, a->which[i]);
}

static PwPaper
bend_of(const Aiming *a, const PwSlot *slot)
{
  return pw_slot_bend(slot, a->layout->columns, &a->layout->grid);
}

static guint
count_crossings(const Aiming *a, const PwSlot *slots, guint which)
{
  guint n = 0;
  for (guint j = 0; j < a->n; j++)
    if (j != which)
      n += pw_slots_cross(&slots[which], &slots[j], a->layout->columns, &a->layout->grid) ? 1 : 0;
  return n;
}

/* What it runs over: other leaders, marks, the ends of other leaders, or others over its own. */
static double
trouble_of(const Aiming *a, const PwSlot *slots, guint which)
{
  const PwSlot *own = &slots[which];
  PwPaper bend = bend_of(a, own);
  double trouble =
      pw_leader_trouble(a->obstacles, owner_of(a, which)->block->callout, bend, own->anchor);
  for (guint j = 0; j < a->n; j++)
    if (j != which && slots[j].leads &&
        (pw_leader_is_at(bend, own->anchor, slots[j].anchor) ||
         pw_leader_is_at(bend_of(a, &slots[j]), slots[j].anchor, own->anchor)))
      trouble += AT_DOT_MM;
  return trouble + CROSSING_MM * count_crossings(a, slots, which);
}

static double
length_of(const Aiming *a, const PwSlot *slot)
{
  PwPaper bend = bend_of(a, slot);
  return hypot(slot->anchor.x - bend.x, slot->anchor.y - bend.y);
}

/* Where a leader from `from` meets the ring of `radius` round `at`: straight on the middle, which
 * can cross no more than before, and level where it can. */
static guint
meet_ring(PwPaper at, double radius, PwPaper from, PwPaper ends[2])
{
  double down = from.y - at.y, t = MIN(1, radius / hypot(from.x - at.x, down));
  ends[0] = (PwPaper){at.x + t * (from.x - at.x), at.y + t * down};
  if (fabs(down) >= radius)
    return 1;
  double across = sqrt(radius * radius - down * down);
  ends[1] = (PwPaper){from.x < at.x ? at.x - across : at.x + across, from.y};
  return 2;
}

/* Places where its leader may end. */
static guint
find_ends(const Aiming *a, const PwPlaced *own, PwPaper bend, PwPaper ends[MOST_ENDS])
{
  const PwPaperShape *shape = shape_of(a->layout, own);
  const PwBox *box = box_of(a->layout, own);
  guint n = 0;
  if (shape->kind == PW_KIND_POINT)
    return meet_ring(shape->rings[0].points[0], a->layout->point_radius, bend, ends);
  for (gsize k = 0; k < G_N_ELEMENTS(looks_mm); k++)
    if (find_anchor(a->layout, own, (PwPaper){bend.x, bend.y + looks_mm[k]}, &ends[n]))
      n++;
  return n + pw_paper_shape_spread(shape, box, &ends[n], PLACES_ROUND);
}

/* Takes the cheapest of the places where it may end: never the middle of a point. */
static void
improve(const Aiming *a, PwSlot *slots, guint which)
{
  PwSlot *slot = &slots[which];
  PwPaper best = slot->anchor, ends[MOST_ENDS];
  guint n = find_ends(a, owner_of(a, which), bend_of(a, slot), ends);
  gboolean is_point = shape_of(a->layout, owner_of(a, which))->kind == PW_KIND_POINT;
  double least = is_point ? HUGE_VAL : length_of(a, slot) + trouble_of(a, slots, which);
  for (guint k = 0; k < n; k++) {
    slot->anchor = ends[k];
    double cost = length_of(a, slot);
    if (cost >= least)
      continue;
    cost += trouble_of(a, slots, which);
    if (cost < least) {
      least = cost;
      best = slot->anchor;
    }
  }
  slot->anchor = best;
}

/* How many of the same damage stand at another height in another column. */
static guint
count_not_level(const PwSlot *slots, guint which)
{
  guint n = 0;
  for (guint j = 0; slots[which].family != 0 && j < which; j++)
    n += slots[j].family == slots[which].family && slots[j].column != slots[which].column &&
         slots[j].line != slots[which].line;
  return n;
}

/* Improves all leaders; what they cost. Twice, for what was in the way of the first may have moved.
 */
static double
settle(const Aiming *a, PwSlot *slots)
{
  double cost = 0;
  for (guint i = 0; i < 2 * a->n; i++)
    if (slots[i % a->n].leads)
      improve(a, slots, i % a->n);
  for (guint i = 0; i < a->n; i++) {
    cost += NOT_LEVEL_MM * count_not_level(slots, i);
    if (slots[i].leads)
      cost += length_of(a, &slots[i]) + trouble_of(a, slots, i);
  }
  return cost;
}

/* ---- Changing places ------------------------------------------------------------------------- */

/* Lines up and down by which callouts are shifted. */
static const double shifts[] = {-3, 3, -6, 6, -12, 12, -24, 24};

/* Slots as they stand, in which order, and what that costs; and a trial of other ones. */
typedef struct {
  PwSlot *slots, *trial;
  guint *order, *trial_order;
  double cost;
} Standing;

static int
compare_places(gconstpointer a, gconstpointer b, gpointer user)
{
  const PwSlot *slots = user, *p = &slots[*(const guint *)a], *q = &slots[*(const guint *)b];
  if (p->column != q->column)
    return p->column < q->column ? -1 : 1;
  return p->line < q->line ? -1 : p->line > q->line;
}

static void
begin_trial(const Aiming *a, Standing *s)
{
  memcpy(s->trial, s->slots, a->n * sizeof *s->slots);
  memcpy(s->trial_order, s->order, a->n * sizeof *s->order);
}

/* Keeps the trial where it is cheaper. */
static gboolean
end_trial(Aiming *a, Standing *s)
{
  const PwLayout *layout = a->layout;
  a->n_trials++;
  if (!pw_slots_place_as(s->trial, a->n, layout->columns, layout->arranged.n_spaces, &layout->grid,
                         s->trial_order))
    return FALSE;
  double cost = settle(a, s->trial);
  if (cost >= s->cost - WORTH_CHANGING_MM)
    return FALSE;
  s->cost = cost;
  memcpy(s->slots, s->trial, a->n * sizeof *s->slots);
  memcpy(s->order, s->trial_order, a->n * sizeof *s->order);
  return TRUE;
}

/* Those at k and l of the order change places. */
static gboolean
swap(Aiming *a, Standing *s, guint k, guint l)
{
  begin_trial(a, s);
  s->trial_order[k] = s->order[l];
  s->trial_order[l] = s->order[k];
  return end_trial(a, s);
}

/* The one at k of the order goes to l, those between move up. */
static gboolean
insert(Aiming *a, Standing *s, guint k, guint l)
{
  guint *order = s->trial_order;
  begin_trial(a, s);
  if (k < l)
    memmove(&order[k], &order[k + 1], (l - k) * sizeof *order);
  else
    memmove(&order[l + 1], &order[l], (k - l) * sizeof *order);
  order[l] = s->order[k];
  return end_trial(a, s);
}

/* The column at the other side of the picture that `column` belongs to, or G_MAXUINT. */
static guint
other_column(const Aiming *a, guint column)
{
  const PwArranged *arranged = &a->layout->arranged;
  for (guint c = 0; c < arranged->n_spaces; c++)
    if (c != column && arranged->spaces[c].picture == arranged->spaces[column].picture)
      return c;
  return G_MAXUINT;
}

/* The one at k of the order goes to the column at the other side of its picture, as high. */
static gboolean
move_across(Aiming *a, Standing *s, guint k)
{
  guint moved = s->order[k], other = other_column(a, s->slots[moved].column), l = 0;
  if (other == G_MAXUINT)
    return FALSE;
  begin_trial(a, s);
  s->trial[moved].column = other;
  for (guint i = 0; i < a->n; i++)
    if (i != k && compare_places(&s->order[i], &moved, s->trial) < 0)
      s->trial_order[l++] = s->order[i];
  s->trial_order[l++] = moved;
  for (guint i = 0; i < a->n; i++)
    if (i != k && compare_places(&s->order[i], &moved, s->trial) >= 0)
      s->trial_order[l++] = s->order[i];
  return end_trial(a, s);
}

/* Of those from k to l of the order each stands lower by `lines` where it can. */
static gboolean
shift(Aiming *a, Standing *s, guint k, guint l, double lines)
{
  begin_trial(a, s);
  for (; k <= l; k++)
    s->trial[s->order[k]].wanted += lines;
  return end_trial(a, s);
}

static gboolean
is_column(const Standing *s, guint k, guint l)
{
  return s->slots[s->order[k]].column == s->slots[s->order[l]].column;
}

/* Tries other places for the one at k of the order, until one is better. */
static gboolean
move_one(Aiming *a, Standing *s, guint k)
{
  guint first = k, last = k;
  while (first > 0 && is_column(s, first - 1, k))
    first--;
  while (last + 1 < a->n && is_column(s, last + 1, k))
    last++;
  if (move_across(a, s, k))
    return TRUE;
  for (guint l = first; l <= last; l++)
    if (l != k && (swap(a, s, k, l) || insert(a, s, k, l)))
      return TRUE;
  for (gsize i = 0; i < G_N_ELEMENTS(shifts); i++)
    if (shift(a, s, k, k, shifts[i]) || shift(a, s, first, last, shifts[i]) ||
        shift(a, s, k, last, shifts[i]) || shift(a, s, first, k, shifts[i]))
      return TRUE;
  return FALSE;
}

static void
change_neighbours(Aiming *a, Standing *s)
{
  for (guint k = 0; k < a->n; k++)
    if (s->slots[s->order[k]].leads)
      move_across(a, s, k);
  for (guint k = 0; k + 1 < a->n; k++)
    if (is_column(s, k, k + 1) && s->slots[s->order[k]].leads && s->slots[s->order[k + 1]].leads)
      swap(a, s, k, k + 1);
}

/* Sides are changed, and neighbours change places, where that makes all leaders cheaper, and those
 * whose leaders run over something with any other, or come between two, or are shifted. */
static void
settle_best(Aiming *a, PwSlot *slots)
{
  const PwLayout *layout = a->layout;
  g_autofree guint *order = g_new(guint, a->n + 1), *trial_order = g_new(guint, a->n + 1);
  g_autofree PwSlot *trial = g_new(PwSlot, a->n + 1);
  pw_slots_place(slots, a->n, layout->columns, layout->arranged.n_spaces, &layout->grid);
  Standing s = {slots, trial, order, trial_order, settle(a, slots)};
  for (guint i = 0; i < a->n; i++)
    order[i] = i;
  g_qsort_with_data(order, (int)a->n, sizeof *order, compare_places, slots);
  change_neighbours(a, &s);
  a->n_trials = 0;
  for (gboolean moved = TRUE; moved;) {
    moved = FALSE;
    for (guint k = 0; k < a->n && a->n_trials < MOST_TRIALS; k++)
      if (slots[order[k]].leads && trouble_of(a, slots, order[k]) > LITTLE_MM)
        moved = move_one(a, &s, k) || moved;
  }
}

static void
set_leader(const PwLayout *layout, PwPlaced *placed, const PwSlot *slot, gboolean as_tag)
{
  placed->space = slot->column;
  const PwSpace *space = &layout->arranged.spaces[placed->space];
  PwPaper words = {space->x, pw_grid_y(&layout->grid, slot->line) + layout->rise};
  placed->bend = pw_slot_bend(slot, layout->columns, &layout->grid);
  placed->anchor = slot->anchor;
  double behind = space->x + placed->block->head_width + PW_LEADER_APART;
  placed->start = (PwPaper){space->right ? space->x - PW_LEADER_APART : behind, placed->bend.y};
  placed->tagged = as_tag;
  if (as_tag)
    placed->tag = words;
  else
    placed->words = words;
}

gboolean
pw_aim_place(const PwLayout *layout, GArray *placed, gboolean as_tags, gboolean try_only)
{
  g_autofree guint *which = g_new(guint, placed->len + 1);
  Aiming a = {layout, placed, which, 0, NULL, 0};
  g_autofree PwSlot *slots = slots_new(layout, placed, as_tags, which, &a.n);
  gboolean fits = pw_slots_fit(slots, a.n, layout->columns, layout->arranged.n_spaces);
  if (try_only)
    return fits;
  g_autoptr(GArray) obstacles = a.obstacles = pw_obstacles_new(layout, placed);
  settle_best(&a, slots);
  for (guint i = 0; i < a.n; i++)
    set_leader(layout, &g_array_index(placed, PwPlaced, which[i]), &slots[i], as_tags);
  return fits;
}
