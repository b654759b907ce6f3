/* The grey plane: upright as every other rendering, the luma of the samples as they stand, in
 * every kind of samples.
 */
#include "pictures.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

/* Of one sample: theirs is rounded from doubles, ours from parts of 65536. */
#define ROUNDING 0.51
/* Mean of a photograph with a profile, which the grey plane passes over and the rendering goes
 * through (Adobe RGB there). A wrong turn scores 32 at least. */
#define PROFILE_PASSED_OVER 14.0

static PwPlane
grey_of(const char *path)
{
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &error);
  if (photo == NULL || !pw_photo_grey(photo, &plane, &error))
    fail_msg("%s", error->message);
  assert_int_equal(plane.channels, 1);
  return plane;
}

/* Luma by ITU-R BT.601, section 2.5.1. */
static double
luma(const guint8 *rgb)
{
  return 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
}

typedef struct {
  double worst, mean;
} Difference;

/* Between the grey plane of a file and the luma of its rendering. */
static Difference
compare_with_rendering(const char *path)
{
  PwRender whole = {0};
  PwPlane grey = grey_of(path), rgb = render_path(path, &whole);
  Difference difference = {0, 0};
  assert_int_equal(grey.width, rgb.width);
  assert_int_equal(grey.height, rgb.height);
  for (int y = 0; y < grey.height; y++)
    for (int x = 0; x < grey.width; x++) {
      double off = fabs(grey.pixels[(gsize)y * grey.stride + (gsize)x] -
                        luma(rgb.pixels + (gsize)y * rgb.stride + 3 * (gsize)x));
      difference.worst = fmax(difference.worst, off);
      difference.mean += off / ((double)grey.width * grey.height);
    }
  pw_plane_clear(&grey);
  pw_plane_clear(&rgb);
  return difference;
}

static gboolean
has_profile(const char *path)
{
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  return !g_str_has_prefix(pw_photo_peek_facts(photo)->colour, "untagged");
}

static void
photographs_stand_upright(void **state G_GNUC_UNUSED)
{
  g_autofree char *folder = shared_case("orientation");
  g_autofree char *truth = g_build_filename(folder, "truth.json", NULL);
  g_autoptr(JsonParser) parser = json_parser_new();
  assert_true(json_parser_load_from_file(parser, truth, NULL));
  JsonArray *cases =
      json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "cases");
  guint n = json_array_get_length(cases), exact = 0;
  double worst = 0, worst_mean = 0;
  for (guint i = 0; i < n; i++) {
    const char *name =
        json_object_get_string_member(json_array_get_object_element(cases, i), "file");
    g_autofree char *path = g_build_filename(folder, name, NULL);
    Difference difference = compare_with_rendering(path);
    if (has_profile(path)) {
      worst_mean = fmax(worst_mean, difference.mean);
    } else {
      exact++;
      worst = fmax(worst, difference.worst);
    }
  }
  print_message("# %u photographs without profile: off by at most %.3f; %u with one: mean %.2f\n",
                exact, worst, n - exact, worst_mean);
  assert_true(exact >= 18);
  assert_true(worst <= ROUNDING);
  assert_true(worst_mean <= PROFILE_PASSED_OVER);
}

/* Sizes about those of the strips and blocks in which a plane is filled. */
static void
odd_sizes_in_eight_orientations(void **state G_GNUC_UNUSED)
{
  const int sizes[][2] = {{1, 1}, {1, 130}, {130, 1}, {63, 65}, {129, 191}};
  for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++)
    for (int orientation = 1; orientation <= 8; orientation++) {
      VipsImage *image = noise_picture(sizes[i][0], sizes[i][1]);
      vips_image_set_int(image, "orientation", orientation);
      g_autofree char *path = save_picture(image, "odd.jpg", NULL);
      assert_true(compare_with_rendering(path).worst <= ROUNDING);
    }
}

