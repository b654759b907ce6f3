/* Tiles: every pixel of the photograph upright in its place, at every level, in every kind of
 * samples; each tile a bare JPEG; the whole readable by others.
 */
#include "mosaic.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

/* Root mean square of luma on noise at quality 85: 2.8 where it is soft, up to 5.1 on the sharper
 * noise of the levels above. One pixel to the side it is more. */
#define JPEG_LOSS 6.0
#define ONE_PIXEL_OFF 7.0
/* A flat field at quality 85: the rounding of the DCT and of YCbCr. */
#define FLAT_LOSS 2.0
/* Chroma is spread between its samples, and at a cut edge one sample less is known. */
#define CUT_EDGE_PX 2

/* ITU-R BT.601, section 2.5.1. */
static double
luma_at(const PwPlane *plane, int x, int y)
{
  const guint8 *rgb = plane->pixels + (gsize)y * plane->stride + 3 * (gsize)x;
  return 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
}

/* Root mean square difference of luma between a and b moved by (dx, dy). */
static double
difference(const PwPlane *a, const PwPlane *b, int dx, int dy)
{
  double sum = 0, n = 0;
  for (int y = MAX(0, -dy); y < MIN(a->height, b->height - dy); y++)
    for (int x = MAX(0, -dx); x < MIN(a->width, b->width - dx); x++, n++) {
      double off = luma_at(a, x, y) - luma_at(b, x + dx, y + dy);
      sum += off * off;
    }
  return n > 0 ? sqrt(sum / n) : 0;
}

/* The picture with half its sides, each pixel the mean of what there is of two by two. */
static PwPlane
halved(const PwPlane *of)
{
  int width = (of->width + 1) / 2, height = (of->height + 1) / 2;
  PwPlane half = {g_malloc((gsize)(3 * width * height)), width, height, 3, 3 * (gsize)width};
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      for (int c = 0; c < 3; c++) {
        double sum = 0, n = 0;
        for (int v = 2 * y; v < MIN(2 * y + 2, of->height); v++)
          for (int u = 2 * x; u < MIN(2 * x + 2, of->width); u++, n++)
            sum += of->pixels[(gsize)v * of->stride + 3 * (gsize)u + (gsize)c];
        half.pixels[(gsize)y * half.stride + 3 * (gsize)x + (gsize)c] = (guint8)lround(sum / n);
      }
  return half;
}

/* Compares every level with the rendering; the largest difference seen. */
static double
worst_of_levels(const char *path)
{
  PwRender whole = {0};
  PwPlane truth = render_path(path, &whole);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  double worst = 0;
  for (guint level = 0; level < pw_tiles_peek_info(tiles)->n_levels; level++) {
    PwPlane mosaic = mosaic_of(tiles, level);
    assert_int_equal(mosaic.width, truth.width);
    assert_int_equal(mosaic.height, truth.height);
    worst = fmax(worst, difference(&mosaic, &truth, 0, 0));
    if (level == 0 && mosaic.width > 100 && mosaic.height > 100)
      for (int off = -1; off <= 1; off += 2) {
        assert_true(difference(&mosaic, &truth, off, 0) > ONE_PIXEL_OFF);
        assert_true(difference(&mosaic, &truth, 0, off) > ONE_PIXEL_OFF);
      }
    PwPlane half = halved(&truth);
    pw_plane_clear(&truth);
    pw_plane_clear(&mosaic);
    truth = half;
  }
  pw_plane_clear(&truth);
  return worst;
}

/* Sizes about those of tiles and runs; every turn and mirroring. */
static void
pixels_stand_where_the_rendering_has_them(void **state G_GNUC_UNUSED)
{
  static const int sizes[][2] = {{1, 1}, {1, 700}, {700, 1}, {511, 513}, {1025, 300}, {601, 530}};
  double worst = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++)
    for (int orientation = 1; orientation <= 8; orientation++) {
      VipsImage *image = noise_picture(sizes[i][0], sizes[i][1]);
      vips_image_set_int(image, VIPS_META_ORIENTATION, orientation);
      g_autofree char *path = save_picture(image, "turned.tif", NULL);
      worst = fmax(worst, worst_of_levels(path));
    }
  print_message("# off by at most %.2f (root mean square of luma)\n", worst);
  assert_true(worst < JPEG_LOSS);
}

static void
levels_halve_rounding_up(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1025, 300), "levels.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  const PwTilesInfo *info = pw_tiles_peek_info(tiles);
  static const PwTilesLevel expected[] = {{1025, 300, 3, 1}, {513, 150, 2, 1}, {257, 75, 1, 1}};
  assert_string_equal(info->label, MOSAIC_LABEL);
  assert_int_equal(info->n_levels, G_N_ELEMENTS(expected));
  assert_memory_equal(info->levels, expected, sizeof expected);
}

