/* What is proposed while one draws: sizes, outlines, corners. Nothing is written. */
#include "desk-private.h"

#include <math.h>
#include <string.h>

#define DRAFT_ID "draft" /* of a mark that has none yet */

/* What is asked for is a JSON object. */
static DeskAnswer *
answer_with(const DeskCall *call, DeskAnswer *(*answer)(const DeskCall *call, JsonObject *asked))
{
  g_autoptr(GError) error = NULL;
  g_autoptr(JsonNode) request = desk_json_read(call->ask->body, call->ask->length, &error);
  return request ? answer(call, json_node_get_object(request)) : desk_answer_unread(error);
}

static gboolean
read_number(JsonObject *object, const char *key, double *number)
{
  JsonNode *node = json_object_get_member(object, key);
  if (node == NULL || !JSON_NODE_HOLDS_VALUE(node))
    return FALSE;
  GType type = json_node_get_value_type(node);
  if (type != G_TYPE_INT64 && type != G_TYPE_DOUBLE)
    return FALSE;
  *number = json_node_get_double(node);
  return isfinite(*number);
}

/* Exactly `n` points. */
static gboolean
read_points(JsonObject *object, const char *key, PwPx *points, gsize n)
{
  const char *text = desk_json_text(object, key);
  PwPxPath path = {0};
  gboolean ok = text != NULL && pw_px_path_parse(text, &path, NULL, NULL) && path.n == n;
  if (ok)
    memcpy(points, path.points, n * sizeof *points);
  pw_px_path_clear(&path);
  return ok;
}

static void
pair_path(PwJson *json, const char *key, const PwPxPath *path)
{
  g_autofree char *points = pw_px_path_format(path);
  pw_json_pair_string(json, key, points);
}

/* ---- Sizes ------------------------------------------------------------------------- */

static gboolean
take_word(JsonObject *words, const char *key, const char *mark, DeskEdits *edits)
{
  GPtrArray *values = g_ptr_array_new();
  g_ptr_array_add(edits->kept, values);
  if (!desk_edit_values(json_object_get_member(words, key), values))
    return FALSE;
  PwSidecarEdit edit = {mark, key, (const char *const *)values->pdata};
  g_array_append_val(edits->edits, edit);
  return TRUE;
}

/* The words of a mark (of that id) or, with NULL, of the photograph, as edits. */
static gboolean
take_words(JsonObject *asked, const char *what, const char *mark, DeskEdits *edits)
{
  JsonNode *holder = json_object_get_member(asked, what);
  JsonNode *node = holder && JSON_NODE_HOLDS_OBJECT(holder)
                       ? json_object_get_member(json_node_get_object(holder), "words")
                       : NULL;
  if (node == NULL || !JSON_NODE_HOLDS_OBJECT(node))
    return FALSE;
  JsonObject *words = json_node_get_object(node);
  g_autoptr(GList) keys = json_object_get_members(words);
  for (GList *key = keys; key; key = key->next)
    if (!take_word(words, key->data, mark, edits))
      return FALSE;
  return TRUE;
}

static const char *
first_error(const PwComplaints *complaints)
{
  for (guint i = 0; i < pw_complaints_n(complaints); i++)
    if (pw_complaints_peek(complaints, i)->severity == PW_SEVERITY_ERROR)
      return pw_complaints_peek(complaints, i)->says;
  return NULL;
}

static DeskAnswer *
no_size(const char *why)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_key(json, "measure");
  pw_json_null(json);
  pw_json_pair_string(json, "shown", NULL);
  pw_json_pair_string(json, "shown_more", NULL);
  pw_json_pair_string(json, "shown_share", NULL);
  pw_json_pair_string(json, "why", why);
  pw_json_end(json);
  return desk_answer_json(json);
}

/* The text as it would be with the edits; NULL where they are none. */
static PwSidecar *
draft_with(const DeskCall *call, const DeskEdits *edits, PwComplaints *complaints, GError **error)
{
  return pw_sidecar_new_draft(call->photo->sidecar,
                              (const PwSidecarEdit *)(const void *)edits->edits->data,
                              edits->edits->len, complaints, error);
}

static DeskAnswer *
size_mark(const DeskCall *call, const DeskEdits *edits)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autoptr(PwSidecar) draft = draft_with(call, edits, complaints, &error);
  if (draft == NULL)
    return desk_answer_error(error);
  const char *why = first_error(complaints);
  if (why != NULL || draft->n_marks != 1)
    return no_size(why ? why : pw_words_peek(call->state->words, "desk-not-drawn"));
  PwModelMark mark;
  pw_model_size_draft(call->state->model, call->photo, &draft->marks[0], &mark);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  desk_put_size(json, call->state, &mark);
  pw_json_end(json);
  pw_model_mark_clear(&mark);
  return desk_answer_json(json);
}

