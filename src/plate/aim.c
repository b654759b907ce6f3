/* Leaders. Where a callout's leader ends is first guessed from its column, at the height of its
 * mark; once the callouts stand it is taken to the nearest place of the mark's edge, wherever that
 * crosses no other. A leader of a point ends at the ring. */
#include "aim.h"

#include <math.h>

#include "spacing.h"

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

/* ---- Leaders
 * --------------------------------------------------------------------------------------- */

static void
shorten(const PwLayout *layout, const GArray *placed, const guint *which, PwSlot *slots, guint n)
{
  for (guint i = 0; i < n; i++) {
    const PwPlaced *own = &g_array_index(placed, PwPlaced, which[i]);
    PwPaper old = slots[i].anchor;
    PwPaper bend = pw_slot_bend(&slots[i], layout->columns, &layout->grid);
    if (!slots[i].leads || !find_anchor(layout, own, bend, &slots[i].anchor))
      continue;
    for (guint j = 0; j < n; j++)
      if (j != i && pw_slots_cross(&slots[i], &slots[j], layout->columns, &layout->grid)) {
        slots[i].anchor = old;
        break;
      }
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
  guint n;
  g_autofree guint *which = g_new(guint, placed->len + 1);
  g_autofree PwSlot *slots = slots_new(layout, placed, as_tags, which, &n);
  guint n_columns = layout->arranged.n_spaces;
  gboolean fits = pw_slots_fit(slots, n, layout->columns, n_columns);
  if (try_only)
    return fits;
  pw_slots_place(slots, n, layout->columns, n_columns, &layout->grid);
  shorten(layout, placed, which, slots, n);
  for (guint i = 0; i < n; i++)
    set_leader(layout, &g_array_index(placed, PwPlaced, which[i]), &slots[i], as_tags);
  return fits;
}
