/* What lies in a volume folder: photographs, sidecars, leftovers, and links that are not followed.
 *
 * Names that start with a point and the folder `issued` are passed over. Order is that of the bytes
 * of the paths, so that two runs on two machines agree.
 */
#include "model-private.h"

#include <errno.h>
#include <sys/stat.h>
#include <string.h>

static gint
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static gboolean
is_sidecar_name(const char *name)
{
  if (!g_str_has_suffix(name, PW_SIDECAR_ENDING))
    return FALSE;
  g_autofree char *photo = g_strndup(name, strlen(name) - strlen(PW_SIDECAR_ENDING));
  return pw_photo_is_name(photo);
}

static gboolean
file_entry(PwFolder *found, const char *relative, const char *name, mode_t mode, GError **error)
{
  gboolean photo = pw_photo_is_name(name), sidecar = is_sidecar_name(name);
  GPtrArray *list = NULL;
  if (g_str_has_prefix(name, PW_TEMP_PREFIX))
    list = found->leftovers;
  else if (photo || sidecar)
    list = S_ISLNK(mode) ? found->links : photo ? found->photos : found->sidecars;
  if (list == NULL || !(S_ISREG(mode) || S_ISLNK(mode)))
    return TRUE;
  if (list->len >= PW_LIMIT_PHOTOS) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "more than %d photographs in one folder; split it into volumes", PW_LIMIT_PHOTOS);
    return FALSE;
  }
  g_ptr_array_add(list, g_strdup(relative));
  return TRUE;
}

static void
clear_folder(gpointer data)
{
  g_free(((PwModelFolder *)data)->path);
}

/* Taken before it is listed: what comes while it is listed makes another state. */
static gboolean
add_folder(const char *path, PwFolder *found, GError **error)
{
  PwModelFolder folder = {0};
  if (!pw_file_state_of(path, &folder.state, error))
    return FALSE;
  folder.path = g_strdup(path);
  g_array_append_val(found->folders, folder);
  return TRUE;
}

static gboolean
scan_into(const char *folder, const char *inside, int depth, PwFolder *found, GError **error)
{
  g_autofree char *path = g_build_filename(folder, inside, NULL);
  g_autoptr(GError) cause = NULL;
  if (depth > PW_DEEPEST_FOLDER) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%s lies more than %d folders deep; move it further up", path, PW_DEEPEST_FOLDER);
    return FALSE;
  }
  if (!add_folder(path, found, error))
    return FALSE;
  g_autoptr(GDir) dir = g_dir_open(path, 0, &cause);
  if (dir == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s", cause->message);
    return FALSE;
  }
  const char *name;
  while ((name = g_dir_read_name(dir)) != NULL) {
    struct stat st;
    g_autofree char *relative = *inside ? g_build_filename(inside, name, NULL) : g_strdup(name);
    g_autofree char *full = g_build_filename(folder, relative, NULL);
    if (lstat(full, &st) != 0)
      continue; /* gone since it was listed */
    if (S_ISDIR(st.st_mode)) {
      gboolean ours = name[0] == '.' || (depth == 0 && strcmp(name, PW_ISSUED_FOLDER) == 0);
      if (!ours && !scan_into(folder, relative, depth + 1, found, error))
        return FALSE;
      continue;
    }
    if (name[0] == '.' && !g_str_has_prefix(name, PW_TEMP_PREFIX))
      continue;
    if (!file_entry(found, relative, name, st.st_mode, error))
      return FALSE;
  }
  return TRUE;
}

gboolean
pw_folder_scan(const char *folder, PwFolder *found, GError **error)
{
  found->folders = g_array_new(FALSE, FALSE, sizeof(PwModelFolder));
  g_array_set_clear_func(found->folders, clear_folder);
  found->photos = g_ptr_array_new_with_free_func(g_free);
  found->sidecars = g_ptr_array_new_with_free_func(g_free);
  found->leftovers = g_ptr_array_new_with_free_func(g_free);
  found->links = g_ptr_array_new_with_free_func(g_free);
  if (!scan_into(folder, "", 0, found, error)) {
    pw_folder_clear(found);
    return FALSE;
  }
  GPtrArray *lists[] = {found->photos, found->sidecars, found->leftovers, found->links};
  for (gsize i = 0; i < G_N_ELEMENTS(lists); i++)
    g_ptr_array_sort(lists[i], compare_names);
  return TRUE;
}

