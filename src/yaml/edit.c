/* Edits in place: a value set, an item appended, a pair or item removed.
 *
 * Only the bytes of the change are touched; comments, order, line ends and indentation of the rest
 * stay. A new pair follows the last of its mapping, before any comment below it. */
#include "node.h"
#include "splice.h"

#include <string.h>

/* Columns by which a nested block is moved in where the text shows no habit of its own. */
enum { DEFAULT_STEP = 2 };

/* How far a path leads into the tree. */
typedef struct {
  const PwYamlNode *node,
      *parent;      /* the last node on the way, and what holds it, NULL for the root */
  guint place;      /* of `node` in its parent: item or pair */
  guint n_taken;    /* steps of the path that led to it */
  gboolean in_flow; /* `node` lies in brackets or is in brackets itself */
} Found;

/* What is put in: `text` as a value, or as the one item of a list where there is none yet. */
typedef struct {
  const char *text;
  gboolean as_list;
} Content;

/* ---- Along the path */

static const PwYamlStep *
step_at(const GArray *steps, guint i)
{
  return &g_array_index(steps, PwYamlStep, i);
}

static gboolean
follow_item(const PwYamlEdit *edit, Found *found, guint item, GError **error)
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
follow_key(const PwYamlEdit *edit, Found *found, const char *key, GError **error)
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
static gboolean
follow(const PwYamlEdit *edit, const PwYaml *yaml, const GArray *steps, Found *found,
       GError **error)
{
  GError *wrong = NULL;
  *found = (Found){.node = yaml->root, .in_flow = yaml->root->form == PW_YAML_FLOW};
  while (found->n_taken < steps->len) {
    const PwYamlStep *step = step_at(steps, found->n_taken);
    const gboolean led = step->key ? follow_key(edit, found, step->key, &wrong)
                                   : follow_item(edit, found, step->item, &wrong);
    if (!led)
      break;
    found->n_taken++;
    found->in_flow = found->in_flow || found->node->form == PW_YAML_FLOW;
  }
  for (guint i = found->n_taken; i < steps->len && !wrong; i++) {
    if (!step_at(steps, i)->key)
      pw_yaml_edit_refuse(edit, &wrong, "there is no list to take an item of");
  }
  if (wrong)
    g_propagate_error(error, wrong);
  return wrong == NULL;
}

/* ---- What the tree must become */

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
static void
expect(PwYamlEdit *edit, const GArray *steps, PwYamlNode *wanted, gboolean as_list)
{
  PwYamlNode *node = pw_yaml_edit_peek_expected(edit);
  for (guint i = 0; i < steps->len; i++) {
    const PwYamlStep *step = step_at(steps, i);
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

static void
expect_removed(PwYamlEdit *edit, const GArray *steps)
{
  PwYamlNode *node = pw_yaml_edit_peek_expected(edit);
  for (guint i = 0; i + 1 < steps->len; i++) {
    const PwYamlStep *step = step_at(steps, i);
    node = step->key ? expect_key(node, step->key) : pw_yaml_node_child(node, step->item);
  }
  const PwYamlStep *last = step_at(steps, steps->len - 1);
  if (last->key)
    g_ptr_array_remove_range(node->children, 2 * (guint)pw_yaml_node_find(node, last->key), 2);
  else
    g_ptr_array_remove_index(node->children, last->item);
}

/* ---- The habits of the text around */

/* The line end used nearest to `at`. */
static const char *
line_end_near(const PwYaml *yaml, gsize at)
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
static guint
column_of(const PwYaml *yaml, const PwYamlNode *node)
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
      *step = column_of(yaml, child) - column_of(yaml, node);
      return TRUE;
    }
    if (find_step(yaml, child, kind, step))
      return TRUE;
  }
  return FALSE;
}

static guint
step_for(const PwYaml *yaml, PwYamlKind kind)
{
  guint step = DEFAULT_STEP;
  find_step(yaml, yaml->root, kind, &step);
  return step;
}

static gboolean
is_first_on_line(const PwYaml *yaml, gsize at)
{
  return pw_yaml_skip_blanks(yaml, pw_yaml_line_start(yaml, at)) == at;
}

/* ---- New text */

static void
append_spaces(GString *text, guint n)
{
  for (guint i = 0; i < n; i++)
    g_string_append_c(text, ' ');
}

