/* What the tests of pdf look at a file with. */
#include "look.h"

#include <glib/gstdio.h>
#include <unistd.h>
#include <vips/vips.h>

PwPdf *
look_new(void)
{
  g_autoptr(GError) error = NULL;
  PwPdfInfo info = {.title = "Plates of a ledger: before & after <é>",
                    .author = "The bindery",
                    .subject = "condition",
                    .language = "en",
                    .date = "2026-03-02T10:14:07+01:00"};
  PwPdf *pdf = pw_pdf_new(&info, &error);
  if (pdf == NULL)
    fail_msg("%s", error->message);
  pw_pdf_begin_page(pdf, 210, 100);
  return pdf;
}

GBytes *
look_finish(PwPdf *pdf, gboolean *archival, char **why)
{
  g_autoptr(GError) error = NULL;
  GBytes *bytes = pw_pdf_finish(pdf, archival, why, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  pw_pdf_free(pdf);
  return bytes;
}

PwFace
look_face(const char *family)
{
  return (PwFace){.family = family, .size_pt = 10, .leading_pt = 12, .r = 0.1, .g = 0.1, .b = 0.1};
}

void
look_line(PwPdf *pdf, const PwFace *face, const char *words, double y_mm)
{
  g_autoptr(PwText) text = pw_text_new(pdf, face, words, 0);
  pw_text_draw(text, 20, y_mm, 0, 0, 0);
}

GBytes *
look_jpeg(int width, int height, int channels)
{
  VipsImage *noise = NULL, *cast = NULL, *joined = NULL;
  void *data = NULL;
  size_t length = 0;
  assert_int_equal(vips_init("test-pdf"), 0);
  assert_int_equal(vips_gaussnoise(&noise, width, height, "seed", 7, NULL), 0);
  assert_int_equal(vips_cast_uchar(noise, &cast, NULL), 0);
  VipsImage *bands[] = {cast, cast, cast};
  assert_int_equal(vips_bandjoin(bands, &joined, channels, NULL), 0);
  joined->Type = channels == 1 ? VIPS_INTERPRETATION_B_W : VIPS_INTERPRETATION_sRGB;
  assert_int_equal(vips_jpegsave_buffer(joined, &data, &length, "Q", 90, "strip", TRUE, NULL), 0);
  g_object_unref(joined);
  g_object_unref(cast);
  g_object_unref(noise);
  return g_bytes_new_take(data, length);
}

static char *
dup_path_with(GBytes *pdf)
{
  char *path = NULL;
  int fd = g_file_open_tmp("platewright-test-XXXXXX.pdf", &path, NULL);
  assert_true(fd >= 0);
  close(fd);
  gsize length = 0;
  const char *data = g_bytes_get_data(pdf, &length);
  assert_true(g_file_set_contents(path, data, (gssize)length, NULL));
  return path;
}

static char *
run(GBytes *pdf, int *status, GPtrArray *arguments)
{
  g_autofree char *path = dup_path_with(pdf);
  for (guint i = 0; i < arguments->len; i++)
    if (g_str_equal(g_ptr_array_index(arguments, i), "{}")) {
      g_free(g_ptr_array_index(arguments, i));
      g_ptr_array_index(arguments, i) = g_strdup(path);
    }
  g_ptr_array_add(arguments, NULL);
  char *out = NULL;
  int wait_status = 0;
  g_autoptr(GError) error = NULL;
  gboolean ran = g_spawn_sync(NULL, (char **)arguments->pdata, NULL, G_SPAWN_SEARCH_PATH, NULL,
                              NULL, &out, NULL, &wait_status, &error);
  g_unlink(path);
  if (!ran || (WIFEXITED(wait_status) && WEXITSTATUS(wait_status) == 77)) {
    print_message("# %s is not here\n", (const char *)g_ptr_array_index(arguments, 0));
    skip();
  }
  if (status != NULL)
    *status = wait_status;
  return out;
}

char *
look_with(GBytes *pdf, int *status, const char *tool, ...)
{
  g_autoptr(GPtrArray) arguments = g_ptr_array_new_with_free_func(g_free);
  va_list more;
  va_start(more, tool);
  for (const char *argument = tool; argument != NULL; argument = va_arg(more, const char *))
    g_ptr_array_add(arguments, g_strdup(argument));
  va_end(more);
  return run(pdf, status, arguments);
}

char *
look_preflight(GBytes *pdf)
{
  g_autofree char *tool =
      g_build_filename(g_getenv("PW_SOURCE"), "tests", "tools", "preflight", NULL);
  return look_with(pdf, NULL, tool, "{}", NULL);
}

char *
look_objects(GBytes *pdf)
{
  return look_with(pdf, NULL, "qpdf", "--json", "--json-stream-data=inline", "--decode-level=none",
                   "{}", NULL);
}

void
assert_holds(const char *text, const char *words)
{
  if (strstr(text, words) == NULL)
    fail_msg("\"%s\" is not in:\n%s", words, text);
}

void
assert_holds_not(const char *text, const char *words)
{
  if (strstr(text, words) != NULL)
    fail_msg("\"%s\" is in:\n%s", words, text);
}
