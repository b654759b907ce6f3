/* Properties of edits, over random documents in every style that a hand may write: outside the
 * edited entry every byte stays, everything else reads as before, and the new value reads back.
 *
 * The generator knows where it wrote what, so that nothing here rests on the reader's own idea of
 * places. */
#include <platewright/yaml.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { N_DOCUMENTS = 1500, DEPTH = 4 };

/* One value as it was written. A value on many lines ends before its last line end. */
typedef struct {
  char *path;
  char *text; /* a scalar's content; NULL for a collection */
  PwYamlKind kind;
  gsize entry, start, end; /* its key or dash; its own first byte; behind its last */
  guint n;                 /* entries of a collection */
} Entry;

typedef struct {
  GRand *random;
  GString *text;
  GPtrArray *entries;
  const char *line_end;
  guint n_comments;
} Document;

static guint
dice(const Document *document, guint n)
{
  return (guint)g_rand_int_range(document->random, 0, (gint32)n);
}

static void
entry_free(gpointer data)
{
  Entry *entry = data;
  g_free(entry->path);
  g_free(entry->text);
  g_free(entry);
}

/* ---- Writing at random */

static void
write_spaces(Document *document, guint n)
{
  for (guint i = 0; i < n; i++)
    g_string_append_c(document->text, ' ');
}

static void
write_comment(Document *document)
{
  g_string_append_printf(document->text, "# <%u> ü: {", document->n_comments++);
}

static void
end_line(Document *document)
{
  if (dice(document, 4) == 0) {
    write_spaces(document, 1 + dice(document, 3));
    write_comment(document);
  }
  g_string_append(document->text, document->line_end);
  if (dice(document, 8) == 0)
    g_string_append(document->text, document->line_end);
  if (dice(document, 8) == 0) {
    write_spaces(document, dice(document, 9));
    write_comment(document);
    g_string_append(document->text, document->line_end);
  }
}

static void
write_in_many_lines(Document *document, Entry *entry, guint indent)
{
  GString *text = document->text;
  const char *line_end = document->line_end;
  switch (dice(document, 4)) {
  case 0:
    g_string_append_printf(text, "one%s%*stwo, three", line_end, (int)indent + 1, "");
    entry->text = g_strdup("one two, three");
    break;
  case 1:
    g_string_append_printf(text, "\"öne \\\"%s%s%*s two\"", line_end, line_end, (int)indent + 2,
                           "");
    entry->text = g_strdup("öne \"\ntwo");
    break;
  case 2:
    g_string_append_printf(text, "|%s%*sone # kept%s%s%*s two", line_end, (int)indent + 1, "",
                           line_end, line_end, (int)indent + 1, "");
    entry->text = g_strdup("one # kept\n\n two\n");
    break;
  default:
    g_string_append_printf(text, ">-%s%*sone%s%*stwo", line_end, (int)indent + 3, "", line_end,
                           (int)indent + 3, "");
    entry->text = g_strdup("one two");
  }
}

static void
write_scalar(Document *document, Entry *entry, guint indent, gboolean in_flow)
{
  static const struct {
    const char *written, *content;
  } styles[] = {{"word", "word"},
                {"red rot", "red rot"},
                {"日本 ü", "日本 ü"},
                {"\"a \\\"b\\\" # c\"", "a \"b\" # c"},
                {"'it''s, so'", "it's, so"},
                {"\"\"", ""},
                {"\"\\u00e9\\n\"", "é\n"},
                {"-0.5e3", "-0.5e3"},
                {"a#b:c", "a#b:c"}};
  if (!in_flow && dice(document, 4) == 0) {
    write_in_many_lines(document, entry, indent);
    return;
  }
  const guint i = dice(document, G_N_ELEMENTS(styles));
  g_string_append(document->text, styles[i].written);
  entry->text = g_strdup(styles[i].content);
}

static Entry *
new_entry(Document *document, const char *parent, const char *step)
{
  Entry *entry = g_new0(Entry, 1);
  entry->path = *parent ? g_strconcat(parent, "/", step, NULL) : g_strdup(step);
  g_ptr_array_add(document->entries, entry);
  return entry;
}

