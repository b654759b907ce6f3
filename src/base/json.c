/* A JSON writer (RFC 8259): indented by two spaces, an array of plain values kept on one line. */
#include <platewright/base.h>

#include <math.h>

typedef enum { IN_OBJECT, IN_ARRAY } Container;

typedef struct {
  Container container;
  guint n;         /* values so far */
  gboolean spread; /* the last value stands on a line of its own */
} Level;

struct PwJson {
  GString *text;
  GArray *levels; /* of Level, the innermost last */
  gboolean has_key, done;
};

static Level *
innermost(PwJson *json)
{
  return json->levels->len ? &g_array_index(json->levels, Level, json->levels->len - 1) : NULL;
}

static void
break_line(PwJson *json)
{
  g_string_append_c(json->text, '\n');
  for (guint i = 0; i < json->levels->len; i++)
    g_string_append(json->text, "  ");
}

/* What stands before a value: its comma and line break, unless a key has seen to them. */
static void
before_value(PwJson *json, gboolean is_container)
{
  Level *level = innermost(json);
  if (!level) {
    g_assert(!json->done);
    json->done = TRUE;
    return;
  }
  if (level->container == IN_OBJECT) {
    g_assert(json->has_key);
    json->has_key = FALSE;
    return;
  }
  if (level->n > 0)
    g_string_append_c(json->text, ',');
  if (is_container || level->spread)
    break_line(json);
  else if (level->n > 0)
    g_string_append_c(json->text, ' ');
  level->spread = level->spread || is_container;
  level->n++;
}

static void
append_quoted(GString *text, const char *value)
{
  g_autofree char *valid = g_utf8_make_valid(value, -1);
  g_string_append_c(text, '"');
  for (const char *at = valid; *at; at++) {
    const guchar byte = (guchar)*at;
    if (byte == '"' || byte == '\\')
      g_string_append_printf(text, "\\%c", byte);
    else if (byte == '\n')
      g_string_append(text, "\\n");
    else if (byte == '\t')
      g_string_append(text, "\\t");
    else if (byte < 0x20 || byte == 0x7F)
      g_string_append_printf(text, "\\u%04x", byte);
    else
      g_string_append_c(text, *at);
  }
  g_string_append_c(text, '"');
}

PwJson *
pw_json_new(void)
{
  PwJson *json = g_new0(PwJson, 1);
  json->text = g_string_new(NULL);
  json->levels = g_array_new(FALSE, FALSE, sizeof(Level));
  return json;
}

void
pw_json_free(PwJson *json)
{
  if (!json)
    return;
  g_string_free(json->text, TRUE);
  g_array_unref(json->levels);
  g_free(json);
}

static void
begin(PwJson *json, Container container)
{
  before_value(json, TRUE);
  g_string_append_c(json->text, container == IN_OBJECT ? '{' : '[');
  const Level level = {.container = container};
  g_array_append_val(json->levels, level);
}

void
pw_json_begin_object(PwJson *json)
{
  begin(json, IN_OBJECT);
}

void
pw_json_begin_array(PwJson *json)
{
  begin(json, IN_ARRAY);
}

void
pw_json_end(PwJson *json)
{
  g_assert(json->levels->len > 0 && !json->has_key);
  const Level level = *innermost(json);
  g_array_set_size(json->levels, json->levels->len - 1);
  if (level.spread)
    break_line(json);
  g_string_append_c(json->text, level.container == IN_OBJECT ? '}' : ']');
}

void
pw_json_key(PwJson *json, const char *key)
{
  Level *level = innermost(json);
  g_assert(level && level->container == IN_OBJECT && !json->has_key);
  if (level->n > 0)
    g_string_append_c(json->text, ',');
  break_line(json);
  append_quoted(json->text, key);
  g_string_append(json->text, ": ");
  level->n++;
  level->spread = TRUE;
  json->has_key = TRUE;
}

void
pw_json_string(PwJson *json, const char *value)
{
  if (!value) {
    pw_json_null(json);
    return;
  }
  before_value(json, FALSE);
  append_quoted(json->text, value);
}

void
pw_json_double(PwJson *json, double value)
{
  if (!isfinite(value)) {
    pw_json_null(json);
    return;
  }
  before_value(json, FALSE);
  g_autofree char *number = pw_format_double(value);
  g_string_append(json->text, number);
}

void
pw_json_int(PwJson *json, gint64 value)
{
  before_value(json, FALSE);
  g_string_append_printf(json->text, "%" G_GINT64_FORMAT, value);
}

void
pw_json_bool(PwJson *json, gboolean value)
{
  before_value(json, FALSE);
  g_string_append(json->text, value ? "true" : "false");
}

void
pw_json_null(PwJson *json)
{
  before_value(json, FALSE);
  g_string_append(json->text, "null");
}

void
pw_json_pair_string(PwJson *json, const char *key, const char *value)
{
  pw_json_key(json, key);
  pw_json_string(json, value);
}

void
pw_json_pair_double(PwJson *json, const char *key, double value)
{
  pw_json_key(json, key);
  pw_json_double(json, value);
}

void
pw_json_pair_int(PwJson *json, const char *key, gint64 value)
{
  pw_json_key(json, key);
  pw_json_int(json, value);
}

void
pw_json_pairs_of_complaint(PwJson *json, const PwComplaint *complaint)
{
  pw_json_pair_string(json, "file", complaint->file);
  pw_json_pair_int(json, "line", complaint->line);
  pw_json_pair_int(json, "column", complaint->column);
  pw_json_pair_string(json, "kind", complaint->kind);
  pw_json_pair_string(json, "severity", pw_severity_name(complaint->severity));
  pw_json_pair_string(json, "says", complaint->says);
}

char *
pw_json_take_text(PwJson *json)
{
  g_assert(json->done && json->levels->len == 0);
  g_string_append_c(json->text, '\n');
  char *text = g_string_free(json->text, FALSE);
  json->text = g_string_new(NULL);
  json->done = FALSE;
  return text;
}
