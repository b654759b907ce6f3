/* What is asked for: one row a route. A pattern's blanks are {id}, looked up among the photographs'
 * IDs; {n}, a whole number; {word}, a word that the handler knows or not; {name} at the end, a name
 * of ours, never a path of the folder. A path with anything else in it, an escape, a point before a
 * name, matches nothing.
 */
#include "desk-private.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  const char *method, *pattern;
  DeskAnswer *(*answer)(const DeskCall *call);
} Route;

static const Route routes[] = {
    {"GET", "/", desk_get_index},
    {"GET", "/key", desk_get_key},
    {"GET", "/page/{name}", desk_get_page},
    {"GET", "/type/{name}", desk_get_type},
    {"GET", "/volume", desk_get_volume},
    {"GET", "/record", desk_get_record},
    {"GET", "/terms", desk_get_terms},
    {"GET", "/pulse", desk_get_pulse},
    {"GET", "/photo/{id}", desk_get_photo},
    {"GET", "/photo/{id}/sight", desk_get_sight},
    {"GET", "/photo/{id}/tiles", desk_get_tiles},
    {"GET", "/photo/{id}/tile/{n}/{n}/{n}", desk_get_tile},
    {"GET", "/photo/{id}/plate", desk_get_plate},
    {"POST", "/photo/{id}/edit", desk_post_edit},
    {"POST", "/record/edit", desk_post_record},
    {"POST", "/photo/{id}/size", desk_post_size},
    {"POST", "/photo/{id}/trace", desk_post_trace},
    {"POST", "/photo/{id}/simplify", desk_post_simplify},
    {"POST", "/photo/{id}/corners", desk_post_corners},
    {"POST", "/intake", desk_post_intake},
    {"POST", "/check", desk_post_check},
    {"GET", "/documents", desk_get_documents},
    {"GET", "/document/{word}/{word}/{word}/page/{n}", desk_get_document_page},
    {"GET", "/document/{word}/{word}/{word}/pdf", desk_get_document_pdf},
    {"GET", "/document/{word}/{word}/{word}/html", desk_get_document_html},
    {"POST", "/document/{word}/{word}/{word}/issue", desk_post_issue},
    {"GET", "/labels/{word}/{n}/page/{n}", desk_get_labels_page},
    {"GET", "/labels/{word}/{n}/pdf", desk_get_labels_pdf},
    {"GET", "/table/{word}/{name}", desk_get_table},
    {"GET", "/issued/{name}", desk_get_kept},
};

/* ---- Matching ---------------------------------------------------------------------- */

/* What stood in the blanks. */
typedef struct {
  char *id;
  const char *name;
  char *words[3];
  int numbers[3];
  gsize n_words, n_numbers;
} Blanks;

static void
blanks_clear(Blanks *blanks)
{
  g_free(blanks->id);
  for (gsize i = 0; i < blanks->n_words; i++)
    g_free(blanks->words[i]);
  *blanks = (Blanks){0};
}

/* Words of letters, digits, "-", "_" and ".", none beginning with a point, joined by "/". */
static gboolean
is_name(const char *text)
{
  gboolean begins = TRUE;
  for (; *text; text++) {
    if (!g_ascii_isalnum(*text) && strchr("-_./", *text) == NULL)
      return FALSE;
    if (begins && (*text == '.' || *text == '/'))
      return FALSE;
    begins = *text == '/';
  }
  return !begins;
}

static gboolean
fill_number(Blanks *blanks, const char *word)
{
  gint64 value;
  if (!g_ascii_isdigit(*word) || strlen(word) > 6 || !pw_parse_int(word, &value) ||
      blanks->n_numbers == G_N_ELEMENTS(blanks->numbers))
    return FALSE;
  blanks->numbers[blanks->n_numbers++] = (int)value;
  return TRUE;
}

/* As in a path of is_name, between two "/". */
static gboolean
fill_word(Blanks *blanks, const char *word)
{
  if (strchr(word, '/') != NULL || !is_name(word) || blanks->n_words == G_N_ELEMENTS(blanks->words))
    return FALSE;
  blanks->words[blanks->n_words++] = g_strdup(word);
  return TRUE;
}

