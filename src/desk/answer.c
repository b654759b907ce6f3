/* Answers, and the headers that every one of them carries. */
#include "desk-private.h"

#include <string.h>

#define RETRY_AFTER_S "2" /* of what is not to be had now */

/* Nothing is loaded but what we serve, nobody frames the page. */
const char desk_policy[] =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'";

/* Nothing is kept by the browser's cache (a photograph may be private), no address leaves with a
 * link. */
const char *const desk_headers[] = {"Cross-Origin-Resource-Policy",
                                    "same-origin",
                                    "Cross-Origin-Opener-Policy",
                                    "same-origin",
                                    "X-Content-Type-Options",
                                    "nosniff",
                                    "Cache-Control",
                                    "no-store",
                                    "Referrer-Policy",
                                    "no-referrer",
                                    NULL};

DeskAnswer *
desk_answer_new(guint status, const char *type, GBytes *body_taken)
{
  DeskAnswer *answer = g_new0(DeskAnswer, 1);
  answer->status = status;
  answer->type = type;
  answer->body = body_taken;
  return answer;
}

void
desk_answer_free(DeskAnswer *answer)
{
  if (answer == NULL)
    return;
  for (gsize i = 0; i < answer->n_headers; i++)
    g_free(answer->headers[i].value);
  g_bytes_unref(answer->body);
  g_free(answer);
}

void
desk_answer_header(DeskAnswer *answer, const char *name, const char *value)
{
  g_return_if_fail(answer->n_headers < G_N_ELEMENTS(answer->headers));
  answer->headers[answer->n_headers++] = (DeskHeader){name, g_strdup(value)};
}

static DeskAnswer *
json_of_status(guint status, PwJson *json)
{
  char *text = pw_json_take_text(json);
  return desk_answer_new(status, "application/json", g_bytes_new_take(text, strlen(text)));
}

DeskAnswer *
desk_answer_json(PwJson *json)
{
  return json_of_status(200, json);
}

DeskAnswer *
desk_answer_says(guint status, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  return desk_answer_complaints(status, says, NULL);
}

DeskAnswer *
desk_answer_phrase(guint status, const PwWords *words, const char *key, const char *file)
{
  g_autofree char *says = pw_words_dup_phrase(words, key, "file", file, NULL);
  return desk_answer_complaints(status, says, NULL);
}

DeskAnswer *
desk_answer_complaints(guint status, const char *says, PwComplaints *complaints)
{
  g_autoptr(PwJson) json = pw_json_new();
  g_autofree char *printable = pw_dup_printable(says);
  pw_json_begin_object(json);
  pw_json_pair_string(json, "says", printable);
  if (complaints != NULL) {
    pw_complaints_sort(complaints);
    pw_json_key(json, "complaints");
    pw_json_begin_array(json);
    for (guint i = 0; i < pw_complaints_n(complaints); i++)
      desk_put_complaint(json, pw_complaints_peek(complaints, i), NULL);
    pw_json_end(json);
  }
  pw_json_end(json);
  return json_of_status(status, json);
}

static guint
status_of(const GError *error)
{
  if (error->domain != PW_ERROR)
    return 500;
  switch ((PwErrorCode)error->code) {
  case PW_ERROR_USE:
    return 400;
  case PW_ERROR_STALE:
    return 412;
  case PW_ERROR_RECORD:
  case PW_ERROR_NUMERIC:
  case PW_ERROR_LIMIT: /* of a text or a picture; a request that is too large says so itself */
    return 422;
  case PW_ERROR_BUSY:
    return 503;
  case PW_ERROR_FILE:
    break;
  }
  return 500;
}

DeskAnswer *
desk_answer_error(const GError *error)
{
  DeskAnswer *answer = desk_answer_complaints(status_of(error), error->message, NULL);
  if (answer->status == 503)
    desk_answer_header(answer, "Retry-After", RETRY_AFTER_S);
  return answer;
}

DeskAnswer *
desk_answer_unread(const GError *error)
{
  if (g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT))
    return desk_answer_says(413, "%s", error->message);
  return desk_answer_error(error);
}
