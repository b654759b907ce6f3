/* Tiles that are damaged, meant to harm, or could not be made: the cache may hold anything, and
 * what is shown for a photograph must be that photograph.
 */
#include "mosaic.h"

#include "base/calls.h"
#include "photo/tiles-private.h"

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>

/* Bytes of a BigTIFF: head, entry of a directory, place of the value in it. */
enum { FIRST_AT = 8, ENTRY = 20, VALUE_AT = 12 };

typedef struct {
  char *data;
  gsize length;
} Bytes;

static Bytes
bytes_of_tiles(int width, int height)
{
  Bytes bytes = {NULL, 0};
  g_autofree char *path = save_picture(noise_picture(width, height), "whole.png", NULL);
  g_autofree char *file = picture_path(MOSAIC_NAME);
  pw_tiles_free(tiles_of(path));
  assert_true(g_file_get_contents(file, &bytes.data, &bytes.length, NULL));
  return bytes;
}

static PwTiles *
opened(const char *data, gsize length)
{
  g_autofree char *file = picture_path("changed");
  g_autoptr(GError) error = NULL;
  assert_true(g_file_set_contents(file, data, (gssize)length, NULL));
  PwTiles *tiles = pw_tiles_open(file, &error);
  if (tiles == NULL)
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  return tiles;
}

static gboolean
is_refused(const char *data, gsize length)
{
  g_autoptr(PwTiles) tiles = opened(data, length);
  g_autoptr(GError) error = NULL;
  if (tiles == NULL)
    return TRUE;
  return !pw_tiles_check(tiles, &error) && g_error_matches(error, PW_ERROR, PW_ERROR_FILE);
}

static guint64
number_at(const Bytes *bytes, gsize at)
{
  guint64 value;
  memcpy(&value, bytes->data + at, sizeof value);
  return GUINT64_FROM_LE(value);
}

/* The place of a field's value in the directory that begins there. */
static gsize
value_in(const Bytes *bytes, gsize directory, guint16 tag)
{
  gsize n = number_at(bytes, directory);
  for (gsize i = 0; i < n; i++) {
    gsize entry = directory + 8 + i * ENTRY;
    if (memcmp(bytes->data + entry, &(guint16){GUINT16_TO_LE(tag)}, 2) == 0)
      return entry + VALUE_AT;
  }
  fail_msg("no field %u", tag);
  return 0;
}

static gsize
value_of(const Bytes *bytes, guint16 tag)
{
  return value_in(bytes, number_at(bytes, FIRST_AT), tag);
}

/* Where the place of the directory after this one stands. */
static gsize
next_of(const Bytes *bytes, gsize directory)
{
  return directory + 8 + number_at(bytes, directory) * ENTRY;
}

/* What is changed is refused, or makes no difference to what is told and shown. */
static void
no_changed_byte_changes_the_picture(void **state G_GNUC_UNUSED)
{
  Bytes bytes = bytes_of_tiles(700, 300);
  g_autoptr(PwTiles) whole = opened(bytes.data, bytes.length);
  PwPlane truth = mosaic_of(whole, 0);
  GRand *chance = g_rand_new_with_seed(5);
  guint n_refused = 0;
  enum { FLIPS = 1500 };
  for (int i = 0; i < FLIPS; i++) {
    /* Every second one among the directories, which are short. */
    gsize last = MIN(bytes.length, 1500);
    gsize at = i % 2 ? bytes.length - 1 - (gsize)g_rand_int_range(chance, 0, (gint32)last)
                     : (gsize)g_rand_int_range(chance, 0, (gint32)bytes.length);
    bytes.data[at] ^= (char)(1 << (i / 2 % 8));
    if (is_refused(bytes.data, bytes.length)) {
      n_refused++;
    } else {
      g_autoptr(PwTiles) tiles = opened(bytes.data, bytes.length);
      PwPlane seen = mosaic_of(tiles, 0);
      assert_int_equal(seen.width, truth.width);
      assert_memory_equal(seen.pixels, truth.pixels, truth.stride * (gsize)truth.height);
      pw_plane_clear(&seen);
    }
    bytes.data[at] ^= (char)(1 << (i / 2 % 8));
  }
  print_message("# %u of %d changed files refused\n", n_refused, FLIPS);
  assert_true(n_refused > FLIPS / 2);
  g_rand_free(chance);
  pw_plane_clear(&truth);
  g_free(bytes.data);
}

static void
files_cut_short_are_refused(void **state G_GNUC_UNUSED)
{
  Bytes bytes = bytes_of_tiles(700, 300);
  for (gsize i = 0; i < 100; i++)
    assert_true(is_refused(bytes.data, bytes.length * i / 100));
  assert_true(is_refused(bytes.data, bytes.length - 1));
  assert_false(is_refused(bytes.data, bytes.length));
  g_free(bytes.data);
}

