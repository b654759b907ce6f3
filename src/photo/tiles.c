/* A file of tiles, read. All that its directories say is checked when it is opened and then kept;
 * of the file only the descriptor stays, and tiles are read from their places with pread: nothing
 * is changed afterwards, so that threads need not wait for each other.
 */
#include "tiff-open.h"
#include "tiles-private.h"

#include <string.h>
#include <unistd.h>

struct PwTiles {
  char *path; /* for messages */
  int fd;
  gint64 size;
  char *label;
  PwTilesInfo info;
  PwTilesIndex *index;
};

/* ---- Opening ----------------------------------------------------------------------- */

static gboolean
has_short(TIFF *tiff, guint32 tag, guint16 wanted)
{
  guint16 value = 0;
  return TIFFGetFieldDefaulted(tiff, tag, &value) == 1 && value == wanted;
}

static gboolean
has_long(TIFF *tiff, guint32 tag, guint32 wanted)
{
  guint32 value = 0;
  return TIFFGetField(tiff, tag, &value) == 1 && value == wanted;
}

static gboolean
is_level(TIFF *tiff, const PwTilesLevel *level)
{
  return has_long(tiff, TIFFTAG_IMAGEWIDTH, (guint32)level->width) &&
         has_long(tiff, TIFFTAG_IMAGELENGTH, (guint32)level->height) &&
         has_long(tiff, TIFFTAG_TILEWIDTH, PW_TILE_PX) &&
         has_long(tiff, TIFFTAG_TILELENGTH, PW_TILE_PX) &&
         has_short(tiff, TIFFTAG_COMPRESSION, COMPRESSION_JPEG) &&
         has_short(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_YCBCR) &&
         has_short(tiff, TIFFTAG_BITSPERSAMPLE, 8) && has_short(tiff, TIFFTAG_SAMPLESPERPIXEL, 3) &&
         has_short(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
}

/* A list under a tag of our own, which libtiff knows only as so many numbers of eight bytes. */
static gboolean
read_list(TIFF *tiff, guint32 tag, guint64 *list, gsize n)
{
  const TIFFField *field = TIFFFindField(tiff, tag, TIFF_LONG8);
  guint32 count = 0;
  const guint64 *values = NULL;
  if (field == NULL || !TIFFFieldPassCount(field) || TIFFFieldReadCount(field) != TIFF_VARIABLE2 ||
      TIFFGetField(tiff, tag, &count, &values) != 1 || count != n || values == NULL)
    return FALSE;
  memcpy(list, values, n * sizeof *list);
  return TRUE;
}

static gboolean
is_within(guint64 offset, guint64 length, guint64 end)
{
  return length > 0 && length <= PW_TILE_JPEG_BYTES_MAX && length <= end && offset <= end - length;
}

/* A tile that is less than whole has a cut one behind it, no other has. */
static gboolean
is_place(const PwTilesIndex *index, gsize i, guint64 file_size)
{
  int column = (int)(i % (gsize)index->size.columns), row = (int)(i / (gsize)index->size.columns);
  gboolean whole = pw_tile_width(&index->size, column) == PW_TILE_PX &&
                   pw_tile_height(&index->size, row) == PW_TILE_PX;
  guint64 offset = index->offsets[i], length = index->lengths[i], cut = index->cuts[i];
  return is_within(offset, length, file_size) &&
         (whole ? cut == 0 : is_within(offset + length, cut, file_size));
}

static gboolean
read_places(TIFF *tiff, PwTilesIndex *index, gsize n, guint64 file_size)
{
  for (gsize i = 0; i < n; i++) {
    int missing = 0;
    index->offsets[i] = TIFFGetStrileOffsetWithErr(tiff, (guint32)i, &missing);
    if (!missing)
      index->lengths[i] = TIFFGetStrileByteCountWithErr(tiff, (guint32)i, &missing);
    if (missing || !is_place(index, i, file_size))
      return FALSE;
  }
  return TRUE;
}

static gboolean
read_level(TIFF *tiff, PwTilesIndex *index, gint64 file_size)
{
  gsize n = (gsize)index->size.columns * (gsize)index->size.rows;
  return is_level(tiff, &index->size) && TIFFNumberOfTiles(tiff) == n &&
         read_list(tiff, PW_TILES_TAG_SUMS, index->sums, n) &&
         read_list(tiff, PW_TILES_TAG_CUTS, index->cuts, n) &&
         read_places(tiff, index, n, (guint64)file_size);
}

/* The size of the whole, from which all else follows. */
static gboolean
read_plan(PwTiles *tiles, TIFF *tiff)
{
  guint32 width = 0, height = 0;
  const char *label = NULL;
  if (TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &width) != 1 ||
      TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height) != 1 || width < 1 || height < 1 ||
      width > PW_TILES_SIDE_MAX || height > PW_TILES_SIDE_MAX ||
      (guint64)width * height > PW_PHOTO_PIXELS_MAX ||
      TIFFGetField(tiff, TIFFTAG_IMAGEDESCRIPTION, &label) != 1 || label == NULL ||
      strlen(label) > PW_TILES_LABEL_MAX || !g_str_is_ascii(label))
    return FALSE;
  tiles->info.label = tiles->label = g_strdup(label);
  tiles->info.n_levels = pw_tiles_plan((int)width, (int)height, tiles->info.levels);
  tiles->index = pw_tiles_index_new(tiles->info.levels, tiles->info.n_levels);
  return TRUE;
}

