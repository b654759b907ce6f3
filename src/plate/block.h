/* Block: a callout set in type, line by line on the baseline grid, and cut where it is too long for
 * any column. Lengths in mm. */
#ifndef PW_PLATE_BLOCK_H
#define PW_PLATE_BLOCK_H

#include <platewright/pdf.h>

#include "sheet.h"

/* The grid's step, and a role's leading in steps. */
double pw_plate_step(const PwStyle *style);
int pw_plate_leading(const PwStyle *style, PwRole role);
PwText *pw_plate_text_new(PwPdf *pdf, const PwStyle *style, PwRole role, const char *words,
                          double width_mm);
/* Phrases that middle dots join, as pw_say_join does, in as few lines as `width_mm` allows and
 * those as even as can be; where a line ends its dot is left out. */
PwText *pw_plate_phrases_new(PwPdf *pdf, const PwStyle *style, PwRole role, const char *words,
                             double width_mm);
/* All of it, as an element of its own. */
void pw_plate_text_draw(PwPdf *pdf, PwElement element, const PwText *text, double x_mm,
                        double baseline_y_mm, double align);

typedef struct {
  PwText *text;
  guint line; /* of the text */
  int step;   /* of the grid, below the block's first baseline */
} PwBlockLine;

typedef struct {
  const PwCallout *callout;
  PwText *number, *id; /* id may be NULL */
  GPtrArray *texts;    /* PwText, owners of the lines */
  GArray *lines;       /* PwBlockLine */
  double indent;       /* of the words behind the number */
  double head_width;   /* of the number and the head's first line, from the block's left edge */
} PwBlock;

PwBlock *pw_block_new(PwPdf *pdf, const PwStyle *style, const PwCallout *callout, double width_mm);
void pw_block_free(PwBlock *block);
/* Steps from the baseline of line `first` to that of line `end - 1`. */
int pw_block_steps(const PwBlock *block, guint first, guint end);
/* Draws lines first..end-1, the first baseline at y, as an item of a list. */
void pw_block_draw(const PwBlock *block, PwPdf *pdf, double x_mm, double y_mm, double step_mm,
                   guint first, guint end);

#endif