/* TIFF 6.0's fields, each with a value that would ask for too much or lead elsewhere. */
static void
sizes_and_places_are_checked(void **state G_GNUC_UNUSED)
{
  static const struct {
    guint16 tag;
    guint64 value;
  } wrong[] = {{256, 0},
               {256, 29},
               {256, 0x7FFFFFFF},
               {256, 400000},
               {257, 0},
               {257, 0x7FFFFFFF},
               {257, 5000},
               {258, 0x0010001000100010},
               {284, 2},
               {259, 1},
               {262, 2},
               {277, 4},
               {322, 256},
               {323, 65536},
               {324, G_MAXUINT64 - 10},
               {324, 1 << 20},
               {325, G_MAXUINT64},
               {PW_TILES_TAG_CUTS, 0},
               {PW_TILES_TAG_CUTS, G_MAXUINT64},
               {PW_TILES_TAG_CUTS, 1 << 20},
               {325, 0},
               {325, 1 << 30}};
  Bytes bytes = bytes_of_tiles(30, 20);
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
    gsize at = value_of(&bytes, wrong[i].tag);
    g_autofree char *changed = g_memdup2(bytes.data, bytes.length);
    guint64 value = GUINT64_TO_LE(wrong[i].value);
    memcpy(changed + at, &value, sizeof value);
    if (!is_refused(changed, bytes.length))
      fail_msg("field %u with %" G_GUINT64_FORMAT, wrong[i].tag, wrong[i].value);
  }
  g_free(bytes.data);
}

/* A level that is not half the one below it, one too few, one too many. */
static void
levels_are_checked(void **state G_GNUC_UNUSED)
{
  Bytes bytes = bytes_of_tiles(700, 300);
  gsize first = number_at(&bytes, FIRST_AT), second = number_at(&bytes, next_of(&bytes, first));
  char *const places[] = {bytes.data + value_in(&bytes, second, 256),
                          bytes.data + value_in(&bytes, second, 257)};
  for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
    *places[i] ^= 1;
    assert_true(is_refused(bytes.data, bytes.length));
    *places[i] ^= 1;
  }
  assert_false(is_refused(bytes.data, bytes.length));
  memset(bytes.data + next_of(&bytes, first), 0, 8);
  assert_true(is_refused(bytes.data, bytes.length));
  memcpy(bytes.data + next_of(&bytes, first), &(guint64){GUINT64_TO_LE(second)}, 8);
  /* A third, which is the second again. */
  g_autoptr(GString) more = g_string_new_len(bytes.data, (gssize)bytes.length);
  gsize size = next_of(&bytes, second) + 8 - second;
  memcpy(more->str + next_of(&bytes, second), &(guint64){GUINT64_TO_LE(bytes.length)}, 8);
  g_string_append_len(more, bytes.data + second, (gssize)size);
  assert_true(is_refused(more->str, more->len));
  g_free(bytes.data);
}

/* TIFF 6.0, section 21, field 530, and T.81, B.2.2: libtiff goes by the JPEG, others may not. */
static void
the_halving_that_is_told_is_that_of_the_tiles(void **state G_GNUC_UNUSED)
{
  Bytes bytes = bytes_of_tiles(512, 512);
  const guint8 *told = (const guint8 *)bytes.data + value_of(&bytes, 530);
  const guint8 *tile = (const guint8 *)bytes.data + number_at(&bytes, value_of(&bytes, 324));
  const guint8 *frame = memmem(tile, 1000, "\xFF\xC0\0\x11", 4);
  assert_non_null(frame);
  assert_int_equal(told[0], frame[11] >> 4);
  assert_int_equal(told[2], frame[11] & 15);
  assert_int_equal(frame[14], 0x11);
  assert_int_equal(frame[17], 0x11);
  g_free(bytes.data);
}

