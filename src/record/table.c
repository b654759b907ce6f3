/* The walk over a mapping by its table: every pair to its row, every missing row named, and the
 * table's own check last. The first character of what is wrong is where the complaint stands.
 */
#include "table.h"

#include <string.h>

enum {
  SHOWN_CHARACTERS = 48, /* of a value in a message */
  LISTED_WORDS = 16      /* a longer list of possible words helps nobody */
};

void
pw_fault(const PwReading *reading, const PwYamlNode *node, const char *kind, const char *format,
         ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  pw_yaml_complain(reading->yaml, node, reading->complaints, kind, PW_SEVERITY_ERROR, "%s", says);
}

void
pw_warn(const PwReading *reading, const PwYamlNode *node, const char *kind, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  pw_yaml_complain(reading->yaml, node, reading->complaints, kind, PW_SEVERITY_WARNING, "%s", says);
}

char *
pw_dup_shown(const char *text)
{
  g_autofree char *printable = pw_dup_printable(text);
  if (g_utf8_strlen(printable, -1) <= SHOWN_CHARACTERS)
    return g_strdup_printf("\"%s\"", printable);
  g_autofree char *start = g_utf8_substring(printable, 0, SHOWN_CHARACTERS);
  return g_strdup_printf("\"%s...\"", start);
}

char *
pw_dup_advice(const char *word, const char *const *words)
{
  const char *nearest = pw_nearest_word(word, words);
  if (nearest != NULL)
    return g_strdup_printf("; did you mean \"%s\"?", nearest);
  GString *advice = g_string_new("; write one of: ");
  for (gsize i = 0; words[i] != NULL; i++) {
    if (i == LISTED_WORDS) {
      g_string_append(advice, ", ...");
      break;
    }
    g_string_append_printf(advice, "%s%s", i > 0 ? ", " : "", words[i]);
  }
  return g_string_free(advice, FALSE);
}

gboolean
pw_is_empty(const PwYamlNode *node)
{
  const char *text = pw_yaml_node_peek_text(node);
  return text != NULL && text[0] == '\0' && pw_yaml_node_is_plain(node);
}

const PwYamlNode *
pw_given(const PwYamlNode *mapping, const char *key)
{
  const PwYamlNode *node = pw_yaml_node_get(mapping, key);
  return node == NULL || pw_is_empty(node) ? NULL : node;
}

const PwField *
pw_table_find(const PwTable *table, const char *key)
{
  for (gsize i = 0; i < table->n_fields; i++)
    if (strcmp(table->fields[i].key, key) == 0)
      return &table->fields[i];
  return NULL;
}

/* A comma in unquoted text inside braces makes a key of what follows it: that is told apart. */
static void
complain_of_key(const PwReading *reading, const PwTable *table, const PwYamlNode *key,
                const PwYamlNode *value)
{
  const char *word = pw_yaml_node_peek_text(key);
  g_autofree char *shown = pw_dup_shown(word);
  if (reading->later_minor) {
    pw_warn(reading, key, "unknown key",
            "%s is a key of a later format and is not used; it is kept as it stands", shown);
    return;
  }
  if (pw_is_empty(value) && pw_yaml_node_is_cut(value)) {
    pw_fault(reading, key, "unknown key",
             "%s is no key of %s; if it belongs to the text before it, put it in quotes", shown,
             table->what);
    return;
  }
  g_autofree const char **keys = g_new0(const char *, table->n_fields + 1);
  for (gsize i = 0; i < table->n_fields; i++)
    keys[i] = table->fields[i].key;
  g_autofree char *advice = pw_dup_advice(word, keys);
  pw_fault(reading, key, "unknown key", "%s is no key of %s%s", shown, table->what, advice);
}

