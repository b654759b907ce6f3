/* A CSV writer (RFC 4180). */
#include <platewright/base.h>

#include <math.h>
#include <string.h>

struct PwCsv {
  const char *const *columns;
  guint n;
  char **cells; /* of the row under way; NULL: empty */
  GString *text;
};

PwCsv *
pw_csv_new(const char *const *columns)
{
  PwCsv *csv = g_new0(PwCsv, 1);
  csv->columns = columns;
  csv->n = g_strv_length((char **)(gsize)columns);
  csv->cells = g_new0(char *, csv->n);
  csv->text = g_string_new(NULL);
  for (guint i = 0; i < csv->n; i++)
    csv->cells[i] = g_strdup(columns[i]);
  pw_csv_end_row(csv);
  return csv;
}

void
pw_csv_free(PwCsv *csv)
{
  if (csv == NULL)
    return;
  for (guint i = 0; i < csv->n; i++)
    g_free(csv->cells[i]);
  g_free(csv->cells);
  if (csv->text)
    g_string_free(csv->text, TRUE);
  g_free(csv);
}

/* Takes the text. */
static void
put(PwCsv *csv, const char *column, char *text)
{
  for (guint i = 0; i < csv->n; i++)
    if (strcmp(csv->columns[i], column) == 0) {
      g_free(csv->cells[i]);
      csv->cells[i] = text;
      return;
    }
  g_error("there is no column %s", column);
}

/* Common practice against formulas in cells of text; the RFC itself says nothing of them. */
static gboolean
runs_as_formula(const char *text)
{
  return *text != '\0' && strchr("=+-@\t\r", *text) != NULL;
}

void
pw_csv_put_text(PwCsv *csv, const char *column, const char *text)
{
  g_autofree char *valid = text ? g_utf8_make_valid(text, -1) : NULL;
  put(csv, column,
      valid && runs_as_formula(valid) ? g_strconcat("'", valid, NULL) : g_steal_pointer(&valid));
}

void
pw_csv_put_double(PwCsv *csv, const char *column, double value)
{
  put(csv, column, isfinite(value) ? pw_format_double(value) : NULL);
}

void
pw_csv_put_fixed(PwCsv *csv, const char *column, double value, int decimals)
{
  put(csv, column, isfinite(value) ? pw_format_fixed(value, decimals) : NULL);
}

void
pw_csv_put_int(PwCsv *csv, const char *column, gint64 value)
{
  put(csv, column, g_strdup_printf("%" G_GINT64_FORMAT, value));
}

void
pw_csv_put_decimal(PwCsv *csv, const char *column, const char *text)
{
  double value;
  if (text == NULL || pw_parse_double(text, &value))
    put(csv, column, g_strdup(text));
  else
    pw_csv_put_text(csv, column, text);
}

void
pw_csv_put_date(PwCsv *csv, const char *column, const GDate *date)
{
  put(csv, column,
      g_date_valid(date) ? g_strdup_printf("%04u-%02u-%02u", g_date_get_year(date),
                                           (guint)g_date_get_month(date), g_date_get_day(date))
                         : NULL);
}

/* Blanks at either end are kept by most readers, but not by all, unless they stand in quotes. */
static void
append_cell(GString *text, const char *cell)
{
  const gboolean plain = strpbrk(cell, ",\"\r\n") == NULL && !g_ascii_isspace(cell[0]) &&
                         (*cell == '\0' || !g_ascii_isspace(cell[strlen(cell) - 1]));
  if (plain) {
    g_string_append(text, cell);
    return;
  }
  g_auto(GStrv) parts = g_strsplit(cell, "\"", -1);
  g_autofree char *doubled = g_strjoinv("\"\"", parts);
  g_string_append_printf(text, "\"%s\"", doubled);
}

void
pw_csv_end_row(PwCsv *csv)
{
  for (guint i = 0; i < csv->n; i++) {
    if (i > 0)
      g_string_append_c(csv->text, ',');
    append_cell(csv->text, csv->cells[i] ? csv->cells[i] : "");
    g_clear_pointer(&csv->cells[i], g_free);
  }
  g_string_append(csv->text, "\r\n");
}

char *
pw_csv_take_text(PwCsv *csv)
{
  return g_string_free(g_steal_pointer(&csv->text), FALSE);
}
