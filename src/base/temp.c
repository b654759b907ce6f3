/* Temporary names, and what both kinds of writing ask of a file system. */
#include "temp.h"
#include "calls.h"

#include <errno.h>
#include <string.h>

void
pw_temp_make_name(char name[PW_TEMP_SIZE])
{
  static const char letters[] = "abcdefghijklmnopqrstuvwxyz0123456789";
  char *at = g_stpcpy(name, PW_TEMP_PREFIX);
  for (int i = 0; i < PW_TEMP_RANDOM; i++)
    *at++ = letters[g_random_int_range(0, (gint32)strlen(letters))];
  *at = '\0';
}

gboolean
pw_is_unknown_here(int reason)
{
  return reason == EINVAL || reason == ENOSYS || reason == EOPNOTSUPP || reason == EPERM;
}

gboolean
pw_write_all(int fd, const void *data, gsize length)
{
  const char *from = data;
  while (length > 0) {
    const ssize_t n = pw_file_calls.write(fd, from, length);
    if (n < 0 && errno == EINTR)
      continue;
    if (n == 0)
      errno = ENOSPC;
    if (n <= 0)
      return FALSE;
    from += n;
    length -= (gsize)n;
  }
  return TRUE;
}

int
pw_fsync(int fd)
{
  int result;
  do
    result = pw_file_calls.fsync(fd);
  while (result != 0 && errno == EINTR);
  return result;
}
