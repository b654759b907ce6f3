/* From the key of an edit to the rows that tell how its values are written, and what no edit may
 * change.
 */
#include "edit_plan.h"
#include "values.h"

#include <string.h>

static void
clear_planned(gpointer data)
{
  PwPlanned *planned = data;
  g_free(planned->list_path);
  g_free(planned->path);
  g_free(planned->parent);
}

PwPlanned *
pw_plan_at(const PwPlan *plan, guint i)
{
  return &g_array_index(plan->all, PwPlanned, i);
}

gboolean
pw_planned_takes_away(const PwPlanned *planned)
{
  return planned->edit->key == NULL || planned->edit->values == NULL;
}

gboolean
pw_planned_is_same_entry(const PwPlanned *a, const PwPlanned *b)
{
  return a->list == b->list && g_strcmp0(a->edit->entry, b->edit->entry) == 0;
}

gboolean
pw_planned_is_by_place(const PwPlanned *planned)
{
  const PwTable *table = planned->list ? planned->list->of : NULL;
  return table && planned->list->type->shape == PW_SHAPE_ENTRIES && table->unique == NULL;
}

/* "mark 3", "step of treatment 0": what messages call the edit's entry. Yours. */
static char *
dup_called(const PwPlanned *planned)
{
  if (planned->list == NULL)
    return g_strdup(planned->edit->list ? planned->edit->list : "");
  const char *what = ((const PwTable *)planned->list->of)->what, *blank = strchr(what, ' ');
  return g_strdup_printf("%s %s", blank ? blank + 1 : what, planned->edit->entry);
}

static gboolean refuse(const PwPlanned *planned, GError **error, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

static gboolean
refuse(const PwPlanned *planned, GError **error, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  g_autofree char *called = dup_called(planned);
  const char *key = planned->edit->key ? planned->edit->key : "";
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s%s%s %s", called, *called && *key ? ", " : "", key,
              says);
  return FALSE;
}

/* ---- From keys to rows ------------------------------------------------------------- */

/* Walks the key's steps down the tables; FALSE when no row is there. */
static gboolean
find_row(const PwTable *table, char **steps, const PwField **row, const PwTable **above)
{
  for (gsize i = 0; steps[i] != NULL; i++) {
    const PwField *field = *row = pw_table_find(table, steps[i]);
    if (field == NULL)
      return FALSE;
    if (steps[i + 1] == NULL)
      return TRUE;
    const gboolean is_figures = field->type->shape == PW_SHAPE_NAMED && field->of == NULL;
    if (is_figures && steps[i + 2] == NULL && *steps[i + 1] != '\0') {
      *row = NULL;
      return TRUE;
    }
    if (field->type->shape != PW_SHAPE_KEYS)
      return FALSE;
    table = *above = field->of;
  }
  return FALSE;
}

static gboolean
holds_entries(const PwField *field)
{
  const PwShapeOfValue shape = field->type->shape;
  return field->of != NULL && (shape == PW_SHAPE_ENTRIES || shape == PW_SHAPE_NAMED);
}

/* Whether an edit may name the row at all; a mapping, and what holds one that is fixed, not. */
static gboolean
may_be_edited(const PwField *field)
{
  if (field == NULL)
    return TRUE;
  if (field->is_fixed || (holds_entries(field) && !pw_holds_points_only(field->of)))
    return FALSE;
  const PwTable *table = field->type->shape == PW_SHAPE_KEYS ? field->of : NULL;
  for (gsize i = 0; table && i < table->n_fields; i++)
    if (table->fields[i].is_fixed)
      return FALSE;
  return TRUE;
}

static gboolean
has_fitting_values(const PwPlanned *planned)
{
  const PwField *field = planned->field;
  const gsize n = g_strv_length((char **)planned->edit->values);
  const PwShapeOfValue shape = field ? field->type->shape : PW_SHAPE_TEXT;
  for (gsize i = 0; i < n; i++)
    if (!g_utf8_validate(planned->edit->values[i], -1, NULL))
      return FALSE;
  return shape == PW_SHAPE_TEXT ? n == 1
                                : shape != PW_SHAPE_KEYS && shape != PW_SHAPE_NAMED && n > 0;
}

static char *
dup_path(char **steps, gsize n)
{
  g_autoptr(GString) path = g_string_new(NULL);
  for (gsize i = 0; i < n; i++) {
    g_autofree char *step = pw_yaml_dup_step(steps[i]);
    g_string_append_printf(path, "%s%s", i > 0 ? "/" : "", step);
  }
  return g_strdup(path->str);
}