/* "{a: {b: TEXT}}" for the steps from `from`; "TEXT" when there are none. */
static char *
flow_chain(const GArray *steps, guint from, const Content *content)
{
  GString *text = g_string_new(NULL);
  for (guint i = from; i < steps->len; i++) {
    g_autofree char *key = pw_yaml_dup_key(step_at(steps, i)->key, TRUE);
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
block_chain(const PwYaml *yaml, const GArray *steps, guint from, const Content *content,
            const char *line_end, guint indent)
{
  GString *text = g_string_new(NULL);
  const guint deeper = step_for(yaml, PW_YAML_MAPPING);
  for (guint i = from; i < steps->len; i++, indent += deeper) {
    g_autofree char *key = pw_yaml_dup_key(step_at(steps, i)->key, FALSE);
    g_string_append(text, line_end);
    append_spaces(text, indent);
    g_string_append_printf(text, "%s:", key);
  }
  if (content->as_list && from < steps->len)
    indent = indent - deeper + step_for(yaml, PW_YAML_SEQUENCE);
  if (content->as_list) {
    g_string_append(text, line_end);
    append_spaces(text, indent);
    g_string_append_c(text, '-');
  }
  g_string_append_printf(text, " %s", content->text);
  return g_string_free(text, FALSE);
}

/* ---- Insertion */

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
                    const Content *content)
{
  g_autofree char *chain = flow_chain(steps, from, content);
  /* Without its own braces: those of the mapping are there. */
  g_autofree char *pair = g_strndup(chain + 1, strlen(chain) - 2);
  insert_in_flow(edit, mapping, pair);
}

/* In a text that holds nothing yet but comments: at its end. */
static void
insert_pairs_at_end(PwYamlEdit *edit, const PwYaml *yaml, const GArray *steps,
                    const Content *content)
{
  const char *line_end = line_end_near(yaml, yaml->length);
  g_autofree char *chain = block_chain(yaml, steps, 0, content, line_end, 0);
  const gboolean on_new_line = pw_yaml_line_start(yaml, yaml->length) == yaml->length;
  g_autofree char *lines =
      g_strconcat(on_new_line ? chain + strlen(line_end) : chain, line_end, NULL);
  pw_yaml_edit_splice(edit, yaml->length, yaml->length, lines);
}

static void
insert_pairs_in_block(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlNode *mapping,
                      const GArray *steps, guint from, const Content *content)
{
  if (mapping->children->len == 0) {
    insert_pairs_at_end(edit, yaml, steps, content);
    return;
  }
  const gsize at = pw_yaml_line_end(yaml, mapping->end);
  g_autofree char *lines =
      block_chain(yaml, steps, from, content, line_end_near(yaml, at), column_of(yaml, mapping));
  pw_yaml_edit_splice(edit, at, at, lines);
}

/* In place of a missing value: on the lines below its key, or in brackets where lines cannot be. */
static void
fill_missing(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const GArray *steps,
             const Content *content)
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
  const guint indent = column_of(yaml, found->parent) + step_for(yaml, kind);
  g_autofree char *lines =
      block_chain(yaml, steps, found->n_taken, content, line_end_near(yaml, at), indent);
  pw_yaml_edit_splice(edit, at, at, lines);
}

/* Inserts what is missing of the path, and the content at its end. */
static void
insert(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const GArray *steps,
       const Content *content)
{
  const PwYamlNode *node = found->node;
  if (pw_yaml_node_is_missing(node))
    fill_missing(edit, yaml, found, steps, content);
  else if (node->form == PW_YAML_FLOW)
    insert_pair_in_flow(edit, node, steps, found->n_taken, content);
  else
    insert_pairs_in_block(edit, yaml, node, steps, found->n_taken, content);
}

static void
append_item(PwYamlEdit *edit, const PwYaml *yaml, const PwYamlNode *list, const char *text)
{
  if (list->form == PW_YAML_FLOW) {
    insert_in_flow(edit, list, text);
    return;
  }
  const gsize at = pw_yaml_line_end(yaml, list->end);
  GString *line = g_string_new(line_end_near(yaml, at));
  append_spaces(line, column_of(yaml, list));
  g_string_append_printf(line, "- %s", text);
  pw_yaml_edit_splice(edit, at, at, line->str);
  g_string_free(line, TRUE);
}

/* ---- Replacement */

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
replace_lines(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const char *text)
{
  const PwYamlNode *node = found->node;
  const gsize at = found->parent->kind == PW_YAML_SEQUENCE ? node->lead + 1 : node->lead;
  g_autofree char *value = g_strconcat(" ", text, NULL);
  pw_yaml_edit_splice(edit, at, at, value);
  pw_yaml_edit_splice(edit, pw_yaml_line_start(yaml, node->start),
                      pw_yaml_next_line(yaml, node->end), NULL);
}

static void
replace(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const char *text)
{
  const PwYamlNode *node = found->node;
  if (node->kind == PW_YAML_SCALAR && node->form == PW_YAML_BLOCK)
    replace_block_scalar(edit, yaml, node, text);
  else if (found->parent && node->form == PW_YAML_BLOCK && is_first_on_line(yaml, node->start))
    replace_lines(edit, yaml, found, text);
  else
    pw_yaml_edit_splice(edit, node->start, node->end, text);
}

