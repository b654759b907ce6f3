/* The structure of a document, read back by poppler and qpdf, which are not ours. */
#include "look.h"

#include <math.h>

#define FAMILY "Gentium Plus"

/* ---- Drawing ------------------------------------------------------------------------- */

static void
say(PwPdf *pdf, PwElement element, const char *words, double y_mm)
{
  PwFace face = look_face(FAMILY);
  pw_pdf_begin(pdf, element);
  look_line(pdf, &face, words, y_mm);
  pw_pdf_end(pdf);
}

static void
draw_row(PwPdf *pdf, cairo_t *cr, PwElement first, guint number, double y_mm)
{
  g_autofree char *piece = g_strdup_printf("P%u", number);
  pw_pdf_begin(pdf, PW_ELEMENT_ROW);
  say(pdf, first, piece, y_mm);
  say(pdf, first == PW_ELEMENT_ROW_HEAD ? PW_ELEMENT_CELL : first, "tray", y_mm + 4);
  pw_pdf_end(pdf);
  cairo_set_line_width(cr, 0.15);
  cairo_move_to(cr, 20, y_mm + 5);
  cairo_line_to(cr, 190, y_mm + 5);
  cairo_stroke(cr);
}

/* A ledger that goes on for three pages, its head over each. */
static void
draw_ledger(PwPdf *pdf)
{
  pw_pdf_begin(pdf, PW_ELEMENT_TABLE);
  for (guint page = 0; page < 3; page++) {
    cairo_t *cr = pw_pdf_begin_page(pdf, 210, 100);
    if (page > 0)
      pw_pdf_begin(pdf, PW_ELEMENT_ORNAMENT);
    draw_row(pdf, cr, PW_ELEMENT_COLUMN_HEAD, 0, 20);
    if (page > 0)
      pw_pdf_end(pdf);
    for (guint row = 1; row < 3; row++)
      draw_row(pdf, cr, PW_ELEMENT_ROW_HEAD, 2 * page + row, 20 + 10 * row);
  }
  pw_pdf_end(pdf);
}

/* ---- Reading ------------------------------------------------------------------------- */

static char *
dup_even(const char *text)
{
  g_auto(GStrv) words = g_strsplit_set(text, " \n", -1);
  GString *even = g_string_new(NULL);
  for (guint i = 0; words[i] != NULL; i++)
    if (*words[i] != '\0')
      g_string_append_printf(even, "%s ", words[i]);
  return g_string_free(even, FALSE);
}

