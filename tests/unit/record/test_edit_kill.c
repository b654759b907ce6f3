/* Edits of one sidecar and of one volume.yaml killed at any instant, and by two processes at once:
 * none is torn, none is lost.
 */
#include "fixtures.h"

#include "../yaml/kill.h"

#include <glib/gstdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { N_KILLED = 2000, N_VOLUMES = 500, N_SAVES = 200, FILLER = 60, WRITERS = 2 };

#define TEXTS(...) ((const char *const[]){__VA_ARGS__, NULL})

/* The text after `n` edits: its caption, its first mark and its last say the same number. */
static char *
text_of(guint n)
{
  GString *text = g_string_new("format: platewright-photo 1 # 1\nphoto: {size: 9000 x 9000}\n");
  g_string_append_printf(text, "caption: \"%u\" # first\nmarks:\n", n);
  for (guint i = 0; i < FILLER; i++)
    g_string_append_printf(
        text, "  - {id: %u, term: loss, outline: \"10,10 90,12 88,60 11,%u\"} # x\n", i, 20 + i);
  g_string_append_printf(text, "  - id: last\n    term: tear\n    point: \"%u,1\"\n# end\n", n);
  return g_string_free(text, FALSE);
}

static PwSidecar *
read_sidecar(const char *path)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwSidecar *sidecar = pw_sidecar_read(path, "a.jpg", complaints, NULL);
  return pw_complaints_n(complaints) == 0 ? sidecar : NULL;
}

static int
edit_until_killed(const char *path, guint n_edits)
{
  g_autoptr(PwSidecar) sidecar = read_sidecar(path);
  gint64 n = 0;
  if (sidecar == NULL || !pw_parse_int(sidecar->caption, &n))
    return 2;
  g_autofree char *tag = pw_sidecar_dup_tag(sidecar);
  while (n < n_edits) {
    g_autofree char *number = g_strdup_printf("%d", (int)++n);
    g_autofree char *point = g_strconcat(number, ",1", NULL), *new_tag = NULL;
    const PwSidecarEdit edits[] = {{NULL, "caption", TEXTS(number)},
                                   {"last", "point", TEXTS(point)}};
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    if (!pw_sidecar_edit(path, "a.jpg", tag, edits, 2, &new_tag, complaints, NULL))
      return 3;
    g_free(tag);
    tag = g_steal_pointer(&new_tag);
  }
  return 0;
}

static guint
edits_in(const char *path)
{
  g_autoptr(PwSidecar) sidecar = read_sidecar(path);
  assert_non_null(sidecar);
  gint64 n;
  assert_true(pw_parse_int(sidecar->caption, &n));
  g_autofree char *text = NULL, *expected = text_of((guint)n);
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  assert_string_equal(text, expected);
  return (guint)n;
}

static void
killed_at_any_moment_the_sidecar_is_old_or_new(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-kill-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "a.jpg.yaml", NULL);
  g_autofree char *first = text_of(0);
  assert_true(g_file_set_contents(path, first, -1, NULL));
  const KillTest test = {path, N_KILLED, edit_until_killed, edits_in};
  kill_until_done(&test);
  g_remove(path);
  assert_int_equal(g_rmdir(folder), 0);
}

/* ---- volume.yaml ------------------------------------------------------------------- */

/* The text after `n` edits: what it is for, its first piece and its last step say so. */
static char *
volume_of(guint n)
{
  GString *text = g_string_new("format: platewright-volume 1 # 1\nvolume: {id: A1}\n");
  g_string_append_printf(text, "purpose: \"%u\" # first\npieces:\n", n);
  g_string_append_printf(text, "  - {id: P1, kind: part, what: \"%u\"}\ntreatment:\n", n);
  for (guint i = 0; i < FILLER; i++)
    g_string_append_printf(text, "  - did: \"step %u\" # x\n    hours: 1.5\n", i);
  for (guint i = 1; i <= n; i++)
    g_string_append_printf(text, "  - did: \"%u\"\n", i);
  g_string_append(text, "# end\n");
  return g_string_free(text, FALSE);
}

