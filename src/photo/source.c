/* One descriptor, many readers: a vips source that reads with pread and keeps its own place, so
 * that hashing and several renderings of one photograph do not move each other's offset. Offsets
 * in bytes from the start of the file.
 */
#include "photo-private.h"

#include <errno.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct {
  VipsSource parent;
  int fd;
  gint64 at;
} PwSource;
typedef struct {
  VipsSourceClass parent_class;
} PwSourceClass;

static GType pw_source_get_type(void);
G_DEFINE_TYPE(PwSource, pw_source, VIPS_TYPE_SOURCE)

static gint64
source_read(VipsSource *base, void *to, size_t length)
{
  PwSource *source = (PwSource *)base;
  gssize got = pw_photo_read_at(source->fd, to, length, source->at);
  if (got > 0)
    source->at += got;
  return got;
}

static gint64
source_seek(VipsSource *base, gint64 offset, int whence)
{
  PwSource *source = (PwSource *)base;
  gint64 from = 0, target;
  struct stat file;
  if (whence == SEEK_CUR)
    from = source->at;
  else if (whence == SEEK_END) {
    if (fstat(source->fd, &file) != 0)
      return -1;
    from = file.st_size;
  }
  if (__builtin_add_overflow(from, offset, &target) || target < 0) {
    errno = EINVAL;
    return -1;
  }
  return source->at = target;
}

static void
pw_source_class_init(PwSourceClass *class)
{
  VipsSourceClass *source_class = VIPS_SOURCE_CLASS(class);
  VIPS_OBJECT_CLASS(class)->nickname = "photo_source";
  VIPS_OBJECT_CLASS(class)->description = "a photograph opened once";
  source_class->read = source_read;
  source_class->seek = source_seek;
}

static void
pw_source_init(PwSource *source)
{
  source->fd = -1;
}

gssize
pw_photo_read_at(int fd, void *to, gsize length, gint64 offset)
{
  gsize done = 0;
  while (done < length) {
    ssize_t got = pread(fd, (char *)to + done, length - done, (off_t)offset + (off_t)done);
    if (got < 0 && errno == EINTR)
      continue;
    if (got < 0)
      return -1;
    if (got == 0)
      break;
    done += (gsize)got;
  }
  return (gssize)done;
}

VipsSource *
pw_photo_source_new(int fd)
{
  PwSource *source = g_object_new(pw_source_get_type(), NULL);
  source->fd = fd;
  if (vips_object_build(VIPS_OBJECT(source)) != 0) {
    g_object_unref(source);
    return NULL;
  }
  return VIPS_SOURCE(source);
}
