/* Plate: draws the plates of a resolved model as one PDF.
 *
 * Photographs with their marks as outlines and thin hatching, words in the margin joined by leaders
 * that never cross, a scale bar, and what was done to the pixels. Formats numbers, computes none.
 */
#ifndef PLATEWRIGHT_PLATE_H
#define PLATEWRIGHT_PLATE_H

#include <platewright/model.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

typedef struct {
  const PwStyle *style;
  PwAudience audience;
  gboolean contact;           /* a contact sheet of all photographs instead of the plates */
  const PwProgress *progress; /* or NULL */
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

PW_END_DECLS
#endif
