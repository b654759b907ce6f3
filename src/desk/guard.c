/* Who is let in. The page has one reader and writer: a browser that has opened the address the
 * command printed. Other pages in that browser, other programs' pages on other ports, other
 * machines under borrowed names are turned away before anything of the record is touched.
 */
#include "desk-private.h"

#include <errno.h>
#include <string.h>
#include <sys/random.h>

/* ---- Secrets ----------------------------------------------------------------------- */

char *
desk_dup_secret(GError **error)
{
  guint8 bytes[DESK_SECRET_BYTES];
  if (getrandom(bytes, sizeof bytes, 0) != (ssize_t)sizeof bytes) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "this system gives no random numbers: %s",
                g_strerror(errno));
    return NULL;
  }
  GString *hex = g_string_new(NULL);
  for (gsize i = 0; i < sizeof bytes; i++)
    g_string_append_printf(hex, "%02x", bytes[i]);
  return g_string_free(hex, FALSE);
}

/* Takes as long whatever the first difference: how far a guess was right shows in nothing. */
static gboolean
is_secret(const char *given, const char *secret)
{
  gsize length = strlen(secret);
  if (given == NULL || strlen(given) != length)
    return FALSE;
  volatile guint8 difference = 0;
  for (gsize i = 0; i < length; i++)
    difference |= (guint8)(given[i] ^ secret[i]);
  return difference == 0;
}

char *
desk_guard_dup_key(PwDesk *desk)
{
  char *key = desk_dup_secret(NULL);
  if (key == NULL)
    return NULL;
  g_mutex_lock(&desk->keys_lock);
  g_free(desk->keys[desk->next_key]);
  desk->keys[desk->next_key] = g_strdup(key);
  desk->next_key = (desk->next_key + 1) % DESK_KEYS;
  g_mutex_unlock(&desk->keys_lock);
  return key;
}

static gboolean
is_key_of_a_page(PwDesk *desk, const char *given)
{
  gboolean found = FALSE;
  g_mutex_lock(&desk->keys_lock);
  for (guint i = 0; i < DESK_KEYS; i++)
    found |= desk->keys[i] != NULL && is_secret(given, desk->keys[i]);
  g_mutex_unlock(&desk->keys_lock);
  return found;
}

/* ---- Names and origins ------------------------------------------------------------- */

static gboolean
is_host_of(const char *given, const char *host, int port)
{
  g_autofree char *whole = g_strdup_printf("%s:%d", host, port);
  return g_ascii_strcasecmp(given, whole) == 0;
}

/* A name that somebody else's server answers for may lead to this machine (DNS rebinding). */
static gboolean
is_our_host(const PwDesk *desk, const char *host)
{
  if (host == NULL)
    return FALSE;
  if (is_host_of(host, "127.0.0.1", desk->port) || is_host_of(host, "localhost", desk->port))
    return TRUE;
  if (!desk->lan)
    return FALSE;
  g_auto(GStrv) addresses = desk_lan_dup_addresses(); /* asked anew: they change */
  for (char **address = addresses; *address; address++)
    if (is_host_of(host, *address, desk->port))
      return TRUE;
  return FALSE;
}

static gboolean
is_from_our_page(const DeskAsk *ask)
{
  if (ask->origin != NULL) {
    g_autofree char *ours = g_strconcat("http://", ask->host, NULL);
    if (g_ascii_strcasecmp(ask->origin, ours) != 0)
      return FALSE;
  }
  return ask->fetch_site == NULL || strcmp(ask->fetch_site, "same-origin") == 0 ||
         strcmp(ask->fetch_site, "none") == 0;
}

/* ---- Turned away ------------------------------------------------------------------- */

/* A page for who comes without the key, in the language of the volume. */
static DeskAnswer *
closed_page(PwDesk *desk)
{
  g_autoptr(DeskState) state = desk_shelf_now(desk->shelf);
  g_autofree char *title = g_markup_escape_text(pw_words_peek(state->words, "desk-closed"), -1);
  g_autofree char *phrase =
      g_markup_escape_text(pw_words_peek(state->words, "desk-closed-says"), -1);
  g_auto(GStrv) around = g_strsplit(phrase, "{command}", 2);
  g_autofree char *says = g_strjoinv("<code>platewright mark</code>", around);
  char *text = g_strdup_printf(
      "<!DOCTYPE html>\n<html lang=\"%s\"><head><meta charset=\"utf-8\"><title>Platewright</title>"
      "</head><body><h1>%s</h1><p>%s</p></body></html>\n",
      pw_words_peek_language(state->words), title, says);
  return desk_answer_new(403, "text/html; charset=utf-8", g_bytes_new_take(text, strlen(text)));
}

static DeskAnswer *
locked_out(PwDesk *desk, const DeskAsk *ask)
{
  if (ask->path == NULL || strcmp(ask->path, "/") == 0)
    return closed_page(desk);
  return desk_answer_says(403, "open the address that `platewright mark` has printed: it carries "
                               "the key");
}

static DeskAnswer *
let_in(const PwDesk *desk)
{
  DeskAnswer *answer = desk_answer_new(303, "text/plain", g_bytes_new_static("", 0));
  g_autofree char *cookie =
      g_strdup_printf("%s=%s; HttpOnly; SameSite=Strict; Path=/", desk->cookie, desk->secret);
  desk_answer_header(answer, "Set-Cookie", cookie);
  desk_answer_header(answer, "Location", "/");
  return answer;
}

static DeskAnswer *
guard_writing(PwDesk *desk, const DeskAsk *ask)
{
  if (!is_key_of_a_page(desk, ask->key))
    return desk_answer_says(403, "the page's key is missing or no longer known; load it again");
  if (ask->content_type == NULL ||
      g_ascii_strncasecmp(ask->content_type, "application/json", strlen("application/json")) != 0)
    return desk_answer_says(415, "a change is sent as application/json");
  if (ask->length > DESK_BODY_BYTES)
    return desk_answer_says(413, "a request has at most %d MiB", DESK_BODY_BYTES / 1024 / 1024);
  return NULL;
}

DeskAnswer *
desk_guard(PwDesk *desk, const DeskAsk *ask)
{
  gboolean reads = strcmp(ask->method, "GET") == 0 || strcmp(ask->method, "HEAD") == 0;
  gboolean writes = strcmp(ask->method, "POST") == 0;
  if (!is_our_host(desk, ask->host))
    return desk_answer_says(421, "this server does not go by that name");
  if (!is_from_our_page(ask))
    return desk_answer_says(403, "this request comes from another page");
  if (reads && strcmp(ask->path, "/") == 0 && ask->token != NULL)
    return is_secret(ask->token, desk->token) ? let_in(desk) : locked_out(desk, ask);
  if (!is_secret(ask->cookie, desk->secret))
    return locked_out(desk, ask);
  if (!reads && !writes) {
    DeskAnswer *answer = desk_answer_says(405, "only GET and POST are answered");
    desk_answer_header(answer, "Allow", "GET, HEAD, POST");
    return answer;
  }
  return writes ? guard_writing(desk, ask) : NULL;
}
