/* Edits of volume.yaml: from the page into the text, on disk before they are answered. */
#include "desk-private.h"

/* Edits as they were sent; their texts are the request's. */
typedef struct {
  GArray *edits;   /* PwVolumeEdit */
  GPtrArray *kept; /* their lists of values */
} Edits;

static void
edits_clear(Edits *edits)
{
  g_array_unref(edits->edits);
  g_ptr_array_unref(edits->kept);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Edits, edits_clear)

static gboolean
take_edit(JsonNode *node, Edits *edits)
{
  PwVolumeEdit edit = {0};
  if (!JSON_NODE_HOLDS_OBJECT(node))
    return FALSE;
  JsonObject *object = json_node_get_object(node);
  JsonNode *value = json_object_get_member(object, "value");
  if (!desk_take_text(object, "list", &edit.list) ||
      !desk_take_text(object, "entry", &edit.entry) || !desk_take_text(object, "key", &edit.key))
    return FALSE;
  if (value != NULL && !JSON_NODE_HOLDS_NULL(value)) {
    GPtrArray *values = g_ptr_array_new();
    g_ptr_array_add(edits->kept, values);
    if (!desk_edit_values(value, values))
      return FALSE;
    edit.values = (const char *const *)values->pdata;
  }
  g_array_append_val(edits->edits, edit);
  return TRUE;
}

static gboolean
take_edits(JsonNode *request, Edits *edits, GError **error)
{
  JsonNode *list = json_object_get_member(json_node_get_object(request), "edits");
  gboolean taken = list != NULL && JSON_NODE_HOLDS_ARRAY(list);
  JsonArray *array = taken ? json_node_get_array(list) : NULL;
  for (guint i = 0; taken && i < json_array_get_length(array); i++)
    taken = take_edit(json_array_get_element(array, i), edits);
  if (!taken)
    g_set_error(
        error, PW_ERROR, PW_ERROR_USE,
        "an edit has a list, an entry, a key and a value: a text, a list of texts, or null");
  return taken;
}

/* ---- Answers ----------------------------------------------------------------------- */

/* The record as it is now; `says`: why nothing was written. */
static DeskAnswer *
record_as_it_is(const DeskCall *call, const char *says)
{
  if (says == NULL)
    return desk_get_record(call);
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "says", says);
  pw_json_key(json, "record");
  desk_put_record(json, state);
  pw_json_end(json);
  DeskAnswer *answer = desk_answer_json(json);
  answer->status = 412;
  return answer;
}

static DeskAnswer *
save(const DeskCall *call, const char *tag, const Edits *edits)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autofree char *path = g_build_filename(call->desk->folder, PW_VOLUME_FILE, NULL);
  g_autofree char *new_tag = NULL;
  if (g_file_test(path, G_FILE_TEST_IS_SYMLINK))
    return desk_answer_phrase(403, call->state->words, "desk-is-link", PW_VOLUME_FILE);
  if (!g_file_test(path, G_FILE_TEST_EXISTS))
    return desk_answer_phrase(422, call->state->words, "desk-no-record", PW_VOLUME_FILE);
  g_mutex_lock(&call->desk->saving);
  gboolean saved = pw_volume_edit(path, tag, (const PwVolumeEdit *)(const void *)edits->edits->data,
                                  edits->edits->len, &new_tag, complaints, &error);
  g_mutex_unlock(&call->desk->saving);
  if (saved)
    return record_as_it_is(call, NULL);
  if (g_error_matches(error, PW_ERROR, PW_ERROR_STALE))
    return record_as_it_is(call, error->message);
  return desk_answer_not_saved(edits->edits->len, error, complaints);
}

DeskAnswer *
desk_post_record(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  DeskAnswer *refusal;
  g_autofree char *tag = desk_dup_asked_tag(call->ask, &refusal);
  if (tag == NULL)
    return refusal;
  g_autoptr(JsonNode) request = desk_json_read(call->ask->body, call->ask->length, &error);
  g_auto(Edits) edits = {g_array_new(FALSE, FALSE, sizeof(PwVolumeEdit)),
                         g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref)};
  if (request == NULL || !take_edits(request, &edits, &error))
    return desk_answer_unread(error);
  return save(call, tag, &edits);
}