static double
flat_loss(const char *name, int bands, VipsBandFormat format, VipsInterpretation kind,
          const double *values)
{
  double seen[3], truth[3], worst = 0;
  g_autofree char *path =
      save_picture(flat_picture(540, 33, bands, format, kind, values), name, NULL);
  PwRender whole = {0};
  PwPlane plane = render_path(path, &whole);
  plane_mean(&plane, truth);
  pw_plane_clear(&plane);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  plane = mosaic_of(tiles, 0);
  plane_mean(&plane, seen);
  pw_plane_clear(&plane);
  for (int c = 0; c < 3; c++)
    worst = fmax(worst, fabs(seen[c] - truth[c]));
  return worst;
}

static void
every_kind_of_samples_has_the_colours_of_the_rendering(void **state G_GNUC_UNUSED)
{
  const double rgb[] = {200, 100, 50, 255}, wide[] = {200 * 257, 100 * 257, 50 * 257, 65535};
  const double grey[] = {77, 0}, ink[] = {10, 120, 200, 30}, lab[] = {60, 20, -10};
  const VipsBandFormat u8 = VIPS_FORMAT_UCHAR, u16 = VIPS_FORMAT_USHORT;
  const VipsInterpretation s8 = VIPS_INTERPRETATION_sRGB, s16 = VIPS_INTERPRETATION_RGB16;
  const double losses[] = {
      flat_loss("rgb.png", 3, u8, s8, rgb),
      flat_loss("rgba16.png", 4, u16, s16, wide),
      flat_loss("rgb16.tif", 3, u16, s16, wide),
      flat_loss("grey.png", 1, u8, VIPS_INTERPRETATION_B_W, grey),
      flat_loss("grey.jpg", 1, u8, VIPS_INTERPRETATION_B_W, grey),
      flat_loss("cmyk.jpg", 4, u8, VIPS_INTERPRETATION_CMYK, ink),
      flat_loss("cmyk.tif", 4, u8, VIPS_INTERPRETATION_CMYK, ink),
      flat_loss("lab.tif", 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_LAB, lab),
  };
  double worst = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(losses); i++)
    worst = fmax(worst, losses[i]);
  print_message("# off by at most %.2f\n", worst);
  assert_true(worst <= FLAT_LOSS);
}

/* Of photographs with published truths: HEIF and profiles of every kind among them. */
static void
photographs_with_profiles_look_as_rendered(void **state G_GNUC_UNUSED)
{
  g_autofree char *folder = shared_case("colour/icc");
  GDir *dir = g_dir_open(folder, 0, NULL);
  double worst = 0;
  guint n = 0;
  assert_non_null(dir);
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (!pw_photo_is_name(name))
      continue;
    double seen[3], truth[3];
    PwRender whole = {0};
    PwPlane plane = render_path(path, &whole);
    plane_mean(&plane, truth);
    pw_plane_clear(&plane);
    g_autoptr(PwTiles) tiles = tiles_of(path);
    plane = mosaic_of(tiles, 0);
    plane_mean(&plane, seen);
    pw_plane_clear(&plane);
    for (int c = 0; c < 3; c++)
      worst = fmax(worst, fabs(seen[c] - truth[c]));
    n++;
  }
  g_dir_close(dir);
  print_message("# %u photographs, means off by at most %.2f\n", n, worst);
  assert_true(n > 0);
  assert_true(worst <= FLAT_LOSS);
}

static PwPlane
decoded(GBytes *jpeg)
{
  gsize length = 0;
  const void *bytes = g_bytes_get_data(jpeg, &length);
  VipsImage *image = NULL;
  assert_int_equal(vips_jpegload_buffer((void *)(gsize)bytes, length, &image, NULL), 0);
  PwPlane plane = {vips_image_write_to_memory(image, &length), image->Xsize, image->Ysize, 3,
                   3 * (gsize)image->Xsize};
  g_object_unref(image);
  return plane;
}

static void
tiles_are_cut_to_the_picture(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1029, 517), "cut.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  for (int row = 0; row < 2; row++)
    for (int column = 0; column < 3; column++) {
      int width = column < 2 ? 512 : 5, height = row < 1 ? 512 : 5;
      PwPlane part;
      g_autoptr(GBytes) jpeg = pw_tiles_dup_jpeg(tiles, 0, column, row, NULL);
      assert_non_null(jpeg);
      PwPlane tile = decoded(jpeg);
      assert_int_equal(tile.width, width);
      assert_int_equal(tile.height, height);
      assert_true(pw_tiles_read(tiles, 0, column * 512, row * 512, width, height, &part, NULL));
      assert_memory_equal(tile.pixels, part.pixels, tile.stride * (gsize)height);
      pw_plane_clear(&tile);
      pw_plane_clear(&part);
    }
}

