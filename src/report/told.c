/* Lines that tell of what was made. */
#include "told.h"

void
pw_told_made(GPtrArray *told, const PwWords *words, char *what_taken, gboolean archival)
{
  g_autofree char *what = what_taken;
  g_ptr_array_add(told, archival ? pw_words_dup_phrase(words, "told-archival", "what", what, NULL)
                                 : g_steal_pointer(&what));
}

char **
pw_told_end(GPtrArray *told_taken, const PwWords *words, const char *why_not_archival)
{
  if (why_not_archival != NULL)
    g_ptr_array_add(told_taken,
                    pw_words_dup_phrase(words, "told-not-archival", "why", why_not_archival, NULL));
  g_ptr_array_add(told_taken, NULL);
  return (char **)g_ptr_array_free(told_taken, FALSE);
}
