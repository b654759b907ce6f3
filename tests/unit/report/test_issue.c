/* What is left of a document that could not be issued to the end: a version that the record names
 * is there, and one that it does not name is not. */
#include <platewright/report.h>

#include "../model/bench.h"
#include "base/calls.h"

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static gboolean refuses_record; /* volume.yaml does not take its name */
static gboolean record_taken;   /* it has, and nothing is flushed any longer */
static PwFileCalls usual;

static int
rename_or_fail(int from, const char *old, int to, const char *new, unsigned flags)
{
  const gboolean is_record = strcmp(new, PW_VOLUME_FILE) == 0;
  if (is_record && refuses_record) {
    errno = EIO;
    return -1;
  }
  record_taken = record_taken || is_record;
  return usual.renameat2(from, old, to, new, flags);
}

static int
fsync_or_fail(int fd)
{
  if (!record_taken)
    return usual.fsync(fd);
  errno = EIO;
  return -1;
}

static guint
n_kept(const Bench *bench)
{
  g_autofree char *folder = g_build_filename(bench->folder, PW_ISSUED_FOLDER, NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  guint n = 0;
  while (dir != NULL && g_dir_read_name(dir) != NULL)
    n++;
  return n;
}

/* With calls that fail; how many files are kept then, and whether the record names one. */
static void
issue_badly(Bench *bench, guint *n_files, gboolean *is_named)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwStyle) style = pw_style_read("plate", complaints, NULL);
  g_autoptr(PwWords) words = pw_words_read("en", complaints, NULL);
  g_autoptr(GError) error = NULL;
  g_auto(PwReportIssue) issue = {0};
  const PwReportOptions options = {
      .style = style, .words = words, .audience = PW_FOR_OWNER, .kind = PW_REPORT_RECEIPT};
  GDate on;
  bench_volume(bench, "volume: {id: T-1}\nreceived: 2026-03-02\n");
  bench_open(bench, 0);
  g_date_set_dmy(&on, 2, G_DATE_MARCH, 2026);
  usual = pw_file_calls;
  record_taken = FALSE;
  pw_file_calls.renameat2 = rename_or_fail;
  pw_file_calls.fsync = fsync_or_fail;
  assert_false(pw_report_issue(bench->model, &options, &on, &issue, complaints, &error));
  pw_file_calls = usual;
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  g_autofree char *path = g_build_filename(bench->folder, PW_VOLUME_FILE, NULL);
  g_autofree char *record = pw_file_read(path, PW_LIMIT_TEXT_BYTES, NULL, NULL, NULL);
  *n_files = n_kept(bench);
  *is_named = strstr(record, "issued:") != NULL;
}

static void
what_the_record_does_not_take_goes_again(void **state)
{
  guint n_files;
  gboolean is_named;
  refuses_record = TRUE;
  issue_badly(*state, &n_files, &is_named);
  assert_false(is_named);
  assert_int_equal(n_files, 0);
}

static void
what_the_record_names_stays(void **state)
{
  guint n_files;
  gboolean is_named;
  refuses_record = FALSE;
  issue_badly(*state, &n_files, &is_named);
  assert_true(is_named);
  assert_int_equal(n_files, 2);
}

#define WITH_FOLDER(test) cmocka_unit_test_setup_teardown(test, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      WITH_FOLDER(what_the_record_does_not_take_goes_again),
      WITH_FOLDER(what_the_record_names_stays),
  };
  return cmocka_run_group_tests_name("report-issue", tests, NULL, NULL);
}
