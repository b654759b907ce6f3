/* The arithmetic of a page: how large the pictures can be between the words, and where they go.
 *
 * A row of two has its columns outside, left picture's left, right picture's right, so that no
 * leader runs over the other picture, and what tells the two apart between them; a row of more has
 * a column at the right of each; a stack has a column at the right of each, or one on both sides.
 * Pictures hang from the line under the title.
 */
#include "arrange.h"

#include <math.h>

#include "ratio.h"
#include "spacing.h"

#define MM_PER_INCH 25.4
/* Less than this is no picture. */
#define LEAST_PICTURE_MM 8.0

typedef struct {
  const PwPlan *plan;
  const PwWanted *wanted;
  guint n, n_worded; /* pictures, and those with callouts */
  const PwMeasures *measures;
  const PwHeights *heights;
  double width[PW_MOST_PICTURES], height[PW_MOST_PICTURES]; /* of the pictures as printed */
  guint n_columns;                                          /* side by side */
  double room_x, room_y; /* for all pictures together, without the gaps between them */
} Work;

static guint
columns_abreast(const Work *w)
{
  if (w->n_worded == 0 || (w->plan->arrangement == PW_IN_ROW && w->n > 1))
    return w->n_worded;
  return w->plan->side == PW_SIDE_BOTH ? 2 : 1;
}

static double
least_column(const Work *w)
{
  if (w->plan->table_mm > 0)
    return PW_TAG_STRIP;
  return w->plan->column_mm > 0 ? w->plan->column_mm : w->measures->column;
}

/* Where narrow pictures need room for their words, columns may give way a little. */
static double
narrowest_column(const Work *w)
{
  return w->plan->table_mm > 0 ? PW_TAG_STRIP : PW_NARROWEST_COLUMN * w->measures->column;
}

static gboolean
find_room(Work *w, PwArranged *out)
{
  const PwMeasures *m = w->measures;
  out->page_width = w->plan->landscape ? m->long_mm : m->short_mm;
  out->page_height = w->plan->landscape ? m->short_mm : m->long_mm;
  w->n_columns = columns_abreast(w);
  double inner = out->page_width - 2 * m->margin;
  double rows = w->plan->arrangement == PW_STACKED ? w->n : 1;
  guint abreast = w->plan->arrangement == PW_STACKED ? 1 : w->n;
  w->room_x = inner - w->n_columns * (least_column(w) + m->gutter) - (abreast - 1) * m->gap;
  w->room_y = out->page_height - w->heights->head - w->heights->scale - w->heights->below -
              w->plan->table_mm - rows * w->heights->caption - (rows - 1) * m->gap;
  return w->room_x > LEAST_PICTURE_MM && w->room_y > LEAST_PICTURE_MM;
}

/* The largest factor by which sizes w, h (of each picture, in any one unit) fit the room. */
static double
largest_factor(const Work *w, const double *width, const double *height)
{
  double across = 0, down = 0;
  gboolean row = w->plan->arrangement == PW_IN_ROW;
  for (guint i = 0; i < w->n; i++) {
    across = row ? across + width[i] : MAX(across, width[i]);
    down = row ? MAX(down, height[i]) : down + height[i];
  }
  return MIN(w->room_x / across, w->room_y / down);
}

/* The largest a picture may be for its pixels, in mm of paper for one pixel. */
static double
sharpest(const Work *w)
{
  return MM_PER_INCH / w->measures->least_ppi;
}

static gboolean
size_by_scale(Work *w, double *ratio)
{
  double width[PW_MOST_PICTURES], height[PW_MOST_PICTURES], most = HUGE_VAL;
  for (guint i = 0; i < w->n; i++) {
    if (!(w->wanted[i].mm_per_px > 0))
      return FALSE;
    width[i] = w->wanted[i].width_px * w->wanted[i].mm_per_px;
    height[i] = w->wanted[i].height_px * w->wanted[i].mm_per_px;
    most = MIN(most, sharpest(w) / w->wanted[i].mm_per_px);
  }
  *ratio = pw_ratio_round(MIN(largest_factor(w, width, height), most));
  for (guint i = 0; i < w->n; i++) {
    w->width[i] = width[i] * *ratio;
    w->height[i] = height[i] * *ratio;
  }
  return TRUE;
}

