/* Facts: EXIF as photographers write it, from JPEG and from TIFF, and what is taken for nonsense.
 */
#include "pictures.h"

#include "photo/photo-private.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <tiffio.h>
#include <cmocka.h>

static void
test_exposure_as_photographers_write_it(void **state G_GNUC_UNUSED)
{
  static const struct {
    double seconds;
    const char *text;
  } rows[] = {{1 / 125.0, "1/125 s"}, {0.008, "1/125 s"}, {0.000541, "1/1848 s"},  {0.25, "1/4 s"},
              {0.3, "0.3 s"},         {1 / 3.0, "0.3 s"}, {0.5, "0.5 s"},          {1, "1 s"},
              {1.3, "1.3 s"},         {30, "30 s"},       {0.0166666667, "1/60 s"}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    PwPhotoFacts facts;
    pw_photo_facts_init(&facts);
    facts.exposure_s = rows[i].seconds;
    g_autofree char *text = pw_photo_facts_dup_exposure(&facts);
    assert_string_equal(text, rows[i].text);
  }
}

/* As entries of `cameras` in volume.yaml are called (docs/formats.md). */
static void
test_camera_name(void **state G_GNUC_UNUSED)
{
  char make[] = "Larkfield", model[] = "LF-12";
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  assert_null(pw_photo_facts_dup_camera(&facts));
  facts.make = make;
  assert_null(pw_photo_facts_dup_camera(&facts));
  facts.model = model;
  g_autofree char *both = pw_photo_facts_dup_camera(&facts);
  assert_string_equal(both, "Larkfield LF-12");
  facts.make = NULL;
  g_autofree char *one = pw_photo_facts_dup_camera(&facts);
  assert_string_equal(one, "LF-12");
}

static void
test_exposure_line(void **state G_GNUC_UNUSED)
{
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  assert_null(pw_photo_facts_dup_exposure(&facts));
  facts.f_number = 5.6;
  g_autofree char *one = pw_photo_facts_dup_exposure(&facts);
  assert_string_equal(one, "f/5.6");
  facts.focal_mm = 60;
  facts.f_number = 8;
  facts.exposure_s = 0.008;
  facts.iso = 100;
  g_autofree char *all = pw_photo_facts_dup_exposure(&facts);
  assert_string_equal(all, "60 mm · f/8 · 1/125 s · ISO 100");
}

static void
test_moments_and_zones(void **state G_GNUC_UNUSED)
{
  static const struct {
    const char *exif, *iso;
  } moments[] = {{"2026:03:02 10:14:07", "2026-03-02T10:14:07"},
                 {"2026-03-02T10:14:07", "2026-03-02T10:14:07"},
                 {"2013:07:05 03:18:27Z", "2013-07-05T03:18:27"},
                 {"0000:00:00 00:00:00", NULL},
                 {"2026:02:30 10:00:00", NULL},
                 {"2026:03:02 24:00:00", NULL},
                 {"2026:03:02 10:60:00", NULL},
                 {"    :  :     :  :  ", NULL},
                 {"2026:03:02", NULL},
                 {"", NULL},
                 {NULL, NULL}};
  static const struct {
    const char *exif, *iso;
  } zones[] = {{"+01:00", "+01:00"}, {"-12:00", "-12:00"}, {"+14:00", "+14:00"}, {"Z", "+00:00"},
               {"+15:00", NULL},     {"+01:60", NULL},     {"01:00", NULL},      {"+1:00", NULL},
               {"   :  ", NULL},     {NULL, NULL}};
  for (gsize i = 0; i < G_N_ELEMENTS(moments); i++) {
    g_autofree char *moment = pw_fact_moment(moments[i].exif);
    assert_int_equal(g_strcmp0(moment, moments[i].iso), 0);
  }
  for (gsize i = 0; i < G_N_ELEMENTS(zones); i++) {
    g_autofree char *zone = pw_fact_zone(zones[i].exif);
    assert_int_equal(g_strcmp0(zone, zones[i].iso), 0);
  }
}

