/* Folders of files made whole or not at all.
 *
 * The files go into a temporary folder beside the target, each is flushed, then the folders are,
 * and at the end it takes the target's name in one step. A crash leaves at worst the temporary
 * folder, known by its prefix. What is taken away again is what was made here, by name.
 */
#include <platewright/base.h>
#include "calls.h"
#include "temp.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

enum { FOLDER_FLAGS = O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC };

/* Descriptors are -1 and `temp` is empty where there is none. */
struct PwFiling {
  char *path; /* for messages */
  char *name; /* in its parent */
  int parent, folder, fd;
  char temp[PW_TEMP_SIZE];
  char *current;      /* the file under way */
  GPtrArray *folders; /* made so far, as they came, relative to `folder` */
  GPtrArray *files;
};

void
pw_filing_free(PwFiling *filing)
{
  if (filing == NULL)
    return;
  if (filing->fd >= 0)
    close(filing->fd);
  if (filing->temp[0]) {
    for (guint i = filing->files->len; i > 0; i--)
      unlinkat(filing->folder, filing->files->pdata[i - 1], 0);
    for (guint i = filing->folders->len; i > 0; i--)
      unlinkat(filing->folder, filing->folders->pdata[i - 1], AT_REMOVEDIR);
    unlinkat(filing->parent, filing->temp, AT_REMOVEDIR);
  }
  if (filing->folder >= 0)
    close(filing->folder);
  if (filing->parent >= 0)
    close(filing->parent);
  g_ptr_array_unref(filing->folders);
  g_ptr_array_unref(filing->files);
  g_free(filing->current);
  g_free(filing->name);
  g_free(filing->path);
  g_free(filing);
}

/* FALSE always, with the reason in errno told of the step that failed. */
static gboolean
fail(const PwFiling *filing, const char *step, GError **error)
{
  const int reason = errno;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write %s%s%s: %s: %s", filing->path,
              filing->current ? "/" : "", filing->current ? filing->current : "", step,
              g_strerror(reason));
  return FALSE;
}

static gboolean
is_there_already(const PwFiling *filing, GError **error)
{
  struct stat status;
  if (fstatat(filing->parent, filing->name, &status, AT_SYMLINK_NOFOLLOW) != 0)
    return FALSE;
  g_set_error(error, PW_ERROR, PW_ERROR_USE,
              "%s is there already and is never replaced; name another folder", filing->path);
  return TRUE;
}

static gboolean
create_temp(PwFiling *filing, GError **error)
{
  for (int i = 0; i < PW_TEMP_TRIES; i++) {
    char name[PW_TEMP_SIZE];
    pw_temp_make_name(name);
    if (mkdirat(filing->parent, name, 0777) == 0) {
      g_strlcpy(filing->temp, name, sizeof filing->temp);
      filing->folder = openat(filing->parent, name, FOLDER_FLAGS);
      return filing->folder >= 0 || fail(filing, "opening a temporary folder beside it", error);
    }
    if (errno != EEXIST && errno != EINTR)
      break;
  }
  return fail(filing, "making a temporary folder beside it", error);
}

PwFiling *
pw_filing_new(const char *path, GError **error)
{
  g_autoptr(PwFiling) filing = g_new0(PwFiling, 1);
  filing->path = g_strdup(path);
  filing->parent = filing->folder = filing->fd = -1;
  filing->folders = g_ptr_array_new_with_free_func(g_free);
  filing->files = g_ptr_array_new_with_free_func(g_free);
  while (g_str_has_suffix(filing->path, "/") && filing->path[1] != '\0')
    filing->path[strlen(filing->path) - 1] = '\0';
  filing->name = g_path_get_basename(filing->path);
  if (*path == '\0' || strcmp(filing->name, "/") == 0 || strcmp(filing->name, ".") == 0 ||
      strcmp(filing->name, "..") == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "\"%s\" names no new folder", path);
    return NULL;
  }
  g_autofree char *parent = g_path_get_dirname(filing->path);
  filing->parent = open(parent, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (filing->parent < 0) {
    fail(filing, "opening the folder that it lies in", error);
    return NULL;
  }
  if (is_there_already(filing, error) || !create_temp(filing, error))
    return NULL;
  return g_steal_pointer(&filing);
}