/* Without a common scale every picture fills its own part of the room. */
static void
size_by_room(Work *w)
{
  gboolean row = w->plan->arrangement == PW_IN_ROW;
  double box_x = row ? w->room_x / w->n : w->room_x, box_y = row ? w->room_y : w->room_y / w->n;
  for (guint i = 0; i < w->n; i++) {
    const PwWanted *wanted = &w->wanted[i];
    double factor = MIN(box_x / wanted->width_px, box_y / wanted->height_px);
    factor = MIN(factor, sharpest(w));
    if (wanted->mm_per_px > 0)
      factor = pw_ratio_round(factor / wanted->mm_per_px) * wanted->mm_per_px;
    w->width[i] = wanted->width_px * factor;
    w->height[i] = wanted->height_px * factor;
  }
}

/* What a picture and the words under it take across. */
static double
cell_width(const Work *w, guint i)
{
  return MAX(w->width[i], w->measures->least_caption);
}

static double
cells_width(const Work *w)
{
  double across = 0;
  gboolean row = w->plan->arrangement == PW_IN_ROW;
  for (guint i = 0; i < w->n; i++)
    across = row ? across + cell_width(w, i) + (i > 0 ? w->measures->gap : 0)
                 : MAX(across, cell_width(w, i));
  return across;
}

static void
add_space(PwArranged *out, guint picture, gboolean right, double x, double width, double bottom)
{
  out->spaces[out->n_spaces++] = (PwSpace){picture, right, x, width, out->boxes[picture].y, bottom};
}

/* The width a column gets when the pictures leave room: as wide as is pleasant to read. */
static double
column_width(const Work *w, const PwArranged *out)
{
  const PwMeasures *m = w->measures;
  if (w->plan->table_mm > 0)
    return PW_TAG_STRIP;
  if (w->n_columns == 0)
    return 0;
  double spare = out->page_width - 2 * m->margin - cells_width(w) - w->n_columns * m->gutter;
  return MIN(spare / w->n_columns, m->widest_column);
}

static void
set_box(const Work *w, PwArranged *out, guint i, double x, double y)
{
  out->boxes[i] = (PwBox){x, y, w->width[i], w->height[i]};
  out->caption_width[i] = cell_width(w, i);
}

/* Two side by side in the middle, and a third without words between them; the columns at the page's
 * outer edges. */
static void
set_pair(const Work *w, PwArranged *out, double column, double bottom)
{
  static const guint order[] = {0, 2, 1};
  const PwMeasures *m = w->measures;
  double x = (out->page_width - cells_width(w)) / 2;
  for (guint i = 0; i < G_N_ELEMENTS(order); i++) {
    if (order[i] >= w->n)
      continue;
    set_box(w, out, order[i], x, w->heights->head);
    x += cell_width(w, order[i]) + m->gap;
  }
  add_space(out, 0, FALSE, m->margin, column, bottom);
  add_space(out, 1, TRUE, out->page_width - m->margin - column, column, bottom);
}

/* From the left margin, each with its column at its right; centred where none has one. */
static void
set_row(const Work *w, PwArranged *out, double column, double bottom)
{
  const PwMeasures *m = w->measures;
  double x = w->n_columns == 0 ? (out->page_width - cells_width(w)) / 2 : m->margin;
  for (guint i = 0; i < w->n; i++) {
    set_box(w, out, i, x, w->heights->head);
    x += cell_width(w, i);
    if (!w->wanted[i].wordless) {
      add_space(out, i, TRUE, x + m->gutter, column, bottom);
      x += m->gutter + column;
    }
    x += m->gap;
  }
}

static double
highest(const Work *w)
{
  double height = 0;
  for (guint i = 0; i < w->n; i++)
    height = MAX(height, w->height[i]);
  return height;
}