static void
test_texts_are_printable_and_short(void **state G_GNUC_UNUSED)
{
  g_autofree char *plain = pw_fact_text("  A camera \0 and more", 21);
  assert_string_equal(plain, "A camera");
  g_autofree char *escape = pw_fact_text("bad\033[31m", 8);
  assert_null(strchr(escape, '\033'));
  assert_null(pw_fact_text("    ", 4));
  assert_null(pw_fact_text("", 0));
  g_autofree char *long_text = g_strnfill(5000, 'x');
  g_autofree char *cut = pw_fact_text(long_text, 5000);
  assert_int_equal(strlen(cut), PW_PHOTO_TEXT_MAX);
  g_autoptr(GString) wide = g_string_new(NULL);
  for (int i = 0; i < 500; i++)
    g_string_append(wide, "é");
  g_autofree char *cut_wide = pw_fact_text(wide->str, wide->len);
  assert_int_equal(g_utf8_strlen(cut_wide, -1), PW_PHOTO_TEXT_MAX);
  assert_true(g_utf8_validate(cut_wide, -1, NULL));
}

/* 50 mm before 6000 x 4000 px on 36 x 24 mm: 50 / 36 x 6000 = 8333.3 px. */
static PwPhotoFacts
full_frame(void)
{
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  facts.stored_width = facts.width = facts.pixel_x = 6000;
  facts.stored_height = facts.height = facts.pixel_y = 4000;
  facts.focal_mm = 50;
  return facts;
}

static void
test_focal_length_in_pixels(void **state G_GNUC_UNUSED)
{
  PwPhotoFacts facts = full_frame();
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
  facts.focal_plane_x = facts.focal_plane_y = 6000 / 36.0;
  assert_true(fabs(pw_photo_facts_focal_px(&facts) - 8333.33) < 0.01);
  facts.focal_35mm = 50;
  assert_true(fabs(pw_photo_facts_focal_px(&facts) - 8333.33) < 0.01);
  facts.focal_35mm = 75; /* the two ways contradict each other */
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
  facts = full_frame();
  facts.focal_35mm = 50; /* 50 x hypot(6000, 4000) / 43.27 */
  assert_true(fabs(pw_photo_facts_focal_px(&facts) - 8332.68) < 0.01);
}

static void
test_no_focal_length_without_camera_pixels(void **state G_GNUC_UNUSED)
{
  PwPhotoFacts facts = full_frame();
  facts.focal_35mm = 50;
  facts.pixel_x = 3000;
  facts.pixel_y = 2000;
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
  facts.pixel_x = 4000;
  facts.pixel_y = 6000;
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
  char heif[] = "HEIF"; /* turned by its decoder */
  facts.format = heif;
  assert_true(pw_photo_facts_focal_px(&facts) > 0);
  facts = full_frame();
  facts.focal_plane_x = 6000 / 36.0;
  facts.focal_plane_y = 6000 / 18.0; /* pixels are square */
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
  facts.focal_plane_x = facts.focal_plane_y = 1e4; /* a sensor of 0.7 mm */
  assert_true(isnan(pw_photo_facts_focal_px(&facts)));
}

static void
test_focal_plane_units(void **state G_GNUC_UNUSED)
{
  assert_true(fabs(pw_fact_per_mm(2540, 2) - 100) < 1e-9);
  assert_true(fabs(pw_fact_per_mm(1000, 3) - 100) < 1e-9);
  assert_true(fabs(pw_fact_per_mm(100, 4) - 100) < 1e-9);
  assert_true(fabs(pw_fact_per_mm(0.1, 5) - 100) < 1e-9);
  assert_true(isnan(pw_fact_per_mm(0, 2)));
  assert_true(isnan(pw_fact_per_mm((double)INFINITY, 2)));
}

/* ---- Whole files ------------------------------------------------------------------- */

static VipsImage *
small_picture(void)
{
  const double rgb[3] = {120, 110, 100};
  return flat_picture(60, 40, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, rgb);
}

static void
set_tags(VipsImage *image, const char *const (*tags)[2], gsize n)
{
  for (gsize i = 0; i < n; i++)
    vips_image_set_string(image, tags[i][0], tags[i][1]);
}

static PwPhoto *
open_or_fail(const char *path)
{
  g_autoptr(GError) error = NULL;
  PwPhoto *photo = pw_photo_open(path, &error);
  if (photo == NULL)
    fail_msg("%s", error->message);
  return photo;
}

static void
assert_bench_facts(const PwPhotoFacts *facts)
{
  assert_string_equal(facts->make, "Made Up Works");
  assert_string_equal(facts->model, "Bench 60");
  assert_string_equal(facts->lens, "60 mm flat field");
  assert_string_equal(facts->taken, "2026-03-02T10:14:07");
  assert_string_equal(facts->zone, "+01:00");
  g_autofree char *exposure = pw_photo_facts_dup_exposure(facts);
  assert_string_equal(exposure, "60 mm · f/8 · 1/125 s · ISO 100");
  assert_true(fabs(facts->focal_35mm - 90) < 1e-9);
  assert_true(fabs(facts->focal_plane_x - 100) < 1e-4);
  assert_int_equal(facts->pixel_x, 60);
  assert_int_equal(facts->pixel_y, 40);
}