/* Places, lengths and sums all exchanged: the sum speaks of the tile's own place. */
static void
tiles_that_change_places_are_noticed(void **state G_GNUC_UNUSED)
{
  static const guint16 lists[] = {324, 325, PW_TILES_TAG_SUMS};
  Bytes bytes = bytes_of_tiles(1100, 300);
  for (gsize i = 0; i < G_N_ELEMENTS(lists); i++) {
    guint64 *list = (gpointer)(bytes.data + number_at(&bytes, value_of(&bytes, lists[i])));
    guint64 values[2];
    memcpy(values, list, sizeof values);
    memcpy(list, &values[1], sizeof *values);
    memcpy(list + 1, &values[0], sizeof *values);
  }
  g_autoptr(PwTiles) tiles = opened(bytes.data, bytes.length);
  g_autoptr(GError) error = NULL;
  assert_non_null(tiles);
  assert_null(pw_tiles_dup_jpeg(tiles, 0, 0, 0, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  g_free(bytes.data);
}

/* A file of one tile that is `jpeg`, with its right sum. */
static gboolean
is_tile_refused(GBytes *jpeg)
{
  Bytes bytes = bytes_of_tiles(512, 512);
  gsize length = 0;
  const void *tile = g_bytes_get_data(jpeg, &length);
  const PwTilesLevel size = {512, 512, 1, 1};
  const guint64 values[] = {bytes.length, length, pw_tile_sum(MOSAIC_LABEL, 0, &size, 0, jpeg)};
  static const guint16 lists[] = {324, 325, PW_TILES_TAG_SUMS};
  for (gsize i = 0; i < G_N_ELEMENTS(lists); i++)
    memcpy(bytes.data + value_of(&bytes, lists[i]), &(guint64){GUINT64_TO_LE(values[i])}, 8);
  g_autoptr(GString) whole = g_string_new_len(bytes.data, (gssize)bytes.length);
  g_string_append_len(whole, tile, (gssize)length);
  g_free(bytes.data);
  return is_refused(whole->str, whole->len);
}

static GBytes *
jpeg_of(int width, int height, gboolean progressive, int bands)
{
  VipsImage *image = noise_picture(width, height), *part = NULL;
  void *data = NULL;
  size_t length = 0;
  assert_int_equal(vips_extract_band(image, &part, 0, "n", bands, NULL), 0);
  vips_image_set_string(image, "exif-ifd0-ImageDescription", "told nobody");
  assert_int_equal(vips_jpegsave_buffer(part, &data, &length, "Q", 85, "strip", TRUE, "interlace",
                                        progressive, NULL),
                   0);
  g_object_unref(part);
  g_object_unref(image);
  return g_bytes_new_take(data, length);
}

/* ITU-T T.81, B.2.4.6: an APP1 segment behind the start of the picture. */
static GBytes *
with_segment(GBytes *jpeg)
{
  static const char segment[] = "\xFF\xE1\x00\x08told\0";
  gsize length = 0;
  const char *data = g_bytes_get_data(jpeg, &length);
  GString *all = g_string_new_len(data, 2);
  g_string_append_len(all, segment, 10);
  g_string_append_len(all, data + 2, (gssize)length - 2);
  return g_string_free_to_bytes(all);
}

static void
a_tile_of_another_make_is_refused(void **state G_GNUC_UNUSED)
{
  g_autoptr(GBytes) right = jpeg_of(512, 512, FALSE, 3);
  g_autoptr(GBytes) progressive = jpeg_of(512, 512, TRUE, 3);
  g_autoptr(GBytes) small = jpeg_of(511, 512, FALSE, 3);
  g_autoptr(GBytes) large = jpeg_of(512, 4000, FALSE, 3);
  g_autoptr(GBytes) grey = jpeg_of(512, 512, FALSE, 1);
  g_autoptr(GBytes) told = with_segment(right);
  g_autoptr(GBytes) none = g_bytes_new_static("told nobody", 11);
  assert_false(is_tile_refused(right));
  assert_true(is_tile_refused(progressive));
  assert_true(is_tile_refused(small));
  assert_true(is_tile_refused(large));
  assert_true(is_tile_refused(grey));
  assert_true(is_tile_refused(told));
  assert_true(is_tile_refused(none));
}

/* ---- Where there is nothing to make tiles of --------------------------------------- */

static guint
n_files(void)
{
  g_autofree char *file = picture_path("x");
  g_autofree char *folder = g_path_get_dirname(file);
  GDir *dir = g_dir_open(folder, 0, NULL);
  guint n = 0;
  while (g_dir_read_name(dir) != NULL)
    n++;
  g_dir_close(dir);
  return n;
}

/* Asks for tiles where an old file stands; it must stay as it is, and nothing beside it. */
static void
assert_nothing_is_written(PwPhoto *photo, PwErrorCode code)
{
  g_autofree char *file = picture_path(MOSAIC_NAME);
  g_autofree char *after = NULL;
  g_autoptr(GError) error = NULL;
  assert_true(g_file_set_contents(file, "old", -1, NULL));
  guint before = n_files();
  assert_false(pw_photo_write_tiles(photo, file, MOSAIC_LABEL, NULL, &error));
  assert_int_equal(error->code, code);
  assert_int_equal(n_files(), before);
  assert_true(g_file_get_contents(file, &after, NULL, NULL));
  assert_string_equal(after, "old");
}

static void
a_damaged_photograph_gives_no_tiles(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(900, 1200), "damaged.jpg", NULL);
  g_autofree char *bytes = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &bytes, &length, NULL));
  assert_true(g_file_set_contents(path, bytes, (gssize)(length - length / 8), NULL));
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  assert_nothing_is_written(photo, PW_ERROR_FILE);
}

