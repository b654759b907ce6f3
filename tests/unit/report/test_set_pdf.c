/* A document as PDF: where everything stands, off the layout's own boxes and off the finished file
 * as poppler, qpdf and the validator read it, which are not ours.
 */
#include <glib/gstdio.h>
#include <math.h>

#include "../pdf/look.h"
#include "made.h"
#include "set.h"

/* ---- Words as poppler finds them --------------------------------------------------- */

typedef struct {
  guint page;          /* from 1 */
  double x, y, x2, y2; /* mm */
  char text[64];
} Word;

static GArray *
find_words(GBytes *pdf)
{
  g_autofree char *said = look_with(pdf, NULL, "pdftotext", "-bbox", "{}", "-", NULL);
  g_auto(GStrv) lines = g_strsplit(said, "\n", -1);
  GArray *words = g_array_new(FALSE, TRUE, sizeof(Word));
  guint page = 0;
  for (char **line = lines; *line != NULL; line++) {
    Word word = {0};
    page += strstr(*line, "<page ") != NULL ? 1 : 0;
    if (sscanf(*line, " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\">%63[^<]", &word.x,
               &word.y, &word.x2, &word.y2, word.text) != 5)
      continue;
    word.page = page;
    word.x *= PW_MM_PER_PT;
    word.y *= PW_MM_PER_PT;
    word.x2 *= PW_MM_PER_PT;
    word.y2 *= PW_MM_PER_PT;
    g_array_append_val(words, word);
  }
  assert_true(words->len > 0);
  return words;
}

static const Word *
find_word(const GArray *words, const char *text)
{
  for (guint i = 0; i < words->len; i++)
    if (strstr(g_array_index(words, Word, i).text, text) != NULL)
      return &g_array_index(words, Word, i);
  fail_msg("there is no \"%s\"", text);
  return NULL;
}

/* ---- The page ---------------------------------------------------------------------- */

/* What a line of a full column holds, in characters: 60 to 75 are read best (Bringhurst, from
 * memory). */
static void
a_line_is_read_with_ease(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_straining(), "straining");
  g_autofree char *said =
      look_with(bytes, NULL, "pdftotext", "-f", "3", "-l", "3", "{}", "-", NULL);
  g_auto(GStrv) lines = g_strsplit(g_strstrip(said), "\n", -1);
  glong sum = 0;
  guint n = 0;
  for (; n < 40; n++)
    sum += g_utf8_strlen(lines[n], -1);
  assert_true(sum >= 60 * (glong)n && sum <= 75 * (glong)n);
}

/* Half a millimetre for what letters lean; and a face is, as poppler has it, up to a fourth higher
 * than its leading, half of that above. */
static void
check_margins(const PwSetGrid *grid, const GArray *words)
{
  const double lean = 0.5, head = 1.4 * grid->step, white = 1.5;
  for (guint i = 0; i < words->len; i++) {
    const Word *word = &g_array_index(words, Word, i);
    if (word->x < grid->left - lean || word->x2 > grid->left + grid->full + lean)
      fail_msg("page %u: \"%s\" stands beyond the margins", word->page, word->text);
    double reach = lean + 0.125 * (word->y2 - word->y);
    if (word->y < grid->top - head - reach || word->y2 > grid->height - 9)
      fail_msg("page %u: \"%s\" stands too high or too low", word->page, word->text);
    if (word->y < grid->top - reach && word->y2 > grid->top - white)
      fail_msg("page %u: \"%s\" stands in the head", word->page, word->text);
    if (word->y2 > grid->bottom + reach && word->y < grid->height - 16)
      fail_msg("page %u: \"%s\" stands in the foot", word->page, word->text);
  }
}

static void
nothing_stands_beyond_the_margins(void **state)
{
  (void)state;
  PwDoc *(*const made[])(void) = {made_usual, made_straining, made_empty};
  const char *names[] = {"usual", "straining", "empty"};
  for (gsize i = 0; i < G_N_ELEMENTS(made); i++) {
    g_auto(Set) set = set_new(made[i](), "plate");
    g_autoptr(GBytes) bytes = set_draw(&set, names[i], NULL);
    g_autoptr(GArray) words = find_words(bytes);
    check_margins(&set.setting->grid, words);
  }
}

