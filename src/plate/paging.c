/* Which callouts stand on which page of a plate, and in which column.
 *
 * Callouts come in the order of their numbers, so that page one holds the low ones. The same damage
 * before and after stays on one page. Where one page does not do, the pages get about as many each.
 * A callout longer than its column is cut, its number printed again over the rest. */
#include "layout.h"

#include <math.h>

#include "aim.h"
#include "table.h"

/* How many ways to share callouts out over pages are tried. */
#define MOST_BALANCING 4

typedef struct {
  PwLayout *layout;
  GArray *all; /* PwPlaced of the whole plate, in order */
  guint next;  /* of these, the first without a page */
} Work;

/* ---- Sides ----------------------------------------------------------------------------------- */

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

typedef struct {
  const PwLayout *layout;
  const GArray *page;
} Across;

static int
compare_across(gconstpointer a, gconstpointer b, gpointer user)
{
  const Across *across = user;
  guint i = *(const guint *)a, j = *(const guint *)b;
  double x = pw_aim_middle(across->layout, &g_array_index(across->page, PwPlaced, i)).x;
  double y = pw_aim_middle(across->layout, &g_array_index(across->page, PwPlaced, j)).x;
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
  int sum = 0, so_far = 0;
  for (guint i = 0; i < page->len; i++) {
    const PwPlaced *placed = &g_array_index(page, PwPlaced, i);
    if (placed->block->callout->picture == picture) {
      g_array_append_val(mine, i);
      sum += pw_aim_lines(placed);
    }
  }
  Across across = {layout, page};
  g_array_sort_with_data(mine, compare_across, &across);
  for (guint k = 0; k < mine->len; k++) {
    PwPlaced *placed = &g_array_index(page, PwPlaced, g_array_index(mine, guint, k));
    placed->space = 2 * so_far + pw_aim_lines(placed) <= sum ? left : right;
    so_far += pw_aim_lines(placed);
    pw_aim(layout, placed);
  }
}

static gboolean
is_tabled(const PwLayout *layout)
{
  return layout->arranged.tables[0].width > 0;
}

static gboolean
page_fits(const PwLayout *layout, GArray *page)
{
  if (is_tabled(layout))
    return pw_table_fits(layout, page);
  for (guint i = 0; i < layout->sheet->n_pictures; i++)
    share_sides(layout, page, i);
  return pw_aim_place(layout, page, FALSE, TRUE);
}

static void
place_page(const PwLayout *layout, GArray *page)
{
  if (is_tabled(layout)) {
    pw_table_place(layout, page);
    return;
  }
  for (guint i = 0; i < layout->sheet->n_pictures; i++)
    share_sides(layout, page, i);
  pw_aim_place(layout, page, FALSE, FALSE);
}

/* ---- Pages ----------------------------------------------------------------------------------- */

/* The grid lines that one callout of a picture may have when it stands alone. */
static int
most_lines(const PwLayout *layout, guint picture)
{
  int most = 1;
  if (is_tabled(layout)) {
    double room = layout->arranged.tables[picture].height - layout->table_drop;
    return MAX(most, (int)floor(room / layout->grid.step_mm));
  }
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
      g_array_append_val(w->all, placed);
      first = placed.end;
    }
  }
}

static guint
number_of(const GArray *placed, guint i)
{
  return g_array_index(placed, PwPlaced, i).block->callout->number;
}

/* The end of the callouts from `from` on that have one number. */
static guint
group_end(const GArray *placed, guint from)
{
  guint end = from;
  while (end < placed->len && number_of(placed, end) == number_of(placed, from))
    end++;
  return end;
}

static guint
count_groups(const GArray *placed)
{
  guint n = 0;
  for (guint i = 0; i < placed->len; i = group_end(placed, i))
    n++;
  return n;
}

/* Adds the callouts up to `end` to the page if they fit there. */
static gboolean
add_if_fits(Work *w, GArray *page, guint end)
{
  guint before = page->len;
  g_array_append_vals(page, &g_array_index(w->all, PwPlaced, w->next), end - w->next);
  if (!page_fits(w->layout, page)) {
    g_array_set_size(page, before);
    return FALSE;
  }
  w->next = end;
  return TRUE;
}