static gboolean
read_directories(PwTiles *tiles)
{
  PwTiffReader reader = {tiles->fd, 0, tiles->size};
  TIFF *tiff = pw_tiff_open(&reader);
  if (tiff == NULL)
    return FALSE;
  gboolean ok = read_plan(tiles, tiff);
  for (guint i = 0; ok && i < tiles->info.n_levels; i++)
    ok =
        (i == 0 || TIFFReadDirectory(tiff) == 1) && read_level(tiff, &tiles->index[i], tiles->size);
  ok = ok && TIFFLastDirectory(tiff) != 0;
  TIFFClose(tiff);
  return ok;
}

static void
set_damaged(const PwTiles *tiles, GError **error)
{
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: damaged, or no file of tiles", tiles->path);
}

PwTiles *
pw_tiles_open(const char *path, GError **error)
{
  g_autoptr(PwTiles) tiles = g_new0(PwTiles, 1);
  PwFileState state;
  tiles->path = g_strdup(path);
  tiles->fd = pw_file_open(path, &state, error);
  if (tiles->fd < 0)
    return NULL;
  tiles->size = (gint64)state.size;
  if (!read_directories(tiles)) {
    set_damaged(tiles, error);
    return NULL;
  }
  return g_steal_pointer(&tiles);
}

void
pw_tiles_free(PwTiles *tiles)
{
  if (tiles == NULL)
    return;
  if (tiles->fd >= 0)
    close(tiles->fd);
  pw_tiles_index_free(tiles->index, tiles->info.n_levels);
  g_free(tiles->label);
  g_free(tiles->path);
  g_free(tiles);
}

const PwTilesInfo *
pw_tiles_peek_info(const PwTiles *tiles)
{
  return &tiles->info;
}

/* ---- One tile ---------------------------------------------------------------------- */

static GBytes *
read_tile(const PwTiles *tiles, guint level, int column, int row, GError **error)
{
  const PwTilesIndex *index = &tiles->index[level];
  gsize i = (gsize)row * (gsize)index->size.columns + (gsize)column;
  guint64 offset = index->offsets[i] + (index->cuts[i] > 0 ? index->lengths[i] : 0);
  gsize length = (gsize)(index->cuts[i] > 0 ? index->cuts[i] : index->lengths[i]);
  guint8 *bytes = g_malloc(length);
  gssize got = pw_photo_read_at(tiles->fd, bytes, length, (gint64)offset);
  g_autoptr(GBytes) jpeg = g_bytes_new_take(bytes, length);
  if (got == (gssize)length &&
      pw_tile_sum(tiles->label, level, &index->size, i, jpeg) == index->sums[i] &&
      pw_tile_is_sound(jpeg, pw_tile_width(&index->size, column),
                       pw_tile_height(&index->size, row)))
    return g_steal_pointer(&jpeg);
  set_damaged(tiles, error);
  return NULL;
}