gboolean
pw_filing_has_room(const PwFiling *filing, guint64 bytes, GError **error)
{
  struct statvfs disk;
  if (fstatvfs(filing->folder, &disk) != 0)
    return TRUE; /* writing will tell */
  const guint64 room = (guint64)disk.f_bavail * disk.f_frsize;
  if (bytes <= room)
    return TRUE;
  g_autofree char *wanted = g_format_size(bytes), *is = g_format_size(room);
  g_set_error(error, PW_ERROR, PW_ERROR_FILE,
              "%s would take %s, and %s are free on that disk; nothing was made", filing->path,
              wanted, is);
  return FALSE;
}

/* Makes the folders that `inside` lies in, as far as they are not there. */
static gboolean
make_folders(PwFiling *filing, const char *inside, GError **error)
{
  for (const char *slash = strchr(inside, '/'); slash; slash = strchr(slash + 1, '/')) {
    g_autofree char *folder = g_strndup(inside, (gsize)(slash - inside));
    if (mkdirat(filing->folder, folder, 0777) == 0)
      g_ptr_array_add(filing->folders, g_steal_pointer(&folder));
    else if (errno != EEXIST)
      return fail(filing, "making its folder", error);
  }
  return TRUE;
}

gboolean
pw_filing_begin(PwFiling *filing, const char *inside, GError **error)
{
  g_assert(filing->fd < 0 && !g_path_is_absolute(inside));
  g_free(filing->current);
  filing->current = g_strdup(inside);
  if (!make_folders(filing, inside, error))
    return FALSE;
  filing->fd = openat(filing->folder, inside,
                      O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
  if (filing->fd < 0)
    return fail(filing, "making it", error);
  g_ptr_array_add(filing->files, g_strdup(inside));
  return TRUE;
}

gboolean
pw_filing_add(PwFiling *filing, const void *data, gsize length, GError **error)
{
  return pw_write_all(filing->fd, data, length) || fail(filing, "writing", error);
}

gboolean
pw_filing_end(PwFiling *filing, GError **error)
{
  if (pw_fsync(filing->fd) != 0)
    return fail(filing, "flushing", error);
  const int fd = filing->fd;
  filing->fd = -1; /* closed is closed, whatever it answers */
  if (pw_file_calls.close(fd) != 0 && errno != EINTR)
    return fail(filing, "closing", error);
  g_clear_pointer(&filing->current, g_free);
  return TRUE;
}

gboolean
pw_filing_put(PwFiling *filing, const char *inside, const void *data, gsize length, GError **error)
{
  return pw_filing_begin(filing, inside, error) && pw_filing_add(filing, data, length, error) &&
         pw_filing_end(filing, error);
}

/* Some file systems do not flush folders one by one and say so. */
static gboolean
flush_folder(const PwFiling *filing, int fd, GError **error)
{
  return pw_fsync(fd) == 0 || pw_is_unknown_here(errno) ||
         fail(filing, "flushing its folder", error);
}

static gboolean
flush_folders(const PwFiling *filing, GError **error)
{
  for (guint i = filing->folders->len; i > 0; i--) {
    const int fd = openat(filing->folder, filing->folders->pdata[i - 1], FOLDER_FLAGS);
    const gboolean flushed = fd >= 0 ? flush_folder(filing, fd, error)
                                     : fail(filing, "opening its folder", error);
    if (fd >= 0)
      close(fd);
    if (!flushed)
      return FALSE;
  }
  return flush_folder(filing, filing->folder, error);
}

/* A folder never takes the name of a file, nor of a folder that holds anything: where a file system
 * knows no better way, what is left to chance is an empty folder made this very moment. */
static int
take_name(const PwFiling *filing)
{
  const int result = pw_file_calls.renameat2(filing->parent, filing->temp, filing->parent,
                                             filing->name, RENAME_NOREPLACE);
  if (result == 0 || !pw_is_unknown_here(errno))
    return result;
  if (is_there_already(filing, NULL)) {
    errno = EEXIST;
    return -1;
  }
  return pw_file_calls.renameat2(filing->parent, filing->temp, filing->parent, filing->name, 0);
}

gboolean
pw_filing_finish(PwFiling *filing, GError **error)
{
  g_assert(filing->fd < 0);
  if (!flush_folders(filing, error))
    return FALSE;
  if (take_name(filing) != 0) {
    const int reason = errno;
    if (reason == EEXIST && is_there_already(filing, error))
      return FALSE;
    errno = reason;
    return fail(filing, "renaming", error);
  }
  filing->temp[0] = '\0';
  return flush_folder(filing, filing->parent, error);
}
