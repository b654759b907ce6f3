/* What every input of a scale does to its map. Private to measure. */
#ifndef PW_MEASURE_EFFECTS_H
#define PW_MEASURE_EFFECTS_H

#include "fit.h"

/* Fills the scale's effects and products; `figures` are its estimates, which are moved and put
 * back. The scale's input, principal point and half diagonal are in place. */
gboolean pw_add_effects(PwScale *scale, PwFigures *figures, const PwSeenCard *card, GError **error);

#endif
