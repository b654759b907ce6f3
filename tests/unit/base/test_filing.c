/* Folders made whole or not at all: what is refused, and that a making that fails at any step
 * leaves nothing beside the target. */
#include <platewright/base.h>
#include "base/calls.h"

#include <errno.h>
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
  place->folder = g_dir_make_tmp("pw-filing-XXXXXX", NULL);
  place->path = g_build_filename(place->folder, "bag", NULL);
  place->real = pw_file_calls;
  *state = place;
  return place->folder ? 0 : -1;
}

static void
remove_all(const char *folder)
{
  GDir *dir = g_dir_open(folder, 0, NULL);
  for (const char *name; dir && (name = g_dir_read_name(dir));) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (g_file_test(path, G_FILE_TEST_IS_DIR))
      remove_all(path);
    else
      g_remove(path);
  }
  if (dir)
    g_dir_close(dir);
  g_rmdir(folder);
}

static int
tear_down(void **state)
{
  Place *place = *state;
  pw_file_calls = place->real;
  remove_all(place->folder);
  g_free(place->folder);
  g_free(place->path);
  g_free(place);
  return 0;
}

static void
assert_only(const char *folder, const char *name)
{
  GDir *dir = g_dir_open(folder, 0, NULL);
  const char *first = g_dir_read_name(dir);
  if (name == NULL) {
    assert_null(first);
  } else {
    assert_string_equal(first, name);
    assert_null(g_dir_read_name(dir));
  }
  g_dir_close(dir);
}

static gboolean
make(const char *path, GError **error)
{
  g_autoptr(PwFiling) filing = pw_filing_new(path, error);
  return filing && pw_filing_put(filing, "data/before/a.jpg", "picture", 7, error) &&
         pw_filing_put(filing, "data/volume.yaml", "text", 4, error) &&
         pw_filing_finish(filing, error);
}

static void
a_folder_is_made(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  g_autofree char *with_slash = g_strconcat(place->path, "/", NULL);
  assert_true(make(with_slash, &error));
  g_autofree char *file = g_build_filename(place->path, "data", "before", "a.jpg", NULL);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(file, &text, NULL, NULL));
  assert_string_equal(text, "picture");
  assert_only(place->folder, "bag");
}

static void
what_is_there_is_never_replaced(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  assert_true(g_file_set_contents(place->path, "a file", -1, NULL));
  assert_false(make(place->path, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_non_null(strstr(error->message, "is there already"));
  assert_only(place->folder, "bag");
}

/* Before anything is written: a link to nowhere is there too. */
static void
what_is_there_is_seen_at_once(void **state)
{
  Place *place = *state;
  for (int link = 0; link < 2; link++) {
    g_autoptr(GError) error = NULL;
    assert_int_equal(link ? symlink("nowhere", place->path) : g_mkdir(place->path, 0777), 0);
    assert_null(pw_filing_new(place->path, &error));
    assert_non_null(strstr(error->message, "is there already"));
    assert_only(place->folder, "bag");
    assert_int_equal(g_remove(place->path), 0);
  }
}

/* Made by somebody else while ours was filled. */
static void
what_came_meanwhile_is_not_replaced_either(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwFiling) filing = pw_filing_new(place->path, &error);
  assert_true(pw_filing_put(filing, "a", "1", 1, &error));
  assert_int_equal(g_mkdir(place->path, 0777), 0);
  assert_false(pw_filing_finish(filing, &error));
  assert_non_null(strstr(error->message, "is there already"));
  g_clear_pointer(&filing, pw_filing_free);
  assert_only(place->folder, "bag");
  assert_only(place->path, NULL);
}

static void
names_of_no_folder_are_refused(void **state)
{
  static const char *const names[] = {"", "/", ".", "..", "./"};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(GError) error = NULL;
    assert_null(pw_filing_new(names[i], &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
    assert_non_null(strstr(error->message, "names no new folder"));
  }
}

static void
a_folder_that_cannot_be_made_is_told(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwFiling) filing = pw_filing_new(place->path, &error);
  g_autofree char *longest = g_strnfill(300, 'x'), *inside = g_strconcat(longest, "/a", NULL);
  assert_false(pw_filing_put(filing, inside, "1", 1, &error));
  assert_non_null(strstr(error->message, "making its folder"));
}

static void
a_file_given_twice_is_refused(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwFiling) filing = pw_filing_new(place->path, &error);
  assert_true(pw_filing_put(filing, "a", "1", 1, &error));
  assert_false(pw_filing_put(filing, "a", "2", 1, &error));
  assert_non_null(strstr(error->message, "bag/a"));
}

static void
room_is_asked_for(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwFiling) filing = pw_filing_new(place->path, &error);
  assert_true(pw_filing_has_room(filing, 1, &error));
  assert_false(pw_filing_has_room(filing, G_MAXUINT64, &error));
  assert_non_null(strstr(error->message, "are free"));
}

/* ---- File systems that know less --------------------------------------------------- */

static PwFileCalls *real_calls;

/* As one answers that cannot rename without replacing. */
static int
plain_rename(int from, const char *name, int to, const char *other, unsigned int flags)
{
  if (flags == 0)
    return real_calls->renameat2(from, name, to, other, flags);
  errno = EINVAL;
  return -1;
}

