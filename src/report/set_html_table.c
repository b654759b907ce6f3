/* Tables: a caption, a head, the first cell of each row its name. On a narrow screen a table is
 * moved sideways within its own frame; the page never is. */
#include "set_html_private.h"

static const char *
class_of(const PwColumn *column)
{
  static const char *const classes[] = {
      [PW_COLUMN_WORDS] = NULL,
      [PW_COLUMN_NARROW] = "narrow",
      [PW_COLUMN_FIGURES] = "figures",
  };
  return classes[column->kind];
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
                      named ? "col" : NULL, "class", class_of(column), NULL);
  }
  pw_markup_close(html->markup);
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
                   "class", class_of(&table->columns[i]), NULL);
    pw_html_prose(html, &row->cells[i]);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}

void
pw_html_table(PwHtml *html, const PwBlock *table)
{
  g_autofree char *id = pw_html_claim_id(html, table->anchor);
  pw_markup_open(html->markup, "div", "class", "wide", "id", id, NULL);
  pw_markup_open(html->markup, "table", NULL);
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