static DeskAnswer *
size_scale(const DeskCall *call, const DeskEdits *edits)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwSidecar *text = draft_with(call, edits, complaints, &error);
  if (text == NULL)
    return desk_answer_error(error);
  const char *why = first_error(complaints);
  PwModelPhoto *draft = pw_model_new_draft_scale(call->state->model, call->photo, text);
  g_autofree char *shown = pw_model_scale_dup_shown(draft, call->state->words);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  if (why == NULL) {
    pw_model_put_scale_json(json, draft);
    why = desk_peek_why(call->state, draft->why, draft->why_not);
  } else {
    pw_json_key(json, "scale");
    pw_json_null(json);
    pw_json_pair_string(json, "why", why);
  }
  pw_json_pair_string(json, "scale_shown", why ? NULL : shown);
  pw_json_pair_string(json, "why_shown", why);
  pw_json_end(json);
  pw_model_free_draft_scale(draft);
  return desk_answer_json(json);
}

static DeskAnswer *
size_of(const DeskCall *call, JsonObject *asked)
{
  static const char *const undecided[] = {PW_TERM_UNDECIDED, NULL};
  if (call->photo->sidecar == NULL)
    return desk_answer_phrase(422, call->state->words, "desk-no-text", call->photo->file);
  g_auto(DeskEdits) edits;
  desk_edits_init(&edits);
  const PwSidecarEdit unnamed = {DRAFT_ID, "term", undecided};
  g_array_append_val(edits.edits, unnamed); /* until the words say another */
  if (take_words(asked, "mark", DRAFT_ID, &edits))
    return size_mark(call, &edits);
  desk_edits_clear(&edits);
  desk_edits_init(&edits);
  if (take_words(asked, "scale", NULL, &edits))
    return size_scale(call, &edits);
  return desk_answer_says(400, "of which mark, or which scale?");
}

/* ---- Outlines ---------------------------------------------------------------------- */

/* Tiles that are damaged are made anew, and meanwhile the photograph itself is read. */
static gboolean
do_without(DeskTiles **tiles, const DeskCall *call, GError **error)
{
  if (*tiles == NULL || !g_error_matches(*error, PW_ERROR, PW_ERROR_FILE))
    return FALSE;
  desk_tiler_doubt(call->desk->tiler, call->state, call->photo);
  g_clear_pointer(tiles, desk_tiles_unref);
  g_clear_error(error);
  return TRUE;
}

static const PwTiles *
peek_tiles(const DeskTiles *tiles)
{
  return tiles ? desk_tiles_peek(tiles) : NULL;
}

static void
put_trace(PwJson *json, const PwTrace *trace, double tolerance)
{
  pw_json_begin_object(json);
  pair_path(json, "outline", &trace->outline);
  pw_json_key(json, "holes");
  pw_json_begin_array(json);
  for (gsize i = 0; i < trace->n_holes; i++) {
    g_autofree char *points = pw_px_path_format(&trace->holes[i]);
    pw_json_string(json, points);
  }
  pw_json_end(json);
  pw_json_pair_double(json, "tolerance", tolerance);
  pw_json_pair_double(json, "simplified_px", trace->simplify_px);
  pw_json_end(json);
}

static gboolean
is_on_photo(const PwModelPhoto *photo, PwPx at)
{
  return at.x >= 0 && at.y >= 0 && at.x < photo->facts.width && at.y < photo->facts.height;
}

/* Of one page's touches of a photograph the newest is followed; one before it that still is stops.
 * Yours, for end_touch. */
static char *
begin_touch(const DeskCall *call)
{
  PwDesk *desk = call->desk;
  char *whose =
      g_strconcat(desk_state_peek_id(call->state, call->photo), " ", call->ask->key, NULL);
  g_mutex_lock(&desk->touches_lock);
  gint *older = g_hash_table_lookup(desk->touches, whose);
  if (older != NULL)
    g_atomic_int_set(older, 1);
  g_hash_table_insert(desk->touches, g_strdup(whose), call->ask->stop);
  g_mutex_unlock(&desk->touches_lock);
  return whose;
}

static void
end_touch(const DeskCall *call, char *whose_taken)
{
  PwDesk *desk = call->desk;
  g_mutex_lock(&desk->touches_lock);
  if (g_hash_table_lookup(desk->touches, whose_taken) == call->ask->stop)
    g_hash_table_remove(desk->touches, whose_taken);
  g_mutex_unlock(&desk->touches_lock);
  g_free(whose_taken);
}

