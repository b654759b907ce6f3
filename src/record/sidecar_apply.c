/* Edits written into the text of a sidecar. How a value is quoted and where it may stand is told by
 * the tables that read it.
 *
 * Every change is read back before it is believed, and reading takes as long as the text is: so one
 * change of each of many marks is read back with the others'.
 *
 * What is put in is put in first, in the order given; keys go last, so that a mapping in which one
 * key takes the place of another never stands empty between. A mapping that has lost its last key
 * goes too.
 */
#include "sidecar_edit.h"
#include "values.h"

#include <string.h>

/* One edit and the rows that its key leads to. */
typedef struct {
  const PwSidecarEdit *edit;
  const PwTable
      *above; /* the nested table that holds `field`; NULL: it stands on the first level */
  const PwField *field; /* NULL: the whole mark, or a name under a mapping by names */
  char *path;           /* of the key, from its mark or from the root */
  char *parent;         /* the same without its last step; NULL on the first level */
  gboolean is_done;
} Planned;

typedef struct {
  PwYaml *yaml;
  GArray *all; /* Planned */
} Plan;

static void
clear_planned(gpointer data)
{
  Planned *planned = data;
  g_free(planned->path);
  g_free(planned->parent);
}

static Planned *
planned_at(const Plan *plan, guint i)
{
  return &g_array_index(plan->all, Planned, i);
}

static gboolean
refuse(const Planned *planned, GError **error, const char *says)
{
  const PwSidecarEdit *edit = planned->edit;
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s%s%s%s %s", edit->mark ? "mark " : "",
              edit->mark ? edit->mark : "", edit->mark && edit->key ? ", " : "",
              edit->key ? edit->key : "", says);
  return FALSE;
}

static gboolean
takes_away(const Planned *planned)
{
  return planned->edit->key == NULL || planned->edit->values == NULL;
}

/* ---- From keys to rows ------------------------------------------------------------- */

static const PwTable *
mark_table(void)
{
  return pw_table_find(&pw_sidecar_table, "marks")->of;
}

/* Walks the key's steps down the tables; FALSE when no row is there. */
static gboolean
find_row(const PwTable *table, char **steps, Planned *planned)
{
  for (gsize i = 0; steps[i] != NULL; i++) {
    const PwField *field = planned->field = pw_table_find(table, steps[i]);
    if (field == NULL)
      return FALSE;
    if (steps[i + 1] == NULL)
      return TRUE;
    if (field->type->shape == PW_SHAPE_NAMED && steps[i + 2] == NULL && *steps[i + 1] != '\0') {
      planned->field = NULL;
      return TRUE;
    }
    if (field->type->shape != PW_SHAPE_KEYS)
      return FALSE;
    table = planned->above = field->of;
  }
  return FALSE;
}

/* Whether an edit may name the row at all; a mapping, and what holds one that is fixed, not. */
static gboolean
may_be_edited(const Planned *planned)
{
  const PwField *field = planned->field;
  if (field == NULL)
    return TRUE;
  if (field->is_fixed || (field->type->shape == PW_SHAPE_ENTRIES && field->of == mark_table()))
    return FALSE;
  const PwTable *table = field->type->shape == PW_SHAPE_KEYS ? field->of : NULL;
  for (gsize i = 0; table && i < table->n_fields; i++)
    if (table->fields[i].is_fixed)
      return FALSE;
  return TRUE;
}

static gboolean
has_fitting_values(const Planned *planned)
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

