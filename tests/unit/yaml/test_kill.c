/* Killed at any instant, an edit leaves the old file or the new one.
 *
 * A child edits one file over and over, counting up; the parent kills it without warning at random
 * moments until all edits are done, and looks at what is there after each death. */
#include <platewright/yaml.h>

#include <glib/gstdio.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

enum { N_EDITS = 500, FIRST_LIFE_US = 20000, FILLER = 300 };

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
edit_until_killed(const char *path)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_open(path, "a.yaml", complaints, NULL);
  if (!yaml)
    return 2;
  gint64 n = 0;
  pw_parse_int(pw_yaml_node_peek_text(pw_yaml_node_get(pw_yaml_peek_root(yaml), "count")), &n);
  while (n < N_EDITS) {
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

/* Removes what deaths have left behind, which must be known by its prefix; how many there were. */
static guint
clear_leftovers(const char *folder)
{
  guint n = 0;
  GDir *dir = g_dir_open(folder, 0, NULL);
  for (const char *name; (name = g_dir_read_name(dir));) {
    if (g_str_equal(name, "a.yaml"))
      continue;
    assert_true(g_str_has_prefix(name, PW_TEMP_PREFIX));
    g_autofree char *path = g_build_filename(folder, name, NULL);
    assert_int_equal(g_remove(path), 0);
    n++;
  }
  g_dir_close(dir);
  return n;
}

/* Lets a child live for `life_us`, or for as long as it likes when that is 0. TRUE if it was
 * killed; a child that ended by itself must have done all. */
static gboolean
run_child(const char *path, guint life_us)
{
  const pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0)
    _exit(edit_until_killed(path));
  if (life_us > 0) {
    g_usleep(life_us);
    kill(child, SIGKILL);
  }
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  if (WIFSIGNALED(status))
    return TRUE;
  assert_int_equal(WEXITSTATUS(status), 0);
  return FALSE;
}

static void
killed_at_any_moment_the_file_is_old_or_new(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-kill-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "a.yaml", NULL);
  g_autofree char *first = text_of_edit(0);
  assert_true(g_file_set_contents(path, first, -1, NULL));
  GRand *random = g_rand_new_with_seed(20260302);
  guint n_killed = 0, n_leftovers = 0, done = 0, longest_us = FIRST_LIFE_US;
  for (gboolean more = TRUE; more;) {
    more = run_child(path, (guint)g_rand_int_range(random, 500, (gint32)longest_us));
    n_killed += more ? 1 : 0;
    const guint now = edits_in(path);
    assert_true(now >= done);
    if (now == done && longest_us < G_USEC_PER_SEC) /* slow here: a busy machine, a checking tool */
      longest_us += FIRST_LIFE_US;
    done = now;
    n_leftovers += clear_leftovers(folder);
  }
  g_rand_free(random);
  assert_int_equal(done, N_EDITS);
  print_message("# %d edits, killed %u times, %u temporary files left\n", N_EDITS, n_killed,
                n_leftovers);
  assert_true(n_killed > 0);
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
