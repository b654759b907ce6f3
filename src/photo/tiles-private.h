/* What the makers and the reader of tiles share. A file of tiles is a BigTIFF, one directory a
 * level, its tiles whole JPEGs (TIFF Technical Note 2), those at the right and lower edge filled up
 * with their last pixels. Behind each of these stands the same one cut to the picture, which is the
 * one that we read: cutting takes longer than reading.
 */
#ifndef PW_PHOTO_TILES_PRIVATE_H
#define PW_PHOTO_TILES_PRIVATE_H

#include "photo-private.h"

enum {
  PW_TILE_STRIDE = 3 * PW_TILE_PX,
  PW_TILE_PIXELS_BYTES = PW_TILE_STRIDE * PW_TILE_PX,
  PW_TILE_JPEG_BYTES_MAX = 2 * PW_TILE_PIXELS_BYTES, /* noise at quality 100 takes less */
  PW_TILES_LABEL_MAX = 200,
  /* In the range that TIFF 6.0 leaves to everyone. */
  PW_TILES_TAG_SUMS = 65101,
  PW_TILES_TAG_CUTS = 65102
};

/* ---- tile-jpeg.c ------------------------------------------------------------------- */

/* A whole tile of pixels as a JPEG; NULL when there is no memory. */
GBytes *pw_tile_encode(guint8 *pixels);
/* Whether these bytes are a baseline JPEG of that size that holds what a decoder wants and nothing
 * besides. */
gboolean pw_tile_is_sound(GBytes *jpeg, int width, int height);
/* The same JPEG with less at its right and lower edge, the coefficients as they are; NULL when it
 * is damaged. */
GBytes *pw_tile_cut(GBytes *jpeg, int width, int height);
/* A sound one, into PW_TILE_PIXELS_BYTES with rows of PW_TILE_STRIDE. FALSE when it is damaged. */
gboolean pw_tile_decode(GBytes *jpeg, guint8 *pixels);

/* ---- tiles-file.c ------------------------------------------------------------------ */

typedef struct {
  PwTilesLevel size;
  guint64 *offsets, *lengths; /* of each tile in the file, by row and column */
  guint64 *cuts;              /* lengths of those behind that are cut; 0 where none is */
  guint64 *sums;              /* that tell a damaged tile, and one of another place or picture */
} PwTilesIndex;

/* The levels of a picture; how many. */
guint pw_tiles_plan(int width, int height, PwTilesLevel levels[PW_TILES_LEVELS_MAX]);
PwTilesIndex *pw_tiles_index_new(const PwTilesLevel *levels, guint n);
void pw_tiles_index_free(PwTilesIndex *index, guint n);
/* Px of the picture in a tile of the level. */
int pw_tile_width(const PwTilesLevel *size, int column);
int pw_tile_height(const PwTilesLevel *size, int row);
/* Of tile `i` of a level, by row and column; of the cut one where there is one. */
guint64 pw_tile_sum(const char *label, guint level, const PwTilesLevel *size, gsize i,
                    GBytes *jpeg);
/* The start of the file, to be put there first and again with what `first` then is. */
gboolean pw_tiles_write_head(PwWriting *out, guint64 first, GError **error);
/* The directories; `at` is where the file ends so far, and then the place of the first of them. */
gboolean pw_tiles_write_index(PwWriting *out, const PwTilesIndex *index, guint n, const char *label,
                              guint64 *at, GError **error);
enum { PW_TILES_HEAD_BYTES = 16 };

#endif