static gboolean
plan_one(Planned *planned, GError **error)
{
  const PwSidecarEdit *edit = planned->edit;
  if (!is_utf8(edit->mark) || !is_utf8(edit->key)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "an edit names what is not UTF-8");
    return FALSE;
  }
  if (edit->key == NULL && (edit->mark == NULL || edit->values != NULL))
    return refuse(planned, error, "the edit names no key");
  if (edit->mark != NULL && pw_id_fault(edit->mark) != NULL)
    return refuse(planned, error, pw_id_fault(edit->mark));
  if (edit->key == NULL)
    return TRUE;
  g_auto(GStrv) steps = g_strsplit(edit->key, "/", -1);
  const gsize n = g_strv_length(steps);
  if (!find_row(edit->mark ? mark_table() : &pw_sidecar_table, steps, planned))
    return refuse(planned, error, "is no key of a sidecar");
  if (!may_be_edited(planned))
    return refuse(planned, error, "is not for an edit to change");
  if (edit->values != NULL && !has_fitting_values(planned))
    return refuse(planned, error, "does not take such values");
  planned->path = dup_path(steps, n);
  planned->parent = n > 1 ? dup_path(steps, n - 1) : NULL;
  return TRUE;
}

/* ---- Places in the text ------------------------------------------------------------ */

/* What is stated under the key of a mapping; NULL also where there is no mapping. */
static const PwYamlNode *
stated(const PwYamlNode *mapping, const char *key)
{
  return mapping && pw_yaml_node_kind(mapping) == PW_YAML_MAPPING ? pw_given(mapping, key) : NULL;
}

static gboolean
bears_id(const PwYamlNode *mark, const char *id)
{
  const PwYamlNode *node = stated(mark, "id");
  return node && g_strcmp0(pw_yaml_node_peek_text(node), id) == 0;
}

/* The path of the mark, NULL when there is none; FALSE when two bear that id. */
static gboolean
find_mark(const Plan *plan, const Planned *planned, char **path, GError **error)
{
  const PwYamlNode *marks = stated(pw_yaml_peek_root(plan->yaml), "marks");
  const guint n = marks && pw_yaml_node_kind(marks) == PW_YAML_SEQUENCE ? pw_yaml_node_n(marks) : 0;
  *path = NULL;
  for (guint i = 0; i < n; i++) {
    if (!bears_id(pw_yaml_node_item(marks, i), planned->edit->mark))
      continue;
    if (*path != NULL) {
      g_clear_pointer(path, g_free);
      g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                  "two marks have the id %s; give one of them another in the text",
                  planned->edit->mark);
      return FALSE;
    }
    *path = g_strdup_printf("marks/[%u]", i);
  }
  return TRUE;
}

/* From one node down the path of an edit's key; NULL where it does not lead. */
static const PwYamlNode *
node_below(const PwYamlNode *node, const char *key)
{
  g_auto(GStrv) steps = g_strsplit(key, "/", -1);
  for (gsize i = 0; node && steps[i]; i++)
    node = stated(node, steps[i]);
  return node;
}

static const PwYamlNode *
mapping_of(const Plan *plan, const char *mark_path)
{
  const PwYamlNode *root = pw_yaml_peek_root(plan->yaml);
  if (mark_path == NULL)
    return root;
  return pw_yaml_node_item(stated(root, "marks"), (guint)atoi(mark_path + strlen("marks/[")));
}

static char *
join_path(const char *mark_path, const char *path)
{
  return mark_path ? g_strconcat(mark_path, "/", path, NULL) : g_strdup(path);
}

/* ---- Values as text ---------------------------------------------------------------- */

static PwYamlStyle
style_of(const PwField *field, const char *value)
{
  if (field == NULL || !field->type->is_prose)
    return PW_YAML_AS_WORD;
  const gboolean is_usual = field->type == &pw_value_usual && g_strv_contains(field->of, value);
  return is_usual ? PW_YAML_AS_WORD : PW_YAML_AS_PROSE;
}

static gboolean
holds_points(const PwField *field)
{
  return field && (field->type == &pw_value_point || field->type == &pw_value_corners ||
                   field->type == &pw_value_points || field->type == &pw_value_rings);
}

/* Points with two decimals at most. What are no points stays, for the reader to complain of. */
static char *
dup_text(const PwField *field, const char *value)
{
  PwPxPath path = {0};
  gsize offset;
  if (!holds_points(field) || !pw_px_path_parse(value, &path, &offset, NULL))
    return g_strdup(value);
  char *text = pw_px_path_format(&path);
  pw_px_path_clear(&path);
  return text;
}

