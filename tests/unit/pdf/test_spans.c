/* Spans: words of several faces in one paragraph, and what a column asks of a text. */
#include "look.h"

#include <math.h>

/* As in test_text.c: Cairo writes the widths of glyphs in whole thousandths of the type size. */
static const double rounding_mm = 0.035;

/* "A headcap is lost" with one word bold, one italic and red. */
static PwText *
mixed_new(PwPdf *pdf, double width_mm)
{
  PwFace face = look_face("Gentium Plus"), bold = face, italic = face;
  bold.bold = TRUE;
  italic.italic = TRUE;
  italic.r = 0.8;
  const PwSpan spans[] = {
      {"A ", face, NULL}, {"headcap", bold, NULL}, {" is ", face, NULL}, {"lost", italic, NULL}};
  return pw_text_new_spans(pdf, &face, spans, G_N_ELEMENTS(spans), width_mm);
}

static void
each_span_has_its_face_and_ink(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  g_autoptr(PwText) text = mixed_new(pdf, 0);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_holds(words, "A headcap is lost");
  g_autofree char *fonts = look_with(bytes, NULL, "pdffonts", "{}", NULL);
  assert_holds(fonts, "GentiumPlus-Bold");
  assert_holds(fonts, "GentiumPlus-Italic");
  g_autofree char *inks = look_with(bytes, NULL, "pdftohtml", "-xml", "-stdout", "-i", "{}", NULL);
  assert_holds(inks, "color=\"#cc1919\"");
}

/* A span ends inside a ligature and a kerned pair, and between two of one ink: nothing is lost. */
static void
no_letter_is_lost_between_spans(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  const PwSpan spans[] = {{"of", face, NULL},
                          {"", face, NULL},
                          {"fice f", face, NULL},
                          {"ile AV", face, NULL},
                          {"A", face, NULL}};
  g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, spans, G_N_ELEMENTS(spans), 0);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_holds(words, "office file AVA");
}

static void
no_span_is_an_empty_line(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, NULL, 0, 40);
  assert_int_equal(pw_text_n_lines(text), 1);
  assert_true(fabs(pw_text_height(text) - 12 * PW_MM_PER_PT) < 1e-9);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_string_equal(g_strstrip(words), "");
}

static void
a_text_is_set_anew_in_another_column(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  g_autoptr(PwText) text = mixed_new(pdf, 0), narrow = mixed_new(pdf, 16);
  double whole = pw_text_width(text);
  assert_int_equal(pw_text_n_lines(text), 1);
  pw_text_set_width(text, 16);
  assert_int_equal(pw_text_n_lines(text), pw_text_n_lines(narrow));
  assert_true(pw_text_n_lines(text) > 1);
  assert_true(pw_text_width(text) <= 16 + rounding_mm);
  pw_text_set_width(text, 0);
  assert_true(fabs(pw_text_width(text) - whole) < 1e-9);
  pw_pdf_free(pdf);
}

static void
a_line_feed_begins_a_line(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  const PwSpan spans[] = {{"headcap\nturn", face, NULL}, {"in\n\x1b[31m", face, NULL}};
  g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, spans, G_N_ELEMENTS(spans), 0);
  assert_int_equal(pw_text_n_lines(text), 3);
  pw_text_draw(text, 20, 20, 0, 1, 1);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_string_equal(g_strstrip(words), "turnin");
}

/* A reader of the file's text does not see a hyphen that is only drawn, but its width is there. */
static void
no_hyphen_is_drawn(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  g_autoptr(PwText) letter = pw_text_new(pdf, &face, "m", 0);
  g_autoptr(PwText) word = pw_text_new(pdf, &face, "mmmmmmmmmmmmmmmmmmmmmmmm", 20);
  assert_true(pw_text_n_lines(word) > 1);
  double letters = pw_text_width(word) / pw_text_width(letter);
  assert_true(fabs(letters - round(letters)) < 0.02);
  pw_pdf_free(pdf);
}

/* In a column as wide as the widest word no word is broken, in one a little narrower one is. */
static void
the_widest_word_is_told(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  g_autoptr(PwText) text = pw_text_new(pdf, &face, "a disproportionately wide word", 200);
  g_autoptr(PwText) word = pw_text_new(pdf, &face, "disproportionately", 0);
  double widest = pw_text_widest_word(text);
  assert_true(fabs(widest - pw_text_width(word)) < rounding_mm);
  assert_int_equal(pw_text_n_lines(text), 1);
  pw_text_set_width(text, widest + rounding_mm);
  assert_true(fabs(pw_text_width(text) - widest) < rounding_mm);
  pw_text_set_width(text, widest - 1);
  assert_true(pw_text_width(text) <= widest - 1 + rounding_mm);
  pw_pdf_free(pdf);
}

static void
a_text_knows_where_it_begins(void **state)
{
  (void)state;
  static const struct {
    const char *words;
    gboolean is_leftward;
  } rows[] = {
      {"Spine: ظهر الكتاب", FALSE}, {"ظهر الكتاب: 12 mm", TRUE}, {"12 mm", FALSE}, {"", FALSE}};
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(PwText) text = pw_text_new(pdf, &face, rows[i].words, 60);
    assert_int_equal(pw_text_is_leftward(text), rows[i].is_leftward);
  }
  pw_pdf_free(pdf);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(each_span_has_its_face_and_ink),
      cmocka_unit_test(no_letter_is_lost_between_spans),
      cmocka_unit_test(no_span_is_an_empty_line),
      cmocka_unit_test(a_text_is_set_anew_in_another_column),
      cmocka_unit_test(no_hyphen_is_drawn),
      cmocka_unit_test(a_line_feed_begins_a_line),
      cmocka_unit_test(the_widest_word_is_told),
      cmocka_unit_test(a_text_knows_where_it_begins),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
