/* The cache of a volume folder: what can be made again, kept under `.platewright/`. Anyone may
 * delete it at any time; when it cannot be written, everything works without it, only slower.
 *
 * A file's sha256 is found again by its device, inode, size and times; all else is keyed by sha256
 * and the settings that made it. Every entry carries the sha256 of its kind, its name and its
 * bytes, so that a damaged one is passed over, and so is one that lies under another's name: what
 * was seen in one photograph gives no scale to another.
 */
#include "model-private.h"

#include <string.h>

enum { DIGEST_CHARS = 64, LARGEST_ENTRY = 256 * 1024 * 1024 };

/* The payload of a bag (RFC 8493) is to stay as it was packed. */
static gboolean
is_in_a_bag(const char *folder)
{
  g_autofree char *name = g_path_get_basename(folder);
  g_autofree char *bag = g_path_get_dirname(folder);
  g_autofree char *declaration = g_build_filename(bag, "bagit.txt", NULL);
  return strcmp(name, "data") == 0 && g_file_test(declaration, G_FILE_TEST_EXISTS);
}

/* A link may lead out of the folder, where nothing of ours is to be written or believed. */
static gboolean
is_ours(const char *folder, const char *kind)
{
  if (is_in_a_bag(folder))
    return FALSE;
  g_autofree char *path = g_build_filename(folder, PW_CACHE_FOLDER, NULL);
  g_autofree char *inner = g_build_filename(path, kind, NULL);
  return !g_file_test(path, G_FILE_TEST_IS_SYMLINK) && !g_file_test(inner, G_FILE_TEST_IS_SYMLINK);
}

char *
pw_cache_dup_path(const char *folder, const char *kind, const char *key)
{
  g_autofree char *name = pw_sha256_dup_hex(key, strlen(key));
  return is_ours(folder, kind) ? g_build_filename(folder, PW_CACHE_FOLDER, kind, name, NULL) : NULL;
}

gboolean
pw_cache_make_room(const char *path)
{
  g_autofree char *parent = g_path_get_dirname(path);
  return g_mkdir_with_parents(parent, 0777) == 0;
}

static char *
dup_digest(const char *path, const char *kind, gconstpointer data, gsize length)
{
  g_autofree char *name = g_path_get_basename(path);
  g_autofree char *bytes = pw_sha256_dup_hex(data, length);
  g_autofree char *all = g_strdup_printf("%s %s %s", kind, name, bytes);
  return pw_sha256_dup_hex(all, strlen(all));
}

GBytes *
pw_cache_get(const char *folder, const char *kind, const char *key)
{
  g_autofree char *path = pw_cache_dup_path(folder, kind, key);
  gsize length;
  if (path == NULL)
    return NULL;
  g_autofree char *data = pw_file_read(path, LARGEST_ENTRY, &length, NULL, NULL);
  if (data == NULL || length < DIGEST_CHARS)
    return NULL;
  g_autofree char *digest = dup_digest(path, kind, data + DIGEST_CHARS, length - DIGEST_CHARS);
  if (memcmp(digest, data, DIGEST_CHARS) != 0)
    return NULL;
  g_autoptr(GBytes) all = g_bytes_new_take(g_steal_pointer(&data), length);
  return g_bytes_new_from_bytes(all, DIGEST_CHARS, length - DIGEST_CHARS);
}

void
pw_cache_put(const char *folder, const char *kind, const char *key, GBytes *data)
{
  g_autofree char *path = pw_cache_dup_path(folder, kind, key);
  if (path == NULL || !pw_cache_make_room(path))
    return;
  g_autofree char *digest =
      dup_digest(path, kind, g_bytes_get_data(data, NULL), g_bytes_get_size(data));
  g_autoptr(GByteArray) entry =
      g_byte_array_sized_new((guint)g_bytes_get_size(data) + DIGEST_CHARS);
  g_byte_array_append(entry, (const guint8 *)digest, DIGEST_CHARS);
  g_byte_array_append(entry, g_bytes_get_data(data, NULL), (guint)g_bytes_get_size(data));
  PwWriteGuard guard = {0};
  pw_file_write_whole(path, entry->data, entry->len, &guard, NULL);
}

char *
pw_cache_dup_sha256(const char *folder, PwPhoto *photo, gboolean hash_again, GError **error)
{
  const PwFileState *state = &pw_photo_peek_facts(photo)->state;
  g_autofree char *key = g_strdup_printf(
      "%" G_GUINT64_FORMAT " %" G_GUINT64_FORMAT " %" G_GUINT64_FORMAT " %" G_GINT64_FORMAT
      " %" G_GINT64_FORMAT,
      state->device, state->inode, state->size, state->modified_ns, state->changed_ns);
  g_autoptr(GBytes) known = hash_again ? NULL : pw_cache_get(folder, "sha256", key);
  if (known != NULL && g_bytes_get_size(known) == DIGEST_CHARS)
    return g_strndup(g_bytes_get_data(known, NULL), DIGEST_CHARS);
  g_autofree char *sha256 = pw_photo_dup_sha256(photo, error);
  if (sha256 == NULL)
    return NULL;
  g_autoptr(GBytes) found = g_bytes_new(sha256, strlen(sha256));
  pw_cache_put(folder, "sha256", key, found);
  return g_steal_pointer(&sha256);
}

