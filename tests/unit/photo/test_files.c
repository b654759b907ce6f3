/* Files: what is opened and what is not, originals left as they were, damaged and oversized ones
 * refused.
 */
#include "pictures.h"

#include "photo/photo-private.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <cmocka.h>

static GByteArray *
read_bytes(const char *path)
{
  char *bytes = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &bytes, &length, NULL));
  return g_byte_array_new_take((guint8 *)bytes, length);
}

static char *
write_bytes(const char *name, const guint8 *bytes, gsize length)
{
  char *path = picture_path(name);
  assert_true(g_file_set_contents(path, (const char *)bytes, (gssize)length, NULL));
  return path;
}

static void
assert_refused(const char *path, const char *part)
{
  g_autofree char *why = refusal_of(path);
  if (why == NULL)
    fail_msg("%s was read", path);
  assert_non_null(strstr(why, path));
  if (strstr(why, part) == NULL)
    fail_msg("\"%s\" does not say \"%s\"", why, part);
}

/* ---- Opening ----------------------------------------------------------------------- */

static void
test_names(void **state G_GNUC_UNUSED)
{
  static const char *const good[] = {"a.jpg", "a.JPG",  "b/c.d.jpeg", "a.tif", "a.TIFF",
                                     "a.Png", "a.heic", "a.HEIF",     "a.avif"};
  static const char *const bad[] = {"jpg", "a.jpg.yaml", "a.gif", "a.jpg~", "a.pdf", "", "a."};
  for (gsize i = 0; i < G_N_ELEMENTS(good); i++)
    assert_true(pw_photo_is_name(good[i]));
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    assert_false(pw_photo_is_name(bad[i]));
}

static void
test_links_and_what_is_no_file(void **state G_GNUC_UNUSED)
{
  g_autofree char *real = save_picture(noise_picture(32, 24), "real.jpg", NULL);
  g_autofree char *link_path = picture_path("link.jpg"), *pipe_path = picture_path("pipe.jpg");
  g_autofree char *missing = picture_path("missing.jpg"), *folder = g_path_get_dirname(real);
  assert_int_equal(symlink(real, link_path), 0);
  assert_int_equal(mkfifo(pipe_path, 0600), 0);
  assert_null(pw_photo_open(link_path, NULL));
  assert_null(pw_photo_open(pipe_path, NULL));
  assert_null(pw_photo_open(missing, NULL));
  assert_null(pw_photo_open(folder, NULL));
}

/* Decided by the first bytes; and even asked directly, vips has no other reader. */
static void
test_only_four_readers(void **state G_GNUC_UNUSED)
{
  static const char *const heads[] = {"%PDF-1.4 and so on, long enough to be sniffed",
                                      "GIF89a and so on, long enough to be sniffed",
                                      "<svg xmlns=\"http://www.w3.org/2000/svg\"/>    ",
                                      "P6 1 1 255 abc and so on, long enough         ",
                                      "",
                                      "\xFF"};
  for (gsize i = 0; i < G_N_ELEMENTS(heads); i++) {
    g_autofree char *path = write_bytes("other.jpg", (const guint8 *)heads[i], strlen(heads[i]));
    assert_refused(path, "not a JPEG, PNG, TIFF or HEIF picture");
    VipsImage *image = vips_image_new_from_file(path, NULL);
    assert_null(image);
  }
  vips_error_clear();
}

/* A good picture of another kind is no photograph either, and vips itself has forgotten how. */
static void
test_other_readers_are_blocked(void **state G_GNUC_UNUSED)
{
  static const char *const names[] = {"other.webp", "other.gif"};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    VipsImage *image = noise_picture(32, 24);
    g_autofree char *path = picture_path(names[i]);
    int saved = vips_image_write_to_file(image, path, NULL);
    g_object_unref(image);
    if (saved != 0)
      continue; /* this vips was built without */
    assert_refused(path, "not a JPEG, PNG, TIFF or HEIF picture");
    VipsImage *read = vips_image_new_from_file(path, NULL);
    assert_null(read);
  }
  vips_error_clear();
}

static void
test_content_decides_not_the_name(void **state G_GNUC_UNUSED)
{
  g_autofree char *png = save_picture(noise_picture(32, 24), "inside.png", NULL);
  g_autofree char *jpg = picture_path("inside.jpg");
  assert_int_equal(g_rename(png, jpg), 0);
  g_autoptr(PwPhoto) photo = pw_photo_open(jpg, NULL);
  assert_string_equal(pw_photo_peek_facts(photo)->format, "PNG");
}

static void
test_sha256(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(300, 200), "hash.jpg", NULL);
  g_autoptr(GByteArray) bytes = read_bytes(path);
  g_autofree char *want = g_compute_checksum_for_data(G_CHECKSUM_SHA256, bytes->data, bytes->len);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  for (int i = 0; i < 2; i++) {
    g_autofree char *sum = pw_photo_dup_sha256(photo, NULL);
    assert_string_equal(sum, want);
  }
}

