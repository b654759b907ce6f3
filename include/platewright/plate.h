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

PW_END_DECLS
#endif
