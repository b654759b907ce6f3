/* Leaders. Where a callout's leader ends is first guessed from its column, at the height of its
 * mark; once the callouts stand it is taken to the nearest place of the mark's edge, wherever that
 * crosses no other. A leader of a point ends at the ring. */
#include "aim.h"

#include <math.h>
#include <string.h>

#include "spacing.h"

/* A crossing of another mark's outline is worth a detour of this much. */
#define CROSSING_COST_MM 12.0
/* Neighbours change places for no less than this. */
#define WORTH_CHANGING_MM 2.0
/* Where an edge is looked for, from the bend up and down. */
static const double looks_mm[] = {0, -12, 12, -30, 30};

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

/* How often the segment from a to b crosses the outline. */
static guint
count_crossings(const PwPaperShape *shape, PwPaper a, PwPaper b)
{
  const PwPaperPath *ring = &shape->rings[0];
  guint n = 0;
  for (gsize i = 0; i + 1 < ring->n + (shape->kind == PW_KIND_AREA ? 1 : 0); i++)
    n += pw_segments_meet(a, b, ring->points[i], ring->points[(i + 1) % ring->n]) ? 1 : 0;
  return n;
}

/* What a leader costs: its length, and more where it runs over other marks of its picture. */
static double
leader_cost(const PwLayout *layout, const GArray *placed, const PwPlaced *own, PwPaper bend,
            PwPaper anchor)
{
  double cost = hypot(anchor.x - bend.x, anchor.y - bend.y);
  for (guint i = 0; i < placed->len; i++) {
    const PwPlaced *other = &g_array_index(placed, PwPlaced, i);
    const PwPaperShape *shape = shape_of(layout, other);
    if (shape != NULL && other->block->callout->picture == own->block->callout->picture &&
        shape != shape_of(layout, own))
      cost += CROSSING_COST_MM * count_crossings(shape, bend, anchor);
  }
  return cost;
}

static gboolean
crosses_any(const PwLayout *layout, const PwSlot *slots, guint n, guint which)
{
  for (guint j = 0; j < n; j++)
    if (j != which && pw_slots_cross(&slots[which], &slots[j], layout->columns, &layout->grid))
      return TRUE;
  return FALSE;
}

/* Takes the cheapest of the places nearest to the bend and to places above and below it. */
static void
improve(const PwLayout *layout, const GArray *placed, const PwPlaced *own, PwSlot *slots, guint n,
        guint which)
{
  PwSlot *slot = &slots[which];
  PwPaper bend = pw_slot_bend(slot, layout->columns, &layout->grid), best = slot->anchor;
  double least = leader_cost(layout, placed, own, bend, best);
  for (gsize k = 0; k < G_N_ELEMENTS(looks_mm); k++) {
    PwPaper from = {bend.x, bend.y + looks_mm[k]};
    if (!find_anchor(layout, own, from, &slot->anchor) || crosses_any(layout, slots, n, which))
      continue;
    double cost = leader_cost(layout, placed, own, bend, slot->anchor);
    if (cost < least) {
      least = cost;
      best = slot->anchor;
    }
  }
  slot->anchor = best;
}

/* Callouts of one page under way: slot i is that of placed[which[i]]. */
typedef struct {
  const PwLayout *layout;
  GArray *placed;
  guint *which, n;
} Aiming;

static const PwPlaced *
owner_of(const Aiming *a, guint i)
{
  return &g_array_index(a->placed, PwPlaced, a->which[i]);
}

/* Places the slots, improves their leaders; what all leaders cost. */
static double
settle(const Aiming *a, PwSlot *slots)
{
  const PwLayout *layout = a->layout;
  double cost = 0;
  pw_slots_place(slots, a->n, layout->columns, layout->arranged.n_spaces, &layout->grid);
  for (guint i = 0; i < a->n; i++)
    if (slots[i].leads)
      improve(layout, a->placed, owner_of(a, i), slots, a->n, i);
  for (guint i = 0; i < a->n; i++)
    if (slots[i].leads)
      cost += leader_cost(layout, a->placed, owner_of(a, i),
                          pw_slot_bend(&slots[i], layout->columns, &layout->grid), slots[i].anchor);
  return cost;
}

/* The slot that stands next below slot i in its column, or n. */
static guint
next_below(const PwSlot *slots, guint n, guint i)
{
  guint next = n;
  for (guint j = 0; j < n; j++)
    if (slots[j].column == slots[i].column && slots[j].line > slots[i].line &&
        (next == n || slots[j].line < slots[next].line))
      next = j;
  return next;
}

/* Settles the slots; then lets neighbours change places where that makes all leaders cheaper. */
static void
settle_best(const Aiming *a, PwSlot *slots)
{
  gsize bytes = (a->n + 1) * sizeof *slots;
  g_autofree PwSlot *wishes = g_memdup2(slots, bytes), *trial = g_new(PwSlot, a->n + 1);
  double least = settle(a, slots);
  for (guint i = 0; i < a->n; i++) {
    guint j = next_below(slots, a->n, i);
    if (j == a->n || !slots[i].leads || !slots[j].leads)
      continue;
    memcpy(trial, wishes, bytes);
    trial[i].wanted = wishes[j].wanted;
    trial[j].wanted = wishes[i].wanted;
    double cost = settle(a, trial);
    if (cost >= least - WORTH_CHANGING_MM)
      continue;
    least = cost;
    wishes[i].wanted = trial[i].wanted;
    wishes[j].wanted = trial[j].wanted;
    memcpy(slots, trial, bytes);
  }
}

/* Where a leader from `from` meets the ring of `radius` round `at`: level where it can, else
 * straight on the middle. */
static PwPaper
meet_ring(PwPaper at, double radius, PwPaper from)
{
  double down = from.y - at.y;
  if (fabs(down) < radius) {
    double across = sqrt(radius * radius - down * down);
    return (PwPaper){from.x < at.x ? at.x - across : at.x + across, from.y};
  }
  double t = MIN(1, radius / hypot(from.x - at.x, from.y - at.y));
  return (PwPaper){at.x + t * (from.x - at.x), at.y + t * (from.y - at.y)};
}

static void
set_leader(const PwLayout *layout, PwPlaced *placed, const PwSlot *slot, gboolean as_tag)
{
  const PwSpace *space = &layout->arranged.spaces[placed->space];
  const PwPaperShape *shape = shape_of(layout, placed);
  PwPaper words = {space->x, pw_grid_y(&layout->grid, slot->line) + layout->rise};
  placed->bend = pw_slot_bend(slot, layout->columns, &layout->grid);
  placed->anchor = slot->anchor;
  if (shape != NULL && shape->kind == PW_KIND_POINT)
    placed->anchor = meet_ring(slot->anchor, layout->point_radius, placed->bend);
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
  Aiming a = {layout, placed, which, 0};
  g_autofree PwSlot *slots = slots_new(layout, placed, as_tags, which, &a.n);
  gboolean fits = pw_slots_fit(slots, a.n, layout->columns, layout->arranged.n_spaces);
  if (try_only)
    return fits;
  settle_best(&a, slots);
  for (guint i = 0; i < a.n; i++)
    set_leader(layout, &g_array_index(placed, PwPlaced, which[i]), &slots[i], as_tags);
  return fits;
}
