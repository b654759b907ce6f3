/* Values of an edit as text. How a value is quoted is told by the tables that read it.
 */
#include "edit_plan.h"
#include "values.h"

#include <string.h>

PwYamlStyle
pw_style_of(const PwField *field, const char *value)
{
  if (field == NULL || !field->type->is_prose)
    return PW_YAML_AS_WORD;
  const gboolean is_usual = field->type == &pw_value_usual && g_strv_contains(field->of, value);
  return is_usual ? PW_YAML_AS_WORD : PW_YAML_AS_PROSE;
}

static gboolean
holds_points(const PwField *field)
{
  return field && (field->type == &pw_value_point || field->type == &pw_value_corners ||
                   field->type == &pw_value_points || field->type == &pw_value_rings);
}

/* Points with two decimals at most. What are no points stays, for the reader to complain of. */
char *
pw_dup_text_of(const PwField *field, const char *value)
{
  PwPxPath path = {0};
  gsize offset;
  if (!holds_points(field) || !pw_px_path_parse(value, &path, &offset, NULL))
    return g_strdup(value);
  char *text = pw_px_path_format(&path);
  pw_px_path_clear(&path);
  return text;
}

static char *
dup_flow(const PwField *field, const char *value)
{
  g_autofree char *text = pw_dup_text_of(field, value);
  return pw_yaml_dup_flow(text, pw_style_of(field, value));
}

/* "hx,hy tx,ty" as a mapping of as many points. */
static char *
dup_entry_flow(const PwTable *table, const char *value)
{
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  const gsize n = MIN(table->n_fields, g_strv_length(words));
  g_autoptr(GString) flow = g_string_new("{");
  for (gsize i = 0; i < n; i++) {
    g_autofree char *word = dup_flow(&table->fields[i], words[i]);
    g_string_append_printf(flow, "%s%s: %s", i > 0 ? ", " : "", table->fields[i].key, word);
  }
  g_string_append_c(flow, '}');
  return g_strdup(flow->str);
}

/* "L a b" as a list. */
static char *
dup_lab_flow(const PwField *field, const char *value)
{
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  for (char **word = words; *word; word++) {
    char *flow = dup_flow(field, *word);
    g_free(*word);
    *word = flow;
  }
  g_autofree char *all = g_strjoinv(", ", words);
  return g_strdup_printf("[%s]", all);
}

char *
pw_dup_item_flow(const PwField *field, const char *value)
{
  if (field->type->shape == PW_SHAPE_ENTRIES)
    return dup_entry_flow(field->of, value);
  return field->type == &pw_value_labs ? dup_lab_flow(field, value) : dup_flow(field, value);
}

/* One text may stand for a list of one; of prose that would hide that there may be more. */
gboolean
pw_is_single(const PwField *field, const char *const *values)
{
  const PwShapeOfValue shape = field ? field->type->shape : PW_SHAPE_TEXT;
  return shape == PW_SHAPE_TEXT ||
         (shape == PW_SHAPE_TEXTS && values[1] == NULL && !field->type->is_prose);
}

/* A whole value: one text, or a list in brackets. */
char *
pw_dup_value_flow(const PwField *field, const char *const *values)
{
  if (pw_is_single(field, values))
    return dup_flow(field, values[0]);
  g_autoptr(GString) flow = g_string_new("[");
  for (gsize i = 0; values[i] != NULL; i++) {
    g_autofree char *item = pw_dup_item_flow(field, values[i]);
    g_string_append_printf(flow, "%s%s", i > 0 ? ", " : "", item);
  }
  g_string_append_c(flow, ']');
  return g_strdup(flow->str);
}

gboolean
pw_holds_points_only(const PwTable *table)
{
  for (gsize i = 0; i < table->n_fields; i++)
    if (table->fields[i].type != &pw_value_point)
      return FALSE;
  return TRUE;
}

static gboolean
says_lab(const PwYamlNode *item, const char *value)
{
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  const guint n = g_strv_length(words);
  gboolean says = pw_yaml_node_kind(item) == PW_YAML_SEQUENCE && pw_yaml_node_n(item) == n;
  for (guint i = 0; says && i < n; i++)
    says = g_strcmp0(pw_yaml_node_peek_text(pw_yaml_node_item(item, i)), words[i]) == 0;
  return says;
}

gboolean
pw_item_says(const PwField *field, const PwYamlNode *item, const char *value)
{
  if (field->type == &pw_value_labs)
    return says_lab(item, value);
  if (field->type->shape != PW_SHAPE_ENTRIES) {
    g_autofree char *text = pw_dup_text_of(field, value);
    return g_strcmp0(pw_yaml_node_peek_text(item), text) == 0;
  }
  const PwTable *table = field->of;
  g_auto(GStrv) words = g_strsplit(value, " ", -1);
  gboolean says = g_strv_length(words) == table->n_fields;
  for (gsize i = 0; says && i < table->n_fields; i++) {
    const PwYamlNode *node = pw_stated(item, table->fields[i].key);
    g_autofree char *text = pw_dup_text_of(&table->fields[i], words[i]);
    says = node && g_strcmp0(pw_yaml_node_peek_text(node), text) == 0;
  }
  return says;
}
