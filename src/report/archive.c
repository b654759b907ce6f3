/* A record as a bag: the studio's own, with every file as it is, and the owner's, stripped.
 *
 * Only the studio's holds the photographs as they came from the camera. What is in the owner's was
 * drawn anew from their pixels, so that nothing else can be in it.
 */
#include "read_me.h"
#include "tables.h"

#include <platewright/bag.h>
#include <platewright/photo.h>

#include <stdlib.h>
#include <string.h>

/* Of the pictures drawn anew: what a print at full size still shows no trace of. */
enum { QUALITY = 95 };

typedef struct {
  const PwModel *model;
  const PwExportBag *options;
  PwBag *bag;
  PwExportBagResult *result;
  PwComplaints *complaints;
} Archive;

/* ---- Where it goes ----------------------------------------------------------------- */

/* In the volume folder it would be taken for a part of the record, and be packed itself. */
static gboolean
lies_outside(const PwModel *model, const char *path, GError **error)
{
  g_autofree char *whole = g_canonicalize_filename(path, NULL);
  g_autofree char *parent = g_path_get_dirname(whole);
  char *real = realpath(parent, NULL), *folder = realpath(pw_model_peek_folder(model), NULL);
  const gsize n = folder ? strlen(folder) : 0;
  const gboolean inside =
      real && folder && strncmp(real, folder, n) == 0 && (real[n] == '\0' || real[n] == '/');
  free(real);
  free(folder);
  if (inside)
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "%s would lie in the volume folder and become a part of the record; name a place "
                "outside it",
                path);
  return !inside;
}

/* ---- The studio's ------------------------------------------------------------------ */

/* It is packed all the same: an original that is lost does not come back by waiting. */
static void
note_copied(void *user, const char *inside, const char *sha256)
{
  Archive *archive = user;
  const PwModelPhoto *photo = pw_model_find_photo(archive->model, inside);
  const char *taken_in = photo && photo->sidecar ? photo->sidecar->sha256 : NULL;
  if (taken_in && g_ascii_strcasecmp(taken_in, sha256) != 0)
    pw_complaints_add(archive->complaints, inside, 0, 0, "changed", PW_SEVERITY_WARNING, NULL,
                      "this is not the file that was taken in: its sha256 is another; it was "
                      "packed as it is");
}

static gboolean
pack_all(Archive *archive, GError **error)
{
  const PwBagCopying copying = {archive->options->progress, archive->options->stop, note_copied,
                                archive};
  return pw_bag_copy_folder(archive->bag, pw_model_peek_folder(archive->model), &copying,
                            &archive->result->n_hidden, archive->complaints, error);
}

/* ---- The owner's ------------------------------------------------------------------- */

static gboolean
is_stopped(const Archive *archive, GError **error)
{
  const gint *stop = archive->options->stop;
  if (stop == NULL || g_atomic_int_get(stop) == 0)
    return FALSE;
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "stopped; nothing was made");
  return TRUE;
}

/* What is a JPEG already keeps its name. */
static char *
dup_picture_name(const PwModelPhoto *photo)
{
  g_autofree char *small = g_ascii_strdown(photo->file, -1);
  const gboolean is_jpeg = g_str_has_suffix(small, ".jpg") || g_str_has_suffix(small, ".jpeg");
  return g_strconcat("photographs/", photo->file, is_jpeg ? NULL : ".jpg", NULL);
}

static gboolean
pack_picture(Archive *archive, const PwModelPhoto *photo, GError **error)
{
  PwRender render = {0};
  int width, height;
  g_autoptr(PwPhoto) file = pw_model_open_original(archive->model, photo, NULL, error);
  if (file == NULL)
    return FALSE;
  PwPxPath *masks =
      pw_model_dup_masks(archive->model, photo, archive->options->audience, &render.n_masks);
  render.masks = masks;
  g_autoptr(GBytes) jpeg = pw_photo_render_jpeg(file, &render, QUALITY, &width, &height, error);
  pw_model_masks_free(masks, render.n_masks);
  if (jpeg == NULL)
    return FALSE;
  g_autofree char *name = dup_picture_name(photo);
  return pw_bag_put(archive->bag, name, g_bytes_get_data(jpeg, NULL), g_bytes_get_size(jpeg),
                    error);
}

static gboolean
pack_pictures(Archive *archive, GError **error)
{
  const gsize n = pw_model_n_photos(archive->model);
  for (gsize i = 0; i < n; i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(archive->model, i);
    if (is_stopped(archive, error))
      return FALSE;
    if (pw_model_photo_shown(archive->model, photo, archive->options->audience) &&
        !pack_picture(archive, photo, error))
      return FALSE;
    pw_progress_step(archive->options->progress, "drawing", (guint)i + 1, (guint)n);
  }
  return TRUE;
}