static gboolean
fill(Blanks *blanks, const char *part, const char *word)
{
  if (strcmp(part, "{id}") == 0) {
    g_free(blanks->id);
    blanks->id = g_strdup(word);
    return TRUE;
  }
  if (strcmp(part, "{word}") == 0)
    return fill_word(blanks, word);
  return strcmp(part, "{n}") == 0 ? fill_number(blanks, word) : strcmp(part, word) == 0;
}

static gboolean
matches(const char *pattern, const char *path, Blanks *blanks)
{
  g_auto(GStrv) wanted = g_strsplit(pattern + 1, "/", -1);
  const char *at = path + 1;
  if (*wanted == NULL)
    return *at == '\0';
  for (char **part = wanted; *part; part++) {
    if (strcmp(*part, "{name}") == 0)
      return is_name(blanks->name = at);
    const char *end = strchrnul(at, '/');
    g_autofree char *word = g_strndup(at, (gsize)(end - at));
    if (!fill(blanks, *part, word) || (part[1] == NULL) != (*end == '\0'))
      return FALSE;
    at = end + 1;
  }
  return TRUE;
}

/* The route of that path for that method; `known` when the path has one for another method. */
static const Route *
find_route(const DeskAsk *ask, Blanks *blanks, const char **known)
{
  const char *method = strcmp(ask->method, "HEAD") == 0 ? "GET" : ask->method;
  *known = NULL;
  for (gsize i = 0; ask->path[0] == '/' && i < G_N_ELEMENTS(routes); i++) {
    blanks_clear(blanks);
    if (!matches(routes[i].pattern, ask->path, blanks))
      continue;
    if (strcmp(routes[i].method, method) == 0)
      return &routes[i];
    *known = routes[i].method;
  }
  return NULL;
}

/* ---- Answering --------------------------------------------------------------------- */

static DeskAnswer *
no_route(const char *known)
{
  if (known == NULL)
    return desk_answer_says(404, "there is no such thing here");
  DeskAnswer *answer = desk_answer_says(405, "this is asked for with %s", known);
  desk_answer_header(answer, "Allow", known);
  return answer;
}

/* A folder may have become a link since it was read: what lies behind is not of this volume. */
static gboolean
is_inside(const PwDesk *desk, const PwModelPhoto *photo)
{
  g_autofree char *parent = g_path_get_dirname(photo->path);
  char *real = realpath(parent, NULL);
  gsize length = strlen(desk->folder);
  gboolean inside = real != NULL && strncmp(real, desk->folder, length) == 0 &&
                    (real[length] == '/' || real[length] == '\0');
  free(real);
  return inside && !g_file_test(photo->path, G_FILE_TEST_IS_SYMLINK);
}

static DeskAnswer *
answer_with(const Route *route, DeskCall *call, const Blanks *blanks)
{
  if (blanks->id != NULL) {
    call->photo = g_hash_table_lookup(call->state->by_id, blanks->id);
    if (call->photo == NULL)
      return desk_answer_says(404, "there is no such photograph in this volume");
    if (!is_inside(call->desk, call->photo))
      return desk_answer_phrase(403, call->state->words, "desk-is-link", call->photo->file);
  }
  call->rest = blanks->name;
  memcpy(call->words, blanks->words, sizeof call->words);
  memcpy(call->numbers, blanks->numbers, sizeof call->numbers);
  return route->answer(call);
}

DeskAnswer *
desk_route(PwDesk *desk, const DeskAsk *ask)
{
  Blanks blanks = {0};
  const char *known;
  const Route *route = find_route(ask, &blanks, &known);
  g_autoptr(DeskState) state = desk_shelf_now(desk->shelf);
  DeskCall call = {.desk = desk, .ask = ask, .state = state};
  DeskAnswer *answer = route ? answer_with(route, &call, &blanks) : no_route(known);
  blanks_clear(&blanks);
  return answer;
}
