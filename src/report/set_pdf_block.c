/* Blocks of words as strips: paragraphs, lists, facts, and the line that stands for a plate. Words
 * run in the column of text; labels and numerals hang to the left of it.
 */
#include "set_pdf_setting.h"

/* White under the title of a document, in steps of the grid. */
#define UNDER_TITLE 1.5
/* From a numeral or a dash to its words. */
#define NUMERAL_APART 2.4
/* White above and below the words of a fact, between its hairlines. */
#define FACT_PAD 0.8
/* Lines of a fact or a point that is short; of a fact that is not broken. */
#define SHORT_ITEM 4
#define WHOLE_FACT 6
/* Facts that take less than this share of a page are not broken. */
#define SHORT_FACTS 0.25
/* White between the rules of a caution and its words. */
#define CAUTION_PAD 1.6
/* White between the points of a list, in steps of the grid. */
#define POINT_SPACE 0.25
/* Lines of a caution or a point, with its grounds, that is not broken. */
#define WHOLE_LINES 12
/* Of a list of plates: room for a plate's number, and white between two abreast. */
#define PLATE_LABEL 16.0
#define PLATES_APART 6.0
/* Paragraphs under a heading that are kept with what follows them, at most. */
#define LEAD_MOST 3

/* ---- What stands beside a block ---------------------------------------------------- */

static gboolean
is_blank(const PwBlock *block)
{
  switch (block->kind) {
  case PW_BLOCK_HEADING:
  case PW_BLOCK_PARAGRAPH:
    return pw_prose_is_empty(&block->prose);
  case PW_BLOCK_LIST:
  case PW_BLOCK_FACTS:
    return block->items->len == 0;
  case PW_BLOCK_SIGN:
    return block->labels->len == 0;
  case PW_BLOCK_TABLE:
    return block->n_columns == 0;
  case PW_BLOCK_PLATE:
  case PW_BLOCK_DRAWING:
  case PW_BLOCK_BREAK:
    return FALSE;
  }
  return TRUE;
}

static const PwBlock *
block_at(const PwSetting *s, guint block)
{
  return s->doc->blocks->pdata[block - 1];
}

const PwBlock *
pw_set_peek_before(const PwSetting *s)
{
  for (guint i = s->block; i > 1; i--)
    if (!is_blank(block_at(s, i - 1)))
      return block_at(s, i - 1);
  return NULL;
}

const PwBlock *
pw_set_peek_after(const PwSetting *s)
{
  for (guint i = s->block + 1; i <= s->doc->blocks->len; i++)
    if (!is_blank(block_at(s, i)))
      return block_at(s, i);
  return NULL;
}

/* White that a block wants on either side, in steps. */
static double
white_of(const PwBlock *block)
{
  switch (block->kind) {
  case PW_BLOCK_PARAGRAPH:
    return block->role == PW_PARAGRAPH_CAUTION ? 1 : 0.5;
  case PW_BLOCK_LIST:
    return 0.5;
  default:
    return 1;
  }
}

static double
white_between(const PwBlock *before, const PwBlock *block)
{
  static const double over_heading[] = {2.5, 1.5, 1};
  gboolean under_heading = before->kind == PW_BLOCK_HEADING;
  if (block->kind == PW_BLOCK_HEADING && (block->level == 1 || !under_heading))
    return over_heading[CLAMP(block->level, 1, 3) - 1];
  if (under_heading)
    return 0.5;
  if (block->kind == PW_BLOCK_PLATE && before->kind == PW_BLOCK_PLATE)
    return 0;
  return MAX(white_of(before), white_of(block));
}

/* What stands beside its heading has the white of the heading above it. */
double
pw_set_space(const PwSetting *s)
{
  const PwBlock *block = block_at(s, s->block), *before = pw_set_peek_before(s);
  if (s->side_head != NULL && block->kind != PW_BLOCK_HEADING)
    return s->side_space;
  return s->grid.step * (before != NULL ? white_between(before, block) : UNDER_TITLE);
}

/* ---- Words ------------------------------------------------------------------------- */

static gboolean
is_caution(const PwBlock *block)
{
  return block != NULL && block->kind == PW_BLOCK_PARAGRAPH && block->role == PW_PARAGRAPH_CAUTION;
}

