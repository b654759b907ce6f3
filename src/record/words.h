/* Words that more than one text of the record uses, or that are told by name.
 */
#ifndef PW_RECORD_WORDS_H
#define PW_RECORD_WORDS_H

#include "table.h"

extern const PwWord pw_words_stage[];
extern const PwWord pw_words_basis[];
extern const PwWord pw_words_piece_kind[];
extern const PwWord pw_words_outcome[];
extern const char *const pw_words_light[];
/* What a photograph usually shows; other words may stand there too. */
extern const char *const pw_words_view[];
/* Views that there is one of, so that no number belongs to them. */
extern const char *const pw_words_face[];
extern const char *const pw_words_source[];

#endif
