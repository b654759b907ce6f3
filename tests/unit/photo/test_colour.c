/* Colour: whatever the samples are, the rendered sRGB is what the eye was meant to see. First of
 * all an untagged photograph comes out with the numbers it went in with.
 */
#include "pictures.h"

#include <lcms2.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

/* Rounding to 8 bits twice, and JPEG's own loss on a flat field. */
#define ROUNDING 1.1
/* Nothing was converted. */
#define EXACT 1e-9
/* 16-bit profiles, their curves in tables, a matrix rounded to 16 bits. */
#define PROFILE_ROUNDING 1.6

static const double brown[3] = {180, 110, 70}, moss[3] = {90, 120, 100};

/* ---- Profiles, made by lcms2 ------------------------------------------------------- */

static GBytes *
bytes_of(cmsHPROFILE profile)
{
  cmsUInt32Number length = 0;
  assert_true(cmsSaveProfileToMem(profile, NULL, &length));
  void *bytes = g_malloc(length);
  assert_true(cmsSaveProfileToMem(profile, bytes, &length));
  cmsCloseProfile(profile);
  return g_bytes_new_take(bytes, length);
}

static GBytes *
rgb_profile(double red_x, double red_y, double green_x, double green_y, cmsToneCurve *curve)
{
  cmsCIExyY d65 = {0.3127, 0.3290, 1};
  cmsCIExyYTRIPLE primaries = {{red_x, red_y, 1}, {green_x, green_y, 1}, {0.15, 0.06, 1}};
  cmsToneCurve *curves[3] = {curve, curve, curve};
  GBytes *bytes = bytes_of(cmsCreateRGBProfile(&d65, &primaries, curves));
  cmsFreeToneCurve(curve);
  return bytes;
}

/* Adobe RGB (1998) Color Image Encoding, 2005-05: primaries and gamma 563/256. */
static GBytes *
adobe_rgb(void)
{
  return rgb_profile(0.64, 0.33, 0.21, 0.71, cmsBuildGamma(NULL, 563.0 / 256.0));
}

/* Display P3: the primaries of SMPTE RP 431-2, the curve of IEC 61966-2-1. */
static GBytes *
display_p3(void)
{
  const double srgb[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  return rgb_profile(0.68, 0.32, 0.265, 0.69, cmsBuildParametricToneCurve(NULL, 4, srgb));
}

static GBytes *
grey_profile(double gamma)
{
  cmsToneCurve *curve = cmsBuildGamma(NULL, gamma);
  GBytes *bytes = bytes_of(cmsCreateGrayProfile(cmsD50_xyY(), curve));
  cmsFreeToneCurve(curve);
  return bytes;
}

/* An ink of which black alone counts, evenly: L* = 100 (1 - K). No real press does this, so that a
 * profile passed over cannot look like one obeyed. */
static cmsInt32Number
black_alone(const cmsUInt16Number in[], cmsUInt16Number out[], void *user G_GNUC_UNUSED)
{
  cmsCIELab lab = {100.0 * (1 - in[3] / 65535.0), 0, 0};
  cmsFloat2LabEncoded(out, &lab);
  return TRUE;
}

static GBytes *
cmyk_profile(void)
{
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(NULL);
  cmsPipeline *pipeline = cmsPipelineAlloc(NULL, 4, 3);
  cmsStage *clut = cmsStageAllocCLut16bit(NULL, 3, 4, 3, NULL);
  cmsMLU *name = cmsMLUalloc(NULL, 1);
  assert_true(cmsStageSampleCLut16bit(clut, black_alone, NULL, 0));
  assert_true(cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 4, NULL)));
  assert_true(cmsPipelineInsertStage(pipeline, cmsAT_END, clut));
  assert_true(cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(NULL, 3, NULL)));
  assert_true(cmsMLUsetASCII(name, "en", "US", "Black alone"));
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigOutputClass);
  cmsSetColorSpace(profile, cmsSigCmykData);
  cmsSetPCS(profile, cmsSigLabData);
  assert_true(cmsWriteTag(profile, cmsSigAToB0Tag, pipeline));
  assert_true(cmsWriteTag(profile, cmsSigAToB1Tag, pipeline));
  assert_true(cmsWriteTag(profile, cmsSigProfileDescriptionTag, name));
  assert_true(cmsWriteTag(profile, cmsSigMediaWhitePointTag, cmsD50_XYZ()));
  cmsPipelineFree(pipeline);
  cmsMLUfree(name);
  return bytes_of(profile);
}

