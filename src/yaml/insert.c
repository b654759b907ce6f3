/* New pairs and items. A new pair follows the last of its mapping, before any comment below it, but
 * behind comments that are moved in deeper: they speak of what stands above. */
#include "edit.h"

#include <string.h>

static void
append_spaces(GString *text, guint n)
{
  for (guint i = 0; i < n; i++)
    g_string_append_c(text, ' ');
}

/* An item behind its dash, which stands in `column`. */
static void
append_item(GString *text, const PwYamlContent *content, const char *line_end, guint column)
{
  enum { BEHIND_DASH = 2 };
  append_spaces(text, column);
  g_string_append(text, "- ");
  const gsize n_lines = content->on_one_line ? 0 : content->n_pairs;
  if (n_lines == 0)
    g_string_append(text, content->text);
  for (gsize i = 0; i < n_lines; i++) {
    g_autofree char *key = pw_yaml_dup_key(content->pairs[i].key, FALSE);
    if (i > 0) {
      g_string_append(text, line_end);
      append_spaces(text, column + BEHIND_DASH);
    }
    g_string_append_printf(text, "%s: %s", key, content->pairs[i].flow);
  }
}

/* "{a: {b: TEXT}}" for the steps from `from`; "TEXT" when there are none. */
static char *
flow_chain(const GArray *steps, guint from, const PwYamlContent *content)
{
  GString *text = g_string_new(NULL);
  for (guint i = from; i < steps->len; i++) {
    g_autofree char *key = pw_yaml_dup_key(pw_yaml_step_at(steps, i)->key, TRUE);
    g_string_append_printf(text, "{%s: ", key);
  }
  g_string_append_printf(text, content->as_list ? "[%s]" : "%s", content->text);
  for (guint i = from; i < steps->len; i++)
    g_string_append_c(text, '}');
  return g_string_free(text, FALSE);
}

/* The same as lines, each begun by `line_end` and moved in by `indent` and more; a list's item
 * under its key. */
static char *
block_chain(const PwYaml *yaml, const GArray *steps, guint from, const PwYamlContent *content,
            const char *line_end, guint indent)
{
  GString *text = g_string_new(NULL);
  const guint deeper = pw_yaml_step_for(yaml, PW_YAML_MAPPING);
  for (guint i = from; i < steps->len; i++, indent += deeper) {
    g_autofree char *key = pw_yaml_dup_key(pw_yaml_step_at(steps, i)->key, FALSE);
    g_string_append(text, line_end);
    append_spaces(text, indent);
    g_string_append_printf(text, "%s:", key);
  }
  if (content->as_list && from < steps->len)
    indent = indent - deeper + pw_yaml_step_for(yaml, PW_YAML_SEQUENCE);
  if (content->as_list) {
    g_string_append(text, line_end);
    append_item(text, content, line_end, indent);
  } else {
    g_string_append_printf(text, " %s", content->text);
  }
  return g_string_free(text, FALSE);
}

/* Puts `text` behind the last entry of a collection in brackets, or first. */
static void
insert_in_flow(PwYamlEdit *edit, const PwYamlNode *collection, const char *text)
{
  const guint n = collection->children->len;
  if (n == 0) {
    pw_yaml_edit_splice(edit, collection->start + 1, collection->start + 1, text);
    return;
  }
  const PwYamlNode *last = pw_yaml_node_child(collection, n - 1);
  const gsize at = last->end;
  /* A colon needs its blank, even with nothing behind it. */
  g_autofree char *continued =
      g_strconcat(pw_yaml_node_is_missing(last) ? " , " : ", ", text, NULL);
  pw_yaml_edit_splice(edit, at, at, continued);
}

static void
insert_pair_in_flow(PwYamlEdit *edit, const PwYamlNode *mapping, const GArray *steps, guint from,
                    const PwYamlContent *content)
{
  g_autofree char *chain = flow_chain(steps, from, content);
  /* Without its own braces: those of the mapping are there. */
  g_autofree char *pair = g_strndup(chain + 1, strlen(chain) - 2);
  insert_in_flow(edit, mapping, pair);
}

/* In a text that holds nothing yet but comments: at its end. */
static void
insert_pairs_at_end(PwYamlEdit *edit, const PwYaml *yaml, const GArray *steps,
                    const PwYamlContent *content)
{
  const char *line_end = pw_yaml_line_end_near(yaml, yaml->length);
  g_autofree char *chain = block_chain(yaml, steps, 0, content, line_end, 0);
  const gboolean on_new_line = pw_yaml_line_start(yaml, yaml->length) == yaml->length;
  g_autofree char *lines =
      g_strconcat(on_new_line ? chain + strlen(line_end) : chain, line_end, NULL);
  pw_yaml_edit_splice(edit, yaml->length, yaml->length, lines);
}