/* Paper so small that the column of text gives way to the labels. */
static void
small_paper_is_enough(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("platewright-test-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "own.yaml", NULL);
  assert_true(g_file_set_contents(
      path, "format: platewright-style 1\nbased-on: plate\npage: [120, 160]\n", -1, NULL));
  g_auto(Set) set = set_new(made_straining(), path);
  g_unlink(path);
  g_rmdir(folder);
  g_autoptr(GBytes) bytes = set_draw(&set, "small", NULL);
  g_autoptr(GArray) words = find_words(bytes);
  check_margins(&set.setting->grid, words);
}

/* Boxes of words without the upper and lower quarter, where one line's reach into another's. */
static gboolean
overlap(const Word *a, const Word *b)
{
  double quarter_a = (a->y2 - a->y) / 4, quarter_b = (b->y2 - b->y) / 4;
  return a->page == b->page && a->x + 0.2 < b->x2 && b->x + 0.2 < a->x2 &&
         a->y + quarter_a < b->y2 - quarter_b && b->y + quarter_b < a->y2 - quarter_a;
}

static void
nothing_overlaps(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_straining(), "straining");
  g_autoptr(GArray) words = find_words(bytes);
  for (guint i = 0; i < words->len; i++)
    for (guint j = i + 1; j < words->len; j++) {
      const Word *a = &g_array_index(words, Word, i), *b = &g_array_index(words, Word, j);
      if (overlap(a, b))
        fail_msg("page %u: \"%s\" lies on \"%s\"", a->page, a->text, b->text);
      if (a->page != b->page)
        break;
    }
}

static void
strips_stand_one_under_another(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  const PwSetting *s = set.setting;
  guint next = 0;
  for (guint p = 0; p < s->pages->len; p++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
    double y = s->grid.top;
    if (page->head >= 0)
      y += pw_setting_peek_strip(s, (guint)page->head)->height;
    assert_int_equal(page->first, next);
    assert_true(page->end > page->first);
    for (next = page->first; next < page->end; next++) {
      const PwStrip *strip = pw_setting_peek_strip(s, next);
      assert_int_equal(strip->page, p);
      assert_true(strip->y >= y - 1e-9);
      y = strip->y + strip->height;
    }
    assert_true(y <= s->grid.bottom + 1e-5);
  }
  assert_int_equal(next, s->strips->len);
}

/* Blocks begin on half steps of the grid, wherever they stand. */
static void
blocks_keep_to_the_grid(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_usual(), "plate");
  const PwSetting *s = set.setting;
  guint n = 0;
  for (guint i = 1; i < s->strips->len; i++) {
    const PwStrip *strip = pw_setting_peek_strip(s, i);
    if (strip->block == 0 || strip->block == pw_setting_peek_strip(s, i - 1)->block)
      continue;
    double halves = (strip->y - s->grid.top) / (s->grid.step / 2);
    assert_true(fabs(halves - round(halves)) < 1e-6);
    n++;
  }
  assert_true(n > 10);
}

/* ---- Tables ------------------------------------------------------------------------ */

/* A row that cannot be missed has a strong bar beside it, in the margin, and no other has. */
static void
what_is_open_is_marked(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_usual(), "plate-grey");
  const PwSetting *s = set.setting;
  guint n = 0;
  for (guint i = 0; i < s->strips->len; i++) {
    const PwStrip *strip = pw_setting_peek_strip(s, i);
    for (guint j = 0; j < strip->parts->len; j++) {
      const PwPart *part = &g_array_index(strip->parts, PwPart, j);
      if (part->kind != PW_PART_BAR)
        continue;
      assert_true(part->width >= 1 && part->x < s->grid.left && part->x > 10);
      assert_true(part->y2 - part->y > 0.7 * strip->height);
      n++;
    }
  }
  assert_int_equal(n, 1);
  g_autoptr(GBytes) bytes = set_draw(&set, "usual-grey", NULL);
  g_autofree char *said = look_with(bytes, NULL, "pdftohtml", "-xml", "-stdout", "-i", "{}", NULL);
  assert_holds(said, "<b>open: no outcome yet</b>");
  assert_holds(said, "<b>10</b>"); /* the sum */
  assert_holds_not(said, "<b>reattached");
}

/* ---- What is drawn ----------------------------------------------------------------- */

static void
pages_are_counted(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_straining(), "straining");
  g_autofree char *said = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  g_auto(GStrv) pages = g_strsplit(said, "\f", -1);
  guint n = g_strv_length(pages) - 1; /* a form feed ends each */
  for (guint i = 0; i < n; i++) {
    g_autofree char *foot = g_strdup_printf("page %u of %u\n", i + 1, n);
    assert_int_equal(set_count(pages[i], foot), 1);
    assert_int_equal(set_count(pages[i], "SAL-1887-02, "), 1);
  }
}

static void
there_is_room_to_sign(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_usual(), "usual");
  g_autoptr(GArray) words = find_words(bytes);
  const Word *above = find_word(words, "together."), *below = find_word(words, "studio");
  assert_int_equal(above->page, below->page);
  assert_true(below->y - above->y2 >= 12);
}

