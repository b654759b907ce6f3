/* What the two files of a lens share: finding and calibrating, and its entry in volume.yaml. */
#ifndef PW_MODEL_LENS_H
#define PW_MODEL_LENS_H

#include "model-private.h"

/* Whether the group is of that very camera, lens, focal length (NAN: none told) and stored size. */
gboolean pw_lens_group_is(const PwLensGroup *group, const char *make, const char *model,
                          const char *lens, double focal_mm, int width, int height);
/* The calibration as flow text. Yours. */
char *pw_lens_dup_entry(const PwLensGroup *group);

#endif
