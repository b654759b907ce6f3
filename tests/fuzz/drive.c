/* Runs a fuzz target over every file of the folder given, as an ordinary test (TAP): what was once
 * found stays found without a fuzzer. */
#include <glib.h>
#include <stdint.h>
#include <stdio.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static gint
compare_names(gconstpointer a, gconstpointer b)
{
  return g_strcmp0(*(const char *const *)a, *(const char *const *)b);
}

static GPtrArray *
list_files(const char *folder)
{
  GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
  GDir *dir = g_dir_open(folder, 0, NULL);
  for (const char *name; dir && (name = g_dir_read_name(dir));)
    g_ptr_array_add(names, g_strdup(name));
  if (dir)
    g_dir_close(dir);
  g_ptr_array_sort(names, compare_names);
  return names;
}

int
main(int n_arguments, char **arguments)
{
  if (n_arguments != 2)
    return 2;
  g_autoptr(GPtrArray) names = list_files(arguments[1]);
  printf("1..%u\n", names->len);
  for (guint i = 0; i < names->len; i++) {
    const char *name = g_ptr_array_index(names, i);
    g_autofree char *path = g_build_filename(arguments[1], name, NULL);
    g_autofree char *data = NULL;
    gsize size = 0;
    const gboolean read = g_file_get_contents(path, &data, &size, NULL);
    if (read)
      LLVMFuzzerTestOneInput((const uint8_t *)data, size);
    printf("%s %u - %s\n", read ? "ok" : "not ok", i + 1, name);
    fflush(stdout); /* so that a crash names its file: the one after the last told */
  }
  return names->len > 0 ? 0 : 1;
}
