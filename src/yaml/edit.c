/* Edits in place: a value set, an item appended, a pair or item removed.
 *
 * Only the bytes of the change are touched; comments, order, line ends and indentation of the rest
 * stay. Each edit is tried on a copy and believed only when that reads as it should. */
#include "edit.h"

#include <string.h>

static void
put(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found, const GArray *steps,
    const PwYamlContent *content)
{
  const gboolean is_there = found->n_taken == steps->len && !pw_yaml_node_is_missing(found->node);
  if (is_there)
    pw_yaml_replace(edit, yaml, found, content->text);
  else
    pw_yaml_insert(edit, yaml, found, steps, content);
}

/* One value of flow text as a node, or NULL with an error. */
static PwYamlNode *
read_flow(const PwYamlEdit *edit, const char *flow, GError **error)
{
  g_autofree char *listed = g_strdup_printf("[%s]", flow);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) read = pw_yaml_parse(listed, strlen(listed), NULL, complaints);
  if (!read) {
    pw_yaml_edit_refuse(edit, error, "%s", pw_complaints_peek(complaints, 0)->says);
    return NULL;
  }
  if (strpbrk(flow, "\r\n") || pw_yaml_node_n(read->root) != 1) {
    pw_yaml_edit_refuse(edit, error, "the new value is not one value on one line");
    return NULL;
  }
  return pw_yaml_node_dup(pw_yaml_node_child(read->root, 0));
}

/* A scalar that already says it is left as it is written. */
static gboolean
says_already(const PwYamlFound *found, const GArray *steps, const char *value)
{
  const PwYamlNode *node = found->node;
  return found->n_taken == steps->len && node->kind == PW_YAML_SCALAR && !node->cut &&
         !pw_yaml_node_is_missing(node) && g_str_equal(node->text, value);
}

gboolean
pw_yaml_set(PwYaml *yaml, const char *path, const char *value, PwYamlStyle style, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  PwYamlFound found;
  if (!g_utf8_validate(value, -1, NULL))
    return pw_yaml_edit_refuse(edit, error, "the new text is not UTF-8");
  if (!pw_yaml_follow(edit, yaml, steps, &found, error))
    return FALSE;
  if (says_already(&found, steps, value))
    return TRUE;
  const gboolean fills_item = found.parent && found.parent->kind == PW_YAML_SEQUENCE &&
                              pw_yaml_node_is_missing(found.node) && found.n_taken < steps->len;
  g_autofree char *text = pw_yaml_dup_scalar(value, style, found.in_flow || fills_item);
  const PwYamlContent content = {.text = text};
  put(edit, yaml, &found, steps, &content);
  pw_yaml_expect(edit, steps, pw_yaml_node_new_scalar(value, PW_YAML_PLAIN), FALSE);
  return pw_yaml_edit_apply(edit, error);
}

gboolean
pw_yaml_set_flow(PwYaml *yaml, const char *path, const char *flow, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  g_autoptr(PwYamlNode) wanted = read_flow(edit, flow, error);
  PwYamlFound found;
  if (!wanted || !pw_yaml_follow(edit, yaml, steps, &found, error))
    return FALSE;
  const PwYamlContent content = {.text = flow};
  put(edit, yaml, &found, steps, &content);
  pw_yaml_expect(edit, steps, g_steal_pointer(&wanted), FALSE);
  return pw_yaml_edit_apply(edit, error);
}

/* Whether the last item of a list is a mapping written a pair a line. */
static gboolean
ends_in_lines(const PwYamlNode *list)
{
  const guint n = list->kind == PW_YAML_SEQUENCE ? list->children->len : 0;
  const PwYamlNode *last = n > 0 ? pw_yaml_node_child(list, n - 1) : NULL;
  return last && last->kind == PW_YAML_MAPPING && last->form == PW_YAML_BLOCK;
}

static gboolean
append(PwYaml *yaml, const char *path, PwYamlContent *content, PwYamlManner manner, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  g_autoptr(PwYamlNode) wanted = read_flow(edit, content->text, error);
  PwYamlFound found;
  if (!wanted || !pw_yaml_follow(edit, yaml, steps, &found, error))
    return FALSE;
  const gboolean is_there = found.n_taken == steps->len && !pw_yaml_node_is_missing(found.node);
  if (is_there && found.node->kind != PW_YAML_SEQUENCE)
    return pw_yaml_edit_refuse(edit, error, "it is not a list");
  content->on_one_line =
      manner == PW_YAML_LIKE_THE_LAST && !(is_there && ends_in_lines(found.node));
  if (is_there)
    pw_yaml_append_item(edit, yaml, &found, content);
  else
    pw_yaml_insert(edit, yaml, &found, steps, content);
  pw_yaml_expect(edit, steps, g_steal_pointer(&wanted), TRUE);
  return pw_yaml_edit_apply(edit, error);
}

gboolean
pw_yaml_append(PwYaml *yaml, const char *path, const char *flow, GError **error)
{
  PwYamlContent content = {.text = flow, .as_list = TRUE};
  return append(yaml, path, &content, PW_YAML_LIKE_THE_LAST, error);
}

gboolean
pw_yaml_append_pairs(PwYaml *yaml, const char *path, const PwYamlPair *pairs, gsize n,
                     PwYamlManner manner, GError **error)
{
  g_autoptr(GString) flow = g_string_new("{");
  for (gsize i = 0; i < n; i++) {
    g_autofree char *key = pw_yaml_dup_key(pairs[i].key, TRUE);
    g_string_append_printf(flow, "%s%s: %s", i > 0 ? ", " : "", key, pairs[i].flow);
  }
  g_string_append_c(flow, '}');
  PwYamlContent content = {.text = flow->str, .as_list = TRUE, .pairs = pairs, .n_pairs = n};
  return append(yaml, path, &content, manner, error);
}

gboolean
pw_yaml_remove(PwYaml *yaml, const char *path, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  PwYamlFound found;
  if (!pw_yaml_follow(edit, yaml, steps, &found, error))
    return FALSE;
  if (found.n_taken < steps->len)
    return pw_yaml_edit_refuse(edit, error, "it is not there");
  pw_yaml_remove_entry(edit, yaml, &found, steps);
  pw_yaml_expect_removed(edit, steps);
  return pw_yaml_edit_apply(edit, error);
}
