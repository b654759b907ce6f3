/* How a file of tiles is written: BigTIFF, little-endian, the directories behind the tiles. Written
 * by hand, for libtiff writes one directory after another, and tiles of all levels come in between
 * each other: kept back, those of a large picture would take as much memory as all else together.
 */
#include "tiles-private.h"

#include <string.h>

/* BigTIFF: 43, offsets of 8 bytes, a pad; types of TIFF 6.0, section 2, and 16. */
enum { BIG_TIFF = 43, OFFSET_BYTES = 8, ENTRY_BYTES = 20 };
enum { ASCII = 2, SHORT = 3, LONG = 4, RATIONAL = 5, LONG8 = 16 };
enum { REDUCED = 1, JPEG = 7, YCBCR = 6, CENTRED = 1, CHUNKY = 1 };

guint
pw_tiles_plan(int width, int height, PwTilesLevel levels[PW_TILES_LEVELS_MAX])
{
  for (guint n = 0; n < PW_TILES_LEVELS_MAX; n++) {
    int columns = (width + PW_TILE_PX - 1) / PW_TILE_PX;
    int rows = (height + PW_TILE_PX - 1) / PW_TILE_PX;
    levels[n] = (PwTilesLevel){width, height, columns, rows};
    if (columns == 1 && rows == 1)
      return n + 1;
    width = (width + 1) / 2;
    height = (height + 1) / 2;
  }
  return 0;
}

int
pw_tile_width(const PwTilesLevel *size, int column)
{
  return MIN(PW_TILE_PX, size->width - column * PW_TILE_PX);
}

int
pw_tile_height(const PwTilesLevel *size, int row)
{
  return MIN(PW_TILE_PX, size->height - row * PW_TILE_PX);
}

PwTilesIndex *
pw_tiles_index_new(const PwTilesLevel *levels, guint n)
{
  PwTilesIndex *index = g_new0(PwTilesIndex, n);
  for (guint i = 0; i < n; i++) {
    gsize n_tiles = (gsize)levels[i].columns * (gsize)levels[i].rows;
    index[i] = (PwTilesIndex){levels[i], g_new0(guint64, n_tiles), g_new0(guint64, n_tiles),
                              g_new0(guint64, n_tiles), g_new0(guint64, n_tiles)};
  }
  return index;
}

void
pw_tiles_index_free(PwTilesIndex *index, guint n)
{
  for (guint i = 0; index != NULL && i < n; i++) {
    g_free(index[i].offsets);
    g_free(index[i].lengths);
    g_free(index[i].cuts);
    g_free(index[i].sums);
  }
  g_free(index);
}

/* The first eight bytes of a SHA-256, read as hexadecimal digits. */
guint64
pw_tile_sum(const char *label, guint level, const PwTilesLevel *size, gsize i, GBytes *jpeg)
{
  gsize length = 0;
  const void *bytes = g_bytes_get_data(jpeg, &length);
  g_autofree char *place =
      g_strdup_printf("%s %u %dx%d %" G_GSIZE_FORMAT, label, level, size->width, size->height, i);
  g_autoptr(PwSha256) sum = pw_sha256_new();
  pw_sha256_add(sum, place, strlen(place));
  pw_sha256_add(sum, bytes, length);
  g_autofree char *hex = pw_sha256_take_hex(sum);
  hex[16] = '\0';
  return g_ascii_strtoull(hex, NULL, 16);
}

gboolean
pw_tiles_write_head(PwWriting *out, guint64 first, GError **error)
{
  guint8 head[PW_TILES_HEAD_BYTES] = {'I', 'I', BIG_TIFF, 0, OFFSET_BYTES, 0, 0, 0};
  first = GUINT64_TO_LE(first);
  memcpy(head + 8, &first, sizeof first);
  return pw_writing_add(out, head, sizeof head, error);
}

/* ---- Directories ------------------------------------------------------------------- */

typedef struct {
  PwWriting *out;
  guint64 at;          /* where the file ends so far */
  GByteArray *entries; /* of the directory under way */
  GError **error;
  gboolean failed;
} Writer;

static void
append(Writer *w, const void *bytes, gsize length)
{
  w->failed = w->failed || !pw_writing_add(w->out, bytes, length, w->error);
  w->at += length;
}

