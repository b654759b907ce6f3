/* The file as a whole: PDF/A-1b by a validator that is not ours, the same bytes each time, no claim
 * where there is none to make. */
#include "look.h"

static void
draw_marks(cairo_t *cr)
{
  cairo_set_source_rgb(cr, 0.8, 0.4, 0);
  cairo_set_line_width(cr, 0.36);
  cairo_rectangle(cr, 30, 40, 20, 10);
  cairo_stroke(cr);
}

/* Everything a plate has: pages, pictures in colour and in grey, type, bookmarks of two levels. */
static GBytes *
draw_plates(gboolean *archival, char **why)
{
  PwPdf *pdf = look_new();
  g_autoptr(GBytes) colour = look_jpeg(120, 80, 3), grey = look_jpeg(60, 40, 1);
  PwFace serif = look_face("Gentium Plus"), sans = look_face("Lato");
  pw_pdf_bookmark(pdf, 0, "Front board (before)", 0);
  pw_pdf_bookmark(pdf, 1, "Ράχη", 0);
  pw_pdf_draw_jpeg(pdf, colour, 120, 80, 60, 30, 60, 40);
  for (int i = 0; i < 4; i++) {
    serif.bold = sans.bold = i % 2 == 1;
    serif.italic = sans.italic = i > 1;
    look_line(pdf, &serif, "Loss at the head of the spine", 10 + 10 * i);
    look_line(pdf, &sans, "412 ± 14 mm² (− 161 ± 22)", 15 + 10 * i);
  }
  cairo_t *cr = pw_pdf_begin_page(pdf, 297, 210);
  pw_pdf_bookmark(pdf, 0, "Back board", 0);
  pw_pdf_draw_jpeg(pdf, grey, 60, 40, 60, 30, 60, 40);
  draw_marks(cr);
  return look_finish(pdf, archival, why);
}

static void
plates_are_valid(void **state)
{
  (void)state;
  gboolean archival = FALSE;
  g_autofree char *why = NULL;
  g_autoptr(GBytes) pdf = draw_plates(&archival, &why);
  assert_true(archival);
  assert_null(why);
  g_autofree char *verdict = look_preflight(pdf);
  assert_holds(verdict, ": valid");
}

static void
nothing_of_transparency_is_left(void **state)
{
  (void)state;
  g_autoptr(GBytes) pdf = draw_plates(NULL, NULL);
  int status = -1;
  g_autofree char *said = look_with(pdf, &status, "qpdf", "--check", "{}", NULL);
  assert_int_equal(status, 0);
  assert_holds(said, "PDF Version: 1.4");
  assert_holds(said, "No syntax or stream encoding errors");
  g_autofree char *objects = look_objects(pdf);
  const char *unwanted[] = {"/SMask", "/Group", "/Interpolate", "/Multiply", "/Type3", "/ObjStm"};
  for (gsize i = 0; i < G_N_ELEMENTS(unwanted); i++)
    assert_holds_not(objects, unwanted[i]);
  assert_holds(objects, "/CIDSet");
}

/* ISO 19005-1, 6.3.5: one bit for each glyph in the file, the first bit the highest. Two letters
 * and the glyph for none are three bits, 0xE0, in base 64 "4A==". */
static void
glyphs_in_the_file_are_told(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  look_line(pdf, &face, "ΩΠ", 20);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = look_with(bytes, NULL, "qpdf", "--json", "--json-stream-data=inline",
                                       "--decode-level=generalized", "{}", NULL);
  assert_holds(objects, "\"4A==\"");
}

/* The validator is looking: the same page with one half-transparent wash on it is refused. */
static void
a_wash_is_refused_and_claims_nothing(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  cairo_t *cr = pw_pdf_begin_page(pdf, 210, 100);
  cairo_set_source_rgba(cr, 0.8, 0.4, 0, 0.5);
  cairo_paint(cr);
  gboolean archival = TRUE;
  g_autofree char *why = NULL;
  g_autoptr(GBytes) bytes = look_finish(pdf, &archival, &why);
  assert_false(archival);
  assert_holds(why, "transparency");
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, "not valid");
  assert_holds(verdict, "Transparency error");
}

