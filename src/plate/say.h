/* Say: how sizes, dates, bases and changes of the model are printed on a plate. Computes nothing.
 * All strings are yours; NULL where there is nothing to say. */
#ifndef PW_PLATE_SAY_H
#define PW_PLATE_SAY_H

#include <platewright/plate.h>

#include "lay.h"
#include "sheet.h"

/* The callout's paragraphs: what, how large, what changed, how it is known. `is_public`: nobody may
 * see that something is private. */
void pw_say_callout(PwCallout *callout, const PwWords *words, const PwModelMark *mark,
                           gboolean is_public);
/* Those of a damage in the picture after treatment, which has no mark of it: what, and that nothing
 * is recorded. */
void pw_say_untold(PwCallout *callout, const PwWords *words, const PwModelMark *mark);
/* "Before treatment"; the second with the step of the work. */
const char *pw_say_peek_stage(const PwWords *words, PwStage stage);
char *pw_say_dup_stage(const PwWords *words, const PwModelPhoto *photo);
/* Date, time, light. */
char *pw_say_dup_when(const PwWords *words, const PwModelPhoto *photo);
/* Name and checksum. */
char *pw_say_dup_file(const PwModelPhoto *photo);
/* Camera and exposure. */
char *pw_say_dup_camera(const PwModelPhoto *photo);
/* What is done to its pixels on a plate. */
char *pw_say_dup_pixels(const PwPlateOptions *options, const PwModelPhoto *photo, gboolean cropped,
                        gboolean masked);
/* How the photograph after treatment was laid over the one before, or that it was not, and to the
 * studio why. */
char *pw_say_dup_laid(const PwPlateOptions *options, const PwLay *lay);
/* How unsure its scale is by its card, in percent; NULL where no card gives it. */
char *pw_say_dup_doubt(const PwWords *words, const PwModelPhoto *photo);
/* How its scale was got, with that, and where it is true; or why it has none. To the studio alone
 * cards by what it calls them. */
char *pw_say_dup_scale(const PwWords *words, const PwModelPhoto *photo, const char *doubt,
                       PwAudience audience);
/* The strings that are not NULL or empty, joined by a middle dot. */
char *pw_say_join(const char *first, ...) G_GNUC_NULL_TERMINATED;

#endif
