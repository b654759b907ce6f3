/* Every file of bad/ has one fault and is named for it; its first lines say which complaints it
 * must give, "# expect: LINE:COLUMN KIND" each, and it must give no others. Every file also goes
 * through the readers it was not made for, which must only come back.
 */
#include "fixtures.h"

#include <string.h>

/* Reads `path` as the text its format line says it is, a sidecar where none does. */
static void
read_as(const char *path, const char *format, PwComplaints *complaints)
{
  g_autoptr(GError) error = NULL;
  if (g_str_equal(format, "volume")) {
    pw_volume_free(pw_volume_read(path, complaints, &error));
  } else if (g_str_equal(format, "terms")) {
    pw_terms_free(pw_terms_read(path, NULL, complaints, &error));
  } else {
    pw_sidecar_free(pw_sidecar_read(path, "x.jpg", complaints, &error));
  }
  assert_null(error);
}

static char *
dup_found(const PwComplaints *complaints)
{
  GString *found = g_string_new(NULL);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    const PwComplaint *c = pw_complaints_peek(complaints, i);
    g_string_append_printf(found, "# expect: %u:%u %s\n", c->line, c->column, c->kind);
  }
  return g_string_free(found, FALSE);
}

static gboolean
gives_what_it_says(const char *path, const char *text)
{
  const char *body = text;
  while (g_str_has_prefix(body, "# expect: "))
    body = strchr(body, '\n') + 1;
  g_autofree char *expected = g_strndup(text, (gsize)(body - text));
  const char *format = strstr(body, "platewright-volume")  ? "volume"
                       : strstr(body, "platewright-terms") ? "terms"
                                                           : "photo";
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  read_as(path, format, complaints);
  pw_complaints_sort(complaints);
  g_autofree char *found = dup_found(complaints);
  if (g_str_equal(found, expected))
    return TRUE;
  g_autofree char *all = dup_all_complaints(complaints);
  print_message("%s: expected\n%sfound\n%s%s\n", path, expected, found, all);
  return FALSE;
}

static void
test_every_bad_text(void **state)
{
  (void)state;
  g_autofree char *folder = fixture("bad");
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  guint n = 0, n_wrong = 0;
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir), n++) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autofree char *text = NULL;
    assert_true(g_file_get_contents(path, &text, NULL, NULL));
    if (!gives_what_it_says(path, text))
      n_wrong++;
    g_autoptr(PwComplaints) ignored = pw_complaints_new();
    read_as(path, "photo", ignored);
    read_as(path, "volume", ignored);
    read_as(path, "terms", ignored);
  }
  print_message("# %u bad texts\n", n);
  assert_true(n > 150);
  assert_int_equal(n_wrong, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_every_bad_text)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
