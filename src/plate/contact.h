/* Contact: all photographs small, by stage, in rows, each with its words under it. */
#ifndef PW_PLATE_CONTACT_H
#define PW_PLATE_CONTACT_H

#include "render.h"

/* Draws it onto new pages of `pdf`; `n_pages` gets their number. `photos` are PwModelPhoto, all of
 * which may be shown. */
gboolean pw_contact_draw(const PwModel *model, const PwPlateOptions *options, GPtrArray *photos,
                         PwPdf *pdf, guint *n_pages, GError **error);

#endif
