/* Totals: all damage of one term and part at one stage. The key is stage, term, part. */
#include "model-private.h"

#include <string.h>

typedef struct {
  PwStage stage;
  const char *term, *part;
  GPtrArray *by_kind[3]; /* PwModelMark * */
} Group;

static void
group_clear(gpointer data)
{
  Group *group = data;
  for (gsize i = 0; i < G_N_ELEMENTS(group->by_kind); i++)
    g_clear_pointer(&group->by_kind[i], g_ptr_array_unref);
}

const char *
pw_model_mark_word(const PwModelMark *mark)
{
  return mark->term ? mark->term->name : mark->text->term ? mark->text->term : "";
}

static Group *
group_for(GArray *groups, const PwModelMark *mark)
{
  for (guint i = 0; i < groups->len; i++) {
    Group *group = &g_array_index(groups, Group, i);
    if (group->stage == mark->photo->stage && strcmp(group->term, pw_model_mark_word(mark)) == 0 &&
        g_strcmp0(group->part, mark->text->part) == 0)
      return group;
  }
  Group group = {
      .stage = mark->photo->stage, .term = pw_model_mark_word(mark), .part = mark->text->part};
  for (gsize i = 0; i < G_N_ELEMENTS(group.by_kind); i++)
    group.by_kind[i] = g_ptr_array_new();
  g_array_append_val(groups, group);
  return &g_array_index(groups, Group, groups->len - 1);
}

static gint
compare_groups(gconstpointer a, gconstpointer b)
{
  const Group *x = a, *y = b;
  if (x->stage != y->stage)
    return x->stage < y->stage ? -1 : 1;
  int by_term = strcmp(x->term, y->term);
  return by_term ? by_term : g_strcmp0(x->part, y->part);
}

static void
take_pool(PwPooled *pooled, PwModelTotal *total, gboolean *has, PwSize *size)
{
  total->count += pooled->count;
  total->unsized += pooled->unsized;
  *has = pooled->sized;
  *size = pooled->size;
}

static PwModelTotal
total_of(const PwModel *model, const Group *group)
{
  PwModelTotal total = {.stage = group->stage, .term = group->term, .part = group->part};
  PwPooled pooled;
  gboolean none;
  PwSize nothing;
  for (int kind = PW_KIND_AREA; kind <= PW_KIND_POINT; kind++) {
    GPtrArray *marks = group->by_kind[kind];
    pw_model_pool(model, (PwModelMark *const *)marks->pdata, marks->len, &pooled);
    if (kind == PW_KIND_AREA)
      take_pool(&pooled, &total, &total.has_area, &total.area_mm2);
    else if (kind == PW_KIND_LINE)
      take_pool(&pooled, &total, &total.has_length, &total.length_mm);
    else {
      take_pool(&pooled, &total, &none, &nothing);
      total.points = pooled.count;
    }
  }
  return total;
}

void
pw_model_total_of(const PwModel *model, PwStage stage, PwModelMark *const *marks, gsize n,
                  PwModelTotal *total)
{
  Group group = {.stage = stage};
  for (gsize i = 0; i < G_N_ELEMENTS(group.by_kind); i++)
    group.by_kind[i] = g_ptr_array_new();
  for (gsize i = 0; i < n; i++)
    if (marks[i]->photo->stage == stage)
      g_ptr_array_add(group.by_kind[marks[i]->kind], marks[i]);
  *total = total_of(model, &group);
  group_clear(&group);
}

void
pw_model_total_clear(PwModelTotal *total)
{
  pw_size_clear(&total->area_mm2);
  pw_size_clear(&total->length_mm);
}

typedef struct {
  const PwModel *model;
  const GArray *groups;
  GArray *totals;
} AddUp;

/* A mark belongs to one group, so that each may be added up by itself. */
static void
add_up(void *user, guint i)
{
  const AddUp *all = user;
  g_array_index(all->totals, PwModelTotal, i) =
      total_of(all->model, &g_array_index(all->groups, Group, i));
}

void
pw_model_resolve_totals(PwModel *model)
{
  g_autoptr(GArray) groups = g_array_new(FALSE, FALSE, sizeof(Group));
  g_array_set_clear_func(groups, group_clear);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; j < photo->n_marks; j++)
      g_ptr_array_add(group_for(groups, &photo->marks[j])->by_kind[photo->marks[j].kind],
                      &photo->marks[j]);
  }
  g_array_sort(groups, compare_groups);
  g_array_set_size(model->totals, groups->len);
  AddUp all = {model, groups, model->totals};
  pw_each(groups->len, 0, add_up, &all);
}
