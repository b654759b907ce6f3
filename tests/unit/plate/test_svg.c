/* A plate as SVG: the same page as in the PDF, complete in itself, masked alike. The PDF is drawn
 * by poppler, the SVG by librsvg (through libvips), and the two pictures are held side by side.
 */
#include "../model/bench.h"

#include <platewright/pdf.h>
#include <platewright/plate.h>

#include <glib/gstdio.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <vips/vips.h>

#include <cmocka.h>

/* Two renderers smooth edges and scale pictures each in its way: levels, after a blur of 3 px. */
#define RENDERERS_DIFFER 40.0
#define RENDERERS_DIFFER_MEAN 1.5
/* JPEG's own loss on a flat field. */
#define FLAT_LOSS 3.0
#define PPI 96

typedef struct {
  Bench *bench;
  PwStyle *style;
  PwWords *words;
} Fixture;

/* A picture of soft noise with a private place and damage, and a long list that takes two pages. */
static int
set_up(void **state)
{
  Fixture *f = g_new0(Fixture, 1);
  VipsImage *noise = NULL, *soft = NULL, *picture = NULL;
  assert_true(pw_photo_startup(NULL));
  vips_operation_block_set("VipsForeignLoadSvg", FALSE);
  assert_int_equal(bench_begin((void **)&f->bench), 0);
  bench_volume(f->bench, "volume: {id: T-1}\nconsents:\n"
                         "  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n");
  g_autoptr(GString) text =
      g_string_new("stage: before\nview: spine\nprivacy-checked: 2026-03-05\n" BENCH_SCALE
                   "marks:\n  - {id: p, term: inscription, part: leaf, private: yes, "
                   "outline: \"100,100 300,100 300,200 100,200\"}\n");
  for (int i = 0; i < 60; i++)
    g_string_append_printf(text,
                           "  - {id: %d, term: stain, part: leaf, note: \"a dark tide line that "
                           "runs along the lower edge\", outline: \"%d,500 %d,500 %d,640\"}\n",
                           i + 1, 10 * i + 100, 10 * i + 180, 10 * i + 120);
  bench_photo(f->bench, "a.jpg", text->str);
  g_autofree char *path = g_build_filename(f->bench->folder, "a.jpg", NULL);
  assert_int_equal(vips_gaussnoise(&noise, 1000, 1000, "mean", 120.0, "sigma", 200.0, NULL), 0);
  assert_int_equal(vips_gaussblur(noise, &soft, 8.0, NULL), 0);
  assert_int_equal(vips_cast_uchar(soft, &picture, NULL), 0);
  assert_int_equal(vips_jpegsave(picture, path, "Q", 95, NULL), 0);
  g_object_unref(picture);
  g_object_unref(soft);
  g_object_unref(noise);
  bench_open_pictures(f->bench, 0);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  f->style = pw_style_read("plate", complaints, NULL);
  f->words = pw_words_read("en", complaints, NULL);
  *state = f;
  return f->style != NULL && f->words != NULL ? 0 : -1;
}

static int
tear_down(void **state)
{
  Fixture *f = *state;
  bench_end((void **)&f->bench);
  pw_style_free(f->style);
  pw_words_free(f->words);
  g_free(f);
  pw_photo_shutdown();
  return 0;
}

static GBytes *
draw(const Fixture *f, PwAudience audience, guint page, guint *n_pages)
{
  PwPlateOptions options = {.style = f->style, .words = f->words, .audience = audience};
  g_autoptr(GError) error = NULL;
  GBytes *svg = pw_plates_draw_svg(f->bench->model, &options, "a.jpg", page, n_pages, &error);
  if (svg == NULL)
    fail_msg("%s", error->message);
  return svg;
}

static GBytes *
draw_pdf(const Fixture *f, PwAudience audience, guint *n_pages)
{
  PwPlateOptions options = {.style = f->style, .words = f->words, .audience = audience};
  PwPlateResult result;
  GBytes *pdf = pw_plates_draw(f->bench->model, &options, &result, NULL);
  assert_non_null(pdf);
  g_free(result.why_not_archival);
  *n_pages = result.n_pages;
  return pdf;
}

static VipsImage *
svg_picture(GBytes *svg)
{
  gsize length = 0;
  const void *data = g_bytes_get_data(svg, &length);
  VipsImage *image = NULL, *flat = NULL, *held = NULL;
  VipsArrayDouble *white = vips_array_double_newv(1, 255.0);
  assert_int_equal(
      vips_svgload_buffer((void *)(gsize)data, length, &image, "dpi", (double)PPI, NULL), 0);
  assert_int_equal(vips_flatten(image, &flat, "background", white, NULL), 0);
  held = vips_image_copy_memory(flat);
  vips_area_unref(VIPS_AREA(white));
  g_object_unref(flat);
  g_object_unref(image);
  return held;
}

