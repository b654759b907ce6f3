/* Tiles are made while the photograph streams by: its stored rows go straight to their upright
 * places in the tiles of level 0. A tile that is full is encoded, put into the file, and gives a
 * quarter of its pixels to the tile above it, which waits for its other three. What is held is one
 * row of tiles of each level (a column, where the picture is turned).
 */
#include "tiles-private.h"

#include <string.h>

/* Pixels of a run that is put at once, so that a quarter turn writes to few pages of memory. */
enum { RUN_PX = 64, HALF_TILE_PX = PW_TILE_PX / 2 };

typedef struct Tile Tile;
struct Tile {
  guint level;
  int column, row;
  int width, height; /* px of the picture in it */
  guint waiting;     /* for so many pixels, or above level 0 for so many tiles below it */
  Tile *above;
  guint8 *pixels;
  GBytes *jpeg, *cut; /* `cut` NULL for a whole tile */
};

typedef struct {
  const PwPhotoFacts *facts;
  const char *label;
  const gint *stop; /* or NULL */
  PwWriting *out;
  guint64 at; /* where the file ends so far */
  guint n_levels;
  PwTilesLevel levels[PW_TILES_LEVELS_MAX];
  Tile **begun[PW_TILES_LEVELS_MAX]; /* by row and column; NULL before and after */
  PwTilesIndex *index;
  GPtrArray *full; /* Tile *, of one level */
  GError *error;
} Build;

/* ---- Tiles ------------------------------------------------------------------------- */

static gsize
place_of(const PwTilesLevel *level, int column, int row)
{
  return (gsize)row * (gsize)level->columns + (gsize)column;
}

static guint
n_below(const Build *build, guint level, int column, int row)
{
  const PwTilesLevel *below = &build->levels[level - 1];
  int across = MIN(2, below->columns - 2 * column), down = MIN(2, below->rows - 2 * row);
  return (guint)(across * down);
}

static Tile *
tile_at(Build *build, guint level, int column, int row)
{
  const PwTilesLevel *size = &build->levels[level];
  Tile **place = &build->begun[level][place_of(size, column, row)];
  if (*place != NULL)
    return *place;
  Tile *tile = g_new0(Tile, 1);
  tile->level = level;
  tile->column = column;
  tile->row = row;
  tile->width = pw_tile_width(size, column);
  tile->height = pw_tile_height(size, row);
  tile->waiting =
      level == 0 ? (guint)(tile->width * tile->height) : n_below(build, level, column, row);
  tile->pixels = g_malloc(PW_TILE_PIXELS_BYTES);
  return *place = tile;
}

static void
tile_free(Build *build, Tile *tile)
{
  if (tile == NULL)
    return;
  build->begun[tile->level][place_of(&build->levels[tile->level], tile->column, tile->row)] = NULL;
  g_clear_pointer(&tile->jpeg, g_bytes_unref);
  g_clear_pointer(&tile->cut, g_bytes_unref);
  g_free(tile->pixels);
  g_free(tile);
}

static void
fill_up(Build *build, Tile *tile, guint by)
{
  tile->waiting -= by;
  if (tile->waiting == 0)
    g_ptr_array_add(build->full, tile);
}

/* ---- From level to level ----------------------------------------------------------- */

/* What lies beyond the picture is its last column and row again, so that no other colour bleeds in
 * from there. */
static void
pad(Tile *tile)
{
  for (int y = 0; y < tile->height; y++) {
    guint8 *row = tile->pixels + (gsize)y * PW_TILE_STRIDE;
    for (int x = tile->width; x < PW_TILE_PX; x++)
      memcpy(row + 3 * x, row + 3 * (tile->width - 1), 3);
  }
  const guint8 *last = tile->pixels + (gsize)(tile->height - 1) * PW_TILE_STRIDE;
  for (int y = tile->height; y < PW_TILE_PX; y++)
    memcpy(tile->pixels + (gsize)y * PW_TILE_STRIDE, last, PW_TILE_STRIDE);
}

/* The means of two by two pixels, into the quarter of the tile above that is this one's. */
static void
shrink_into(const Tile *tile, Tile *above)
{
  guint8 *quarter = above->pixels + (gsize)(tile->row % 2) * HALF_TILE_PX * PW_TILE_STRIDE +
                    (gsize)(tile->column % 2) * HALF_TILE_PX * 3;
  for (int y = 0; y < HALF_TILE_PX; y++) {
    const guint8 *a = tile->pixels + (gsize)(2 * y) * PW_TILE_STRIDE, *b = a + PW_TILE_STRIDE;
    guint8 *to = quarter + (gsize)y * PW_TILE_STRIDE;
    for (int x = 0; x < HALF_TILE_PX; x++, a += 6, b += 6, to += 3)
      for (int c = 0; c < 3; c++)
        to[c] = (guint8)((a[c] + a[c + 3] + b[c] + b[c + 3] + 2) >> 2);
  }
}

