/* A tag's corners to a small part of a pixel. Private to card. */
#ifndef PW_CARD_REFINE_H
#define PW_CARD_REFINE_H

#include <platewright/card.h>

/* Moves each edge of a tag's black square to where the picture is steepest across it, within
 * `reach` px, and the corners to where edges meet. A tag that cannot be bettered stays. */
void pw_tag_refine(const PwPlane *grey, double reach, PwTag *tag);

#endif
