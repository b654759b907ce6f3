/* Words: how figures, dates, bases and changes of the model are printed. Formats, computes nothing.
 * All strings are yours; NULL where there is nothing to say. */
#ifndef PW_PLATE_WORDS_H
#define PW_PLATE_WORDS_H

#include <platewright/model.h>
#include <platewright/style.h>

#include "sheet.h"

/* The callout's paragraphs: what, how large, what changed, how it is known. `is_public`: nobody may
 * see that something is private. */
void pw_words_fill_callout(PwCallout *callout, const PwStyle *style, const PwModelMark *mark,
                           gboolean is_public);
/* "Before treatment"; the second with the step of the work. */
const char *pw_words_peek_stage(const PwStyle *style, PwStage stage);
char *pw_words_dup_stage(const PwStyle *style, const PwModelPhoto *photo);
/* Date, time, light. */
char *pw_words_dup_when(const PwStyle *style, const PwModelPhoto *photo);
/* Name and checksum. */
char *pw_words_dup_file(const PwModelPhoto *photo);
/* Camera and exposure. */
char *pw_words_dup_camera(const PwModelPhoto *photo);
/* What is done to its pixels on a plate. */
char *pw_words_dup_pixels(const PwStyle *style, const PwModelPhoto *photo, gboolean cropped,
                          gboolean masked, gboolean for_screen);
/* How its scale was got and where it is true; or why it has none. `is_public`: cards by their
 * design, not by what the studio calls them. */
char *pw_words_dup_scale(const PwStyle *style, const PwModelPhoto *photo, gboolean is_public);
/* The strings that are not NULL or empty, joined by a middle dot. */
char *pw_words_join(const char *first, ...) G_GNUC_NULL_TERMINATED;

#endif
