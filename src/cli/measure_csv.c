/* `measure --csv` (RFC 4180): one row a mark, a total or a change. A cell of text that a
 * spreadsheet would run as a formula gets an apostrophe in front. */
#include "measure.h"

#include <string.h>

static const char *const columns[] = {
    "row",       "file",     "stage",         "view",        "id",         "term",
    "part",      "kind",     "basis",         "severity",    "count",      "unsized",
    "area_mm2",  "area_U",   "perimeter_mm",  "perimeter_U", "longest_mm", "longest_U",
    "length_mm", "length_U", "share_percent", "share_U",     "why",        "note"};

/* One row, filled by column and then written. */
typedef struct {
  char *cells[G_N_ELEMENTS(columns)];
} Row;

static gsize
column(const char *name)
{
  gsize i = 0;
  while (i + 1 < G_N_ELEMENTS(columns) && strcmp(columns[i], name) != 0)
    i++;
  return i;
}

static void
put_text(Row *row, const char *name, const char *text)
{
  char **cell = &row->cells[column(name)];
  g_free(*cell);
  *cell =
      text && strchr("=+-@\t\r", *text) && *text ? g_strconcat("'", text, NULL) : g_strdup(text);
}

static void
put_number(Row *row, const char *name, double value)
{
  row->cells[column(name)] = pw_format_double(value);
}

static void
put_count(Row *row, const char *name, int value)
{
  row->cells[column(name)] = g_strdup_printf("%d", value);
}

static void
put_size(Row *row, const char *name, const char *U_name, const PwSize *size)
{
  PwQuantity quantity = pw_size_quantity(size);
  put_number(row, name, quantity.value);
  put_number(row, U_name, quantity.u * pw_coverage_factor(quantity.dof));
}

static void
write_row(GString *text, Row *row)
{
  for (gsize i = 0; i < G_N_ELEMENTS(columns); i++) {
    const char *cell = row->cells[i] ? row->cells[i] : "";
    if (i > 0)
      g_string_append_c(text, ',');
    if (strpbrk(cell, ",\"\r\n") == NULL) {
      g_string_append(text, cell);
    } else {
      g_auto(GStrv) parts = g_strsplit(cell, "\"", -1);
      g_autofree char *doubled = g_strjoinv("\"\"", parts);
      g_string_append_printf(text, "\"%s\"", doubled);
    }
    g_clear_pointer(&row->cells[i], g_free);
  }
  g_string_append(text, "\r\n");
}

static void
put_mark_sizes(Row *row, const PwModelMark *mark)
{
  if (mark->kind == PW_KIND_POINT)
    put_count(row, "count", mark->text->gone ? 0 : mark->text->count);
  else if (!mark->sized)
    put_text(row, "why", mark->why);
  else if (mark->kind == PW_KIND_LINE)
    put_size(row, "length_mm", "length_U", &mark->sizes.length_mm);
  if (mark->kind != PW_KIND_AREA || !mark->sized)
    return;
  put_size(row, "area_mm2", "area_U", &mark->sizes.area_mm2);
  put_size(row, "perimeter_mm", "perimeter_U", &mark->sizes.perimeter_mm);
  put_size(row, "longest_mm", "longest_U", &mark->sizes.longest_mm);
  if (mark->has_share)
    put_size(row, "share_percent", "share_U", &mark->share_percent);
}

static void
write_mark(GString *text, const PwModelMark *mark)
{
  Row row = {0};
  put_text(&row, "row", "mark");
  put_text(&row, "file", mark->photo->file);
  put_text(&row, "stage", pw_stage_name(mark->photo->stage));
  put_text(&row, "view", mark->photo->sidecar->view);
  put_text(&row, "id", mark->text->id);
  put_text(&row, "term", mark->text->term);
  put_text(&row, "part", mark->text->part);
  put_text(&row, "kind", pw_kind_name(mark->kind));
  put_text(&row, "basis", pw_basis_name(mark->text->basis));
  if (mark->text->severity > 0)
    put_count(&row, "severity", mark->text->severity);
  put_mark_sizes(&row, mark);
  put_text(&row, "note", mark->text->note);
  write_row(text, &row);
}

static void
write_total(GString *text, const PwModelTotal *total)
{
  Row row = {0};
  put_text(&row, "row", "total");
  put_text(&row, "stage", pw_stage_name(total->stage));
  put_text(&row, "term", total->term);
  put_text(&row, "part", total->part);
  put_count(&row, "count", (int)total->count);
  put_count(&row, "unsized", (int)total->unsized);
  if (total->has_area)
    put_size(&row, "area_mm2", "area_U", &total->area_mm2);
  if (total->has_length)
    put_size(&row, "length_mm", "length_U", &total->length_mm);
  write_row(text, &row);
}

static void
write_change(GString *text, const PwModelChange *change)
{
  Row row = {0};
  put_text(&row, "row", "change");
  put_text(&row, "file", change->before->photo->file);
  put_text(&row, "id", change->before->text->id);
  put_text(&row, "term", change->before->text->term);
  put_text(&row, "part", change->before->text->part);
  if (change->before->kind == PW_KIND_POINT)
    put_count(&row, "count", change->count_delta);
  else if (change->sized && change->before->kind == PW_KIND_AREA)
    put_size(&row, "area_mm2", "area_U", &change->delta);
  else if (change->sized)
    put_size(&row, "length_mm", "length_U", &change->delta);
  write_row(text, &row);
}

char *
measure_dup_csv(const PwModel *model)
{
  GString *text = g_string_new(NULL);
  Row head = {0};
  for (gsize i = 0; i < G_N_ELEMENTS(columns); i++)
    head.cells[i] = g_strdup(columns[i]);
  write_row(text, &head);
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    for (gsize j = 0; j < photo->n_marks && !measure_passes_over(model, photo); j++)
      write_mark(text, &photo->marks[j]);
  }
  if (pw_model_peek_only(model) != NULL)
    return g_string_free(text, FALSE);
  for (gsize i = 0; i < pw_model_n_totals(model); i++)
    write_total(text, pw_model_peek_total(model, i));
  for (gsize i = 0; i < pw_model_n_changes(model); i++)
    write_change(text, pw_model_peek_change(model, i));
  return g_string_free(text, FALSE);
}
