/* Files read and written: what is refused, what is kept, and that a write that fails at any step
 * leaves the old file and nothing beside it. */
#include <platewright/base.h>
#include "base/calls.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <cmocka.h>

typedef struct {
  char *folder, *path;
  PwFileCalls real;
} Place;

static int
set_up(void **state)
{
  Place *place = g_new0(Place, 1);
  place->folder = g_dir_make_tmp("pw-file-XXXXXX", NULL);
  place->path = g_build_filename(place->folder, "volume.yaml", NULL);
  place->real = pw_file_calls;
  *state = place;
  return g_file_set_contents(place->path, "old", -1, NULL) ? 0 : -1;
}

static int
tear_down(void **state)
{
  Place *place = *state;
  pw_file_calls = place->real;
  GDir *dir = g_dir_open(place->folder, 0, NULL);
  for (const char *name; (name = g_dir_read_name(dir));) {
    g_autofree char *path = g_build_filename(place->folder, name, NULL);
    g_remove(path);
  }
  g_dir_close(dir);
  g_rmdir(place->folder);
  g_free(place->folder);
  g_free(place->path);
  g_free(place);
  return 0;
}

static gint replacing; /* atomic */

static void
assert_holds(const char *path, const char *expected)
{
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  assert_string_equal(text, expected);
}

static guint
count_files(const char *folder)
{
  guint n = 0;
  GDir *dir = g_dir_open(folder, 0, NULL);
  while (g_dir_read_name(dir))
    n++;
  g_dir_close(dir);
  return n;
}

static void
assert_failed(GError *error, PwErrorCode code, const char *path)
{
  assert_non_null(error);
  assert_true(error->domain == PW_ERROR);
  assert_int_equal(error->code, code);
  assert_non_null(strstr(error->message, path));
  g_error_free(error);
}

static void
reads_a_whole_file_with_its_state(void **state)
{
  const Place *place = *state;
  gsize length = 0;
  PwFileState read, seen;
  g_autofree char *text = pw_file_read(place->path, 3, &length, &read, NULL);
  assert_string_equal(text, "old");
  assert_int_equal(length, 3);
  assert_true(pw_file_state_of(place->path, &seen, NULL));
  assert_true(pw_file_state_equal(&read, &seen));
  assert_true(g_file_set_contents(place->path, "new", -1, NULL));
  assert_true(pw_file_state_of(place->path, &seen, NULL));
  assert_false(pw_file_state_equal(&read, &seen));
}

static void
reads_nothing_but_regular_files(void **state)
{
  const Place *place = *state;
  GError *error = NULL;
  g_autofree char *link = g_build_filename(place->folder, "link", NULL);
  g_autofree char *pipe = g_build_filename(place->folder, "pipe", NULL);
  g_autofree char *none = g_build_filename(place->folder, "none", NULL);
  assert_int_equal(symlink("volume.yaml", link), 0);
  assert_int_equal(mkfifo(pipe, 0600), 0);
  const char *const bad[] = {link, pipe, none, place->folder};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
    assert_int_equal(pw_file_open(bad[i], NULL, &error), -1);
    assert_failed(g_steal_pointer(&error), PW_ERROR_FILE, bad[i]);
  }
  assert_null(pw_file_read(place->path, 2, NULL, NULL, &error));
  assert_failed(error, PW_ERROR_LIMIT, place->path);
}

static void
reading_leaves_the_access_time_alone(void **state)
{
  const Place *place = *state;
  const struct timespec long_ago[2] = {{.tv_sec = 1000000}, {.tv_sec = 1000000}};
  assert_int_equal(utimensat(AT_FDCWD, place->path, long_ago, 0), 0);
  struct stat before, after;
  assert_int_equal(stat(place->path, &before), 0);
  g_autofree char *text = pw_file_read(place->path, 100, NULL, NULL, NULL);
  assert_string_equal(text, "old");
  assert_int_equal(stat(place->path, &after), 0);
  assert_int_equal(before.st_atim.tv_sec, after.st_atim.tv_sec);
  assert_int_equal(before.st_mtim.tv_sec, after.st_mtim.tv_sec);
}