void
pw_folder_clear(PwFolder *found)
{
  g_clear_pointer(&found->folders, g_array_unref);
  g_clear_pointer(&found->photos, g_ptr_array_unref);
  g_clear_pointer(&found->sidecars, g_ptr_array_unref);
  g_clear_pointer(&found->leftovers, g_ptr_array_unref);
  g_clear_pointer(&found->links, g_ptr_array_unref);
}

/* ---- Which folder is the volume's ---------------------------------------------------- */

char *
pw_folder_dup_volume(const char *folder)
{
  char *at = g_strdup(folder);
  for (int up = 0; up <= PW_DEEPEST_FOLDER; up++) {
    g_autofree char *text = g_build_filename(at, PW_VOLUME_FILE, NULL);
    if (g_file_test(text, G_FILE_TEST_IS_REGULAR))
      return at;
    char *parent = g_path_get_dirname(at);
    gboolean top = strcmp(parent, at) == 0;
    g_free(at);
    at = parent;
    if (top)
      break;
  }
  g_free(at);
  return NULL;
}

gboolean
pw_folder_is_whole(const char *folder, GError **error)
{
  g_autofree char *volume = pw_folder_dup_volume(folder);
  if (volume == NULL || strcmp(volume, folder) == 0)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s is part of the volume in %s; name that folder",
              folder, volume);
  return FALSE;
}

/* ---- What must never be written over ----------------------------------------------- */

static gboolean
is_same_file(const char *folder, const char *inside, const struct stat *other)
{
  struct stat st;
  g_autofree char *path = g_build_filename(folder, inside, NULL);
  return stat(path, &st) == 0 && st.st_dev == other->st_dev && st.st_ino == other->st_ino;
}

/* Names that intake, or the next reading of the folder, would take for the record. */
static gboolean
is_record_name(const char *path)
{
  g_autofree char *name = g_path_get_basename(path);
  return pw_photo_is_name(name) || is_sidecar_name(name) || strcmp(name, PW_VOLUME_FILE) == 0 ||
         strcmp(name, "terms.yaml") == 0;
}

/* What has been issued stays as it left the studio. */
static gboolean
is_issued(const PwModel *model, const char *path)
{
  struct stat issued, parent, file;
  g_autofree char *folder = g_build_filename(model->folder, PW_ISSUED_FOLDER, NULL);
  g_autofree char *own = g_path_get_dirname(path);
  return stat(folder, &issued) == 0 && stat(own, &parent) == 0 && stat(path, &file) == 0 &&
         parent.st_dev == issued.st_dev && parent.st_ino == issued.st_ino;
}

/* Without a record at hand: what lies in a folder of that name. */
static gboolean
may_be_issued(const char *path)
{
  g_autofree char *whole = g_canonicalize_filename(path, NULL);
  g_autofree char *folder = g_path_get_dirname(whole);
  return g_str_has_suffix(folder, G_DIR_SEPARATOR_S PW_ISSUED_FOLDER) &&
         g_file_test(path, G_FILE_TEST_EXISTS);
}

gboolean
pw_model_may_hold(const char *path)
{
  return is_record_name(path) || may_be_issued(path);
}

gboolean
pw_model_holds(const PwModel *model, const char *path)
{
  static const char *const texts[] = {PW_VOLUME_FILE, "terms.yaml"};
  const GPtrArray *lists[] = {model->found.photos, model->found.sidecars, model->found.links};
  struct stat st;
  if (is_record_name(path) || is_issued(model, path))
    return TRUE;
  if (stat(path, &st) != 0)
    return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
    if (is_same_file(model->folder, texts[i], &st))
      return TRUE;
  for (gsize i = 0; i < G_N_ELEMENTS(lists); i++)
    for (guint j = 0; j < lists[i]->len; j++)
      if (is_same_file(model->folder, lists[i]->pdata[j], &st))
        return TRUE;
  return FALSE;
}
