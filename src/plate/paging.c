/* Which callouts stand on which page of a plate, in which column, and where.
 *
 * Callouts come in the order of their numbers, so that page one holds the low ones. The same damage
 * before and after stays on one page. A callout longer than its column is cut, its number printed
 * again over the rest. */
#include "layout.h"

#include <math.h>

typedef struct {
  PwLayout *layout;
  PwPdf *pdf;
  const PwStyle *style;
  GArray *rest; /* PwPlaced not yet on a page */
} Work;

/* ---- Anchors and columns ------------------------------------------------------------------------
 */

static const PwPaperShape *
shape_of(const PwLayout *layout, const PwPlaced *placed)
{
  const PwCallout *callout = placed->block->callout;
  return callout->mark >= 0 ? &layout->shapes[callout->picture][callout->mark] : NULL;
}

/* The place of the mark's edge nearest to `from`; FALSE when nothing of it is in the picture. */
static gboolean
find_anchor(const PwLayout *layout, const PwPlaced *placed, PwPaper from, PwPaper *anchor)
{
  const PwPaperShape *shape = shape_of(layout, placed);
  const PwBox *box = &layout->arranged.boxes[placed->block->callout->picture];
  return shape != NULL && pw_paper_shape_nearest(shape, box, from, anchor);
}

static double
middle_y(const PwLayout *layout, const PwPlaced *placed)
{
  const PwPaperShape *shape = shape_of(layout, placed);
  const PwBox *box = &layout->arranged.boxes[placed->block->callout->picture];
  if (shape == NULL)
    return box->y + box->height;
  PwBox bounds = pw_paper_shape_bounds(shape);
  return CLAMP(bounds.y + bounds.height / 2, box->y, box->y + box->height);
}

static void
aim(const PwLayout *layout, PwPlaced *placed)
{
  PwPaper from = {layout->columns[placed->space].bend_x, middle_y(layout, placed)};
  placed->leads = find_anchor(layout, placed, from, &placed->anchor);
  if (!placed->leads)
    placed->anchor = from;
}

/* The columns of a picture: `right` may be that of `left`. */
static void
columns_of(const PwLayout *layout, guint picture, guint *left, guint *right)
{
  *left = *right = G_MAXUINT;
  for (guint s = 0; s < layout->arranged.n_spaces; s++)
    if (layout->arranged.spaces[s].picture == picture) {
      *right = s;
      if (*left == G_MAXUINT)
        *left = s;
    }
}

static double
middle_x(const PwLayout *layout, const PwPlaced *placed)
{
  const PwPaperShape *shape = shape_of(layout, placed);
  if (shape == NULL)
    return INFINITY;
  PwBox bounds = pw_paper_shape_bounds(shape);
  return bounds.x + bounds.width / 2;
}

static int
lines_of(const PwPlaced *placed)
{
  return 1 + pw_block_steps(placed->block, placed->first, placed->end);
}

typedef struct {
  const PwLayout *layout;
  const GArray *page;
} Across;

static int
compare_across(gconstpointer a, gconstpointer b, gpointer user)
{
  const Across *across = user;
  guint i = *(const guint *)a, j = *(const guint *)b;
  double x = middle_x(across->layout, &g_array_index(across->page, PwPlaced, i));
  double y = middle_x(across->layout, &g_array_index(across->page, PwPlaced, j));
  if (x < y || x > y)
    return x < y ? -1 : 1;
  return i < j ? -1 : i > j;
}

