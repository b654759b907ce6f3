/* Killed at any instant, an edit leaves the old file or the new one. */
#include "kill.h"

#include <platewright/yaml.h>

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { N_EDITS = 500, FILLER = 300 };

/* The text of edit `n`: long enough to take more than one write, its last line tells its first. */
static char *
text_of_edit(guint n)
{
  GString *text = g_string_new(NULL);
  g_string_append_printf(text, "count: %u # first\nmarks:\n", n);
  for (guint i = 0; i < FILLER; i++)
    g_string_append_printf(text,
                           "  - {id: %u, outline: \"1204,880 1250,871 1260,1015 1198,1020\"}\n", i);
  g_string_append_printf(text, "again: %u # last\n", n);
  return g_string_free(text, FALSE);
}

/* The child: one edit after another until it is killed or done. */
static int
edit_until_killed(const char *path, guint n_edits)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_open(path, "a.yaml", complaints, NULL);
  if (!yaml)
    return 2;
  gint64 n = 0;
  pw_parse_int(pw_yaml_node_peek_text(pw_yaml_node_get(pw_yaml_peek_root(yaml), "count")), &n);
  while (n < n_edits) {
    g_autofree char *next = g_strdup_printf("%d", (int)++n);
    if (!pw_yaml_set(yaml, "count", next, PW_YAML_AS_WORD, NULL) ||
        !pw_yaml_set(yaml, "again", next, PW_YAML_AS_WORD, NULL) || !pw_yaml_save(yaml, NULL))
      return 3;
  }
  return 0;
}

/* How many edits the file holds; fails unless it is exactly one of the texts there can be. */
static guint
edits_in(const char *path)
{
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  guint n = 0;
  assert_true(g_str_has_prefix(text, "count: "));
  n = (guint)g_ascii_strtoull(text + strlen("count: "), NULL, 10);
  g_autofree char *expected = text_of_edit(n);
  assert_string_equal(text, expected);
  return n;
}

static void
killed_at_any_moment_the_file_is_old_or_new(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-kill-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "a.yaml", NULL);
  g_autofree char *first = text_of_edit(0);
  assert_true(g_file_set_contents(path, first, -1, NULL));
  const KillTest test = {path, N_EDITS, edit_until_killed, edits_in};
  kill_until_done(&test);
  g_remove(path);
  assert_int_equal(g_rmdir(folder), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(killed_at_any_moment_the_file_is_old_or_new),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
