/* Type: words that can be found again in any script, lines where they belong, TrueType alone. */
#include "look.h"

#include <math.h>

/* Cairo writes the widths of glyphs in whole thousandths of the type size: 20 letters of 10 pt may
 * be 20 x 0.0005 x 10 pt = 0.1 pt off, 0.035 mm. */
static const double rounding_mm = 0.035;

static const char *const sentences[] = {
    "Loss at the headcap, an office fjord of afflicted efficient flaws",
    "Ο βιβλιοδέτης επισκεύασε τη ράχη",
    "Переплётчик починил корешок",
    "书籍修复师修补了书脊",
    "製本師は背を修理した",
    "Der Buchbinder fügte Straßenmaß an",
    "cafe\xCC\x81 x\xCC\x87\xCC\xA3", /* e with an acute, x with dots above and below */
};

static char *
dup_words_of(GBytes *pdf)
{
  g_autofree char *said = look_with(pdf, NULL, "pdftotext", "-enc", "UTF-8", "{}", "-", NULL);
  return g_utf8_normalize(said, -1, G_NORMALIZE_ALL);
}

static void
every_script_is_found_again(void **state)
{
  (void)state;
  const char *families[] = {"Gentium Plus", "Lato"};
  for (gsize f = 0; f < G_N_ELEMENTS(families); f++) {
    PwPdf *pdf = look_new();
    PwFace face = look_face(families[f]);
    for (gsize i = 0; i < G_N_ELEMENTS(sentences); i++)
      look_line(pdf, &face, sentences[i], 10 + 10 * (double)i);
    gboolean archival = FALSE;
    g_autoptr(GBytes) bytes = look_finish(pdf, &archival, NULL);
    assert_true(archival);
    g_autofree char *words = dup_words_of(bytes);
    for (gsize i = 0; i < G_N_ELEMENTS(sentences); i++) {
      g_autofree char *expected = g_utf8_normalize(sentences[i], -1, G_NORMALIZE_ALL);
      assert_holds(words, expected);
    }
    g_autofree char *verdict = look_preflight(bytes);
    assert_holds(verdict, ": valid");
  }
}

/* Without a compatibility form in the way: what is searched for is what is there, letter by letter.
 */
static void
ligatures_are_read_as_letters(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  look_line(pdf, &face, "office afflicted fine flaws", 10);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *said = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_holds(said, "office afflicted fine flaws");
}