/* With a column on both sides, the half of the lines whose marks lie farthest left go left. */
static void
share_sides(const PwLayout *layout, GArray *page, guint picture)
{
  guint left, right;
  columns_of(layout, picture, &left, &right);
  g_autoptr(GArray) mine = g_array_new(FALSE, FALSE, sizeof(guint));
  int sum = 0;
  for (guint i = 0; i < page->len; i++) {
    const PwPlaced *placed = &g_array_index(page, PwPlaced, i);
    if (placed->block->callout->picture == picture) {
      g_array_append_val(mine, i);
      sum += lines_of(placed);
    }
  }
  Across across = {layout, page};
  g_array_sort_with_data(mine, compare_across, &across);
  int so_far = 0;
  for (guint k = 0; k < mine->len; k++) {
    PwPlaced *placed = &g_array_index(page, PwPlaced, g_array_index(mine, guint, k));
    placed->space = left != right && 2 * so_far + lines_of(placed) <= sum ? left : right;
    so_far += lines_of(placed);
    aim(layout, placed);
  }
}

/* ---- Slots
 * ---------------------------------------------------------------------------------------- */

static PwSlot *
slots_new(const PwLayout *layout, const GArray *page)
{
  PwSlot *slots = g_new0(PwSlot, page->len + 1);
  for (guint i = 0; i < page->len; i++) {
    const PwPlaced *placed = &g_array_index(page, PwPlaced, i);
    slots[i] = (PwSlot){
        .column = placed->space,
        .family = placed->block->callout->family,
        .lines = lines_of(placed),
        .leads = placed->leads,
        .anchor = placed->anchor,
        .wanted = (placed->anchor.y - layout->grid.origin_mm) / layout->grid.step_mm,
    };
  }
  return slots;
}

static gboolean
page_fits(const PwLayout *layout, GArray *page)
{
  for (guint i = 0; i < layout->sheet->n_pictures; i++)
    share_sides(layout, page, i);
  g_autofree PwSlot *slots = slots_new(layout, page);
  return pw_slots_fit(slots, page->len, layout->columns, layout->arranged.n_spaces);
}

/* Once the callouts stand, a leader may find a nearer place on its mark's edge: taken where it
 * still crosses none. */
static void
shorten_leaders(const PwLayout *layout, const GArray *page, PwSlot *slots)
{
  for (guint i = 0; i < page->len; i++) {
    PwPaper old = slots[i].anchor;
    PwPaper bend = pw_slot_bend(&slots[i], layout->columns, &layout->grid);
    if (!slots[i].leads ||
        !find_anchor(layout, &g_array_index(page, PwPlaced, i), bend, &slots[i].anchor))
      continue;
    for (guint j = 0; j < page->len; j++)
      if (j != i && pw_slots_cross(&slots[i], &slots[j], layout->columns, &layout->grid)) {
        slots[i].anchor = old;
        break;
      }
  }
}

/* A callout without a mark in the picture stands where its like in the other picture does, else
 * low. */
static void
wish_like_family(const GArray *page, PwSlot *slots)
{
  for (guint i = 0; i < page->len; i++)
    for (guint j = 0; !slots[i].leads && slots[i].family != 0 && j < page->len; j++)
      if (slots[j].family == slots[i].family && slots[j].leads)
        slots[i].wanted = slots[j].wanted;
}

static void
place_page(const PwLayout *layout, GArray *page)
{
  g_autofree PwSlot *slots = slots_new(layout, page);
  wish_like_family(page, slots);
  pw_slots_place(slots, page->len, layout->columns, layout->arranged.n_spaces, &layout->grid);
  shorten_leaders(layout, page, slots);
  for (guint i = 0; i < page->len; i++) {
    PwPlaced *placed = &g_array_index(page, PwPlaced, i);
    const PwSpace *space = &layout->arranged.spaces[placed->space];
    placed->line = slots[i].line;
    placed->anchor = slots[i].anchor;
    placed->bend = pw_slot_bend(&slots[i], layout->columns, &layout->grid);
    double start = space->right ? space->x - 1 : space->x + placed->block->head_width + 1.5;
    placed->start = (PwPaper){start, placed->bend.y};
  }
}

/* ---- Pages
 * ----------------------------------------------------------------------------------------- */