/* What poppler reads of the tree, its blanks evened out. */
static char *
dup_read(GBytes *bytes)
{
  g_autofree char *text = look_with(bytes, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  return dup_even(text);
}

/* Every object as qpdf writes it, its blanks evened out. */
static char *
dup_objects(GBytes *bytes)
{
  g_autofree char *text = look_with(bytes, NULL, "qpdf", "--json", "{}", NULL);
  return dup_even(text);
}

static guint
count(const char *text, const char *words)
{
  g_auto(GStrv) parts = g_strsplit(text, words, -1);
  return g_strv_length(parts) - 1;
}

static void
check_syntax(GBytes *bytes)
{
  int status = 0;
  g_autofree char *checked = look_with(bytes, &status, "qpdf", "--check", "{}", NULL);
  assert_int_equal(status, 0);
}

static void
check_file(GBytes *bytes)
{
  check_syntax(bytes);
  g_autofree char *verdict = look_preflight(bytes);
  assert_holds(verdict, ": valid");
}

/* ---- Elements ------------------------------------------------------------------------ */

static void
elements_are_read_in_their_order(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  say(pdf, PW_ELEMENT_H1, "Condition", 20);
  look_line(pdf, &face, "ornament", 25);
  pw_pdf_begin(pdf, PW_ELEMENT_LIST);
  pw_pdf_begin(pdf, PW_ELEMENT_ITEM);
  say(pdf, PW_ELEMENT_LABEL, "1", 30);
  say(pdf, PW_ELEMENT_BODY, "red rot", 30);
  pw_pdf_end(pdf);
  pw_pdf_end(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = dup_read(bytes);
  assert_string_equal(read, "Document H1 (block) \"Condition\" L (block) LI (block) Lbl (block) "
                            "\"1\" LBody (block) \"red rot\" ");
  check_syntax(bytes);
}

/* Six rows over three pages are one table of one head and six rows. */
static void
a_table_goes_on_in_one_piece(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  draw_ledger(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = dup_read(bytes), *objects = dup_objects(bytes);
  assert_holds(read, "Document Table (block) TR TH: /Scope /Column \"P0\" TH: /Scope /Column "
                     "\"tray\" TR TH: /Scope /Row \"P1\" TD \"tray\" TR ");
  assert_int_equal(count(read, "Table "), 1);
  assert_int_equal(count(read, "TR "), 7);
  assert_int_equal(count(read, "TD "), 6);
  assert_int_equal(count(read, "\"P0\""), 1);
  /* and no more: the heads repeated are no elements that nothing holds */
  assert_int_equal(count(objects, "\"/StructElem\""), 1 + 1 + 7 + 14);
  assert_holds(objects, "\"/Marked\": true");
  g_autofree char *seen = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_int_equal(count(seen, "P0"), 3);
  check_file(bytes);
}

/* A paragraph that breaks over two pages is one, with what stands on each of them. */
static void
a_paragraph_goes_on_in_one_piece(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  pw_pdf_begin(pdf, PW_ELEMENT_SECTION);
  pw_pdf_begin(pdf, PW_ELEMENT_P);
  look_line(pdf, &face, "the sewing is", 80);
  pw_pdf_begin_page(pdf, 210, 100);
  look_line(pdf, &face, "sound", 20);
  pw_pdf_end(pdf);
  pw_pdf_end(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *read = dup_read(bytes);
  assert_string_equal(read, "Document Sect P (block) \"the sewing is\" \"sound\" ");
  check_syntax(bytes);
}

static void
a_figure_is_what_it_is_said_to_be(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  g_autoptr(GBytes) jpeg = look_jpeg(120, 80, 3);
  PwFace face = look_face(FAMILY);
  pw_pdf_begin_figure(pdf, "Front board, before: 3 marks", 60, 30, 60, 40);
  pw_pdf_draw_jpeg(pdf, jpeg, 120, 80, 60, 30, 60, 40);
  look_line(pdf, &face, "7", 50);
  pw_pdf_end(pdf);
  say(pdf, PW_ELEMENT_CAPTION, "Before", 80);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes);
  assert_holds(objects, "\"/Alt\": \"u:Front board, before: 3 marks\"");
  /* 30 to 70 mm of 100 from the top: 30 to 70 from the bottom, in points of 25.4/72 mm. */
  assert_holds(objects, "\"/BBox\": [ 170.079, 85.039, 340.157, 198.425 ]");
  check_syntax(bytes);
}

/* ---- Links --------------------------------------------------------------------------- */

/* Rect of the first annotation, in points, y up. */
static void
read_rect(const char *objects, double rect[4])
{
  const char *at = strstr(objects, "\"/Rect\": [ ");
  assert_non_null(at);
  at += strlen("\"/Rect\": [ ");
  for (int i = 0; i < 4; i++) {
    char *end = NULL;
    rect[i] = g_ascii_strtod(at, &end);
    at = end + 2;
  }
}

/* Where poppler finds a word, in points, y down. */
static void
find_word(GBytes *bytes, const char *word, double box[4])
{
  const char *names[] = {"xMin=\"", "yMin=\"", "xMax=\"", "yMax=\""};
  g_autofree char *text = look_with(bytes, NULL, "pdftotext", "-bbox", "{}", "-", NULL);
  g_autofree char *shown = g_strdup_printf(">%s<", word);
  const char *at = strstr(text, shown);
  assert_non_null(at);
  const char *line = g_strrstr_len(text, at - text, "<word");
  for (int i = 0; i < 4; i++)
    box[i] = g_ascii_strtod(strstr(line, names[i]) + strlen(names[i]), NULL);
}

/* The words of a link are clicked where poppler finds them: within 0.5 pt beside, and within the
 * leading of 12 pt above and below. */
static void
a_span_leads_to_a_place(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  const PwSpan spans[] = {
      {"as seen on ", face, NULL}, {"plate", face, "plate-1"}, {".", face, NULL}};
  g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, spans, G_N_ELEMENTS(spans), 0);
  pw_pdf_begin(pdf, PW_ELEMENT_P);
  pw_text_draw(text, 20, 20, 0, 0, 0);
  pw_pdf_end(pdf);
  pw_pdf_begin_page(pdf, 297, 210);
  pw_pdf_destination(pdf, "plate-1", 30);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes), *read = dup_read(bytes);
  assert_holds(read, "P (block) \"as seen on \" Link (inline) \"plate\" ");
  assert_holds(objects, "\"/Contents\": \"u:plate\"");
  assert_holds(objects, "\"/Dest\": \"u:plate-1\"");
  assert_holds(objects, "\"/F\": 4");
  assert_holds(objects, "\"/Tabs\": \"/S\"");
  double rect[4], word[4], page = 100 / PW_MM_PER_PT;
  read_rect(objects, rect);
  find_word(bytes, "plate.", word);
  assert_true(fabs(rect[0] - word[0]) < 0.5 && word[2] - rect[2] > 1 && word[2] - rect[2] < 4);
  assert_true(page - rect[3] < word[1] + 2 && page - rect[1] > word[3] - 2);
  assert_true(fabs(rect[3] - rect[1] - 12) < 0.01);
  g_autofree char *places = look_with(bytes, NULL, "pdfinfo", "-dests", "{}", NULL);
  g_autofree char *even = dup_even(places);
  assert_holds(even, "2 [ XYZ null 510 null ] \"plate-1\"");
  check_file(bytes);
}

/* On three lines, and on two pages, it is one link with an area for each line. */
static void
a_link_over_lines_is_one(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  const PwSpan spans[] = {{"front board detached at the joint", face, "loss"}};
  g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, spans, 1, 22);
  assert_int_equal(pw_text_n_lines(text), 3);
  pw_pdf_destination(pdf, "loss", 10);
  pw_pdf_begin(pdf, PW_ELEMENT_P);
  pw_text_draw(text, 20, 80, 0, 0, 2);
  pw_pdf_begin_page(pdf, 210, 100);
  pw_text_draw(text, 20, 20, 0, 2, 1);
  pw_pdf_end(pdf);
  g_clear_pointer(&text, pw_text_free);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes), *read = dup_read(bytes);
  assert_int_equal(count(read, "Link (inline)"), 1);
  assert_int_equal(count(objects, "\"/Subtype\": \"/Link\""), 3);
  assert_int_equal(count(objects, "\"/OBJR\""), 3);
  check_syntax(bytes);
}

