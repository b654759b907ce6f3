/* The texts that intake begins with are read without a complaint, filled in or not, and so are the
 * lines they hold ready in comments.
 */
#include "fixtures.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

static char *
dup_temporary(const char *text)
{
  char *path = NULL;
  int fd = g_file_open_tmp("platewright-record-XXXXXX", &path, NULL);
  assert_true(fd >= 0);
  close(fd);
  assert_true(g_file_set_contents(path, text, -1, NULL));
  return path;
}

static PwSidecar *
read_sidecar(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *path = dup_temporary(text);
  PwSidecar *sidecar = pw_sidecar_read(path, "x.jpg", complaints, NULL);
  g_unlink(path);
  assert_no_complaint(complaints);
  assert_non_null(sidecar);
  return sidecar;
}

static PwVolume *
read_volume(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *path = dup_temporary(text);
  PwVolume *volume = pw_volume_read(path, complaints, NULL);
  g_unlink(path);
  assert_no_complaint(complaints);
  assert_non_null(volume);
  return volume;
}

/* Takes the comment signs away from every line that is an example, as a conservator would. */
static char *
dup_uncommented(const char *text, const char *stop)
{
  g_autoptr(GRegex) key =
      g_regex_new("^( *)# ( *- \\{|  [a-z]+:|[a-z-]+:)", G_REGEX_MULTILINE, 0, NULL);
  const char *end = stop != NULL ? strstr(text, stop) : NULL;
  g_autofree char *part = end != NULL ? g_strndup(text, (gsize)(end - text)) : g_strdup(text);
  return g_regex_replace(key, part, -1, 0, "\\1\\2", 0, NULL);
}

static void
test_sidecar(void **state)
{
  (void)state;
  g_autofree char *sha256 = g_strnfill(64, 'a');
  g_autofree char *text = pw_sidecar_dup_new("2026-03-02T10:14:07+00:00", sha256, 6000, 4000,
                                             "a \"friend\" # of the owner", PW_STAGE_DURING, NULL);
  g_autoptr(PwSidecar) sidecar = read_sidecar(text);
  assert_string_equal(sidecar->taken, "2026-03-02T10:14:07+00:00");
  assert_string_equal(sidecar->sha256, sha256);
  assert_int_equal(sidecar->width, 6000);
  assert_int_equal(sidecar->height, 4000);
  assert_string_equal(sidecar->source, "a \"friend\" # of the owner");
  assert_int_equal(sidecar->stage, PW_STAGE_DURING);
}

static void
test_sidecar_of_nothing(void **state)
{
  (void)state;
  g_autofree char *text = pw_sidecar_dup_new(NULL, NULL, 0, 0, NULL, PW_STAGE_NONE, NULL);
  g_autoptr(PwSidecar) sidecar = read_sidecar(text);
  assert_null(sidecar->taken);
  assert_int_equal(sidecar->stage, PW_STAGE_NONE);
  assert_int_equal(sidecar->n_marks, 0);
}

/* Names go in as words where they can, and come back as they were. */
static void
test_sidecar_with_cards(void **state)
{
  (void)state;
  static const char *const one[] = {"bench", NULL};
  static const char *const three[] = {"bench", "no", "the small one, # 2", NULL};
  g_autofree char *single = pw_sidecar_dup_new(NULL, NULL, 0, 0, NULL, PW_STAGE_BEFORE, one);
  assert_non_null(strstr(single, "\nscale:\n  tags: bench\n"));
  g_autofree char *text = pw_sidecar_dup_new(NULL, NULL, 0, 0, NULL, PW_STAGE_BEFORE, three);
  g_autoptr(PwSidecar) sidecar = read_sidecar(text);
  assert_int_equal(sidecar->scale.given, PW_GIVEN_TAGS);
  assert_int_equal(g_strv_length(sidecar->scale.tags), 3);
  for (int i = 0; i < 3; i++)
    assert_string_equal(sidecar->scale.tags[i], three[i]);
  assert_null(sidecar->scale.plane_offset.node);
  g_autofree char *open = dup_uncommented(text, "# Each damaged");
  g_autoptr(PwSidecar) filled = read_sidecar(open);
  assert_non_null(filled->scale.plane_offset.node);
}

/* A time whose zone is not known is a warning, never an error: intake writes it so. */
static void
test_sidecar_without_zone(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *text =
      pw_sidecar_dup_new("2026-03-02T10:14:07", NULL, 0, 0, NULL, PW_STAGE_NONE, NULL);
  g_autofree char *path = dup_temporary(text);
  g_autoptr(PwSidecar) sidecar = pw_sidecar_read(path, "x.jpg", complaints, NULL);
  g_unlink(path);
  assert_string_equal(sidecar->taken, "2026-03-02T10:14:07");
  assert_int_equal(pw_complaints_count(complaints, PW_SEVERITY_ERROR), 0);
  assert_int_equal(pw_complaints_n(complaints), 1);
}

static void
test_volume(void **state)
{
  (void)state;
  static const struct {
    const char *name, *id;
  } names[] = {
      {"EX-1903-07", "EX-1903-07"},
      {"Ledger of 1903: north", "Ledger of 1903: north"},
      {"a\"b\\c", "a\"b-c"},
      {"no. 3 #2", "no. 3 -2"},
      {".hidden", "hidden"},
      {"--", "volume"},
      {"", "volume"},
      {"Bücher", "Bücher"},
      {"line\nend", "line-end"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autofree char *text = pw_volume_dup_new(names[i].name);
    g_autoptr(PwVolume) volume = read_volume(text);
    assert_string_equal(volume->id, names[i].id);
    assert_null(volume->title);
    assert_int_equal(volume->n_consents, 0);
  }
}

static void
test_examples_of_a_volume(void **state)
{
  (void)state;
  g_autofree char *text = pw_volume_dup_new("EX-1");
  g_autofree char *open = dup_uncommented(text, NULL);
  g_autoptr(PwVolume) volume = read_volume(open);
  assert_int_equal(g_date_get_year(&volume->returned), 2026);
  assert_int_equal(volume->n_pieces, 1);
  assert_int_equal(volume->n_consents, 2);
  assert_string_equal(volume->binding, "quarter leather");
  assert_non_null(volume->views);
}

static void
test_examples_of_a_sidecar(void **state)
{
  (void)state;
  g_autofree char *text = pw_sidecar_dup_new(NULL, NULL, 0, 0, NULL, PW_STAGE_NONE, NULL);
  g_autofree char *open = dup_uncommented(text, "# How is its scale known?");
  g_autoptr(PwSidecar) sidecar = read_sidecar(open);
  assert_int_equal(sidecar->stage, PW_STAGE_BEFORE);
  assert_string_equal(sidecar->light, "raking from left");
  assert_true(g_date_valid(&sidecar->privacy_checked));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_sidecar),
      cmocka_unit_test(test_sidecar_of_nothing),
      cmocka_unit_test(test_sidecar_without_zone),
      cmocka_unit_test(test_sidecar_with_cards),
      cmocka_unit_test(test_volume),
      cmocka_unit_test(test_examples_of_a_volume),
      cmocka_unit_test(test_examples_of_a_sidecar),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
