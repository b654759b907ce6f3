/* Where the entry of an edit stands in the text: a mark and a piece by id, a card by name, others
 * by their place.
 */
#include "edit_plan.h"

#include <string.h>

const PwYamlNode *
pw_stated(const PwYamlNode *mapping, const char *key)
{
  return mapping && pw_yaml_node_kind(mapping) == PW_YAML_MAPPING ? pw_given(mapping, key) : NULL;
}

const PwYamlNode *
pw_node_below(const PwYamlNode *node, const char *key)
{
  g_auto(GStrv) steps = g_strsplit(key, "/", -1);
  for (gsize i = 0; node && steps[i]; i++)
    node = pw_stated(node, steps[i]);
  return node;
}

/* What holds the entry, when it is there and of the kind that it must be. */
static const PwYamlNode *
peek_list(const PwPlan *plan, const PwPlanned *planned)
{
  const PwYamlNode *list = pw_node_below(pw_yaml_peek_root(plan->yaml), planned->edit->list);
  const PwYamlKind kind =
      planned->list->type->shape == PW_SHAPE_NAMED ? PW_YAML_MAPPING : PW_YAML_SEQUENCE;
  return list && pw_yaml_node_kind(list) == kind ? list : NULL;
}

static gboolean
bears_id(const PwYamlNode *entry, const char *key, const char *id)
{
  const PwYamlNode *node = pw_stated(entry, key);
  return node && g_strcmp0(pw_yaml_node_peek_text(node), id) == 0;
}

/* The item of that id, or -1 where there is none; FALSE when two bear it. */
static gboolean
find_by_id(const PwPlanned *planned, const PwYamlNode *list, gint64 *item, GError **error)
{
  const PwTable *table = planned->list->of;
  const char *id = planned->edit->entry;
  *item = -1;
  for (guint i = 0; i < pw_yaml_node_n(list); i++) {
    if (!bears_id(pw_yaml_node_item(list, i), table->unique, id))
      continue;
    if (*item >= 0) {
      g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                  "two %s have the id %s; give one of them another in the text", planned->list->key,
                  id);
      return FALSE;
    }
    *item = i;
  }
  return TRUE;
}

/* The item at that place, or -1 for a new one; FALSE when there is none. */
static gboolean
find_by_place(const PwPlanned *planned, guint n, gint64 *item, GError **error)
{
  *item = -1;
  if (*planned->edit->entry == '+')
    return TRUE;
  if (pw_parse_int(planned->edit->entry, item) && *item < n)
    return TRUE;
  *item = -1;
  if (pw_planned_takes_away(planned))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s has %u entries; there is none at the place %s",
              planned->edit->list, n, planned->edit->entry);
  return FALSE;
}

static const PwYamlNode *
find_by_name(const PwPlanned *planned, const PwYamlNode *list, char **path)
{
  const char *name = planned->edit->entry;
  if (list == NULL || pw_yaml_node_get(list, name) == NULL)
    return NULL;
  g_autofree char *step = pw_yaml_dup_step(name);
  *path = g_strconcat(planned->list_path, "/", step, NULL);
  return pw_yaml_node_get(list, name);
}

gboolean
pw_plan_find_entry(const PwPlan *plan, const PwPlanned *planned, char **path,
                   const PwYamlNode **entry, GError **error)
{
  const PwYamlNode *list = peek_list(plan, planned);
  gint64 item = -1;
  *path = NULL;
  *entry = NULL;
  if (planned->list->type->shape == PW_SHAPE_NAMED) {
    *entry = find_by_name(planned, list, path);
    return TRUE;
  }
  if (pw_planned_is_by_place(planned)
          ? !find_by_place(planned, list ? pw_yaml_node_n(list) : 0, &item, error)
          : list != NULL && !find_by_id(planned, list, &item, error))
    return FALSE;
  if (item >= 0) {
    *path = g_strdup_printf("%s/[%u]", planned->list_path, (guint)item);
    *entry = pw_yaml_node_item(list, (guint)item);
  }
  return TRUE;
}

const PwYamlNode *
pw_plan_peek_mapping(const PwPlan *plan, const PwPlanned *planned)
{
  g_autofree char *path = NULL;
  const PwYamlNode *entry = NULL;
  if (planned->list == NULL)
    return pw_yaml_peek_root(plan->yaml);
  pw_plan_find_entry(plan, planned, &path, &entry, NULL);
  return entry;
}
