/* What the files of the HTML writer share: the work under way, and a function for each kind of
 * block. */
#ifndef PW_REPORT_SET_HTML_PRIVATE_H
#define PW_REPORT_SET_HTML_PRIVATE_H

#include <platewright/plate.h>

#include "markup.h"
#include "set_html.h"

typedef struct PwHtmlPictures PwHtmlPictures;

typedef struct {
  guint number;                          /* in the document, from 1 */
  PwSheet *sheet;                        /* NULL: nothing of it may be shown */
  guint pictures[PW_MOST_PICTURES + 1];  /* to fetch them by: the sheet's, then the locator */
} PwHtmlPlate;

typedef struct {
  const PwModel *model;
  const PwDoc *doc;
  const PwReportOptions *options;
  PwMarkup *markup;
  GHashTable *anchors;      /* char *: every anchor that an element bears */
  GHashTable *claimed;      /* char *: those whose element has been written */
  GPtrArray *plates;        /* PwHtmlPlate, by the document's number */
  GString *rules;           /* of style, for what lies where on this document's pictures */
  PwHtmlPictures *pictures;
  int level;                /* of the last heading, 1 being the document's title */
} PwHtml;

/* ---- set_html_anchor.c: names within the file ------------------------------------ */

/* The id that an element of that anchor bears: letters, digits, point and hyphen as they are, every
 * other byte as "_" and its two hex digits, so that no two anchors share one. Yours. */
char *pw_html_dup_id(const char *anchor);
/* Finds the anchors of all blocks. */
void pw_html_gather_anchors(PwHtml *html);
/* The id for the first element that asks with this anchor; NULL without one, or when it is given
 * away. Yours. */
char *pw_html_claim_id(PwHtml *html, const char *anchor);
/* "#id"; NULL where no element bears it. Yours. */
char *pw_html_dup_target(const PwHtml *html, const char *anchor);

/* ---- set_html_blocks.c ----------------------------------------------------------- */

const char *pw_html_word(const PwHtml *html, const char *key);
void pw_html_prose(PwHtml *html, const PwProse *prose);
void pw_html_block(PwHtml *html, const PwBlock *block);
void pw_html_contents(PwHtml *html);

/* ---- set_html_table.c, set_html_drawing.c ---------------------------------------- */

void pw_html_table(PwHtml *html, const PwBlock *block);
void pw_html_drawing(PwHtml *html, const PwBlock *block);

/* ---- set_html_plate.c, set_html_callouts.c, set_html_marks.c --------------------- */

/* Describes all plates of the document, and asks for their pictures. */
void pw_html_gather_plates(PwHtml *html);
void pw_html_plate(PwHtml *html, const PwBlock *block);
/* What stands beside the pictures: the words of the marks, by number. */
void pw_html_callouts(PwHtml *html, const PwHtmlPlate *plate);
/* The marks of a picture, over it. */
void pw_html_marks(PwHtml *html, const PwHtmlPlate *plate, guint picture);
/* A small mark with the look of this one. */
void pw_html_swatch(PwHtml *html, const PwSheetMark *like);
/* "plate-3_on-7", a mark on its picture, by its callout; "plate-3_mark-2", the words of a number.
 * No anchor becomes such an id, for "_o" and "_m" stand for no byte. Yours. */
char *pw_html_dup_mark_id(const PwHtmlPlate *plate, guint callout);
char *pw_html_dup_words_id(const PwHtmlPlate *plate, guint number);

/* ---- set_html_pictures.c --------------------------------------------------------- */

typedef struct {
  char *data;         /* "data:image/jpeg;base64,..." */
  int width, height;  /* px */
} PwHtmlPicture;

PwHtmlPictures *pw_html_pictures_new(const PwModel *model, const PwReportOptions *options);
void pw_html_pictures_free(PwHtmlPictures *pictures);
/* Asks for a picture's crop, laid where the picture is, at most `longest_px` a side; the index to
 * fetch it by. */
guint pw_html_pictures_add(PwHtmlPictures *pictures, const PwSheetPicture *picture,
                           int longest_px);
/* Makes all that were asked for, on all cores. */
gboolean pw_html_pictures_run(PwHtmlPictures *pictures, GError **error);
const PwHtmlPicture *pw_html_pictures_peek(const PwHtmlPictures *pictures, guint i);

#endif