static VipsImage *
pdf_picture(const Fixture *f, GBytes *pdf, guint page)
{
  g_autofree char *path = g_build_filename(f->bench->folder, "page.pdf", NULL);
  g_autofree char *root = g_build_filename(f->bench->folder, "page", NULL);
  g_autofree char *png = g_strconcat(root, ".png", NULL);
  g_autofree char *number = g_strdup_printf("%u", page);
  const char *arguments[] = {"pdftoppm", "-singlefile", "-png", "-r", G_STRINGIFY(PPI),
                             "-f",       number,        path,   root, NULL};
  gsize length = 0;
  const char *data = g_bytes_get_data(pdf, &length);
  assert_true(g_file_set_contents(path, data, (gssize)length, NULL));
  if (!g_spawn_sync(NULL, (char **)(gsize)arguments, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL,
                    NULL, NULL, NULL)) {
    print_message("# pdftoppm is not here\n");
    skip();
  }
  VipsImage *image = NULL, *held;
  assert_int_equal(vips_pngload(png, &image, NULL), 0);
  held = vips_image_copy_memory(image);
  g_object_unref(image);
  g_unlink(path);
  g_unlink(png);
  return held;
}

/* Largest and mean difference of the two pictures after a blur, where both are. */
static void
compare(VipsImage *a, VipsImage *b, double *most, double *mean)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 6);
  int width = MIN(a->Xsize, b->Xsize), height = MIN(a->Ysize, b->Ysize);
  assert_true(ABS(a->Xsize - b->Xsize) <= 1 && ABS(a->Ysize - b->Ysize) <= 1);
  assert_int_equal(vips_crop(a, &t[0], 0, 0, width, height, NULL), 0);
  assert_int_equal(vips_crop(b, &t[1], 0, 0, width, height, NULL), 0);
  assert_int_equal(vips_subtract(t[0], t[1], &t[2], NULL), 0);
  assert_int_equal(vips_gaussblur(t[2], &t[3], 3.0, "precision", VIPS_PRECISION_FLOAT, NULL), 0);
  assert_int_equal(vips_abs(t[3], &t[4], NULL), 0);
  assert_int_equal(vips_max(t[4], most, NULL), 0);
  assert_int_equal(vips_avg(t[4], mean, NULL), 0);
  g_object_unref(scope);
}

static void
it_looks_like_the_page_of_the_pdf(void **state)
{
  const Fixture *f = *state;
  guint n_pages = 0, n_pdf = 0;
  g_autoptr(GBytes) pdf = draw_pdf(f, PW_FOR_STUDIO, &n_pdf);
  for (guint page = 1; page <= 2; page++) {
    double most = 0, mean = 0;
    g_autoptr(GBytes) svg = draw(f, PW_FOR_STUDIO, page, &n_pages);
    assert_int_equal(n_pages, n_pdf);
    assert_true(n_pages >= 2);
    VipsImage *of_svg = svg_picture(svg), *of_pdf = pdf_picture(f, pdf, page);
    compare(of_svg, of_pdf, &most, &mean);
    print_message("# page %u: off by at most %.1f levels, %.2f on average\n", page, most, mean);
    assert_true(most < RENDERERS_DIFFER);
    assert_true(mean < RENDERERS_DIFFER_MEAN);
    g_object_unref(of_svg);
    g_object_unref(of_pdf);
  }
}

/* The bytes of the first picture in it; yours. */
static guint8 *
dup_picture(const char *svg, gsize *length)
{
  static const char start[] = "data:image/jpeg;base64,";
  const char *at = strstr(svg, start);
  assert_non_null(at);
  at += strlen(start);
  g_autofree char *code = g_strndup(at, strcspn(at, "\""));
  return g_base64_decode(code, length);
}

static void
its_pictures_are_those_of_the_pdf_byte_by_byte(void **state)
{
  const Fixture *f = *state;
  for (PwAudience audience = PW_FOR_STUDIO; audience <= PW_FOR_PUBLIC; audience++) {
    guint n = 0;
    gsize length = 0, n_pdf = 0;
    g_autoptr(GBytes) svg = draw(f, audience, 1, &n);
    g_autoptr(GBytes) pdf = draw_pdf(f, audience, &n);
    g_autofree char *text = g_strndup(g_bytes_get_data(svg, NULL), g_bytes_get_size(svg));
    g_autofree guint8 *jpeg = dup_picture(text, &length);
    const void *bytes = g_bytes_get_data(pdf, &n_pdf);
    assert_true(length > 1000);
    assert_non_null(memmem(bytes, n_pdf, jpeg, length));
  }
}