static gboolean
is_stopped(const DeskAsk *ask)
{
  return ask->stop != NULL && g_atomic_int_get(ask->stop) != 0;
}

static DeskAnswer *
follow_touch(const DeskCall *call, JsonObject *asked)
{
  g_autoptr(GError) error = NULL;
  double tolerance;
  PwPx at;
  if (!read_points(asked, "at", &at, 1) || !read_number(asked, "tolerance", &tolerance) ||
      !is_on_photo(call->photo, at))
    return desk_answer_says(400, "follow which edge, and how closely?");
  g_autoptr(DeskTiles) tiles = desk_tiler_open(call->desk->tiler, call->state, call->photo);
  PwTrace trace = {0};
  gboolean found;
  char *whose = begin_touch(call);
  do
    found = pw_model_follow_edge(call->state->model, call->photo, peek_tiles(tiles), at, tolerance,
                                 call->ask->stop, &trace, &error);
  while (!found && do_without(&tiles, call, &error));
  end_touch(call, whose);
  if (!found)
    return is_stopped(call->ask) ? desk_answer_says(409, "a newer touch took the place of this one")
                                 : desk_answer_error(error);
  g_autoptr(PwJson) json = pw_json_new();
  put_trace(json, &trace, tolerance);
  pw_trace_clear(&trace);
  return desk_answer_json(json);
}

static DeskAnswer *
thin_stroke(const DeskCall *call, JsonObject *asked)
{
  g_autoptr(GError) error = NULL;
  const char *points = desk_json_text(asked, "points");
  PwPxPath path = {0}, thin = {0};
  double tolerance;
  if (points == NULL || !read_number(asked, "tolerance", &tolerance) ||
      !pw_px_path_parse(points, &path, NULL, NULL))
    return desk_answer_says(400, "which stroke, and how closely?");
  gboolean closed = desk_json_is_true(asked, "closed");
  gboolean done = pw_trace_simplify(&path, closed, tolerance, &thin, &error);
  pw_px_path_clear(&path);
  if (!done)
    return desk_answer_error(error);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  g_autofree char *within = pw_model_within_dup_shown(call->photo, tolerance, call->state->words);
  pair_path(json, "points", &thin);
  pw_json_pair_double(json, "tolerance", tolerance);
  pw_json_pair_string(json, "within", within);
  pw_json_end(json);
  pw_px_path_clear(&thin);
  return desk_answer_json(json);
}

/* ---- Corners and ends -------------------------------------------------------------- */

static DeskAnswer *
answer_corners(const PwPx *improved, gsize n, double doubt_px)
{
  const PwPxPath path = {.points = (PwPx *)(gsize)improved, .n = n};
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pair_path(json, "corners", &path);
  pw_json_pair_double(json, "doubt_px", doubt_px);
  pw_json_end(json);
  return desk_answer_json(json);
}

/* Of four corners, or of the two ends of a line. */
static gboolean
improve(const DeskCall *call, const PwTiles *tiles, const PwPx *given, gsize n, double reach,
        PwPx *improved, double *doubt_px, GError **error)
{
  return (n == 4 ? pw_model_improve_corners : pw_model_improve_ends)(
      call->state->model, call->photo, tiles, given, reach, improved, doubt_px, error);
}

static DeskAnswer *
seek_corners(const DeskCall *call, JsonObject *asked)
{
  g_autoptr(GError) error = NULL;
  PwPx given[4], improved[4];
  gsize n = 0;
  if (read_points(asked, "corners", given, 4))
    n = 4;
  else if (read_points(asked, "from", given, 1) && read_points(asked, "to", given + 1, 1))
    n = 2;
  else
    return desk_answer_says(400, "four corners, or the two ends of a line?");
  g_autoptr(DeskTiles) tiles = desk_tiler_open(call->desk->tiler, call->state, call->photo);
  double doubt, reach = NAN;
  read_number(asked, "reach", &reach);
  gboolean found;
  do
    found = improve(call, peek_tiles(tiles), given, n, reach, improved, &doubt, &error);
  while (!found && do_without(&tiles, call, &error));
  return found ? answer_corners(improved, n, doubt) : desk_answer_error(error);
}

/* ---- What is asked for ------------------------------------------------------------- */

DeskAnswer *
desk_post_size(const DeskCall *call)
{
  return answer_with(call, size_of);
}

DeskAnswer *
desk_post_trace(const DeskCall *call)
{
  return answer_with(call, follow_touch);
}

DeskAnswer *
desk_post_simplify(const DeskCall *call)
{
  return answer_with(call, thin_stroke);
}

DeskAnswer *
desk_post_corners(const DeskCall *call)
{
  return answer_with(call, seek_corners);
}
