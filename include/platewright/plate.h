/* Plate: draws the plates of a resolved model as one PDF.
 *
 * Photographs with their marks as outlines and thin hatching, words in the margin joined by leaders
 * that never cross, a scale bar, and what was done to the pixels. Formats numbers, computes none.
 */
#ifndef PLATEWRIGHT_PLATE_H
#define PLATEWRIGHT_PLATE_H

#include <platewright/model.h>
#include <platewright/pdf.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

typedef struct {
  const PwStyle *style;
  const PwWords *words;       /* the language that is printed */
  PwAudience audience;
  gboolean contact;           /* a contact sheet of all photographs instead of the plates */
  gboolean difference;        /* with before and after, a picture of how far their colours differ */
  const PwProgress *progress; /* or NULL */
  gboolean for_screen;        /* of sheets: what is said of the pixels is true of a screen */
  guint heading;              /* 0: plates alone, "Plate 3 of 11"; in a document of more than plates
                                 the level of a plate's title, 1 to 3, and it is "Plate 3" */
} PwPlateOptions;

typedef struct {
  guint n_plates, n_pages;
  guint n_left_out;           /* photographs that this audience may not see */
  gboolean archival;          /* the file claims PDF/A-1b */
  char *why_not_archival;     /* yours; NULL when it does */
} PwPlateResult;

/* The finished PDF. PW_ERROR_RECORD when nothing may be shown or there is nothing to show. */
GBytes *pw_plates_draw(const PwModel *model, const PwPlateOptions *options, PwPlateResult *result,
                       GError **error);

/* One page, counted from 1, of the plate that shows photograph `file`, as SVG: drawn by the code
 * that makes the PDF, with the same masks, the whole photograph rather than a detail where there is
 * both. `n_pages` is how many that plate has. PW_ERROR_USE: no such photograph or page;
 * PW_ERROR_RECORD: nothing of it is shown to this reader, or it is on no plate. Re-entrant. */
GBytes *pw_plates_draw_svg(const PwModel *model, const PwPlateOptions *options, const char *file,
                           guint page, guint *n_pages, GError **error);

/* ---- Plates in a document under way ---------------------------------------------- */

/* Some plates of a model, in the order given and numbered from 1, laid out for the pages of one
 * document: how many pages each takes is known before any is drawn, and pictures are made several
 * plates ahead. Model, options and plates stay yours and outlive the run. */
typedef struct PwPlateRun PwPlateRun;
PwPlateRun *pw_plate_run_new(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options,
                             const PwModelPlate *const *plates, guint n);
void pw_plate_run_free(PwPlateRun *run);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwPlateRun, pw_plate_run_free)
/* Of plate `which`, from 0. 0 without an error: nothing of it may be shown, and nothing is drawn.
 * PW_ERROR_RECORD: its words leave no room for its pictures. */
guint pw_plate_run_n_pages(PwPlateRun *run, guint which, GError **error);
/* Its pages, each once, in any order: a section of the structure with its title as a heading, a
 * figure for each picture and its callouts as a list; a bookmark, and a destination "plate-N" on
 * the first page. */
gboolean pw_plate_run_draw(PwPlateRun *run, guint which, GError **error);
/* One of them alone, from 0, for a screen: of those that pw_plate_run_n_pages has counted. */
gboolean pw_plate_run_draw_page(PwPlateRun *run, guint which, guint page, GError **error);

/* ---- A plate as what it shows and says ------------------------------------------- */

/* A plain description of one plate for one audience, every word chosen and nothing placed, for who
 * sets it otherwise than on paper. Paths are in upright px of their picture, the model's or the
 * sheet's; strings are the sheet's. */

enum { PW_MOST_PICTURES = 4 }; /* three stages and a difference */

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
  int earlier;    /* likewise, drawn besides: where it was before treatment */
  guint family;   /* not 0: stands level with its like in the other pictures */
  gboolean sized; /* the words hold a ± */
  char *caution;  /* to be printed once in the foot; NULL */
} PwCallout;

typedef struct {
  const PwModelPhoto *source;
  double width_px, height_px;
  double crop_x, crop_y, crop_width, crop_height; /* upright px */
  double mm_per_px;                               /* NAN: no scale */
  gboolean laid;         /* over picture 0: size, crop, scale and marks are in the px of that one */
  PwHomography to_frame; /* then: upright px of this photograph to px of that one */
  const PwModelPhoto *differs_from; /* no photograph, but how far the colours of `source`, which is
                                       laid, are from those of this one; the last of its sheet */
  char *label;                                    /* "Before treatment" */
  char *when;                                     /* date, time, light */
  char *file, *camera; /* name and checksum; camera and exposure; empty or NULL where not told */
  char *scale;         /* how its scale was got, or why it has none */
  GArray *marks;       /* PwSheetMark */
} PwSheetPicture;

typedef struct {
  const PwWords *words;   /* in which it speaks; they outlive it */
  char *title, *subtitle; /* subtitle may be NULL */
  char *place;            /* "Plate 3 of 11" */
  char *identity;         /* which volume */
  char *pixels;           /* what was done to the pixels of all pictures, and how they are laid */
  char *scale;            /* how the scale of all pictures was got, or why there is none */
  PwSheetPicture pictures[PW_MOST_PICTURES];
  guint n_pictures;
  gboolean locator;    /* a small picture of the whole of picture 0 with a frame round its crop */
  GPtrArray *callouts; /* PwCallout, by number, then picture */
  GPtrArray *carried;  /* paths of the sheet's own, in another picture's px; or NULL */
} PwSheet;

/* NULL when nothing of the plate may be shown. Where it shows a photograph before and one after
 * treatment, the one is laid over the other, which reads both. */
PwSheet *pw_plate_sheet_new(const PwModel *model, const PwPlateOptions *options,
                            const PwModelPlate *plate);
/* Of n plates, several at once: an array of PwSheet in their order, NULL for those of which nothing
 * may be shown. Yours, and the sheets with it. */
GPtrArray *pw_plate_sheets_new(const PwModel *model, const PwPlateOptions *options,
                               const PwModelPlate *const *plates, guint n);
void pw_sheet_free(PwSheet *sheet);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwSheet, pw_sheet_free)

/* One of the lines that a mark is drawn with: wide in the style's ink "casing" first, then narrow
 * in its own. Widths in mm, as on paper. */
typedef struct {
  PwInk ink;
  double width_mm, casing_mm;
  double dash_mm[4], casing_dash_mm[4]; /* zeros: solid */
  gboolean is_hatch;
  gboolean is_between; /* every second line of a hatch: with them a picture shown small would look
                          tinted */
  char *path;          /* in upright px, as the path data of SVG; NULL: a ring */
  PwPx middle;
  double radius_mm;
} PwPlateLine;
/* The longest 1, 2 or 5 x 10^k not above `most`: for a scale bar, or the steps of an axis. */
double pw_plate_bar_length(double most);
/* The lines of a mark in the order they lie on each other, as they are drawn where the longer side
 * of its picture is `longest_mm`. An array of PwPlateLine; yours. */
GArray *pw_plate_mark_lines(const PwStyle *style, const PwSheetPicture *picture,
                            const PwSheetMark *mark, double longest_mm);

PW_END_DECLS
#endif