/* What is set from strip `first` on stays on one page, unless it is more than `most` lines. */
static void
keep_whole(PwSetting *s, guint first, guint most)
{
  if (s->strips->len - first > most)
    return;
  for (guint i = first + 1; i < s->strips->len; i++)
    pw_setting_peek_strip(s, i)->is_tied = TRUE;
}

static gboolean
is_note(const PwBlock *block)
{
  return block != NULL && block->kind == PW_BLOCK_PARAGRAPH && block->role == PW_PARAGRAPH_NOTE;
}

static gboolean
is_prose(const PwBlock *block)
{
  return block == NULL || block->kind == PW_BLOCK_HEADING || block->kind == PW_BLOCK_PARAGRAPH;
}

/* The next block that is no paragraph, back or forth; `n` grows by the paragraphs between. */
static const PwBlock *
beyond_paragraphs(const PwSetting *s, int by, guint *n)
{
  for (int i = (int)s->block + by; i >= 1 && i <= (int)s->doc->blocks->len; i += by) {
    const PwBlock *block = block_at(s, (guint)i);
    if (is_blank(block))
      continue;
    if (block->kind != PW_BLOCK_PARAGRAPH)
      return block;
    (*n)++;
  }
  return NULL;
}

/* Whether it stands between a heading and what it says something of, alone or with a few others. */
static gboolean
leads_in(const PwSetting *s)
{
  guint n = 1;
  const PwBlock *before = beyond_paragraphs(s, -1, &n), *after = beyond_paragraphs(s, 1, &n);
  return before != NULL && before->kind == PW_BLOCK_HEADING && !is_prose(after) && n <= LEAD_MOST;
}

/* Whether what comes next has no other words over it: "these were not counted:", and a table. */
static gboolean
announces(const PwSetting *s, const PwBlock *block)
{
  const PwBlock *after = pw_set_peek_after(s);
  return !is_note(block) && !is_prose(after) && after->kind != PW_BLOCK_SIGN &&
         !(after->kind == PW_BLOCK_TABLE && !pw_prose_is_empty(&after->prose));
}

/* Between rules; of several one after another the rule over the next ends the one before. */
static void
set_caution(PwSetting *s, const PwBlock *block)
{
  PwText *text = pw_set_prose(s, PW_ROLE_DOC_BODY, &block->prose, PW_VOICE_PLAIN, s->grid.measure);
  double rule = pw_style_length(s->style, "document-rule"), end = s->grid.text + s->grid.measure;
  double above = is_caution(pw_set_peek_before(s)) ? CAUTION_PAD : pw_set_space(s);
  guint first = s->strips->len;
  pw_set_begin(s, PW_ELEMENT_P);
  pw_set_lines(s, PW_ROLE_DOC_BODY, text, s->grid.text, above, CAUTION_PAD);
  pw_set_end(s);
  keep_whole(s, first, WHOLE_LINES);
  if (leads_in(s))
    pw_set_keep(s);
  pw_strip_rule(pw_setting_peek_strip(s, first), s->grid.text, end, 0, rule);
  if (is_caution(pw_set_peek_after(s)))
    return;
  PwStrip *last = pw_setting_peek_strip(s, s->strips->len - 1);
  last->height += CAUTION_PAD;
  pw_strip_rule(last, s->grid.text, end, last->height, rule);
}

/* A note on a table, a list or cautions is never without the end of them. */
static void
set_paragraph(PwSetting *s, const PwBlock *block)
{
  static const PwRole roles[] = {[PW_PARAGRAPH_BODY] = PW_ROLE_DOC_BODY,
                                 [PW_PARAGRAPH_LEAD] = PW_ROLE_DOC_LEAD,
                                 [PW_PARAGRAPH_NOTE] = PW_ROLE_DOC_NOTE};
  if (block->role == PW_PARAGRAPH_CAUTION) {
    set_caution(s, block);
    return;
  }
  PwRole role = roles[block->role];
  PwText *text = pw_set_prose(s, role, &block->prose, PW_VOICE_PLAIN, s->grid.measure);
  const PwBlock *before = pw_set_peek_before(s);
  if (is_note(block) && (!is_prose(before) || is_caution(before)))
    pw_set_keep(s);
  pw_set_begin(s, PW_ELEMENT_P);
  pw_set_lines(s, role, text, s->grid.text, pw_set_space(s), 0);
  pw_set_end(s);
  if (leads_in(s) || announces(s, block))
    pw_set_keep(s);
}

/* ---- Lists and facts --------------------------------------------------------------- */

