/* Edits: from the page into the sidecar, on disk before they are answered. */
#include "desk-private.h"

#include <string.h>

/* ---- Reading what is asked for ------------------------------------------------------ */

static gboolean
no_edit(GError **error)
{
  g_set_error(error, PW_ERROR, PW_ERROR_USE,
              "an edit has a mark, a key and a value: a text, a list of texts, or null");
  return FALSE;
}

gboolean
desk_take_text(JsonObject *edit, const char *key, const char **text)
{
  JsonNode *node = json_object_get_member(edit, key);
  *text = desk_json_text(edit, key);
  return *text != NULL || node == NULL || JSON_NODE_HOLDS_NULL(node);
}

static gboolean
add_text(GPtrArray *values, JsonNode *node)
{
  if (!JSON_NODE_HOLDS_VALUE(node) || json_node_get_value_type(node) != G_TYPE_STRING)
    return FALSE;
  g_ptr_array_add(values, (gpointer)(gsize)json_node_get_string(node));
  return TRUE;
}

gboolean
desk_edit_values(JsonNode *node, GPtrArray *values)
{
  if (!JSON_NODE_HOLDS_ARRAY(node)) {
    if (!add_text(values, node))
      return FALSE;
  } else {
    JsonArray *list = json_node_get_array(node);
    for (guint i = 0; i < json_array_get_length(list); i++)
      if (!add_text(values, json_array_get_element(list, i)))
        return FALSE;
  }
  g_ptr_array_add(values, NULL);
  return TRUE;
}

/* `kept` owns the lists of values. */
static gboolean
take_edit(JsonNode *node, GArray *edits, GPtrArray *kept, GError **error)
{
  PwSidecarEdit edit = {0};
  if (!JSON_NODE_HOLDS_OBJECT(node))
    return no_edit(error);
  JsonObject *object = json_node_get_object(node);
  JsonNode *value = json_object_get_member(object, "value");
  if (!desk_take_text(object, "mark", &edit.mark) || !desk_take_text(object, "key", &edit.key))
    return no_edit(error);
  if (value != NULL && !JSON_NODE_HOLDS_NULL(value)) {
    GPtrArray *values = g_ptr_array_new();
    g_ptr_array_add(kept, values);
    if (!desk_edit_values(value, values))
      return no_edit(error);
    edit.values = (const char *const *)values->pdata;
  }
  g_array_append_val(edits, edit);
  return TRUE;
}

gboolean
desk_edits_read(JsonNode *request, DeskEdits *edits, GError **error)
{
  JsonObject *object = json_node_get_object(request);
  JsonNode *list = json_object_get_member(object, "edits");
  if (list == NULL || !JSON_NODE_HOLDS_ARRAY(list))
    return no_edit(error);
  JsonArray *array = json_node_get_array(list);
  for (guint i = 0; i < json_array_get_length(array); i++)
    if (!take_edit(json_array_get_element(array, i), edits->edits, edits->kept, error))
      return FALSE;
  return TRUE;
}

void
desk_edits_init(DeskEdits *edits)
{
  edits->edits = g_array_new(FALSE, FALSE, sizeof(PwSidecarEdit));
  edits->kept = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
}

void
desk_edits_clear(DeskEdits *edits)
{
  g_clear_pointer(&edits->edits, g_array_unref);
  g_clear_pointer(&edits->kept, g_ptr_array_unref);
}

char *
desk_dup_asked_tag(const DeskAsk *ask, DeskAnswer **refusal)
{
  const char *if_match = ask->if_match;
  *refusal = NULL;
  if (if_match == NULL) {
    *refusal = desk_answer_says(428, "which text does this change? (If-Match is missing)");
    return NULL;
  }
  if (strlen(if_match) != PW_TAG_DIGITS + 2 || if_match[0] != '"' ||
      if_match[PW_TAG_DIGITS + 1] != '"') {
    *refusal = desk_answer_says(400, "If-Match is no tag of a text");
    return NULL;
  }
  return g_strndup(if_match + 1, PW_TAG_DIGITS);
}

/* ---- Answers ----------------------------------------------------------------------- */

static DeskAnswer *
photo_as_it_is(const DeskCall *call, guint status, const char *says)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  const PwModelPhoto *photo = pw_model_find_photo(state->model, call->photo->file);
  if (photo == NULL)
    return desk_answer_phrase(404, state->words, "desk-not-there", call->photo->file);
  g_autoptr(PwJson) json = pw_json_new();
  if (status == 200) {
    desk_put_photo(json, state, photo);
    return desk_answer_json(json);
  }
  pw_json_begin_object(json);
  pw_json_pair_string(json, "says", says);
  pw_json_key(json, "photo");
  desk_put_photo(json, state, photo);
  pw_json_end(json);
  DeskAnswer *answer = desk_answer_json(json);
  answer->status = status;
  return answer;
}

DeskAnswer *
desk_answer_not_saved(guint n_edits, const GError *error, PwComplaints *complaints)
{
  if (pw_complaints_n(complaints) > 0)
    return desk_answer_complaints(422, error->message, complaints);
  return n_edits > PW_LIMIT_EDITS ? desk_answer_unread(error) : desk_answer_error(error);
}

static DeskAnswer *
save(const DeskCall *call, const char *tag, const DeskEdits *edits)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autofree char *path = g_strconcat(call->photo->path, PW_SIDECAR_ENDING, NULL);
  g_autofree char *new_tag = NULL;
  g_mutex_lock(&call->desk->saving);
  gboolean saved = pw_sidecar_edit(path, call->photo->file, tag,
                                   (const PwSidecarEdit *)(const void *)edits->edits->data,
                                   edits->edits->len, &new_tag, complaints, &error);
  g_mutex_unlock(&call->desk->saving);
  if (saved)
    return photo_as_it_is(call, 200, NULL);
  if (g_error_matches(error, PW_ERROR, PW_ERROR_STALE))
    return photo_as_it_is(call, 412, error->message);
  return desk_answer_not_saved(edits->edits->len, error, complaints);
}

DeskAnswer *
desk_post_edit(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  DeskAnswer *refusal;
  g_autofree char *tag = desk_dup_asked_tag(call->ask, &refusal);
  if (tag == NULL)
    return refusal;
  g_autoptr(JsonNode) request = desk_json_read(call->ask->body, call->ask->length, &error);
  g_auto(DeskEdits) edits;
  desk_edits_init(&edits);
  if (request == NULL || !desk_edits_read(request, &edits, &error))
    return desk_answer_unread(error);
  return save(call, tag, &edits);
}
