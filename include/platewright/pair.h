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
  PW_START_SCALES    /* a scale in both */
} PwPairStart;
/* "none", "ties", "surfaces", "scales"; NULL for what is no start */
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

PW_END_DECLS
#endif
