/* Where a path leads, as far as the tree goes. */
#include "edit.h"

const PwYamlStep *
pw_yaml_step_at(const GArray *steps, guint i)
{
  return &g_array_index(steps, PwYamlStep, i);
}

static gboolean
follow_item(const PwYamlEdit *edit, PwYamlFound *found, guint item, GError **error)
{
  const PwYamlNode *list = found->node;
  if (list->kind != PW_YAML_SEQUENCE)
    return pw_yaml_edit_refuse(edit, error, "there is no list where [%u] is asked for", item);
  if (item >= list->children->len)
    return pw_yaml_edit_refuse(edit, error, "the list has %u items, there is no [%u]",
                               list->children->len, item);
  found->parent = list;
  found->place = item;
  found->node = pw_yaml_node_child(list, item);
  return TRUE;
}

/* FALSE without an error when the key is not there yet. */
static gboolean
follow_key(const PwYamlEdit *edit, PwYamlFound *found, const char *key, GError **error)
{
  if (pw_yaml_node_is_missing(found->node))
    return FALSE;
  if (found->node->kind != PW_YAML_MAPPING)
    return pw_yaml_edit_refuse(edit, error, "there are no keys where \"%s\" is asked for", key);
  const int pair = pw_yaml_node_find(found->node, key);
  if (pair < 0)
    return FALSE;
  found->parent = found->node;
  found->place = (guint)pair;
  found->node = pw_yaml_node_value(found->node, (guint)pair);
  return TRUE;
}

/* Follows the path as far as it leads; FALSE with an error when it cannot lead on. */
gboolean
pw_yaml_follow(const PwYamlEdit *edit, const PwYaml *yaml, const GArray *steps, PwYamlFound *found,
               GError **error)
{
  GError *wrong = NULL;
  *found = (PwYamlFound){.node = yaml->root, .in_flow = yaml->root->form == PW_YAML_FLOW};
  while (found->n_taken < steps->len) {
    const PwYamlStep *step = pw_yaml_step_at(steps, found->n_taken);
    const gboolean led = step->key ? follow_key(edit, found, step->key, &wrong)
                                   : follow_item(edit, found, step->item, &wrong);
    if (!led)
      break;
    found->n_taken++;
    found->in_flow = found->in_flow || found->node->form == PW_YAML_FLOW;
  }
  for (guint i = found->n_taken; i < steps->len && !wrong; i++) {
    if (!pw_yaml_step_at(steps, i)->key)
      pw_yaml_edit_refuse(edit, &wrong, "there is no list to take an item of");
  }
  if (wrong)
    g_propagate_error(error, wrong);
  return wrong == NULL;
}
