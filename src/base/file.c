/* Files read: regular files only, never through a link, with the state that tells them apart from
 * a later content. Nothing here opens a file for writing. */
#include <platewright/base.h>

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static const gint64 NS_PER_SECOND = 1000000000;

static gint64
nanoseconds(struct timespec time)
{
  return (gint64)time.tv_sec * NS_PER_SECOND + time.tv_nsec;
}

static PwFileState
state_from(const struct stat *status)
{
  return (PwFileState){.device = status->st_dev,
                       .inode = status->st_ino,
                       .size = (guint64)status->st_size,
                       .modified_ns = nanoseconds(status->st_mtim),
                       .changed_ns = nanoseconds(status->st_ctim)};
}

gboolean
pw_file_state_of(const char *path, PwFileState *state, GError **error)
{
  struct stat status;
  if (stat(path, &status) != 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot look at %s: %s", path, g_strerror(errno));
    return FALSE;
  }
  *state = state_from(&status);
  return TRUE;
}

gboolean
pw_file_state_of_fd(int fd, PwFileState *state)
{
  struct stat status;
  if (fstat(fd, &status) != 0)
    return FALSE;
  *state = state_from(&status);
  return TRUE;
}

gboolean
pw_file_state_equal(const PwFileState *a, const PwFileState *b)
{
  return a->device == b->device && a->inode == b->inode && a->size == b->size &&
         a->modified_ns == b->modified_ns && a->changed_ns == b->changed_ns;
}

/* O_NOATIME leaves the access time of an original alone; only the owner may ask for it. O_NONBLOCK
 * so that a pipe in the folder cannot hang us before it is recognised. */
static int
open_untouched(const char *path)
{
  const int flags = O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC;
  int fd;
  do
    fd = open(path, flags | O_NOATIME);
  while (fd < 0 && errno == EINTR);
  if (fd >= 0 || errno != EPERM)
    return fd;
  do
    fd = open(path, flags);
  while (fd < 0 && errno == EINTR);
  return fd;
}

int
pw_file_open(const char *path, PwFileState *state, GError **error)
{
  const int fd = open_untouched(path);
  if (fd < 0 && errno == ELOOP) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: it is a link, not a file", path);
    return -1;
  }
  if (fd < 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: %s", path, g_strerror(errno));
    return -1;
  }
  struct stat status;
  if (fstat(fd, &status) != 0 || !S_ISREG(status.st_mode)) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: it is not a regular file", path);
    close(fd);
    return -1;
  }
  if (state)
    *state = state_from(&status);
  return fd;
}

/* Reads until the end or until `size` bytes are there; -1 with errno. */
static gssize
read_up_to(int fd, char *into, gsize size)
{
  gsize got = 0;
  while (got < size) {
    const ssize_t n = read(fd, into + got, size - got);
    if (n < 0 && errno == EINTR)
      continue;
    if (n < 0)
      return -1;
    if (n == 0)
      break;
    got += (gsize)n;
  }
  return (gssize)got;
}

static char *
read_open_file(int fd, const char *path, gsize limit, PwFileState *state, GError **error)
{
  if (state->size > limit) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%s has %" G_GUINT64_FORMAT " bytes; at most %" G_GSIZE_FORMAT " are read", path,
                state->size, limit);
    return NULL;
  }
  /* One byte more than it should have shows a file that grows; it holds the NUL afterwards. */
  const gsize size = (gsize)state->size;
  g_autofree char *text = g_malloc(size + 1);
  const gssize got = read_up_to(fd, text, size + 1);
  if (got < 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: %s", path, g_strerror(errno));
    return NULL;
  }
  PwFileState after;
  if ((gsize)got != size || !pw_file_state_of_fd(fd, &after) ||
      !pw_file_state_equal(state, &after)) {
    g_set_error(error, PW_ERROR, PW_ERROR_STALE, "%s changed while it was being read; try again",
                path);
    return NULL;
  }
  text[size] = '\0';
  return g_steal_pointer(&text);
}

/* Another who saves while we read takes the name away from the file that we hold: the next one is
 * whole. */
enum { READ_TRIES = 10 };

char *
pw_file_read(const char *path, gsize limit, gsize *length, PwFileState *state, GError **error)
{
  g_autoptr(GError) cause = NULL;
  char *text = NULL;
  for (int i = 0; i < READ_TRIES && !text; i++) {
    PwFileState before;
    g_clear_error(&cause);
    const int fd = pw_file_open(path, &before, &cause);
    if (fd < 0)
      break;
    text = read_open_file(fd, path, limit, &before, &cause);
    close(fd);
    if (text && length)
      *length = (gsize)before.size;
    if (text && state)
      *state = before;
    if (cause && !g_error_matches(cause, PW_ERROR, PW_ERROR_STALE))
      break;
  }
  if (!text)
    g_propagate_error(error, g_steal_pointer(&cause));
  return text;
}
