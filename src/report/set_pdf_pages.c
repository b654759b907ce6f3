/* Pages: where each ends, and what stands on it. Strips that are tied together stand on one page,
 * unless they are longer than any. Of all ways to do that the one is taken with the fewest scraps,
 * pages on which next to nothing stands, then with the fewest pages, then with the fewest that
 * begin inside a short section, then with the fullest ones from the front: what would stand all but
 * alone gets company from the page before it.
 *
 * A plate stands on pages of its own, after the page on which it is mentioned, but never inside a
 * table or a paragraph that goes on.
 */
#include "set_pdf_setting.h"

#include <math.h>

/* What rounding may add up to. */
#define SLACK 1e-6
/* A page on which less than this share of one stands is a scrap; the last, behind which the plates
 * or nothing stand, may hold less. */
#define SCRAP 0.25
#define LAST_SCRAP 0.2
/* A section of less than this share of a page is better not cut. */
#define SHORT_SECTION 0.4

/* The best that can be made of a strip and all after it, where it begins a page. */
typedef struct {
  guint torn, scraps, pages; /* pages that begin inside what is tied; scraps; all */
  guint cuts;                /* that begin inside a short section */
  guint end;                 /* of that first page */
} Plan;

typedef struct {
  PwSetting *s;
  guint n;              /* strips */
  gboolean *may, *must; /* of each strip: begin a page */
  gboolean *cuts;       /* of each strip: a page that begins with it cuts a short section */
  Plan *plans;          /* of each strip, and of the end */
} Planning;

/* ---- Room -------------------------------------------------------------------------- */

/* Where strip i begins below y, where the one before it ends. */
static double
top_of(const PwSetting *s, double y, guint i, gboolean is_first)
{
  const PwStrip *strip = pw_setting_peek_strip(s, i);
  double half = s->grid.step / 2, from = s->grid.top;
  if (is_first)
    return y;
  y += strip->above;
  return strip->is_aligned ? from + ceil((y - from) / half - SLACK) * half : y;
}

/* A page that begins with strip i, which stands at `y` on it: over its top what it goes on with, at
 * its top the head of a table, where that leaves room for the strip. */
static PwSetPage
page_from(const PwSetting *s, guint i, double *y)
{
  const PwStrip *strip = pw_setting_peek_strip(s, i);
  PwSetPage page = {.first = i, .again = strip->again, .head = strip->head};
  double height = 0;
  if (page.head >= 0)
    height = pw_setting_peek_strip(s, (guint)page.head)->height + strip->below_head;
  *y = s->grid.top + height;
  if (*y + strip->height > s->grid.bottom + SLACK) {
    page.head = -1;
    *y = s->grid.top;
  }
  return page;
}

/* Whether strips first..end-1 have room on one page. */
static gboolean
has_room(const PwSetting *s, guint first, guint end)
{
  double y;
  page_from(s, first, &y);
  for (guint i = first; i < end; i++)
    y = top_of(s, y, i, i == first) + pw_setting_peek_strip(s, i)->height;
  return y <= s->grid.bottom + SLACK;
}

/* ---- Where pages may begin --------------------------------------------------------- */

static gboolean
ends_page(const PwSetting *s, guint i)
{
  return i > 0 && pw_setting_peek_strip(s, i - 1)->ends_page;
}

static guint
end_of_group(const PwSetting *s, guint i)
{
  guint end = i + 1;
  while (end < s->strips->len && pw_setting_peek_strip(s, end)->is_tied && !ends_page(s, end))
    end++;
  return end;
}

/* What is tied together and longer than a page begins on one and may be torn anywhere. */
static void
find_beginnings(const Planning *p)
{
  guint end;
  for (guint first = 0; first < p->n; first = end) {
    end = end_of_group(p->s, first);
    const gboolean is_long = !has_room(p->s, first, end);
    p->must[first] = is_long || ends_page(p->s, first);
    for (guint i = first; i < end; i++)
      p->may[i] = is_long || i == first;
  }
}

static guint
end_of_section(const PwSetting *s, guint i)
{
  guint end = i + 1;
  while (end < s->strips->len && pw_setting_peek_strip(s, end)->again != NULL)
    end++;
  return end;
}