static void
test_jpeg(void **state G_GNUC_UNUSED)
{
  static const char *const tags[][2] = {
      {"exif-ifd0-Make", "Made Up Works"},
      {"exif-ifd0-Model", "Bench 60"},
      {"exif-ifd2-LensModel", "60 mm flat field"},
      {"exif-ifd2-DateTimeOriginal", "2026:03:02 10:14:07"},
      {"exif-ifd2-OffsetTimeOriginal", "+01:00"},
      {"exif-ifd2-FNumber", "8/1"},
      {"exif-ifd2-ExposureTime", "1/125"},
      {"exif-ifd2-ISOSpeedRatings", "100"},
      {"exif-ifd2-FocalLength", "60/1"},
      {"exif-ifd2-FocalLengthIn35mmFilm", "90"},
      {"exif-ifd2-FocalPlaneXResolution", "2540/1"},
      {"exif-ifd2-FocalPlaneYResolution", "2540/1"},
      {"exif-ifd2-FocalPlaneResolutionUnit", "2"},
  };
  VipsImage *image = small_picture();
  set_tags(image, tags, G_N_ELEMENTS(tags));
  g_autofree char *path = save_picture(image, "facts.jpg", NULL);
  g_autoptr(PwPhoto) photo = open_or_fail(path);
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  assert_bench_facts(facts);
  assert_string_equal(facts->format, "JPEG");
  assert_int_equal(facts->width, 60);
  assert_int_equal(facts->height, 40);
  PwPhotoFacts copy;
  pw_photo_facts_copy(facts, &copy);
  g_clear_pointer(&photo, pw_photo_free);
  assert_bench_facts(&copy);
  pw_photo_facts_clear(&copy);
  assert_null(copy.make);
}

static void
test_nonsense_says_nothing(void **state G_GNUC_UNUSED)
{
  static const char *const tags[][2] = {
      {"exif-ifd0-Make", "   "},
      {"exif-ifd0-Orientation", "9"},
      {"exif-ifd2-DateTimeOriginal", "0000:00:00 00:00:00"},
      {"exif-ifd2-FNumber", "8/0"},
      {"exif-ifd2-ExposureTime", "0/0"},
      {"exif-ifd2-FocalLength", "0/1"},
      {"exif-ifd2-FocalLengthIn35mmFilm", "0"},
      {"exif-ifd2-FocalPlaneXResolution", "1/0"},
      {"exif-ifd2-ISOSpeedRatings", "0"},
  };
  VipsImage *image = small_picture();
  set_tags(image, tags, G_N_ELEMENTS(tags));
  g_autofree char *path = save_picture(image, "nonsense.jpg", NULL);
  g_autoptr(PwPhoto) photo = open_or_fail(path);
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  assert_null(facts->make);
  assert_null(facts->taken);
  assert_int_equal(facts->orientation, 1);
  assert_true(isnan(facts->focal_35mm) && isnan(facts->focal_plane_x));
  assert_null(pw_photo_facts_dup_exposure(facts));
}

/* Some writers put the tags of the Exif directory into the first one. */
static void
test_tags_in_the_first_directory(void **state G_GNUC_UNUSED)
{
  /* "Exif", II, one directory of two entries: FNumber 28/10, LensModel "60 mm". */
  static const guint8 block[] = {
      'E', 'x', 'i', 'f', 0,  0, 'I', 'I', 42,   0,    8, 0, 0,   0,   2,   0,   0x9D, 0x82, 5, 0,
      1,   0,   0,   0,   38, 0, 0,   0,   0x34, 0xA4, 2, 0, 6,   0,   0,   0,   46,   0,    0, 0,
      0,   0,   0,   0,   28, 0, 0,   0,   10,   0,    0, 0, '6', '0', ' ', 'm', 'm',  0};
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  pw_exif_read(block, sizeof block, &facts);
  assert_true(fabs(facts.f_number - 2.8) < 1e-9);
  assert_string_equal(facts.lens, "60 mm");
  assert_null(facts.taken);
  pw_photo_facts_clear(&facts);
  /* PNG's block is the same without the first six bytes. */
  pw_exif_read(block + 6, sizeof block - 6, &facts);
  assert_true(fabs(facts.f_number - 2.8) < 1e-9);
  pw_photo_facts_clear(&facts);
  for (gsize n = 0; n < sizeof block; n++) {
    pw_exif_read(block, n, &facts);
    pw_photo_facts_clear(&facts);
  }
}

