/* What edits put in: keys, lists item by item, and entries that are new.
 */
#include "edit_plan.h"
#include "values.h"

#include <string.h>

/* ---- Lists ------------------------------------------------------------------------- */

static gboolean
set_item(const PwPlan *plan, const PwPlanned *planned, const char *path, guint i, const char *value,
         GError **error)
{
  g_autofree char *flow = pw_dup_item_flow(planned->field, value);
  g_autofree char *item = g_strdup_printf("%s/[%u]", path, i);
  return pw_yaml_set_flow(plan->yaml, item, flow, error);
}

/* A list that is there takes the values item by item: what it begins and ends with already stays as
 * it is written, with its comments. */
static gboolean
update_list(const PwPlan *plan, const PwPlanned *planned, const char *path, const PwYamlNode *list,
            GError **error)
{
  const char *const *values = planned->edit->values;
  const guint n_old = pw_yaml_node_n(list), n = g_strv_length((char **)values);
  guint first = 0, last = 0;
  while (first < MIN(n, n_old) &&
         pw_item_says(planned->field, pw_yaml_node_item(list, first), values[first]))
    first++;
  while (
      n <= n_old && last < n - first &&
      pw_item_says(planned->field, pw_yaml_node_item(list, n_old - 1 - last), values[n - 1 - last]))
    last++;
  for (guint i = first; i < MIN(n - last, n_old); i++)
    if (!set_item(plan, planned, path, i, values[i], error))
      return FALSE;
  for (guint i = n_old; i > n; i--) {
    g_autofree char *item = g_strdup_printf("%s/[%u]", path, i - 1 - last);
    if (!pw_yaml_remove(plan->yaml, item, error))
      return FALSE;
  }
  for (guint i = n_old; i < n; i++) {
    g_autofree char *flow = pw_dup_item_flow(planned->field, values[i]);
    if (!pw_yaml_append(plan->yaml, path, flow, error))
      return FALSE;
  }
  return TRUE;
}

/* Entries that are new stand each on a line. */
static gboolean
append_entries(const PwPlan *plan, const PwPlanned *planned, const char *path, GError **error)
{
  for (const char *const *value = planned->edit->values; *value; value++) {
    g_autofree char *flow = pw_dup_item_flow(planned->field, *value);
    if (!pw_yaml_append(plan->yaml, path, flow, error))
      return FALSE;
  }
  return TRUE;
}

/* ---- Setting ----------------------------------------------------------------------- */

/* Those of the rest that belong into the same new mapping, in the order of its table, as one flow
 * text; they are done then. */
static char *
take_siblings(const PwPlan *plan, guint i)
{
  const PwPlanned *first = pw_plan_at(plan, i);
  g_autoptr(GString) flow = g_string_new("{");
  for (gsize row = 0; row < first->above->n_fields; row++) {
    char *value = NULL;
    for (guint j = i; j < plan->all->len; j++) {
      PwPlanned *other = pw_plan_at(plan, j);
      if (other->is_done || other->field != &first->above->fields[row] ||
          !pw_planned_is_same_entry(first, other) || pw_planned_takes_away(other))
        continue;
      g_free(value);
      value = pw_dup_value_flow(other->field, other->edit->values);
      other->is_done = TRUE;
    }
    if (value != NULL)
      g_string_append_printf(flow, "%s%s: %s", flow->len > 1 ? ", " : "",
                             first->above->fields[row].key, value);
    g_free(value);
  }
  g_string_append_c(flow, '}');
  return g_strdup(flow->str);
}

/* A mapping that holds others is written in lines, one of single values in braces. */
static gboolean
is_written_in_braces(const PwTable *table)
{
  for (gsize i = 0; table && i < table->n_fields; i++)
    if (table->fields[i].type->shape >= PW_SHAPE_KEYS)
      return FALSE;
  return table != NULL;
}

static char *
join_path(const char *entry_path, const char *path)
{
  return entry_path ? g_strconcat(entry_path, "/", path, NULL) : g_strdup(path);
}

static gboolean
set_value(const PwPlan *plan, const PwPlanned *planned, const char *path, const PwYamlNode *old,
          GError **error)
{
  const PwField *field = planned->field;
  const char *const *values = planned->edit->values;
  const PwShapeOfValue shape = field ? field->type->shape : PW_SHAPE_TEXT;
  const PwYamlKind kind = old ? pw_yaml_node_kind(old) : PW_YAML_MAPPING;
  if (shape != PW_SHAPE_TEXT && kind == PW_YAML_SEQUENCE)
    return update_list(plan, planned, path, old, error);
  if (shape == PW_SHAPE_ENTRIES)
    return append_entries(plan, planned, path, error);
  const gboolean stays_single =
      shape == PW_SHAPE_TEXTS && kind == PW_YAML_SCALAR && values[1] == NULL;
  if (stays_single || pw_is_single(field, values)) {
    g_autofree char *text = pw_dup_text_of(field, values[0]);
    return pw_yaml_set(plan->yaml, path, text, pw_style_of(field, text), error);
  }
  g_autofree char *flow = pw_dup_value_flow(field, values);
  return pw_yaml_set_flow(plan->yaml, path, flow, error);
}

gboolean
pw_plan_set_key(const PwPlan *plan, guint i, const char *entry_path, GError **error)
{
  PwPlanned *planned = pw_plan_at(plan, i);
  const PwYamlNode *mapping = pw_plan_peek_mapping(plan, planned);
  if (is_written_in_braces(planned->above) && pw_node_below(mapping, planned->parent) == NULL) {
    g_autofree char *flow = take_siblings(plan, i);
    g_autofree char *parent = join_path(entry_path, planned->parent);
    return pw_yaml_set_flow(plan->yaml, parent, flow, error);
  }
  planned->is_done = TRUE;
  g_autofree char *path = join_path(entry_path, planned->path);
  return set_value(plan, planned, path, pw_node_below(mapping, planned->edit->key), error);
}

