/* A table of callouts: the same damage at its stages stands in one row, level. */
#include "table.h"

#include "aim.h"

/* The end of the row that begins at i: all callouts of one number. */
static guint
row_end(const GArray *placed, guint i)
{
  guint number = g_array_index(placed, PwPlaced, i).block->callout->number, end = i;
  while (end < placed->len && g_array_index(placed, PwPlaced, end).block->callout->number == number)
    end++;
  return end;
}

/* Level, as high as the pictures of the row leave room; `next` is the first free step below the
 * table's first baseline for each. Two of one number in one picture stand one below the other. */
static void
set_row(const PwLayout *layout, GArray *placed, guint first, guint end, int *next)
{
  int top = 0;
  for (guint i = first; i < end; i++)
    top = MAX(top, next[g_array_index(placed, PwPlaced, i).block->callout->picture]);
  for (guint i = first; i < end; i++)
    next[g_array_index(placed, PwPlaced, i).block->callout->picture] = top;
  for (guint i = first; i < end; i++) {
    PwPlaced *own = &g_array_index(placed, PwPlaced, i);
    guint picture = own->block->callout->picture;
    const PwBox *table = &layout->arranged.tables[picture];
    own->words =
        (PwPaper){table->x, table->y + layout->table_drop + next[picture] * layout->grid.step_mm};
    next[picture] += pw_aim_lines(own) + layout->columns[0].blank;
  }
}

/* The steps that the whole table takes, the white below its last row not counted. */
static int
set_rows(const PwLayout *layout, GArray *placed)
{
  int next[PW_MOST_PICTURES] = {0}, steps = 0;
  for (guint i = 0; i < placed->len;) {
    guint end = row_end(placed, i);
    set_row(layout, placed, i, end, next);
    i = end;
  }
  for (guint i = 0; i < PW_MOST_PICTURES; i++)
    steps = MAX(steps, next[i]);
  return steps - layout->columns[0].blank;
}

static void
aim_all(const PwLayout *layout, GArray *placed)
{
  for (guint i = 0; i < placed->len; i++) {
    PwPlaced *own = &g_array_index(placed, PwPlaced, i);
    own->space = own->block->callout->picture;
    pw_aim(layout, own);
  }
}

gboolean
pw_table_fits(const PwLayout *layout, GArray *placed)
{
  aim_all(layout, placed);
  double room = layout->arranged.tables[0].height - layout->table_drop;
  return set_rows(layout, placed) * layout->grid.step_mm <= room &&
         pw_aim_place(layout, placed, TRUE, TRUE);
}

void
pw_table_place(const PwLayout *layout, GArray *placed)
{
  aim_all(layout, placed);
  set_rows(layout, placed);
  pw_aim_place(layout, placed, TRUE, FALSE);
}
