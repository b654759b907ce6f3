#include "kill.h"

#include <platewright/base.h>

#include <glib/gstdio.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

enum { FIRST_LIFE_US = 20000 };

/* Removes what deaths have left behind, which must be known by its prefix; how many there were. */
static guint
clear_leftovers(const char *path)
{
  guint n = 0;
  g_autofree char *folder = g_path_get_dirname(path), *own = g_path_get_basename(path);
  GDir *dir = g_dir_open(folder, 0, NULL);
  for (const char *name; (name = g_dir_read_name(dir));) {
    if (g_str_equal(name, own))
      continue;
    assert_true(g_str_has_prefix(name, PW_TEMP_PREFIX));
    g_autofree char *left = g_build_filename(folder, name, NULL);
    assert_int_equal(g_remove(left), 0);
    n++;
  }
  g_dir_close(dir);
  return n;
}

/* Lets a child live for `life_us`. TRUE if it was killed; a child that ended by itself must have
 * done all. */
static gboolean
run_child(const KillTest *test, guint life_us)
{
  const pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0)
    _exit(test->edit_all(test->path, test->n));
  g_usleep(life_us);
  kill(child, SIGKILL);
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  if (WIFSIGNALED(status))
    return TRUE;
  assert_int_equal(WEXITSTATUS(status), 0);
  return FALSE;
}

void
kill_until_done(const KillTest *test)
{
  GRand *random = g_rand_new_with_seed(20260302);
  guint n_killed = 0, done = 0, longest_us = FIRST_LIFE_US;
  for (gboolean more = TRUE; more;) {
    more = run_child(test, (guint)g_rand_int_range(random, 500, (gint32)longest_us));
    n_killed += more ? 1 : 0;
    const guint now = test->edits_in(test->path);
    assert_true(now >= done);
    if (now == done && longest_us < G_USEC_PER_SEC) /* slow here: a busy machine, a checking tool */
      longest_us += FIRST_LIFE_US;
    done = now;
  }
  g_rand_free(random);
  assert_int_equal(done, test->n);
  print_message("# %u edits, killed %u times, %u temporary files left\n", test->n, n_killed,
                clear_leftovers(test->path));
  assert_true(n_killed > 0);
}
