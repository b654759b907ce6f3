/* Featureless: what stands for features.c where the library is built without SIFT. */
#include <platewright/align.h>

gboolean
pw_align_start_features(const PwAlignPair *pair G_GNUC_UNUSED, PwHomography *start G_GNUC_UNUSED,
                        GError **error)
{
  g_set_error_literal(error, PW_ERROR, PW_ERROR_USE,
                      "this platewright was built without the search for features");
  return FALSE;
}

gboolean
pw_align_knows_features(void)
{
  return FALSE;
}
