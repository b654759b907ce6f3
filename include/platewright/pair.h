/* Pairs: the photographs of one view before and after treatment, laid over each other.
 *
 * Part of the model: what a sidecar says of the two (ties, the outline of the face, a scale) tells
 * where to start, the pixels do the rest.
 */
#ifndef PLATEWRIGHT_PAIR_H
#define PLATEWRIGHT_PAIR_H

#include <platewright/align.h>
#include <platewright/model.h>

PW_BEGIN_DECLS

/* What told where to start, the best first. */
typedef enum {
  PW_START_NONE,     /* nothing does */
  PW_START_TIES,     /* four or more, in the sidecar after */
  PW_START_SURFACES, /* the outline of the face in both */
  PW_START_SCALES,   /* a scale in both */
  PW_START_FEATURES  /* the two pictures alone */
} PwPairStart;
/* "none", "ties", "surfaces", "scales", "features"; NULL for what is no start */
const char *pw_pair_start_name(PwPairStart start);

typedef struct {
  const PwModelPhoto *before, *after; /* the model's */
  PwPairStart start; /* of the alignment, or the best of those that led to none */
  gboolean is_laid;
  PwAlignment alignment; /* px of after to px of before; where it is not laid, what spoke against
                            it */
  double residual_mm;    /* NAN where the photograph before has no scale */
  char *why;             /* where it is not laid, in English, for the bench; NULL */
} PwPair;
/* Lays one photograph over the other: from the best start there is, and where that leads nowhere
 * from the next. NULL only when a photograph cannot be read or is not the one that was taken in.
 * Both are held whole, in grey, meanwhile. What came of it is kept in the folder's cache, keyed by
 * both photographs and all that decides, so that the next time costs next to nothing. Safe from
 * several threads; the model must outlive it. */
PwPair *pw_pair_new(const PwModel *model, const PwModelPhoto *before, const PwModelPhoto *after,
                    GError **error);
/* The same where it is kept; NULL where it would have to be laid anew. */
PwPair *pw_pair_new_kept(const PwModel *model, const PwModelPhoto *before,
                         const PwModelPhoto *after);
void pw_pair_free(PwPair *pair);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwPair, pw_pair_free)

/* Writes ties of a pair that is laid into the sidecar of the photograph after, four to nine, from
 * places that agree, spread over the picture before; to be seen and corrected. Ties that stand
 * there stay, and `n` is 0. FALSE with an error: PW_ERROR_NUMERIC when too few places agree, else
 * as pw_sidecar_edit. */
gboolean pw_pair_write_ties(const PwPair *pair, guint *n, PwComplaints *complaints, GError **error);

/* ---- Colours --------------------------------------------------------------------------- */

/* Whether colours of a photograph before and one after may be told from each other, or why not. */
typedef enum {
  PW_COLOURS_COMPARE,
  PW_COLOURS_LIGHT_UNSAID, /* `light` is not said of both */
  PW_COLOURS_LIGHT_OTHER,  /* one is not of normal light */
  PW_COLOURS_LAMPS,        /* one was taken with flash, the other not */
  PW_COLOURS_CURVED,       /* one is of a curved surface */
  PW_COLOURS_NOT_LAID      /* after does not lie over before */
} PwColours;
/* "compare", "light-unsaid", "light-other", "lamps", "curved", "not-laid" */
const char *pw_colours_name(PwColours colours);
/* By what the two say of their light, and of the surface: all but PW_COLOURS_NOT_LAID. */
PwColours pw_colours_of(const PwModelPhoto *before, const PwModelPhoto *after);

/* For each change of the model (pw_model_peek_change) the CIEDE2000 difference between the mean
 * colour inside the mark before, holes out, and that of the same place in the photograph after, in
 * CIELAB under D50 after the profiles of both. No uncertainty is known of it: light, exposure and
 * white balance of the two enter it whole. NAN where there is none: for lines and points, where the
 * marks after lie on several photographs, stand on a level of their own or are measured by another
 * card, where after does not cover the place, where colours may not be told from each other, and
 * where a photograph cannot be read. Lays pairs and decodes photographs, unless the cache knows.
 * Yours (g_free). */
double *pw_model_dup_colour_changes(const PwModel *model, const PwProgress *progress);

/* How far the colours of the two are apart, place by place: one channel, a level for each px of the
 * result, PW_DIFFERENCE_LEVELS to one of CIEDE2000 between the means of a square of 9 x 9 px. At
 * its end the scale stops. */
enum {
  PW_DIFFERENCE_LEVELS = 4,
  PW_DIFFERENCE_NONE = 255 /* not compared: beyond one of the pictures, on a card, where this
                              audience may not look, and beyond `surface` of before, else beyond the
                              box round all marks that it sees, where there are any */
};
/* `render` is of the photograph after, and has a crop, a size that the crop holds and `to_frame`,
 * which carries it into px of the one before; its masks are not looked at, but those of both for
 * this audience obeyed. Whether colours may be told from each other says pw_colours_of. `levels` is
 * yours to clear. Errors as of pw_photo_render and pw_model_open_original. */
gboolean pw_model_difference(const PwModel *model, const PwModelPhoto *before,
                             const PwModelPhoto *after, const PwRender *render,
                             PwAudience audience, PwPlane *levels, GError **error);

PW_END_DECLS
#endif
