/* The page's own files, compiled into the library, and the type that plates are set in. */
#include "desk-private.h"

#include <platewright/pdf.h>
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

/* The key goes into the page as it is read, so that only who may read the page can write. */
DeskAnswer *
desk_get_index(const DeskCall *call)
{
  static const char place[] = "<meta name=\"desk-key\" content=\"";
  g_autoptr(GBytes) file = find_file("index.html");
  g_autofree char *key = desk_guard_dup_key(call->desk);
  gsize length = 0;
  const char *text = file ? g_bytes_get_data(file, &length) : "";
  const char *at = g_strstr_len(text, (gssize)length, place);
  if (at == NULL || key == NULL)
    return desk_answer_says(500, "the page is not there");
  gsize before = (gsize)(at - text) + strlen(place);
  GString *page = g_string_new_len(text, (gssize)before);
  g_string_append(page, key);
  g_string_append_len(page, text + before, (gssize)(length - before));
  return desk_answer_new(200, type_of("index.html"), g_string_free_to_bytes(page));
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
