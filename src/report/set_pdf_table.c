/* Tables: rows between hairlines under a head that is repeated where they go on. A row is not
 * broken unless it is a high one, and then the page where it goes on says of which. What cannot be
 * missed has a bar beside it and strong words; a sum stands under a rule.
 */
#include "set_pdf_columns.h"
#include "set_pdf_setting.h"

/* White between columns; above and below the words of a row; from its bar to a row. */
#define COLUMN_APART 4.0
#define ROW_PAD 0.9
#define BAR_APART 2.4
/* From a caption to the head under it. */
#define CAPTION_DROP 0.8
/* A row higher than this share of a page may be broken, in pieces of so many lines or one less; two
 * pieces stand at either end. */
#define HIGH_ROW 0.3
#define PIECE 4
/* Letters of a term, at most. */
#define SHORT_NAME 32
/* A table shorter than this share of a page is not broken. */
#define SHORT_TABLE 0.25
/* A row lower than this share of a page, eight lines or so, does not stand alone at either end of a
 * table that goes on. */
#define LONE_ROW 0.16

typedef struct {
  const PwBlock *block;
  PwText **heads, **cells;
  double *widths, *lefts;
  double left, width;
  double rule, hairline;
  double leading, baseline; /* of all cells of a row; below the top of a line */
  int head;                 /* its strip */
  gboolean is_short;        /* kept on one page */
} Table;

/* ---- Columns ----------------------------------------------------------------------- */

static PwRole
role_of(const Table *t, gsize column)
{
  return t->block->columns[column].kind == PW_COLUMN_FIGURES ? PW_ROLE_DOC_FIGURES
                                                             : PW_ROLE_DOC_CELL;
}

static double
align_of(const Table *t, gsize column, const PwText *text)
{
  return t->block->columns[column].kind == PW_COLUMN_FIGURES ? 1 : pw_set_align(text);
}

static void
set_cells(Table *t, PwSetting *s)
{
  gsize n = t->block->n_columns;
  t->heads = g_new(PwText *, n);
  t->cells = g_new(PwText *, n * t->block->rows->len + 1);
  for (gsize j = 0; j < n; j++)
    t->heads[j] = pw_set_words(s, PW_ROLE_DOC_COLUMN, t->block->columns[j].title, 0);
  for (guint i = 0; i < t->block->rows->len; i++) {
    const PwRow *row = t->block->rows->pdata[i];
    PwVoice least = row->is_open || row->is_sum ? PW_VOICE_STRONG : PW_VOICE_PLAIN;
    for (gsize j = 0; j < n; j++)
      t->cells[i * n + j] = pw_set_prose(s, role_of(t, j), &row->cells[j], least, 0);
  }
}

static void
place_columns(Table *t, const PwSetting *s)
{
  gsize n = t->block->n_columns;
  t->widths = g_new0(double, n);
  t->lefts = g_new0(double, n);
  gboolean is_wide = pw_set_columns(t->block, t->heads, t->cells, s->grid.measure, s->grid.full,
                                    COLUMN_APART, t->widths);
  t->left = is_wide ? s->grid.left : s->grid.text;
  t->width = is_wide ? s->grid.full : s->grid.measure;
  double x = t->left;
  for (gsize j = 0; j < n; j++) {
    t->lefts[j] = x;
    x += t->widths[j] + COLUMN_APART;
    pw_text_set_width(t->heads[j], t->widths[j]);
    for (guint i = 0; i < t->block->rows->len; i++)
      pw_text_set_width(t->cells[i * n + j], t->widths[j]);
  }
}

static void
table_clear(Table *t)
{
  g_free(t->heads);
  g_free(t->cells);
  g_free(t->widths);
  g_free(t->lefts);
}

/* ---- Caption and head -------------------------------------------------------------- */

