/* Checksums of files, several in one reading. SHA-256 and SHA-512 must be understood (RFC 8493,
 * section 2.4); older bags have MD5 and SHA-1. */
#include "private.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { BLOCK = 1024 * 1024 };

static const struct {
  const char *name;
  gsize digits;
  GChecksumType type;
} sums[PW_BAG_N_SUMS] = {
    [PW_BAG_MD5] = {"md5", 32, G_CHECKSUM_MD5},
    [PW_BAG_SHA1] = {"sha1", 40, G_CHECKSUM_SHA1},
    [PW_BAG_SHA256] = {"sha256", 64, G_CHECKSUM_SHA256},
    [PW_BAG_SHA512] = {"sha512", 128, G_CHECKSUM_SHA512},
};

gboolean
pw_bag_sum_parse(const char *word, PwBagSum *sum)
{
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    if (strcmp(sums[i].name, word) == 0) {
      *sum = (PwBagSum)i;
      return TRUE;
    }
  return FALSE;
}

const char *
pw_bag_sum_name(PwBagSum sum)
{
  return sums[sum].name;
}

gsize
pw_bag_sum_digits(PwBagSum sum)
{
  return sums[sum].digits;
}

/* SHA-256 goes by the faster one of ours, the others by GLib's. */
typedef struct {
  PwSha256 *sha256;
  GChecksum *others[PW_BAG_N_SUMS];
} Running;

static void
add(Running *running, const guchar *data, gsize length)
{
  if (running->sha256)
    pw_sha256_add(running->sha256, data, length);
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    if (running->others[i])
      g_checksum_update(running->others[i], data, (gssize)length);
}

static gboolean
read_all(int fd, const char *path, const gint *stop, Running *running, GError **error)
{
  g_autofree guchar *block = g_malloc(BLOCK);
  for (;;) {
    const ssize_t n = read(fd, block, BLOCK);
    if (n == 0)
      return TRUE;
    if (stop && g_atomic_int_get(stop) != 0) {
      g_set_error(error, PW_ERROR, PW_ERROR_USE, "stopped");
      return FALSE;
    }
    if (n < 0 && errno != EINTR) {
      g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: %s", path, g_strerror(errno));
      return FALSE;
    }
    if (n > 0)
      add(running, block, (gsize)n);
  }
}

gboolean
pw_bag_sum_file(const char *path, const gboolean wanted[PW_BAG_N_SUMS], const gint *stop,
                char *hex[PW_BAG_N_SUMS], GError **error)
{
  Running running = {0};
  const int fd = pw_file_open(path, NULL, error);
  if (fd < 0)
    return FALSE;
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    if (wanted[i] && i == PW_BAG_SHA256)
      running.sha256 = pw_sha256_new();
    else if (wanted[i])
      running.others[i] = g_checksum_new(sums[i].type);
  const gboolean read = read_all(fd, path, stop, &running, error);
  close(fd);
  for (int i = 0; i < PW_BAG_N_SUMS; i++) {
    hex[i] = NULL;
    if (read && i == PW_BAG_SHA256 && running.sha256)
      hex[i] = pw_sha256_take_hex(running.sha256);
    else if (read && running.others[i])
      hex[i] = g_strdup(g_checksum_get_string(running.others[i]));
    g_clear_pointer(&running.others[i], g_checksum_free);
  }
  pw_sha256_free(running.sha256);
  return read;
}