static void
a_link_to_nowhere_is_words(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  pw_pdf_begin(pdf, PW_ELEMENT_P);
  pw_pdf_begin_link(pdf, "piece-P9", "Piece 9");
  PwFace face = look_face(FAMILY);
  look_line(pdf, &face, "piece", 20);
  pw_pdf_link_box(pdf, 10, 10, 5, 5);
  pw_pdf_end(pdf);
  pw_pdf_end(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes), *read = dup_read(bytes);
  assert_holds(read, "P (block) Span (inline) \"piece\"");
  assert_holds_not(objects, "/Annot");
  check_syntax(bytes);
}

static void
of_two_places_of_one_name_the_first_counts(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  pw_pdf_destination(pdf, "b", 10);
  pw_pdf_begin_page(pdf, 210, 100);
  pw_pdf_destination(pdf, "b", 10);
  pw_pdf_destination(pdf, "a", 10);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *places = look_with(bytes, NULL, "pdfinfo", "-dests", "{}", NULL);
  g_autofree char *even = dup_even(places);
  assert_holds(even, "1 [ XYZ null 255 null ] \"b\"");
  assert_holds(even, "2 [ XYZ null 255 null ] \"a\"");
  assert_int_equal(count(even, "XYZ"), 2);
}

/* ---- Pages --------------------------------------------------------------------------- */