static gboolean
pack_tables(Archive *archive, GError **error)
{
  for (int i = 0; i < PW_N_TABLES; i++) {
    g_autofree char *name = g_strconcat("tables/", pw_tables[i].name, NULL);
    g_autofree char *text = pw_tables[i].dup_text(archive->model, archive->options->audience);
    if (!pw_bag_put(archive->bag, name, text, strlen(text), error))
      return FALSE;
  }
  return TRUE;
}

/* Documents on their way into the bag. */
typedef struct {
  Archive *archive;
  GHashTable *found; /* const PwIssued * */
  GError **error;
  gboolean packed;
} Documents;

/* The entry of the log that says that these bytes went to the owner. */
static gboolean
went_to_owner(const PwVolume *volume, const PwKept *kept, GHashTable *found)
{
  gboolean went = FALSE;
  for (gsize i = 0; i < volume->n_issued; i++) {
    const PwIssued *issued = &volume->issued[i];
    if (g_strcmp0(issued->to, pw_audience_name(PW_FOR_OWNER)) == 0 &&
        pw_kept_is(kept, issued->sha256)) {
      g_hash_table_add(found, (gpointer)(gsize)issued);
      went = TRUE;
    }
  }
  return went;
}

static gboolean
pack_document(void *user, const PwKept *kept)
{
  Documents *documents = user;
  Archive *archive = documents->archive;
  if (!went_to_owner(pw_model_peek_volume(archive->model), kept, documents->found))
    return TRUE; /* what cannot be read is missed below */
  g_autofree char *inside = g_build_filename(PW_ISSUED_FOLDER, kept->name, NULL);
  documents->packed = pw_bag_put(archive->bag, inside, kept->data, kept->length, documents->error);
  return documents->packed;
}

static void
complain_of_missing(Archive *archive, GHashTable *found)
{
  const PwVolume *volume = pw_model_peek_volume(archive->model);
  for (gsize i = 0; i < volume->n_issued; i++) {
    const PwIssued *issued = &volume->issued[i];
    if (g_strcmp0(issued->to, pw_audience_name(PW_FOR_OWNER)) == 0 &&
        !g_hash_table_contains(found, issued))
      pw_yaml_complain(volume->yaml, issued->node, archive->complaints, "missing document",
                       PW_SEVERITY_WARNING,
                       "no file in issued/ has this checksum, so that it was not packed");
  }
}

static gboolean
pack_documents(Archive *archive, GError **error)
{
  if (pw_model_peek_volume(archive->model) == NULL)
    return TRUE;
  g_autoptr(GHashTable) found = g_hash_table_new(NULL, NULL);
  Documents documents = {archive, found, error, TRUE};
  pw_model_each_kept(archive->model, pack_document, &documents);
  if (documents.packed)
    complain_of_missing(archive, found);
  return documents.packed;
}

/* ---- Both -------------------------------------------------------------------------- */

/* No date: that of the packing is the clock's, and two runs give the same bytes (DEVELOPERS.md). */
static void
add_info(Archive *archive)
{
  const PwVolume *volume = pw_model_peek_volume(archive->model);
  const gboolean studio = archive->options->audience == PW_FOR_STUDIO;
  if (volume) {
    pw_bag_add_info(archive->bag, "Source-Organization", volume->studio_name);
    pw_bag_add_info(archive->bag, "Contact-Name", volume->studio_by);
    pw_bag_add_info(archive->bag, "External-Description", volume->title);
  }
  pw_bag_add_info(archive->bag, "External-Identifier", pw_model_peek_id(archive->model));
  pw_bag_add_info(
      archive->bag, "Internal-Sender-Description",
      pw_words_peek(archive->options->words, studio ? "bag-info-studio" : "bag-info-owner"));
}

static gboolean
pack(Archive *archive, GError **error)
{
  const PwAudience audience = archive->options->audience;
  const gboolean packed = audience == PW_FOR_STUDIO
                              ? pack_all(archive, error)
                              : pack_pictures(archive, error) && pack_tables(archive, error) &&
                                    pack_documents(archive, error);
  if (!packed)
    return FALSE;
  add_info(archive);
  g_autofree char *text = pw_read_me_dup(archive->model, archive->options->words, audience);
  archive->result->n_files = pw_bag_n_files(archive->bag);
  archive->result->n_bytes = pw_bag_n_bytes(archive->bag);
  return pw_bag_put_tag(archive->bag, PW_READ_ME_FILE, text, error) &&
         !is_stopped(archive, error) && pw_bag_finish(archive->bag, error);
}

gboolean
pw_export_bag(const PwModel *model, const PwExportBag *options, const char *path,
              PwExportBagResult *result, PwComplaints *complaints, GError **error)
{
  *result = (PwExportBagResult){0};
  if (options->audience == PW_FOR_PUBLIC) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "a bag keeps a record whole for the studio or the owner; for the public there are "
                "plates, reports and tables, which a later word of the owner can still change");
    return FALSE;
  }
  g_autoptr(PwBag) bag = lies_outside(model, path, error) ? pw_bag_new(path, error) : NULL;
  Archive archive = {model, options, bag, result, complaints};
  return bag && pack(&archive, error);
}
