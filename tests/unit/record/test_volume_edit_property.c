/* Random edits of random texts of volume.yaml: what the text says afterwards is what a plain table
 * in memory says, and no entry that is not concerned has changed a byte.
 */
#include "fixtures.h"

#include "record/volume_edit.h"

#include <stdio.h>
#include <string.h>

enum { TEXTS = 80, CALLS = 30, SEED = 20260309, MOST_ENTRIES = 5, MOST_EDITS = 12 };

/* ---- What a text says, read without the code under test ---------------------------- */

/* An entry: its keys to their texts, joined by line feeds; and its own bytes. */
typedef struct {
  GHashTable *says;
  char *bytes;
  gboolean is_gone, is_concerned;
} Entry;

typedef struct {
  const char *list; /* NULL: the keys of the text itself */
  GPtrArray *entries;
} List;

static const char *const list_names[] = {NULL,        "pieces",         "tests",
                                         "decisions", "estimate/lines", "treatment"};
enum { LISTS = G_N_ELEMENTS(list_names) };
typedef struct {
  List lists[LISTS];
} Told;

static void
entry_free(gpointer data)
{
  Entry *entry = data;
  g_hash_table_unref(entry->says);
  g_free(entry->bytes);
  g_free(entry);
}

static Entry *
add_entry(List *list)
{
  Entry *entry = g_new0(Entry, 1);
  entry->says = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  g_ptr_array_add(list->entries, entry);
  return entry;
}

static void
told_free(Told *told)
{
  for (gsize i = 0; i < LISTS; i++)
    g_ptr_array_unref(told->lists[i].entries);
  g_free(told);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Told, told_free)

static char *
dup_texts(const PwYamlNode *node)
{
  if (pw_yaml_node_kind(node) == PW_YAML_SCALAR)
    return g_strdup(pw_yaml_node_peek_text(node));
  g_autoptr(GString) all = g_string_new(NULL);
  for (guint i = 0; i < pw_yaml_node_n(node); i++)
    g_string_append_printf(all, "%s%s", i ? "\n" : "",
                           pw_yaml_node_peek_text(pw_yaml_node_item(node, i)));
  return g_strdup(all->str);
}

static void
tell(Entry *entry, const char *above, const PwYamlNode *mapping)
{
  for (guint i = 0; i < pw_yaml_node_n(mapping); i++) {
    const PwYamlNode *value = pw_yaml_node_value(mapping, i);
    const char *key = pw_yaml_node_peek_text(pw_yaml_node_key(mapping, i));
    g_autofree char *path = g_strconcat(above, *above ? "/" : "", key, NULL);
    if (pw_yaml_node_kind(value) == PW_YAML_MAPPING)
      tell(entry, path, value);
    else if (pw_yaml_node_kind(value) == PW_YAML_SCALAR || pw_yaml_node_n(value) == 0 ||
             pw_yaml_node_kind(pw_yaml_node_item(value, 0)) == PW_YAML_SCALAR)
      g_hash_table_insert(entry->says, g_strdup(path), dup_texts(value));
  }
}

/* From the first byte of the node's to the end of its last line, without a comment there. */
static char *
dup_bytes(const PwYaml *yaml, const PwYamlNode *node)
{
  g_auto(GStrv) lines = g_strsplit(pw_yaml_peek_text(yaml, NULL), "\n", -1);
  guint first, last, column;
  pw_yaml_node_place(yaml, node, &first, &column);
  pw_yaml_node_place(yaml, pw_yaml_node_value(node, pw_yaml_node_n(node) - 1), &last, &column);
  g_autoptr(GString) all = g_string_new(NULL);
  for (guint i = first; i <= last; i++)
    g_string_append_printf(all, "%s\n", lines[i - 1]);
  return g_strdup(all->str);
}

static Told *
told_by(const PwYaml *yaml)
{
  Told *told = g_new0(Told, 1);
  for (gsize i = 0; i < LISTS; i++) {
    List *list = &told->lists[i];
    *list = (List){list_names[i], g_ptr_array_new_with_free_func(entry_free)};
    const PwYamlNode *node = pw_yaml_peek_root(yaml);
    if (list->list == NULL) {
      tell(add_entry(list), "", node);
      continue;
    }
    g_auto(GStrv) steps = g_strsplit(list->list, "/", -1);
    for (gsize j = 0; node && steps[j]; j++)
      node = pw_yaml_node_get(node, steps[j]);
    for (guint j = 0; node && j < pw_yaml_node_n(node); j++) {
      Entry *entry = add_entry(list);
      tell(entry, "", pw_yaml_node_item(node, j));
      entry->bytes = dup_bytes(yaml, pw_yaml_node_item(node, j));
    }
  }
  return told;
}

