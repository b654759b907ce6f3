/* Change: after minus before, for every before mark that after marks say they have become. */
#include "model-private.h"

void
pw_model_change_free(PwModelChange *change)
{
  pw_size_clear(&change->delta);
  pw_size_clear(&change->after_size);
  g_free(change->after);
  g_free(change);
}

/* before mark -> the after marks that name it, in the model's order. */
static GHashTable *
after_by_before(const PwModel *model)
{
  GHashTable *table = g_hash_table_new_full(NULL, NULL, NULL, (GDestroyNotify)g_ptr_array_unref);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; j < photo->n_marks; j++) {
      PwModelMark *mark = &photo->marks[j];
      if (mark->earlier == NULL)
        continue;
      GPtrArray *after = g_hash_table_lookup(table, mark->earlier);
      if (after == NULL)
        g_hash_table_insert(table, mark->earlier, after = g_ptr_array_new());
      g_ptr_array_add(after, mark);
    }
  }
  return table;
}

static PwModelChange *
change_of(PwModel *model, PwModelMark *before, GPtrArray *after)
{
  PwModelChange *change = g_new0(PwModelChange, 1);
  PwPooled pooled;
  change->before = before;
  change->n_after = after->len;
  change->after = g_memdup2(after->pdata, after->len * sizeof(gpointer));
  change->gone = TRUE;
  for (gsize i = 0; i < change->n_after; i++) {
    change->gone = change->gone && change->after[i]->text->gone;
    change->after[i]->change = change;
  }
  pw_model_pool(model, change->after, change->n_after, &pooled);
  change->after_size = pooled.size;
  if (before->kind == PW_KIND_POINT)
    change->count_delta = (int)pooled.count - before->text->count;
  const PwSize *earlier = pw_model_mark_size(before);
  if (earlier && pooled.sized && pooled.unsized == 0) {
    pw_size_combine(1, &change->after_size, -1, earlier, &change->delta);
    change->sized = TRUE;
  }
  return change;
}

void
pw_model_resolve_changes(PwModel *model)
{
  g_autoptr(GHashTable) table = after_by_before(model);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; j < photo->n_marks; j++) {
      GPtrArray *after = g_hash_table_lookup(table, &photo->marks[j]);
      if (after != NULL)
        g_ptr_array_add(model->changes, change_of(model, &photo->marks[j], after));
    }
  }
}