/* Item i of n, from strip `first` to the end, stays with the one before it, from `before`, where
 * either end of a list would be a short one alone. */
static void
keep_ends(PwSetting *s, guint i, guint n, guint before, guint first)
{
  const gboolean begins = i == 1 && first - before <= SHORT_ITEM;
  const gboolean ends = i > 0 && i + 1 == n && s->strips->len - first <= SHORT_ITEM;
  if (begins || ends)
    pw_setting_peek_strip(s, first)->is_tied = TRUE;
}

static void
hang_numeral(PwSetting *s, const PwBlock *block, guint i)
{
  g_autofree char *numeral = g_strdup_printf("%u", i + 1);
  PwText *text = pw_set_words(s, PW_ROLE_DOC_NUMERAL, block->is_numbered ? numeral : "\u2013", 0);
  pw_set_hang(s, PW_ELEMENT_LABEL, text, s->grid.text - NUMERAL_APART, 1);
}

static void
set_list(PwSetting *s, const PwBlock *block)
{
  double apart = POINT_SPACE * s->grid.step;
  pw_set_begin(s, PW_ELEMENT_LIST);
  for (guint i = 0, before = 0, first; i < block->items->len; i++, before = first) {
    PwText *text =
        pw_set_prose(s, PW_ROLE_DOC_BODY, block->items->pdata[i], PW_VOICE_PLAIN, s->grid.measure);
    first = s->strips->len;
    pw_set_begin(s, PW_ELEMENT_ITEM);
    hang_numeral(s, block, i);
    pw_set_begin(s, PW_ELEMENT_BODY);
    pw_set_lines(s, PW_ROLE_DOC_BODY, text, s->grid.text, i == 0 ? pw_set_space(s) : apart, 0);
    pw_set_end(s);
    pw_set_end(s);
    keep_whole(s, first, WHOLE_LINES);
    keep_ends(s, i, block->items->len, before, first);
  }
  pw_set_end(s);
}

/* A label too long to hang stands over its words. */
static void
set_label(PwSetting *s, const char *label, double above)
{
  PwText *text = pw_set_words(s, PW_ROLE_DOC_LABEL, label, s->grid.side_width);
  if (pw_set_may_hang(s, text)) {
    pw_set_hang(s, PW_ELEMENT_LABEL, text, s->grid.left, pw_set_align(text));
    return;
  }
  text = pw_set_words(s, PW_ROLE_DOC_LABEL, label, s->grid.measure);
  pw_set_begin(s, PW_ELEMENT_LABEL);
  pw_set_lines(s, PW_ROLE_DOC_LABEL, text, s->grid.text, above, FACT_PAD);
  pw_set_end(s);
  pw_set_keep(s);
}

static void
set_fact(PwSetting *s, const char *label, const PwProse *prose, double above)
{
  double hairline = pw_style_length(s->style, "hairline");
  PwText *text = pw_set_prose(s, PW_ROLE_DOC_BODY, prose, PW_VOICE_PLAIN, s->grid.measure);
  guint first = s->strips->len;
  pw_set_begin(s, PW_ELEMENT_ITEM);
  set_label(s, label, above);
  pw_set_begin(s, PW_ELEMENT_BODY);
  pw_set_lines(s, PW_ROLE_DOC_BODY, text, s->grid.text, s->strips->len > first ? 0 : above,
               FACT_PAD);
  pw_set_end(s);
  pw_set_end(s);
  pw_set_settle(s);
  keep_whole(s, first, WHOLE_FACT);
  if (s->strips->len - first > WHOLE_FACT) /* its label is not in the margin where it goes on */
    pw_set_again_within(s, label, first + 1);
  pw_strip_rule(pw_setting_peek_strip(s, first), s->grid.left, s->grid.left + s->grid.full, 0,
                hairline);
  pw_setting_peek_strip(s, s->strips->len - 1)->height += FACT_PAD;
}

/* Few facts, as those of a decision, are read at one glance. */
static void
keep_few(PwSetting *s, guint from)
{
  double height = 0;
  for (guint i = from; i < s->strips->len; i++)
    height += pw_setting_peek_strip(s, i)->height;
  if (height < SHORT_FACTS * (s->grid.bottom - s->grid.top))
    keep_whole(s, from, s->strips->len - from);
}

