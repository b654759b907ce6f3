/* TIFF files opened by libtiff from a descriptor: nothing mapped, nothing printed. */
#include "tiff-open.h"

static tmsize_t
reader_read(thandle_t handle, void *to, tmsize_t length)
{
  PwTiffReader *reader = handle;
  gssize got = pw_photo_read_at(reader->fd, to, (gsize)length, reader->at);
  if (got > 0)
    reader->at += got;
  return got;
}

static tmsize_t
reader_write(thandle_t handle G_GNUC_UNUSED, void *from G_GNUC_UNUSED,
             tmsize_t length G_GNUC_UNUSED)
{
  return -1;
}

static toff_t
reader_seek(thandle_t handle, toff_t offset, int whence)
{
  PwTiffReader *reader = handle;
  toff_t from = whence == SEEK_CUR   ? (toff_t)reader->at
                : whence == SEEK_END ? (toff_t)reader->size
                                     : 0;
  toff_t target;
  if (__builtin_add_overflow(from, offset, &target) || target > G_MAXINT64)
    return (toff_t)-1;
  reader->at = (gint64)target;
  return target;
}

static int
reader_close(thandle_t handle G_GNUC_UNUSED)
{
  return 0;
}

static toff_t
reader_size(thandle_t handle)
{
  return (toff_t)((PwTiffReader *)handle)->size;
}

/* libtiff's own voice would go to standard error; what cannot be read is simply not told. */
static int
keep_silent(TIFF *tiff G_GNUC_UNUSED, void *user G_GNUC_UNUSED, const char *module G_GNUC_UNUSED,
            const char *format G_GNUC_UNUSED, va_list arguments G_GNUC_UNUSED)
{
  return 1;
}

TIFF *
pw_tiff_open(PwTiffReader *reader)
{
  TIFFOpenOptions *options = TIFFOpenOptionsAlloc();
  if (options == NULL)
    return NULL;
  TIFFOpenOptionsSetErrorHandlerExtR(options, keep_silent, NULL);
  TIFFOpenOptionsSetWarningHandlerExtR(options, keep_silent, NULL);
  TIFFOpenOptionsSetMaxSingleMemAlloc(options, PW_PHOTO_EXIF_BYTES_MAX);
  /* m: no mapping; D, O: the lists of strips are left unread. */
  TIFF *tiff = TIFFClientOpenExt("photograph", "rmDO", reader, reader_read, reader_write,
                                 reader_seek, reader_close, reader_size, NULL, NULL, options);
  TIFFOpenOptionsFree(options);
  return tiff;
}
