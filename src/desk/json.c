/* JSON in, within bounds, and the few shapes that several answers share. */
#include "desk-private.h"

#include <string.h>

/* ---- In ---------------------------------------------------------------------------- */

/* What may stand in JSON outside of strings. json-glib's reader takes more, comments and 'strings'
 * like these, in which it would see other brackets than are counted here. */
#define OUTSIDE_STRINGS "{}[]:,\" \t\r\n0123456789+-.eEtrufalsn"

static gsize
past_string(const char *text, gsize length, gsize at)
{
  while (at < length && text[at] != '"')
    at += text[at] == '\\' ? 2 : 1;
  return at;
}

/* Counts what json-glib would descend into and allocate for, before it does. Says nothing else of
 * whether the text is JSON. */
static gboolean
is_within_bounds(const char *text, gsize length, GError **error)
{
  gsize depth = 0, values = 0;
  for (gsize i = 0; i < length; i++) {
    char c = text[i];
    if (strchr(OUTSIDE_STRINGS, c) == NULL) {
      g_set_error(error, PW_ERROR, PW_ERROR_USE, "the request is no JSON");
      return FALSE;
    }
    if (c == '"')
      i = past_string(text, length, i + 1);
    if (c == '{' || c == '[')
      depth++;
    else if ((c == '}' || c == ']') && depth > 0)
      depth--;
    values += strchr("{[,:", c) != NULL ? 1 : 0;
    if (depth > DESK_JSON_DEPTH || values > DESK_JSON_VALUES) {
      g_set_error(error, PW_ERROR, PW_ERROR_LIMIT, "the request is deeper or longer than is read");
      return FALSE;
    }
  }
  return TRUE;
}

JsonNode *
desk_json_read(const char *text, gsize length, GError **error)
{
  g_autoptr(JsonParser) parser = NULL;
  g_autoptr(GError) cause = NULL;
  if (memchr(text, '\0', length) != NULL || !g_utf8_validate(text, (gssize)length, NULL)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the request is not text in UTF-8");
    return NULL;
  }
  if (!is_within_bounds(text, length, error))
    return NULL;
  parser = json_parser_new_immutable();
  if (!json_parser_load_from_data(parser, text, (gssize)length, &cause)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the request is no JSON: %s", cause->message);
    return NULL;
  }
  JsonNode *root = json_parser_get_root(parser);
  if (root == NULL || !JSON_NODE_HOLDS_OBJECT(root)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the request is no JSON object");
    return NULL;
  }
  return json_node_ref(root);
}

const char *
desk_json_text(JsonObject *object, const char *key)
{
  JsonNode *node = json_object_get_member(object, key);
  gboolean is_text =
      node && JSON_NODE_HOLDS_VALUE(node) && json_node_get_value_type(node) == G_TYPE_STRING;
  return is_text ? json_node_get_string(node) : NULL;
}

gboolean
desk_json_is_true(JsonObject *object, const char *key)
{
  JsonNode *node = json_object_get_member(object, key);
  return node && JSON_NODE_HOLDS_VALUE(node) && json_node_get_value_type(node) == G_TYPE_BOOLEAN &&
         json_node_get_boolean(node);
}

/* ---- Out --------------------------------------------------------------------------- */

void
desk_key_bool(PwJson *json, const char *key, gboolean value)
{
  pw_json_key(json, key);
  pw_json_bool(json, value);
}

void
desk_key_texts(PwJson *json, const char *key, const char *const *values)
{
  pw_json_key(json, key);
  pw_json_begin_array(json);
  for (; values && *values; values++)
    pw_json_string(json, *values);
  pw_json_end(json);
}

void
desk_put_complaint(PwJson *json, const PwComplaint *complaint, const PwModelPhoto *photo)
{
  const PwMark *mark = photo && photo->sidecar && complaint->line > 0
                           ? pw_sidecar_mark_at(photo->sidecar, complaint->line, complaint->column)
                           : NULL;
  pw_json_begin_object(json);
  pw_json_pairs_of_complaint(json, complaint);
  pw_json_pair_string(json, "excerpt", complaint->excerpt);
  pw_json_pair_string(json, "mark", mark ? mark->id : NULL);
  pw_json_end(json);
}