static void
find_cuts(const Planning *p)
{
  const double least = SHORT_SECTION * (p->s->grid.bottom - p->s->grid.top);
  guint end;
  for (guint first = 0; first < p->n; first = end) {
    end = end_of_section(p->s, first);
    const gboolean is_short = pw_set_height(p->s, first, end) < least;
    for (guint i = first; i < end; i++)
      p->cuts[i] = is_short && i > first;
  }
}

/* ---- Where they best do ------------------------------------------------------------ */

static gboolean
is_no_worse(const Plan *plan, const Plan *than)
{
  if (plan->torn != than->torn)
    return plan->torn < than->torn;
  if (plan->scraps != than->scraps)
    return plan->scraps < than->scraps;
  if (plan->pages != than->pages)
    return plan->pages < than->pages;
  return plan->cuts <= than->cuts;
}

/* A page of strips i..end-1, which are so high, and the best of what follows it. */
static Plan
plan_with(const Planning *p, guint i, guint end, double height)
{
  const double page = p->s->grid.bottom - p->s->grid.top;
  const gboolean is_torn = pw_setting_peek_strip(p->s, i)->is_tied && !p->must[i];
  Plan plan = p->plans[end];
  plan.torn += is_torn ? 1 : 0;
  plan.scraps += height < (end == p->n ? LAST_SCRAP : SCRAP) * page ? 1 : 0;
  plan.cuts += p->cuts[i] ? 1 : 0;
  plan.pages++;
  plan.end = end;
  return plan;
}

/* Even what is higher than a page stands on one. */
static void
plan_from(const Planning *p, guint i)
{
  double from, y;
  page_from(p->s, i, &from);
  y = from;
  for (guint j = i; j < p->n && (j == i || !p->must[j]); j++) {
    y = top_of(p->s, y, j, j == i) + pw_setting_peek_strip(p->s, j)->height;
    if (j > i && y > p->s->grid.bottom + SLACK)
      return;
    if (!p->may[j + 1])
      continue;
    const Plan plan = plan_with(p, i, j + 1, y - from);
    if (p->plans[i].end == 0 || is_no_worse(&plan, &p->plans[i]))
      p->plans[i] = plan;
  }
}

/* ---- Pages ------------------------------------------------------------------------- */

static void
place_plates(PwSetting *s, GPtrArray *plates)
{
  for (guint i = 0; i < plates->len; i++) {
    PwSetPage page = {.head = -1, .plate = plates->pdata[i]};
    g_array_append_val(s->pages, page);
  }
  g_ptr_array_set_size(plates, 0);
}

/* Strips first..end-1 on page `n` of text. */
static void
place(PwSetting *s, guint first, guint end, guint n, GPtrArray *plates)
{
  double y;
  PwSetPage page = page_from(s, first, &y);
  page.end = end;
  for (guint i = first; i < end; i++) {
    PwStrip *strip = pw_setting_peek_strip(s, i);
    strip->y = top_of(s, y, i, i == first);
    strip->page = n;
    y = strip->y + strip->height;
    g_ptr_array_extend(plates, strip->plates, NULL, NULL);
  }
  g_array_append_val(s->pages, page);
}

static gboolean
goes_on(const PwSetting *s, guint i)
{
  return i < s->strips->len &&
         pw_setting_peek_strip(s, i)->block == pw_setting_peek_strip(s, i - 1)->block;
}

void
pw_set_pages(PwSetting *s)
{
  const guint n = s->strips->len;
  g_autofree gboolean *may = g_new0(gboolean, n + 1), *must = g_new0(gboolean, n + 1);
  g_autofree Plan *plans = g_new0(Plan, n + 1);
  g_autoptr(GPtrArray) plates = g_ptr_array_new(); /* PwBlock: mentioned, not placed yet */
  g_autofree gboolean *cuts = g_new0(gboolean, n + 1);
  const Planning p = {s, n, may, must, cuts, plans};
  may[n] = TRUE;
  find_beginnings(&p);
  find_cuts(&p);
  for (guint i = n; i-- > 0;)
    if (may[i])
      plan_from(&p, i);
  for (guint i = 0, page = 0; i < n; i = plans[i].end) {
    place(s, i, plans[i].end, page++, plates);
    if (!goes_on(s, plans[i].end))
      place_plates(s, plates);
  }
}
