/* Where the pages of a document end: no heading alone, no line alone, rows whole, heads of tables
 * repeated; off the layout's own boxes, and off the finished file as poppler reads it.
 */
#include <math.h>

#include "../pdf/look.h"
#include "made.h"
#include "set.h"

/* ---- What is kept together --------------------------------------------------------- */

/* What may follow a heading. */
static void
say(PwDoc *doc)
{
  pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN,
             "Corners bumped, the upper one open to the board, marbled paper rubbed along the fore "
             "edge without loss of the sheet; a ridge runs parallel to the joint.");
}

static void
list(PwDoc *doc)
{
  PwBlock *block = pw_doc_list(doc, TRUE);
  for (int i = 0; i < 4; i++)
    pw_prose_add(pw_list_item(block), PW_VOICE_PLAIN, "The hollow was not rebuilt.");
}

static void
facts(PwDoc *doc)
{
  PwBlock *block = pw_doc_facts(doc);
  for (int i = 0; i < 4; i++)
    pw_prose_add(pw_facts_add(block, "Binding"), PW_VOICE_PLAIN, "Quarter calf");
}

static void
table(PwDoc *doc, const char *caption, gsize n)
{
  PwColumn columns[9];
  for (gsize j = 0; j < n; j++)
    columns[j] = (PwColumn){"Some words", PW_COLUMN_NARROW, 0};
  PwBlock *block = pw_doc_table(doc, caption, columns, n);
  for (guint i = 0; i < 3; i++) {
    PwRow *row = pw_table_row(block);
    for (gsize j = 0; j < n; j++)
      pw_prose_add(pw_row_cell(row, j), PW_VOICE_PLAIN, "some words");
  }
}

static void
narrow_table(PwDoc *doc)
{
  table(doc, NULL, 2);
}

/* Too wide for the column of text, so that a heading beside it stands over it. */
static void
wide_table(PwDoc *doc)
{
  table(doc, NULL, 9);
}

static void
table_with_caption(PwDoc *doc)
{
  table(doc, "What was done, and when", 9);
}

static void
drawing(PwDoc *doc)
{
  const PwInk ink = {0, 0, 0};
  PwDrawing *lines = pw_drawing_new(118, 42, "Losses");
  pw_drawing_line(lines, 0, 0, 118, 42, 0.15, ink);
  pw_doc_drawing(doc, lines, "Losses by part");
}

static void
signature(PwDoc *doc)
{
  pw_sign_line(pw_doc_sign(doc), "For the studio");
}

static void
heading(PwDoc *doc)
{
  pw_doc_heading(doc, 2, "Spine", NULL);
  say(doc);
}

static void
say_lines(PwDoc *doc, guint n)
{
  for (guint i = 0; i < n; i++)
    pw_doc_say(doc, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "A line.");
}

/* A heading after so many lines, what follows it, and enough for its section not to be short, which
 * is kept together for that. */
static PwDoc *
made_heading(guint lines, int level, void (*follow)(PwDoc *doc))
{
  enum { MORE = 40 };
  PwDoc *doc = pw_doc_new("Lines", "en", PW_FOR_STUDIO);
  say_lines(doc, lines);
  pw_doc_heading(doc, level, "A heading", NULL);
  follow(doc);
  say_lines(doc, MORE);
  return doc;
}

/* Captions of tables stand over them, those of drawings under. */
static gboolean
is_heading(PwElement element, const PwBlock *block)
{
  return element == PW_ELEMENT_H1 || element == PW_ELEMENT_H2 || element == PW_ELEMENT_H3 ||
         (element == PW_ELEMENT_CAPTION && block != NULL && block->kind == PW_BLOCK_TABLE);
}

