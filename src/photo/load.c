/* Loading: which of the four decoders a file goes to, decided by its first bytes, and what the
 * decoder is allowed. Pixels here are stored pixels.
 */
#include "photo-private.h"

#include <string.h>

static gboolean
is_heif_brand(const guint8 *brand)
{
  static const char brands[][5] = {"heic", "heix", "heim", "heis", "hevc",
                                   "hevx", "mif1", "msf1", "avif", "avis"};
  for (gsize i = 0; i < G_N_ELEMENTS(brands); i++)
    if (memcmp(brand, brands[i], 4) == 0)
      return TRUE;
  return FALSE;
}

/* ISO/IEC 14496-12, 4.3: a file type box with its major brand and, past a version, others. */
static gboolean
is_heif(const guint8 *head, gsize length)
{
  if (length < 16 || memcmp(head + 4, "ftyp", 4) != 0)
    return FALSE;
  gsize box = (gsize)head[2] << 8 | head[3];
  gboolean found = is_heif_brand(head + 8);
  for (gsize at = 16; at + 4 <= MIN(box, length) && !found; at += 4)
    found = is_heif_brand(head + at);
  return found;
}

PwPhotoKind
pw_photo_sniff(int fd)
{
  static const guint8 png[8] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
  guint8 head[64] = {0};
  gssize got = pw_photo_read_at(fd, head, sizeof head, 0);
  if (got < 4)
    return PW_PHOTO_UNKNOWN;
  if (head[0] == 0xFF && head[1] == 0xD8 && head[2] == 0xFF)
    return PW_PHOTO_JPEG;
  if (memcmp(head, png, sizeof png) == 0)
    return PW_PHOTO_PNG;
  /* TIFF 6.0, section 2; 43 is BigTIFF. */
  if (memcmp(head, "II*\0", 4) == 0 || memcmp(head, "MM\0*", 4) == 0 ||
      memcmp(head, "II+\0", 4) == 0 || memcmp(head, "MM\0+", 4) == 0)
    return PW_PHOTO_TIFF;
  return is_heif(head, (gsize)got) ? PW_PHOTO_HEIF : PW_PHOTO_UNKNOWN;
}

char *
pw_photo_dup_why(void)
{
  g_autofree char *log = vips_error_buffer_copy();
  /* The first line is the cause, what follows is who passed it on. */
  log[strcspn(log, "\n")] = '\0';
  char *why = pw_dup_printable(log);
  if (*why != '\0')
    return why;
  g_free(why);
  return g_strdup("no reason given");
}

void
pw_photo_set_error(const PwPhoto *photo, GError **error)
{
  g_autofree char *why = pw_photo_dup_why();
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: damaged or incomplete; it cannot be read (%s)",
              photo->path, why);
}

gboolean
pw_photo_is_unchanged(const PwPhoto *photo, GError **error)
{
  PwFileState now;
  if (pw_file_state_of_fd(photo->fd, &now) && now.size == photo->facts.state.size &&
      now.modified_ns == photo->facts.state.modified_ns)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_STALE, "%s: changed while it was being read", photo->path);
  return FALSE;
}

/* The header was read when the file was opened: what has been put in its place since then would not
 * fit what was made for it. */
gboolean
pw_photo_is_as_opened(const PwPhoto *photo, const VipsImage *rgb, GError **error)
{
  if (!pw_photo_is_unchanged(photo, error))
    return FALSE;
  if (rgb->Xsize == photo->facts.stored_width && rgb->Ysize == photo->facts.stored_height &&
      rgb->Bands == 3 && rgb->BandFmt == VIPS_FORMAT_UCHAR)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: its pixels are not as its header says",
              photo->path);
  return FALSE;
}

/* A truncated file must be an error, never a picture that is grey from some row on. */
VipsImage *
pw_photo_load(PwPhoto *photo, int shrink, GError **error)
{
  VipsImage *image = NULL;
  VipsSource *source = pw_photo_source_new(photo->fd);
  int result = -1;
  if (source != NULL && photo->kind == PW_PHOTO_JPEG)
    result = vips_jpegload_source(source, &image, "shrink", shrink, "access",
                                  VIPS_ACCESS_SEQUENTIAL, "fail_on", VIPS_FAIL_ON_ERROR, NULL);
  else if (source != NULL && photo->kind == PW_PHOTO_PNG)
    result = vips_pngload_source(source, &image, "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                 VIPS_FAIL_ON_ERROR, NULL);
  else if (source != NULL && photo->kind == PW_PHOTO_TIFF)
    result = vips_tiffload_source(source, &image, "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                  VIPS_FAIL_ON_ERROR, NULL);
  else if (source != NULL)
    result = vips_heifload_source(source, &image, "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                  VIPS_FAIL_ON_ERROR, NULL);
  VIPS_UNREF(source);
  if (result != 0) {
    pw_photo_set_error(photo, error);
    return NULL;
  }
  return image;
}
