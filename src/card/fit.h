/* A card's plane from its tags' corners. Private to card. */
#ifndef PW_CARD_FIT_H
#define PW_CARD_FIT_H

#include "see.h"

/* Fits px to mm over the tags of one card (`tags[i]` is the card's tag number `numbers[i]`), with
 * corners that stand out left out. FALSE when fewer than two tags agree on one plane; then nothing
 * is filled. `dropped` gets the numbers of tags that do not agree with the rest, as bits. */
gboolean pw_card_fit(PwCardSize size, const PwTag *tags, const int *numbers, gsize n,
                     PwFoundCard *card, guint64 *dropped);

#endif
