/* The tree that an edited text must read as. */
#include "edit.h"

/* `node` takes the content of `other`, which is used up. */
static void
become(PwYamlNode *node, PwYamlNode *other)
{
  const PwYamlNode old = *node;
  *node = *other;
  *other = old;
  pw_yaml_node_free(other);
}

static PwYamlNode *
expect_key(PwYamlNode *node, const char *key)
{
  if (pw_yaml_node_is_missing(node))
    become(node, pw_yaml_node_new_collection(PW_YAML_MAPPING, PW_YAML_BLOCK));
  const int pair = pw_yaml_node_find(node, key);
  if (pair >= 0)
    return pw_yaml_node_child(node, 2 * (guint)pair + 1);
  PwYamlNode *value = pw_yaml_node_new_scalar("", PW_YAML_PLAIN);
  g_ptr_array_add(node->children, pw_yaml_node_new_scalar(key, PW_YAML_PLAIN));
  g_ptr_array_add(node->children, value);
  return value;
}

/* `wanted` is used up. */
void
pw_yaml_expect(PwYamlEdit *edit, const GArray *steps, PwYamlNode *wanted, gboolean as_list)
{
  PwYamlNode *node = pw_yaml_edit_peek_expected(edit);
  for (guint i = 0; i < steps->len; i++) {
    const PwYamlStep *step = pw_yaml_step_at(steps, i);
    node = step->key ? expect_key(node, step->key) : pw_yaml_node_child(node, step->item);
  }
  if (!as_list) {
    become(node, wanted);
    return;
  }
  if (pw_yaml_node_is_missing(node))
    become(node, pw_yaml_node_new_collection(PW_YAML_SEQUENCE, PW_YAML_BLOCK));
  g_ptr_array_add(node->children, wanted);
}

void
pw_yaml_expect_removed(PwYamlEdit *edit, const GArray *steps)
{
  PwYamlNode *node = pw_yaml_edit_peek_expected(edit);
  for (guint i = 0; i + 1 < steps->len; i++) {
    const PwYamlStep *step = pw_yaml_step_at(steps, i);
    node = step->key ? expect_key(node, step->key) : pw_yaml_node_child(node, step->item);
  }
  const PwYamlStep *last = pw_yaml_step_at(steps, steps->len - 1);
  if (last->key)
    g_ptr_array_remove_range(node->children, 2 * (guint)pw_yaml_node_find(node, last->key), 2);
  else
    g_ptr_array_remove_index(node->children, last->item);
}
