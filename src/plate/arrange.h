/* Arrange: the size and place of the pictures on a page and the columns left beside them.
 *
 * All in mm on paper. Pictures stand in a row or are stacked, all at one ratio where all have a
 * scale.
 */
#ifndef PW_PLATE_ARRANGE_H
#define PW_PLATE_ARRANGE_H

#include "paper.h"

#define PW_MOST_PICTURES 3

typedef enum { PW_IN_ROW, PW_STACKED } PwArrangement;

/* One way to lay a page out. */
typedef struct {
  gboolean landscape;
  PwArrangement arrangement;
  gboolean both_sides; /* a single picture's or a stack's callouts on both sides */
} PwPlan;

/* What a picture wants: pixels of its crop, and mm of the object for one of them (NAN: no scale).
 */
typedef struct {
  double width_px, height_px, mm_per_px;
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
  double below;   /* all that follows the last caption: scale bar, foot, margin */
} PwHeights;

/* A column of callouts for one picture. */
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
  double captions_end; /* the lowest caption's bottom */
} PwArranged;

/* FALSE when the words leave the pictures no room. */
gboolean pw_arrange(const PwPlan *plan, const PwWanted *wanted, guint n, const PwMeasures *measures,
                    const PwHeights *heights, PwArranged *out);
/* mm2 of paper that the pictures cover: of two plans the larger is the better. */
double pw_arranged_area(const PwArranged *arranged, guint n);

#endif
