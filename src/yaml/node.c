/* Nodes: made, copied, compared, asked. */
#include "node.h"

PwYamlNode *
pw_yaml_node_new_scalar(const char *text, PwYamlForm form)
{
  PwYamlNode *node = g_new0(PwYamlNode, 1);
  node->kind = PW_YAML_SCALAR;
  node->form = form;
  node->text = g_strdup(text);
  return node;
}

static void
free_child(gpointer data)
{
  pw_yaml_node_free(data);
}

PwYamlNode *
pw_yaml_node_new_collection(PwYamlKind kind, PwYamlForm form)
{
  PwYamlNode *node = g_new0(PwYamlNode, 1);
  node->kind = kind;
  node->form = form;
  node->children = g_ptr_array_new_with_free_func(free_child);
  return node;
}

/* Recursion ends at PW_LIMIT_DEPTH, here and below. */
void
pw_yaml_node_free(PwYamlNode *node)
{
  if (!node)
    return;
  g_free(node->text);
  if (node->children)
    g_ptr_array_unref(node->children);
  g_free(node);
}

PwYamlNode *
pw_yaml_node_dup(const PwYamlNode *node)
{
  PwYamlNode *copy = g_new(PwYamlNode, 1);
  *copy = *node;
  copy->text = g_strdup(node->text);
  if (!node->children)
    return copy;
  copy->children = g_ptr_array_new_full(node->children->len, free_child);
  for (guint i = 0; i < node->children->len; i++)
    g_ptr_array_add(copy->children, pw_yaml_node_dup(pw_yaml_node_child(node, i)));
  return copy;
}

gboolean
pw_yaml_node_equal(const PwYamlNode *a, const PwYamlNode *b)
{
  if (a->kind != b->kind)
    return FALSE;
  if (a->kind == PW_YAML_SCALAR)
    return g_str_equal(a->text, b->text);
  if (a->children->len != b->children->len)
    return FALSE;
  for (guint i = 0; i < a->children->len; i++) {
    if (!pw_yaml_node_equal(pw_yaml_node_child(a, i), pw_yaml_node_child(b, i)))
      return FALSE;
  }
  return TRUE;
}

PwYamlNode *
pw_yaml_node_child(const PwYamlNode *node, guint i)
{
  return g_ptr_array_index(node->children, i);
}

int
pw_yaml_node_find(const PwYamlNode *mapping, const char *key)
{
  for (guint i = 0; i < mapping->children->len; i += 2) {
    if (g_strcmp0(pw_yaml_node_child(mapping, i)->text, key) == 0)
      return (int)(i / 2);
  }
  return -1;
}

gboolean
pw_yaml_node_is_missing(const PwYamlNode *node)
{
  return node->kind == PW_YAML_SCALAR && node->form == PW_YAML_PLAIN && node->text[0] == '\0';
}

PwYamlKind
pw_yaml_node_kind(const PwYamlNode *node)
{
  return node->kind;
}

const char *
pw_yaml_node_peek_text(const PwYamlNode *node)
{
  return node->text;
}

gboolean
pw_yaml_node_is_plain(const PwYamlNode *node)
{
  return node->kind == PW_YAML_SCALAR && node->form == PW_YAML_PLAIN;
}

gboolean
pw_yaml_node_is_cut(const PwYamlNode *node)
{
  return node->cut;
}

guint
pw_yaml_node_n(const PwYamlNode *node)
{
  if (node->kind == PW_YAML_SCALAR)
    return 0;
  return node->kind == PW_YAML_MAPPING ? node->children->len / 2 : node->children->len;
}

const PwYamlNode *
pw_yaml_node_item(const PwYamlNode *node, guint i)
{
  return pw_yaml_node_child(node, i);
}

const PwYamlNode *
pw_yaml_node_key(const PwYamlNode *node, guint i)
{
  return pw_yaml_node_child(node, 2 * i);
}

const PwYamlNode *
pw_yaml_node_value(const PwYamlNode *node, guint i)
{
  return pw_yaml_node_child(node, 2 * i + 1);
}

const PwYamlNode *
pw_yaml_node_get(const PwYamlNode *mapping, const char *key)
{
  const int i = mapping->kind == PW_YAML_MAPPING ? pw_yaml_node_find(mapping, key) : -1;
  return i < 0 ? NULL : pw_yaml_node_value(mapping, (guint)i);
}