/* An empty list says as much as none. */
static char *
dup_told(const Told *told)
{
  g_autoptr(GString) all = g_string_new(NULL);
  for (gsize i = 0; i < LISTS; i++)
    for (guint j = 0; j < told->lists[i].entries->len; j++) {
      const Entry *entry = told->lists[i].entries->pdata[j];
      g_autoptr(GList) keys = g_list_sort(g_hash_table_get_keys(entry->says), (GCompareFunc)strcmp);
      if (entry->is_gone)
        continue;
      g_string_append_printf(all, "\n[%s]", list_names[i] ? list_names[i] : "");
      for (GList *at = keys; at; at = at->next) {
        const char *value = g_hash_table_lookup(entry->says, at->data);
        if (list_names[i] || *value)
          g_string_append_printf(all, " %s=<%s>", (char *)at->data, value);
      }
    }
  return g_strdup(all->str);
}

/* ---- Random edits, and the same on the table --------------------------------------- */

typedef struct {
  GArray *edits;  /* PwVolumeEdit */
  GPtrArray *own; /* char ** */
} Call;

static void
call_free(Call *call)
{
  g_array_unref(call->edits);
  g_ptr_array_unref(call->own);
  g_free(call);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Call, call_free)

/* `joined` NULL: the key goes; `key` NULL: the entry goes. */
static void
add(Call *call, const char *list, const char *name, const char *key, const char *joined)
{
  char **own = g_strsplit(name ? name : "", "\n", -1);
  char **values = joined ? g_strsplit(joined, "\n", -1) : NULL;
  g_ptr_array_add(call->own, own);
  if (values)
    g_ptr_array_add(call->own, values);
  const PwVolumeEdit edit = {list, list ? own[0] : NULL, key, (const char *const *)values};
  g_array_append_val(call->edits, edit);
}

static int
roll(GRand *random, int n)
{
  return g_rand_int_range(random, 0, n);
}

#define ONE_OF(words) words[roll(random, (int)G_N_ELEMENTS(words))]
static const char *const proses[] = {"plain",   "lost # 2 boards",
                                     "a: b",    "\"quoted\"",
                                     "it's",    "{x}",
                                     "- x",     "[1]",
                                     "~",       "é日\u2028",
                                     "tab\t",   "back\\slash",
                                     " x ",     "# x",
                                     "*a",      "&a",
                                     "no",      "1.50",
                                     "x\ty, z", "'"};
static const char *const dates[] = {"2026-03-02", "2026-12-31", "1999-01-01"};

typedef struct {
  gsize list;
  const char *key, *value; /* NULL: prose */
  gboolean is_list, may_go;
} Row;
static const Row rows[] = {{0, "purpose", NULL, FALSE, TRUE},
                           {0, "volume/title", NULL, FALSE, TRUE},
                           {0, "owner/name", NULL, FALSE, TRUE},
                           {0, "owner/contact", NULL, FALSE, TRUE},
                           {0, "care", NULL, TRUE, TRUE},
                           {0, "notes", NULL, TRUE, TRUE},
                           {0, "uncertainty/outline", "3", FALSE, TRUE},
                           {0, "estimate/tax", "21", FALSE, TRUE},
                           {1, "what", NULL, FALSE, FALSE},
                           {1, "kept", NULL, FALSE, TRUE},
                           {1, "outcome", "housed", FALSE, TRUE},
                           {2, "method", NULL, FALSE, FALSE},
                           {2, "on", "date", FALSE, TRUE},
                           {2, "consumed", "yes", FALSE, TRUE},
                           {3, "chosen", NULL, FALSE, FALSE},
                           {3, "options", NULL, TRUE, TRUE},
                           {3, "risk", NULL, FALSE, TRUE},
                           {4, "what", NULL, FALSE, FALSE},
                           {4, "cost", "12.50", FALSE, FALSE},
                           {5, "did", NULL, FALSE, FALSE},
                           {5, "photos", "a b.jpg", TRUE, TRUE},
                           {5, "differs", NULL, FALSE, TRUE}};

static char *
dup_random_value(GRand *random, const Row *row)
{
  g_autoptr(GString) all = g_string_new(NULL);
  const int n = row->is_list ? 1 + roll(random, 3) : 1;
  for (int i = 0; i < n; i++) {
    const char *value = row->value == NULL                ? ONE_OF(proses)
                        : g_str_equal(row->value, "date") ? ONE_OF(dates)
                                                          : row->value;
    g_string_append_printf(all, "%s%s", i ? "\n" : "", value);
  }
  return g_strdup(all->str);
}