static void
what_runs_leftward_begins_at_the_right(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  g_autoptr(GBytes) bytes = set_draw(&set, "straining", NULL);
  g_autoptr(GArray) words = find_words(bytes);
  /* Poppler tells the letters as they stand, from the left. */
  const Word *word = find_word(words, "\u0631\u0647\u0638");
  assert_true(fabs(word->x2 - (set.setting->grid.left + set.setting->grid.full)) < 0.6);
}

static void
headings_are_bookmarks(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_usual(), "usual");
  g_autofree char *said =
      look_with(bytes, NULL, "qpdf", "--json", "--json-key=outlines", "{}", NULL);
  const char *told[] = {"\"The volume\"", "\"Condition\"", "\"Spine\"", "\"Decisions\""};
  for (gsize i = 0; i < G_N_ELEMENTS(told); i++)
    assert_holds(said, told[i]);
  assert_holds_not(said, "Seen in raking light");
}

/* Each is read once, a table that goes on as one, its head not again. */
static void
everything_is_read_in_order(void **state)
{
  (void)state;
  g_autoptr(GBytes) usual = set_draw_made(made_usual(), "usual");
  g_autofree char *said = look_with(usual, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  const char *order[] = {"H1",
                         "\"Treatment report\"",
                         "H1",
                         "\"The volume\"",
                         "L",
                         "Lbl",
                         "\"Number\"",
                         "LBody",
                         "\"SAL-1887-02\"",
                         "H2",
                         "\"Spine\"",
                         "Table",
                         "TR",
                         "TH",
                         "\"What\"",
                         "TD",
                         "\"Loss, spine leather\"",
                         "H3",
                         "Figure",
                         "Caption",
                         "Table",
                         "Caption",
                         "\"What was done, and when\""};
  const char *at = said;
  for (gsize i = 0; i < G_N_ELEMENTS(order); i++) {
    at = strstr(at, order[i]);
    if (at == NULL)
      fail_msg("%s is not read where it should be", order[i]);
    at += strlen(order[i]);
  }
  g_autoptr(GBytes) table = set_draw_made(made_table(), "table");
  g_autofree char *all = look_with(table, NULL, "pdfinfo", "-struct-text", "{}", NULL);
  assert_int_equal(set_count(all, "Table"), 1);
  assert_int_equal(set_count(all, "What it is and where it was found"), 1);
}

static void
words_lead_to_their_places(void **state)
{
  (void)state;
  g_autoptr(GBytes) bytes = set_draw_made(made_usual(), "usual");
  g_autofree char *said = look_objects(bytes);
  assert_true(set_count(said, "\"/Subtype\": \"/Link\"") >= 1);
  const char *places[] = {"ledger", "piece-P4", "condition"};
  for (gsize i = 0; i < G_N_ELEMENTS(places); i++)
    assert_holds(said, places[i]);
}

static void
the_file_can_be_kept(void **state)
{
  (void)state;
  PwDoc *(*const made[])(void) = {made_usual, made_straining, made_empty};
  for (gsize i = 0; i < G_N_ELEMENTS(made); i++) {
    gboolean archival = FALSE;
    int status = -1;
    g_auto(Set) set = set_new(made[i](), "plate"), again = set_new(made[i](), "plate");
    g_autoptr(GBytes) bytes = set_draw(&set, "kept", &archival),
                      other = set_draw(&again, "kept", NULL);
    assert_true(archival);
    assert_true(g_bytes_equal(bytes, other));
    g_autofree char *checked = look_with(bytes, &status, "qpdf", "--check", "{}", NULL);
    assert_int_equal(status, 0);
    g_autofree char *verdict = look_preflight(bytes);
    assert_holds(verdict, ": valid");
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_line_is_read_with_ease),
      cmocka_unit_test(nothing_stands_beyond_the_margins),
      cmocka_unit_test(small_paper_is_enough),
      cmocka_unit_test(nothing_overlaps),
      cmocka_unit_test(strips_stand_one_under_another),
      cmocka_unit_test(blocks_keep_to_the_grid),
      cmocka_unit_test(what_is_open_is_marked),
      cmocka_unit_test(pages_are_counted),
      cmocka_unit_test(there_is_room_to_sign),
      cmocka_unit_test(what_runs_leftward_begins_at_the_right),
      cmocka_unit_test(headings_are_bookmarks),
      cmocka_unit_test(everything_is_read_in_order),
      cmocka_unit_test(words_lead_to_their_places),
      cmocka_unit_test(the_file_can_be_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
