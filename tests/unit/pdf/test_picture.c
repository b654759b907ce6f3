/* Pictures: the very JPEG that was given lies in the file, once, and nothing else does. */
#include "look.h"

#include <glib/gstdio.h>

/* The pictures of the file, taken out again by pdfimages: one GBytes each. */
static GPtrArray *
take_pictures_out(GBytes *pdf)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp("platewright-test-XXXXXX", &error);
  assert_non_null(folder);
  g_autofree char *root = g_build_filename(folder, "p", NULL);
  g_autofree char *said = look_with(pdf, NULL, "pdfimages", "-all", "{}", root, NULL);
  assert_string_equal(said, "");
  GPtrArray *pictures = g_ptr_array_new_with_free_func((GDestroyNotify)g_bytes_unref);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    char *data = NULL;
    gsize length = 0;
    assert_true(g_file_get_contents(path, &data, &length, NULL));
    g_ptr_array_add(pictures, g_bytes_new_take(data, length));
    g_unlink(path);
  }
  g_rmdir(folder);
  return pictures;
}

static void
the_bytes_are_untouched(void **state)
{
  (void)state;
  for (int channels = 1; channels <= 3; channels += 2) {
    PwPdf *pdf = look_new();
    g_autoptr(GBytes) jpeg = look_jpeg(301, 203, channels);
    pw_pdf_draw_jpeg(pdf, jpeg, 301, 203, 20.3, 11.7, 60.2, 40.6);
    g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
    g_autoptr(GPtrArray) pictures = take_pictures_out(bytes);
    assert_int_equal(pictures->len, 1);
    assert_true(g_bytes_equal(g_ptr_array_index(pictures, 0), jpeg));
    g_autofree char *list = look_with(bytes, NULL, "pdfimages", "-list", "{}", NULL);
    assert_holds(list, "jpeg");
    assert_holds_not(list, "smask");
  }
}

static void
a_picture_drawn_twice_is_stored_once(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  g_autoptr(GBytes) jpeg = look_jpeg(400, 300, 3), other = look_jpeg(200, 150, 3);
  pw_pdf_draw_jpeg(pdf, jpeg, 400, 300, 20, 10, 40, 30);
  pw_pdf_begin_page(pdf, 210, 100);
  pw_pdf_draw_jpeg(pdf, jpeg, 400, 300, 20, 10, 80, 60);
  pw_pdf_draw_jpeg(pdf, other, 200, 150, 120, 10, 80, 60);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = look_objects(bytes);
  g_auto(GStrv) parts = g_strsplit(objects, "\"/Filter\": \"/DCTDecode\"", -1);
  assert_int_equal(g_strv_length(parts) - 1, 2);
}

/* 60 mm across 300 px are 127 px to the inch, along both axes. */
static void
a_picture_has_its_size_on_paper(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  g_autoptr(GBytes) jpeg = look_jpeg(300, 200, 3);
  pw_pdf_draw_jpeg(pdf, jpeg, 300, 200, 20, 10, 60, 40);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *list = look_with(bytes, NULL, "pdfimages", "-list", "{}", NULL);
  assert_holds(list, " 127   127 ");
}

static void
assert_refused(GBytes *jpeg, int width, int height, const char *words)
{
  PwPdf *pdf = look_new();
  g_autoptr(GError) error = NULL;
  pw_pdf_draw_jpeg(pdf, jpeg, width, height, 20, 10, 60, 40);
  assert_null(pw_pdf_finish(pdf, NULL, NULL, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_holds(error->message, words);
  pw_pdf_free(pdf);
}

/* Cairo would draw a black box for each of these and say nothing. */
static void
what_is_no_such_jpeg_is_refused(void **state)
{
  (void)state;
  g_autoptr(GBytes) jpeg = look_jpeg(300, 200, 3);
  g_autoptr(GBytes) cut = g_bytes_new_from_bytes(jpeg, 0, 30);
  g_autoptr(GBytes) junk = g_bytes_new_static("GIF89a", 6);
  g_autoptr(GBytes) nothing = g_bytes_new_static("", 0);
  assert_refused(jpeg, 300, 201, "is 300 x 200, not 300 x 201 px");
  assert_refused(cut, 300, 200, "no baseline JPEG");
  assert_refused(junk, 300, 200, "no baseline JPEG");
  assert_refused(nothing, 300, 200, "no baseline JPEG");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_bytes_are_untouched),
      cmocka_unit_test(a_picture_drawn_twice_is_stored_once),
      cmocka_unit_test(a_picture_has_its_size_on_paper),
      cmocka_unit_test(what_is_no_such_jpeg_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
