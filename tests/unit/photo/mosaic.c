#include "mosaic.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <cmocka.h>

PwTiles *
tiles_of(const char *path)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *file = picture_path(MOSAIC_NAME);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &error);
  PwTiles *tiles = NULL;
  if (photo != NULL && pw_photo_write_tiles(photo, file, MOSAIC_LABEL, NULL, &error))
    tiles = pw_tiles_open(file, &error);
  if (tiles == NULL)
    fail_msg("%s: %s", path, error->message);
  return tiles;
}

PwPlane
mosaic_of(const PwTiles *tiles, guint level)
{
  const PwTilesLevel *size = &pw_tiles_peek_info(tiles)->levels[level];
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  if (!pw_tiles_read(tiles, level, 0, 0, size->width, size->height, &plane, &error))
    fail_msg("%s", error->message);
  return plane;
}