/* Exif 2.32, tag 0x8827: 65535 points to the long tags. */
static void
test_long_iso(void **state G_GNUC_UNUSED)
{
  /* "Exif", MM, one directory of two entries: 0x8827 SHORT 65535, 0x8832 LONG 102400. */
  static const guint8 block[] = {
      'E', 'x', 'i',  'f',  0, 0, 'M',  'M',  0, 42, 0, 0, 0, 8, 0, 2, 0x88, 0x27, 0, 3, 0, 0,
      0,   1,   0xFF, 0xFF, 0, 0, 0x88, 0x32, 0, 4,  0, 0, 0, 1, 0, 1, 0x90, 0,    0, 0, 0, 0};
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  pw_exif_read(block, sizeof block, &facts);
  assert_int_equal(facts.iso, 102400);
  pw_photo_facts_clear(&facts);
}

/* Exif 2.32, tag 0x9209: 0x19 fired, in auto mode; 0x18 did not, in auto mode; 0x20 there is none.
 */
static void
test_flash(void **state G_GNUC_UNUSED)
{
  guint8 block[] = {'E',  'x',  'i', 'f', 0, 0, 'M', 'M', 0, 42,   0, 0, 0, 8, 0, 1,
                    0x92, 0x09, 0,   3,   0, 0, 0,   1,   0, 0x19, 0, 0, 0, 0, 0, 0};
  static const struct {
    guint8 says;
    int flash;
  } cases[] = {{0x19, 1}, {0x18, 0}, {0x20, 0}, {0x01, 1}};
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  assert_int_equal(facts.flash, -1);
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    block[25] = cases[i].says;
    pw_exif_read(block, sizeof block, &facts);
    assert_int_equal(facts.flash, cases[i].flash);
    pw_photo_facts_clear(&facts);
  }
}

/* By libtiff's own writer: a first directory and an Exif directory. */
static void
write_tiff(const char *path)
{
  guint8 row[60 * 3] = {0};
  const guint16 iso[1] = {100};
  toff_t exif_at = 0;
  TIFF *tiff = TIFFOpen(path, "w");
  assert_non_null(tiff);
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, 60);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, 40);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 8);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 3);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, 6);
  TIFFSetField(tiff, TIFFTAG_MAKE, "Made Up Works");
  TIFFSetField(tiff, TIFFTAG_MODEL, "Bench 60");
  TIFFSetField(tiff, TIFFTAG_EXIFIFD, (toff_t)0);
  for (guint32 y = 0; y < 40; y++)
    assert_int_equal(TIFFWriteScanline(tiff, row, y, 0), 1);
  TIFFWriteDirectory(tiff);
  TIFFCreateEXIFDirectory(tiff);
  TIFFSetField(tiff, EXIFTAG_LENSMODEL, "60 mm flat field");
  TIFFSetField(tiff, EXIFTAG_DATETIMEORIGINAL, "2026:03:02 10:14:07");
  TIFFSetField(tiff, EXIFTAG_OFFSETTIMEORIGINAL, "+01:00");
  TIFFSetField(tiff, EXIFTAG_FNUMBER, 8.0);
  TIFFSetField(tiff, EXIFTAG_EXPOSURETIME, 1 / 125.0);
  TIFFSetField(tiff, EXIFTAG_ISOSPEEDRATINGS, 1, iso);
  TIFFSetField(tiff, EXIFTAG_FOCALLENGTH, 60.0);
  TIFFSetField(tiff, EXIFTAG_FOCALLENGTHIN35MMFILM, 90);
  TIFFSetField(tiff, EXIFTAG_FOCALPLANEXRESOLUTION, 1000.0);
  TIFFSetField(tiff, EXIFTAG_FOCALPLANEYRESOLUTION, 1000.0);
  TIFFSetField(tiff, EXIFTAG_FOCALPLANERESOLUTIONUNIT, 3);
  TIFFSetField(tiff, EXIFTAG_PIXELXDIMENSION, 60);
  TIFFSetField(tiff, EXIFTAG_PIXELYDIMENSION, 40);
  assert_int_equal(TIFFWriteCustomDirectory(tiff, &exif_at), 1);
  assert_int_equal(TIFFSetDirectory(tiff, 0), 1);
  TIFFSetField(tiff, TIFFTAG_EXIFIFD, exif_at);
  TIFFRewriteDirectory(tiff);
  TIFFClose(tiff);
}