static void
put_number(GByteArray *to, guint64 value, guint bytes)
{
  value = GUINT64_TO_LE(value);
  g_byte_array_append(to, (const guint8 *)&value, bytes);
}

/* A field whose values take up to eight bytes holds them, others the place where they stand. */
static void
put_field(Writer *w, guint tag, guint type, guint64 count, const GByteArray *values)
{
  static const guint8 pad[OFFSET_BYTES] = {0};
  put_number(w->entries, tag, 2);
  put_number(w->entries, type, 2);
  put_number(w->entries, count, 8);
  if (values->len > OFFSET_BYTES) {
    put_number(w->entries, w->at, OFFSET_BYTES);
    append(w, values->data, values->len);
    return;
  }
  g_byte_array_append(w->entries, values->data, values->len);
  g_byte_array_append(w->entries, pad, OFFSET_BYTES - values->len);
}

static void
put_numbers(Writer *w, guint tag, guint type, const guint64 *values, gsize n)
{
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  for (gsize i = 0; i < n; i++)
    put_number(bytes, values[i], type == SHORT ? 2 : type == LONG8 ? 8 : 4);
  put_field(w, tag, type, type == RATIONAL ? n / 2 : n, bytes);
}

static void
put_one(Writer *w, guint tag, guint type, guint64 value)
{
  put_numbers(w, tag, type, &value, 1);
}

static void
put_label(Writer *w, const char *label)
{
  g_autoptr(GByteArray) text = g_byte_array_new();
  g_byte_array_append(text, (const guint8 *)label, (guint)strlen(label) + 1);
  put_field(w, 270, ASCII, text->len, text);
}

/* TIFF 6.0, sections 8, 15, 21 and 22: fields in the order of their numbers. */
static void
put_fields(Writer *w, const PwTilesIndex *index, gboolean is_first, const char *label)
{
  static const guint64 bits[3] = {8, 8, 8}, halved[2] = {2, 2};
  static const guint64 range[12] = {0, 1, 255, 1, 128, 1, 255, 1, 128, 1, 255, 1};
  gsize n = (gsize)index->size.columns * (gsize)index->size.rows;
  put_one(w, 254, LONG, is_first ? 0 : REDUCED);
  put_one(w, 256, LONG, (guint64)index->size.width);
  put_one(w, 257, LONG, (guint64)index->size.height);
  put_numbers(w, 258, SHORT, bits, 3);
  put_one(w, 259, SHORT, JPEG);
  put_one(w, 262, SHORT, YCBCR);
  put_label(w, label);
  put_one(w, 277, SHORT, 3);
  put_one(w, 284, SHORT, CHUNKY);
  put_one(w, 322, LONG, PW_TILE_PX);
  put_one(w, 323, LONG, PW_TILE_PX);
  put_numbers(w, 324, LONG8, index->offsets, n);
  put_numbers(w, 325, LONG8, index->lengths, n);
  put_numbers(w, 530, SHORT, halved, 2);
  put_one(w, 531, SHORT, CENTRED);
  put_numbers(w, 532, RATIONAL, range, 12);
  put_numbers(w, PW_TILES_TAG_SUMS, LONG8, index->sums, n);
  put_numbers(w, PW_TILES_TAG_CUTS, LONG8, index->cuts, n);
}

gboolean
pw_tiles_write_index(PwWriting *out, const PwTilesIndex *index, guint n, const char *label,
                     guint64 *at, GError **error)
{
  Writer w = {out, *at, NULL, error, FALSE};
  guint64 next = 0;
  /* Each names the one behind it, so the last is written first. */
  for (guint i = n; i-- > 0 && !w.failed;) {
    w.entries = g_byte_array_new();
    put_fields(&w, &index[i], i == 0, label);
    g_autoptr(GByteArray) directory = g_byte_array_new();
    put_number(directory, w.entries->len / ENTRY_BYTES, 8);
    g_byte_array_append(directory, w.entries->data, w.entries->len);
    put_number(directory, next, 8);
    g_byte_array_unref(w.entries);
    next = w.at;
    append(&w, directory->data, directory->len);
  }
  *at = next;
  return !w.failed;
}