/* Across the whole page, what is left over shared out, a strip for numbers at the right of each,
 * the callouts' table below the scale bar. */
static void
set_tabled(const Work *w, PwArranged *out)
{
  const PwMeasures *m = w->measures;
  double strip = m->gutter + PW_TAG_STRIP;
  double inner = out->page_width - 2 * m->margin - (w->n - 1) * m->gap;
  double spare = MAX(0, (inner - cells_width(w) + (w->n - 1) * m->gap) / w->n - strip);
  double x = m->margin,
         top = w->heights->head + highest(w) + w->heights->caption + w->heights->scale;
  double table = out->page_height - w->heights->below - top;
  for (guint i = 0; i < w->n; i++) {
    double words = cell_width(w, i) + strip + spare - m->gutter;
    set_box(w, out, i, x, w->heights->head);
    if (!w->wanted[i].wordless)
      add_space(out, i, TRUE, x + w->width[i] + m->gutter, PW_TAG_STRIP,
                w->heights->head + w->height[i]);
    out->tables[i] = (PwBox){x, top, words, table};
    x += words + m->gutter + m->gap;
  }
}

/* One above the other (or one alone), a column at one side of each or on both; each picture centred
 * where there is none. */
static void
set_stack(const Work *w, PwArranged *out, double column)
{
  const PwMeasures *m = w->measures;
  PwSide side = w->plan->side;
  double x = m->margin, y = w->heights->head, right = x + cells_width(w) + m->gutter;
  if (side == PW_SIDE_BOTH)
    x = (out->page_width - cells_width(w)) / 2;
  else if (side == PW_SIDE_LEFT)
    x = out->page_width - m->margin - cells_width(w);
  if (side == PW_SIDE_BOTH)
    right = out->page_width - m->margin - column;
  for (guint i = 0; i < w->n; i++) {
    set_box(w, out, i, w->n_columns == 0 ? (out->page_width - cell_width(w, i)) / 2 : x, y);
    double end = y + w->height[i] + w->heights->caption;
    double bottom = i + 1 < w->n ? end : out->page_height - w->heights->below;
    if (side != PW_SIDE_RIGHT && !w->wanted[i].wordless)
      add_space(out, i, FALSE, m->margin, column, bottom);
    if (side != PW_SIDE_LEFT && !w->wanted[i].wordless)
      add_space(out, i, TRUE, right, column, bottom);
    y = end + m->gap;
  }
}

gboolean
pw_arrange(const PwPlan *plan, const PwWanted *wanted, guint n, const PwMeasures *measures,
           const PwHeights *heights, PwArranged *out)
{
  Work w = {.plan = plan, .wanted = wanted, .n = n, .measures = measures, .heights = heights};
  *out = (PwArranged){.ratio = (double)NAN};
  for (guint i = 0; i < n; i++)
    w.n_worded += wanted[i].wordless ? 0 : 1;
  if (n == 0 || n > PW_MOST_PICTURES || !find_room(&w, out))
    return FALSE;
  if (!size_by_scale(&w, &out->ratio))
    size_by_room(&w);
  if (cells_width(&w) + w.n_columns * (measures->gutter + narrowest_column(&w)) >
      out->page_width - 2 * measures->margin)
    return FALSE;
  double column = column_width(&w, out),
         bottom = out->page_height - heights->scale - heights->below;
  if (plan->table_mm > 0)
    set_tabled(&w, out);
  else if (plan->arrangement == PW_STACKED || n == 1)
    set_stack(&w, out, column);
  else if (w.n_worded == 2)
    set_pair(&w, out, column, bottom);
  else
    set_row(&w, out, column, bottom);
  for (guint i = 0; i < n; i++)
    out->captions_end =
        MAX(out->captions_end, out->boxes[i].y + out->boxes[i].height + heights->caption);
  return TRUE;
}

double
pw_arranged_area(const PwArranged *arranged, guint n)
{
  double area = 0;
  for (guint i = 0; i < n; i++)
    area += arranged->boxes[i].width * arranged->boxes[i].height;
  return area;
}