static gboolean
is_cut(const Tile *tile)
{
  return tile->width < PW_TILE_PX || tile->height < PW_TILE_PX;
}

/* On any thread: each tile writes to a quarter of its own. */
static void
finish_one(void *user, guint i)
{
  Tile *tile = g_ptr_array_index((GPtrArray *)user, i);
  pad(tile);
  tile->jpeg = pw_tile_encode(tile->pixels);
  if (tile->jpeg != NULL && is_cut(tile))
    tile->cut = pw_tile_cut(tile->jpeg, tile->width, tile->height);
  if (tile->above != NULL)
    shrink_into(tile, tile->above);
}

static gboolean
append(Build *build, GBytes *jpeg)
{
  gsize length = 0;
  const void *bytes = g_bytes_get_data(jpeg, &length);
  build->at += length;
  return pw_writing_add(build->out, bytes, length, &build->error);
}

static gboolean
put_into_file(Build *build, const Tile *tile)
{
  PwTilesIndex *index = &build->index[tile->level];
  gsize i = place_of(&index->size, tile->column, tile->row);
  if (tile->jpeg == NULL || (is_cut(tile) && tile->cut == NULL)) {
    g_set_error(&build->error, PW_ERROR, PW_ERROR_LIMIT, "a tile could not be made: no memory");
    return FALSE;
  }
  GBytes *shown = tile->cut != NULL ? tile->cut : tile->jpeg;
  index->offsets[i] = build->at;
  index->lengths[i] = g_bytes_get_size(tile->jpeg);
  index->cuts[i] = tile->cut != NULL ? g_bytes_get_size(tile->cut) : 0;
  index->sums[i] = pw_tile_sum(build->label, tile->level, &index->size, i, shown);
  return append(build, tile->jpeg) && (tile->cut == NULL || append(build, tile->cut));
}

/* The full tiles of one level leave; those that they fill up on the next one are then the full. */
static gboolean
finish_full(Build *build)
{
  g_autoptr(GPtrArray) full = g_steal_pointer(&build->full);
  build->full = g_ptr_array_new();
  for (guint i = 0; i < full->len; i++) {
    Tile *tile = full->pdata[i];
    if (tile->level + 1 < build->n_levels)
      tile->above = tile_at(build, tile->level + 1, tile->column / 2, tile->row / 2);
  }
  pw_each(full->len, 0, finish_one, full);
  gboolean ok = TRUE;
  for (guint i = 0; i < full->len; i++) {
    Tile *tile = full->pdata[i];
    ok = ok && put_into_file(build, tile);
    if (tile->above != NULL)
      fill_up(build, tile->above, 1);
    tile_free(build, tile);
  }
  return ok;
}

/* ---- From the photograph ----------------------------------------------------------- */

/* A run of stored pixels that lies in one tile: from (x, y), upright going (step_x, step_y) each.
 */
typedef struct {
  int x, y, step_x, step_y, n;
} Run;

static Run
find_run(const PwPhotoFacts *facts, int x, int y, int most)
{
  PwPx from = pw_photo_facts_upright(facts, (PwPx){x + 0.5, y + 0.5});
  PwPx to = pw_photo_facts_upright(facts, (PwPx){x + 1.5, y + 0.5});
  Run run = {(int)from.x, (int)from.y, (int)(to.x - from.x), (int)(to.y - from.y), 0};
  int along = run.step_x != 0 ? run.x : run.y, inside = along % PW_TILE_PX;
  int room = run.step_x + run.step_y > 0 ? PW_TILE_PX - inside : inside + 1;
  run.n = MIN(MIN(room, most), RUN_PX);
  return run;
}

static void
put_run(Build *build, const Run *run, const guint8 *rgb)
{
  Tile *tile = tile_at(build, 0, run->x / PW_TILE_PX, run->y / PW_TILE_PX);
  const int step = run->step_y * PW_TILE_STRIDE + run->step_x * 3;
  guint8 *to = tile->pixels + (run->y % PW_TILE_PX) * PW_TILE_STRIDE + (run->x % PW_TILE_PX) * 3;
  for (int i = 0; i < run->n; i++, to += step, rgb += 3) {
    to[0] = rgb[0];
    to[1] = rgb[1];
    to[2] = rgb[2];
  }
  fill_up(build, tile, (guint)run->n);
}

/* How far a run goes depends on where it begins along the stored row alone. After a failure vips
 * may call once more. */