static PwVolume *
read_volume(const char *path)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwVolume *volume = pw_volume_read(path, complaints, NULL);
  return pw_complaints_n(complaints) == 0 ? volume : NULL;
}

static int
edit_volume_until_killed(const char *path, guint n_edits)
{
  g_autoptr(PwVolume) volume = read_volume(path);
  gint64 n = 0;
  if (volume == NULL || !pw_parse_int(volume->purpose, &n))
    return 2;
  g_autofree char *tag = pw_volume_dup_tag(volume);
  while (n < n_edits) {
    g_autofree char *number = g_strdup_printf("%d", (int)++n), *new_tag = NULL;
    const PwVolumeEdit edits[] = {{NULL, NULL, "purpose", TEXTS(number)},
                                  {"treatment", "+", "did", TEXTS(number)},
                                  {"pieces", "P1", "what", TEXTS(number)}};
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    if (!pw_volume_edit(path, tag, edits, 3, &new_tag, complaints, NULL))
      return 3;
    g_free(tag);
    tag = g_steal_pointer(&new_tag);
  }
  return 0;
}

static guint
edits_in_volume(const char *path)
{
  g_autoptr(PwVolume) volume = read_volume(path);
  assert_non_null(volume);
  gint64 n;
  assert_true(pw_parse_int(volume->purpose, &n));
  g_autofree char *text = NULL, *expected = volume_of((guint)n);
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  assert_string_equal(text, expected);
  return (guint)n;
}

static void
killed_at_any_moment_the_volume_is_old_or_new(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-kill-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, PW_VOLUME_FILE, NULL);
  g_autofree char *first = volume_of(0);
  assert_true(g_file_set_contents(path, first, -1, NULL));
  const KillTest test = {path, N_VOLUMES, edit_volume_until_killed, edits_in_volume};
  kill_until_done(&test);
  g_remove(path);
  assert_int_equal(g_rmdir(folder), 0);
}

/* ---- Two at once ------------------------------------------------------------------- */

/* One writer: a mark of its own for each edit, tried again from the text as it is whenever another
 * was faster. Its exit status is 0 when all edits went through. */
static int
write_marks(const char *path, int writer)
{
  for (int i = 0; i < N_SAVES;) {
    g_autoptr(PwSidecar) sidecar = read_sidecar(path);
    if (sidecar == NULL)
      return 2;
    g_autofree char *tag = pw_sidecar_dup_tag(sidecar), *new_tag = NULL;
    g_autofree char *id = g_strdup_printf("w%d-%d", writer, i);
    const PwSidecarEdit edits[] = {{id, "term", TEXTS("tear")}, {id, "point", TEXTS("1,1")}};
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    g_autoptr(GError) error = NULL;
    if (pw_sidecar_edit(path, "a.jpg", tag, edits, 2, &new_tag, complaints, &error))
      i++;
    else if (!g_error_matches(error, PW_ERROR, PW_ERROR_STALE))
      return 3;
  }
  return 0;
}

static void
two_writers_lose_nothing(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-two-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "a.jpg.yaml", NULL);
  assert_true(g_file_set_contents(path, "format: platewright-photo 1\n", -1, NULL));
  pid_t writers[WRITERS];
  for (int w = 0; w < WRITERS; w++) {
    writers[w] = fork();
    assert_true(writers[w] >= 0);
    if (writers[w] == 0)
      _exit(write_marks(path, w));
  }
  for (int w = 0; w < WRITERS; w++) {
    int status;
    assert_int_equal(waitpid(writers[w], &status, 0), writers[w]);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  }
  g_autoptr(PwSidecar) sidecar = read_sidecar(path);
  assert_non_null(sidecar);
  assert_int_equal(sidecar->n_marks, WRITERS * N_SAVES);
  g_remove(path);
  assert_int_equal(g_rmdir(folder), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(killed_at_any_moment_the_sidecar_is_old_or_new),
      cmocka_unit_test(killed_at_any_moment_the_volume_is_old_or_new),
      cmocka_unit_test(two_writers_lose_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
