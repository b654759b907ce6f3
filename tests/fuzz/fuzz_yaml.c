/* Fuzz target: any bytes as a text of the record. What reads is walked, complained of at every
 * place, and edited once; an edit must read back, one that is refused must have changed nothing. */
#include <platewright/yaml.h>

#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct {
  const PwYaml *yaml;
  GPtrArray *paths; /* of every node but the root */
  PwComplaints *complaints;
} Walk;

static char *
path_below(const char *path, const char *key, guint i)
{
  g_autofree char *step = key ? pw_yaml_dup_step(key) : g_strdup_printf("[%u]", i);
  return g_strconcat(path, *path ? "/" : "", step, NULL);
}

static void
walk(Walk *walked, const PwYamlNode *node, const char *path)
{
  guint line, column;
  pw_yaml_node_place(walked->yaml, node, &line, &column);
  g_assert(line > 0 && column > 0);
  const gboolean is_mapping = pw_yaml_node_kind(node) == PW_YAML_MAPPING;
  for (guint i = 0; i < pw_yaml_node_n(node); i++) {
    const char *key = is_mapping ? pw_yaml_node_peek_text(pw_yaml_node_key(node, i)) : NULL;
    char *below = path_below(path, key, i);
    g_ptr_array_add(walked->paths, below);
    walk(walked, is_mapping ? pw_yaml_node_value(node, i) : pw_yaml_node_item(node, i), below);
  }
  const char *text = pw_yaml_node_peek_text(node);
  for (gsize offset = 0; text && offset <= MIN(strlen(text), 20); offset++)
    pw_yaml_complain_at(walked->yaml, node, offset, walked->complaints, "fuzz", PW_SEVERITY_NOTE,
                        "%s", text);
}

static void
show_all(const PwComplaints *complaints)
{
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, i));
    g_assert(g_utf8_validate(text, -1, NULL));
  }
}

/* The edit that `choice` stands for. */
static gboolean
edit_once(PwYaml *yaml, const char *path, guint choice)
{
  g_autofree char *below = g_strconcat(path, *path ? "/" : "", "new/key", NULL);
  switch (choice % 7) {
  case 0:
    return pw_yaml_set(yaml, path, "a word, more", PW_YAML_AS_WORD, NULL);
  case 1:
    return pw_yaml_set(yaml, path, "prose: # \"so\"\n", PW_YAML_AS_PROSE, NULL);
  case 2:
    return pw_yaml_set(yaml, below, "x", PW_YAML_AS_WORD, NULL);
  case 3:
    return pw_yaml_set_flow(yaml, path, "{a: [1, \"2\"]}", NULL);
  case 4:
    return pw_yaml_append(yaml, path, "{id: 1}", NULL);
  case 5:
    return pw_yaml_append(yaml, below, "x", NULL);
  default:
    return pw_yaml_remove(yaml, path, NULL);
  }
}

static void
edit(PwYaml *yaml, const GPtrArray *paths, guint choice)
{
  const guint which = paths->len ? (choice / 7) % (paths->len + 1) : 0;
  const char *path = which < paths->len ? g_ptr_array_index(paths, which) : "new";
  g_autofree char *before = g_strdup(pw_yaml_peek_text(yaml, NULL));
  const gboolean done = edit_once(yaml, path, choice);
  gsize length;
  const char *after = pw_yaml_peek_text(yaml, &length);
  g_assert(strlen(after) == length);
  if (!done) {
    g_assert(g_str_equal(before, after));
    return;
  }
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) again = pw_yaml_parse(after, length, "again.yaml", complaints);
  g_assert(again && pw_complaints_n(complaints) == 0);
}

/* Any text comes back from its quotes. */
static void
quote(const char *text)
{
  g_autofree char *valid = g_utf8_make_valid(text, -1);
  g_autofree char *quoted = pw_yaml_dup_quoted(text);
  g_autofree char *pair = g_strconcat("k: ", quoted, NULL);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_parse(pair, strlen(pair), "quoted.yaml", complaints);
  g_assert(yaml);
  g_assert_cmpstr(pw_yaml_node_peek_text(pw_yaml_node_get(pw_yaml_peek_root(yaml), "k")), ==,
                  valid);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  g_autofree char *text = g_strndup((const char *)data, size);
  quote(text);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_parse((const char *)data, size, "fuzz.yaml", complaints);
  g_assert((yaml == NULL) == (pw_complaints_n(complaints) > 0));
  if (yaml) {
    g_autoptr(GPtrArray) paths = g_ptr_array_new_with_free_func(g_free);
    Walk walked = {.yaml = yaml, .paths = paths, .complaints = complaints};
    walk(&walked, pw_yaml_peek_root(yaml), "");
    edit(yaml, paths, g_str_hash(text));
  }
  show_all(complaints);
  return 0;
}