static void
a_character_without_a_glyph_is_named(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  /* U+10FFFD, the last of the private planes, is in no font. */
  look_line(pdf, &face, "found: \xF4\x8F\xBF\xBD", 20);
  gboolean archival = TRUE;
  g_autofree char *why = NULL;
  g_autoptr(GBytes) bytes = look_finish(pdf, &archival, &why);
  assert_false(archival);
  assert_holds(why, "U+10FFFD");
  g_autofree char *objects = look_objects(bytes);
  assert_holds_not(objects, "GTS_PDFA1");
}

static void
what_is_measured_but_not_drawn_counts_for_nothing(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  g_autoptr(PwText) text = pw_text_new(pdf, &face, "\xF4\x8F\xBF\xBD", 0);
  g_clear_pointer(&text, pw_text_free);
  gboolean archival = FALSE;
  g_autoptr(GBytes) bytes = look_finish(pdf, &archival, NULL);
  assert_true(g_bytes_get_size(bytes) > 0);
  assert_true(archival);
}

/* Cairo would write the clock into the file: more than a second apart, the bytes are still the
 * same. */
static void
two_runs_give_the_same_bytes(void **state)
{
  (void)state;
  g_autoptr(GBytes) one = draw_plates(NULL, NULL);
  g_usleep(1100000);
  g_autoptr(GBytes) other = draw_plates(NULL, NULL);
  assert_true(g_bytes_equal(one, other));
}

static void
facts_stand_in_the_file(void **state)
{
  (void)state;
  g_autoptr(GBytes) pdf = draw_plates(NULL, NULL);
  g_autofree char *said = look_with(pdf, NULL, "pdfinfo", "-isodates", "{}", NULL);
  assert_holds(said, "Plates of a ledger: before & after <é>");
  assert_holds(said, "The bindery");
  assert_holds(said, "2026-03-02T10:14:07+01");
  g_autofree char *outline =
      look_with(pdf, NULL, "qpdf", "--json", "--json-key=outlines", "{}", NULL);
  assert_holds(outline, "Front board (before)");
  assert_holds(outline, "Ράχη");
  assert_holds(outline, "\"destpageposfrom1\": 2");
}

static void
facts_may_be_few(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  PwPdf *pdf = pw_pdf_new(&(PwPdfInfo){.title = "T", .date = "2026-03-02"}, &error);
  assert_non_null(pdf);
  pw_pdf_begin_page(pdf, 100, 100);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

/* "\f" and U+FFFF may stand in no XML; the packet must still be read. */
static void
facts_may_be_strange(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  PwPdfInfo info = {.title = " a\fb\xEF\xBF\xBF ]]> & \xF0\x9F\x93\x95 ", .author = "\t"};
  PwPdf *pdf = pw_pdf_new(&info, &error);
  assert_non_null(pdf);
  pw_pdf_begin_page(pdf, 100, 100);
  pw_pdf_bookmark(pdf, 5, "deeper \f than there is", 0);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

static void
faults_are_told(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  assert_null(pw_pdf_new(&(PwPdfInfo){.title = "T", .date = "last spring"}, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  g_clear_error(&error);
  g_autoptr(PwPdf) pdf = pw_pdf_new(&(PwPdfInfo){.title = "T"}, &error);
  assert_null(pw_pdf_finish(pdf, NULL, NULL, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_holds(error->message, "needs a page");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(plates_are_valid),
      cmocka_unit_test(nothing_of_transparency_is_left),
      cmocka_unit_test(glyphs_in_the_file_are_told),
      cmocka_unit_test(a_wash_is_refused_and_claims_nothing),
      cmocka_unit_test(a_character_without_a_glyph_is_named),
      cmocka_unit_test(what_is_measured_but_not_drawn_counts_for_nothing),
      cmocka_unit_test(two_runs_give_the_same_bytes),
      cmocka_unit_test(facts_stand_in_the_file),
      cmocka_unit_test(facts_may_be_few),
      cmocka_unit_test(facts_may_be_strange),
      cmocka_unit_test(faults_are_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