/* A key as written; its step of a path comes back. */
static char *
write_key(Document *document, guint i)
{
  GString *text = document->text;
  switch (dice(document, 4)) {
  case 0:
    g_string_append_printf(text, "k%u", i);
    return g_strdup_printf("k%u", i);
  case 1:
    g_string_append_printf(text, "ключ %u", i);
    return g_strdup_printf("ключ %u", i);
  case 2:
    g_string_append_printf(text, "\"q: %u\"", i);
    return g_strdup_printf("q: %u", i);
  default:
    g_string_append_printf(text, "'a/%u'", i);
    return g_strdup_printf("a\\/%u", i);
  }
}

static void write_flow(Document *document, Entry *entry, guint depth);

static void
write_flow_value(Document *document, Entry *entry, guint depth)
{
  entry->start = document->text->len;
  if (depth < DEPTH && dice(document, 3) == 0)
    write_flow(document, entry, depth + 1);
  else
    write_scalar(document, entry, 0, TRUE);
  entry->end = document->text->len;
}

static void
write_flow_gap(Document *document)
{
  if (dice(document, 10) == 0) {
    g_string_append_c(document->text, ' ');
    write_comment(document);
    g_string_append(document->text, document->line_end);
    write_spaces(document, 12);
  } else {
    write_spaces(document, dice(document, 3));
  }
}

static void
write_flow(Document *document, Entry *entry, guint depth)
{
  const gboolean is_mapping = dice(document, 2) == 0;
  g_autofree char *path = g_strdup(entry->path);
  entry->kind = is_mapping ? PW_YAML_MAPPING : PW_YAML_SEQUENCE;
  entry->n = dice(document, 4);
  g_string_append_c(document->text, is_mapping ? '{' : '[');
  for (guint i = 0; i < entry->n; i++) {
    if (i > 0)
      g_string_append_c(document->text, ',');
    write_flow_gap(document);
    const gsize start = document->text->len;
    g_autofree char *step = is_mapping ? write_key(document, i) : g_strdup_printf("[%u]", i);
    if (is_mapping)
      g_string_append(document->text, ": ");
    Entry *child = new_entry(document, path, step);
    child->entry = start;
    write_flow_value(document, child, depth);
    if (dice(document, 10) == 0)
      write_flow_gap(document);
  }
  if (entry->n > 0 && dice(document, 8) == 0)
    g_string_append_c(document->text, ',');
  g_string_append_c(document->text, is_mapping ? '}' : ']');
}

static void write_block(Document *document, Entry *entry, guint depth, guint indent);

/* What stands behind a colon or dash, with its line end. */
static void
write_block_value(Document *document, Entry *entry, guint depth, guint indent)
{
  const gboolean nests = depth < DEPTH && dice(document, 3) == 0;
  if (nests) {
    end_line(document);
    write_block(document, entry, depth + 1, indent + 1 + dice(document, 4));
    return;
  }
  g_string_append_c(document->text, ' ');
  entry->start = document->text->len;
  if (dice(document, 3) == 0)
    write_flow(document, entry, depth + 1);
  else
    write_scalar(document, entry, indent + 1, FALSE);
  entry->end = document->text->len;
  if (entry->text && strchr(">|", document->text->str[entry->start]))
    g_string_append(document->text, document->line_end);
  else
    end_line(document);
}

static void
write_block(Document *document, Entry *entry, guint depth, guint indent)
{
  const gboolean is_mapping = depth == 0 || dice(document, 2) == 0;
  g_autofree char *path = g_strdup(entry->path);
  entry->kind = is_mapping ? PW_YAML_MAPPING : PW_YAML_SEQUENCE;
  entry->n = 1 + dice(document, 4);
  entry->start = document->text->len + indent;
  for (guint i = 0; i < entry->n; i++) {
    write_spaces(document, indent);
    const gsize start = document->text->len;
    g_autofree char *step = is_mapping ? write_key(document, i) : g_strdup_printf("[%u]", i);
    g_string_append_c(document->text, is_mapping ? ':' : '-');
    Entry *child = new_entry(document, path, step);
    child->entry = start;
    write_block_value(document, child, depth, indent);
    entry->end = child->end;
  }
}

static void
document_init(Document *document, guint32 number)
{
  document->random = g_rand_new_with_seed(number);
  document->text = g_string_new(NULL);
  document->entries = g_ptr_array_new_with_free_func(entry_free);
  document->line_end = dice(document, 3) == 0 ? "\r\n" : "\n";
  document->n_comments = 0;
  if (dice(document, 3) == 0)
    end_line(document);
  Entry *root = new_entry(document, "", "");
  write_block(document, root, 0, 0);
  if (dice(document, 4) == 0) { /* a last line without its end */
    while (strchr("\r\n", document->text->str[document->text->len - 1]))
      g_string_truncate(document->text, document->text->len - 1);
  }
}

