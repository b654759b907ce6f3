/* Scalars written so that they read back: plain where that is sure, else in double quotes.
 *
 * Whether a plain text reads back is not guessed by a second grammar: it is read. */
#include "node.h"

#include <string.h>

static void
append_escaped(GString *quoted, gunichar character)
{
  const gunichar delete_character = 0x7F, last_c1 = 0x9F, byte_order_mark = 0xFEFF;
  const gboolean is_control =
      character < 0x20 || (character >= delete_character && character <= last_c1);
  const gboolean is_separator = character == 0x2028 || character == 0x2029;
  const gboolean is_noncharacter = character == 0xFFFE || character == 0xFFFF;
  if (character == '"' || character == '\\')
    g_string_append_printf(quoted, "\\%c", (char)character);
  else if (character == '\n')
    g_string_append(quoted, "\\n");
  else if (character == '\t')
    g_string_append(quoted, "\\t");
  else if (is_control)
    g_string_append_printf(quoted, "\\x%02X", character);
  else if (is_separator || is_noncharacter || character == byte_order_mark)
    g_string_append_printf(quoted, "\\u%04X", character);
  else
    g_string_append_unichar(quoted, character);
}

char *
pw_yaml_dup_quoted(const char *text)
{
  g_autofree char *valid = g_utf8_make_valid(text, -1);
  GString *quoted = g_string_new("\"");
  for (const char *at = valid; *at; at = pw_next_char(at))
    append_escaped(quoted, g_utf8_get_char(at));
  g_string_append_c(quoted, '"');
  return g_string_free(quoted, FALSE);
}

/* Whether `key: value`, in braces or not, reads as just that with both plain. */
static gboolean
pair_reads_back(const char *key, const char *value, gboolean in_flow)
{
  g_autofree char *text = g_strdup_printf(in_flow ? "{%s: %s}" : "%s: %s", key, value);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_parse(text, strlen(text), NULL, complaints);
  if (!yaml || yaml->root->kind != PW_YAML_MAPPING || pw_yaml_node_n(yaml->root) != 1)
    return FALSE;
  const PwYamlNode *read_key = pw_yaml_node_key(yaml->root, 0);
  const PwYamlNode *read_value = pw_yaml_node_value(yaml->root, 0);
  return pw_yaml_node_is_plain(read_key) && pw_yaml_node_is_plain(read_value) &&
         g_str_equal(read_key->text, key) && g_str_equal(read_value->text, value);
}

char *
pw_yaml_dup_scalar(const char *text, PwYamlStyle style, gboolean in_flow)
{
  if (style == PW_YAML_AS_WORD && *text && pair_reads_back("k", text, in_flow))
    return g_strdup(text);
  return pw_yaml_dup_quoted(text);
}

char *
pw_yaml_dup_flow(const char *text, PwYamlStyle style)
{
  return pw_yaml_dup_scalar(text, style, TRUE);
}

char *
pw_yaml_dup_key(const char *text, gboolean in_flow)
{
  return pair_reads_back(text, "v", in_flow) ? g_strdup(text) : pw_yaml_dup_quoted(text);
}