/* The grid lines that one callout of a picture may have when it stands alone. */
static int
most_lines(const PwLayout *layout, guint picture)
{
  int most = 1;
  for (guint s = 0; s < layout->arranged.n_spaces; s++)
    if (layout->arranged.spaces[s].picture == picture)
      most = MAX(most, layout->columns[s].end - layout->columns[s].first);
  return most;
}

/* The end of the lines from `first` on that `most` grid lines hold: at least one. */
static guint
cut_end(const PwBlock *block, guint first, int most)
{
  guint end = first + 1;
  while (end < block->lines->len && 1 + pw_block_steps(block, first, end + 1) <= most)
    end++;
  return end;
}

static void
cut_blocks(Work *w)
{
  for (guint i = 0; i < w->layout->blocks->len; i++) {
    const PwBlock *block = w->layout->blocks->pdata[i];
    int most = most_lines(w->layout, block->callout->picture);
    for (guint first = 0; first < block->lines->len;) {
      PwPlaced placed = {.block = block, .first = first, .end = cut_end(block, first, most)};
      g_array_append_val(w->rest, placed);
      first = placed.end;
    }
  }
}

/* How many of the rest, from the first, are one damage and want to stay together. */
static guint
group_length(const Work *w)
{
  const PwCallout *first = g_array_index(w->rest, PwPlaced, 0).block->callout;
  guint n = 1;
  while (n < w->rest->len && first->family != 0 &&
         g_array_index(w->rest, PwPlaced, n).block->callout->family == first->family)
    n++;
  return n;
}

static gboolean
add_if_fits(Work *w, GArray *page, guint n)
{
  guint before = page->len;
  g_array_append_vals(page, w->rest->data, n);
  if (!page_fits(w->layout, page)) {
    g_array_set_size(page, before);
    return FALSE;
  }
  g_array_remove_range(w->rest, 0, n);
  return TRUE;
}

static void
fill_page(Work *w)
{
  PwPage *page = g_new0(PwPage, 1);
  page->placed = g_array_new(FALSE, FALSE, sizeof(PwPlaced));
  while (w->rest->len > 0 && add_if_fits(w, page->placed, group_length(w)))
    ;
  while (page->placed->len == 0 && w->rest->len > 0 && add_if_fits(w, page->placed, 1))
    ;
  if (page->placed->len == 0 && w->rest->len > 0) {
    g_array_append_vals(page->placed, w->rest->data, 1);
    g_array_remove_range(w->rest, 0, 1);
  }
  page_fits(w->layout, page->placed);
  place_page(w->layout, page->placed);
  g_ptr_array_add(w->layout->pages, page);
}

static guint
number_at(const PwPage *page, guint i)
{
  return g_array_index(page->placed, PwPlaced, i).block->callout->number;
}

/* "page 1 of 2: marks 1 to 7" */
static void
name_part(const Work *w, guint which)
{
  PwPage *page = w->layout->pages->pdata[which];
  if (w->layout->pages->len == 1 || page->placed->len == 0)
    return;
  g_autofree char *part = g_strdup_printf("%u", which + 1);
  g_autofree char *parts = g_strdup_printf("%u", w->layout->pages->len);
  g_autofree char *first = g_strdup_printf("%u", number_at(page, 0));
  g_autofree char *last = g_strdup_printf("%u", number_at(page, page->placed->len - 1));
  g_autofree char *words = pw_style_dup_phrase(w->style, "page-part", "part", part, "parts", parts,
                                               "first", first, "last", last, NULL);
  page->part = pw_plate_text_new(w->pdf, w->style, PW_ROLE_FOOT, words, 0);
}

void
pw_layout_paginate(PwLayout *layout, PwPdf *pdf, const PwStyle *style)
{
  Work w = {layout, pdf, style, g_array_new(FALSE, FALSE, sizeof(PwPlaced))};
  cut_blocks(&w);
  do
    fill_page(&w);
  while (w.rest->len > 0);
  for (guint i = 0; i < layout->pages->len; i++)
    name_part(&w, i);
  g_array_unref(w.rest);
}
