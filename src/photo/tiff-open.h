/* How this folder opens a TIFF to look at its directories. */
#ifndef PW_PHOTO_TIFF_OPEN_H
#define PW_PHOTO_TIFF_OPEN_H

#include "photo-private.h"

#include <stdio.h>
#include <tiffio.h>

typedef struct {
  int fd;
  gint64 at, size;
} PwTiffReader;

/* The first directory; lists of strips and tiles are read when they are asked for. NULL for what is
 * no TIFF. `reader` must outlive it. */
TIFF *pw_tiff_open(PwTiffReader *reader);

#endif
