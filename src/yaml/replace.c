/* A new value in place of one that is there, on one line or many. */
#include "edit.h"

#include <string.h>

/* A comment on the header line of a block scalar stays, behind the new value. */
static void
replace_block_scalar(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlNode *node, const char *text)
{
  const gsize header_end = pw_yaml_line_end(yaml, node->start);
  gsize comment = node->start + strcspn(yaml->text + node->start, " \t\r\n");
  if (yaml->text[pw_yaml_skip_blanks(yaml, comment)] != '#')
    comment = header_end;
  pw_yaml_edit_splice(edit, node->start, comment, text);
  pw_yaml_edit_splice(edit, header_end, node->end, NULL);
}

/* A block of lines goes, and the new value stands behind the key or dash, before its comment. */
static void
replace_lines(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found, const char *text)
{
  const PwYamlNode *node = found->node;
  const gsize at = found->parent->kind == PW_YAML_SEQUENCE ? node->lead + 1 : node->lead;
  g_autofree char *value = g_strconcat(" ", text, NULL);
  pw_yaml_edit_splice(edit, at, at, value);
  pw_yaml_edit_splice(edit, pw_yaml_line_start(yaml, node->start),
                      pw_yaml_next_line(yaml, node->end), NULL);
}

void
pw_yaml_replace(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found, const char *text)
{
  const PwYamlNode *node = found->node;
  if (node->kind == PW_YAML_SCALAR && node->form == PW_YAML_BLOCK)
    replace_block_scalar(edit, yaml, node, text);
  else if (found->parent && node->form == PW_YAML_BLOCK &&
           pw_yaml_is_first_on_line(yaml, node->start))
    replace_lines(edit, yaml, found, text);
  else
    pw_yaml_edit_splice(edit, node->start, node->end, text);
}
