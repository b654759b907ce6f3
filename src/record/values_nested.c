/* Values that are tables again: a mapping, a list of mappings, mappings by name.
 */
#include "values.h"

#include <string.h>

static void *
member(const PwField *field, void *record)
{
  return G_STRUCT_MEMBER_P(record, field->at);
}

static void
init_mapping(const PwField *field, void *record)
{
  pw_table_init(field->of, member(field, record));
}

static void
read_mapping(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  pw_table_read(reading, field->of, node, member(field, record));
}

static void
clear_mapping(const PwField *field, void *record)
{
  pw_table_clear(field->of, member(field, record));
}

const PwValueType pw_value_mapping = {.name = "keys",
                                      .shape = PW_SHAPE_KEYS,
                                      .init = init_mapping,
                                      .read = read_mapping,
                                      .clear = clear_mapping};

/* ---- Lists ------------------------------------------------------------------------- */

/* The array's pointer has a type of its own in every struct: it is moved byte by byte. */
static char *
get_entries(const PwField *field, void *record)
{
  char *entries;
  memcpy(&entries, member(field, record), sizeof entries);
  return entries;
}

static void
set_entries(const PwField *field, void *record, char *entries, gsize n)
{
  memcpy(member(field, record), &entries, sizeof entries);
  G_STRUCT_MEMBER(gsize, record, field->also) = n;
}

/* Zeroed structs of the table, each set to "not said". */
static char *
new_entries(const PwTable *table, guint n)
{
  char *entries = g_malloc0_n(n, table->size);
  for (guint i = 0; i < n; i++)
    pw_table_init(table, entries + i * table->size);
  return entries;
}

static void
clear_entries(const PwField *field, void *record)
{
  const PwTable *table = field->of;
  char *entries = get_entries(field, record);
  for (gsize i = 0; i < G_STRUCT_MEMBER(gsize, record, field->also); i++)
    pw_table_clear(table, entries + i * table->size);
  g_free(entries);
  set_entries(field, record, NULL, 0);
}

/* Every entry's `unique` key once; the second is complained of, the first one's place is named. */
static void
check_unique(const PwReading *reading, const PwTable *table, const PwYamlNode *list, guint n)
{
  g_autoptr(GHashTable) lines = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < n; i++) {
    const PwYamlNode *item = pw_yaml_node_item(list, i);
    const PwYamlNode *value =
        pw_yaml_node_kind(item) == PW_YAML_MAPPING ? pw_given(item, table->unique) : NULL;
    const char *text = value == NULL ? NULL : pw_yaml_node_peek_text(value);
    if (text == NULL)
      continue;
    guint line, column, first = GPOINTER_TO_UINT(g_hash_table_lookup(lines, text));
    pw_yaml_node_place(reading->yaml, value, &line, &column);
    if (first == 0) {
      g_hash_table_insert(lines, g_strdup(text), GUINT_TO_POINTER(line));
      continue;
    }
    g_autofree char *shown = pw_dup_shown(text);
    pw_fault(reading, value, "given twice",
             "%s %s stands on line %u already; give this one its own", table->unique, shown, first);
  }
}

static void
read_list(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const PwTable *table = field->of;
  if (pw_yaml_node_kind(node) != PW_YAML_SEQUENCE) {
    pw_fault(reading, node, "not a list", "\"%s\" is a list; begin each entry with \"- %s: \"",
             field->key, table->fields[0].key);
    return;
  }
  guint n = pw_yaml_node_n(node);
  if (n > PW_LIMIT_MARKS) {
    pw_fault(reading, pw_yaml_node_item(node, PW_LIMIT_MARKS), "too many",
             "\"%s\" has %u entries; at most %d are read", field->key, n, PW_LIMIT_MARKS);
    n = PW_LIMIT_MARKS;
  }
  char *entries = new_entries(table, n);
  for (guint i = 0; i < n; i++)
    pw_table_read(reading, table, pw_yaml_node_item(node, i), entries + i * table->size);
  clear_entries(field, record);
  set_entries(field, record, entries, n);
  if (table->unique != NULL)
    check_unique(reading, table, node, n);
}

const PwValueType pw_value_list = {
    .name = "list", .shape = PW_SHAPE_ENTRIES, .read = read_list, .clear = clear_entries};

/* ---- Mappings by name -------------------------------------------------------------- */

static void
clear_named(const PwField *field, void *record)
{
  const PwTable *table = field->of;
  char *entries = get_entries(field, record);
  for (gsize i = 0; i < G_STRUCT_MEMBER(gsize, record, field->also); i++)
    g_free(G_STRUCT_MEMBER(char *, entries + i * table->size, table->name_at));
  clear_entries(field, record);
}

static void
read_named(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const PwTable *table = field->of;
  if (pw_yaml_node_kind(node) != PW_YAML_MAPPING) {
    pw_fault(reading, node, "not a mapping", "\"%s\" goes by names; write NAME: {%s: ...}",
             field->key, table->fields[0].key);
    return;
  }
  guint n = MIN(pw_yaml_node_n(node), (guint)PW_LIMIT_MARKS);
  char *entries = new_entries(table, n);
  for (guint i = 0; i < n; i++) {
    char *entry = entries + i * table->size;
    const PwYamlNode *key = pw_yaml_node_key(node, i);
    const char *name = pw_yaml_node_peek_text(key);
    if (name == NULL || name[0] == '\0')
      pw_fault(reading, key, "not a word", "an entry of \"%s\" needs a name; write one",
               field->key);
    G_STRUCT_MEMBER(char *, entry, table->name_at) = g_strdup(name);
    pw_table_read(reading, table, pw_yaml_node_value(node, i), entry);
  }
  clear_named(field, record);
  set_entries(field, record, entries, n);
}

const PwValueType pw_value_named = {
    .name = "keys by name", .shape = PW_SHAPE_NAMED, .read = read_named, .clear = clear_named};