static GBytes *
junk(void)
{
  static const char text[] =
      "this is no profile, whatever the segment says; it is long enough to "
      "hold a header of one hundred and twenty-eight bytes, though, and a bit "
      "more besides, in case somebody counts.";
  return g_bytes_new_static(text, sizeof text);
}

/* A good profile cut in the middle of its tags. */
static GBytes *
cut(GBytes *whole)
{
  GBytes *part = g_bytes_new_from_bytes(whole, 0, g_bytes_get_size(whole) / 2);
  g_bytes_unref(whole);
  return part;
}

/* ---- The check --------------------------------------------------------------------- */

/* Renders and compares. With `words`, the facts must call the colours so. */
static void
check_file(const char *path, const double want[3], double tolerance, const char *words)
{
  g_autofree char *name = g_path_get_basename(path);
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &error);
  PwRender render = {.width = 40, .height = 30};
  PwPlane plane = {0};
  double mean[3];
  if (photo == NULL || !pw_photo_render(photo, &render, &plane, &error))
    fail_msg("%s", error->message);
  assert_int_equal(plane.channels, 3);
  plane_mean(&plane, mean);
  print_message("# %s: %.2f %.2f %.2f, wanted %.2f %.2f %.2f\n", name, mean[0], mean[1], mean[2],
                want[0], want[1], want[2]);
  for (int c = 0; c < 3; c++)
    assert_true(fabs(mean[c] - want[c]) <= tolerance);
  if (words != NULL)
    assert_string_equal(pw_photo_peek_facts(photo)->colour, words);
  pw_plane_clear(&plane);
}

static void
check(VipsImage *image, const char *name, GBytes *profile, const double want[3], double tolerance,
      const char *words)
{
  g_autofree char *path = save_picture(image, name, profile);
  check_file(path, want, tolerance, words);
  if (profile != NULL)
    g_bytes_unref(profile);
}

static VipsImage *
flat8(const double *rgb)
{
  return flat_picture(160, 120, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, rgb);
}

static VipsImage *
flat16(const double *rgb)
{
  const double wide[3] = {rgb[0] * 257, rgb[1] * 257, rgb[2] * 257};
  return flat_picture(160, 120, 3, VIPS_FORMAT_USHORT, VIPS_INTERPRETATION_RGB16, wide);
}

static VipsImage *
flat_grey(double value, gboolean wide)
{
  const double sample = wide ? value * 257 : value;
  return flat_picture(160, 120, 1, wide ? VIPS_FORMAT_USHORT : VIPS_FORMAT_UCHAR,
                      wide ? VIPS_INTERPRETATION_GREY16 : VIPS_INTERPRETATION_B_W, &sample);
}

static VipsImage *
flat_cmyk(const double *inks)
{
  return flat_picture(160, 120, 4, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_CMYK, inks);
}

/* ---- Tests ------------------------------------------------------------------------- */

static void
test_untagged_does_not_shift(void **state G_GNUC_UNUSED)
{
  check(flat8(brown), "untagged.jpg", NULL, brown, ROUNDING, "untagged, taken as sRGB");
  check(flat8(moss), "untagged8.png", NULL, moss, ROUNDING, NULL);
  check(flat8(moss), "untagged8.tif", NULL, moss, ROUNDING, NULL);
  check(flat16(brown), "untagged16.tif", NULL, brown, ROUNDING, "untagged, taken as sRGB");
  check(flat16(moss), "untagged16.png", NULL, moss, ROUNDING, NULL);
}

