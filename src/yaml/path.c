/* Paths: keys and [N], joined by "/". */
#include "node.h"

#include <string.h>

/* Digits of an item's number: more items than that no text can hold. */
enum { ITEM_DIGITS = 7 };

static void
clear_step(gpointer data)
{
  g_free(((PwYamlStep *)data)->key);
}

/* "[12]" to 12. */
static gboolean
parse_item(const char *step, guint *item)
{
  if (step[0] != '[')
    return FALSE;
  const gsize n = strspn(step + 1, "0123456789");
  if (n == 0 || n > ITEM_DIGITS || !g_str_equal(step + 1 + n, "]"))
    return FALSE;
  *item = (guint)g_ascii_strtoull(step + 1, NULL, 10);
  return TRUE;
}

/* Takes the step at *path, its escapes undone, and moves *path behind its "/". */
static PwYamlStep
take_step(const char **path)
{
  g_autofree char *raw = NULL;
  GString *key = g_string_new(NULL);
  const char *at = *path;
  for (; *at && *at != '/'; at++) {
    if (*at == '\\' && at[1] && strchr("/\\[", at[1]))
      at++;
    g_string_append_c(key, *at);
  }
  raw = g_strndup(*path, (gsize)(at - *path));
  *path = *at ? at + 1 : at;
  PwYamlStep step = {0};
  if (parse_item(raw, &step.item))
    g_string_free(key, TRUE);
  else
    step.key = g_string_free(key, FALSE);
  return step;
}

GArray *
pw_yaml_path_parse(const char *path, GError **error)
{
  g_autoptr(GArray) steps = g_array_new(FALSE, FALSE, sizeof(PwYamlStep));
  g_array_set_clear_func(steps, clear_step);
  const char *at = path;
  gboolean good = *path != '\0' && path[strlen(path) - 1] != '/';
  while (good && *at) {
    const PwYamlStep step = take_step(&at);
    g_array_append_val(steps, step);
    good = !step.key || (*step.key && g_utf8_validate(step.key, -1, NULL));
  }
  if (!good) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "\"%s\" is not a path of keys and [N]", path);
    return NULL;
  }
  return g_steal_pointer(&steps);
}

char *
pw_yaml_dup_step(const char *key)
{
  GString *step = g_string_new(NULL);
  for (const char *at = key; *at; at++) {
    if (strchr("/\\[", *at))
      g_string_append_c(step, '\\');
    g_string_append_c(step, *at);
  }
  return g_string_free(step, FALSE);
}