/* Renamed under our hands it is the same file still; written to, it is not. */
static void
test_one_descriptor(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(64, 48), "before.jpg", NULL);
  g_autofree char *moved = picture_path("after.jpg");
  PwRender whole = {0};
  PwPlane plane = {0};
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_int_equal(g_rename(path, moved), 0);
  assert_true(pw_photo_render(photo, &whole, &plane, NULL));
  pw_plane_clear(&plane);
  FILE *file = fopen(moved, "ab");
  assert_true(file != NULL && fputc(0, file) == 0 && fclose(file) == 0);
  g_autoptr(GError) error = NULL, hash_error = NULL;
  assert_false(pw_photo_render(photo, &whole, &plane, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_STALE));
  assert_null(plane.pixels);
  assert_null(pw_photo_dup_sha256(photo, &hash_error));
  assert_true(g_error_matches(hash_error, PW_ERROR, PW_ERROR_STALE));
}

/* ---- Originals --------------------------------------------------------------------- */

static void
assert_untouched(const char *name)
{
  VipsImage *image = noise_picture(320, 200);
  g_autofree char *path = save_picture(image, name, NULL);
  g_autofree char *folder = g_path_get_dirname(path);
  g_autoptr(GByteArray) before = read_bytes(path);
  struct timespec times[2] = {{1000000000, 123456789}, {1100000000, 987654321}};
  struct stat was, is;
  assert_int_equal(utimensat(AT_FDCWD, path, times, 0), 0);
  assert_int_equal(chmod(path, 0440), 0);
  assert_int_equal(chmod(folder, 0555), 0);
  assert_int_equal(stat(path, &was), 0);
  PwRender half = {.width = 160, .height = 100};
  int width, height;
  PwPhoto *photo = pw_photo_open(path, NULL);
  g_autofree char *sum = pw_photo_dup_sha256(photo, NULL);
  g_autoptr(GBytes) jpeg = pw_photo_render_jpeg(photo, &half, 90, &width, &height, NULL);
  pw_photo_free(photo);
  assert_true(sum != NULL && jpeg != NULL);
  assert_int_equal(stat(path, &is), 0);
  assert_int_equal(chmod(folder, 0755), 0);
  assert_int_equal(was.st_mode, is.st_mode);
  assert_int_equal(was.st_size, is.st_size);
  assert_memory_equal(&was.st_mtim, &is.st_mtim, sizeof was.st_mtim);
  assert_memory_equal(&was.st_ctim, &is.st_ctim, sizeof was.st_ctim);
  assert_memory_equal(&was.st_atim, &is.st_atim, sizeof was.st_atim);
  g_autoptr(GByteArray) after = read_bytes(path);
  assert_int_equal(before->len, after->len);
  assert_memory_equal(before->data, after->data, before->len);
}

static void
test_originals_are_left_as_they_were(void **state G_GNUC_UNUSED)
{
  assert_untouched("original.jpg");
  assert_untouched("original.tif");
  assert_untouched("original.png");
}

/* ---- Damage ------------------------------------------------------------------------ */

static void
assert_cut_is_refused(const char *path, const char *name)
{
  static const double kept[] = {0.02, 0.3, 0.5, 0.9};
  g_autoptr(GByteArray) bytes = read_bytes(path);
  for (gsize i = 0; i < G_N_ELEMENTS(kept); i++) {
    g_autofree char *cut = write_bytes(name, bytes->data, (gsize)(bytes->len * kept[i]));
    g_autofree char *why = refusal_of(cut);
    if (why == NULL)
      fail_msg("%s was read with %.0f %% of its bytes", name, 100 * kept[i]);
    assert_non_null(strstr(why, name));
  }
}

static void
test_cut_files_are_refused(void **state G_GNUC_UNUSED)
{
  g_autofree char *jpeg = save_picture(noise_picture(400, 300), "whole.jpg", NULL);
  g_autofree char *png = save_picture(noise_picture(400, 300), "whole.png", NULL);
  g_autofree char *tiff = save_picture(noise_picture(400, 300), "whole.tif", NULL);
  assert_cut_is_refused(jpeg, "cut.jpg");
  assert_cut_is_refused(png, "cut.png");
  assert_cut_is_refused(tiff, "cut.tif");
}

static char *
save_progressive(const char *name, int width, int height)
{
  char *path = picture_path(name);
  VipsImage *image = noise_picture(width, height);
  assert_int_equal(vips_jpegsave(image, path, "interlace", TRUE, NULL), 0);
  g_object_unref(image);
  return path;
}

static void
test_cut_progressive_is_refused(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_progressive("progressive.jpg", 400, 300);
  g_autofree char *why = refusal_of(path);
  assert_null(why);
  assert_cut_is_refused(path, "cut-progressive.jpg");
}