static int
take_rows(VipsRegion *region, VipsRect *rows, void *user)
{
  Build *build = user;
  const gssize stride = (gssize)VIPS_REGION_LSKIP(region);
  int right = VIPS_RECT_RIGHT(rows), n = 0;
  if (build->error == NULL && build->stop != NULL && g_atomic_int_get(build->stop) != 0)
    g_set_error(&build->error, PW_ERROR, PW_ERROR_USE, "making tiles was given up");
  if (build->error != NULL)
    return -1;
  for (int x = rows->left; x < right; x += n)
    for (int y = rows->top; y < VIPS_RECT_BOTTOM(rows); y++) {
      Run run = find_run(build->facts, x, y, right - x);
      put_run(build, &run,
              region->data + (y - region->valid.top) * stride + 3 * (x - region->valid.left));
      n = run.n;
    }
  while (build->full->len > 0)
    if (!finish_full(build))
      return -1;
  return 0;
}

/* Of the last tile, which comes when all others are there. */
static gboolean
is_complete(const Build *build)
{
  return build->index[build->n_levels - 1].lengths[0] > 0;
}

/* vips (8.14) passes over a failure in the last rows: what counts is our own error, and that all
 * rows have come. */
static gboolean
stream(PwPhoto *photo, Build *build)
{
  VipsImage *stored = pw_photo_load(photo, 1, &build->error), *flat = NULL, *rgb = NULL;
  if (stored == NULL)
    return FALSE;
  gboolean ok = pw_colour_flatten(stored, &flat) == 0 &&
                pw_colour_to_srgb(flat, photo->colour_way, &rgb) == 0;
  if (!ok)
    pw_photo_set_error(photo, &build->error);
  ok = ok && pw_photo_is_as_opened(photo, rgb, &build->error);
  gboolean ended = ok && vips_sink_disc(rgb, take_rows, build) == 0 && is_complete(build);
  if (ok && !ended && build->error == NULL)
    pw_photo_set_error(photo, &build->error);
  VIPS_UNREF(rgb);
  VIPS_UNREF(flat);
  g_object_unref(stored);
  return build->error == NULL && pw_photo_is_unchanged(photo, &build->error);
}

/* ---- The file ---------------------------------------------------------------------- */

static gboolean
write_all(PwPhoto *photo, Build *build)
{
  build->at = PW_TILES_HEAD_BYTES;
  return pw_tiles_write_head(build->out, 0, &build->error) && stream(photo, build) &&
         pw_tiles_write_index(build->out, build->index, build->n_levels, build->label, &build->at,
                              &build->error) &&
         pw_writing_go_back(build->out, 0, &build->error) &&
         pw_tiles_write_head(build->out, build->at, &build->error) &&
         pw_writing_finish(build->out, NULL, &build->error);
}

static void
build_clear(Build *build)
{
  for (guint level = 0; level < build->n_levels; level++) {
    const PwTilesLevel *size = &build->levels[level];
    for (gsize i = 0; i < (gsize)size->columns * (gsize)size->rows; i++)
      tile_free(build, build->begun[level][i]);
    g_free(build->begun[level]);
  }
  g_ptr_array_unref(build->full);
  pw_tiles_index_free(build->index, build->n_levels);
}

static gboolean
check_wish(const PwPhoto *photo, const char *label, GError **error)
{
  g_return_val_if_fail(strlen(label) <= PW_TILES_LABEL_MAX && g_str_is_ascii(label), FALSE);
  if (photo->facts.width <= PW_TILES_SIDE_MAX && photo->facts.height <= PW_TILES_SIDE_MAX)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
              "%s: %d x %d pixels; tiles are made of pictures of up to %d a side", photo->path,
              photo->facts.width, photo->facts.height, PW_TILES_SIDE_MAX);
  return FALSE;
}

gboolean
pw_photo_write_tiles(PwPhoto *photo, const char *path, const char *label, const gint *stop,
                     GError **error)
{
  Build build = {.facts = &photo->facts, .label = label, .stop = stop};
  if (!check_wish(photo, label, error))
    return FALSE;
  g_autoptr(PwWriting) out = pw_writing_new(path, NULL, error);
  if (out == NULL)
    return FALSE;
  build.out = out;
  build.full = g_ptr_array_new();
  build.n_levels = pw_tiles_plan(photo->facts.width, photo->facts.height, build.levels);
  build.index = pw_tiles_index_new(build.levels, build.n_levels);
  for (guint i = 0; i < build.n_levels; i++)
    build.begun[i] = g_new0(Tile *, (gsize)build.levels[i].columns * (gsize)build.levels[i].rows);
  gboolean ok = write_all(photo, &build);
  build_clear(&build);
  vips_thread_shutdown();
  if (!ok)
    g_propagate_error(error, build.error);
  return ok;
}
