/* The page's own files, compiled into the library, and the type that plates are set in. */
#include "desk-private.h"

#include <platewright/pdf.h>
#include <platewright/style.h>
#include <gio/gio.h>
#include <string.h>

#define PAGE_PLACE "/platewright/page/"

static const char *
type_of(const char *name)
{
  static const char *const types[][2] = {{".html", "text/html; charset=utf-8"},
                                         {".css", "text/css; charset=utf-8"},
                                         {".js", "text/javascript; charset=utf-8"},
                                         {".svg", "image/svg+xml"},
                                         {".png", "image/png"}};
  for (gsize i = 0; i < G_N_ELEMENTS(types); i++)
    if (g_str_has_suffix(name, types[i][0]))
      return types[i][1];
  return "application/octet-stream";
}

static GBytes *
find_file(const char *name)
{
  g_autofree char *path = g_strconcat(PAGE_PLACE, name, NULL);
  return g_resources_lookup_data(path, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
}

DeskAnswer *
desk_get_page(const DeskCall *call)
{
  GBytes *file = find_file(call->rest);
  if (file == NULL)
    return desk_answer_says(404, "there is no such file of the page");
  return desk_answer_new(200, type_of(call->rest), file);
}

/* ---- The page itself ------------------------------------------------------------------ */

#define WORDS_PREFIX "desk-" /* of the phrases that are the page's */

/* All that the page says, as JSON that may stand in a script element: no "<" ends it. */
static char *
dup_words_json(const DeskState *state)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_words_put_json(state->words, WORDS_PREFIX, json);
  pw_json_pair_string(json, "why", state->no_words);
  pw_json_key(json, "languages");
  pw_json_begin_array(json);
  g_auto(GStrv) languages = pw_words_dup_languages();
  for (char **language = languages; *language != NULL; language++)
    pw_json_string(json, *language);
  pw_json_end(json);
  pw_json_end(json);
  g_autofree char *text = pw_json_take_text(json);
  g_auto(GStrv) parts = g_strsplit(text, "<", -1);
  return g_strjoinv("\\u003c", parts);
}

/* The blanks of index.html, as text of HTML. The key goes into the page as it is read, so that only
 * who may read the page can write. Yours; NULL without a key. */
static char *
dup_filling(const DeskCall *call, const char *name)
{
  if (strcmp(name, "key-of-page") == 0)
    return desk_guard_dup_key(call->desk);
  if (strcmp(name, "words") == 0)
    return dup_words_json(call->state);
  g_autofree char *key = g_strconcat(WORDS_PREFIX, name, NULL);
  const PwWords *words = call->state->words;
  const char *text =
      strcmp(name, "language") == 0 ? pw_words_peek_language(words) : pw_words_peek(words, key);
  return g_markup_escape_text(text, -1);
}

/* `text` with every {name} filled in; yours, NULL when one cannot be. */
static char *
dup_filled(const DeskCall *call, const char *text)
{
  g_autoptr(GString) page = g_string_new(NULL);
  const char *from = text;
  for (const char *open = strchr(from, '{'); open != NULL; open = strchr(from, '{')) {
    const char *end = strchrnul(open, '}');
    g_autofree char *name = g_strndup(open + 1, (gsize)(end - open) - 1);
    g_autofree char *filling = dup_filling(call, name);
    if (filling == NULL || *end == '\0')
      return NULL;
    g_string_append_len(page, from, open - from);
    g_string_append(page, filling);
    from = end + 1;
  }
  g_string_append(page, from);
  return g_string_free(g_steal_pointer(&page), FALSE);
}

DeskAnswer *
desk_get_index(const DeskCall *call)
{
  g_autoptr(GBytes) file = find_file("index.html");
  gsize length = 0;
  const char *data = file ? g_bytes_get_data(file, &length) : "";
  g_autofree char *text = g_strndup(data, length);
  char *page = dup_filled(call, text);
  if (file == NULL || page == NULL)
    return desk_answer_says(500, "the page is not there");
  return desk_answer_new(200, type_of("index.html"), g_bytes_new_take(page, strlen(page)));
}

DeskAnswer *
desk_get_key(const DeskCall *call)
{
  g_autoptr(PwJson) json = pw_json_new();
  g_autofree char *key = desk_guard_dup_key(call->desk);
  pw_json_begin_object(json);
  pw_json_pair_string(json, "key", key);
  pw_json_end(json);
  return desk_answer_json(json);
}

/* The faces that plates are set in: on the page the same. */
DeskAnswer *
desk_get_type(const DeskCall *call)
{
  static const struct {
    const char *name, *family;
    gboolean bold, italic;
  } faces[] = {{"gentium-plus", "Gentium Plus", FALSE, FALSE},
               {"gentium-plus-bold", "Gentium Plus", TRUE, FALSE},
               {"gentium-plus-italic", "Gentium Plus", FALSE, TRUE},
               {"lato", "Lato", FALSE, FALSE},
               {"lato-bold", "Lato", TRUE, FALSE},
               {"lato-italic", "Lato", FALSE, TRUE}};
  for (gsize i = 0; i < G_N_ELEMENTS(faces); i++) {
    if (strcmp(faces[i].name, call->rest) != 0)
      continue;
    g_autoptr(GError) error = NULL;
    g_autofree char *path =
        pw_type_dup_file(faces[i].family, faces[i].bold, faces[i].italic, &error);
    char *data = NULL;
    gsize length;
    if (path == NULL || !g_file_get_contents(path, &data, &length, &error))
      return desk_answer_says(404, "%s", error->message);
    return desk_answer_new(200, "font/ttf", g_bytes_new_take(data, length));
  }
  return desk_answer_says(404, "there is no type of that name");
}