static void
draw_foot(PwPdf *pdf, guint page, double width_mm, double height_mm, gpointer data)
{
  const guint *n = data;
  PwFace face = look_face(FAMILY);
  g_autofree char *words = g_strdup_printf("page %u of %u", page, *n);
  g_autoptr(PwText) text = pw_text_new(pdf, &face, words, 0);
  pw_pdf_begin(pdf, PW_ELEMENT_P);
  pw_text_draw(text, width_mm - 14, height_mm - 8, 1, 0, 0);
  pw_pdf_end(pdf);
}

/* Sixty pages, upright and lengthwise by turns, each with a foot, a heading, a link to the next. */
static GBytes *
draw_sixty(void)
{
  guint n = 60;
  PwPdf *pdf = look_new();
  pw_pdf_set_furnish(pdf, draw_foot, &n);
  PwFace face = look_face(FAMILY);
  for (guint i = 1; i <= n; i++) {
    g_autofree char *here = g_strdup_printf("page-%u", i),
                    *next = g_strdup_printf("page-%u", i + 1);
    if (i > 1)
      pw_pdf_begin_page(pdf, i % 2 == 1 ? 210 : 297, i % 2 == 1 ? 297 : 210);
    assert_int_equal(pw_pdf_n_pages(pdf), i);
    pw_pdf_destination(pdf, here, 10);
    say(pdf, PW_ELEMENT_H2, here, 20);
    const PwSpan spans[] = {{"go on", face, next}};
    g_autoptr(PwText) text = pw_text_new_spans(pdf, &face, spans, 1, 0);
    pw_pdf_begin(pdf, PW_ELEMENT_P);
    pw_text_draw(text, 20, 40, 0, 0, 0);
    pw_pdf_end(pdf);
  }
  return look_finish(pdf, NULL, NULL);
}

static void
sixty_pages_are_furnished_and_linked(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = draw_sixty(), again = draw_sixty();
  assert_true(g_bytes_equal(bytes, again));
  g_autofree char *seen = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  g_autofree char *read = dup_read(bytes), *objects = dup_objects(bytes);
  g_auto(GStrv) pages = g_strsplit(seen, "\f", -1);
  assert_int_equal(g_strv_length(pages), 61); /* with what comes after the last */
  assert_holds(pages[0], "page 1 of 60");
  assert_holds(pages[59], "page 60 of 60");
  assert_int_equal(count(read, "H2 (block)"), 60);
  assert_holds_not(read, "of 60");
  assert_int_equal(count(read, "Link (inline)"), 59);
  assert_int_equal(count(objects, "\"/Subtype\": \"/Link\""), 59);
  g_autofree char *sizes = look_with(bytes, NULL, "pdfinfo", "-f", "2", "-l", "3", "{}", NULL);
  assert_holds(sizes, "841.89 x 595.276 pts");
  assert_holds(sizes, "595.276 x 841.89 pts");
  check_file(bytes);
}

/* ---- Words from outside -------------------------------------------------------------- */

static const char hostile[] = "a) \\ ( \x1b[31m <</MCID 9>> BDC EMC \xE2\x80\xAE\xD7\xA9\xD7\x9C"
                              "\xD7\x95\xD7\x9D \xF0\x9F\x93\x96 \xFF";

