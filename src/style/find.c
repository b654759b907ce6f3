/* Find: where styles and words lie. $PLATEWRIGHT_STYLES first, then the tree that was built, then
 * where it was installed.
 */
#include "private.h"

#include <string.h>

/* The folders, in order; NULL-terminated. */
static char **
dup_folders(void)
{
  const char *own = g_getenv("PLATEWRIGHT_STYLES");
  g_autoptr(GStrvBuilder) folders = g_strv_builder_new();
  if (own != NULL && *own != '\0')
    g_strv_builder_add(folders, own);
  g_strv_builder_add(folders, PW_STYLES_BUILD);
  g_strv_builder_add(folders, PW_STYLES_INSTALLED);
  return g_strv_builder_end(folders);
}

static char *
dup_path_in_folders(const char *folder, const char *file, const char *except)
{
  g_auto(GStrv) folders = dup_folders();
  for (gsize i = 0; folders[i] != NULL; i++) {
    g_autofree char *path = g_build_filename(folders[i], folder, file, NULL);
    if (g_strcmp0(path, except) != 0 && g_file_test(path, G_FILE_TEST_IS_REGULAR))
      return g_steal_pointer(&path);
  }
  return NULL;
}

static gint
by_name(gconstpointer a, gconstpointer b, gpointer unused)
{
  (void)unused;
  return strcmp(a, b);
}

/* What lies in the folders of styles and is none. */
static gboolean
is_no_style(const char *file)
{
  static const char *const others[] = {"terms.yaml", "care.yaml", NULL};
  return g_strv_contains(others, file);
}

char **
pw_style_dup_names(const char *folder)
{
  g_auto(GStrv) folders = dup_folders();
  g_autoptr(GTree) names = g_tree_new_full(by_name, NULL, g_free, NULL);
  for (gsize i = 0; folders[i] != NULL; i++) {
    g_autofree char *path = g_build_filename(folders[i], folder, NULL);
    g_autoptr(GDir) listed = g_dir_open(path, 0, NULL);
    for (const char *file; listed != NULL && (file = g_dir_read_name(listed)) != NULL;)
      if (g_str_has_suffix(file, ".yaml") && !is_no_style(file))
        g_tree_insert(names, g_strndup(file, strlen(file) - strlen(".yaml")), NULL);
  }
  g_autoptr(GStrvBuilder) list = g_strv_builder_new();
  for (GTreeNode *at = g_tree_node_first(names); at != NULL; at = g_tree_node_next(at))
    g_strv_builder_add(list, g_tree_node_key(at));
  return g_strv_builder_end(list);
}

char **
pw_styles_dup_names(void)
{
  return pw_style_dup_names("");
}

char *
pw_style_dup_path(const PwStyleKind *kind, const char *name, const char *except, GError **error)
{
  if (strchr(name, '/') != NULL || g_str_has_suffix(name, ".yaml"))
    return g_strdup(name);
  g_autofree char *file = g_strdup_printf("%s.yaml", name);
  char *path = dup_path_in_folders(kind->folder, file, except);
  if (path == NULL) {
    g_auto(GStrv) list = pw_style_dup_names(kind->folder);
    g_autofree char *names = g_strjoinv(", ", list);
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "there is no %s \"%s\"; there is %s; a file of your own is given by its path",
                kind->what, name, *names != '\0' ? names : "none");
  }
  return path;
}

char *
pw_style_dup_folder(GError **error)
{
  g_autofree char *terms = dup_path_in_folders("", "terms.yaml", NULL);
  if (terms != NULL)
    return g_path_get_dirname(terms);
  g_set_error(error, PW_ERROR, PW_ERROR_FILE,
              "terms.yaml is neither in $PLATEWRIGHT_STYLES nor in %s", PW_STYLES_INSTALLED);
  return NULL;
}
