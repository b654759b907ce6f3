/* Tables: a caption, a head, the first cell of each row its name. On a narrow screen a table that
 * does not fit it is read row by row, the head of its column before each cell; what is wider than
 * any screen is moved sideways within its own frame, and the page never is. */
#include "set_html_private.h"

/* Letters of what is not wrapped, at most. */
#define NARROW 28
/* Letters that a narrow screen holds side by side, those that the white between two columns takes,
 * and those that a column of words has room for at least; as the style has them. */
#define SCREEN 36
#define APART 1
#define EASY 12
/* Letters of the longest cell of a row that is low on paper. */
#define LOW 250

typedef struct {
  const PwBlock *block;
  const char **classes; /* of each column; NULL: none */
  gboolean is_stacked;  /* on a narrow screen */
} Table;

/* ---- How wide it is ----------------------------------------------------------------------------
 */

typedef struct {
  glong line, word; /* letters of the longest */
} Extent;

static void
widen(Extent *extent, const char *text)
{
  Extent here = {0, 0};
  for (const char *at = text; *at != '\0'; at = pw_next_char(at)) {
    here.line = *at == '\n' ? 0 : here.line + 1;
    here.word = *at == '\n' || *at == ' ' ? 0 : here.word + 1;
    extent->line = MAX(extent->line, here.line);
    extent->word = MAX(extent->word, here.word);
  }
}

static char *
dup_text(const PwProse *prose)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < prose->runs->len; i++)
    g_string_append(text, g_array_index(prose->runs, PwRun, i).text);
  return g_string_free(text, FALSE);
}

/* Of the cells of a column, and of its head, whose words stand one below the other if they must. */
static Extent
extent_of(const PwBlock *block, gsize column)
{
  Extent extent = {0, 0}, head = {0, 0};
  const char *title = block->columns[column].title;
  widen(&head, title != NULL ? title : "");
  extent.line = extent.word = head.word;
  for (guint i = 0; i < block->rows->len; i++) {
    g_autofree char *cell = dup_text(&((const PwRow *)block->rows->pdata[i])->cells[column]);
    widen(&extent, cell);
  }
  return extent;
}

static void
look_at_columns(Table *table)
{
  static const char *const classes[] = {
      [PW_COLUMN_WORDS] = NULL,
      [PW_COLUMN_NARROW] = "narrow",
      [PW_COLUMN_FIGURES] = "figures",
  };
  glong letters = 0;
  for (gsize i = 0; i < table->block->n_columns; i++) {
    PwColumnKind kind = table->block->columns[i].kind;
    Extent extent = extent_of(table->block, i);
    gboolean wraps = kind == PW_COLUMN_WORDS || (kind == PW_COLUMN_NARROW && extent.line > NARROW);
    table->classes[i] = wraps ? NULL : classes[kind];
    letters += (i > 0 ? APART : 0) + (wraps ? MAX(extent.word, EASY) : extent.line);
  }
  table->is_stacked = letters > SCREEN;
}

/* ---- Head and rows -----------------------------------------------------------------------------
 */

static gboolean
is_named(const PwColumn *column)
{
  return column->title != NULL && *column->title != '\0';
}

/* A column without a title has a cell that is no heading. */
static void
put_head(PwHtml *html, const Table *table)
{
  pw_markup_open(html->markup, "thead", NULL);
  pw_markup_open(html->markup, "tr", NULL);
  for (gsize i = 0; i < table->block->n_columns; i++) {
    const PwColumn *column = &table->block->columns[i];
    gboolean named = is_named(column);
    pw_markup_element(html->markup, named ? "th" : "td", named ? column->title : "", "scope",
                      named ? "col" : NULL, "class", table->classes[i], NULL);
  }
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}

/* What a cell says; where the table may be read row by row, behind the head of its column, which
 * words right after a row's name do without. */
static void
put_cell(PwHtml *html, const Table *table, const PwRow *row, gsize i)
{
  const PwColumn *column = &table->block->columns[i];
  gboolean speaks = i == 0 || (i == 1 && column->kind == PW_COLUMN_WORDS);
  if (!table->is_stacked || !is_named(column) || speaks || pw_prose_is_empty(&row->cells[i])) {
    pw_html_prose(html, &row->cells[i]);
    return;
  }
  pw_markup_element(html->markup, "span", column->title, "class", "head", NULL);
  pw_markup_open(html->markup, "span", NULL);
  pw_html_prose(html, &row->cells[i]);
  pw_markup_close(html->markup);
}

/* Whether it takes few lines in any column: it does not stand alone on paper. */
static gboolean
is_low(const Table *table, const PwRow *row)
{
  for (gsize i = 0; i < table->block->n_columns; i++) {
    g_autofree char *cell = dup_text(&row->cells[i]);
    if (g_utf8_strlen(cell, -1) > LOW)
      return FALSE;
  }
  return TRUE;
}

static void
put_row(PwHtml *html, const Table *table, const PwRow *row)
{
  g_autofree char *id = pw_html_claim_id(html, row->anchor);
  g_autofree char *name = g_strconcat(row->is_open  ? "open"
                                      : row->is_sum ? "sum"
                                                    : "",
                                      is_low(table, row) ? " low" : "", NULL);
  pw_markup_open(html->markup, "tr", "id", id, "class", *name != '\0' ? g_strstrip(name) : NULL,
                 NULL);
  for (gsize i = 0; i < table->block->n_columns; i++) {
    gboolean names_row = i == 0 && !pw_prose_is_empty(&row->cells[0]);
    pw_markup_open(html->markup, names_row ? "th" : "td", "scope", names_row ? "row" : NULL,
                   "class", table->classes[i], NULL);
    put_cell(html, table, row, i);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

void
pw_html_table(PwHtml *html, const PwBlock *block)
{
  g_autofree char *id = pw_html_claim_id(html, block->anchor);
  g_autofree const char **classes = g_new0(const char *, block->n_columns);
  Table table = {.block = block, .classes = classes};
  look_at_columns(&table);
  pw_markup_open(html->markup, "div", "class", "wide", "id", id, NULL);
  pw_markup_open(html->markup, "table", "class", table.is_stacked ? "stacked" : NULL, NULL);
  if (!pw_prose_is_empty(&block->prose)) {
    pw_markup_open(html->markup, "caption", NULL);
    pw_html_prose(html, &block->prose);
    pw_markup_close(html->markup);
  }
  put_head(html, &table);
  pw_markup_open(html->markup, "tbody", NULL);
  for (guint i = 0; i < block->rows->len; i++)
    put_row(html, &table, block->rows->pdata[i]);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}