/* A table under no heading is called by its caption where it goes on. */
static void
set_caption(const Table *t, PwSetting *s)
{
  PwText *text = pw_set_prose(s, PW_ROLE_DOC_CAPTION, &t->block->prose, PW_VOICE_PLAIN, t->width);
  pw_set_begin(s, PW_ELEMENT_CAPTION);
  pw_set_lines(s, PW_ROLE_DOC_CAPTION, text, t->left, pw_set_space(s), 0);
  pw_set_end(s);
  pw_set_keep(s);
  if (s->again == NULL)
    s->again = pw_set_again(s, g_array_index(t->block->prose.runs, PwRun, 0).text);
}

/* The heads of columns stand on one last line. */
static void
set_head(Table *t, PwSetting *s, double above)
{
  double highest = 0;
  for (gsize j = 0; j < t->block->n_columns; j++)
    highest = MAX(highest, pw_text_height(t->heads[j]));
  double height = ROW_PAD + highest + ROW_PAD;
  pw_set_begin(s, PW_ELEMENT_ROW);
  t->head = (int)s->strips->len;
  double last = height - ROW_PAD - pw_set_leading(s, PW_ROLE_DOC_COLUMN);
  PwStrip *strip = pw_set_strip(s, above, height, last + pw_text_first_baseline(t->heads[0]));
  pw_strip_rule(strip, t->left, t->left + t->width, 0, t->rule);
  pw_strip_rule(strip, t->left, t->left + t->width, height, t->hairline);
  for (gsize j = 0; j < t->block->n_columns; j++) {
    PwText *head = t->heads[j];
    double top = height - ROW_PAD - pw_text_height(head);
    pw_strip_begin(strip, PW_ELEMENT_COLUMN_HEAD);
    pw_strip_text(strip, head, t->lefts[j], top + pw_text_first_baseline(head),
                  align_of(t, j, head));
    pw_strip_end(strip);
  }
  pw_strip_end(strip);
}

/* ---- Rows -------------------------------------------------------------------------- */

static guint
row_lines(const Table *t, guint row)
{
  guint most = 1;
  for (gsize j = 0; j < t->block->n_columns; j++)
    most = MAX(most, pw_text_n_lines(t->cells[row * t->block->n_columns + j]));
  return most;
}

static double
rows_height(const Table *t)
{
  double height = 0;
  for (guint i = 0; i < t->block->rows->len; i++)
    height += row_lines(t, i) * t->leading + 2 * ROW_PAD;
  return height;
}

/* Lines first..first+n-1 of every cell of a row; white only above and below the whole, and above
 * what begins a page. */
static void
set_piece(const Table *t, PwSetting *s, guint row, guint first, guint n)
{
  const PwRow *what = t->block->rows->pdata[row];
  double bar = pw_style_length(s->style, "document-bar"), over = first == 0 ? ROW_PAD : 0;
  double under = first + n == row_lines(t, row) ? ROW_PAD : 0;
  double height = over + n * t->leading + under;
  pw_set_begin(s, PW_ELEMENT_ROW);
  PwStrip *strip = pw_set_strip(s, 0, height, 0);
  strip->head = t->head;
  strip->below_head = ROW_PAD - over;
  if (what->is_open)
    pw_strip_bar(strip, t->left - BAR_APART, over / 2, height - under / 2, bar);
  for (gsize j = 0; j < t->block->n_columns; j++) {
    const PwText *cell = t->cells[row * t->block->n_columns + j];
    guint n_lines = pw_text_n_lines(cell), end = MIN(first + n, n_lines);
    pw_strip_begin(strip, PW_ELEMENT_CELL);
    if (first < end)
      pw_strip_lines(strip, cell, t->lefts[j], over + t->baseline, align_of(t, j, cell), first,
                     end - first);
    pw_strip_end(strip);
  }
  pw_strip_end(strip);
}

static gboolean
may_stand_alone(const Table *t, const PwSetting *s, guint row)
{
  return row_lines(t, row) * t->leading >= LONE_ROW * (s->grid.bottom - s->grid.top);
}

