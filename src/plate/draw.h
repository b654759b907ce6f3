/* Draw: a laid-out page onto the PDF. */
#ifndef PW_PLATE_DRAW_H
#define PW_PLATE_DRAW_H

#include "layout.h"

/* A picture as JPEG, and its size in px. */
typedef struct {
  GBytes *jpeg;
  int width, height;
} PwPicture;

/* `pictures`: the sheet's in order, then the locator's if there is one. The title: a `heading`. */
void pw_layout_draw_page(const PwLayout *layout, PwPdf *pdf, const PwStyle *style, guint page,
                         const PwPicture *pictures, PwElement heading);

#endif