static void
document_clear(Document *document)
{
  g_rand_free(document->random);
  g_string_free(document->text, TRUE);
  g_ptr_array_unref(document->entries);
}

/* ---- Looking at what came of it */

static const PwYamlNode *
look_up(const PwYaml *yaml, const char *path)
{
  const PwYamlNode *node = pw_yaml_peek_root(yaml);
  GString *step = g_string_new(NULL);
  for (const char *at = path; node && *path;) {
    g_string_truncate(step, 0);
    for (; *at && *at != '/'; at++) {
      if (*at == '\\')
        at++;
      g_string_append_c(step, *at);
    }
    const guint item = (guint)g_ascii_strtoull(step->str + 1, NULL, 10);
    if (pw_yaml_node_kind(node) == PW_YAML_SEQUENCE)
      node = item < pw_yaml_node_n(node) ? pw_yaml_node_item(node, item) : NULL;
    else
      node = pw_yaml_node_get(node, step->str);
    if (!*at)
      break;
    at++;
  }
  g_string_free(step, TRUE);
  return node;
}

static gboolean
lies_in(const char *path, const char *outer)
{
  return g_str_has_prefix(path, outer) &&
         (path[strlen(outer)] == '/' || path[strlen(outer)] == '\0');
}

/* Where `path` is found when item `removed` of its list is gone; NULL when it is what went. */
static char *
path_after_removal(const char *path, const char *removed)
{
  if (lies_in(path, removed))
    return NULL;
  const char *slash = strrchr(removed, '/');
  const char *step = slash ? slash + 1 : removed;
  const gsize n_before = (gsize)(step - removed);
  if (*step != '[' || strncmp(path, removed, n_before) != 0 || path[n_before] != '[')
    return g_strdup(path);
  const guint64 gone = g_ascii_strtoull(step + 1, NULL, 10);
  char *rest;
  const guint64 item = g_ascii_strtoull(path + n_before + 1, &rest, 10);
  if (item < gone)
    return g_strdup(path);
  return g_strdup_printf("%.*s[%u%s", (int)n_before, path, (guint)item - 1, rest);
}

/* Everything outside `changed` reads as it was written; `grown` has one entry more or less. */
static void
assert_rest_unchanged(const Document *document, const PwYaml *yaml, const char *changed,
                      const char *grown, gboolean removed)
{
  for (guint i = 0; i < document->entries->len; i++) {
    const Entry *entry = g_ptr_array_index(document->entries, i);
    if (changed && !removed && lies_in(entry->path, changed))
      continue;
    g_autofree char *path =
        removed ? path_after_removal(entry->path, changed) : g_strdup(entry->path);
    if (!path)
      continue;
    const PwYamlNode *node = look_up(yaml, path);
    assert_non_null(node);
    assert_int_equal(pw_yaml_node_kind(node), entry->kind);
    if (entry->text)
      assert_string_equal(pw_yaml_node_peek_text(node), entry->text);
    else if (!grown || !g_str_equal(grown, entry->path))
      assert_int_equal(pw_yaml_node_n(node), entry->n);
  }
}

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwYaml *yaml = pw_yaml_parse(text, strlen(text), "t.yaml", complaints);
  if (!yaml) {
    g_autofree char *says = pw_complaint_dup_text(pw_complaints_peek(complaints, 0));
    print_message("# %s\n%s\n", says, text);
  }
  assert_non_null(yaml);
  return yaml;
}

static void
assert_done(gboolean done, GError *const *error, const Document *document, const char *path)
{
  if (!done)
    print_message("# %s: %s\n%s\n", path, (*error)->message, document->text->str);
  assert_true(done);
}

static gsize
common_prefix(const char *a, const char *b)
{
  gsize n = 0;
  while (a[n] && a[n] == b[n])
    n++;
  return n;
}

static gsize
common_suffix(const char *a, const char *b)
{
  const gsize n_a = strlen(a), n_b = strlen(b);
  gsize n = 0;
  while (n < MIN(n_a, n_b) && a[n_a - 1 - n] == b[n_b - 1 - n])
    n++;
  return n;
}

