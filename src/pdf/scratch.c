/* Scratch: a file without a name for a document in the making, which with a few hundred pictures is
 * too large to be held several times over in memory. It is gone with its last descriptor, however
 * the program ends, so that nothing private is left behind.
 */
#include "private.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

/* O_TMPFILE is not known to every file system. */
static int
open_nameless(const char *folder)
{
  int fd = open(folder, O_TMPFILE | O_RDWR | O_CLOEXEC, S_IRUSR | S_IWUSR);
  if (fd >= 0 || (errno != EOPNOTSUPP && errno != EISDIR && errno != ENOENT && errno != EINVAL))
    return fd;
  g_autofree char *name = g_build_filename(folder, "platewright-XXXXXX", NULL);
  fd = g_mkstemp_full(name, O_RDWR | O_CLOEXEC, S_IRUSR | S_IWUSR);
  if (fd >= 0)
    unlink(name);
  return fd;
}

PwScratch *
pw_scratch_new(GError **error)
{
  int fd = open_nameless(g_get_tmp_dir());
  FILE *scratch = fd >= 0 ? fdopen(fd, "w+b") : NULL;
  if (scratch == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write into %s: %s", g_get_tmp_dir(),
                g_strerror(errno));
    if (fd >= 0)
      close(fd);
  }
  return scratch;
}

void
pw_scratch_free(PwScratch *scratch)
{
  if (scratch != NULL)
    fclose(scratch);
}

char *
pw_scratch_dup_path(PwScratch *scratch)
{
  return g_strdup_printf("/proc/self/fd/%d", fileno(scratch));
}

GBytes *
pw_scratch_read(PwScratch *scratch, GError **error)
{
  g_autoptr(GMappedFile) mapped = NULL;
  if (fflush(scratch) == 0)
    mapped = g_mapped_file_new_from_fd(fileno(scratch), FALSE, error);
  else
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot write into %s: %s", g_get_tmp_dir(),
                g_strerror(errno));
  return mapped != NULL ? g_mapped_file_get_bytes(mapped) : NULL;
}