/* Values by the two standards' matrices and curves, worked out apart from any colour library. */
static void
test_adobe_rgb(void **state G_GNUC_UNUSED)
{
  const double want[3] = {201.50, 110.48, 65.70}, want_moss[3] = {72.46, 120.82, 99.06};
  check(flat8(brown), "adobe.jpg", adobe_rgb(), want, PROFILE_ROUNDING, "RGB built-in");
  check(flat16(brown), "adobe16.tif", adobe_rgb(), want, PROFILE_ROUNDING, NULL);
  check(flat8(moss), "adobe.png", adobe_rgb(), want_moss, PROFILE_ROUNDING, NULL);
}

/* DCF 2.0: a camera set to Adobe RGB may say so in EXIF alone. Here by raw bytes: big-endian, the
 * colour space 65535 and, in the interoperability directory, "R03" or "R98" (sRGB). */
static char *
save_with_exif(const char *name, const char *index)
{
  guint8 block[] = {'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8,
                    /* 8: the first directory points to the Exif directory at 26 */
                    0, 1, 0x87, 0x69, 0, 4, 0, 0, 0, 1, 0, 0, 0, 26, 0, 0, 0, 0,
                    /* 26: colour space, and the interoperability directory at 56 */
                    0, 2, 0xA0, 0x01, 0, 3, 0, 0, 0, 1, 0xFF, 0xFF, 0, 0, 0xA0, 0x05, 0, 4, 0, 0, 0,
                    1, 0, 0, 0, 56, 0, 0, 0, 0,
                    /* 56 */
                    0, 1, 0, 1, 0, 2, 0, 0, 0, 4, 'R', 0, 0, 0, 0, 0, 0, 0};
  memcpy(block + 6 + 56 + 10, index, 3);
  g_autofree char *plain = save_picture(flat8(brown), "plain.jpg", NULL);
  g_autofree char *jpeg = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(plain, &jpeg, &length, NULL));
  g_autoptr(GString) out = g_string_new_len(jpeg, 2);
  g_string_append_len(out, "\xFF\xE1\0", 3);
  g_string_append_c(out, (char)(sizeof block + 2));
  g_string_append_len(out, (const char *)block, sizeof block);
  g_string_append_len(out, jpeg + 2, (gssize)length - 2);
  char *path = picture_path(name);
  assert_true(g_file_set_contents(path, out->str, (gssize)out->len, NULL));
  return path;
}

static void
test_adobe_rgb_by_exif_alone(void **state G_GNUC_UNUSED)
{
  const double want[3] = {201.50, 110.48, 65.70};
  g_autofree char *path = save_with_exif("r03.jpg", "R03");
  check_file(path, want, PROFILE_ROUNDING, "Adobe RGB (1998), by EXIF alone");
  g_autofree char *other = save_with_exif("r98.jpg", "R98");
  check_file(other, brown, ROUNDING, "untagged, taken as sRGB");
}

/* IEC 61966-2-1 as a profile: many cameras embed it, and it must move nothing. */
static GBytes *
srgb_profile(void)
{
  return bytes_of(cmsCreate_sRGBProfile());
}

static void
test_srgb_profile_moves_nothing(void **state G_GNUC_UNUSED)
{
  check(flat8(brown), "srgb.png", srgb_profile(), brown, EXACT, NULL);
  check(flat8(moss), "srgb.tif", srgb_profile(), moss, EXACT, NULL);
  check(flat16(moss), "srgb16.tif", srgb_profile(), moss, ROUNDING, NULL);
}