static void
a_part_is_that_of_the_whole(void **state G_GNUC_UNUSED)
{
  static const VipsRect parts[] = {
      {1, 2, 1, 1}, {511, 511, 2, 2}, {513, 3, 200, 500}, {300, 500, 729, 17}, {1028, 516, 1, 1}};
  g_autofree char *path = save_picture(noise_picture(1029, 517), "part.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  PwPlane whole = mosaic_of(tiles, 0);
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
    const VipsRect *at = &parts[i];
    PwPlane part;
    assert_true(pw_tiles_read(tiles, 0, at->left, at->top, at->width, at->height, &part, NULL));
    for (int y = 0; y < at->height; y++)
      assert_memory_equal(part.pixels + (gsize)y * part.stride,
                          whole.pixels + (gsize)(at->top + y) * whole.stride + 3 * (gsize)at->left,
                          3 * (gsize)at->width);
    pw_plane_clear(&part);
  }
  pw_plane_clear(&whole);
}

/* ITU-T T.81, table B.1: what a decoder wants, and of the rest only JFIF's head of 16 bytes. */
static void
a_tile_carries_no_metadata(void **state G_GNUC_UNUSED)
{
  VipsImage *image = noise_picture(600, 600); /* a whole tile and three that are cut */
  vips_image_set_string(image, "exif-ifd0-ImageDescription", "told nobody");
  g_autofree char *path = save_picture(image, "told.jpg", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  for (int i = 0; i < 4; i++) {
    g_autoptr(GBytes) jpeg = pw_tiles_dup_jpeg(tiles, 0, i % 2, i / 2, NULL);
    gsize n = 0, at = 2;
    const guint8 *bytes = g_bytes_get_data(jpeg, &n);
    for (; bytes[at + 1] != 0xDA; at += 2 + ((gsize)bytes[at + 2] << 8 | bytes[at + 3])) {
      const guint8 marker = bytes[at + 1];
      assert_int_equal(bytes[at], 0xFF);
      assert_true(marker == 0xDB || marker == 0xC0 || marker == 0xC4 ||
                  (marker == 0xE0 && bytes[at + 3] == 16));
    }
    assert_true(at < n && n < 512 * 1024);
  }
}

/* libvips reads the file by libtiff, from the directories that we wrote by hand; not the cut tiles
 * but those filled up. */
static void
other_programs_read_the_file(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1300, 700), "others.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  g_autofree char *file = picture_path(MOSAIC_NAME);
  for (guint level = 0; level < pw_tiles_peek_info(tiles)->n_levels; level++) {
    VipsImage *image = NULL;
    size_t length = 0;
    PwPlane mosaic = mosaic_of(tiles, level);
    assert_int_equal(
        vips_tiffload(file, &image, "page", (int)level, "fail_on", VIPS_FAIL_ON_WARNING, NULL), 0);
    assert_int_equal(image->Xsize, mosaic.width);
    assert_int_equal(image->Ysize, mosaic.height);
    g_autofree guint8 *pixels = vips_image_write_to_memory(image, &length);
    assert_int_equal(length, (gsize)mosaic.height * mosaic.stride);
    for (int y = 0; y < mosaic.height - CUT_EDGE_PX; y++)
      assert_memory_equal(pixels + (gsize)y * mosaic.stride,
                          mosaic.pixels + (gsize)y * mosaic.stride,
                          (gsize)(mosaic.width - CUT_EDGE_PX) * 3);
    g_object_unref(image);
    pw_plane_clear(&mosaic);
  }
}