static void
a_replaced_file_keeps_its_permissions(void **state)
{
  const Place *place = *state;
  struct stat status;
  assert_int_equal(chmod(place->path, 0640), 0);
  assert_true(pw_file_write_whole(place->path, "new", 3, NULL, NULL));
  assert_holds(place->path, "new");
  assert_int_equal(stat(place->path, &status), 0);
  assert_int_equal(status.st_mode & 07777, 0640);
  g_autofree char *fresh = g_build_filename(place->folder, "fresh", NULL);
  const mode_t mask = umask(027);
  assert_true(pw_file_write_whole(fresh, NULL, 0, NULL, NULL));
  umask(mask);
  assert_int_equal(stat(fresh, &status), 0);
  assert_int_equal(status.st_mode & 07777, 0640);
  assert_int_equal(status.st_size, 0);
  assert_int_equal(count_files(place->folder), 2);
}

static void
a_file_changed_underneath_is_refused(void **state)
{
  const Place *place = *state;
  GError *error = NULL;
  PwFileState known;
  assert_true(pw_file_state_of(place->path, &known, NULL));
  const PwWriteGuard guard = {.expected = &known, .written = &known};
  assert_true(pw_file_write_whole(place->path, "mine", 4, &guard, NULL));
  assert_true(pw_file_write_whole(place->path, "mine 2", 6, &guard, NULL)); /* state went along */
  assert_true(g_file_set_contents(place->path, "theirs", -1, NULL));
  assert_false(pw_file_write_whole(place->path, "mine 3", 6, &guard, &error));
  assert_failed(g_steal_pointer(&error), PW_ERROR_STALE, place->path);
  assert_holds(place->path, "theirs");
  g_remove(place->path);
  assert_false(pw_file_write_whole(place->path, "mine 4", 6, &guard, &error));
  assert_failed(error, PW_ERROR_STALE, place->path);
  assert_int_equal(count_files(place->folder), 0);
}

static const Place *changing;

/* Another program writes while ours is being flushed. */
static int
fsync_while_another_writes(int fd)
{
  g_file_set_contents(changing->path, "theirs", -1, NULL);
  return changing->real.fsync(fd);
}

static void
a_change_during_the_write_is_seen(void **state)
{
  changing = *state;
  GError *error = NULL;
  PwFileState known;
  assert_true(pw_file_state_of(changing->path, &known, NULL));
  pw_file_calls.fsync = fsync_while_another_writes;
  const PwWriteGuard guard = {.expected = &known};
  assert_false(pw_file_write_whole(changing->path, "mine", 4, &guard, &error));
  assert_failed(g_steal_pointer(&error), PW_ERROR_STALE, changing->path);
  assert_holds(changing->path, "theirs");
  g_remove(changing->path);
  const PwWriteGuard new_one = {.must_be_new = TRUE};
  assert_false(pw_file_write_whole(changing->path, "mine", 4, &new_one, &error));
  assert_failed(error, PW_ERROR_STALE, changing->path);
  assert_holds(changing->path, "theirs");
  assert_int_equal(count_files(changing->folder), 1);
}

static int
renameat2_unknown(int from_folder, const char *from, int to_folder, const char *to, unsigned flags)
{
  if (flags == 0)
    return changing->real.renameat2(from_folder, from, to_folder, to, flags);
  errno = EINVAL;
  return -1;
}

static int
linkat_unknown(int from_folder, const char *from, int to_folder, const char *to, int flags)
{
  (void)from_folder, (void)from, (void)to_folder, (void)to, (void)flags;
  errno = EPERM;
  return -1;
}

static void
a_new_file_is_made_on_simple_file_systems(void **state)
{
  changing = *state;
  GError *error = NULL;
  const PwWriteGuard guard = {.must_be_new = TRUE};
  pw_file_calls.renameat2 = renameat2_unknown;
  pw_file_calls.linkat = linkat_unknown;
  assert_false(pw_file_write_whole(changing->path, "new", 3, &guard, &error));
  assert_failed(error, PW_ERROR_STALE, changing->path);
  assert_holds(changing->path, "old");
  g_autofree char *fresh = g_build_filename(changing->folder, "fresh", NULL);
  assert_true(pw_file_write_whole(fresh, "new", 3, &guard, NULL));
  assert_holds(fresh, "new");
  assert_int_equal(count_files(changing->folder), 2);
}

/* Another program makes the file between our last look and the renaming. */
static int
renameat2_too_late(int from_folder, const char *from, int to_folder, const char *to, unsigned flags)
{
  g_file_set_contents(changing->path, "theirs", -1, NULL);
  return changing->real.renameat2(from_folder, from, to_folder, to, flags);
}

