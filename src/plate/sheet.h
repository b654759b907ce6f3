/* Sheet: a plain description of one plate, ready to be laid out: every word chosen, nothing placed.
 *
 * Paths are in upright px of their picture and stay their owner's; strings are the sheet's.
 */
#ifndef PW_PLATE_SHEET_H
#define PW_PLATE_SHEET_H

#include <platewright/geometry.h>
#include <platewright/style.h>

#include "arrange.h"

/* A paragraph and how it is set. */
typedef struct {
  PwRole role;
  char *text;
} PwSaid;

typedef struct {
  PwKind kind;
  const PwPxPath *path, *holes;
  gsize n_holes;
  const char *group;
  gboolean was; /* where something was at an earlier stage: dashed, no hatch */
} PwSheetMark;

typedef struct {
  guint number;
  char *id;         /* "#6" where its sidecar calls it otherwise; NULL */
  GPtrArray *words; /* PwSaid, the head first */
  guint picture;
  int mark;       /* of its picture; -1: nothing is drawn there */
  guint family;   /* not 0: stands level with its like in the other pictures */
  gboolean sized; /* the words hold a ± */
  char *caution;  /* to be printed once in the foot; NULL */
} PwCallout;

typedef struct {
  gconstpointer source; /* what to render; the sheet only hands it on */
  double width_px, height_px;
  double crop_x, crop_y, crop_width, crop_height; /* upright px */
  double mm_per_px;                               /* NAN: no scale */
  char *label;                                    /* "Before treatment" */
  char *when;                                     /* date, time, light */
  char *file, *camera; /* name and checksum; camera and exposure; empty or NULL where not told */
  char *pixels;        /* what was done to its pixels, where that differs between the pictures */
  char *scale;         /* how its scale was got, or why it has none */
  GArray *marks;       /* PwSheetMark */
} PwSheetPicture;

typedef struct {
  char *title, *subtitle; /* subtitle may be NULL */
  char *place;            /* "Plate 3 of 11" */
  char *identity;         /* which volume */
  char *pixels;           /* what was done to the pixels of all pictures */
  char *scale;            /* how the scale of all pictures was got, or why there is none */
  PwSheetPicture pictures[PW_MOST_PICTURES];
  guint n_pictures;
  gboolean locator;    /* a small picture of the whole of picture 0 with a frame round its crop */
  GPtrArray *callouts; /* PwCallout, by number, then picture */
} PwSheet;

PwSheet *pw_sheet_new(void);
void pw_sheet_free(PwSheet *sheet);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwSheet, pw_sheet_free)
/* Adds a callout; it is the sheet's. */
PwCallout *pw_sheet_add_callout(PwSheet *sheet, guint picture, int mark, guint number);
/* Adds a paragraph; `text` is taken, NULL or empty adds nothing. */
void pw_callout_take_words(PwCallout *callout, PwRole role, char *text);
/* What is drawn for a callout; NULL when nothing is. */
const PwSheetMark *pw_callout_peek_mark(const PwSheet *sheet, const PwCallout *callout);

#endif