static void
test_tiff(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = picture_path("facts.tif");
  write_tiff(path);
  g_autoptr(PwPhoto) photo = open_or_fail(path);
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  assert_bench_facts(facts);
  assert_string_equal(facts->format, "TIFF");
  assert_int_equal(facts->orientation, 6);
  assert_int_equal(facts->width, 40);
  assert_int_equal(facts->height, 60);
}

/* What identifies a person or a place is written in and must not come out anywhere. */
static void
test_position_serial_and_owner_are_not_read(void **state G_GNUC_UNUSED)
{
  static const char *const tags[][2] = {
      {"exif-ifd0-Make", "Made Up Works"},        {"exif-ifd0-Artist", "SECRET name"},
      {"exif-ifd0-Copyright", "SECRET right"},    {"exif-ifd0-ImageDescription", "SECRET words"},
      {"exif-ifd2-UserComment", "SECRET remark"}, {"exif-ifd2-CameraOwnerName", "SECRET owner"},
      {"exif-ifd2-BodySerialNumber", "SECRET12"}, {"exif-ifd2-LensSerialNumber", "SECRET34"},
      {"exif-ifd3-GPSLatitude", "51/1 30/1 0/1"},
  };
  VipsImage *image = small_picture();
  set_tags(image, tags, G_N_ELEMENTS(tags));
  g_autofree char *path = save_picture(image, "private.jpg", NULL);
  g_autofree char *bytes = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &bytes, &length, NULL));
  assert_non_null(memmem(bytes, length, "SECRET", 6));
  g_autoptr(PwPhoto) photo = open_or_fail(path);
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  const char *all[] = {facts->make, facts->model,  facts->lens,  facts->taken,
                       facts->zone, facts->colour, facts->format};
  for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
    assert_true(all[i] == NULL || strstr(all[i], "SECRET") == NULL);
  PwRender whole = {0};
  int width = 0, height = 0;
  g_autoptr(GBytes) jpeg = pw_photo_render_jpeg(photo, &whole, 90, &width, &height, NULL);
  gsize n = 0;
  const void *data = g_bytes_get_data(jpeg, &n);
  assert_null(memmem(data, n, "SECRET", 6));
  assert_null(memmem(data, n, "Exif", 4));
}

/* Where the stored picture's first pixel comes to lie (Exif 2.32, tag 0x0112: 1 top left, 2 top
 * right, 3 bottom right, 4 bottom left, 5 left top, 6 right top, 7 right bottom, 8 left bottom),
 * and back. */
static void
test_points_turn_upright_and_back(void **state G_GNUC_UNUSED)
{
  static const PwPx corner[] = {{0, 0}, {0, 0},  {60, 0},  {60, 40}, {0, 40},
                                {0, 0}, {40, 0}, {40, 60}, {0, 60}};
  for (int orientation = 1; orientation <= 8; orientation++) {
    PwPhotoFacts facts;
    pw_photo_facts_init(&facts);
    facts.orientation = orientation;
    facts.stored_width = 60;
    facts.stored_height = 40;
    facts.width = pw_orient_swaps(orientation) ? 40 : 60;
    facts.height = pw_orient_swaps(orientation) ? 60 : 40;
    PwPx first = pw_photo_facts_upright(&facts, (PwPx){0, 0});
    assert_int_equal((int)first.x, (int)corner[orientation].x);
    assert_int_equal((int)first.y, (int)corner[orientation].y);
    PwPx upright = pw_photo_facts_upright(&facts, (PwPx){7, 11});
    PwPx back = pw_orient_to_stored(orientation, 60, 40, upright);
    assert_int_equal((int)back.x, 7);
    assert_int_equal((int)back.y, 11);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_exposure_as_photographers_write_it),
      cmocka_unit_test(test_camera_name),
      cmocka_unit_test(test_exposure_line),
      cmocka_unit_test(test_moments_and_zones),
      cmocka_unit_test(test_texts_are_printable_and_short),
      cmocka_unit_test(test_focal_length_in_pixels),
      cmocka_unit_test(test_no_focal_length_without_camera_pixels),
      cmocka_unit_test(test_focal_plane_units),
      cmocka_unit_test(test_points_turn_upright_and_back),
      cmocka_unit_test(test_jpeg),
      cmocka_unit_test(test_nonsense_says_nothing),
      cmocka_unit_test(test_tags_in_the_first_directory),
      cmocka_unit_test(test_long_iso),
      cmocka_unit_test(test_flash),
      cmocka_unit_test(test_tiff),
      cmocka_unit_test(test_position_serial_and_owner_are_not_read),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