static void
a_file_made_at_the_last_instant_stays(void **state)
{
  changing = *state;
  GError *error = NULL;
  g_remove(changing->path);
  pw_file_calls.renameat2 = renameat2_too_late;
  const PwWriteGuard guard = {.must_be_new = TRUE};
  assert_false(pw_file_write_whole(changing->path, "mine", 4, &guard, &error));
  assert_failed(error, PW_ERROR_STALE, changing->path);
  assert_holds(changing->path, "theirs");
  assert_int_equal(count_files(changing->folder), 1);
}

static void
a_new_file_never_replaces_one(void **state)
{
  const Place *place = changing = *state;
  GError *error = NULL;
  const PwWriteGuard guard = {.must_be_new = TRUE};
  assert_false(pw_file_write_whole(place->path, "new", 3, &guard, &error));
  assert_failed(g_steal_pointer(&error), PW_ERROR_STALE, place->path);
  assert_holds(place->path, "old");
  g_autofree char *first = g_build_filename(place->folder, "first", NULL);
  assert_true(pw_file_write_whole(first, "new", 3, &guard, NULL));
  assert_holds(first, "new");
  pw_file_calls.renameat2 = renameat2_unknown;
  g_autofree char *second = g_build_filename(place->folder, "second", NULL);
  assert_true(pw_file_write_whole(second, "new", 3, &guard, NULL));
  assert_holds(second, "new");
  assert_int_equal(count_files(place->folder), 3);
  pw_file_calls.fsync = fsync_while_another_writes;
  g_remove(place->path);
  assert_false(pw_file_write_whole(place->path, "new", 3, &guard, &error));
  assert_failed(error, PW_ERROR_STALE, place->path);
  assert_holds(place->path, "theirs");
}

static void
links_and_odd_places_are_refused(void **state)
{
  const Place *place = *state;
  GError *error = NULL;
  g_autofree char *link = g_build_filename(place->folder, "link", NULL);
  g_autofree char *dangling = g_build_filename(place->folder, "dangling", NULL);
  g_autofree char *nowhere = g_build_filename(place->folder, "none", "file", NULL);
  assert_int_equal(symlink("volume.yaml", link), 0);
  assert_int_equal(symlink("not there", dangling), 0);
  const char *const bad[] = {link, dangling, nowhere, place->folder};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
    assert_false(pw_file_write_whole(bad[i], "new", 3, NULL, &error));
    assert_failed(g_steal_pointer(&error), PW_ERROR_FILE, bad[i]);
  }
  assert_holds(place->path, "old");
  assert_int_equal(count_files(place->folder), 3);
}

/* ---- Failures: the n-th call of one kind answers as told. */

static struct {
  PwFileCalls real;
  int countdown, reason, n_closed;
} failing;

static gboolean
fails_now(void)
{
  if (--failing.countdown != 0)
    return FALSE;
  errno = failing.reason;
  return TRUE;
}

static ssize_t
failing_write(int fd, const void *data, size_t size)
{
  return fails_now() ? -1 : failing.real.write(fd, data, MIN(size, 2));
}

static ssize_t
write_nothing(int fd, const void *data, size_t size)
{
  (void)fd, (void)data, (void)size;
  errno = 0;
  return 0;
}

static int
failing_fsync(int fd)
{
  return fails_now() ? -1 : failing.real.fsync(fd);
}

static int
failing_close(int fd)
{
  const gboolean fails = fails_now();
  const int reason = errno;
  failing.real.close(fd);
  failing.n_closed++;
  errno = reason;
  return fails ? -1 : 0;
}

static int
failing_rename(int from_folder, const char *from, int to_folder, const char *to, unsigned flags)
{
  return fails_now() ? -1 : failing.real.renameat2(from_folder, from, to_folder, to, flags);
}

static void
arm(const Place *place, int countdown, int reason)
{
  pw_file_calls = failing.real = place->real;
  failing.countdown = countdown;
  failing.reason = reason;
  failing.n_closed = 0;
}

static void
assert_write_fails(const Place *place, const char *word)
{
  GError *error = NULL;
  assert_false(pw_file_write_whole(place->path, "the new text", 12, NULL, &error));
  assert_non_null(strstr(error->message, word));
  assert_failed(error, PW_ERROR_FILE, place->path);
  assert_holds(place->path, "old");
  assert_int_equal(count_files(place->folder), 1);
}

