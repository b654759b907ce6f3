/* Kept pairs: how one photograph lies over another, in the folder's cache. */
#ifndef PW_MODEL_PAIR_KEPT_H
#define PW_MODEL_PAIR_KEPT_H

#include <platewright/pair.h>

/* All that decides how `pair` comes out: the sha256 of both photographs, before and after, what
 * their texts say of where to start, `method`, and this version. Yours. */
char *pw_pair_dup_key(const PwPair *pair, char *const sha256[2], const char *method);
/* Fills the start, the alignment and `why`. FALSE, and nothing is changed, where nothing sound is
 * kept. */
gboolean pw_pair_recall(PwPair *pair, const char *folder, const char *key);
void pw_pair_keep(const PwPair *pair, const char *folder, const char *key);

#endif