static void
a_photograph_that_changes_gives_no_tiles(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(40, 30), "changes.png", NULL);
  g_autofree char *large = save_picture(noise_picture(900, 700), "large.png", NULL);
  g_autofree char *bytes = NULL;
  gsize length = 0;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  assert_true(g_file_get_contents(large, &bytes, &length, NULL));
  FILE *file = fopen(path, "r+b");
  assert_int_equal(fwrite(bytes, 1, length, file), length);
  assert_int_equal(fclose(file), 0);
  assert_nothing_is_written(photo, PW_ERROR_STALE);
}

/* Grows while it is read: after the first write of tiles. */
static const char *grows;

static ssize_t
write_and_grow(int fd, const void *data, size_t size)
{
  if (grows != NULL && size > 1000) {
    FILE *file = fopen(g_steal_pointer(&grows), "ab");
    assert_int_equal(fputc('x', file), 'x');
    assert_int_equal(fclose(file), 0);
  }
  return write(fd, data, size);
}

static void
a_photograph_that_changes_meanwhile_gives_no_tiles(void **state G_GNUC_UNUSED)
{
  const PwFileCalls calls = pw_file_calls;
  g_autofree char *path = save_picture(noise_picture(600, 700), "meanwhile.png", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  grows = path;
  pw_file_calls.write = write_and_grow;
  assert_nothing_is_written(photo, PW_ERROR_STALE);
  pw_file_calls = calls;
  assert_null(grows);
}

static void
a_picture_too_broad_is_refused(void **state G_GNUC_UNUSED)
{
  VipsImage *line = NULL;
  assert_int_equal(vips_black(&line, PW_TILES_SIDE_MAX + 1, 1, "bands", 3, NULL), 0);
  g_autofree char *path = save_picture(line, "line.png", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  assert_nothing_is_written(photo, PW_ERROR_LIMIT);
}

/* ---- Where the disk fails ---------------------------------------------------------- */

static int writes_left;

static ssize_t
write_until_full(int fd, const void *data, size_t size)
{
  if (writes_left-- > 0)
    return write(fd, data, size);
  errno = ENOSPC;
  return -1;
}

static int
n_writes(PwPhoto *photo)
{
  g_autofree char *file = picture_path("once");
  pw_file_calls.write = write_until_full;
  writes_left = G_MAXINT;
  assert_true(pw_photo_write_tiles(photo, file, MOSAIC_LABEL, NULL, NULL));
  return G_MAXINT - writes_left;
}

static int
fail_to_flush(int fd G_GNUC_UNUSED)
{
  errno = EIO;
  return -1;
}

static void
a_full_disk_leaves_nothing_behind(void **state G_GNUC_UNUSED)
{
  const PwFileCalls calls = pw_file_calls;
  g_autofree char *path = save_picture(noise_picture(700, 600), "disk.png", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  /* The head, tiles, lists, directories, the head again. */
  const int all = n_writes(photo);
  assert_true(all > 10);
  for (int n = 0; n < all; n++) {
    pw_file_calls.write = write_until_full;
    writes_left = n;
    assert_nothing_is_written(photo, PW_ERROR_FILE);
  }
  pw_file_calls = calls;
  pw_file_calls.fsync = fail_to_flush;
  assert_nothing_is_written(photo, PW_ERROR_FILE);
  pw_file_calls = calls;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(no_changed_byte_changes_the_picture),
      cmocka_unit_test(files_cut_short_are_refused),
      cmocka_unit_test(sizes_and_places_are_checked),
      cmocka_unit_test(levels_are_checked),
      cmocka_unit_test(the_halving_that_is_told_is_that_of_the_tiles),
      cmocka_unit_test(tiles_that_change_places_are_noticed),
      cmocka_unit_test(a_tile_of_another_make_is_refused),
      cmocka_unit_test(a_damaged_photograph_gives_no_tiles),
      cmocka_unit_test(a_photograph_that_changes_gives_no_tiles),
      cmocka_unit_test(a_photograph_that_changes_meanwhile_gives_no_tiles),
      cmocka_unit_test(a_picture_too_broad_is_refused),
      cmocka_unit_test(a_full_disk_leaves_nothing_behind),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
