/* Layout: a sheet becomes pages with everything in its place. Lengths in mm on paper.
 *
 * A plate whose callouts do not fit beside its pictures goes on over further pages, each with the
 * same pictures at the same size and only the marks whose callouts stand on it.
 */
#ifndef PW_PLATE_LAYOUT_H
#define PW_PLATE_LAYOUT_H

#include "block.h"
#include "column.h"
#include "foot.h"
#include "shape.h"

/* Words under a picture: in each row what stands left, and right of it or, where the line is too
 * short, below. */
typedef struct {
  PwText *left, *right; /* either may be NULL */
  gboolean right_below;
} PwCaptionRow;

typedef struct {
  GArray *rows; /* PwCaptionRow */
  double height;
  double steps; /* from its top to the key of a difference in colour; 0: it has none */
} PwCaption;

/* A callout, or a part of one, on a page. */
typedef struct {
  const PwBlock *block;
  guint first, end; /* lines of the block */
  guint space;      /* column or strip: index into the arranged spaces */
  PwPaper words;    /* left edge and first baseline */
  gboolean leads;
  PwPaper start, bend, anchor; /* of its leader */
  gboolean tagged;             /* its number stands in the strip too, at `tag` */
  PwPaper tag;
} PwPlaced;

typedef struct {
  GArray *placed; /* PwPlaced */
  PwText *part;   /* which marks stand here, when there is more than one page; NULL */
  PwFoot *foot;
} PwPage;

typedef struct {
  const PwSheet *sheet;
  PwArranged arranged;
  PwFrame frames[PW_MOST_PICTURES];
  PwCaption *captions[PW_MOST_PICTURES];
  PwPaperShape *shapes[PW_MOST_PICTURES]; /* one for each mark of the picture's */
  PwPaperShape *cards[PW_MOST_PICTURES];  /* the cards that lie in them */
  guint n_cards[PW_MOST_PICTURES];
  PwHead *head;
  PwText *scale; /* under the bar, or alone; NULL */
  double bar_mm; /* of the object; 0: no bar */
  PwBox bar;
  double scale_x, scale_y;      /* left edge and first baseline of `scale` */
  PwBox locator, locator_frame; /* 0 wide: none */
  GPtrArray *blocks;            /* PwBlock, one a callout */
  PwGrid grid;                  /* of leaders; words stand `rise` lower */
  double rise;
  double table_drop;   /* from a table's top to its first baseline */
  double point_radius; /* of the ring that stands for a point */
  PwColumn columns[2 * PW_MOST_PICTURES];
  GPtrArray *pages; /* PwPage, at least one */
} PwLayout;

/* PW_ERROR_RECORD when the words of a plate leave no room for its pictures. */
PwLayout *pw_layout_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, GError **error);
void pw_layout_free(PwLayout *layout);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwLayout, pw_layout_free)
/* Where the words of a placed callout stand. */
PwBox pw_layout_words_box(const PwLayout *layout, const PwPlaced *placed);

/* From paging.c: fills layout->pages with callouts that fit there; and gives them their places,
 * which takes longer. */
void pw_layout_paginate(PwLayout *layout);
void pw_layout_place(PwLayout *layout, PwPdf *pdf, const PwStyle *style);

#endif
