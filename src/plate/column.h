/* Column: where callouts stand in the columns beside the pictures, and where their leaders end.
 *
 * Heights are counted in lines of one baseline grid that all columns of a page share; places are mm
 * on paper. A leader leaves its callout level up to the column's bend and then goes straight to its
 * anchor. No two leaders of one column cross: that is what the order of the callouts is chosen for.
 */
#ifndef PW_PLATE_COLUMN_H
#define PW_PLATE_COLUMN_H

#include "paper.h"

/* Where line 0's leaders run, and how far apart the lines are. */
typedef struct {
  double origin_mm, step_mm;
} PwGrid;

typedef struct {
  double bend_x;  /* outside the picture, which lies all on one side of it */
  int first;      /* the first line a callout may begin on */
  int end;        /* the line after the last that words may stand on */
  int last_start; /* the last line a leader may leave from: no lower than the picture */
  int blank;      /* lines between two callouts */
} PwColumn;

/* A callout as far as its place is concerned. */
typedef struct {
  guint column;
  guint family;   /* not 0: callouts of one family stand level in their columns where they can */
  int lines;      /* of words, at least 1 */
  gboolean leads; /* has a leader */
  PwPaper anchor; /* where it ends */
  double wanted;  /* the line it would like, anywhere between two */
  int line;       /* out: the line it begins on */
} PwSlot;

/* Whether all can stand in their columns, in whatever order. */
gboolean pw_slots_fit(const PwSlot *slots, guint n, const PwColumn *columns, guint n_columns);
/* Gives each slot its line. They must fit. */
void pw_slots_place(PwSlot *slots, guint n, const PwColumn *columns, guint n_columns,
                    const PwGrid *grid);
/* The same for slots in this order (indices, column after column, each from the top), whether or
 * not their leaders cross. FALSE when in it they have no room. */
gboolean pw_slots_place_as(PwSlot *slots, guint n, const PwColumn *columns, guint n_columns,
                           const PwGrid *grid, guint *order);
double pw_grid_y(const PwGrid *grid, double line);
/* Where a slot's leader bends. */
PwPaper pw_slot_bend(const PwSlot *slot, const PwColumn *columns, const PwGrid *grid);
/* Whether the segments ab and cd cross or touch. */
gboolean pw_segments_meet(PwPaper a, PwPaper b, PwPaper c, PwPaper d);
/* Whether the leaders of two slots cross or touch. */
gboolean pw_slots_cross(const PwSlot *a, const PwSlot *b, const PwColumn *columns,
                        const PwGrid *grid);

#endif
