/* Evidence: how well one picture lies over another, square by square. */
#ifndef PW_ALIGN_EVIDENCE_H
#define PW_ALIGN_EVIDENCE_H

#include <platewright/align.h>

#include "grey.h"

/* Fills all of `alignment` but `h`, which stands there. FALSE (PW_ERROR_NUMERIC with the reason)
 * where what the squares say is not what one flat surface seen twice would. */
gboolean pw_align_judge(const PwGreys *before, const PwGreys *after, const PwPxPath *within,
                        const PwHomography *to_after, PwAlignment *alignment, GError **error);

#endif
