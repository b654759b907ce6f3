/* Arrange: the size and place of the pictures on a page and the columns left beside them.
 *
 * All in mm on paper. Pictures stand in a row or are stacked, all at one ratio where all have a
 * scale.
 */
#ifndef PW_PLATE_ARRANGE_H
#define PW_PLATE_ARRANGE_H

#include <platewright/plate.h>

#include "paper.h"

typedef enum { PW_IN_ROW, PW_STACKED } PwArrangement;

/* Where the callouts of a single picture or a stack stand. */
typedef enum { PW_SIDE_RIGHT, PW_SIDE_LEFT, PW_SIDE_BOTH } PwSide;

/* One way to lay a page out. */
typedef struct {
  gboolean landscape;
  PwArrangement arrangement;
  PwSide side;
  double
      table_mm; /* in a row: at least so much is kept below the pictures for the callouts, and only
                 * their numbers stand beside the pictures. 0: the callouts stand beside them */
  double column_mm; /* of a column at the least; 0: as the style has it */
} PwPlan;

/* What a picture wants: pixels of its crop, and mm of the object for one of them (NAN: no scale).
 */
typedef struct {
  double width_px, height_px, mm_per_px;
  gboolean wordless; /* no callouts: all of a plate, or the last of several that tells the others
                      * apart */
} PwWanted;

/* The page's fixed measures, read from the style. */
typedef struct {
  double short_mm, long_mm;
  double margin;
  double column, widest_column; /* of callouts */
  double gutter;                /* between a column and the picture beside it */
  double gap;                   /* between pictures */
  double least_caption;         /* narrower pictures keep this much room for their words */
  double least_ppi;             /* a picture is not printed larger than this resolution allows */
} PwMeasures;

/* What the words above, below and between the pictures take. */
typedef struct {
  double head;    /* paper's top to the pictures */
  double caption; /* under each picture */
  double scale;   /* below the captions */
  double below;   /* the foot, the white above it, the margin */
} PwHeights;

/* A column of callouts, or a strip of their numbers, for one picture. */
typedef struct {
  guint picture;
  gboolean right; /* of its picture */
  double x, width;
  double top, bottom; /* words may stand between */
} PwSpace;

typedef struct {
  double page_width, page_height;
  PwBox boxes[PW_MOST_PICTURES]; /* of the pictures */
  double caption_width[PW_MOST_PICTURES];
  double ratio; /* mm on paper for 1 mm of the object; NAN unless all have a scale */
  PwSpace spaces[2 * PW_MOST_PICTURES];
  guint n_spaces;
  double captions_end;            /* the lowest caption's bottom */
  PwBox tables[PW_MOST_PICTURES]; /* where callouts stand below the pictures; 0 wide: beside */
} PwArranged;

/* FALSE when the words leave the pictures no room. */
gboolean pw_arrange(const PwPlan *plan, const PwWanted *wanted, guint n, const PwMeasures *measures,
                    const PwHeights *heights, PwArranged *out);
/* mm2 of paper that the pictures cover: of two plans the larger is the better. */
double pw_arranged_area(const PwArranged *arranged, guint n);

#endif
