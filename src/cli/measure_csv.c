/* `measure --csv`: one row a mark, a total or a change. */
#include "measure.h"

#include <platewright/export.h>

static const char *const columns[] = {"row",
                                      "file",
                                      "stage",
                                      "view",
                                      "id",
                                      "term",
                                      "part",
                                      "kind",
                                      "basis",
                                      "severity",
                                      "count",
                                      "unsized",
                                      "area_mm2",
                                      "area_U_mm2",
                                      "perimeter_mm",
                                      "perimeter_U_mm",
                                      "longest_mm",
                                      "longest_U_mm",
                                      "length_mm",
                                      "length_U_mm",
                                      "share_percent",
                                      "share_U_percent",
                                      "why",
                                      "note",
                                      NULL};

static void
write_mark(PwCsv *csv, const PwModelMark *mark)
{
  pw_csv_put_text(csv, "row", "mark");
  pw_csv_put_text(csv, "file", mark->photo->file);
  pw_csv_put_text(csv, "stage", pw_stage_name(mark->photo->stage));
  pw_csv_put_text(csv, "view", mark->photo->sidecar->view);
  pw_csv_put_text(csv, "id", mark->text->id);
  pw_csv_put_text(csv, "term", mark->text->term);
  pw_csv_put_text(csv, "part", mark->text->part);
  pw_csv_put_text(csv, "kind", pw_kind_name(mark->kind));
  pw_csv_put_text(csv, "basis", pw_basis_name(mark->text->basis));
  if (mark->text->severity > 0)
    pw_csv_put_int(csv, "severity", mark->text->severity);
  pw_export_put_sizes(csv, mark);
  pw_csv_put_text(csv, "why", mark->why);
  pw_csv_put_text(csv, "note", mark->text->note);
  pw_csv_end_row(csv);
}

static void
write_total(PwCsv *csv, const PwModelTotal *total)
{
  pw_csv_put_text(csv, "row", "total");
  pw_csv_put_text(csv, "stage", pw_stage_name(total->stage));
  pw_csv_put_text(csv, "term", total->term);
  pw_csv_put_text(csv, "part", total->part);
  pw_csv_put_int(csv, "count", total->count);
  pw_csv_put_int(csv, "unsized", total->unsized);
  if (total->has_area)
    pw_export_put_size(csv, "area_mm2", "area_U_mm2", &total->area_mm2);
  if (total->has_length)
    pw_export_put_size(csv, "length_mm", "length_U_mm", &total->length_mm);
  pw_csv_end_row(csv);
}

static void
write_change(PwCsv *csv, const PwModelChange *change)
{
  pw_csv_put_text(csv, "row", "change");
  pw_csv_put_text(csv, "file", change->before->photo->file);
  pw_csv_put_text(csv, "id", change->before->text->id);
  pw_csv_put_text(csv, "term", change->before->text->term);
  pw_csv_put_text(csv, "part", change->before->text->part);
  if (change->before->kind == PW_KIND_POINT)
    pw_csv_put_int(csv, "count", change->count_delta);
  else if (change->sized && change->before->kind == PW_KIND_AREA)
    pw_export_put_size(csv, "area_mm2", "area_U_mm2", &change->delta);
  else if (change->sized)
    pw_export_put_size(csv, "length_mm", "length_U_mm", &change->delta);
  pw_csv_end_row(csv);
}

char *
measure_dup_csv(const PwModel *model)
{
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    for (gsize j = 0; j < photo->n_marks && !measure_passes_over(model, photo); j++)
      write_mark(csv, &photo->marks[j]);
  }
  if (pw_model_peek_only(model) != NULL)
    return pw_csv_take_text(csv);
  for (gsize i = 0; i < pw_model_n_totals(model); i++)
    write_total(csv, pw_model_peek_total(model, i));
  for (gsize i = 0; i < pw_model_n_changes(model); i++)
    write_change(csv, pw_model_peek_change(model, i));
  return pw_csv_take_text(csv);
}
