/* Robust: the homography that most of many doubtful matches agree on. */
#ifndef PW_ALIGN_ROBUST_H
#define PW_ALIGN_ROBUST_H

#include <platewright/geometry.h>

/* Two places taken for the same. */
typedef struct {
  PwPx after, before;
  double doubt; /* the smaller, the surer */
} PwMatch;
/* The surer first. */
int pw_match_compare(const void *a, const void *b);

enum { PW_MATCHES_LEAST = 8 };

/* The homography, px of after to px of before, that carries most matches to within `within_px` of
 * their place, and back. It keeps the turning sense, so that of a picture and its mirror image
 * there is none. The same matches give the same answer. Matches that are not finite are left out.
 * `n_fit` (may be NULL) gets how many of them it carries there, PW_MATCHES_LEAST at least.
 * PW_ERROR_NUMERIC with the reason when so many agree on none, or those that do lie on a line. */
gboolean pw_matches_fit(const PwMatch *matches, gsize n, double within_px, PwHomography *h,
                        gsize *n_fit, GError **error);

#endif
