/* Render: the pictures of several plates made at once, on all cores, each only once. */
#ifndef PW_PLATE_RENDER_H
#define PW_PLATE_RENDER_H

#include <platewright/plate.h>

#include "draw.h"

typedef struct PwRenders PwRenders;
PwRenders *pw_renders_new(const PwModel *model, const PwPlateOptions *options);
void pw_renders_free(PwRenders *renders);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwRenders, pw_renders_free)
/* Asks for a picture's crop, laid where the picture is, at a printed size in mm; the index to fetch
 * it by. */
guint pw_renders_add(PwRenders *renders, const PwSheetPicture *picture, const PwBox *printed);
guint pw_renders_n(const PwRenders *renders);
/* Makes all that were asked for. `done` and `total` count over the whole document. */
gboolean pw_renders_run(PwRenders *renders, guint done, guint total, GError **error);
const PwPicture *pw_renders_peek(const PwRenders *renders, guint i);

#endif
