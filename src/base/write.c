/* Files written whole or not at all.
 *
 * The new content goes to a temporary file in the same folder, is flushed to the disk, and takes
 * the old file's name in one step (rename); then the folder is flushed. A crash at any instant
 * leaves the old file or the new one, and at worst a temporary file, known by its prefix. Every
 * name is looked up in one open folder, so that a folder renamed meanwhile cannot split the work.
 */
#include <platewright/base.h>
#include "calls.h"
#include "temp.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

/* So long another writer of the same folder is waited for, who needs some milliseconds. */
enum { LOCK_WAIT_MS = 3000, LOCK_LOOK_MS = 5 };

PwFileCalls pw_file_calls = {write, fsync, close, renameat2, linkat};

/* Both descriptors are -1 and `temp` is empty when there is none. */
struct PwWriting {
  char *path; /* for messages */
  char *name; /* in the folder */
  int folder, fd;
  char temp[PW_TEMP_SIZE];
  PwFileState temp_state;
};

void
pw_writing_free(PwWriting *writing)
{
  if (writing == NULL)
    return;
  if (writing->fd >= 0)
    pw_file_calls.close(writing->fd);
  if (writing->temp[0])
    unlinkat(writing->folder, writing->temp, 0);
  if (writing->folder >= 0)
    close(writing->folder);
  g_free(writing->name);
  g_free(writing->path);
  g_free(writing);
}

/* FALSE always, with the reason in errno told of the step that failed. */
static gboolean
fail(const PwWriting *writing, const char *step, GError **error)
{
  const int reason = errno;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write %s: %s: %s", writing->path, step,
              g_strerror(reason));
  return FALSE;
}

static gboolean
open_folder(PwWriting *writing, GError **error)
{
  if (writing->path[0] == '\0' || g_str_has_suffix(writing->path, G_DIR_SEPARATOR_S)) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write \"%s\": it names no file",
                writing->path);
    return FALSE;
  }
  g_autofree char *folder = g_path_get_dirname(writing->path);
  writing->name = g_path_get_basename(writing->path);
  writing->folder = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  return writing->folder >= 0 || fail(writing, "opening its folder", error);
}

/* The file that now bears the name, if any; refuses what is not a regular file. */
static gboolean
look_at_target(const PwWriting *writing, struct stat *status, gboolean *exists, GError **error)
{
  *exists = fstatat(writing->folder, writing->name, status, AT_SYMLINK_NOFOLLOW) == 0;
  if (!*exists && errno != ENOENT)
    return fail(writing, "looking at it", error);
  if (!*exists || S_ISREG(status->st_mode))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write %s: it is %s, not a file",
              writing->path, S_ISLNK(status->st_mode) ? "a link" : "something else");
  return FALSE;
}

static gboolean
is_in_state(const PwWriting *writing, const PwFileState *expected)
{
  const int fd = openat(writing->folder, writing->name, O_PATH | O_NOFOLLOW | O_CLOEXEC);
  PwFileState state;
  const gboolean same =
      fd >= 0 && pw_file_state_of_fd(fd, &state) && pw_file_state_equal(&state, expected);
  if (fd >= 0)
    close(fd);
  return same;
}

/* Asked before the work, to spare it, and again just before the renaming. */
static gboolean
guard_allows(const PwWriting *writing, const PwWriteGuard *guard, gboolean exists, GError **error)
{
  if (!guard)
    return TRUE;
  if (guard->must_be_new && exists) {
    g_set_error(error, PW_ERROR, PW_ERROR_STALE, "%s is there already; it was left as it is",
                writing->path);
    return FALSE;
  }
  if (guard->expected && !is_in_state(writing, guard->expected)) {
    g_set_error(error, PW_ERROR, PW_ERROR_STALE,
                "%s has changed since it was read; nothing was written", writing->path);
    return FALSE;
  }
  return TRUE;
}

