/* Tables: a caption, a head, the first cell of each row its name. On a narrow screen a table of
 * many words is read row by row, the head of its column before each cell; another is moved sideways
 * within its own frame, and the page never is. */
#include "set_html_private.h"

/* Letters of what is not wrapped, at most. */
#define NARROW 28

static glong
letters_of(const PwProse *prose)
{
  glong n = 0;
  for (guint i = 0; i < prose->runs->len; i++)
    n += g_utf8_strlen(g_array_index(prose->runs, PwRun, i).text, -1);
  return n;
}

/* What was to be short, and in one row is not, wraps as words do. */
static const char *
class_of(const PwBlock *table, gsize column)
{
  static const char *const classes[] = {
      [PW_COLUMN_WORDS] = NULL,
      [PW_COLUMN_NARROW] = "narrow",
      [PW_COLUMN_FIGURES] = "figures",
  };
  PwColumnKind kind = table->columns[column].kind;
  for (guint i = 0; kind == PW_COLUMN_NARROW && i < table->rows->len; i++)
    if (letters_of(&((const PwRow *)table->rows->pdata[i])->cells[column]) > NARROW)
      return NULL;
  return classes[kind];
}

/* A column without a title has a cell that is no heading. */
static void
put_head(PwHtml *html, const PwBlock *table)
{
  pw_markup_open(html->markup, "thead", NULL);
  pw_markup_open(html->markup, "tr", NULL);
  for (gsize i = 0; i < table->n_columns; i++) {
    const PwColumn *column = &table->columns[i];
    gboolean named = column->title != NULL && *column->title != '\0';
    pw_markup_element(html->markup, named ? "th" : "td", named ? column->title : "", "scope",
                      named ? "col" : NULL, "class", class_of(table, i), NULL);
  }
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}

/* Whether it is more than a narrow screen holds side by side. */
static gboolean
is_many(const PwBlock *table)
{
  return table->n_columns > 3;
}

/* What a cell says; where the table may be read row by row, behind the head of its column, which
 * words right after a row's name do without. */
static void
put_cell(PwHtml *html, const PwBlock *table, const PwRow *row, gsize i)
{
  const PwColumn *column = &table->columns[i];
  gboolean named = column->title != NULL && *column->title != '\0';
  gboolean speaks = i == 0 || (i == 1 && column->kind == PW_COLUMN_WORDS);
  if (!is_many(table) || !named || speaks || pw_prose_is_empty(&row->cells[i])) {
    pw_html_prose(html, &row->cells[i]);
    return;
  }
  pw_markup_element(html->markup, "span", column->title, "class", "head", NULL);
  pw_markup_open(html->markup, "span", NULL);
  pw_html_prose(html, &row->cells[i]);
  pw_markup_close(html->markup);
}

static void
put_row(PwHtml *html, const PwBlock *table, const PwRow *row)
{
  g_autofree char *id = pw_html_claim_id(html, row->anchor);
  pw_markup_open(html->markup, "tr", "id", id, "class",
                 row->is_open  ? "open"
                 : row->is_sum ? "sum"
                               : NULL,
                 NULL);
  for (gsize i = 0; i < table->n_columns; i++) {
    gboolean names_row = i == 0 && !pw_prose_is_empty(&row->cells[0]);
    pw_markup_open(html->markup, names_row ? "th" : "td", "scope", names_row ? "row" : NULL,
                   "class", class_of(table, i), NULL);
    put_cell(html, table, row, i);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

void
pw_html_table(PwHtml *html, const PwBlock *table)
{
  g_autofree char *id = pw_html_claim_id(html, table->anchor);
  pw_markup_open(html->markup, "div", "class", "wide", "id", id, NULL);
  pw_markup_open(html->markup, "table", "class", is_many(table) ? "many" : NULL, NULL);
  if (!pw_prose_is_empty(&table->prose)) {
    pw_markup_open(html->markup, "caption", NULL);
    pw_html_prose(html, &table->prose);
    pw_markup_close(html->markup);
  }
  put_head(html, table);
  pw_markup_open(html->markup, "tbody", NULL);
  for (guint i = 0; i < table->rows->len; i++)
    put_row(html, table, table->rows->pdata[i]);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
}
