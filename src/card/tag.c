/* Tag: the codes and the places of their bits are the finder's own, so that what is drawn is what
 * is looked for. */
#include "tag.h"

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

enum { CELLS = 8 };

/* Which cells of the black square are black, row by row. Bits are stored the first in the highest
 * place; a set bit is white. */
static void
cells_of(int id, gboolean black[CELLS][CELLS])
{
  apriltag_family_t *family = tag36h11_create();
  g_assert(family->width_at_border == CELLS && id >= 0 && (guint)id < family->ncodes);
  for (int row = 0; row < CELLS; row++)
    for (int column = 0; column < CELLS; column++)
      black[row][column] = TRUE;
  for (guint bit = 0; bit < family->nbits; bit++)
    if (family->codes[id] >> (family->nbits - 1 - bit) & 1)
      black[family->bit_y[bit]][family->bit_x[bit]] = FALSE;
  tag36h11_destroy(family);
}

/* One path for all cells: drawn one by one, a hair of white could show between two of them. */
void
pw_tag_draw(cairo_t *cr, int id, PwMm at, double edge)
{
  gboolean black[CELLS][CELLS];
  double cell = edge / CELLS;
  cells_of(id, black);
  for (int row = 0; row < CELLS; row++)
    for (int from = 0, to; from < CELLS; from = to + 1) {
      for (to = from; to < CELLS && black[row][to]; to++)
        ;
      if (to > from)
        cairo_rectangle(cr, at.x + from * cell, at.y + row * cell, (to - from) * cell, cell);
    }
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_fill(cr);
}