static gboolean
is_folder(int fd)
{
  struct stat status;
  assert_int_equal(fstat(fd, &status), 0);
  return S_ISDIR(status.st_mode);
}

static guint flushed_folders, flushed_files;
static gboolean renamed;

static int
counting_fsync(int fd)
{
  if (!is_folder(fd))
    flushed_files++;
  else
    flushed_folders++;
  errno = EINVAL; /* as one answers that flushes no folder */
  return is_folder(fd) ? -1 : 0;
}

static int
interrupted_close(int fd)
{
  close(fd);
  errno = EINTR;
  return -1;
}

static void
a_folder_is_made_where_less_is_known(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  real_calls = &place->real;
  pw_file_calls.renameat2 = plain_rename;
  pw_file_calls.fsync = counting_fsync;
  pw_file_calls.close = interrupted_close;
  flushed_folders = flushed_files = 0;
  assert_true(make(place->path, &error));
  assert_only(place->folder, "bag");
}

/* An empty folder would give way to a plain renaming. */
static void
nor_is_anything_replaced_there(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  real_calls = &place->real;
  pw_file_calls.renameat2 = plain_rename;
  g_autoptr(PwFiling) filing = pw_filing_new(place->path, &error);
  assert_true(pw_filing_put(filing, "a", "1", 1, &error));
  assert_int_equal(g_mkdir(place->path, 0777), 0);
  assert_false(pw_filing_finish(filing, &error));
  assert_non_null(strstr(error->message, "is there already"));
  assert_only(place->path, NULL);
}

static int
noting_rename(int from, const char *name, int to, const char *other, unsigned int flags)
{
  assert_int_equal(flushed_files, 2); /* before they take their name, with the folders made: */
  assert_int_equal(flushed_folders, 3);
  renamed = TRUE;
  return real_calls->renameat2(from, name, to, other, flags);
}

/* Each file, each folder made, the whole; then, when it has its name, what it lies in. */
static void
all_of_it_is_flushed(void **state)
{
  Place *place = *state;
  g_autoptr(GError) error = NULL;
  real_calls = &place->real;
  pw_file_calls.renameat2 = noting_rename;
  pw_file_calls.fsync = counting_fsync;
  flushed_folders = flushed_files = 0;
  renamed = FALSE;
  assert_true(make(place->path, &error));
  assert_true(renamed);
  assert_int_equal(flushed_folders, 4);
}

/* ---- Every call fails once --------------------------------------------------------- */

static guint calls, failing;

static gboolean
fails_now(void)
{
  errno = EIO;
  return ++calls == failing;
}

static ssize_t
failing_write(int fd, const void *data, size_t size)
{
  return fails_now() ? -1 : write(fd, data, size);
}

static int
failing_fsync(int fd)
{
  return fails_now() ? -1 : fsync(fd);
}

static int
failing_close(int fd)
{
  const gboolean fails = fails_now();
  close(fd);
  errno = EIO;
  return fails ? -1 : 0;
}

static int
failing_rename(int from, const char *name, int to, const char *other, unsigned int flags)
{
  return fails_now() ? -1 : real_calls->renameat2(from, name, to, other, flags);
}

static void
a_making_that_fails_leaves_nothing(void **state)
{
  Place *place = *state;
  real_calls = &place->real;
  guint n = 0;
  for (gboolean made = FALSE; !made; n++) {
    g_autoptr(GError) error = NULL;
    pw_file_calls = (PwFileCalls){failing_write, failing_fsync, failing_close, failing_rename,
                                  place->real.linkat};
    calls = 0;
    failing = n + 1;
    made = make(place->path, &error);
    pw_file_calls = place->real;
    if (made) {
      assert_true(calls < failing);
    } else if (g_file_test(place->path, G_FILE_TEST_EXISTS)) {
      assert_non_null(strstr(error->message, "flushing its folder")); /* whole, but not yet safe */
      remove_all(place->path);
    } else {
      assert_only(place->folder, NULL);
    }
  }
  print_message("# %u calls failed in turn\n", n - 1);
  assert_true(n > 10);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(a_folder_is_made, set_up, tear_down),
      cmocka_unit_test_setup_teardown(what_is_there_is_never_replaced, set_up, tear_down),
      cmocka_unit_test_setup_teardown(what_is_there_is_seen_at_once, set_up, tear_down),
      cmocka_unit_test_setup_teardown(what_came_meanwhile_is_not_replaced_either, set_up,
                                      tear_down),
      cmocka_unit_test(names_of_no_folder_are_refused),
      cmocka_unit_test_setup_teardown(a_folder_that_cannot_be_made_is_told, set_up, tear_down),
      cmocka_unit_test_setup_teardown(a_file_given_twice_is_refused, set_up, tear_down),
      cmocka_unit_test_setup_teardown(room_is_asked_for, set_up, tear_down),
      cmocka_unit_test_setup_teardown(a_folder_is_made_where_less_is_known, set_up, tear_down),
      cmocka_unit_test_setup_teardown(nor_is_anything_replaced_there, set_up, tear_down),
      cmocka_unit_test_setup_teardown(all_of_it_is_flushed, set_up, tear_down),
      cmocka_unit_test_setup_teardown(a_making_that_fails_leaves_nothing, set_up, tear_down),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
