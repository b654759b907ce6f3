#include "pictures.h"

#include <glib/gstdio.h>
#include <tiffio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <cmocka.h>

static char *folder;

int
pictures_setup(void **state G_GNUC_UNUSED)
{
  folder = g_dir_make_tmp("platewright-photo-XXXXXX", NULL);
  return folder != NULL && pw_photo_startup(NULL) ? 0 : -1;
}

int
pictures_teardown(void **state G_GNUC_UNUSED)
{
  GDir *dir = g_dir_open(folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
    g_autofree char *path = picture_path(name);
    g_remove(path);
  }
  g_dir_close(dir);
  g_rmdir(folder);
  g_free(folder);
  pw_photo_shutdown();
  return 0;
}

char *
picture_path(const char *name)
{
  return g_build_filename(folder, name, NULL);
}

char *
shared_case(const char *name)
{
  const char *shared = g_getenv("PW_SHARED");
  char *path = g_build_filename(shared != NULL ? shared : "", "cases", name, NULL);
  if (shared == NULL || !g_file_test(path, G_FILE_TEST_EXISTS)) {
    print_message("# no %s beside the project: the photographs with published truths are absent\n",
                  name);
    g_free(path);
    skip();
  }
  return path;
}

VipsImage *
flat_picture(int width, int height, int bands, VipsBandFormat format, VipsInterpretation kind,
             const double *values)
{
  VipsImage *black = NULL, *filled = NULL, *cast = NULL, *out = NULL;
  double ones[5] = {1, 1, 1, 1, 1};
  assert_int_equal(vips_black(&black, width, height, "bands", bands, NULL), 0);
  assert_int_equal(vips_linear(black, &filled, ones, values, bands, NULL), 0);
  assert_int_equal(vips_cast(filled, &cast, format, NULL), 0);
  assert_int_equal(vips_copy(cast, &out, "interpretation", kind, NULL), 0);
  g_object_unref(black);
  g_object_unref(filled);
  g_object_unref(cast);
  return out;
}

VipsImage *
noise_picture(int width, int height)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 8);
  VipsImage *out = NULL;
  for (int band = 0; band < 3; band++)
    assert_int_equal(vips_gaussnoise(&t[band], width, height, "mean", 90.0 + 30 * band, "sigma",
                                     60.0, "seed", 7 + band, NULL),
                     0);
  assert_int_equal(vips_bandjoin(t, &t[3], 3, NULL), 0);
  assert_int_equal(vips_gaussblur(t[3], &t[4], 1.0, NULL), 0);
  assert_int_equal(vips_cast_uchar(t[4], &t[5], NULL), 0);
  assert_int_equal(vips_copy(t[5], &out, "interpretation", VIPS_INTERPRETATION_sRGB, NULL), 0);
  g_object_unref(scope);
  return out;
}

/* Behind the start of the JPEG, in one APP2 segment (ICC.1:2010, B.4). vips would drop a profile
 * that does not fit, which is the very thing to be tested. */
static void
embed_in_jpeg(const char *path, GBytes *profile)
{
  static const char mark[14] = "ICC_PROFILE\0\1\1";
  g_autofree char *jpeg = NULL;
  gsize length = 0, n = 0;
  const char *icc = g_bytes_get_data(profile, &n);
  assert_true(g_file_get_contents(path, &jpeg, &length, NULL));
  g_autoptr(GString) out = g_string_new_len(jpeg, 2);
  g_string_append_len(out, "\xFF\xE2", 2);
  g_string_append_c(out, (char)((n + 16) >> 8));
  g_string_append_c(out, (char)((n + 16) & 0xFF));
  g_string_append_len(out, mark, sizeof mark);
  g_string_append_len(out, icc, (gssize)n);
  g_string_append_len(out, jpeg + 2, (gssize)length - 2);
  assert_true(g_file_set_contents(path, out->str, (gssize)out->len, NULL));
}

static void
embed_in_tiff(const char *path, GBytes *profile)
{
  gsize length = 0;
  const void *icc = g_bytes_get_data(profile, &length);
  TIFF *tiff = TIFFOpen(path, "r+");
  assert_non_null(tiff);
  assert_int_equal(TIFFSetField(tiff, TIFFTAG_ICCPROFILE, (guint32)length, icc), 1);
  assert_int_equal(TIFFRewriteDirectory(tiff), 1);
  TIFFClose(tiff);
}

static void
embed_in_png(VipsImage **image, GBytes *profile)
{
  VipsImage *copy = NULL;
  gsize length = 0;
  const void *icc = g_bytes_get_data(profile, &length);
  assert_int_equal(vips_copy(*image, &copy, NULL), 0);
  vips_image_set_blob_copy(copy, VIPS_META_ICC_NAME, icc, length);
  g_object_unref(*image);
  *image = copy;
}

char *
save_picture(VipsImage *image, const char *name, GBytes *profile)
{
  char *path = picture_path(name);
  gboolean jpeg = g_str_has_suffix(name, ".jpg"), tiff = g_str_has_suffix(name, ".tif");
  if (profile != NULL && !jpeg && !tiff)
    embed_in_png(&image, profile);
  if ((jpeg ? vips_jpegsave(image, path, "Q", 98, NULL)
            : vips_image_write_to_file(image, path, NULL)) != 0)
    fail_msg("%s: %s", name, vips_error_buffer());
  if (profile != NULL && jpeg)
    embed_in_jpeg(path, profile);
  if (profile != NULL && tiff)
    embed_in_tiff(path, profile);
  g_object_unref(image);
  return path;
}

PwPlane
render_path(const char *path, const PwRender *render)
{
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &error);
  if (photo == NULL || !pw_photo_render(photo, render, &plane, &error))
    fail_msg("%s", error->message);
  return plane;
}

void
plane_mean(const PwPlane *plane, double mean[3])
{
  int left = plane->width / 5, top = plane->height / 5;
  int w = plane->width - 2 * left, h = plane->height - 2 * top;
  mean[0] = mean[1] = mean[2] = 0;
  for (int y = top; y < top + h; y++)
    for (int x = left; x < left + w; x++)
      for (int c = 0; c < 3; c++)
        mean[c] += plane->pixels[(gsize)y * plane->stride + (gsize)x * 3 + (gsize)c];
  for (int c = 0; c < 3; c++)
    mean[c] /= (double)w * h;
}

char *
refusal_of(const char *path)
{
  PwRender whole = {0};
  PwPlane plane = {0};
  g_autoptr(GError) error = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &error);
  gboolean ok = photo != NULL && pw_photo_render(photo, &whole, &plane, &error);
  pw_plane_clear(&plane);
  return ok ? NULL : g_strdup(error->message);
}
