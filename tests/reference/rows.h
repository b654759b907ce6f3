/* Reads the check values of this folder: a line of versions, a line of column names, then rows of
 * fields set apart by semicolons. For tests only. */
#ifndef PW_TESTS_REFERENCE_ROWS_H
#define PW_TESTS_REFERENCE_ROWS_H

#include <platewright/geometry.h>

/* An array of char ** (each a row), which is yours; NULL when there is no such file. */
static inline GPtrArray *
reference_rows(const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "tests", "reference", name, NULL);
  g_autofree char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL))
    return NULL;
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  GPtrArray *rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev);
  for (guint i = 2; i < g_strv_length(lines); i++)
    if (lines[i][0] != '\0')
      g_ptr_array_add(rows, g_strsplit(lines[i], ";", -1));
  return rows;
}

/* Several paths, set apart by bars; the array is yours. */
static inline PwPxPath *
reference_paths(const char *text, gsize *n)
{
  g_auto(GStrv) parts = g_strsplit(text, "|", -1);
  *n = g_strv_length(parts);
  PwPxPath *paths = g_new0(PwPxPath, *n + 1);
  for (gsize i = 0; i < *n; i++)
    if (!pw_px_path_parse(parts[i], &paths[i], NULL, NULL))
      g_error("no points in a reference row: %s", parts[i]);
  return paths;
}

static inline void
reference_paths_free(PwPxPath *paths, gsize n)
{
  for (gsize i = 0; i < n; i++)
    pw_px_path_clear(&paths[i]);
  g_free(paths);
}

#endif