static void
test_display_p3(void **state G_GNUC_UNUSED)
{
  const double want[3] = {191.49, 105.71, 60.58}, want_moss[3] = {81.34, 121.06, 98.40};
  check(flat8(brown), "p3.jpg", display_p3(), want, PROFILE_ROUNDING, NULL);
  check(flat8(moss), "p3.tif", display_p3(), want_moss, PROFILE_ROUNDING, NULL);
}

static void
test_unusable_profiles(void **state G_GNUC_UNUSED)
{
  const char *words = "a profile that cannot be used, taken as sRGB";
  check(flat8(brown), "junk.jpg", junk(), brown, ROUNDING, words);
  check(flat8(brown), "cut.jpg", cut(adobe_rgb()), brown, ROUNDING, words);
  check(flat8(brown), "lab-profile.jpg", bytes_of(cmsCreateLab4Profile(NULL)), brown, ROUNDING,
        NULL);
  check(flat8(brown), "grey-profile.jpg", grey_profile(1.8), brown, ROUNDING, words);
  check(flat16(brown), "junk16.tif", junk(), brown, ROUNDING, words);
}

static void
test_cmyk(void **state G_GNUC_UNUSED)
{
  const double black[4] = {0, 0, 0, 128};
  /* L* 49.80 by CIE 15, encoded by IEC 61966-2-1. */
  const double want[3] = {118.42, 118.42, 118.42};
  check(flat_cmyk(black), "cmyk.tif", cmyk_profile(), want, PROFILE_ROUNDING, "Black alone");
  check(flat_cmyk(black), "cmyk.jpg", cmyk_profile(), want, PROFILE_ROUNDING, "Black alone");
}

/* Without a profile nobody knows; but it must look like print: no ink white, cyan bluish. */
static void
test_cmyk_without_profile(void **state G_GNUC_UNUSED)
{
  const double none[4] = {0, 0, 0, 0}, cyan[4] = {200, 0, 0, 0};
  g_autofree char *white_path = save_picture(flat_cmyk(none), "cmyk-none.tif", NULL);
  g_autofree char *cyan_path = save_picture(flat_cmyk(cyan), "cmyk-cyan.tif", junk());
  PwRender whole = {0};
  double mean[3];
  PwPlane plane = render_path(white_path, &whole);
  plane_mean(&plane, mean);
  assert_true(mean[0] > 250 && mean[1] > 250 && mean[2] > 250);
  pw_plane_clear(&plane);
  plane = render_path(cyan_path, &whole);
  plane_mean(&plane, mean);
  assert_true(mean[0] < 120 && mean[1] > 140 && mean[2] > 180);
  pw_plane_clear(&plane);
}

static void
test_grey(void **state G_GNUC_UNUSED)
{
  const double same[3] = {128, 128, 128};
  /* (128/255)^1.8 encoded by IEC 61966-2-1. */
  const double gamma18[3] = {146.41, 146.41, 146.41};
  check(flat_grey(128, FALSE), "grey.jpg", NULL, same, ROUNDING,
        "untagged grey, taken as sRGB grey");
  check(flat_grey(128, TRUE), "grey16.tif", NULL, same, ROUNDING, NULL);
  check(flat_grey(128, FALSE), "grey18.jpg", grey_profile(1.8), gamma18, PROFILE_ROUNDING, NULL);
  check(flat_grey(128, TRUE), "grey18-16.tif", grey_profile(1.8), gamma18, PROFILE_ROUNDING, NULL);
  check(flat_grey(128, FALSE), "grey-rgb.jpg", adobe_rgb(), same, ROUNDING,
        "grey with a profile that cannot be used, taken as sRGB grey");
  check(flat_grey(128, TRUE), "grey-rgb16.tif", adobe_rgb(), same, ROUNDING, NULL);
}

