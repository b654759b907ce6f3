/* Ink: rules, words, graduations and check lines of cards and of the paper that they are printed
 * on. All of it is pure black, since a printer breaks small grey type and fine grey lines into
 * dots. Lengths in mm, type in points. */
#ifndef PW_CARD_INK_H
#define PW_CARD_INK_H

#include <platewright/card.h>

void pw_card_line(cairo_t *cr, PwMm from, PwMm to, double width);
/* One line of words, its baseline at y; align 0 left, 0.5 centre, 1 right of x. */
void pw_card_words(PwPdf *pdf, cairo_t *cr, const PwFace *face, const char *words, PwMm at,
                   double align);

/* Graduations along an edge of the card, to the right or, on the left edge, upwards. */
typedef enum { PW_EDGE_LOWER, PW_EDGE_LEFT, PW_EDGE_UPPER } PwEdge;
typedef struct {
  PwMm zero; /* on the edge */
  PwEdge edge;
  int length;           /* mm */
  int halves;           /* the first so many mm have halves */
  double mm, five, ten; /* lengths of strokes */
  double number_pt;     /* 0: no numbers */
} PwGraduations;
void pw_card_graduations(PwPdf *pdf, cairo_t *cr, const PwGraduations *g);

/* A line of PW_CARD_CHECK_MM from `start`, to the right or down, with a stroke across each end and
 * the words "measure me" in its middle. */
void pw_card_check_line(PwPdf *pdf, cairo_t *cr, PwMm start, gboolean across);

#endif