static void
put(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const GArray *steps,
    const Content *content)
{
  const gboolean is_there = found->n_taken == steps->len && !pw_yaml_node_is_missing(found->node);
  if (is_there)
    replace(edit, yaml, found, content->text);
  else
    insert(edit, yaml, found, steps, content);
}

/* ---- Removal */

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
remove_in_block(PwYamlEdit *edit, const PwYaml *yaml, const Found *found)
{
  const gsize start = start_of_entry(found->parent, found->place);
  gsize end = pw_yaml_next_line(yaml, found->node->end);
  if (is_first_on_line(yaml, start)) {
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
  if (behind == line_end && is_first_on_line(yaml, start)) {
    start = pw_yaml_line_start(yaml, start);
    behind = pw_yaml_next_line(yaml, behind);
  }
  pw_yaml_edit_splice(edit, start, behind, NULL);
}

static void
remove_in_flow(PwYamlEdit *edit, const PwYaml *yaml, const Found *found)
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
remove_only_entry(PwYamlEdit *edit, const PwYaml *yaml, const Found *found, const GArray *steps)
{
  Found collection;
  if (found->parent == yaml->root && found->parent->form == PW_YAML_BLOCK &&
      found->parent->kind == PW_YAML_MAPPING) {
    remove_in_block(edit, yaml, found);
    return;
  }
  g_autoptr(GArray) outer = g_array_new(FALSE, FALSE, sizeof(PwYamlStep));
  g_array_append_vals(outer, steps->data, steps->len - 1);
  follow(edit, yaml, outer, &collection, NULL);
  replace(edit, yaml, &collection, found->parent->kind == PW_YAML_MAPPING ? "{}" : "[]");
}

/* ---- Public */

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
says_already(const Found *found, const GArray *steps, const char *value)
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
  Found found;
  if (!g_utf8_validate(value, -1, NULL))
    return pw_yaml_edit_refuse(edit, error, "the new text is not UTF-8");
  if (!follow(edit, yaml, steps, &found, error))
    return FALSE;
  if (says_already(&found, steps, value))
    return TRUE;
  const gboolean fills_item = found.parent && found.parent->kind == PW_YAML_SEQUENCE &&
                              pw_yaml_node_is_missing(found.node) && found.n_taken < steps->len;
  g_autofree char *text = pw_yaml_dup_scalar(value, style, found.in_flow || fills_item);
  const Content content = {.text = text};
  put(edit, yaml, &found, steps, &content);
  expect(edit, steps, pw_yaml_node_new_scalar(value, PW_YAML_PLAIN), FALSE);
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
  Found found;
  if (!wanted || !follow(edit, yaml, steps, &found, error))
    return FALSE;
  const Content content = {.text = flow};
  put(edit, yaml, &found, steps, &content);
  expect(edit, steps, g_steal_pointer(&wanted), FALSE);
  return pw_yaml_edit_apply(edit, error);
}

gboolean
pw_yaml_append(PwYaml *yaml, const char *path, const char *flow, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  g_autoptr(PwYamlNode) wanted = read_flow(edit, flow, error);
  Found found;
  if (!wanted || !follow(edit, yaml, steps, &found, error))
    return FALSE;
  const gboolean is_there = found.n_taken == steps->len && !pw_yaml_node_is_missing(found.node);
  if (is_there && found.node->kind != PW_YAML_SEQUENCE)
    return pw_yaml_edit_refuse(edit, error, "it is not a list");
  const Content content = {.text = flow, .as_list = TRUE};
  if (is_there)
    append_item(edit, yaml, found.node, flow);
  else
    insert(edit, yaml, &found, steps, &content);
  expect(edit, steps, g_steal_pointer(&wanted), TRUE);
  return pw_yaml_edit_apply(edit, error);
}

gboolean
pw_yaml_remove(PwYaml *yaml, const char *path, GError **error)
{
  g_autoptr(GArray) steps = pw_yaml_path_parse(path, error);
  if (!steps)
    return FALSE;
  g_autoptr(PwYamlEdit) edit = pw_yaml_edit_new(yaml, path);
  Found found;
  if (!follow(edit, yaml, steps, &found, error))
    return FALSE;
  if (found.n_taken < steps->len)
    return pw_yaml_edit_refuse(edit, error, "it is not there");
  if (pw_yaml_node_n(found.parent) == 1)
    remove_only_entry(edit, yaml, &found, steps);
  else if (found.parent->form == PW_YAML_FLOW)
    remove_in_flow(edit, yaml, &found);
  else
    remove_in_block(edit, yaml, &found);
  expect_removed(edit, steps);
  return pw_yaml_edit_apply(edit, error);
}
