/* Tag: one square of the family tag36h11, drawn. Lengths in mm. */
#ifndef PW_CARD_TAG_H
#define PW_CARD_TAG_H

#include <cairo.h>
#include <platewright/geometry.h>

/* The tag's black square with its white bits; `at` is its upper left corner, `edge` its side. The
 * white round it is left to the paper. */
void pw_tag_draw(cairo_t *cr, int id, PwMm at, double edge);

#endif
