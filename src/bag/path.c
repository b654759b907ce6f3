/* Paths in a bag: how manifests write them, and which must not be followed. */
#include "private.h"

#include <string.h>

static const struct {
  char character;
  const char *code;
} encoded[] = {{'\r', "%0D"}, {'\n', "%0A"}, {'%', "%25"}};

char *
pw_bag_path_dup_encoded(const char *path)
{
  GString *text = g_string_new(NULL);
  for (const char *at = path; *at; at++) {
    const char *code = NULL;
    for (gsize i = 0; i < G_N_ELEMENTS(encoded); i++)
      if (*at == encoded[i].character)
        code = encoded[i].code;
    if (code)
      g_string_append(text, code);
    else
      g_string_append_c(text, *at);
  }
  return g_string_free(text, FALSE);
}

char *
pw_bag_path_dup_decoded(const char *path, gboolean *clean)
{
  GString *text = g_string_new(NULL);
  *clean = TRUE;
  for (const char *at = path; *at;) {
    gsize i = 0;
    while (i < G_N_ELEMENTS(encoded) && g_ascii_strncasecmp(at, encoded[i].code, 3) != 0)
      i++;
    if (i < G_N_ELEMENTS(encoded)) {
      g_string_append_c(text, encoded[i].character);
      at += strlen(encoded[i].code);
      continue;
    }
    *clean = *clean && *at != '%';
    g_string_append_c(text, *at++);
  }
  return g_string_free(text, FALSE);
}

/* What leads elsewhere on Windows counts too: who packed it may have meant another machine. */
const char *
pw_bag_path_peek_danger(const char *path)
{
  if (*path == '\0')
    return "names no file";
  if (*path == '/')
    return "is absolute";
  if (*path == '~')
    return "begins with ~, which a shell takes for a home";
  if (strchr(path, '\\') != NULL)
    return "holds a backslash, which parts folders on other machines";
  if (g_ascii_isalpha(path[0]) && path[1] == ':')
    return "names a drive";
  g_auto(GStrv) parts = g_strsplit(path, "/", -1);
  for (char **part = parts; *part; part++) {
    if (strcmp(*part, "..") == 0)
      return "leads out of a folder by ..";
    if (strcmp(*part, ".") == 0 || **part == '\0')
      return "holds an empty step";
  }
  return NULL;
}

gboolean
pw_bag_path_is_payload(const char *path)
{
  return g_str_has_prefix(path, PW_BAG_PAYLOAD "/");
}