/* The middle of the private place: flat 128 for the public, noise for the studio. */
static void
what_is_private_is_filled(void **state)
{
  const Fixture *f = *state;
  for (PwAudience audience = PW_FOR_STUDIO; audience <= PW_FOR_PUBLIC; audience++) {
    guint n = 0;
    gsize length = 0;
    double spread = 0, mean = 0;
    VipsImage *image = NULL, *part = NULL;
    g_autoptr(GBytes) svg = draw(f, audience, 1, &n);
    g_autofree char *text = g_strndup(g_bytes_get_data(svg, NULL), g_bytes_get_size(svg));
    g_autofree guint8 *jpeg = dup_picture(text, &length);
    assert_int_equal(vips_jpegload_buffer(jpeg, length, &image, NULL), 0);
    double by = image->Xsize / 1000.0;
    assert_int_equal(vips_crop(image, &part, (int)(110 * by), (int)(110 * by), (int)(180 * by),
                               (int)(80 * by), NULL),
                     0);
    assert_int_equal(vips_deviate(part, &spread, NULL), 0);
    assert_int_equal(vips_avg(part, &mean, NULL), 0);
    gboolean filled = spread < FLAT_LOSS && fabs(mean - 128) < FLAT_LOSS;
    assert_int_equal(filled, audience == PW_FOR_PUBLIC);
    g_object_unref(part);
    g_object_unref(image);
  }
}

/* Told of every element, its attributes and its text. */
static void
look_at_element(GMarkupParseContext *context G_GNUC_UNUSED, const char *element, const char **names,
                const char **values, gpointer user, GError **error G_GNUC_UNUSED)
{
  guint *n_glyphs = user;
  assert_true(g_ascii_strcasecmp(element, "script") != 0 && strcmp(element, "style") != 0 &&
              strcmp(element, "foreignObject") != 0);
  *n_glyphs += strcmp(element, "symbol") == 0 ? 1 : 0;
  for (; *names != NULL; names++, values++) {
    assert_false(g_str_has_prefix(*names, "on"));
    if (g_str_has_suffix(*names, "href"))
      assert_true(**values == '#' || g_str_has_prefix(*values, "data:image/jpeg;base64,"));
    for (const char *at = *values; (at = strstr(at, "url(")) != NULL; at++)
      assert_true(g_str_has_prefix(at, "url(#"));
  }
}

static void
it_stands_alone(void **state)
{
  const Fixture *f = *state;
  const GMarkupParser looker = {.start_element = look_at_element};
  guint n = 0, n_glyphs = 0;
  gsize length = 0;
  g_autoptr(GBytes) svg = draw(f, PW_FOR_STUDIO, 1, &n);
  const char *text = g_bytes_get_data(svg, &length);
  GMarkupParseContext *context = g_markup_parse_context_new(&looker, 0, &n_glyphs, NULL);
  assert_true(g_markup_parse_context_parse(context, text, (gssize)length, NULL));
  assert_true(g_markup_parse_context_end_parse(context, NULL));
  g_markup_parse_context_free(context);
  assert_null(memmem(text, length, "<!ENTITY", 8));
  assert_null(memmem(text, length, "<?xml-stylesheet", 16));
  assert_true(n_glyphs > 20);
}

static void
what_is_not_there_is_refused(void **state)
{
  const Fixture *f = *state;
  PwPlateOptions options = {.style = f->style, .words = f->words};
  const struct {
    const char *file;
    guint page;
  } wrong[] = {{"b.jpg", 1}, {"a.jpg", 0}, {"a.jpg", 99}};
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
    guint n;
    g_autoptr(GError) error = NULL;
    assert_null(
        pw_plates_draw_svg(f->bench->model, &options, wrong[i].file, wrong[i].page, &n, &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  }
}

/* The file that fontconfig's own rules give for a family that is there (fc-match reads the
 * machine's rules, which is why only families that every machine of ours has are asked for). */
static void
faces_have_files(void **state G_GNUC_UNUSED)
{
  static const struct {
    const char *family, *ends;
    gboolean bold, italic;
  } faces[] = {{"DejaVu Sans", "DejaVuSans.ttf", FALSE, FALSE},
               {"DejaVu Sans", "DejaVuSans-Bold.ttf", TRUE, FALSE},
               {"Gentium Plus", "GentiumPlus-Italic.ttf", FALSE, TRUE},
               {"Lato", "Lato-Regular.ttf", FALSE, FALSE},
               {"No Such Family", "DejaVuSans.ttf", FALSE, FALSE}};
  for (gsize i = 0; i < G_N_ELEMENTS(faces); i++) {
    g_autofree char *path = pw_type_dup_file(faces[i].family, faces[i].bold, faces[i].italic, NULL);
    assert_non_null(path);
    if (!g_str_has_suffix(path, faces[i].ends))
      fail_msg("%s: %s", faces[i].family, path);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(it_looks_like_the_page_of_the_pdf),
      cmocka_unit_test(its_pictures_are_those_of_the_pdf_byte_by_byte),
      cmocka_unit_test(what_is_private_is_filled),
      cmocka_unit_test(it_stands_alone),
      cmocka_unit_test(what_is_not_there_is_refused),
      cmocka_unit_test(faces_have_files),
  };
  return cmocka_run_group_tests(tests, set_up, tear_down);
}
