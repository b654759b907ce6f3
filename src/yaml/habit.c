/* The habits of a text, to be followed by what is put into it: line ends, indentation. */
#include "edit.h"

/* Columns by which a nested block is moved in where the text shows no habit of its own. */
enum { DEFAULT_STEP = 2 };

/* The line end used nearest to `at`. */
const char *
pw_yaml_line_end_near(const PwYaml *yaml, gsize at)
{
  gsize end = pw_yaml_line_end(yaml, at);
  const gsize start = pw_yaml_line_start(yaml, at);
  if (end == yaml->length && start > pw_yaml_bom(yaml))
    end = start - (start > 1 && yaml->text[start - 2] == '\r' ? 2 : 1);
  if (end == yaml->length || yaml->text[end] == '\n')
    return "\n";
  return yaml->text[end + 1] == '\n' ? "\r\n" : "\r";
}

/* What stands before a block collection is indentation and dashes, a byte a column. */
guint
pw_yaml_column_of(const PwYaml *yaml, const PwYamlNode *node)
{
  return (guint)(node->start - pw_yaml_line_start(yaml, node->start));
}

/* By how much block collections of `kind` are moved in under their keys: the first shows it. */
static gboolean
find_step(const PwYaml *yaml, const PwYamlNode *node, PwYamlKind kind, guint *step)
{
  if (node->kind == PW_YAML_SCALAR || node->form != PW_YAML_BLOCK)
    return FALSE;
  for (guint i = 0; i < node->children->len; i++) {
    const PwYamlNode *child = pw_yaml_node_child(node, i);
    const gboolean is_example =
        node->kind == PW_YAML_MAPPING && child->kind == kind && child->form == PW_YAML_BLOCK;
    if (is_example) {
      *step = pw_yaml_column_of(yaml, child) - pw_yaml_column_of(yaml, node);
      return TRUE;
    }
    if (find_step(yaml, child, kind, step))
      return TRUE;
  }
  return FALSE;
}

guint
pw_yaml_step_for(const PwYaml *yaml, PwYamlKind kind)
{
  guint step = DEFAULT_STEP;
  find_step(yaml, yaml->root, kind, &step);
  return step;
}

gboolean
pw_yaml_is_first_on_line(const PwYaml *yaml, gsize at)
{
  return pw_yaml_skip_blanks(yaml, pw_yaml_line_start(yaml, at)) == at;
}