static void
a_step_that_fails_leaves_the_old_file_alone(void **state)
{
  const Place *place = *state;
  for (int nth = 1; nth <= 6; nth++) { /* two bytes a call: six calls */
    arm(place, nth, ENOSPC);
    pw_file_calls.write = failing_write;
    assert_write_fails(place, "No space");
  }
  arm(place, 0, 0);
  pw_file_calls.write = write_nothing;
  assert_write_fails(place, "No space");
  arm(place, 1, EIO);
  pw_file_calls.fsync = failing_fsync;
  assert_write_fails(place, "flushing");
  arm(place, 1, EIO);
  pw_file_calls.close = failing_close;
  assert_write_fails(place, "closing");
  assert_int_equal(failing.n_closed, 1); /* never twice: the number may be another's by then */
  arm(place, 1, EXDEV);
  pw_file_calls.renameat2 = failing_rename;
  assert_write_fails(place, "renaming");
}

static void
interruptions_are_sat_out(void **state)
{
  const Place *place = *state;
  arm(place, 3, EINTR);
  pw_file_calls.write = failing_write;
  assert_true(pw_file_write_whole(place->path, "text one", 8, NULL, NULL));
  assert_holds(place->path, "text one");
  arm(place, 1, EINTR);
  pw_file_calls.fsync = failing_fsync;
  assert_true(pw_file_write_whole(place->path, "text two", 8, NULL, NULL));
  assert_holds(place->path, "text two");
  assert_int_equal(count_files(place->folder), 1);
}

static void
a_folder_that_cannot_be_flushed_is_told(void **state)
{
  const Place *place = *state;
  GError *error = NULL;
  arm(place, 2, EIO);
  pw_file_calls.fsync = failing_fsync;
  assert_false(pw_file_write_whole(place->path, "new", 3, NULL, &error));
  assert_failed(error, PW_ERROR_FILE, place->path);
  assert_holds(place->path, "new"); /* whole, and perhaps not yet on the disk */
  arm(place, 2, EINVAL);
  pw_file_calls.fsync = failing_fsync;
  assert_true(pw_file_write_whole(place->path, "newer", 5, NULL, NULL));
}

/* Another who replaces the file as fast as can be. */
static gpointer
replace_until_told(gpointer data)
{
  const Place *place = data;
  g_autofree char *other = g_build_filename(place->folder, "other", NULL);
  while (g_atomic_int_get(&replacing)) {
    const int fd = open(other, O_WRONLY | O_CREAT | O_TRUNC, 0644);
    if (fd < 0 || write(fd, "new", 3) != 3 || close(fd) != 0 || g_rename(other, place->path) != 0)
      return GINT_TO_POINTER(1);
    g_usleep(20);
  }
  return NULL;
}

/* The reader holds a whole file the name of which was taken away: it reads the next. */
static void
a_file_replaced_while_it_is_read_is_read_again(void **state)
{
  enum { READS = 20000 };
  Place *place = *state;
  g_atomic_int_set(&replacing, 1);
  GThread *other = g_thread_new("replace", replace_until_told, place);
  guint n_read = 0;
  for (int i = 0; i < READS; i++) {
    g_autofree char *text = pw_file_read(place->path, 100, NULL, NULL, NULL);
    n_read += text != NULL ? 1 : 0;
  }
  g_atomic_int_set(&replacing, 0);
  assert_null(g_thread_join(other));
  assert_int_equal(n_read, READS);
}

#define test(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      test(reads_a_whole_file_with_its_state),
      test(reads_nothing_but_regular_files),
      test(a_file_replaced_while_it_is_read_is_read_again),
      test(reading_leaves_the_access_time_alone),
      test(a_replaced_file_keeps_its_permissions),
      test(a_file_changed_underneath_is_refused),
      test(a_change_during_the_write_is_seen),
      test(a_new_file_never_replaces_one),
      test(a_new_file_is_made_on_simple_file_systems),
      test(a_file_made_at_the_last_instant_stays),
      test(links_and_odd_places_are_refused),
      test(a_step_that_fails_leaves_the_old_file_alone),
      test(interruptions_are_sat_out),
      test(a_folder_that_cannot_be_flushed_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
