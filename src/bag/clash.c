/* Names that are two here and one elsewhere: some file systems pass over case, others over whether
 * an accent is a letter's own or stands after it (RFC 8493, section 6.1, from memory). */
#include "private.h"

#include <string.h>

static char *
dup_folded(const char *path)
{
  g_autofree char *normal = g_utf8_normalize(path, -1, G_NORMALIZE_DEFAULT_COMPOSE);
  g_autofree char *folded = g_utf8_casefold(normal, -1);
  return g_utf8_normalize(folded, -1, G_NORMALIZE_DEFAULT_COMPOSE);
}

static gboolean
differ_in_form(const char *a, const char *b)
{
  g_autofree char *p = g_utf8_normalize(a, -1, G_NORMALIZE_DEFAULT_COMPOSE);
  g_autofree char *q = g_utf8_normalize(b, -1, G_NORMALIZE_DEFAULT_COMPOSE);
  return strcmp(p, q) == 0;
}

void
pw_bag_check_clashes(const GPtrArray *files, PwComplaints *complaints)
{
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < files->len; i++) {
    const PwBagFile *file = files->pdata[i];
    g_autofree char *folded = dup_folded(file->path);
    const PwBagFile *other = g_hash_table_lookup(seen, folded);
    if (other == NULL)
      g_hash_table_insert(seen, g_steal_pointer(&folded), (gpointer)(gsize)file);
    else
      pw_complaints_add(complaints, file->path, 0, 0, "name clash", PW_SEVERITY_WARNING, NULL,
                        "its name differs from %s in %s alone; on some machines one of them would "
                        "be lost",
                        other->path,
                        differ_in_form(file->path, other->path) ? "how its letters are written"
                                                                : "small and capital letters");
  }
}