static char *
dup_flow(const PwField *field, const char *value)
{
  g_autofree char *text = dup_text(field, value);
  return pw_yaml_dup_flow(text, style_of(field, value));
}

/* "hx,hy tx,ty" as a mapping of as many points. */
static char *
dup_entry_flow(const PwTable *table, const char *value)
{
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  const gsize n = MIN(table->n_fields, g_strv_length(words));
  g_autoptr(GString) flow = g_string_new("{");
  for (gsize i = 0; i < n; i++) {
    g_autofree char *word = dup_flow(&table->fields[i], words[i]);
    g_string_append_printf(flow, "%s%s: %s", i > 0 ? ", " : "", table->fields[i].key, word);
  }
  g_string_append_c(flow, '}');
  return g_strdup(flow->str);
}

static char *
dup_item_flow(const PwField *field, const char *value)
{
  return field->type->shape == PW_SHAPE_ENTRIES ? dup_entry_flow(field->of, value)
                                                : dup_flow(field, value);
}

/* A whole value: one text, or a list in brackets. */
static char *
dup_value_flow(const PwField *field, const char *const *values)
{
  const PwShapeOfValue shape = field ? field->type->shape : PW_SHAPE_TEXT;
  if (shape == PW_SHAPE_TEXT || (shape == PW_SHAPE_TEXTS && values[1] == NULL))
    return dup_flow(field, values[0]);
  g_autoptr(GString) flow = g_string_new("[");
  for (gsize i = 0; values[i] != NULL; i++) {
    g_autofree char *item = dup_item_flow(field, values[i]);
    g_string_append_printf(flow, "%s%s", i > 0 ? ", " : "", item);
  }
  g_string_append_c(flow, ']');
  return g_strdup(flow->str);
}

/* ---- Lists ------------------------------------------------------------------------- */

/* Whether an item says the value already. */
static gboolean
item_says(const PwField *field, const PwYamlNode *item, const char *value)
{
  if (field->type->shape != PW_SHAPE_ENTRIES) {
    g_autofree char *text = dup_text(field, value);
    return g_strcmp0(pw_yaml_node_peek_text(item), text) == 0;
  }
  const PwTable *table = field->of;
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  gboolean says = g_strv_length(words) == table->n_fields;
  for (gsize i = 0; says && i < table->n_fields; i++) {
    const PwYamlNode *node = stated(item, table->fields[i].key);
    g_autofree char *text = dup_text(&table->fields[i], words[i]);
    says = node && g_strcmp0(pw_yaml_node_peek_text(node), text) == 0;
  }
  return says;
}

static gboolean
set_item(const Plan *plan, const Planned *planned, const char *path, guint i, const char *value,
         GError **error)
{
  g_autofree char *flow = dup_item_flow(planned->field, value);
  g_autofree char *item = g_strdup_printf("%s/[%u]", path, i);
  return pw_yaml_set_flow(plan->yaml, item, flow, error);
}

/* A list that is there takes the values item by item: what it begins and ends with already stays as
 * it is written, with its comments. */
static gboolean
update_list(const Plan *plan, const Planned *planned, const char *path, const PwYamlNode *list,
            GError **error)
{
  const char *const *values = planned->edit->values;
  const guint n_old = pw_yaml_node_n(list), n = g_strv_length((char **)values);
  guint first = 0, last = 0;
  while (first < MIN(n, n_old) &&
         item_says(planned->field, pw_yaml_node_item(list, first), values[first]))
    first++;
  while (n <= n_old && last < n - first &&
         item_says(planned->field, pw_yaml_node_item(list, n_old - 1 - last), values[n - 1 - last]))
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
    g_autofree char *flow = dup_item_flow(planned->field, values[i]);
    if (!pw_yaml_append(plan->yaml, path, flow, error))
      return FALSE;
  }
  return TRUE;
}

/* Entries that are new stand each on a line. */
static gboolean
append_entries(const Plan *plan, const Planned *planned, const char *path, GError **error)
{
  for (const char *const *value = planned->edit->values; *value; value++) {
    g_autofree char *flow = dup_item_flow(planned->field, *value);
    if (!pw_yaml_append(plan->yaml, path, flow, error))
      return FALSE;
  }
  return TRUE;
}