/* L* 60, a* 20, b* 30 under D50 by CIE 15, the Bradford matrix and IEC 61966-2-1. */
static void
test_lab(void **state G_GNUC_UNUSED)
{
  const double lab[3] = {60, 20, 30}, want[3] = {188.91, 130.58, 92.53};
  VipsImage *image = flat_picture(160, 120, 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_LAB, lab);
  VipsImage *packed = NULL;
  assert_int_equal(vips_Lab2LabQ(image, &packed, NULL), 0);
  g_object_unref(image);
  check(packed, "lab.tif", NULL, want, PROFILE_ROUNDING, "CIELAB");
  image = flat_picture(160, 120, 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_LAB, lab);
  check(image, "lab-with-profile.tif", adobe_rgb(), want, PROFILE_ROUNDING, "CIELAB");
}

static void
test_alpha_is_laid_on_white(void **state G_GNUC_UNUSED)
{
  const double half8[4] = {180, 110, 70, 128}, half16[4] = {180 * 257, 110 * 257, 70 * 257, 32768};
  const double want[3] = {217.35, 182.22, 162.14}, half_grey[2] = {100, 128},
               want_grey[3] = {177.2, 177.2, 177.2};
  check(flat_picture(160, 120, 4, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, half8), "rgba.png",
        NULL, want, ROUNDING, NULL);
  check(flat_picture(160, 120, 4, VIPS_FORMAT_USHORT, VIPS_INTERPRETATION_RGB16, half16),
        "rgba16.tif", NULL, want, ROUNDING, NULL);
  check(flat_picture(160, 120, 2, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_B_W, half_grey), "ga.png",
        NULL, want_grey, ROUNDING, NULL);
}

/* No ink is white: half of half the black is L* 74.8. */
static void
test_alpha_over_ink(void **state G_GNUC_UNUSED)
{
  const double half[5] = {0, 0, 0, 128, 128}, want[3] = {184.06, 184.06, 184.06};
  check(flat_picture(160, 120, 5, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_CMYK, half), "cmyka.tif",
        cmyk_profile(), want, PROFILE_ROUNDING, NULL);
}

static void
test_floating_point_is_refused(void **state G_GNUC_UNUSED)
{
  const double values[3] = {0.5, 0.4, 0.3};
  g_autofree char *path =
      save_picture(flat_picture(16, 16, 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_scRGB, values),
                   "float.tif", NULL);
  g_autofree char *why = refusal_of(path);
  assert_non_null(why);
  assert_non_null(strstr(why, "float.tif: its samples"));
}

/* Greys of equal Y by IEC 61966-2-1, worked out apart. */
static void
test_grey_keeps_lightness(void **state G_GNUC_UNUSED)
{
  static const struct {
    double rgb[3], grey;
  } rows[] = {{{255, 0, 0}, 127.10}, {{0, 0, 255}, 75.96}, {{180, 110, 70}, 127.21}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autofree char *path = save_picture(flat8(rows[i].rgb), "lightness.png", NULL);
    PwRender render = {.grey = TRUE};
    PwPlane plane = render_path(path, &render);
    double mean[3];
    plane_mean(&plane, mean);
    for (int c = 0; c < 3; c++)
      assert_true(fabs(mean[c] - rows[i].grey) <= ROUNDING);
    pw_plane_clear(&plane);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_untagged_does_not_shift),
      cmocka_unit_test(test_adobe_rgb),
      cmocka_unit_test(test_adobe_rgb_by_exif_alone),
      cmocka_unit_test(test_srgb_profile_moves_nothing),
      cmocka_unit_test(test_display_p3),
      cmocka_unit_test(test_unusable_profiles),
      cmocka_unit_test(test_cmyk),
      cmocka_unit_test(test_cmyk_without_profile),
      cmocka_unit_test(test_grey),
      cmocka_unit_test(test_lab),
      cmocka_unit_test(test_alpha_is_laid_on_white),
      cmocka_unit_test(test_alpha_over_ink),
      cmocka_unit_test(test_floating_point_is_refused),
      cmocka_unit_test(test_grey_keeps_lightness),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
