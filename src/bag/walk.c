/* What lies in a folder, in whatever order the disk gives it, sorted by path. */
#include "private.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

typedef struct {
  const char *folder;
  guint *n_hidden; /* or NULL: nothing is hidden */
  GPtrArray *files;
  PwComplaints *complaints;
} Walk;

static void
free_file(gpointer data)
{
  PwBagFile *file = data;
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    g_free(file->hex[i]);
  g_free(file->path);
  g_free(file);
}

static gint
compare_files(gconstpointer a, gconstpointer b)
{
  return strcmp((*(const PwBagFile *const *)a)->path, (*(const PwBagFile *const *)b)->path);
}

static void
complain(Walk *walk, const char *path, const char *kind, const char *says)
{
  g_autofree char *shown = g_utf8_make_valid(path, -1);
  pw_complaints_add(walk->complaints, shown, 0, 0, kind, PW_SEVERITY_ERROR, NULL, "%s", says);
}

static gboolean
take_file(Walk *walk, const char *path, const struct stat *status, GError **error)
{
  if (!g_utf8_validate(path, -1, NULL)) {
    complain(walk, path, "file name", "this name is no UTF-8, so that no manifest can list it");
    return TRUE;
  }
  if (walk->files->len >= PW_BAG_FILES_MAX) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT, "%s holds more than %d files, which are not read",
                walk->folder, PW_BAG_FILES_MAX);
    return FALSE;
  }
  PwBagFile *file = g_new0(PwBagFile, 1);
  file->path = g_strdup(path);
  file->bytes = (guint64)status->st_size;
  g_ptr_array_add(walk->files, file);
  return TRUE;
}

static gboolean
walk_into(Walk *walk, const char *inside, int depth, GError **error)
{
  g_autofree char *path = g_build_filename(walk->folder, inside, NULL);
  g_autoptr(GError) cause = NULL;
  g_autoptr(GDir) dir = g_dir_open(path, 0, &cause);
  if (dir == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s", cause->message);
    return FALSE;
  }
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
    struct stat status;
    if (walk->n_hidden && name[0] == '.') {
      ++*walk->n_hidden;
      continue;
    }
    g_autofree char *relative = *inside ? g_build_filename(inside, name, NULL) : g_strdup(name);
    g_autofree char *full = g_build_filename(walk->folder, relative, NULL);
    gboolean taken = TRUE;
    if (lstat(full, &status) != 0)
      complain(walk, relative, "unreadable", g_strerror(errno));
    else if (S_ISREG(status.st_mode))
      taken = take_file(walk, relative, &status, error);
    else if (S_ISLNK(status.st_mode))
      complain(walk, relative, "link", "a link is not followed; a bag holds the file itself");
    else if (!S_ISDIR(status.st_mode))
      complain(walk, relative, "no file", "this is neither a file nor a folder");
    else if (depth >= PW_BAG_DEPTH_MAX)
      complain(walk, relative, "limit", "so many folders within folders are not read");
    else
      taken = walk_into(walk, relative, depth + 1, error);
    if (!taken)
      return FALSE;
  }
  return TRUE;
}

GPtrArray *
pw_bag_walk(const char *folder, guint *n_hidden, PwComplaints *complaints, GError **error)
{
  Walk walk = {folder, n_hidden, g_ptr_array_new_with_free_func(free_file), complaints};
  if (!walk_into(&walk, "", 0, error)) {
    g_ptr_array_unref(walk.files);
    return NULL;
  }
  g_ptr_array_sort(walk.files, compare_files);
  return walk.files;
}