static void
what_is_not_there_is_refused(void **state G_GNUC_UNUSED)
{
  static const int places[][3] = {{0, 2, 0},  {0, 0, 1}, {0, -1, 0},
                                  {0, 0, -1}, {2, 0, 0}, {99, 0, 0}};
  static const int parts[][5] = {{0, 0, 0, 601, 1}, {0, 600, 0, 1, 1},     {0, -1, 0, 1, 1},
                                 {0, 0, 0, 0, 1},   {0, 0, 0, 1, -1},      {7, 0, 0, 1, 1},
                                 {0, 0, 300, 1, 1}, {0, G_MAXINT, 0, 2, 1}};
  g_autofree char *path = save_picture(noise_picture(600, 300), "small.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
    g_autoptr(GError) error = NULL;
    const int *p = places[i];
    assert_null(pw_tiles_dup_jpeg(tiles, (guint)p[0], p[1], p[2], &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  }
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
    g_autoptr(GError) error = NULL;
    const int *p = parts[i];
    PwPlane plane;
    assert_false(pw_tiles_read(tiles, (guint)p[0], p[1], p[2], p[3], p[4], &plane, &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
    assert_null(plane.pixels);
  }
}

/* A line as long as tiles are made of, which has every level there can be. */
static void
beyond_the_last_level_is_nothing(void **state G_GNUC_UNUSED)
{
  VipsImage *line = NULL;
  PwPlane plane;
  assert_int_equal(vips_black(&line, PW_TILES_SIDE_MAX, 1, "bands", 3, NULL), 0);
  g_autofree char *path = save_picture(line, "line.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  g_autoptr(GError) error = NULL;
  assert_int_equal(pw_tiles_peek_info(tiles)->n_levels, PW_TILES_LEVELS_MAX);
  assert_null(pw_tiles_dup_jpeg(tiles, PW_TILES_LEVELS_MAX, 0, 0, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_false(pw_tiles_read(tiles, PW_TILES_LEVELS_MAX, 0, 0, 1, 1, &plane, NULL));
}

/* So many pixels at once would be more memory than we take. */
static void
too_many_pixels_at_once_are_refused(void **state G_GNUC_UNUSED)
{
  enum { SIDE = 8001 };
  VipsImage *black = NULL;
  PwPlane plane;
  assert_int_equal(vips_black(&black, SIDE, SIDE, "bands", 3, NULL), 0);
  g_autofree char *path = save_picture(black, "many.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  g_autoptr(GError) error = NULL;
  assert_false(pw_tiles_read(tiles, 0, 0, 0, SIDE, SIDE, &plane, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_true(pw_tiles_read(tiles, 0, 1, 1, SIDE - 1, SIDE - 1, &plane, NULL));
  pw_plane_clear(&plane);
}

typedef struct {
  const PwTiles *tiles;
  guint seed;
  guint n_wrong;
} Client;

static gpointer
read_at_random(gpointer user)
{
  Client *client = user;
  GRand *chance = g_rand_new_with_seed(client->seed);
  for (int i = 0; i < 200; i++) {
    int column = g_rand_int_range(chance, 0, 3), row = g_rand_int_range(chance, 0, 2);
    g_autoptr(GBytes) jpeg = pw_tiles_dup_jpeg(client->tiles, 0, column, row, NULL);
    PwPlane plane, tile;
    if (jpeg == NULL ||
        !pw_tiles_read(client->tiles, 0, column * 512, row * 512, 100, 3, &plane, NULL)) {
      client->n_wrong++;
      continue;
    }
    tile = decoded(jpeg);
    client->n_wrong += memcmp(tile.pixels, plane.pixels, 300) != 0 ? 1 : 0;
    pw_plane_clear(&tile);
    pw_plane_clear(&plane);
  }
  g_rand_free(chance);
  vips_thread_shutdown();
  return NULL;
}

static void
many_threads_read_at_once(void **state G_GNUC_UNUSED)
{
  enum { THREADS = 8 };
  GThread *threads[THREADS];
  Client clients[THREADS];
  g_autofree char *path = save_picture(noise_picture(1300, 700), "threads.png", NULL);
  g_autoptr(PwTiles) tiles = tiles_of(path);
  for (guint i = 0; i < THREADS; i++) {
    clients[i] = (Client){tiles, i, 0};
    threads[i] = g_thread_new("client", read_at_random, &clients[i]);
  }
  for (guint i = 0; i < THREADS; i++) {
    g_thread_join(threads[i]);
    assert_int_equal(clients[i].n_wrong, 0);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pixels_stand_where_the_rendering_has_them),
      cmocka_unit_test(levels_halve_rounding_up),
      cmocka_unit_test(every_kind_of_samples_has_the_colours_of_the_rendering),
      cmocka_unit_test(photographs_with_profiles_look_as_rendered),
      cmocka_unit_test(tiles_are_cut_to_the_picture),
      cmocka_unit_test(a_part_is_that_of_the_whole),
      cmocka_unit_test(a_tile_carries_no_metadata),
      cmocka_unit_test(other_programs_read_the_file),
      cmocka_unit_test(what_is_not_there_is_refused),
      cmocka_unit_test(beyond_the_last_level_is_nothing),
      cmocka_unit_test(too_many_pixels_at_once_are_refused),
      cmocka_unit_test(many_threads_read_at_once),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