/* ---- Rendered pictures ------------------------------------------------------------ */

static void
append_masks(GString *key, const PwRender *render)
{
  for (gsize i = 0; i < render->n_masks; i++) {
    g_autofree char *points = pw_px_path_format(&render->masks[i]);
    g_string_append_printf(key, " mask %s", points);
  }
}

static char *
picture_key(const char *sha256, const PwRender *render, int quality)
{
  const double crop[] = {render->crop_x, render->crop_y, render->crop_width, render->crop_height};
  GString *key = g_string_new(sha256);
  g_string_append_printf(key, " %s %dx%d q%d grey%d", PW_VERSION, render->width, render->height,
                         quality, render->grey);
  if (render->quick)
    g_string_append(key, " quick");
  if (render->most_bytes > 0)
    g_string_append_printf(key, " most%" G_GSIZE_FORMAT, render->most_bytes);
  for (gsize i = 0; i < G_N_ELEMENTS(crop); i++) {
    g_autofree char *number = pw_format_double(crop[i]);
    g_string_append_printf(key, " %s", number);
  }
  for (gsize i = 0; render->to_frame != NULL && i < G_N_ELEMENTS(render->to_frame->m); i++) {
    g_autofree char *number = pw_format_double(render->to_frame->m[i]);
    g_string_append_printf(key, "%s%s", i == 0 ? " frame " : ",", number);
  }
  append_masks(key, render);
  return g_string_free(key, FALSE);
}

/* An entry is the two sizes as 32-bit numbers of this machine, then the JPEG. */
typedef struct {
  gint32 width, height;
} PictureHead;

static GBytes *
unpack(GBytes *entry, int *width, int *height)
{
  PictureHead head;
  gsize length = g_bytes_get_size(entry);
  if (length <= sizeof head)
    return NULL;
  memcpy(&head, g_bytes_get_data(entry, NULL), sizeof head);
  *width = head.width;
  *height = head.height;
  return g_bytes_new_from_bytes(entry, sizeof head, length - sizeof head);
}

static GBytes *
pack(GBytes *jpeg, int width, int height)
{
  PictureHead head = {width, height};
  gsize length;
  gconstpointer data = g_bytes_get_data(jpeg, &length);
  g_autoptr(GByteArray) entry = g_byte_array_sized_new((guint)(sizeof head + length));
  g_byte_array_append(entry, (const guint8 *)&head, sizeof head);
  g_byte_array_append(entry, data, (guint)length);
  return g_byte_array_free_to_bytes(g_steal_pointer(&entry));
}

/* A mark, a mask and `privacy-checked` speak of the pixels that were taken in, and a plate names
 * their sha256: of other pixels there is no picture, and no scale is read from them. */
static gboolean
is_as_taken_in(const PwModelPhoto *photo, const char *sha256, GError **error)
{
  const char *wanted = photo->sidecar ? photo->sidecar->sha256 : NULL;
  if (wanted == NULL || g_ascii_strcasecmp(wanted, sha256) == 0)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
              "%s is not the file that was taken in: its sha256 is another; put the original back",
              photo->file);
  return FALSE;
}

PwPhoto *
pw_model_open_original(const PwModel *model, const PwModelPhoto *photo, char **sha256,
                       GError **error)
{
  g_autoptr(PwPhoto) file = pw_photo_open(photo->path, error);
  g_autofree char *sum = file ? pw_cache_dup_sha256(model->folder, file, FALSE, error) : NULL;
  if (sum == NULL || !is_as_taken_in(photo, sum, error))
    return NULL;
  if (sha256 != NULL)
    *sha256 = g_steal_pointer(&sum);
  return g_steal_pointer(&file);
}

GBytes *
pw_model_render_jpeg(const PwModel *model, const PwModelPhoto *photo, const PwRender *render,
                     int quality, int *width, int *height, GError **error)
{
  g_autofree char *sha256 = NULL;
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, &sha256, error);
  if (file == NULL)
    return NULL;
  g_autofree char *key = picture_key(sha256, render, quality);
  g_autoptr(GBytes) entry = pw_cache_get(model->folder, "pictures", key);
  GBytes *known = entry ? unpack(entry, width, height) : NULL;
  if (known != NULL)
    return known;
  GBytes *jpeg = pw_photo_render_jpeg(file, render, quality, width, height, error);
  if (jpeg == NULL)
    return NULL;
  g_autoptr(GBytes) fresh = pack(jpeg, *width, *height);
  pw_cache_put(model->folder, "pictures", key, fresh);
  return jpeg;
}