/* Whether nothing but a heading stands on a strip, on its own lines or in the margin. */
static gboolean
is_bare_heading(const PwStrip *strip, const PwBlock *block)
{
  int depth = 0, within = 0;
  gboolean found = FALSE;
  for (guint i = 0; i < strip->parts->len; i++) {
    const PwPart *part = &g_array_index(strip->parts, PwPart, i);
    depth += part->kind == PW_PART_BEGIN ? 1 : part->kind == PW_PART_END ? -1 : 0;
    if (part->kind == PW_PART_BEGIN && is_heading(part->element, block))
      within = depth;
    else if (part->kind == PW_PART_END && depth < within)
      within = 0;
    found = found || within > 0;
    if (part->kind == PW_PART_TEXT && within == 0)
      return FALSE;
  }
  return found;
}

/* How many pages end before the last strip; none of them with a heading. */
static guint
check_headings(const PwSetting *s)
{
  for (guint p = 0; p + 1 < s->pages->len; p++) {
    guint last = g_array_index(s->pages, PwSetPage, p).end - 1;
    const PwStrip *strip = pw_setting_peek_strip(s, last);
    const PwBlock *block = set_block_of(s, strip);
    if (is_bare_heading(strip, block) || (block != NULL && block->kind == PW_BLOCK_HEADING))
      fail_msg("a heading ends page %u of %u", p + 1, s->pages->len);
  }
  return s->pages->len - 1;
}

/* Wherever on a page it comes to stand, and whatever follows it. */
static void
no_heading_ends_a_page(void **state)
{
  enum { LEAST_LINES = 26, MOST_LINES = 60 };
  static void (*const follow[])(PwDoc * doc) = {
      say, list, facts, narrow_table, wide_table, table_with_caption, drawing, signature, heading};
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  guint n = check_headings(set.setting);
  for (gsize i = 0; i < G_N_ELEMENTS(follow); i++)
    for (int level = 1; level <= 2; level++)
      for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++) {
        set_anew(&set, made_heading(lines, level, follow[i]));
        n += check_headings(set.setting);
      }
  print_message("# %u ends of pages\n", n);
  assert_true(n > 500);
}

/* The nearest heading before a strip's block, of any level or of the first; NULL: none. */
static const char *
heading_of(const PwSetting *s, const PwStrip *strip, gboolean of_first)
{
  for (guint i = strip->block; i > 0; i--) {
    const PwBlock *block = s->doc->blocks->pdata[i - 1];
    if (block->kind == PW_BLOCK_HEADING && (block->level == 1 || !of_first))
      return g_array_index(block->prose.runs, PwRun, 0).text;
  }
  return NULL;
}

static gboolean
begins(const PwStrip *strip, PwElement element)
{
  for (guint i = 0; i < strip->parts->len; i++) {
    const PwPart *part = &g_array_index(strip->parts, PwPart, i);
    if (part->kind == PW_PART_BEGIN && part->element == element)
      return TRUE;
  }
  return FALSE;
}

/* Sections of one kind of block each, longer than a page, and facts longer than one. */
static PwDoc *
made_sections(void)
{
  enum { ITEMS = 9, FACTS = 5, LINES = 14 };
  PwDoc *doc = pw_doc_new("Sections", "en", PW_FOR_STUDIO);
  pw_doc_heading(doc, 1, "Charts", NULL);
  for (guint i = 0; i < ITEMS; i++)
    drawing(doc);
  pw_doc_heading(doc, 1, "Words", NULL);
  for (guint i = 0; i < 3 * ITEMS; i++)
    say(doc);
  pw_doc_heading(doc, 2, "Tables", NULL);
  for (guint i = 0; i < ITEMS; i++)
    table_with_caption(doc);
  pw_doc_heading(doc, 1, "Questions", NULL);
  for (guint i = 0; i < 2 * ITEMS; i++) {
    pw_doc_heading(doc, 2, "What to do", NULL);
    facts(doc);
  }
  pw_doc_heading(doc, 1, "Facts", NULL);
  PwBlock *block = pw_doc_facts(doc);
  for (guint i = 0; i < FACTS; i++)
    for (guint j = 0; j < LINES + i; j++)
      pw_prose_add(j == 0 ? pw_facts_add(block, "Binding") : block->items->pdata[i], PW_VOICE_PLAIN,
                   "Quarter calf over boards, sewn on four recessed cords, with a hollow back. ");
  return doc;
}