static gboolean
create_temp(PwWriting *writing, GError **error)
{
  for (int i = 0; i < PW_TEMP_TRIES && writing->fd < 0; i++) {
    char name[sizeof writing->temp];
    pw_temp_make_name(name);
    writing->fd =
        openat(writing->folder, name, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    if (writing->fd >= 0)
      g_strlcpy(writing->temp, name, sizeof writing->temp);
    else if (errno != EEXIST && errno != EINTR)
      break;
  }
  return writing->fd >= 0 || fail(writing, "making a temporary file beside it", error);
}

/* A file replaced keeps its permission bits, and its owner where we may give files away. */
static gboolean
copy_owner_and_mode(const PwWriting *writing, const struct stat *old, GError **error)
{
  struct stat new;
  if (fstat(writing->fd, &new) != 0)
    return fail(writing, "looking at the temporary file", error);
  const gboolean same_owner = new.st_uid == old->st_uid &&new.st_gid == old->st_gid;
  const gboolean given_away =
      !same_owner && fchown(writing->fd, old->st_uid, old->st_gid) == 0; /* clears setuid bits */
  const gboolean same_mode = !given_away && (new.st_mode & 07777) == (old->st_mode & 07777);
  if (!same_mode && fchmod(writing->fd, old->st_mode & 07777) != 0)
    return fail(writing, "keeping its permissions", error);
  return TRUE;
}

static gboolean
flush_and_close(PwWriting *writing, GError **error)
{
  if (pw_fsync(writing->fd) != 0)
    return fail(writing, "flushing", error);
  if (!pw_file_state_of_fd(writing->fd, &writing->temp_state))
    return fail(writing, "looking at the temporary file", error);
  /* Closed is closed, whatever it answers; trying again could close another's descriptor. */
  const int fd = writing->fd;
  writing->fd = -1;
  if (pw_file_calls.close(fd) != 0 && errno != EINTR)
    return fail(writing, "closing", error);
  return TRUE;
}

/* A look and a renaming: what is left on file systems that know neither of the better ways, as
 * cards from cameras may have. */
static int
name_if_absent(const PwWriting *writing)
{
  struct stat status;
  const int folder = writing->folder;
  if (fstatat(folder, writing->name, &status, AT_SYMLINK_NOFOLLOW) == 0) {
    errno = EEXIST;
    return -1;
  }
  return pw_file_calls.renameat2(folder, writing->temp, folder, writing->name, 0);
}

/* RENAME_NOREPLACE where the file system knows it; else a second name, which never replaces. */
static int
name_anew(const PwWriting *writing)
{
  const int folder = writing->folder;
  const int result =
      pw_file_calls.renameat2(folder, writing->temp, folder, writing->name, RENAME_NOREPLACE);
  if (result == 0 || !pw_is_unknown_here(errno))
    return result;
  if (pw_file_calls.linkat(folder, writing->temp, folder, writing->name, 0) == 0)
    return unlinkat(folder, writing->temp, 0);
  return pw_is_unknown_here(errno) ? name_if_absent(writing) : -1;
}

/* Between the last look at the old file and the renaming another could rename his own: writers of
 * one folder take turns at this moment, each with a lock on the folder that the system lets go of
 * when its holder dies. Where a file system knows no locks the moment stays open, as it does to
 * programs that are not ours. FALSE when somebody does not let go of it. */
static gboolean
lock_folder(const PwWriting *writing, GError **error)
{
  const gint64 until = g_get_monotonic_time() + LOCK_WAIT_MS * G_TIME_SPAN_MILLISECOND;
  while (flock(writing->folder, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EINTR && errno != EWOULDBLOCK)
      return TRUE;
    if (g_get_monotonic_time() > until) {
      g_set_error(error, PW_ERROR, PW_ERROR_BUSY,
                  "cannot write %s: another program keeps its folder locked; nothing was written, "
                  "try again when it has ended",
                  writing->path);
      return FALSE;
    }
    g_usleep(LOCK_LOOK_MS * G_TIME_SPAN_MILLISECOND);
  }
  return TRUE;
}

static void
unlock_folder(const PwWriting *writing)
{
  while (flock(writing->folder, LOCK_UN) != 0 && errno == EINTR)
    continue;
}

static gboolean
take_name(PwWriting *writing, const PwWriteGuard *guard, GError **error)
{
  struct stat status;
  gboolean exists;
  if (!look_at_target(writing, &status, &exists, error) ||
      !guard_allows(writing, guard, exists, error))
    return FALSE;
  const gboolean must_be_new = guard && guard->must_be_new;
  const int folder = writing->folder;
  const int result = must_be_new
                         ? name_anew(writing)
                         : pw_file_calls.renameat2(folder, writing->temp, folder, writing->name, 0);
  if (result != 0 && must_be_new && errno == EEXIST)
    return guard_allows(writing, guard, TRUE, error);
  if (result != 0)
    return fail(writing, "renaming", error);
  writing->temp[0] = '\0';
  return TRUE;
}

static gboolean
flush_folder(const PwWriting *writing, GError **error)
{
  /* Some file systems do not flush folders one by one and say so. */
  return pw_fsync(writing->folder) == 0 || pw_is_unknown_here(errno) ||
         fail(writing, "flushing its folder", error);
}

/* The state of the file just renamed. Renaming moves the change time, so it is looked up again; if
 * another's file bears the name by now, ours is handed back, which will then be found stale. */
static PwFileState
state_written(const PwWriting *writing)
{
  const int fd = openat(writing->folder, writing->name, O_PATH | O_NOFOLLOW | O_CLOEXEC);
  PwFileState state = writing->temp_state;
  if (fd >= 0 && pw_file_state_of_fd(fd, &state)) {
    PwFileState as_temp = state;
    as_temp.changed_ns = writing->temp_state.changed_ns;
    if (!pw_file_state_equal(&as_temp, &writing->temp_state))
      state = writing->temp_state;
  }
  if (fd >= 0)
    close(fd);
  return state;
}

PwWriting *
pw_writing_new(const char *path, const PwWriteGuard *guard, GError **error)
{
  g_autoptr(PwWriting) writing = g_new0(PwWriting, 1);
  struct stat old;
  gboolean exists;
  writing->path = g_strdup(path);
  writing->folder = writing->fd = -1;
  if (!open_folder(writing, error) || !look_at_target(writing, &old, &exists, error) ||
      !guard_allows(writing, guard, exists, error) || !create_temp(writing, error))
    return NULL;
  if (exists && !copy_owner_and_mode(writing, &old, error))
    return NULL;
  return g_steal_pointer(&writing);
}

gboolean
pw_writing_add(PwWriting *writing, const void *data, gsize length, GError **error)
{
  return pw_write_all(writing->fd, data, length) || fail(writing, "writing", error);
}

gboolean
pw_writing_go_back(PwWriting *writing, gint64 offset, GError **error)
{
  return lseek(writing->fd, offset, SEEK_SET) >= 0 || fail(writing, "going back in it", error);
}

gboolean
pw_writing_finish(PwWriting *writing, const PwWriteGuard *guard, GError **error)
{
  if (!flush_and_close(writing, error) || !lock_folder(writing, error))
    return FALSE;
  const gboolean named = take_name(writing, guard, error);
  if (named && guard && guard->written)
    *guard->written = state_written(writing);
  unlock_folder(writing);
  return named && flush_folder(writing, error);
}

gboolean
pw_file_write_whole(const char *path, const void *data, gsize length, const PwWriteGuard *guard,
                    GError **error)
{
  g_autoptr(PwWriting) writing = pw_writing_new(path, guard, error);
  return writing && pw_writing_add(writing, data, length, error) &&
         pw_writing_finish(writing, guard, error);
}
