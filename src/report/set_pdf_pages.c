/* Pages: strips dealt out one after another, those that are tied together on one page. A plate
 * stands on pages of its own, after the page on which it is mentioned, but never inside a table or
 * a paragraph that goes on.
 */
#include "set_pdf_setting.h"

#include <math.h>

/* What rounding may add up to. */
#define SLACK 1e-6

typedef struct {
  PwSetting *s;
  PwSetPage page;    /* under way; without strips when first == end */
  double y;          /* where the last strip on it ends */
  GPtrArray *plates; /* PwBlock: mentioned, not placed yet */
  guint n_text;      /* pages of text before this one */
} Deal;

static double
top_of(const Deal *d, double y, guint i, gboolean is_first)
{
  const PwStrip *strip = pw_setting_peek_strip(d->s, i);
  double half = d->s->grid.step / 2, from = d->s->grid.top;
  if (is_first)
    return y;
  y += strip->above;
  return strip->is_aligned ? from + ceil((y - from) / half - SLACK) * half : y;
}

static gboolean
is_empty(const Deal *d)
{
  return d->page.first == d->page.end;
}

/* Whether strips first..end-1 have room below y. */
static gboolean
has_room(const Deal *d, guint first, guint end)
{
  double y = d->y;
  for (guint i = first; i < end; i++)
    y = top_of(d, y, i, is_empty(d) && i == first) + pw_setting_peek_strip(d->s, i)->height;
  return y <= d->s->grid.bottom + SLACK;
}

static void
place_plates(Deal *d)
{
  for (guint i = 0; i < d->plates->len; i++) {
    PwSetPage page = {.head = -1, .plate = d->plates->pdata[i]};
    g_array_append_val(d->s->pages, page);
  }
  g_ptr_array_set_size(d->plates, 0);
}

/* The head of a table that goes on, where it leaves room for what goes on under it. */
static void
repeat_head(Deal *d, guint i)
{
  const PwStrip *strip = pw_setting_peek_strip(d->s, i);
  double room = d->s->grid.bottom - d->s->grid.top;
  d->page.head = -1;
  d->y = d->s->grid.top;
  if (strip->head < 0)
    return;
  const PwStrip *head = pw_setting_peek_strip(d->s, (guint)strip->head);
  double height = head->height + (head->again != NULL ? head->again->height : 0);
  if (height + strip->height > room + SLACK)
    return;
  d->page.head = strip->head;
  d->y += height;
}

static void
end_page(Deal *d)
{
  g_array_append_val(d->s->pages, d->page);
  d->n_text++;
  d->page.first = d->page.end;
}

/* Strip i, and all from it on, on a new page. */
static void
turn_page(Deal *d, guint i)
{
  gboolean goes_on =
      pw_setting_peek_strip(d->s, i)->block == pw_setting_peek_strip(d->s, i - 1)->block;
  end_page(d);
  if (!goes_on)
    place_plates(d);
  repeat_head(d, i);
}

static void
place(Deal *d, guint i)
{
  PwStrip *strip = pw_setting_peek_strip(d->s, i);
  strip->y = top_of(d, d->y, i, is_empty(d));
  strip->page = d->n_text;
  d->y = strip->y + strip->height;
  d->page.end = i + 1;
  g_ptr_array_extend(d->plates, strip->plates, NULL, NULL);
}

static guint
end_of_group(const PwSetting *s, guint i)
{
  guint end = i + 1;
  while (end < s->strips->len && pw_setting_peek_strip(s, end)->is_tied &&
         !pw_setting_peek_strip(s, end - 1)->ends_page)
    end++;
  return end;
}

/* What is tied together and longer than a page begins on one and is broken where that ends. */
static void
place_group(Deal *d, guint first, guint end)
{
  if (!is_empty(d) &&
      (pw_setting_peek_strip(d->s, first - 1)->ends_page || !has_room(d, first, end)))
    turn_page(d, first);
  for (guint i = first; i < end; i++) {
    if (!is_empty(d) && !has_room(d, i, i + 1))
      turn_page(d, i);
    place(d, i);
  }
}

void
pw_set_pages(PwSetting *s)
{
  Deal d = {.s = s, .page = {.head = -1}, .y = s->grid.top, .plates = g_ptr_array_new()};
  guint end;
  for (guint i = 0; i < s->strips->len; i = end) {
    end = end_of_group(s, i);
    place_group(&d, i, end);
  }
  end_page(&d);
  place_plates(&d);
  g_ptr_array_unref(d.plates);
}