/* "Facts: Binding (continued)" where words go on without their label; NULL under a first heading.
 */
static char *
dup_again(const PwSetting *s, const PwStrip *first)
{
  const gboolean headed = begins(first, PW_ELEMENT_H2);
  const gboolean within =
      set_block_of(s, first)->kind == PW_BLOCK_FACTS && !headed && !begins(first, PW_ELEMENT_LABEL);
  if (begins(first, PW_ELEMENT_H1))
    return NULL;
  const char *over = heading_of(s, first, TRUE), *heading = heading_of(s, first, FALSE);
  const gboolean below = !headed && !g_str_equal(over, heading);
  return g_strdup_printf("%s%s%s%s (continued)", over, below ? ": " : "", below ? heading : "",
                         within ? ": Binding" : "");
}

/* However much there is to be said. */
static void
what_goes_on_is_named_on_one_line(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_sections(), "plate");
  g_autoptr(GString) what = g_string_new("What");
  for (guint i = 0; i < 40; i++) {
    g_string_append(what, " becomes of it");
    assert_int_equal(pw_text_n_lines(pw_set_again(set.setting, what->str)), 1);
  }
}

/* A page begins with a first heading, or with the words of the one that it goes on under. */
static void
pages_that_go_on_say_of_what(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_sections(), "plate");
  const PwSetting *s = set.setting;
  g_autoptr(GBytes) bytes = set_draw(&set, "sections", NULL);
  g_autofree char *said = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  g_auto(GStrv) pages = g_strsplit(said, "\f", -1);
  guint n_on = 0, n_second = 0, n_facts = 0;
  for (guint p = 1; p < s->pages->len; p++) {
    const PwStrip *first = pw_setting_peek_strip(s, g_array_index(s->pages, PwSetPage, p).first);
    g_autofree char *again = dup_again(s, first);
    assert_int_equal(set_count(pages[p], "(continued)"), again != NULL ? 1 : 0);
    assert_true(again == NULL || g_str_has_prefix(pages[p], again));
    n_on += again != NULL ? 1 : 0;
    n_second += begins(first, PW_ELEMENT_H2) ? 1 : 0;
    n_facts += again != NULL && strstr(again, "Binding") != NULL ? 1 : 0;
  }
  print_message("# %u pages of %u go on, %u with a heading below the first, %u inside a fact\n",
                n_on, s->pages->len, n_second, n_facts);
  assert_true(n_on >= 5 && n_second > 0 && n_facts > 0);
}

static void
notes_and_table(PwDoc *doc)
{
  say_lines(doc, 2);
  narrow_table(doc);
}

/* What stands between a heading and its table is on the page where the table begins. */
static void
what_leads_in_stays_with_it(void **state)
{
  enum { LEAST_LINES = 26, MOST_LINES = 60 };
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  guint n = 0;
  for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++) {
    set_anew(&set, made_heading(lines, 1, notes_and_table));
    const PwSetting *s = set.setting;
    for (guint p = 0; p + 1 < s->pages->len; p++, n++) {
      guint next = g_array_index(s->pages, PwSetPage, p).end;
      const PwBlock *begins = set_block_of(s, pw_setting_peek_strip(s, next));
      const PwBlock *ends = set_block_of(s, pw_setting_peek_strip(s, next - 1));
      if (begins->kind == PW_BLOCK_TABLE)
        assert_int_equal(ends->kind, PW_BLOCK_TABLE);
    }
  }
  assert_true(n > 30);
}

/* Far below a heading, some lines, a sentence, and what it is of. */
static PwDoc *
made_announced(guint lines, void (*follow)(PwDoc *doc))
{
  PwDoc *doc = pw_doc_new("Lines", "en", PW_FOR_STUDIO);
  pw_doc_heading(doc, 1, "A heading", NULL);
  say_lines(doc, lines);
  pw_doc_say(doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "These came to light later:");
  follow(doc);
  say_lines(doc, 20);
  return doc;
}