/* One edit of an entry that is there or was begun by the same call; the same on the table. */
static void
change(GRand *random, Call *call, const List *list, const Row *row, Entry *entry, const char *name)
{
  entry->is_concerned = TRUE;
  const char *had = g_hash_table_lookup(entry->says, row->key);
  if (row->may_go && had && roll(random, 3) == 0) {
    add(call, list->list, name, row->key, NULL);
    g_hash_table_remove(entry->says, row->key);
    return;
  }
  g_autofree char *value = dup_random_value(random, row);
  add(call, list->list, name, row->key, value);
  g_hash_table_insert(entry->says, g_strdup(row->key), g_steal_pointer(&value));
}

static void
add_new(GRand *random, Call *call, List *list, int number)
{
  Entry *entry = add_entry(list);
  const gboolean is_piece = g_strcmp0(list->list, "pieces") == 0;
  g_autofree char *name =
      g_strdup_printf(is_piece ? "N%d" : "+%d", is_piece ? roll(random, 1 << 30) : number);
  if (is_piece) {
    g_hash_table_insert(entry->says, g_strdup("id"), g_strdup(name));
    g_hash_table_insert(entry->says, g_strdup("kind"), g_strdup("part"));
    add(call, list->list, name, "kind", "part");
  }
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (list_names[rows[i].list] == list->list && (!rows[i].may_go || roll(random, 2)))
      change(random, call, list, &rows[i], entry, name);
}

static void
random_edit(GRand *random, Call *call, Told *told, int number)
{
  const Row *row = &ONE_OF(rows);
  List *list = &told->lists[row->list];
  const int n = (int)list->entries->len;
  if (list->list && (n == 0 || roll(random, 4) == 0)) {
    add_new(random, call, list, number);
    return;
  }
  const int at = list->list ? roll(random, n) : 0;
  Entry *entry = list->entries->pdata[at];
  if (entry->is_gone || (entry->bytes == NULL && list->list))
    return; /* what is not there any more or not yet has no place */
  const char *id = g_hash_table_lookup(entry->says, "id");
  g_autofree char *name = id ? g_strdup(id) : g_strdup_printf("%d", at);
  if (list->list && roll(random, 4) == 0) {
    add(call, list->list, name, NULL, NULL);
    entry->is_gone = TRUE;
    return;
  }
  change(random, call, list, row, entry, name);
}

/* ---- Texts as hands write them ----------------------------------------------------- */

static void
append_entries(GRand *random, GString *text, gsize list, const char *in)
{
  static const char *const flow[] = {NULL,
                                     "{id: P%d, kind: part, what: 'x'}",
                                     "{method: m, result: \"r\"}",
                                     "{chosen: c, options: [a, b]}",
                                     "{what: w, cost: 1}",
                                     "{did: d, hours: 1.5}"};
  static const char *const lines[] = {NULL,
                                      "id: P%d # piece\n%s  kind: part\n%s  what: 'x'",
                                      "method: m\n%s  # how\n%s  result: \"r\"",
                                      "chosen: c\n%s  options:\n%s    - a",
                                      "what: w\n%s  # money\n%s  cost: 9.00",
                                      "did: d\n%s  photos:\n%s  - a.jpg"};
  const int n = roll(random, MOST_ENTRIES);
  for (int i = 0; i < n; i++) {
    const gboolean is_flow = roll(random, 2) != 0;
    g_string_append_printf(text, "%s- ", in);
    g_auto(GStrv) parts = g_strsplit(is_flow ? flow[list] : lines[list], "%d", -1);
    g_autofree char *number = g_strdup_printf("%d", i);
    g_autofree char *numbered = g_strjoinv(number, parts);
    g_auto(GStrv) indented = g_strsplit(numbered, "%s", -1);
    g_autofree char *all = g_strjoinv(in, indented);
    g_string_append_printf(text, "%s%s\n", all, is_flow && roll(random, 2) ? " # end" : "");
    if (roll(random, 4) == 0)
      g_string_append_printf(text, "%s# after %d\n", in, i);
  }
}