/* ---- New entries ------------------------------------------------------------------- */

/* The last that is said of a row of a new entry, up to where it goes again; all are done. */
static const PwPlanned *
take_last_of(const PwPlan *plan, guint i, const PwField *row)
{
  const PwPlanned *first = pw_plan_at(plan, i), *last = NULL;
  for (guint j = i; j < plan->all->len; j++) {
    PwPlanned *other = pw_plan_at(plan, j);
    if (!pw_planned_is_same_entry(first, other))
      continue;
    if (other->edit->key == NULL)
      break;
    if (other->field != row)
      continue;
    other->is_done = TRUE;
    last = pw_planned_takes_away(other) ? NULL : other;
  }
  return last;
}

/* What is said of a row, as flow text; a row that holds others: theirs in braces. NULL: nothing. */
static char *
take_row_of(const PwPlan *plan, guint i, const PwField *row)
{
  if (row->type->shape != PW_SHAPE_KEYS) {
    const PwPlanned *last = take_last_of(plan, i, row);
    return last ? pw_dup_value_flow(row, last->edit->values) : NULL;
  }
  const PwTable *table = row->of;
  g_autoptr(GString) flow = g_string_new(NULL);
  for (gsize k = 0; k < table->n_fields; k++) {
    g_autofree char *value = take_row_of(plan, i, &table->fields[k]);
    if (value != NULL)
      g_string_append_printf(flow, "%s%s: %s", flow->len > 0 ? ", " : "", table->fields[k].key,
                             value);
  }
  return flow->len > 0 ? g_strdup_printf("{%s}", flow->str) : NULL;
}

/* Whether the mapping's last entry is written a pair a line. */
static gboolean
ends_in_lines(const PwYaml *yaml, const PwYamlNode *mapping)
{
  const guint n = pw_yaml_node_n(mapping);
  const PwYamlNode *last = n > 0 ? pw_yaml_node_value(mapping, n - 1) : NULL;
  guint line, of_key, column;
  if (last == NULL || pw_yaml_node_kind(last) != PW_YAML_MAPPING)
    return FALSE;
  pw_yaml_node_place(yaml, last, &line, &column);
  pw_yaml_node_place(yaml, pw_yaml_node_key(mapping, n - 1), &of_key, &column);
  return line != of_key;
}

/* An entry by name: in braces, or key by key below it where the last one is. */
static gboolean
put_named(const PwPlan *plan, const PwPlanned *planned, const PwYamlPair *pairs, guint n,
          GError **error)
{
  const PwYamlNode *list = pw_node_below(pw_yaml_peek_root(plan->yaml), planned->edit->list);
  const gboolean in_lines =
      list && pw_yaml_node_kind(list) == PW_YAML_MAPPING && ends_in_lines(plan->yaml, list);
  g_autofree char *step = pw_yaml_dup_step(planned->edit->entry);
  g_autofree char *path = g_strconcat(planned->list_path, "/", step, NULL);
  g_autoptr(GString) flow = g_string_new("{");
  for (guint i = 0; i < n; i++) {
    g_autofree char *below = g_strconcat(path, "/", pairs[i].key, NULL);
    if (in_lines && !pw_yaml_set_flow(plan->yaml, below, pairs[i].flow, error))
      return FALSE;
    g_string_append_printf(flow, "%s%s: %s", i > 0 ? ", " : "", pairs[i].key, pairs[i].flow);
  }
  g_string_append_c(flow, '}');
  return in_lines || pw_yaml_set_flow(plan->yaml, path, flow->str, error);
}

/* A mark, most of which is points, is written in lines; what a person reads as one line stays one.
 */
static gboolean
put_entry(const PwPlan *plan, const PwPlanned *planned, const PwYamlPair *pairs, guint n,
          GError **error)
{
  if (planned->list->type->shape == PW_SHAPE_NAMED)
    return put_named(plan, planned, pairs, n, error);
  const PwYamlManner manner =
      plan->table == &pw_sidecar_table ? PW_YAML_A_PAIR_A_LINE : PW_YAML_LIKE_THE_LAST;
  return pw_yaml_append_pairs(plan->yaml, planned->list_path, pairs, n, manner, error);
}

gboolean
pw_plan_add_entry(const PwPlan *plan, guint i, GError **error)
{
  const PwPlanned *planned = pw_plan_at(plan, i);
  const PwTable *table = planned->list->of;
  const char *const own_id[] = {planned->edit->entry, NULL};
  g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(GArray) pairs = g_array_new(FALSE, FALSE, sizeof(PwYamlPair));
  for (gsize row = 0; row < table->n_fields; row++) {
    const PwField *field = &table->fields[row];
    char *flow = take_row_of(plan, i, field);
    if (flow == NULL && table->unique && g_str_equal(field->key, table->unique))
      flow = pw_dup_value_flow(field, own_id);
    if (flow == NULL)
      continue;
    const PwYamlPair pair = {field->key, flow};
    g_ptr_array_add(texts, flow);
    g_array_append_val(pairs, pair);
  }
  if (pairs->len <= (table->unique != NULL))
    return TRUE; /* what was to be taken away is not there */
  return put_entry(plan, planned, (const PwYamlPair *)pairs->data, pairs->len, error);
}
