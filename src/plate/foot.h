/* Foot and head: the words above and below the pictures, set to a page's width. Lengths in mm. */
#ifndef PW_PLATE_FOOT_H
#define PW_PLATE_FOOT_H

#include "block.h"

typedef struct {
  PwText *title, *subtitle, *place; /* subtitle may be NULL */
  double subtitle_x;                /* from the left margin */
  double title_y, subtitle_y;       /* baselines from the paper's top */
  double rule_y;
  double height; /* to where the pictures begin */
} PwHead;

PwHead *pw_head_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, double page_width);
void pw_head_free(PwHead *head);
/* The title as `heading`; PW_ELEMENT_ORNAMENT where the head has been read before. */
void pw_head_draw(const PwHead *head, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
                  double page_width, PwElement heading);

/* One entry of the key: a swatch and its word. */
typedef struct {
  const PwGroupLook *look; /* NULL: where it was before */
  PwKind kind;
  PwText *text;
  double x, y; /* from the left margin, from the foot's top */
} PwKeyEntry;

typedef struct {
  GArray *key;      /* PwKeyEntry */
  GPtrArray *right; /* PwText set to the right in the key's rows, one below the other */
  double right_y;   /* of the first of them, from the top */
  GPtrArray *notes; /* PwText over the whole width: cautions, what was done to the pixels */
  double notes_y;
  PwText *identity, *pixels; /* pixels, on the same line at the right, may be NULL */
  double identity_y;
  double height; /* from its rule to the last line's bottom */
} PwFoot;

/* The foot of a page on which these callouts (PwCallout) stand. */
PwFoot *pw_foot_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet,
                    const GPtrArray *callouts, double page_width);
void pw_foot_free(PwFoot *foot);
/* Read are the words that say something of the plate; key and identity are ornament. */
void pw_foot_draw(const PwFoot *foot, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
                  double page_width, double page_height);

#endif
