/* A photograph: opened once, its header and EXIF read into facts, hashed from the same
 * descriptor. What is done to its pixels stands in render.c.
 */
#include "photo-private.h"

#include <string.h>
#include <unistd.h>

enum { HASH_BLOCK = 256 * 1024 };

/* ---- Startup ----------------------------------------------------------------------- */

/* vips warns on standard error; a library does not. What matters comes back as an error. */
static void
keep_silent(const char *domain G_GNUC_UNUSED, GLogLevelFlags level G_GNUC_UNUSED,
            const char *message G_GNUC_UNUSED, gpointer user G_GNUC_UNUSED)
{
}

static gboolean
start_vips(void)
{
  static const char *const allowed[] = {"VipsForeignLoadJpeg", "VipsForeignLoadPng",
                                        "VipsForeignLoadTiff", "VipsForeignLoadHeif"};
  g_log_set_handler("VIPS", G_LOG_LEVEL_WARNING | G_LOG_LEVEL_INFO | G_LOG_LEVEL_DEBUG, keep_silent,
                    NULL);
  if (vips_init("platewright") != 0)
    return FALSE;
  vips_block_untrusted_set(TRUE);
  vips_operation_block_set("VipsForeignLoad", TRUE);
  for (gsize i = 0; i < G_N_ELEMENTS(allowed); i++)
    vips_operation_block_set(allowed[i], FALSE);
  /* A kept operation keeps its picture; of hundreds of large pictures none comes twice. */
  vips_cache_set_max(0);
  return TRUE;
}

gboolean
pw_photo_startup(GError **error)
{
  static gsize once;
  enum { STARTED = 1, FAILED = 2 };
  if (g_once_init_enter(&once))
    g_once_init_leave(&once, start_vips() ? STARTED : FAILED);
  if (once == STARTED)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "libvips cannot be started");
  return FALSE;
}

void
pw_photo_shutdown(void)
{
  vips_shutdown();
}

gboolean
pw_photo_is_name(const char *name)
{
  static const char *const endings[] = {".jpg", ".jpeg", ".tif",  ".tiff",
                                        ".png", ".heic", ".heif", ".avif"};
  const char *dot = strrchr(name, '.');
  for (gsize i = 0; dot != NULL && i < G_N_ELEMENTS(endings); i++)
    if (g_ascii_strcasecmp(dot, endings[i]) == 0)
      return TRUE;
  return FALSE;
}

/* ---- Opening ----------------------------------------------------------------------- */

static void
read_facts(PwPhoto *photo, VipsImage *header)
{
  gboolean says_adobe_rgb = FALSE;
  const void *block = NULL;
  gsize length = 0;
  if (photo->kind == PW_PHOTO_TIFF)
    pw_tiff_exif_read(photo->fd, (gint64)photo->facts.state.size, &photo->facts);
  else if (vips_image_get_typeof(header, VIPS_META_EXIF_NAME) != 0 &&
           vips_image_get_blob(header, VIPS_META_EXIF_NAME, &block, &length) == 0) {
    pw_exif_read(block, length, &photo->facts);
    says_adobe_rgb = pw_exif_says_adobe_rgb(block, length);
  }
  /* HEIF says in boxes of its own how it is turned (ISO/IEC 23008-12, 6.5.10), and its decoder
   * has done so; EXIF's word would turn it twice. */
  if (photo->kind == PW_PHOTO_HEIF)
    photo->facts.orientation = 1;
  photo->facts.colour = pw_colour_describe(header, says_adobe_rgb, &photo->colour_way);
}

static void
set_size(PwPhotoFacts *facts, const VipsImage *header)
{
  gboolean swaps = pw_orient_swaps(facts->orientation);
  facts->stored_width = header->Xsize;
  facts->stored_height = header->Ysize;
  facts->width = swaps ? header->Ysize : header->Xsize;
  facts->height = swaps ? header->Xsize : header->Ysize;
}

static gboolean
is_interlaced(VipsImage *header)
{
  int interlaced = 0;
  return vips_image_get_typeof(header, "interlaced") != 0 &&
         vips_image_get_int(header, "interlaced", &interlaced) == 0 && interlaced != 0;
}