static const Entry *
any_entry(const Document *document, gboolean (*wanted)(const Entry *))
{
  for (guint tries = 0; tries < 100; tries++) {
    const Entry *entry =
        g_ptr_array_index(document->entries, dice(document, document->entries->len));
    if (wanted(entry))
      return entry;
  }
  return NULL;
}

static gboolean
is_scalar(const Entry *entry)
{
  return entry->text != NULL;
}

static gboolean
is_mapping(const Entry *entry)
{
  return entry->kind == PW_YAML_MAPPING;
}

static gboolean
is_list(const Entry *entry)
{
  return entry->kind == PW_YAML_SEQUENCE;
}

static gboolean
is_not_root(const Entry *entry)
{
  return *entry->path != '\0';
}

static const char *
any_value(const Document *document)
{
  static const char *const values[] = {"after", "red rot, dry",  "a: b",        "",    "x # y",
                                       "[z",    "ü \"q\"\nnext", "10,20 30,40", "- a", "it's",
                                       "\\",    " padded "};
  return values[dice(document, G_N_ELEMENTS(values))];
}

static PwYamlStyle
any_style(const Document *document)
{
  return dice(document, 2) == 0 ? PW_YAML_AS_WORD : PW_YAML_AS_PROSE;
}

/* ---- The properties */

static void
setting_a_value_touches_only_it(const Document *document)
{
  const Entry *entry = any_entry(document, is_scalar);
  if (!entry)
    return;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  const char *value = any_value(document);
  assert_done(pw_yaml_set(yaml, entry->path, value, any_style(document), &error), &error, document,
              entry->path);
  const char *before = document->text->str, *after = pw_yaml_peek_text(yaml, NULL);
  assert_true(common_prefix(before, after) >= entry->start);
  assert_true(common_suffix(before, after) >= strlen(before) - entry->end);
  assert_string_equal(pw_yaml_node_peek_text(look_up(yaml, entry->path)), value);
  assert_rest_unchanged(document, yaml, entry->path, NULL, FALSE);
}

static void
assert_only_inserted(const Document *document, const PwYaml *yaml, gsize from)
{
  const char *before = document->text->str, *after = pw_yaml_peek_text(yaml, NULL);
  const gsize prefix = common_prefix(before, after);
  assert_true(strlen(after) > strlen(before));
  assert_true(prefix >= from);
  assert_true(prefix + common_suffix(before, after) >= strlen(before));
}

static void
a_missing_key_is_only_inserted(const Document *document)
{
  const Entry *entry = any_entry(document, is_mapping);
  if (!entry)
    return;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  const gboolean deep = dice(document, 3) == 0;
  g_autofree char *path =
      g_strconcat(entry->path, *entry->path ? "/" : "", deep ? "new: one/inner" : "new: one", NULL);
  const char *value = any_value(document);
  assert_done(pw_yaml_set(yaml, path, value, any_style(document), &error), &error, document, path);
  assert_only_inserted(document, yaml, entry->start);
  assert_string_equal(pw_yaml_node_peek_text(look_up(yaml, path)), value);
  assert_int_equal(pw_yaml_node_n(look_up(yaml, entry->path)), entry->n + 1);
  assert_rest_unchanged(document, yaml, NULL, entry->path, FALSE);
}

static void
an_item_is_only_appended(const Document *document)
{
  const Entry *entry = any_entry(document, is_list);
  if (!entry)
    return;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  assert_done(pw_yaml_append(yaml, entry->path, "{x: [1, \"2\"]}", &error), &error, document,
              entry->path);
  assert_only_inserted(document, yaml, entry->start);
  g_autofree char *last = g_strdup_printf("%s/[%u]/x/[1]", entry->path, entry->n);
  assert_string_equal(pw_yaml_node_peek_text(look_up(yaml, last)), "2");
  assert_rest_unchanged(document, yaml, NULL, entry->path, FALSE);
}

/* All comments but those inside the entry, to the end of its last line. */
static void
assert_comments_kept(const Document *document, const Entry *entry, const char *after)
{
  const char *before = document->text->str;
  const char *line_end = before + entry->end + strcspn(before + entry->end, "\r\n");
  for (guint i = 0; i < document->n_comments; i++) {
    g_autofree char *comment = g_strdup_printf("# <%u> ", i);
    const char *at = strstr(before, comment);
    const gboolean may_go = at >= before + entry->entry && at <= line_end;
    if (!may_go && !strstr(after, comment))
      print_message("# lost %s, changing %s of\n%s\n# gave\n%s\n", comment, entry->path, before,
                    after);
    assert_true(may_go || strstr(after, comment));
  }
}

