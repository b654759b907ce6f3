/* Keys: words of a language by one of the record's own ("outcome-returned-to-owner"), and lines to
 * sign on. */
#ifndef PW_REPORT_KEYS_H
#define PW_REPORT_KEYS_H

#include "writer.h"

/* The phrase of "PREFIX-WORD", blanks of the word as hyphens; the word itself where no
 * language has one. Not a copy. */
const char *pw_key_peek_word(const PwWords *words, const char *prefix, const char *word);
/* Lines for the owner and the studio, with their names where they are recorded. */
void pw_writer_sign(PwWriter *w);

#endif