static void
words_may_be_strange(void **state)
{
  (void)state;
  g_autofree char *longest = g_strnfill(40000, 'x'), *words = g_utf8_make_valid(hostile, -1);
  PwPdf *pdf = look_new();
  pw_pdf_bookmark(pdf, 0, words, 0);
  pw_pdf_destination(pdf, words, 5);
  pw_pdf_begin_figure(pdf, words, 20, 20, 10, 10);
  look_line(pdf, &(PwFace){.family = FAMILY, .size_pt = 8}, "x) EMC (", 20);
  pw_pdf_end(pdf);
  pw_pdf_begin_figure(pdf, longest, 20, 20, 10, 10);
  look_line(pdf, &(PwFace){.family = FAMILY, .size_pt = 8}, "\\", 30);
  pw_pdf_end(pdf);
  pw_pdf_begin_link(pdf, words, words);
  look_line(pdf, &(PwFace){.family = FAMILY, .size_pt = 8}, "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D", 40);
  pw_pdf_end(pdf);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes), *read = dup_read(bytes);
  assert_holds(objects, longest);
  assert_holds(objects, "a) \\\\ (");
  assert_holds(objects, "\"/Subtype\": \"/Link\"");
  g_autofree char *seen = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  assert_holds(seen, "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D");
  assert_null(strchr(read, '\x1b'));
  assert_holds_not(objects, "\\u001b");
  check_file(bytes);
}

static void
without_elements_there_is_no_structure(void **state)
{
  (void)state;
  PwPdf *pdf = look_new();
  PwFace face = look_face(FAMILY);
  look_line(pdf, &face, "a card", 20);
  g_autoptr(GBytes) bytes = look_finish(pdf, NULL, NULL);
  g_autofree char *objects = dup_objects(bytes);
  assert_holds_not(objects, "/StructTreeRoot");
  assert_holds_not(objects, "/MarkInfo");
}

static char *
dup_svg(gboolean with_elements)
{
  PwPdfInfo info = {.title = "x", .language = "en", .date = "2026-03-02"};
  g_autoptr(PwPdf) svg = pw_pdf_new_svg(&info, NULL);
  PwFace face = look_face(FAMILY);
  pw_pdf_begin_page(svg, 100, 100);
  if (with_elements) {
    pw_pdf_destination(svg, "a", 10);
    pw_pdf_begin_figure(svg, "front board", 0, 0, 10, 10);
    pw_pdf_begin(svg, PW_ELEMENT_ORNAMENT);
    pw_pdf_begin_link(svg, "a", "a");
  }
  look_line(svg, &face, "loss", 20);
  for (int k = 0; with_elements && k < 3; k++)
    pw_pdf_end(svg);
  g_autoptr(GBytes) drawn = pw_pdf_finish_svg(svg, NULL);
  assert_non_null(drawn);
  return g_strndup(g_bytes_get_data(drawn, NULL), g_bytes_get_size(drawn));
}

/* The same drawing, with elements and without, is the same picture for a screen: but for a number
 * that Cairo gives to each surface. */
static void
a_picture_for_a_screen_passes_all_over(void **state)
{
  (void)state;
  g_autoptr(GRegex) number = g_regex_new("surface[0-9]+", 0, 0, NULL);
  g_autofree char *plain = dup_svg(FALSE), *told = dup_svg(TRUE);
  g_autofree char *left = g_regex_replace_literal(number, plain, -1, 0, "", 0, NULL);
  g_autofree char *right = g_regex_replace_literal(number, told, -1, 0, "", 0, NULL);
  assert_string_equal(left, right);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(elements_are_read_in_their_order),
      cmocka_unit_test(a_table_goes_on_in_one_piece),
      cmocka_unit_test(a_paragraph_goes_on_in_one_piece),
      cmocka_unit_test(a_figure_is_what_it_is_said_to_be),
      cmocka_unit_test(a_span_leads_to_a_place),
      cmocka_unit_test(a_link_over_lines_is_one),
      cmocka_unit_test(a_link_to_nowhere_is_words),
      cmocka_unit_test(of_two_places_of_one_name_the_first_counts),
      cmocka_unit_test(sixty_pages_are_furnished_and_linked),
      cmocka_unit_test(words_may_be_strange),
      cmocka_unit_test(without_elements_there_is_no_structure),
      cmocka_unit_test(a_picture_for_a_screen_passes_all_over),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