static double
flat_grey(const char *name, int bands, VipsBandFormat format, VipsInterpretation kind,
          const double *values)
{
  g_autofree char *path =
      save_picture(flat_picture(20, 17, bands, format, kind, values), name, NULL);
  PwPlane plane = grey_of(path);
  double middle = plane.pixels[8 * plane.stride + 10];
  pw_plane_clear(&plane);
  return middle;
}

static void
every_kind_of_samples(void **state G_GNUC_UNUSED)
{
  const double rgb[] = {200, 100, 50, 255}, wide[] = {200 * 257, 100 * 257, 50 * 257, 65535};
  const double grey[] = {77, 0}, none[] = {10, 20, 30, 0}, lab[] = {50, 0, 0};
  const double no_ink[] = {0, 0, 0, 0}, all_black[] = {0, 0, 0, 255};
  const double expected = luma((const guint8[]){200, 100, 50});
  const VipsBandFormat u8 = VIPS_FORMAT_UCHAR, u16 = VIPS_FORMAT_USHORT;
  const VipsInterpretation s8 = VIPS_INTERPRETATION_sRGB, s16 = VIPS_INTERPRETATION_RGB16;
  assert_true(fabs(flat_grey("rgb.png", 3, u8, s8, rgb) - expected) <= ROUNDING);
  assert_true(fabs(flat_grey("rgb16.tif", 3, u16, s16, wide) - expected) <= ROUNDING);
  assert_true(fabs(flat_grey("rgba16.png", 4, u16, s16, wide) - expected) <= ROUNDING);
  assert_int_equal((int)flat_grey("grey.png", 1, u8, VIPS_INTERPRETATION_B_W, grey), 77);
  assert_int_equal(
      (int)flat_grey("grey16.png", 1, u16, VIPS_INTERPRETATION_GREY16, (const double[]){77 * 257}),
      77);
  /* Alpha is laid on white. */
  assert_int_equal((int)flat_grey("clear.png", 4, u8, s8, none), 255);
  assert_int_equal((int)flat_grey("cleargrey.png", 2, u8, VIPS_INTERPRETATION_B_W, grey), 255);
  /* L* 50 is sRGB 119 (CIE 15 and IEC 61966-2-1). */
  assert_true(
      fabs(flat_grey("lab.tif", 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_LAB, lab) - 119) <= 1.5);
  /* No ink is white; all of the black one is dark, by whichever ink it is taken for. */
  assert_true(flat_grey("paper.tif", 4, u8, VIPS_INTERPRETATION_CMYK, no_ink) > 250);
  assert_true(flat_grey("ink.tif", 4, u8, VIPS_INTERPRETATION_CMYK, all_black) < 60);
}

/* A file that is cut gives no half plane. */
static void
a_damaged_file_gives_nothing(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(300, 300), "cut.jpg", NULL);
  g_autofree char *bytes = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &bytes, &length, NULL));
  assert_true(g_file_set_contents(path, bytes, (gssize)(length / 2), NULL));
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  assert_false(pw_photo_grey(photo, &plane, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  assert_null(plane.pixels);
}

/* A larger picture written into the open file: nothing is put beyond the plane. */
static void
a_file_that_grew_since_it_was_opened_gives_nothing(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(40, 30), "grows.png", NULL);
  g_autofree char *large = save_picture(noise_picture(900, 700), "large.png", NULL);
  g_autofree char *bytes = NULL;
  gsize length = 0;
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  assert_true(g_file_get_contents(large, &bytes, &length, NULL));
  FILE *file = fopen(path, "r+b");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, length, file), length);
  assert_int_equal(fclose(file), 0);
  assert_false(pw_photo_grey(photo, &plane, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_STALE));
  assert_null(plane.pixels);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(photographs_stand_upright),
      cmocka_unit_test(odd_sizes_in_eight_orientations),
      cmocka_unit_test(every_kind_of_samples),
      cmocka_unit_test(a_damaged_file_gives_nothing),
      cmocka_unit_test(a_file_that_grew_since_it_was_opened_gives_nothing),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