static void
read_pair(const PwReading *reading, const PwTable *table, const PwYamlNode *key,
          const PwYamlNode *value, void *record)
{
  const char *word = pw_yaml_node_peek_text(key);
  if (word == NULL) {
    pw_fault(reading, key, "unknown key", "a key must be a word; take away the brackets");
    return;
  }
  const PwField *field = pw_table_find(table, word);
  if (field == NULL)
    complain_of_key(reading, table, key, value);
  else if (!pw_is_empty(value) ||
           (pw_yaml_node_is_cut(value) && field->type->shape < PW_SHAPE_LIST))
    field->type->read(reading, field, value, record);
}

static void
require(const PwReading *reading, const PwTable *table, const PwYamlNode *node)
{
  for (gsize i = 0; i < table->n_fields; i++) {
    const PwField *field = &table->fields[i];
    if (!field->required)
      continue;
    const PwYamlNode *value = pw_yaml_node_get(node, field->key);
    if (value == NULL || (pw_is_empty(value) && !pw_yaml_node_is_cut(value)))
      pw_fault(reading, node, "missing key", "%s has no \"%s\"; add it (%s)", table->what,
               field->key, field->type->name);
  }
}

void
pw_table_init(const PwTable *table, void *record)
{
  for (gsize i = 0; i < table->n_fields; i++)
    if (table->fields[i].type->init != NULL)
      table->fields[i].type->init(&table->fields[i], record);
}

void
pw_table_read(const PwReading *reading, const PwTable *table, const PwYamlNode *node, void *record)
{
  if (table->keeps_node)
    G_STRUCT_MEMBER(const PwYamlNode *, record, 0) = node;
  if (pw_yaml_node_kind(node) != PW_YAML_MAPPING) {
    pw_fault(reading, node, "not a mapping",
             "%s is written as keys and values; begin with \"%s: \"", table->what,
             table->fields[0].key);
    return;
  }
  for (guint i = 0; i < pw_yaml_node_n(node); i++)
    read_pair(reading, table, pw_yaml_node_key(node, i), pw_yaml_node_value(node, i), record);
  require(reading, table, node);
  if (table->check != NULL)
    table->check(reading, node, record);
}

void
pw_table_clear(const PwTable *table, void *record)
{
  for (gsize i = 0; i < table->n_fields; i++)
    if (table->fields[i].type->clear != NULL)
      table->fields[i].type->clear(&table->fields[i], record);
}

/* TRUE for "1.N" with N a whole number above 0, written without leading zeros. */
static gboolean
is_later_minor(const char *version)
{
  gint64 minor;
  return g_str_has_prefix(version, "1.") && g_ascii_isdigit(version[2]) && version[2] != '0' &&
         pw_parse_int(version + 2, &minor);
}

gboolean
pw_reading_begin(PwReading *reading, const PwYaml *yaml, const char *format,
                 PwComplaints *complaints)
{
  *reading = (PwReading){.yaml = yaml, .complaints = complaints};
  const PwYamlNode *root = pw_yaml_peek_root(yaml);
  if (pw_yaml_node_kind(root) != PW_YAML_MAPPING) {
    pw_fault(reading, root, "not a mapping",
             "this is not a text of the record; begin it with \"format: %s 1\"", format);
    return FALSE;
  }
  const PwYamlNode *node = pw_given(root, "format");
  if (node == NULL)
    return TRUE; /* the table asks for it, and the rest can still be judged */
  const char *text = pw_yaml_node_peek_text(node);
  if (text != NULL && g_str_has_prefix(text, format) && text[strlen(format)] == ' ') {
    const char *version = text + strlen(format) + 1;
    if (strcmp(version, "1") == 0)
      return TRUE;
    reading->later_minor = is_later_minor(version);
  }
  if (reading->later_minor) {
    pw_warn(reading, node, "later format",
            "written by a later Platewright; what this one does not know is kept but not used");
    return TRUE;
  }
  pw_fault(reading, node, "unknown format",
           "not a format that is read here; write \"%s 1\", or use the Platewright that wrote it",
           format);
  return FALSE;
}