static char *
dup_random_text(GRand *random)
{
  g_autoptr(GString) text = g_string_new("format: platewright-volume 1 # what this is\n\n");
  g_string_append(text, roll(random, 2) ? "volume: {id: A1} # so\n"
                                        : "volume:\n    id: A1\n    # title: ?\n");
  if (roll(random, 2))
    g_string_append(text, "owner: {name: 'it''s'}\n# below it\n");
  if (roll(random, 2))
    g_string_append(text, "care:\n  - \"flat\" # 1\n  - 'dry'\n");
  for (gsize i = 1; i < LISTS; i++) {
    const gboolean is_estimate = strchr(list_names[i], '/') != NULL;
    const gsize before = text->len;
    g_string_append_printf(text, is_estimate ? "estimate:\n  currency: EUR\n  lines:\n" : "%s:\n",
                           list_names[i]);
    const gsize begun = text->len;
    append_entries(random, text, i, is_estimate || roll(random, 2) ? "    " : "");
    if (text->len == begun && !is_estimate)
      g_string_truncate(text, before);
  }
  if (roll(random, 3) == 0)
    g_string_truncate(text, text->len - 1);
  if (roll(random, 3) > 0)
    return g_strdup(text->str);
  g_auto(GStrv) lines = g_strsplit(text->str, "\n", -1);
  return g_strjoinv("\r\n", lines);
}

/* ---- The property ------------------------------------------------------------------ */

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwYaml *yaml = pw_yaml_parse(text, strlen(text), PW_VOLUME_FILE, complaints);
  assert_non_null(yaml);
  return yaml;
}

static void
assert_reads(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) volume = pw_volume_take_yaml(parse(text), complaints);
  if (pw_complaints_count(complaints, PW_SEVERITY_ERROR) == 0)
    return;
  g_autofree char *all = dup_all_complaints(complaints);
  fprintf(stderr, "%s\nin\n%s\n", all, text);
  fail();
}

/* Every entry that the call left alone stands in the new text byte for byte. */
static void
assert_others_stay(const Told *wanted, const char *after)
{
  g_autofree char *whole = g_strconcat(after, "\n", NULL); /* a last line may have got its end */
  for (gsize i = 1; i < LISTS; i++)
    for (guint j = 0; j < wanted->lists[i].entries->len; j++) {
      const Entry *entry = wanted->lists[i].entries->pdata[j];
      if (entry->is_gone || entry->is_concerned || entry->bytes == NULL)
        continue;
      g_autofree char *start = g_strndup(entry->bytes, strlen(entry->bytes) - 1);
      if (strstr(whole, start) == NULL)
        fail_msg("<%s> has changed in\n%s", start, after);
    }
}

static char *
dup_after_one(GRand *random, const char *text)
{
  g_autoptr(PwYaml) yaml = parse(text);
  g_autoptr(Told) wanted = told_by(yaml);
  g_autoptr(Call) call = g_new0(Call, 1);
  g_autoptr(GError) error = NULL;
  call->edits = g_array_new(FALSE, FALSE, sizeof(PwVolumeEdit));
  call->own = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev);
  for (int i = 1 + roll(random, MOST_EDITS); i > 0; i--)
    random_edit(random, call, wanted, i);
  if (!pw_volume_apply(yaml, (const PwVolumeEdit *)(const void *)call->edits->data,
                       call->edits->len, &error)) {
    fprintf(stderr, "%s\nin\n%s\n", error->message, text);
    fail();
  }
  g_autofree char *edited = g_strdup(pw_yaml_peek_text(yaml, NULL));
  g_autoptr(PwYaml) again = parse(edited);
  g_autoptr(Told) is = told_by(again);
  g_autofree char *got = dup_told(is), *asked = dup_told(wanted);
  if (!g_str_equal(got, asked)) {
    fprintf(stderr, "got\n%s\nnot\n%s\nin\n%s\nfrom\n%s\n", got, asked, edited, text);
    fail();
  }
  assert_reads(edited);
  assert_others_stay(wanted, edited);
  if (strstr(text, "\r\n"))
    for (const char *at = edited; (at = strchr(at, '\n')); at++)
      assert_true(at[-1] == '\r');
  return g_steal_pointer(&edited);
}

static void
any_edits_of_any_volume(void **state)
{
  (void)state;
  GRand *random = g_rand_new_with_seed(SEED);
  for (int i = 0; i < TEXTS; i++) {
    g_autofree char *text = dup_random_text(random);
    for (int j = 0; j < CALLS; j++) {
      char *next = dup_after_one(random, text);
      g_free(text);
      text = next;
    }
  }
  g_rand_free(random);
  print_message("# %d texts, %d calls of up to %d edits each\n", TEXTS, CALLS, MOST_EDITS);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(any_edits_of_any_volume)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