/* The first strip of that block is on the page of the last strip before it. */
static void
check_announced(const PwSetting *s, guint block)
{
  guint i = 1;
  while (i < s->strips->len && pw_setting_peek_strip(s, i)->block != block)
    i++;
  assert_true(i < s->strips->len);
  assert_int_equal(pw_setting_peek_strip(s, i)->page, pw_setting_peek_strip(s, i - 1)->page);
}

/* A sentence over a table, a list, facts or a drawing that has no words of its own is not left. */
static void
a_sentence_stays_with_what_it_announces(void **state)
{
  enum { LEAST_LINES = 30, MOST_LINES = 60 };
  static void (*const follow[])(PwDoc * doc) = {list, facts, narrow_table, wide_table, drawing};
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  for (gsize i = 0; i < G_N_ELEMENTS(follow); i++)
    for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++) {
      set_anew(&set, made_announced(lines, follow[i]));
      check_announced(set.setting, lines + 3);
    }
}

static gboolean
is_line_of(const PwStrip *strip, const PwText *text)
{
  for (guint i = 0; i < strip->parts->len; i++) {
    const PwPart *part = &g_array_index(strip->parts, PwPart, i);
    if (part->kind == PW_PART_TEXT && !part->is_hung && part->text == text)
      return TRUE;
  }
  return FALSE;
}

/* How many strips of that page hold lines of the text. */
static guint
lines_on(const PwSetting *s, guint page, const PwText *text)
{
  const PwSetPage *p = &g_array_index(s->pages, PwSetPage, page);
  guint n = 0;
  for (guint i = p->first; i < p->end; i++)
    n += is_line_of(pw_setting_peek_strip(s, i), text) ? 1 : 0;
  return n;
}

/* Of every text that is cut into lines, at least two stand on any page where one does. */
static void
no_line_stands_alone(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  const PwSetting *s = set.setting;
  guint n_broken = 0;
  for (guint i = 0; i < s->strips->len; i++) {
    const PwStrip *strip = pw_setting_peek_strip(s, i);
    for (guint j = 0; j < strip->parts->len; j++) {
      const PwPart *part = &g_array_index(strip->parts, PwPart, j);
      if (part->kind != PW_PART_TEXT || part->is_hung || part->n != 1 ||
          pw_text_n_lines(part->text) < 2)
        continue;
      guint here = lines_on(s, strip->page, part->text);
      assert_true(here >= 2);
      n_broken += here < pw_text_n_lines(part->text) ? 1 : 0;
    }
  }
  assert_true(n_broken > 100);
}

/* Whatever its last lines are: a page holds a quarter of what one may, the last a fifth, or it
 * is the only one. */
static void
no_page_is_a_scrap(void **state)
{
  enum { LEAST_LINES = 4, MOST_LINES = 90 };
  static void (*const follow[])(PwDoc * doc) = {say, list, facts, narrow_table, drawing};
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  guint n = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(follow); i++)
    for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++) {
      set_anew(&set, made_heading(lines, 1, follow[i]));
      const PwSetting *s = set.setting;
      for (guint p = 0; s->pages->len > 1 && p < s->pages->len; p++, n++) {
        const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
        const PwStrip *first = pw_setting_peek_strip(s, page->first),
                      *last = pw_setting_peek_strip(s, page->end - 1);
        const double least = p + 1 < s->pages->len ? 0.25 : 0.2;
        assert_true(last->y + last->height - first->y >= least * (s->grid.bottom - s->grid.top));
      }
    }
  print_message("# %u pages\n", n);
  assert_true(n > 500);
}

/* Lines, and a section of a third of a page behind them. */
static PwDoc *
made_short_section(guint lines)
{
  enum { SHORT = 11 };
  PwDoc *doc = pw_doc_new("Lines", "en", PW_FOR_STUDIO);
  say_lines(doc, lines);
  pw_doc_heading(doc, 1, "How it was done", NULL);
  say_lines(doc, SHORT);
  return doc;
}