/* A file cut in the middle must not come out half grey from a shrinking decoder either. */
static void
test_cut_is_refused_when_shrunk(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1600, 1200), "big.jpg", NULL);
  g_autoptr(GByteArray) bytes = read_bytes(path);
  g_autofree char *cut = write_bytes("big-cut.jpg", bytes->data, bytes->len / 2);
  g_autoptr(PwPhoto) photo = pw_photo_open(cut, NULL);
  assert_non_null(photo);
  for (int width = 50; width <= 800; width *= 2) {
    PwRender render = {.width = width};
    int w, h;
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) jpeg = pw_photo_render_jpeg(photo, &render, 90, &w, &h, &error);
    assert_null(jpeg);
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  }
}

/* ---- Size -------------------------------------------------------------------------- */

static guint8 *
find_marker(GByteArray *bytes, guint8 marker, gboolean last)
{
  guint8 *found = NULL;
  for (guint i = 0; i + 1 < bytes->len && (found == NULL || last); i++)
    if (bytes->data[i] == 0xFF && bytes->data[i + 1] == marker)
      found = bytes->data + i;
  return found;
}

/* The frame header's height and width, ITU-T T.81, B.2.2. */
static char *
jpeg_claiming(const char *from, guint8 frame, const char *name, guint width, guint height)
{
  g_autoptr(GByteArray) bytes = read_bytes(from);
  guint8 *sof = find_marker(bytes, frame, FALSE);
  assert_non_null(sof);
  sof[5] = (guint8)(height >> 8);
  sof[6] = (guint8)height;
  sof[7] = (guint8)(width >> 8);
  sof[8] = (guint8)width;
  return write_bytes(name, bytes->data, bytes->len);
}

static void
test_too_many_pixels(void **state G_GNUC_UNUSED)
{
  g_autofree char *baseline = save_picture(noise_picture(64, 48), "size.jpg", NULL);
  g_autofree char *progressive = save_progressive("size-progressive.jpg", 64, 48);
  g_autofree char *huge = jpeg_claiming(baseline, 0xC0, "huge.jpg", 40000, 25001);
  assert_refused(huge, "at most 1000 million");
  g_autofree char *held = jpeg_claiming(progressive, 0xC2, "held.jpg", 20000, 12801);
  assert_refused(held, "at most 256 million");
}

/* The last scan of a progressive JPEG over and over: allowed by the standard, hours of work. */
static void
test_too_many_scans(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_progressive("scans.jpg", 64, 48);
  g_autoptr(GByteArray) bytes = read_bytes(path);
  guint8 *last = find_marker(bytes, 0xDA, TRUE);
  guint from = (guint)(last - bytes->data), length = bytes->len - 2 - from;
  g_autofree guint8 *scan = g_memdup2(last, length);
  g_byte_array_set_size(bytes, bytes->len - 2);
  for (int i = 0; i < PW_PHOTO_SCANS_MAX; i++)
    g_byte_array_append(bytes, scan, length);
  g_byte_array_append(bytes, (const guint8 *)"\xFF\xD9", 2);
  g_autofree char *many = write_bytes("many-scans.jpg", bytes->data, bytes->len);
  assert_refused(many, "more scans than a picture needs");
}

static void
test_scans_are_counted(void **state G_GNUC_UNUSED)
{
  g_autofree char *baseline = save_picture(noise_picture(64, 48), "scan1.jpg", NULL);
  int fd = g_open(baseline, O_RDONLY, 0);
  PwJpegScans scans;
  pw_jpeg_count_scans(fd, PW_PHOTO_SCANS_MAX, &scans);
  close(fd);
  assert_int_equal(scans.scans, 1);
  assert_false(scans.whole);
  g_autofree char *progressive = save_progressive("scan10.jpg", 64, 48);
  fd = g_open(progressive, O_RDONLY, 0);
  pw_jpeg_count_scans(fd, PW_PHOTO_SCANS_MAX, &scans);
  close(fd);
  /* libjpeg's own script for three components has ten (jcparam.c, jpeg_simple_progression). */
  assert_int_equal(scans.scans, 10);
  assert_true(scans.whole);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_names),
      cmocka_unit_test(test_links_and_what_is_no_file),
      cmocka_unit_test(test_only_four_readers),
      cmocka_unit_test(test_other_readers_are_blocked),
      cmocka_unit_test(test_content_decides_not_the_name),
      cmocka_unit_test(test_sha256),
      cmocka_unit_test(test_one_descriptor),
      cmocka_unit_test(test_originals_are_left_as_they_were),
      cmocka_unit_test(test_cut_files_are_refused),
      cmocka_unit_test(test_cut_progressive_is_refused),
      cmocka_unit_test(test_cut_is_refused_when_shrunk),
      cmocka_unit_test(test_too_many_pixels),
      cmocka_unit_test(test_too_many_scans),
      cmocka_unit_test(test_scans_are_counted),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