/* From the end of a line to that of the last comment line below it that is moved in more than
 * `column`, none other between. */
static gsize
behind_deeper_comments(const PwYaml *yaml, gsize at, guint column)
{
  for (;;) {
    const gsize start = pw_yaml_next_line(yaml, at), text = pw_yaml_skip_blanks(yaml, start);
    if (text >= yaml->length || yaml->text[text] != '#' || text - start <= column)
      return at;
    at = pw_yaml_line_end(yaml, text);
  }
}

static void
insert_pairs_in_block(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlNode *mapping,
                      const GArray *steps, guint from, const PwYamlContent *content)
{
  if (mapping->children->len == 0) {
    insert_pairs_at_end(edit, yaml, steps, content);
    return;
  }
  const guint column = pw_yaml_column_of(yaml, mapping);
  const gsize at = behind_deeper_comments(yaml, pw_yaml_line_end(yaml, mapping->end), column);
  g_autofree char *lines =
      block_chain(yaml, steps, from, content, pw_yaml_line_end_near(yaml, at), column);
  pw_yaml_edit_splice(edit, at, at, lines);
}

/* In place of a missing value: on the lines below its key, or in brackets where lines cannot be. */
static void
fill_missing(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found, const GArray *steps,
             const PwYamlContent *content)
{
  const gsize start = found->node->start;
  const gboolean is_plain_value = found->n_taken == steps->len && !content->as_list;
  if (found->in_flow || is_plain_value || found->parent->kind == PW_YAML_SEQUENCE) {
    g_autofree char *chain = flow_chain(steps, found->n_taken, content);
    g_autofree char *value = g_strconcat(" ", chain, NULL);
    pw_yaml_edit_splice(edit, start, start, value);
    return;
  }
  const PwYamlKind kind = found->n_taken == steps->len ? PW_YAML_SEQUENCE : PW_YAML_MAPPING;
  const gsize at = pw_yaml_line_end(yaml, start);
  const guint indent = pw_yaml_column_of(yaml, found->parent) + pw_yaml_step_for(yaml, kind);
  g_autofree char *lines =
      block_chain(yaml, steps, found->n_taken, content, pw_yaml_line_end_near(yaml, at), indent);
  pw_yaml_edit_splice(edit, at, at, lines);
}

/* Inserts what is missing of the path, and the content at its end. */
void
pw_yaml_insert(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found, const GArray *steps,
               const PwYamlContent *content)
{
  const PwYamlNode *node = found->node;
  if (pw_yaml_node_is_missing(node))
    fill_missing(edit, yaml, found, steps, content);
  else if (node->form == PW_YAML_FLOW)
    insert_pair_in_flow(edit, node, steps, found->n_taken, content);
  else
    insert_pairs_in_block(edit, yaml, node, steps, found->n_taken, content);
}

/* An empty list behind its key, which lines can take the place of: "[]" without a comment in it. */
static gboolean
gives_way_to_lines(const PwYaml *yaml, const PwYamlFound *found)
{
  const PwYamlNode *list = found->node;
  return list->form == PW_YAML_FLOW && list->children->len == 0 && found->parent &&
         found->parent->kind == PW_YAML_MAPPING && found->parent->form == PW_YAML_BLOCK &&
         list->end <= pw_yaml_line_end(yaml, list->lead);
}

static void
replace_empty_list(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                   const PwYamlContent *content)
{
  const gsize at = pw_yaml_line_end(yaml, found->node->end);
  const char *line_end = pw_yaml_line_end_near(yaml, at);
  GString *lines = g_string_new(line_end);
  const guint column =
      pw_yaml_column_of(yaml, found->parent) + pw_yaml_step_for(yaml, PW_YAML_SEQUENCE);
  append_item(lines, content, line_end, column);
  pw_yaml_edit_splice(edit, found->node->lead, found->node->end, NULL);
  pw_yaml_edit_splice(edit, at, at, lines->str);
  g_string_free(lines, TRUE);
}

void
pw_yaml_append_item(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlFound *found,
                    const PwYamlContent *content)
{
  const PwYamlNode *list = found->node;
  if (content->n_pairs > 0 && gives_way_to_lines(yaml, found)) {
    replace_empty_list(edit, yaml, found, content);
    return;
  }
  if (list->form == PW_YAML_FLOW) {
    insert_in_flow(edit, list, content->text);
    return;
  }
  const gsize at = pw_yaml_line_end(yaml, list->end);
  const char *line_end = pw_yaml_line_end_near(yaml, at);
  GString *lines = g_string_new(line_end);
  append_item(lines, content, line_end, pw_yaml_column_of(yaml, list));
  pw_yaml_edit_splice(edit, at, at, lines->str);
  g_string_free(lines, TRUE);
}