/* ---- Setting ----------------------------------------------------------------------- */

static gboolean
is_same_mark(const Planned *a, const Planned *b)
{
  return g_strcmp0(a->edit->mark, b->edit->mark) == 0;
}

/* Those of the rest that belong into the same new mapping, in the order of its table, as one flow
 * text; they are done then. */
static char *
take_siblings(const Plan *plan, guint i)
{
  const Planned *first = planned_at(plan, i);
  g_autoptr(GString) flow = g_string_new("{");
  for (gsize row = 0; row < first->above->n_fields; row++) {
    char *value = NULL;
    for (guint j = i; j < plan->all->len; j++) {
      Planned *other = planned_at(plan, j);
      if (other->is_done || other->field != &first->above->fields[row] ||
          !is_same_mark(first, other) || takes_away(other))
        continue;
      g_free(value);
      value = dup_value_flow(other->field, other->edit->values);
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

static gboolean
set_key(const Plan *plan, guint i, const char *mark_path, GError **error)
{
  Planned *planned = planned_at(plan, i);
  const PwField *field = planned->field;
  const PwYamlNode *mapping = mapping_of(plan, mark_path);
  if (is_written_in_braces(planned->above) && node_below(mapping, planned->parent) == NULL) {
    g_autofree char *flow = take_siblings(plan, i);
    g_autofree char *parent = join_path(mark_path, planned->parent);
    return pw_yaml_set_flow(plan->yaml, parent, flow, error);
  }
  planned->is_done = TRUE;
  g_autofree char *path = join_path(mark_path, planned->path);
  const PwYamlNode *old = node_below(mapping, planned->edit->key);
  const char *const *values = planned->edit->values;
  const PwShapeOfValue shape = field ? field->type->shape : PW_SHAPE_TEXT;
  if (shape != PW_SHAPE_TEXT && old && pw_yaml_node_kind(old) == PW_YAML_SEQUENCE)
    return update_list(plan, planned, path, old, error);
  if (shape == PW_SHAPE_ENTRIES)
    return append_entries(plan, planned, path, error);
  if (shape == PW_SHAPE_TEXT || (shape == PW_SHAPE_TEXTS && values[1] == NULL)) {
    g_autofree char *text = dup_text(field, values[0]);
    return pw_yaml_set(plan->yaml, path, text, style_of(field, text), error);
  }
  g_autofree char *flow = dup_value_flow(field, values);
  return pw_yaml_set_flow(plan->yaml, path, flow, error);
}

/* ---- New marks --------------------------------------------------------------------- */

/* The last that is said of a row of a new mark, up to where the mark goes again; all are done. */
static const Planned *
take_last_of(const Plan *plan, guint i, const PwField *row)
{
  const Planned *first = planned_at(plan, i), *last = NULL;
  for (guint j = i; j < plan->all->len; j++) {
    Planned *other = planned_at(plan, j);
    if (!is_same_mark(first, other))
      continue;
    if (other->edit->key == NULL)
      break;
    if (other->field != row)
      continue;
    other->is_done = TRUE;
    last = takes_away(other) ? NULL : other;
  }
  return last;
}

/* What is said of a row, as flow text; a row that holds others: theirs in braces. NULL: nothing. */
static char *
take_row_of(const Plan *plan, guint i, const PwField *row)
{
  if (row->type->shape != PW_SHAPE_KEYS) {
    const Planned *last = take_last_of(plan, i, row);
    return last ? dup_value_flow(row, last->edit->values) : NULL;
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

/* A mark of that id is there after all edits of it: written whole, its keys in their usual order.
 */
static gboolean
add_mark(const Plan *plan, guint i, GError **error)
{
  const PwTable *table = mark_table();
  const char *id = planned_at(plan, i)->edit->mark;
  g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(GArray) pairs = g_array_new(FALSE, FALSE, sizeof(PwYamlPair));
  for (gsize row = 0; row < table->n_fields; row++) {
    const PwField *field = &table->fields[row];
    const char *const own_id[] = {id, NULL};
    char *flow = take_row_of(plan, i, field);
    if (flow == NULL && field->type == &pw_value_id)
      flow = dup_value_flow(field, own_id);
    if (flow == NULL)
      continue;
    const PwYamlPair pair = {field->key, flow};
    g_ptr_array_add(texts, flow);
    g_array_append_val(pairs, pair);
  }
  if (pairs->len == 1)
    return TRUE; /* what was to be taken away is not there */
  return pw_yaml_append_pairs(plan->yaml, "marks", (const PwYamlPair *)pairs->data, pairs->len,
                              error);
}

/* ---- Taking away ------------------------------------------------------------------- */

/* Whether the key stands in the text, with a value or without. */
static gboolean
is_written(const PwYamlNode *mapping, const char *key)
{
  const char *last = strrchr(key, '/');
  g_autofree char *above = last ? g_strndup(key, (gsize)(last - key)) : NULL;
  const PwYamlNode *holder = above ? node_below(mapping, above) : mapping;
  return holder && pw_yaml_node_kind(holder) == PW_YAML_MAPPING &&
         pw_yaml_node_get(holder, last ? last + 1 : key) != NULL;
}

/* Cuts the last step off a path of keys. */
static void
cut_last_step(char *path)
{
  *strrchr(path, '/') = '\0';
}

/* A key goes, and then the mappings that hold nothing more, not its mark; one by one, so that
 * comments inside stay. */
static gboolean
remove_key(const Plan *plan, const Planned *planned, const char *mark_path, GError **error)
{
  g_autofree char *key = g_strdup(planned->edit->key);
  g_autofree char *path = join_path(mark_path, planned->path);
  if (!is_written(mapping_of(plan, mark_path), key))
    return TRUE;
  if (!pw_yaml_remove(plan->yaml, path, error))
    return FALSE;
  while (strchr(key, '/') != NULL) {
    cut_last_step(key);
    cut_last_step(path);
    const PwYamlNode *holder = node_below(mapping_of(plan, mark_path), key);
    if (holder == NULL || pw_yaml_node_n(holder) > 0 || !pw_yaml_remove(plan->yaml, path, NULL))
      break;
  }
  return TRUE;
}

static gboolean
is_below(const char *key, const char *above)
{
  const gsize n = strlen(above);
  return strncmp(key, above, n) == 0 && key[n] == '/';
}

/* Whether a key must go at once, because something is put below it later. */
static gboolean
must_go_first(const Plan *plan, guint i)
{
  const Planned *planned = planned_at(plan, i);
  for (guint j = i + 1; j < plan->all->len; j++) {
    const Planned *other = planned_at(plan, j);
    if (is_same_mark(planned, other) && other->edit->key && !takes_away(other) &&
        is_below(other->edit->key, planned->edit->key))
      return TRUE;
  }
  return FALSE;
}

/* Whether a later edit says the last word on the same key, or takes the whole mark away. */
static gboolean
is_overtaken(const Plan *plan, guint i)
{
  const Planned *planned = planned_at(plan, i);
  for (guint j = i + 1; j < plan->all->len; j++) {
    const Planned *other = planned_at(plan, j);
    if (is_same_mark(planned, other) &&
        (other->edit->key == NULL || g_strcmp0(other->edit->key, planned->edit->key) == 0))
      return TRUE;
  }
  return FALSE;
}

/* ---- All of them ------------------------------------------------------------------- */

static gboolean
remove_mark(const Plan *plan, const char *mark_path, GError **error)
{
  return mark_path == NULL || pw_yaml_remove(plan->yaml, mark_path, error);
}

/* `last` is the second time round, when keys go. */
static gboolean
apply_one(const Plan *plan, guint i, gboolean last, GError **error)
{
  Planned *planned = planned_at(plan, i);
  const gboolean is_whole_mark = planned->edit->key == NULL;
  g_autofree char *mark_path = NULL;
  if (planned->is_done || (!is_whole_mark && is_overtaken(plan, i)))
    return TRUE;
  if (planned->edit->mark && !find_mark(plan, planned, &mark_path, error))
    return FALSE;
  if (is_whole_mark) {
    planned->is_done = TRUE;
    return remove_mark(plan, mark_path, error);
  }
  if (planned->edit->mark && mark_path == NULL)
    return takes_away(planned) || add_mark(plan, i, error);
  if (!takes_away(planned))
    return set_key(plan, i, mark_path, error);
  if (!last && !must_go_first(plan, i))
    return TRUE;
  planned->is_done = TRUE;
  return remove_key(plan, planned, mark_path, error);
}

/* Whether an edit changes one key of a mark that is there, and nothing else. */
static gboolean
stands_alone(const Plan *plan, guint i, const char *mark_path)
{
  const Planned *planned = planned_at(plan, i);
  const char *key = planned->edit->key;
  if (mark_path == NULL || key == NULL || strchr(key, '/') != NULL)
    return FALSE;
  if (takes_away(planned))
    return !must_go_first(plan, i);
  const PwShapeOfValue shape = planned->field->type->shape;
  return shape == PW_SHAPE_TEXT ||
         (shape == PW_SHAPE_TEXTS && node_below(mapping_of(plan, mark_path), key) == NULL);
}

/* Whether an edit is to be made in this round at all. */
static gboolean
is_to_be_made(const Plan *plan, guint i, gboolean last)
{
  const Planned *planned = planned_at(plan, i);
  if (planned->is_done || planned->edit->mark == NULL)
    return FALSE;
  if (planned->edit->key == NULL)
    return TRUE;
  return (last || !takes_away(planned) || must_go_first(plan, i)) && !is_overtaken(plan, i);
}

/* Of every mark the edit that comes next, where it stands alone. How many there were, or -1 where
 * one could not be made. */
static int
make_next(const Plan *plan, gboolean last)
{
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  int n = 0;
  for (guint i = 0; i < plan->all->len; i++) {
    const Planned *planned = planned_at(plan, i);
    g_autofree char *path = NULL;
    if (!is_to_be_made(plan, i, last) ||
        !g_hash_table_add(seen, (gpointer)(gsize)planned->edit->mark))
      continue;
    if (!find_mark(plan, planned, &path, NULL))
      return -1;
    if (!stands_alone(plan, i, path))
      continue;
    if (!apply_one(plan, i, last, NULL))
      return -1;
    n++;
  }
  return n;
}

/* As long as several marks have an edit that comes next. What cannot be made so is left for one by
 * one, which says why. */
static void
apply_side_by_side(const Plan *plan, gboolean last)
{
  const guint n = plan->all->len;
  g_autofree gboolean *was_done = g_new(gboolean, n);
  for (;;) {
    for (guint i = 0; i < n; i++)
      was_done[i] = planned_at(plan, i)->is_done;
    pw_yaml_gather(plan->yaml);
    const gboolean several = make_next(plan, last) > 1;
    if (pw_yaml_settle(plan->yaml, several, NULL) && several)
      continue;
    for (guint i = 0; i < n; i++)
      planned_at(plan, i)->is_done = was_done[i];
    return;
  }
}

gboolean
pw_sidecar_apply(PwYaml *yaml, const PwSidecarEdit *edits, gsize n, GError **error)
{
  if (n > PW_LIMIT_EDITS) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%" G_GSIZE_FORMAT " changes in one save are more than the %d that are taken", n,
                PW_LIMIT_EDITS);
    return FALSE;
  }
  g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(Planned));
  g_array_set_clear_func(all, clear_planned);
  const Plan plan = {yaml, all};
  for (gsize i = 0; i < n; i++) {
    const Planned planned = {.edit = &edits[i]};
    g_array_append_val(all, planned);
    if (!plan_one(planned_at(&plan, (guint)i), error))
      return FALSE;
  }
  for (int round = 0; round < 2; round++) {
    apply_side_by_side(&plan, round == 1);
    for (guint i = 0; i < n; i++)
      if (!apply_one(&plan, i, round == 1, error))
        return FALSE;
  }
  return TRUE;
}
