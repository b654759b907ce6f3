/* A bag being made (RFC 8493): the payload first, each file hashed as it is copied, then the texts
 * beside it, and last what lists them all. */
#include "private.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { BLOCK = 1024 * 1024 };

typedef struct {
  char *path; /* as manifests write it */
  char *hex;
} Listed;

struct PwBag {
  PwFiling *filing;
  GArray *payload, *tags; /* Listed */
  GString *info;          /* bag-info.txt so far */
  guint64 bytes;          /* of the payload */
};

static void
clear_listed(gpointer data)
{
  Listed *listed = data;
  g_free(listed->path);
  g_free(listed->hex);
}

static GArray *
new_list(void)
{
  GArray *list = g_array_new(FALSE, FALSE, sizeof(Listed));
  g_array_set_clear_func(list, clear_listed);
  return list;
}

PwBag *
pw_bag_new(const char *path, GError **error)
{
  PwFiling *filing = pw_filing_new(path, error);
  if (filing == NULL)
    return NULL;
  PwBag *bag = g_new0(PwBag, 1);
  bag->filing = filing;
  bag->payload = new_list();
  bag->tags = new_list();
  bag->info = g_string_new(NULL);
  return bag;
}

void
pw_bag_free(PwBag *bag)
{
  if (bag == NULL)
    return;
  pw_filing_free(bag->filing);
  g_array_unref(bag->payload);
  g_array_unref(bag->tags);
  g_string_free(bag->info, TRUE);
  g_free(bag);
}

gboolean
pw_bag_has_room(const PwBag *bag, guint64 bytes, GError **error)
{
  return pw_filing_has_room(bag->filing, bytes, error);
}

guint
pw_bag_n_files(const PwBag *bag)
{
  return bag->payload->len;
}

guint64
pw_bag_n_bytes(const PwBag *bag)
{
  return bag->bytes;
}

/* ---- Names ------------------------------------------------------------------------- */

/* Why that name would not be read on other machines; NULL: it would. */
static const char *
why_not_packed(const char *inside)
{
  g_autofree char *path = g_strconcat(PW_BAG_PAYLOAD "/", inside, NULL);
  const char *why = pw_bag_path_peek_danger(path);
  if (!g_utf8_validate(inside, -1, NULL))
    why = "is no UTF-8";
  for (const char *at = inside; *at && !why; at++)
    if (g_ascii_iscntrl(*at) && *at != '\n' && *at != '\r')
      why = "holds a control character";
  return why;
}

#define ANY_MACHINE "; a bag must be read on any machine, so give the file another name"

/* The path of a payload file, yours; NULL where it is not packed. */
static char *
dup_payload_path(const char *inside, GError **error)
{
  const char *why = why_not_packed(inside);
  if (!why)
    return g_strconcat(PW_BAG_PAYLOAD "/", inside, NULL);
  g_autofree char *shown = g_utf8_make_valid(inside, -1);
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s: this name %s" ANY_MACHINE, shown, why);
  return NULL;
}

static void
list(GArray *list, const char *path, char *hex)
{
  Listed listed = {pw_bag_path_dup_encoded(path), hex};
  g_array_append_val(list, listed);
}

/* ---- Payload ----------------------------------------------------------------------- */

static gboolean
copy_bytes(PwBag *bag, int fd, const char *from, const gint *stop, PwSha256 *sum, guint64 *n_bytes,
           GError **error)
{
  g_autofree char *block = g_malloc(BLOCK);
  for (;;) {
    const ssize_t n = read(fd, block, BLOCK);
    if (stop && g_atomic_int_get(stop) != 0) {
      g_set_error(error, PW_ERROR, PW_ERROR_USE, "stopped; nothing was made");
      return FALSE;
    }
    if (n == 0)
      return TRUE;
    if (n < 0 && errno == EINTR)
      continue;
    if (n < 0) {
      g_set_error(error, PW_ERROR, PW_ERROR_FILE, "cannot read %s: %s", from, g_strerror(errno));
      return FALSE;
    }
    pw_sha256_add(sum, block, (gsize)n);
    *n_bytes += (guint64)n;
    if (!pw_filing_add(bag->filing, block, (gsize)n, error))
      return FALSE;
  }
}

/* What is read while another writes it would be neither the old file nor the new. */
static gboolean
is_unchanged(int fd, const char *from, const PwFileState *before, guint64 n_bytes, GError **error)
{
  PwFileState after;
  if (pw_file_state_of_fd(fd, &after) && pw_file_state_equal(before, &after) &&
      n_bytes == after.size)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_STALE, "%s changed while it was being read; try again",
              from);
  return FALSE;
}

gboolean
pw_bag_copy(PwBag *bag, const char *inside, const char *from, const gint *stop, char **sha256,
            GError **error)
{
  PwFileState before;
  guint64 n_bytes = 0;
  g_autofree char *path = dup_payload_path(inside, error);
  const int fd = path ? pw_file_open(from, &before, error) : -1;
  if (fd < 0)
    return FALSE;
  g_autoptr(PwSha256) sum = pw_sha256_new();
  const gboolean copied = pw_filing_begin(bag->filing, path, error) &&
                          copy_bytes(bag, fd, from, stop, sum, &n_bytes, error) &&
                          is_unchanged(fd, from, &before, n_bytes, error) &&
                          pw_filing_end(bag->filing, error);
  close(fd);
  if (!copied)
    return FALSE;
  char *hex = pw_sha256_take_hex(sum);
  if (sha256)
    *sha256 = g_strdup(hex);
  bag->bytes += n_bytes;
  list(bag->payload, path, hex);
  return TRUE;
}