static void
set_facts(PwSetting *s, const PwBlock *block)
{
  pw_set_stand(s);
  guint from = s->strips->len;
  pw_set_begin(s, PW_ELEMENT_LIST);
  for (guint i = 0, before = 0, first; i < block->items->len; i++, before = first) {
    first = s->strips->len;
    set_fact(s, block->labels->pdata[i], block->items->pdata[i], i == 0 ? pw_set_space(s) : 0);
    keep_ends(s, i, block->items->len, before, first);
  }
  pw_set_end(s);
  keep_few(s, from);
}

/* ---- Plates ------------------------------------------------------------------------ */

/* Which of the plates that are mentioned one after another it is, from 0. */
static guint
place_among_plates(const PwSetting *s)
{
  guint n = 0;
  for (guint i = s->block - 1; i >= 1 && block_at(s, i)->kind == PW_BLOCK_PLATE; i--)
    n++;
  return n;
}

/* "Plate 3" and its title on the last strip, in the column that begins at x. */
static void
put_plate(PwSetting *s, const PwBlock *block, double x, double width)
{
  g_autofree char *number = g_strdup_printf("%u", block->number);
  g_autofree char *label = pw_words_dup_phrase(s->words, "plate-n", "n", number, NULL);
  PwText *name = pw_set_link(s, PW_ROLE_DOC_LABEL, label, block->anchor, PLATE_LABEL);
  PwText *title =
      pw_set_link(s, PW_ROLE_DOC_BODY, block->plate->title, block->anchor, width - PLATE_LABEL);
  PwStrip *strip = pw_setting_peek_strip(s, s->strips->len - 1);
  double baseline = pw_text_first_baseline(title);
  pw_strip_begin(strip, PW_ELEMENT_ITEM);
  pw_strip_begin(strip, PW_ELEMENT_LABEL);
  pw_strip_text(strip, name, x, baseline, pw_set_align(name));
  pw_strip_end(strip);
  pw_strip_begin(strip, PW_ELEMENT_BODY);
  pw_strip_text(strip, title, x + PLATE_LABEL, baseline, pw_set_align(title));
  pw_strip_end(strip);
  pw_strip_end(strip);
  strip->height = MAX(strip->height, pw_text_height(title));
}

/* A plate has pages of its own; where it is mentioned in the text its name leads there, two names
 * abreast, so that a list of them takes little room. */
static void
set_plate(PwSetting *s, const PwBlock *block)
{
  double half = (s->grid.full - PLATES_APART) / 2;
  guint place = place_among_plates(s);
  pw_set_stand(s);
  if (place == 0)
    pw_set_begin(s, PW_ELEMENT_LIST);
  if (place % 2 == 0)
    pw_set_strip(s, pw_set_space(s), 0, 0);
  put_plate(s, block, s->grid.left + place % 2 * (half + PLATES_APART), half);
  g_ptr_array_add(pw_setting_peek_strip(s, s->strips->len - 1)->plates, (gpointer)block);
  const PwBlock *after = pw_set_peek_after(s);
  if (after == NULL || after->kind != PW_BLOCK_PLATE)
    pw_set_end(s);
}

/* ---- Any --------------------------------------------------------------------------- */

static void
set_break(PwSetting *s, const PwBlock *block)
{
  (void)block;
  if (s->strips->len > 0)
    pw_setting_peek_strip(s, s->strips->len - 1)->ends_page = TRUE;
}

/* Blocks begin on the grid; notes, of a smaller type, stand evenly under each other. */
void
pw_set_block(PwSetting *s, const PwBlock *block)
{
  static void (*const set[])(PwSetting *, const PwBlock *) = {
      [PW_BLOCK_HEADING] = pw_set_heading, [PW_BLOCK_PARAGRAPH] = set_paragraph,
      [PW_BLOCK_LIST] = set_list,          [PW_BLOCK_FACTS] = set_facts,
      [PW_BLOCK_TABLE] = pw_set_table,     [PW_BLOCK_PLATE] = set_plate,
      [PW_BLOCK_DRAWING] = pw_set_drawing, [PW_BLOCK_SIGN] = pw_set_sign,
      [PW_BLOCK_BREAK] = set_break};
  if (is_blank(block))
    return;
  guint first = s->strips->len;
  pw_set_place(s, block->kind == PW_BLOCK_PLATE ? NULL : block->anchor);
  set[block->kind](s, block);
  pw_set_settle(s);
  if (first < s->strips->len && !(is_note(block) && is_note(pw_set_peek_before(s))))
    pw_setting_peek_strip(s, first)->is_aligned = TRUE;
}