static gboolean
is_utf8(const char *text)
{
  return text == NULL || g_utf8_validate(text, -1, NULL);
}

/* ---- Entries ----------------------------------------------------------------------- */

/* NULL, or what is wrong with the name of an entry. */
static const char *
entry_fault(const PwPlanned *planned)
{
  const char *entry = planned->edit->entry;
  const PwTable *table = planned->list->of;
  if (planned->list->type->shape == PW_SHAPE_NAMED)
    return *entry == '\0' ? "is an entry without a name" : NULL;
  if (table->unique != NULL)
    return pw_id_fault(entry);
  const gboolean is_place = strspn(entry, "0123456789") == strlen(entry) && *entry != '\0' &&
                            (*entry != '0' || entry[1] == '\0');
  return is_place || *entry == '+' ? NULL : "is called by no place of an entry";
}

static gboolean
plan_entry(const PwPlan *plan, PwPlanned *planned, GError **error)
{
  const PwEdit *edit = planned->edit;
  const PwTable *above;
  const PwField *list = NULL;
  g_auto(GStrv) steps = g_strsplit(edit->list, "/", -1);
  if (edit->entry == NULL || !find_row(plan->table, steps, &list, &above) || list == NULL ||
      !holds_entries(list) || pw_holds_points_only(list->of))
    return refuse(planned, error, "is no list of entries in %s", plan->table->what);
  planned->list = list;
  planned->list_path = dup_path(steps, g_strv_length(steps));
  const char *fault = entry_fault(planned);
  return fault == NULL || refuse(planned, error, "%s", fault);
}

/* An entry called by its place cannot be gone and there. */
static gboolean
comes_back(const PwPlan *plan, const PwPlanned *planned)
{
  for (guint i = 0; pw_planned_is_by_place(planned) && planned->edit->key && i < plan->all->len;
       i++) {
    const PwPlanned *other = pw_plan_at(plan, i);
    if (other == planned)
      return FALSE;
    if (other->edit->key == NULL && pw_planned_is_same_entry(planned, other))
      return TRUE;
  }
  return FALSE;
}

/* ---- The plan ---------------------------------------------------------------------- */

static gboolean
plan_one(const PwPlan *plan, PwPlanned *planned, GError **error)
{
  const PwEdit *edit = planned->edit;
  if (!is_utf8(edit->list) || !is_utf8(edit->entry) || !is_utf8(edit->key)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "an edit names what is not UTF-8");
    return FALSE;
  }
  if (edit->key == NULL && (edit->list == NULL || edit->values != NULL))
    return refuse(planned, error, "the edit names no key");
  if (edit->list != NULL && !plan_entry(plan, planned, error))
    return FALSE;
  if (comes_back(plan, planned))
    return refuse(planned, error, "is of an entry that was taken away before it");
  if (edit->key == NULL)
    return TRUE;
  g_auto(GStrv) steps = g_strsplit(edit->key, "/", -1);
  const PwTable *table = planned->list ? planned->list->of : plan->table;
  if (!find_row(table, steps, &planned->field, &planned->above))
    return refuse(planned, error, "is no key of %s", table->what);
  if (!may_be_edited(planned->field))
    return refuse(planned, error, "is not for an edit to change");
  if (edit->values != NULL && !has_fitting_values(planned))
    return refuse(planned, error, "does not take such values");
  const gsize n = g_strv_length(steps);
  planned->path = dup_path(steps, n);
  planned->parent = n > 1 ? dup_path(steps, n - 1) : NULL;
  return TRUE;
}

gboolean
pw_plan_init(PwPlan *plan, PwYaml *yaml, const PwTable *table, const PwEdit *edits, gsize n,
             GError **error)
{
  *plan = (PwPlan){yaml, table, g_array_new(FALSE, FALSE, sizeof(PwPlanned))};
  g_array_set_clear_func(plan->all, clear_planned);
  if (n > PW_LIMIT_EDITS) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%" G_GSIZE_FORMAT " changes in one save are more than the %d that are taken", n,
                PW_LIMIT_EDITS);
    return FALSE;
  }
  for (gsize i = 0; i < n; i++) {
    const PwPlanned planned = {.edit = &edits[i]};
    g_array_append_val(plan->all, planned);
    if (!plan_one(plan, pw_plan_at(plan, (guint)i), error))
      return FALSE;
  }
  return TRUE;
}

void
pw_plan_clear(PwPlan *plan)
{
  g_array_unref(plan->all);
}
