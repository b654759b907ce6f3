/* The documents that left the studio, as they lie in PW_ISSUED_FOLDER: read whole and told by their
 * checksums, whatever they are called. */
#include "model-private.h"

#include <string.h>

char *
pw_model_dup_issued_file(const PwModel *model, const char *document, int version, const char *to,
                         const char *ending)
{
  g_autofree char *name =
      g_strdup_printf("%s-%s-v%d-%s.%s", pw_model_peek_id(model), document, version, to, ending);
  g_strdelimit(name, "/\\", '-'); /* an id may hold what a file's name may not */
  if (name[0] == '.' || name[0] == '-')
    name[0] = '_';
  return g_build_filename(PW_ISSUED_FOLDER, name, NULL);
}

/* What others hide there is none of ours. */
static gboolean
is_told_of(const char *name)
{
  return name[0] != '.' || g_str_has_prefix(name, PW_TEMP_PREFIX);
}

static gint
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static GPtrArray *
names_in(const char *folder)
{
  GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
  if (g_file_test(folder, G_FILE_TEST_IS_SYMLINK))
    return names;
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;)
    if (is_told_of(name))
      g_ptr_array_add(names, g_strdup(name));
  g_ptr_array_sort(names, compare_names);
  return names;
}

static gboolean
show(const char *folder, const char *name, PwKeptFunc func, void *user)
{
  gsize length = 0;
  g_autoptr(GError) cause = NULL;
  g_autofree char *path = g_build_filename(folder, name, NULL);
  g_autofree char *data = pw_file_read(path, PW_LIMIT_ISSUED_BYTES, &length, NULL, &cause);
  g_autofree char *sha256 = data != NULL ? pw_sha256_dup_hex(data, length) : NULL;
  const PwKept kept = {name, sha256, data != NULL ? NULL : cause->message, data, length};
  return func(user, &kept);
}

void
pw_model_each_kept(const PwModel *model, PwKeptFunc func, void *user)
{
  g_autofree char *folder = g_build_filename(model->folder, PW_ISSUED_FOLDER, NULL);
  g_autoptr(GPtrArray) names = names_in(folder);
  gboolean goes_on = TRUE;
  for (guint i = 0; goes_on && i < names->len; i++)
    goes_on = show(folder, names->pdata[i], func, user);
}

gboolean
pw_kept_is(const PwKept *kept, const char *sha256)
{
  return kept->sha256 != NULL && sha256 != NULL && g_ascii_strcasecmp(kept->sha256, sha256) == 0;
}
