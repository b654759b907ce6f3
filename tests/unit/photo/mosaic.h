/* Tiles made of a photograph, and put together again. */
#ifndef PW_TEST_MOSAIC_H
#define PW_TEST_MOSAIC_H

#include "pictures.h"

#define MOSAIC_LABEL "platewright test"
#define MOSAIC_NAME "tiles" /* of the file, in the folder of pictures */

/* Fails the test when they cannot be made or read. */
PwTiles *tiles_of(const char *path);
/* A whole level; yours to clear. */
PwPlane mosaic_of(const PwTiles *tiles, guint level);

#endif