/* pdftotext puts words together from where the glyphs stand. */
static void
arabic_runs_from_the_right(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  look_line(pdf, &face, "ظهر الكتاب", 20);
  look_line(pdf, &face, "Spine: إصلاح ظهر الكتاب, 12 mm", 40);
  gboolean archival = FALSE;
  g_autoptr(GBytes) bytes = look_finish(pdf, &archival, NULL);
  assert_true(archival);
  g_autofree char *words = dup_words_of(bytes);
  g_auto(GStrv) found = g_strsplit(words, "ظهر الكتاب", -1);
  assert_int_equal(g_strv_length(found) - 1, 2);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

static void
fonts_are_truetype(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("A family that is nowhere");
  for (gsize i = 0; i < G_N_ELEMENTS(sentences); i++)
    look_line(pdf, &face, sentences[i], 10 + 10 * (double)i);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *list = look_with(bytes, NULL, "pdffonts", "{}", NULL);
  assert_holds(list, "TrueType");
  assert_holds_not(list, "Type 1");
  assert_holds_not(list, "Type 3");
  assert_holds_not(list, "CID Type 0");
}

static void
lines_keep_within_the_column(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  const char *words = "5f0c9a1be277deadbeefcafe5f0c9a1be277deadbeefcafe of a very long name";
  for (double column = 5; column < 60; column += 11) {
    g_autoptr(PwText) text = pw_text_new(pdf, &face, words, column);
    assert_true(pw_text_n_lines(text) > 1);
    assert_true(pw_text_width(text) <= column + rounding_mm);
    assert_true(fabs(pw_text_height(text) - pw_text_n_lines(text) * 12 * PW_MM_PER_PT) < 1e-9);
  }
  g_autoptr(PwText) line = pw_text_new(pdf, &face, words, 0);
  assert_int_equal(pw_text_n_lines(line), 1);
  pw_pdf_free(pdf);
}

/* A name that is broken keeps its letters: no hyphen that is not in it. */
static void
a_broken_word_gains_no_hyphen(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  const char *word = "unbreakableincomprehensibilities";
  g_autoptr(PwText) text = pw_text_new(pdf, &face, word, 20);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = dup_words_of(bytes);
  g_auto(GStrv) pieces = g_strsplit_set(words, " \n\f", -1);
  g_autofree char *joined = g_strjoinv("", pieces);
  assert_string_equal(joined, word);
}

typedef struct {
  double x_min, y_min, x_max, y_max; /* points */
} Box;

static Box
box_of(const char *boxes, const char *word)
{
  g_autofree char *tail = g_strdup_printf("\">%s</word>", word);
  const char *end = strstr(boxes, tail);
  assert_non_null(end);
  const char *start = g_strrstr_len(boxes, end - boxes, "<word");
  Box box;
  assert_int_equal(sscanf(start, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"",
                          &box.x_min, &box.y_min, &box.x_max, &box.y_max),
                   4);
  return box;
}

/* Three lines of one word each, at the left, the middle and the right of a column of 40 mm from 20
 * mm, and a line without a column that ends at 150 mm. */
static void
lines_stand_where_they_are_told(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  g_autoptr(PwText) left = pw_text_new(pdf, &face, "headcapheadcap turninturninturnin", 40);
  g_autoptr(PwText) right = pw_text_new(pdf, &face, "pastedown", 40);
  g_autoptr(PwText) free_line = pw_text_new(pdf, &face, "endband", 0);
  assert_int_equal(pw_text_n_lines(left), 2);
  double width = pw_text_width(free_line);
  pw_text_draw(left, 20, 20, 0, 0, 0);
  pw_text_draw(right, 20, 40, 1, 0, 0);
  pw_text_draw(free_line, 150, 60, 1, 0, 0);
  g_clear_pointer(&left, pw_text_free);
  g_clear_pointer(&right, pw_text_free);
  g_clear_pointer(&free_line, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *boxes = look_with(bytes, NULL, "pdftotext", "-bbox", "{}", "-", NULL);
  Box one = box_of(boxes, "headcapheadcap"), two = box_of(boxes, "turninturninturnin");
  assert_true(fabs(one.x_min * PW_MM_PER_PT - 20) < rounding_mm);
  assert_true(fabs((two.y_min - one.y_min) - 12) < rounding_mm / PW_MM_PER_PT);
  assert_true(fabs(box_of(boxes, "pastedown").x_max * PW_MM_PER_PT - 60) < rounding_mm);
  Box end = box_of(boxes, "endband");
  assert_true(fabs(end.x_max * PW_MM_PER_PT - 150) < rounding_mm);
  assert_true(fabs((end.x_max - end.x_min) * PW_MM_PER_PT - width) < rounding_mm);
}

static void
some_of_the_lines_can_be_drawn(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Gentium Plus");
  g_autoptr(PwText) text = pw_text_new(pdf, &face, "headcap turnin endband", 18);
  assert_int_equal(pw_text_n_lines(text), 3);
  pw_text_draw(text, 20, 30, 0, 1, 1);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = dup_words_of(bytes);
  assert_string_equal(g_strstrip(words), "turnin");
}

static void
tabular_figures_are_of_one_width(void **state)
{
  (void)state;
  const char *families[] = {"Gentium Plus", "Lato"};
  PwPdf *pdf = look_new();
  for (gsize f = 0; f < G_N_ELEMENTS(families); f++) {
    PwFace face = look_face(families[f]);
    face.tabular = TRUE;
    g_autoptr(PwText) ones = pw_text_new(pdf, &face, "1111111111", 0);
    for (char digit = '0'; digit <= '9'; digit++) {
      char figures[11] = {0};
      memset(figures, digit, 10);
      g_autoptr(PwText) text = pw_text_new(pdf, &face, figures, 0);
      assert_true(fabs(pw_text_width(text) - pw_text_width(ones)) < rounding_mm);
    }
  }
  pw_pdf_free(pdf);
}

/* Twice the size is twice the width to a part in a thousand: nothing is hinted to a pixel grid. */
static void
widths_grow_with_the_size(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  face.size_pt = 6.6;
  g_autoptr(PwText) small = pw_text_new(pdf, &face, "IMG_2041.jpg · 60 mm f/8", 0);
  face.size_pt = 66;
  g_autoptr(PwText) large = pw_text_new(pdf, &face, "IMG_2041.jpg · 60 mm f/8", 0);
  assert_true(fabs(pw_text_width(large) / pw_text_width(small) - 10) < 0.01);
  face.leading_pt = 0; /* the font's own, and its baseline, are no whole pixels either */
  g_autoptr(PwText) own_large = pw_text_new(pdf, &face, "x", 0);
  face.size_pt = 6.6;
  g_autoptr(PwText) own_small = pw_text_new(pdf, &face, "x", 0);
  assert_true(fabs(pw_text_height(own_large) / pw_text_height(own_small) - 10) < 0.01);
  assert_true(fabs(pw_text_first_baseline(own_large) / pw_text_first_baseline(own_small) - 10) <
              0.01);
  pw_pdf_free(pdf);
}

static void
text_is_plain(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face("Lato");
  g_autoptr(PwText) text =
      pw_text_new(pdf, &face, "<b>a&amp;</b>\none\x1b[31m line\xE2\x80\xA8only", 0);
  assert_int_equal(pw_text_n_lines(text), 1);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(PwText) nothing = pw_text_new(pdf, &face, "", 30);
  assert_true(pw_text_width(nothing) < rounding_mm);
  pw_text_draw(nothing, 20, 40, 0.5, 0, 0);
  g_clear_pointer(&nothing, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *words = dup_words_of(bytes);
  assert_holds(words, "<b>a&amp;</b> one");
  assert_holds(words, "line only");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_script_is_found_again),
      cmocka_unit_test(ligatures_are_read_as_letters),
      cmocka_unit_test(arabic_runs_from_the_right),
      cmocka_unit_test(fonts_are_truetype),
      cmocka_unit_test(lines_keep_within_the_column),
      cmocka_unit_test(a_broken_word_gains_no_hyphen),
      cmocka_unit_test(lines_stand_where_they_are_told),
      cmocka_unit_test(some_of_the_lines_can_be_drawn),
      cmocka_unit_test(tabular_figures_are_of_one_width),
      cmocka_unit_test(widths_grow_with_the_size),
      cmocka_unit_test(text_is_plain),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
