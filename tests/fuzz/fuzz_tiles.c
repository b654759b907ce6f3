/* Fuzz target: any bytes as a file of tiles out of the cache, or, where they begin like a JPEG, as
 * one tile of such a file: opened or refused; what was opened tells sizes within the limits, and
 * each of its tiles can be read or is damaged. */
#include "photo/tiles-private.h"

#include <stdint.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_TILES = 64 /* read of one level: a mutated size may ask for thousands */ };

static const char *
file_path(void)
{
  static char *path;
  if (path == NULL) {
    int fd = g_file_open_tmp("platewright-fuzz-XXXXXX", &path, NULL);
    g_assert(fd >= 0);
    close(fd);
  }
  return path;
}

static void
read_level(const PwTiles *tiles, guint level, const PwTilesLevel *size)
{
  PwPlane plane;
  g_assert(size->width >= 1 && size->width <= PW_TILES_SIDE_MAX && size->height >= 1 &&
           size->height <= PW_TILES_SIDE_MAX);
  int n = MIN(MOST_TILES, size->columns * size->rows);
  for (int i = 0; i < n; i++) {
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) jpeg =
        pw_tiles_dup_jpeg(tiles, level, i % size->columns, i / size->columns, &error);
    g_assert((jpeg != NULL) == (error == NULL));
  }
  g_autoptr(GError) error = NULL;
  gboolean ok = pw_tiles_read(tiles, level, 0, 0, MIN(size->width, 1100), MIN(size->height, 1100),
                              &plane, &error);
  g_assert(ok == (error == NULL) && ok == (plane.pixels != NULL));
  pw_plane_clear(&plane);
}

static void
read_file(const uint8_t *data, size_t size)
{
  FILE *file = fopen(file_path(), "wb");
  g_assert(file != NULL && fwrite(data, 1, size, file) == size && fclose(file) == 0);
  g_autoptr(GError) error = NULL;
  g_autoptr(PwTiles) tiles = pw_tiles_open(file_path(), &error);
  unlink(file_path());
  g_assert((tiles != NULL) == (error == NULL));
  if (tiles == NULL)
    return;
  const PwTilesInfo *info = pw_tiles_peek_info(tiles);
  g_assert(info->n_levels >= 1 && info->n_levels <= PW_TILES_LEVELS_MAX);
  for (guint level = 0; level < info->n_levels; level++)
    read_level(tiles, level, &info->levels[level]);
}

/* The sums keep mutated tiles of a file from being looked at any further. */
static void
read_tile(const uint8_t *data, size_t size)
{
  g_autoptr(GBytes) jpeg = g_bytes_new(data, size);
  if (!pw_tile_is_sound(jpeg, PW_TILE_PX, PW_TILE_PX))
    return;
  g_autofree guint8 *pixels = g_malloc(PW_TILE_PIXELS_BYTES);
  pw_tile_decode(jpeg, pixels);
  g_autoptr(GBytes) cut = pw_tile_cut(jpeg, 1 + data[size - 1], 1 + data[size / 2]);
  g_assert(cut == NULL || g_bytes_get_size(cut) > 0);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  if (size > 2 && data[0] == 0xFF && data[1] == 0xD8)
    read_tile(data, size);
  else
    read_file(data, size);
  return 0;
}