GBytes *
pw_tiles_dup_jpeg(const PwTiles *tiles, guint level, int column, int row, GError **error)
{
  const PwTilesLevel *size = &tiles->info.levels[MIN(level, PW_TILES_LEVELS_MAX - 1)];
  if (level < tiles->info.n_levels && column >= 0 && row >= 0 && column < size->columns &&
      row < size->rows)
    return read_tile(tiles, level, column, row, error);
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s has no such tile", tiles->path);
  return NULL;
}

gboolean
pw_tiles_check(const PwTiles *tiles, GError **error)
{
  for (guint level = 0; level < tiles->info.n_levels; level++)
    for (int row = 0; row < tiles->info.levels[level].rows; row++)
      for (int column = 0; column < tiles->info.levels[level].columns; column++) {
        GBytes *jpeg = read_tile(tiles, level, column, row, error);
        if (jpeg == NULL)
          return FALSE;
        g_bytes_unref(jpeg);
      }
  return TRUE;
}

/* ---- A part of a level ------------------------------------------------------------- */

typedef struct {
  const PwTiles *tiles;
  guint level;
  VipsRect part;          /* px of the level */
  int left, top, columns; /* tiles that it touches */
  PwPlane *plane;
  GError **errors; /* of each tile */
} Reading;

static void
copy_part(const Reading *reading, int column, int row, const guint8 *pixels)
{
  VipsRect here = {column * PW_TILE_PX, row * PW_TILE_PX, PW_TILE_PX, PW_TILE_PX};
  const VipsRect *part = &reading->part;
  VipsRect common;
  vips_rect_intersectrect(&here, part, &common);
  for (int y = common.top; y < VIPS_RECT_BOTTOM(&common); y++)
    memcpy(reading->plane->pixels + (gsize)(y - part->top) * reading->plane->stride +
               (gsize)(common.left - part->left) * 3,
           pixels + (gsize)(y - here.top) * PW_TILE_STRIDE + (gsize)(common.left - here.left) * 3,
           (gsize)common.width * 3);
}

static void
read_one(void *user, guint i)
{
  Reading *reading = user;
  int column = reading->left + (int)i % reading->columns;
  int row = reading->top + (int)i / reading->columns;
  g_autoptr(GBytes) jpeg =
      read_tile(reading->tiles, reading->level, column, row, &reading->errors[i]);
  if (jpeg == NULL)
    return;
  g_autofree guint8 *pixels = g_malloc(PW_TILE_PIXELS_BYTES);
  if (pw_tile_decode(jpeg, pixels))
    copy_part(reading, column, row, pixels);
  else
    set_damaged(reading->tiles, &reading->errors[i]);
}

static gboolean
read_all(Reading *reading, guint n, GError **error)
{
  reading->errors = g_new0(GError *, n);
  pw_each(n, 0, read_one, reading);
  GError *first = NULL;
  for (guint i = 0; i < n; i++)
    if (first == NULL)
      first = reading->errors[i];
    else
      g_clear_error(&reading->errors[i]);
  g_free(reading->errors);
  if (first != NULL)
    g_propagate_error(error, first);
  return first == NULL;
}

gboolean
pw_tiles_read(const PwTiles *tiles, guint level, int x, int y, int width, int height,
              PwPlane *plane, GError **error)
{
  *plane = (PwPlane){0};
  const PwTilesLevel *size = &tiles->info.levels[MIN(level, PW_TILES_LEVELS_MAX - 1)];
  if (level >= tiles->info.n_levels || x < 0 || y < 0 || width < 1 || height < 1 ||
      width > size->width || x > size->width - width || height > size->height ||
      y > size->height - height || (gint64)width * height > PW_TILES_READ_PIXELS_MAX) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s has no such part", tiles->path);
    return FALSE;
  }
  gsize stride = 3 * (gsize)width;
  *plane = (PwPlane){g_malloc(stride * (gsize)height), width, height, 3, stride};
  Reading reading = {.tiles = tiles, .level = level, .part = {x, y, width, height}, .plane = plane};
  reading.left = x / PW_TILE_PX;
  reading.top = y / PW_TILE_PX;
  reading.columns = (x + width - 1) / PW_TILE_PX - reading.left + 1;
  int rows = (y + height - 1) / PW_TILE_PX - reading.top + 1;
  if (read_all(&reading, (guint)(reading.columns * rows), error))
    return TRUE;
  pw_plane_clear(plane);
  return FALSE;
}