/* It stands whole on one page or on the next, as there are two anyway. */
static void
a_short_section_is_not_cut(void **state)
{
  enum { LEAST_LINES = 10, MOST_LINES = 32 };
  (void)state;
  guint n_two = 0;
  g_auto(Set) set = set_new(made_straining(), "plate");
  for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++) {
    set_anew(&set, made_short_section(lines));
    const PwSetting *s = set.setting;
    assert_true(s->pages->len <= 2);
    if (s->pages->len < 2)
      continue;
    const PwSetPage *second = &g_array_index(s->pages, PwSetPage, 1);
    assert_true(begins(pw_setting_peek_strip(s, second->first), PW_ELEMENT_H1));
    n_two++;
  }
  print_message("# %u of two pages\n", n_two);
  assert_true(n_two > 10);
}

/* ---- Tables ------------------------------------------------------------------------ */

/* After so many lines, of rows from one line to some. */
static PwDoc *
made_uneven(guint lines, guint rows)
{
  enum { MOST = 9 };
  static const PwColumn columns[] = {{"What", PW_COLUMN_WORDS, 1}, {"Where", PW_COLUMN_WORDS, 1}};
  PwDoc *doc = pw_doc_new("Rows", "en", PW_FOR_STUDIO);
  say_lines(doc, lines);
  pw_doc_heading(doc, 1, "Rows", NULL);
  PwBlock *block = pw_doc_table(doc, NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < rows; i++) {
    PwRow *row = pw_table_row(block);
    for (guint j = 0; j <= (lines + i * i) % MOST; j++)
      pw_prose_add(pw_row_cell(row, 0), PW_VOICE_PLAIN, "Corners bumped.\n");
    pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, "spine");
  }
  return doc;
}

/* How many rows stand on the pages before its last, none alone unless it is high. */
static guint
check_rows_of(const PwSetting *s)
{
  guint n = 0;
  for (guint p = 0; p < s->pages->len; p++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
    const PwStrip *row = NULL;
    guint here = 0;
    for (guint i = page->first; i < page->end; i++)
      if (pw_setting_peek_strip(s, i)->head >= 0) {
        row = pw_setting_peek_strip(s, i);
        here++;
      }
    assert_true(here != 1 || row->height > 0.16 * (s->grid.bottom - s->grid.top));
    n += p + 1 < s->pages->len ? here : 0;
  }
  return n;
}

static void
no_low_row_stands_alone(void **state)
{
  enum { LEAST_LINES = 0, MOST_LINES = 56, LEAST_ROWS = 2, MOST_ROWS = 14 };
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  guint n = 0;
  for (guint lines = LEAST_LINES; lines < MOST_LINES; lines++)
    for (guint rows = LEAST_ROWS; rows < MOST_ROWS; rows++) {
      set_anew(&set, made_uneven(lines, rows));
      n += check_rows_of(set.setting);
    }
  print_message("# %u rows before the end\n", n);
  assert_true(n > 500);
}

static void
heads_are_repeated(void **state)
{
  (void)state;
  g_auto(Set) set = set_new(made_straining(), "plate");
  const PwSetting *s = set.setting;
  guint n = 0;
  for (guint p = 0; p < s->pages->len; p++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
    const PwStrip *first = pw_setting_peek_strip(s, page->first);
    assert_int_equal(page->head, first->head);
    n += page->head >= 0 ? 1 : 0;
  }
  assert_true(n >= 3);
  g_autoptr(GBytes) bytes = set_draw(&set, "straining", NULL);
  g_autofree char *said = look_with(bytes, NULL, "pdftotext", "{}", "-", NULL);
  g_auto(GStrv) pages = g_strsplit(said, "\f", -1);
  guint n_pages = 0;
  for (guint p = 0; p < s->pages->len; p++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
    const PwStrip *last = pw_setting_peek_strip(s, page->end - 1);
    const PwBlock *block = set_block_of(s, last);
    if (last->head < 0 || block->rows->len != 41)
      continue;
    assert_int_equal(set_count(pages[p], "What it is and where it was found"), 1);
    assert_int_equal(set_count(pages[p], "(continued)"), page->again != NULL ? 1 : 0);
    n_pages++;
  }
  assert_true(n_pages >= 2);
}

