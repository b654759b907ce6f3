/* Drawing: a chart or a map as the lines, boxes and words it is made of, from which the page of the
 * PDF and the SVG of the HTML are drawn alike. Millimetres, origin at the top left, y down; opaque.
 */
#ifndef PW_REPORT_DRAWING_H
#define PW_REPORT_DRAWING_H

#include <platewright/style.h>

typedef enum { PW_SHAPE_LINE, PW_SHAPE_BOX, PW_SHAPE_WORDS } PwShapeKind;

typedef struct {
  PwShapeKind kind;
  double x, y;           /* a line's start, a box's corner, the baseline of words */
  double x2, y2;         /* a line's end, a box's other corner */
  double width_mm;       /* of a line, of a box's rim; 0: a box without rim */
  double dash_mm[2];     /* zeros: solid */
  gboolean is_filled;    /* box */
  PwInk ink, fill;       /* of a line or words; of the inside of a box */
  char *text;            /* words, one line */
  char *rest;            /* words that go on from them, softly, or NULL */
  double align;          /* 0 begins at x, 0.5 about x, 1 ends at x */
  gboolean is_strong, is_soft;
  char *anchor;          /* what it stands for leads there, or NULL */
} PwMadeOf;

typedef struct {
  double width_mm, height_mm;
  char *title;           /* what it is, one line */
  char *says;            /* all that it shows, in words: for who cannot see it */
  GArray *shapes;        /* PwMadeOf, in the order they are drawn */
} PwDrawing;

PwDrawing *pw_drawing_new(double width_mm, double height_mm, const char *title);
void pw_drawing_free(PwDrawing *drawing);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwDrawing, pw_drawing_free)
/* What the drawing says in words; copied. */
void pw_drawing_say(PwDrawing *drawing, const char *says);
void pw_drawing_line(PwDrawing *drawing, double x, double y, double x2, double y2, double width_mm,
                     PwInk ink);
/* The box is filled; with a width above 0 it has a rim of `ink` too. */
void pw_drawing_box(PwDrawing *drawing, double x, double y, double x2, double y2, PwInk fill,
                    double width_mm, PwInk ink);
/* The words just put in may be made strong, soft, a link, given a rest (theirs from then on) by the
 * pointer, good until the next. */
PwMadeOf *pw_drawing_words(PwDrawing *drawing, double x, double y, double align, PwInk ink,
                           const char *text);

/* How wide words of a drawing come out, in mm, by rule of thumb and rather too much than too
 * little: a drawing is laid out before there is a page to set them on. */
double pw_drawing_width_of(const PwStyle *style, const char *text);
/* The text in lines that are no wider, broken between words, inside a word that is wider by itself;
 * at most so many, the last then ends in an ellipsis. At least one; yours (g_strfreev). */
char **pw_drawing_dup_lines(const PwStyle *style, const char *text, double width_mm, guint most);

#endif
