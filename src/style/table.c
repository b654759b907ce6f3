/* Tables of keys: one way to read every mapping of a style.
 */
#include "private.h"

int
pw_style_key_index(const PwStyleKey *keys, const char *name)
{
  for (int i = 0; keys[i].name != NULL; i++)
    if (g_str_equal(keys[i].name, name))
      return i;
  return -1;
}

void
pw_style_fault(const PwStyleReading *reading, const PwYamlNode *node, const char *kind,
               const char *format, ...)
{
  va_list values;
  va_start(values, format);
  g_autofree char *says = g_strdup_vprintf(format, values);
  va_end(values);
  pw_yaml_complain(reading->yaml, node, reading->complaints, kind, PW_SEVERITY_ERROR, "%s", says);
}

static void
complain_of_key(const PwStyleReading *reading, const PwYamlNode *node, const PwStyleKey *keys,
                const char *what)
{
  const char *word = pw_yaml_node_peek_text(node);
  g_autofree char *shown = pw_dup_printable(word != NULL ? word : "");
  g_autoptr(GStrvBuilder) builder = g_strv_builder_new();
  for (; keys->name != NULL; keys++)
    g_strv_builder_add(builder, keys->name);
  g_auto(GStrv) names = g_strv_builder_end(builder);
  const char *nearest = pw_nearest_word(shown, (const char *const *)names);
  if (nearest != NULL)
    pw_style_fault(reading, node, "unknown key", "\"%s\" is no key of %s; did you mean \"%s\"?",
                   shown, what, nearest);
  else
    pw_style_fault(reading, node, "unknown key", "\"%s\" is no key of %s; take it away", shown,
                   what);
}

static gboolean
is_known(const PwYamlNode *node, const PwStyleKey *keys)
{
  const char *word = pw_yaml_node_peek_text(node);
  return word != NULL && pw_style_key_index(keys, word) >= 0;
}

void
pw_style_read_keys(const PwStyleReading *reading, const PwYamlNode *node, const PwStyleKey *keys,
                   const char *what, void *into)
{
  if (pw_yaml_node_kind(node) != PW_YAML_MAPPING) {
    pw_style_fault(reading, node, "not a mapping", "%s is written as \"key: value\" lines", what);
    return;
  }
  for (const PwStyleKey *key = keys; key->name != NULL; key++) {
    const PwYamlNode *value = pw_yaml_node_get(node, key->name);
    if (value != NULL)
      key->read(reading, value, key, into);
  }
  for (guint i = 0; i < pw_yaml_node_n(node); i++)
    if (!is_known(pw_yaml_node_key(node, i), keys))
      complain_of_key(reading, pw_yaml_node_key(node, i), keys, what);
}