/* A page of at most `most_groups` numbers. What is too long for a page even alone is set down
 * callout by callout. */
static void
fill_page(Work *w, guint most_groups)
{
  PwPage *page = g_new0(PwPage, 1);
  page->placed = g_array_new(FALSE, FALSE, sizeof(PwPlaced));
  for (guint n = 0; n < most_groups && w->next < w->all->len; n++)
    if (!add_if_fits(w, page->placed, group_end(w->all, w->next)))
      break;
  while (page->placed->len == 0 && w->next < w->all->len &&
         add_if_fits(w, page->placed, w->next + 1))
    ;
  if (page->placed->len == 0 && w->next < w->all->len)
    g_array_append_val(page->placed, g_array_index(w->all, PwPlaced, w->next++));
  g_ptr_array_add(w->layout->pages, page);
}

static void
fill_pages(Work *w, guint most_groups)
{
  w->next = 0;
  g_ptr_array_set_size(w->layout->pages, 0);
  do
    fill_page(w, most_groups);
  while (w->next < w->all->len);
}

/* The same number of pages, about as much on each. */
static void
balance(Work *w)
{
  guint pages = w->layout->pages->len, groups = count_groups(w->all);
  guint fewest = (groups + pages - 1) / pages;
  for (guint more = 0; pages > 1 && more < MOST_BALANCING; more++) {
    fill_pages(w, fewest + more);
    if (w->layout->pages->len <= pages)
      return;
  }
  if (pages > 1)
    fill_pages(w, groups);
}

/* ---- What a page says of itself -------------------------------------------------------------- */

/* "page 1 of 2: marks 1 to 7", "marks 5 and 6", or "mark 7" */
static void
name_part(const PwLayout *layout, PwPdf *pdf, const PwStyle *style, guint which)
{
  static const char *const keys[] = {"page-part-one", "page-part-two", "page-part"};
  PwPage *page = layout->pages->pdata[which];
  if (layout->pages->len == 1 || page->placed->len == 0)
    return;
  guint from = number_of(page->placed, 0), to = number_of(page->placed, page->placed->len - 1);
  guint n = count_groups(page->placed);
  g_autofree char *part = g_strdup_printf("%u", which + 1);
  g_autofree char *parts = g_strdup_printf("%u", layout->pages->len);
  g_autofree char *first = g_strdup_printf("%u", from);
  g_autofree char *last = g_strdup_printf("%u", to);
  g_autofree char *words =
      pw_words_dup_phrase(layout->sheet->words, keys[MIN(n, 3) - 1], "part", part, "parts", parts,
                          "mark", first, "first", first, "last", last, NULL);
  page->part = pw_plate_text_new(pdf, style, PW_ROLE_FOOT, words, 0);
}

static void
set_foot(const PwLayout *layout, PwPdf *pdf, const PwStyle *style, PwPage *page)
{
  g_autoptr(GPtrArray) callouts = g_ptr_array_new();
  for (guint i = 0; i < page->placed->len; i++)
    g_ptr_array_add(callouts,
                    (gpointer)(gsize)g_array_index(page->placed, PwPlaced, i).block->callout);
  page->foot = pw_foot_new(pdf, style, layout->sheet, callouts, layout->arranged.page_width);
}

void
pw_layout_paginate(PwLayout *layout)
{
  Work w = {layout, g_array_new(FALSE, FALSE, sizeof(PwPlaced)), 0};
  cut_blocks(&w);
  fill_pages(&w, MAX(1, w.all->len));
  balance(&w);
  g_array_unref(w.all);
}

void
pw_layout_place(PwLayout *layout, PwPdf *pdf, const PwStyle *style)
{
  for (guint i = 0; i < layout->pages->len; i++) {
    place_page(layout, ((PwPage *)layout->pages->pdata[i])->placed);
    name_part(layout, pdf, style, i);
    set_foot(layout, pdf, style, layout->pages->pdata[i]);
  }
}
