/* Pairs and items taken out, with the comment at the end of their line. */
#include "edit.h"

static const PwYamlNode *
last_of_entry(const PwYamlNode *collection, guint place)
{
  return pw_yaml_node_child(collection,
                            collection->kind == PW_YAML_MAPPING ? 2 * place + 1 : place);
}

/* Where the pair or item begins: at its key, at its dash. */
static gsize
start_of_entry(const PwYamlNode *collection, guint place)
{
  if (collection->kind == PW_YAML_MAPPING)
    return pw_yaml_node_child(collection, 2 * place)->start;
  return pw_yaml_node_child(collection, place)->lead;
}

static void
remove_in_block(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found)
{
  const gsize start = start_of_entry(found->parent, found->place);
  gsize end = pw_yaml_next_line(yaml, found->node->end);
  if (pw_yaml_is_first_on_line(yaml, start)) {
    pw_yaml_edit_splice(edit, pw_yaml_line_start(yaml, start), end, NULL);
    return;
  }
  /* The first entry, behind the dash of its collection: the next one moves up there. */
  for (gsize next = end; next < yaml->length; next = pw_yaml_next_line(yaml, next)) {
    end = pw_yaml_skip_blanks(yaml, next);
    if (end < pw_yaml_line_end(yaml, next))
      break;
  }
  pw_yaml_edit_splice(edit, start, end, NULL);
}

/* Cuts [start, end) with the blanks and the comment behind it, and the line if nothing is left. */
static void
cut_with_comment(PwYamlEdit *edit, const PwYaml *yaml, gsize start, gsize end)
{
  gsize behind = pw_yaml_skip_blanks(yaml, end);
  const gsize line_end = pw_yaml_line_end(yaml, behind);
  if (yaml->text[behind] == '#')
    behind = line_end;
  if (behind == line_end && pw_yaml_is_first_on_line(yaml, start)) {
    start = pw_yaml_line_start(yaml, start);
    behind = pw_yaml_next_line(yaml, behind);
  }
  pw_yaml_edit_splice(edit, start, behind, NULL);
}

static void
remove_in_flow(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found)
{
  const gsize start = start_of_entry(found->parent, found->place);
  const gsize behind = pw_yaml_skip_to_token(yaml, found->node->end);
  const gboolean comma_follows = yaml->text[behind] == ',';
  if (comma_follows && pw_yaml_skip_blanks(yaml, found->node->end) == behind) {
    cut_with_comment(edit, yaml, start, behind + 1);
    return;
  }
  if (comma_follows) { /* on a later line, the comment of which is not ours */
    cut_with_comment(edit, yaml, start, found->node->end);
    pw_yaml_edit_splice(edit, behind, behind + 1, NULL);
    return;
  }
  const PwYamlNode *before = last_of_entry(found->parent, found->place - 1);
  const gsize comma = pw_yaml_skip_to_token(yaml, before->end);
  if (pw_yaml_skip_blanks(yaml, comma + 1) == start) {
    pw_yaml_edit_splice(edit, comma, found->node->end, NULL);
    return;
  }
  pw_yaml_edit_splice(edit, comma, comma + 1, NULL);
  cut_with_comment(edit, yaml, start, found->node->end);
}

/* The last entry gone, a block collection is written as an empty one, but the root as nothing. */
static void
remove_only_entry(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                  const GArray *steps)
{
  PwYamlFound collection;
  if (found->parent == yaml->root && found->parent->form == PW_YAML_BLOCK &&
      found->parent->kind == PW_YAML_MAPPING) {
    remove_in_block(edit, yaml, found);
    return;
  }
  g_autoptr(GArray) outer = g_array_new(FALSE, FALSE, sizeof(PwYamlStep));
  g_array_append_vals(outer, steps->data, steps->len - 1);
  pw_yaml_follow(edit, yaml, outer, &collection, NULL);
  pw_yaml_replace(edit, yaml, &collection, found->parent->kind == PW_YAML_MAPPING ? "{}" : "[]");
}

void
pw_yaml_remove_entry(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                     const GArray *steps)
{
  if (pw_yaml_node_n(found->parent) == 1)
    remove_only_entry(edit, yaml, found, steps);
  else if (found->parent->form == PW_YAML_FLOW)
    remove_in_flow(edit, yaml, found);
  else
    remove_in_block(edit, yaml, found);
}