/* A table of rows from one line to more than a page. */
static PwDoc *
made_rows(void)
{
  enum { ROWS = 60 };
  static const PwColumn columns[] = {{"What", PW_COLUMN_WORDS, 1}, {"Where", PW_COLUMN_WORDS, 1}};
  PwDoc *doc = pw_doc_new("Rows", "en", PW_FOR_STUDIO);
  PwBlock *block = pw_doc_table(doc, "Rows", columns, G_N_ELEMENTS(columns));
  g_autoptr(GString) words = g_string_new(NULL);
  for (guint i = 0; i < ROWS; i++) {
    g_string_append(words, "Corners bumped, the upper one open to the board, paper rubbed. ");
    PwRow *row = pw_table_row(block);
    pw_prose_add(pw_row_cell(row, 0), PW_VOICE_PLAIN, words->str);
    pw_prose_add(pw_row_cell(row, 1), PW_VOICE_PLAIN, "spine");
  }
  return doc;
}

typedef struct {
  guint whole, cut, on; /* rows of one piece; pieces; of those, such as begin a page */
} Rows;

/* The highest cell that stands on a strip of a row, whole or in part; NULL: none has words. */
static const PwPart *
highest_on(const PwStrip *strip)
{
  const PwPart *highest = NULL;
  for (guint i = 0; i < strip->parts->len && strip->head >= 0; i++) {
    const PwPart *part = &g_array_index(strip->parts, PwPart, i);
    if (part->kind == PW_PART_TEXT &&
        (highest == NULL || pw_text_n_lines(part->text) > pw_text_n_lines(highest->text)))
      highest = part;
  }
  return highest;
}

/* A row of less than some 0.3 of a page is never cut, a higher one always, into pieces of three or
 * four lines; where a page begins with one of them it says of which row. */
static void
check_rows(PwDoc *doc, Rows *rows)
{
  g_auto(Set) set = set_new(doc, "plate");
  const PwSetting *s = set.setting;
  const double room = s->grid.bottom - s->grid.top;
  for (guint i = 0; i < s->strips->len; i++) {
    const PwPart *part = highest_on(pw_setting_peek_strip(s, i));
    if (part == NULL)
      continue;
    const gboolean is_cut = part->n < pw_text_n_lines(part->text);
    const double share = pw_text_height(part->text) / room;
    rows->whole += is_cut ? 0 : 1;
    rows->cut += is_cut ? 1 : 0;
    assert_true(is_cut ? share > 0.26 && part->n >= 3 && part->n <= 4 : share < 0.3);
  }
  for (guint p = 0; p < s->pages->len; p++) {
    const PwSetPage *page = &g_array_index(s->pages, PwSetPage, p);
    const PwStrip *first = pw_setting_peek_strip(s, page->first);
    if (first->head < 0 || first->again == s->again)
      continue;
    assert_ptr_equal(pw_setting_peek_strip(s, page->first + 1)->again, first->again);
    assert_true(page->end - page->first >= 2);
    rows->on++;
  }
}

static void
rows_are_whole_unless_they_are_high(void **state)
{
  (void)state;
  Rows rows = {0};
  check_rows(made_straining(), &rows);
  check_rows(made_rows(), &rows);
  print_message("# %u rows whole, %u pieces, %u of them begin a page\n", rows.whole, rows.cut,
                rows.on);
  assert_true(rows.whole > 50 && rows.cut > 100 && rows.on > 5);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(no_heading_ends_a_page),
      cmocka_unit_test(pages_that_go_on_say_of_what),
      cmocka_unit_test(what_goes_on_is_named_on_one_line),
      cmocka_unit_test(what_leads_in_stays_with_it),
      cmocka_unit_test(a_sentence_stays_with_what_it_announces),
      cmocka_unit_test(no_line_stands_alone),
      cmocka_unit_test(no_page_is_a_scrap),
      cmocka_unit_test(a_short_section_is_not_cut),
      cmocka_unit_test(no_low_row_stands_alone),
      cmocka_unit_test(heads_are_repeated),
      cmocka_unit_test(rows_are_whole_unless_they_are_high),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