/* A JPEG of many scans is measured before its first pixel is asked for. */
static gboolean
check_size(const PwPhoto *photo, VipsImage *header, GError **error)
{
  gint64 pixels = (gint64)header->Xsize * header->Ysize, limit = PW_PHOTO_PIXELS_MAX;
  PwJpegScans scans = {photo->kind == PW_PHOTO_HEIF || is_interlaced(header), 1};
  if (photo->kind == PW_PHOTO_JPEG)
    pw_jpeg_count_scans(photo->fd, PW_PHOTO_SCANS_MAX, &scans);
  if (scans.whole)
    limit = PW_PHOTO_WHOLE_PIXELS_MAX;
  if (pixels > limit) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%s: %d x %d pixels; at most %" G_GINT64_FORMAT " million are read of such a file",
                photo->path, header->Xsize, header->Ysize, limit / 1000000);
    return FALSE;
  }
  if (scans.scans > PW_PHOTO_SCANS_MAX || scans.scans * pixels > PW_PHOTO_SCANNED_PIXELS_MAX) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%s: the JPEG has more scans than a picture needs; it is not read", photo->path);
    return FALSE;
  }
  return TRUE;
}

static gboolean
read_header(PwPhoto *photo, GError **error)
{
  static const char *const formats[] = {"JPEG", "PNG", "TIFF", "HEIF"};
  photo->kind = pw_photo_sniff(photo->fd);
  if (photo->kind == PW_PHOTO_UNKNOWN) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: not a JPEG, PNG, TIFF or HEIF picture",
                photo->path);
    return FALSE;
  }
  VipsImage *header = pw_photo_load(photo, 1, error);
  if (header == NULL)
    return FALSE;
  gboolean ok = pw_colour_is_readable(header);
  if (!ok)
    g_set_error(
        error, PW_ERROR, PW_ERROR_FILE,
        "%s: its samples are of a kind that is not read; save it with 8 or 16 bits a channel",
        photo->path);
  ok = ok && check_size(photo, header, error);
  if (ok) {
    read_facts(photo, header);
    set_size(&photo->facts, header);
    photo->facts.format = g_strdup(formats[photo->kind]);
  }
  g_object_unref(header);
  return ok;
}

PwPhoto *
pw_photo_open(const char *path, GError **error)
{
  g_autoptr(PwPhoto) photo = g_new0(PwPhoto, 1);
  pw_photo_facts_init(&photo->facts);
  photo->path = g_strdup(path);
  photo->fd = pw_file_open(path, &photo->facts.state, error);
  if (photo->fd < 0)
    return NULL;
  gboolean ok = read_header(photo, error) && pw_photo_is_unchanged(photo, error);
  /* Whatever thread this is, vips keeps nothing of it. */
  vips_thread_shutdown();
  return ok ? g_steal_pointer(&photo) : NULL;
}

void
pw_photo_free(PwPhoto *photo)
{
  if (photo == NULL)
    return;
  if (photo->fd >= 0)
    close(photo->fd);
  g_free(photo->path);
  pw_photo_facts_clear(&photo->facts);
  g_free(photo);
}

const PwPhotoFacts *
pw_photo_peek_facts(const PwPhoto *photo)
{
  return &photo->facts;
}

/* ---- Hashing ----------------------------------------------------------------------- */

char *
pw_photo_dup_sha256(PwPhoto *photo, GError **error)
{
  g_autoptr(PwSha256) sum = pw_sha256_new();
  g_autofree guint8 *block = g_malloc(HASH_BLOCK);
  gint64 at = 0;
  gssize got;
  while ((got = pw_photo_read_at(photo->fd, block, HASH_BLOCK, at)) > 0) {
    pw_sha256_add(sum, block, (gsize)got);
    at += got;
  }
  if (got < 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: cannot be read", photo->path);
    return NULL;
  }
  if (!pw_photo_is_unchanged(photo, error))
    return NULL;
  return pw_sha256_take_hex(sum);
}
