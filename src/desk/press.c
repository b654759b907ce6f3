/* The press: what every document is made with. One is made at a time, on the thread of the request
 * that asks for it, so that strokes are saved meanwhile. Nothing is made off a record that has
 * errors.
 */
#include "desk-private.h"

#include <string.h>

/* A document taken for a page of ours may do nothing. */
static const char file_policy[] = "default-src 'none'; sandbox; frame-ancestors 'none'";

static gboolean
is_language(const char *name)
{
  g_auto(GStrv) languages = pw_words_dup_languages();
  return g_strv_contains((const char *const *)languages, name);
}

static gboolean
is_style(const char *name)
{
  g_auto(GStrv) styles = pw_styles_dup_names();
  return g_strv_contains((const char *const *)styles, name);
}

/* Of the state's complaints, which others read too, those that stand in the way. */
static DeskAnswer *
answer_errors(const DeskState *state)
{
  g_autoptr(PwComplaints) errors = pw_complaints_new();
  for (guint i = 0; i < pw_complaints_n(state->complaints); i++) {
    const PwComplaint *one = pw_complaints_peek(state->complaints, i);
    if (one->severity == PW_SEVERITY_ERROR)
      pw_complaints_add(errors, one->file, one->line, one->column, one->kind, one->severity,
                        one->excerpt, "%s", one->says);
  }
  return desk_answer_complaints(422, pw_words_peek(state->words, "desk-mend-first"), errors);
}

/* The photographs that the query names by their IDs. One that has gone meanwhile is not passed
 * over: without any, all would be shown. */
static DeskAnswer *
take_only(const DeskAsk *ask, DeskPress *press)
{
  if (ask->only == NULL)
    return NULL;
  g_auto(GStrv) ids = g_strsplit(ask->only, ".", -1);
  press->only = g_new0(const char *, g_strv_length(ids) + 1);
  const PwModelPhoto *photo = NULL;
  for (gsize i = 0; ids[i] != NULL; i++) {
    photo = g_hash_table_lookup(press->state->by_id, ids[i]);
    if (photo == NULL)
      break;
    press->only[i] = photo->file;
  }
  if (photo != NULL)
    return NULL;
  const char *gone = pw_words_peek(press->state->words, "desk-documents-only-gone");
  return desk_answer_complaints(404, gone, NULL);
}

/* The state, the style and the words, or why there are none. */
static DeskAnswer *
set_up(const DeskCall *call, const char *language, const char *style, DeskPress *press)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  press->state = desk_shelf_look(call->desk->shelf, &error);
  if (press->state == NULL)
    return desk_answer_error(error);
  if (pw_complaints_count(press->state->complaints, PW_SEVERITY_ERROR) > 0)
    return answer_errors(press->state);
  DeskAnswer *refusal = take_only(call->ask, press);
  if (refusal != NULL)
    return refusal;
  press->style = pw_style_read(style, complaints, &error);
  press->words = press->style ? pw_words_read(language, complaints, &error) : NULL;
  if (press->words != NULL)
    return NULL;
  return error ? desk_answer_error(error)
               : desk_answer_complaints(422, pw_words_peek(press->state->words, "desk-no-style"),
                                        complaints);
}

DeskAnswer *
desk_press_take(const DeskCall *call, const char *language, DeskPress *press)
{
  if (!is_language(language))
    return desk_answer_says(404, "there is no such language");
  const char *style = call->ask->style != NULL ? call->ask->style : "plate";
  if (!is_style(style))
    return desk_answer_says(404, "there is no such style");
  g_mutex_lock(&call->desk->making);
  press->desk = call->desk;
  if (call->ask->stop != NULL && g_atomic_int_get(call->ask->stop) != 0)
    return desk_answer_says(409, "nobody waits for it any longer");
  return set_up(call, language, style, press);
}

void
desk_press_clear(DeskPress *press)
{
  if (press->desk != NULL)
    g_mutex_unlock(&press->desk->making);
  g_clear_pointer(&press->state, desk_state_unref);
  g_clear_pointer(&press->style, pw_style_free);
  g_clear_pointer(&press->words, pw_words_free);
  g_clear_pointer(&press->only, g_free);
}

DeskAnswer *
desk_answer_file(const char *type, GBytes *body_taken, const char *name, char **told)
{
  DeskAnswer *answer = desk_answer_new(200, type, body_taken);
  g_autofree char *escaped = g_uri_escape_string(name, NULL, FALSE);
  g_autofree char *disposition =
      g_strdup_printf("attachment; filename*=UTF-8''%s", escaped); /* RFC 6266 */
  answer->policy = file_policy;
  desk_answer_header(answer, "Content-Disposition", disposition);
  if (told != NULL) {
    g_autofree char *lines = g_strjoinv("\n", told);
    g_autofree char *says = g_uri_escape_string(lines, NULL, FALSE);
    desk_answer_header(answer, "Says", says);
  }
  return answer;
}

void
desk_put_told(PwJson *json, char **told, const DeskPress *press)
{
  g_autofree char *warning = pw_words_dup_warning(press->words, press->state->words);
  pw_json_key(json, "says");
  pw_json_begin_array(json);
  for (char **line = told; *line; line++)
    pw_json_string(json, *line);
  if (warning != NULL)
    pw_json_string(json, warning);
  pw_json_end(json);
}