/* What is left stood there before, in that order. */
static void
assert_only_removed(const Document *document, const Entry *entry, const PwYaml *yaml)
{
  const char *after = pw_yaml_peek_text(yaml, NULL);
  assert_comments_kept(document, entry, after);
  for (const char *at = after, *from = document->text->str; *at; at++, from++) {
    while (*from && *from != *at)
      from++;
    assert_true(*from != '\0');
  }
}

static void
a_value_of_any_kind_is_only_replaced(const Document *document)
{
  const Entry *entry = any_entry(document, is_not_root);
  g_autoptr(GError) error = NULL;
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  assert_done(pw_yaml_set_flow(yaml, entry->path, "[x, {y: \"z\"}]", &error), &error, document,
              entry->path);
  const char *after = pw_yaml_peek_text(yaml, NULL);
  assert_comments_kept(document, entry, after);
  assert_true(common_prefix(document->text->str, after) >= entry->entry);
  g_autofree char *inner = g_strconcat(entry->path, "/[1]/y", NULL);
  assert_string_equal(pw_yaml_node_peek_text(look_up(yaml, inner)), "z");
  assert_rest_unchanged(document, yaml, entry->path, NULL, FALSE);
}

static gboolean
is_only_entry(const Document *document, const Entry *entry)
{
  const char *slash = strrchr(entry->path, '/');
  g_autofree char *parent = g_strndup(entry->path, slash ? (gsize)(slash - entry->path) : 0);
  if (slash && slash[-1] == '\\') /* the slash of the key itself */
    return TRUE;
  for (guint i = 0; i < document->entries->len; i++) {
    const Entry *other = g_ptr_array_index(document->entries, i);
    if (g_str_equal(other->path, parent))
      return other->n == 1;
  }
  return TRUE;
}

/* The one thing that cannot be done: an indented comment below the entry would become a line of the
 * block scalar above it. Then nothing may have changed. */
static void
assert_refused_rightly(const Document *document, const Entry *entry, const PwYaml *yaml)
{
  const char *before = document->text->str;
  assert_string_equal(pw_yaml_peek_text(yaml, NULL), before);
  const char *below = before + entry->end + strcspn(before + entry->end, "\r\n");
  below += strspn(below, "\r\n ");
  g_autofree char *above = g_strndup(before, entry->entry);
  const gboolean block_above =
      strstr(above, ": |") || strstr(above, ": >") || strstr(above, "- |") || strstr(above, "- >");
  assert_true(block_above && *below == '#');
}

static void
an_entry_is_only_removed(const Document *document)
{
  const Entry *entry = any_entry(document, is_not_root);
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  if (!pw_yaml_remove(yaml, entry->path, NULL)) {
    assert_refused_rightly(document, entry, yaml);
    return;
  }
  if (is_only_entry(document, entry)) /* its collection is written anew, as {} or [] */
    return;
  assert_only_removed(document, entry, yaml);
  g_autofree char *parent = g_path_get_dirname(entry->path);
  assert_rest_unchanged(document, yaml, entry->path, g_str_equal(parent, ".") ? "" : parent, TRUE);
}

static void
what_was_written_is_read(const Document *document)
{
  g_autoptr(PwYaml) yaml = parse(document->text->str);
  assert_rest_unchanged(document, yaml, NULL, NULL, FALSE);
}

static void
for_all_documents(void (*property)(const Document *document))
{
  for (guint32 number = 0; number < N_DOCUMENTS; number++) {
    Document document;
    document_init(&document, number);
    property(&document);
    document_clear(&document);
  }
}

#define property_test(property)             \
  static void test_##property(void **state) \
  {                                         \
    (void)state;                            \
    for_all_documents(property);            \
  }

property_test(what_was_written_is_read) property_test(setting_a_value_touches_only_it)
    property_test(a_missing_key_is_only_inserted) property_test(an_item_is_only_appended)
        property_test(a_value_of_any_kind_is_only_replaced) property_test(an_entry_is_only_removed)

            int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_what_was_written_is_read),
      cmocka_unit_test(test_setting_a_value_touches_only_it),
      cmocka_unit_test(test_a_missing_key_is_only_inserted),
      cmocka_unit_test(test_an_item_is_only_appended),
      cmocka_unit_test(test_a_value_of_any_kind_is_only_replaced),
      cmocka_unit_test(test_an_entry_is_only_removed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
