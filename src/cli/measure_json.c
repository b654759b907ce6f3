/* `measure --json`, format platewright-measure 1. Programs read it: keys are added, never
 * changed. */
#include "measure.h"

#include <math.h>

static void
put_photo(PwJson *json, const PwModelPhoto *photo)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "file", photo->file);
  pw_json_pair_string(json, "stage", photo->stage ? pw_stage_name(photo->stage) : NULL);
  pw_json_pair_string(json, "view", photo->sidecar->view);
  pw_json_key(json, "size");
  pw_json_begin_array(json);
  pw_json_int(json, photo->sidecar->width ? photo->sidecar->width : photo->facts.width);
  pw_json_int(json, photo->sidecar->height ? photo->sidecar->height : photo->facts.height);
  pw_json_end(json);
  pw_model_put_scale_json(json, photo);
  pw_json_key(json, "marks");
  pw_json_begin_array(json);
  for (gsize i = 0; i < photo->n_marks; i++)
    pw_model_put_mark_json(json, &photo->marks[i]);
  pw_json_end(json);
  pw_json_end(json);
}

/* ---- Totals and changes ------------------------------------------------------------ */

static void
put_total(PwJson *json, const PwModelTotal *total)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "stage", total->stage ? pw_stage_name(total->stage) : NULL);
  pw_json_pair_string(json, "term", total->term);
  pw_json_pair_string(json, "part", total->part);
  pw_json_pair_int(json, "count", total->count);
  pw_json_pair_int(json, "unsized", total->unsized);
  if (total->has_area)
    pw_model_put_size_json(json, "area_mm2", &total->area_mm2);
  if (total->has_length)
    pw_model_put_size_json(json, "length_mm", &total->length_mm);
  pw_json_end(json);
}

static void
put_change(PwJson *json, const PwModelChange *change, double colour)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "before", change->before->reference);
  pw_json_key(json, "after");
  pw_json_begin_array(json);
  for (gsize i = 0; i < change->n_after; i++)
    pw_json_string(json, change->after[i]->reference);
  pw_json_end(json);
  if (change->before->kind == PW_KIND_POINT)
    pw_json_pair_int(json, "count", change->count_delta);
  else if (change->sized)
    pw_model_put_size_json(json, change->before->kind == PW_KIND_AREA ? "area_mm2" : "length_mm",
                           &change->delta);
  if (!isnan(colour)) {
    pw_json_key(json, "colour_change");
    pw_json_begin_object(json);
    pw_json_pair_double(json, "dE00", colour);
    pw_json_end(json);
  }
  pw_json_end(json);
}

char *
measure_dup_json(const PwModel *model, const double *colours)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "format", "platewright-measure 1");
  pw_json_pair_string(json, "volume", pw_model_peek_id(model));
  pw_json_key(json, "photos");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_photos(model); i++)
    if (!measure_passes_over(model, pw_model_peek_photo(model, i)))
      put_photo(json, pw_model_peek_photo(model, i));
  pw_json_end(json);
  gboolean whole = pw_model_peek_only(model) == NULL;
  pw_json_key(json, "totals");
  pw_json_begin_array(json);
  for (gsize i = 0; whole && i < pw_model_n_totals(model); i++)
    put_total(json, pw_model_peek_total(model, i));
  pw_json_end(json);
  pw_json_key(json, "changes");
  pw_json_begin_array(json);
  for (gsize i = 0; whole && i < pw_model_n_changes(model); i++)
    put_change(json, pw_model_peek_change(model, i), colours[i]);
  pw_json_end(json);
  pw_json_end(json);
  return pw_json_take_text(json);
}