/* Whether a row stays on the page of the one before it: the first under its head, a sum under what
 * it sums, and at either end two rows at least, unless the one is high. */
static gboolean
stays(const Table *t, const PwSetting *s, guint row)
{
  const PwRow *what = t->block->rows->pdata[row];
  return row == 0 || t->is_short || what->is_sum || (row == 1 && !may_stand_alone(t, s, 0)) ||
         (row == t->block->rows->len - 1 && !may_stand_alone(t, s, row));
}

static const char *
first_words(const PwProse *prose)
{
  return pw_prose_is_empty(prose) ? NULL : g_array_index(prose->runs, PwRun, 0).text;
}

/* Where a row goes on, it is called by the first words of its first cell, and of the second, where
 * they are short as those of a term are: "Leaf, Stain". */
static void
name_row(const Table *t, PwSetting *s, guint row, guint first)
{
  const PwRow *what = t->block->rows->pdata[row];
  const char *one = first_words(&what->cells[0]);
  const char *other = t->block->n_columns > 1 ? first_words(&what->cells[1]) : NULL;
  const gboolean both = other != NULL && g_utf8_strlen(other, -1) <= SHORT_NAME;
  if (one == NULL)
    return;
  g_autofree char *name = both ? g_strdup_printf("%s, %s", one, other) : g_strdup(one);
  pw_set_again_within(s, name, first);
}

static void
set_row(const Table *t, PwSetting *s, guint row)
{
  const PwRow *what = t->block->rows->pdata[row];
  guint n = row_lines(t, row), first = s->strips->len;
  const PwStrip *head = pw_setting_peek_strip(s, (guint)t->head);
  double page = s->grid.bottom - s->grid.top - head->height;
  gboolean is_high = n * t->leading + 2 * ROW_PAD > HIGH_ROW * page;
  guint n_pieces = is_high ? (n + PIECE - 1) / PIECE : 1;
  pw_set_place(s, what->anchor);
  for (guint i = 0; i < n_pieces; i++)
    set_piece(t, s, row, i * n / n_pieces, (i + 1) * n / n_pieces - i * n / n_pieces);
  if (is_high)
    name_row(t, s, row, first + 1);
  PwStrip *strip = pw_setting_peek_strip(s, first),
          *last = pw_setting_peek_strip(s, s->strips->len - 1);
  strip->is_tied = stays(t, s, row);
  if (is_high)
    pw_setting_peek_strip(s, first + 1)->is_tied = last->is_tied = TRUE;
  if (what->is_sum)
    pw_strip_rule(strip, t->left, t->left + t->width, 0, t->rule);
  pw_strip_rule(last, t->left, t->left + t->width, last->height,
                row + 1 == t->block->rows->len ? t->rule : t->hairline);
}

void
pw_set_table(PwSetting *s, const PwBlock *block)
{
  gboolean has_caption = !pw_prose_is_empty(&block->prose);
  const PwText *again = s->again;
  Table t = {.block = block};
  t.rule = pw_style_length(s->style, "document-rule");
  t.hairline = pw_style_length(s->style, "hairline");
  t.leading = MAX(pw_set_leading(s, PW_ROLE_DOC_CELL), pw_set_leading(s, PW_ROLE_DOC_FIGURES));
  t.baseline = pw_text_first_baseline(pw_set_words(s, PW_ROLE_DOC_CELL, "", 0));
  set_cells(&t, s);
  place_columns(&t, s);
  t.is_short = rows_height(&t) < SHORT_TABLE * (s->grid.bottom - s->grid.top);
  if (t.left < s->grid.text)
    pw_set_stand(s);
  pw_set_begin(s, PW_ELEMENT_TABLE);
  if (has_caption)
    set_caption(&t, s);
  set_head(&t, s, has_caption ? CAPTION_DROP : pw_set_space(s));
  for (guint i = 0; i < block->rows->len; i++)
    set_row(&t, s, i);
  pw_set_end(s);
  s->again = again;
  table_clear(&t);
}