gboolean
pw_bag_put(PwBag *bag, const char *inside, const void *data, gsize length, GError **error)
{
  g_autofree char *path = dup_payload_path(inside, error);
  if (path == NULL || !pw_filing_put(bag->filing, path, data, length, error))
    return FALSE;
  bag->bytes += length;
  list(bag->payload, path, pw_sha256_dup_hex(data, length));
  return TRUE;
}

/* ---- A whole folder ---------------------------------------------------------------- */

/* All that stands in the way is told in one run. */
static gboolean
may_be_packed(const GPtrArray *files, PwComplaints *complaints)
{
  for (guint i = 0; i < files->len; i++) {
    const PwBagFile *file = files->pdata[i];
    const char *why = why_not_packed(file->path);
    if (why)
      pw_complaints_add(complaints, file->path, 0, 0, "file name", PW_SEVERITY_ERROR, NULL,
                        "this name %s" ANY_MACHINE, why);
  }
  return pw_complaints_count(complaints, PW_SEVERITY_ERROR) == 0;
}

static gboolean
copy_one(PwBag *bag, const char *folder, const char *inside, const PwBagCopying *copying,
         GError **error)
{
  g_autofree char *from = g_build_filename(folder, inside, NULL);
  g_autofree char *sha256 = NULL;
  if (!pw_bag_copy(bag, inside, from, copying->stop, &sha256, error))
    return FALSE;
  if (copying->copied)
    copying->copied(copying->user, inside, sha256);
  return TRUE;
}

gboolean
pw_bag_copy_folder(PwBag *bag, const char *folder, const PwBagCopying *copying, guint *n_hidden,
                   PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) found = pw_complaints_new();
  guint64 bytes = 0;
  *n_hidden = 0;
  g_autoptr(GPtrArray) files = pw_bag_walk(folder, n_hidden, found, error);
  const gboolean may = files && may_be_packed(files, found);
  pw_complaints_move(complaints, found);
  for (guint i = 0; may && i < files->len; i++)
    bytes += ((const PwBagFile *)files->pdata[i])->bytes;
  if (!may || !pw_bag_has_room(bag, bytes, error))
    return FALSE;
  for (guint i = 0; i < files->len; i++) {
    const PwBagFile *file = files->pdata[i];
    if (!copy_one(bag, folder, file->path, copying, error))
      return FALSE;
    pw_progress_step(copying->progress, "packing", i + 1, files->len);
  }
  return TRUE;
}

/* ---- Beside it --------------------------------------------------------------------- */

gboolean
pw_bag_put_tag(PwBag *bag, const char *name, const char *text, GError **error)
{
  if (!pw_filing_put(bag->filing, name, text, strlen(text), error))
    return FALSE;
  list(bag->tags, name, pw_sha256_dup_hex(text, strlen(text)));
  return TRUE;
}

void
pw_bag_add_info(PwBag *bag, const char *label, const char *value)
{
  g_autofree char *line = value ? pw_dup_printable(value) : NULL; /* a value has one line here */
  if (line)
    g_string_append_printf(bag->info, "%s: %s\n", label, line);
}

static gint
compare_listed(gconstpointer a, gconstpointer b)
{
  return strcmp(((const Listed *)a)->path, ((const Listed *)b)->path);
}

/* Two blanks between, as sha256sum writes and reads it (2.1.3 allows any number). */
static char *
dup_manifest(GArray *of)
{
  GString *text = g_string_new(NULL);
  g_array_sort(of, compare_listed);
  for (guint i = 0; i < of->len; i++) {
    const Listed *listed = &g_array_index(of, Listed, i);
    g_string_append_printf(text, "%s  %s\n", listed->hex, listed->path);
  }
  return g_string_free(text, FALSE);
}

gboolean
pw_bag_finish(PwBag *bag, GError **error)
{
  g_autofree char *oxum =
      g_strdup_printf("%" G_GUINT64_FORMAT ".%u", bag->bytes, bag->payload->len);
  pw_bag_add_info(bag, "Payload-Oxum", oxum);
  g_autofree char *manifest = dup_manifest(bag->payload);
  if (!pw_bag_put_tag(bag, PW_BAG_DECLARATION,
                      "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", error) ||
      !pw_bag_put_tag(bag, PW_BAG_INFO, bag->info->str, error) ||
      !pw_bag_put_tag(bag, "manifest-sha256.txt", manifest, error))
    return FALSE;
  g_autofree char *tags = dup_manifest(bag->tags);
  return pw_filing_put(bag->filing, "tagmanifest-sha256.txt", tags, strlen(tags), error) &&
         pw_filing_finish(bag->filing, error);
}
