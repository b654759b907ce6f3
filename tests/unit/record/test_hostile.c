/* Texts that nobody means well by: cut off at every byte, every byte spoilt, too many of
 * everything, too deep, too large. Nothing may be worse than a complaint.
 */
#include "fixtures.h"

#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

typedef struct {
  char *path; /* a file to write texts into */
} Scratch;

static int
make_scratch(void **state)
{
  Scratch *scratch = g_new0(Scratch, 1);
  int fd = g_file_open_tmp("platewright-record-XXXXXX", &scratch->path, NULL);
  if (fd < 0)
    return -1;
  close(fd);
  *state = scratch;
  return 0;
}

static int
remove_scratch(void **state)
{
  Scratch *scratch = *state;
  g_unlink(scratch->path);
  g_free(scratch->path);
  g_free(scratch);
  return 0;
}

/* A new file each time: one that is cut to nothing and written again is flushed to the disk. */
static void
write_bytes(const Scratch *scratch, const char *bytes, gsize n)
{
  g_unlink(scratch->path);
  FILE *file = fopen(scratch->path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  fclose(file);
}

/* Reads what stands in the scratch file as `kind`; what it complains of is the caller's. */
static PwComplaints *
read_scratch(const Scratch *scratch, const char *kind)
{
  PwComplaints *complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  if (g_str_equal(kind, "volume")) {
    pw_volume_free(pw_volume_read(scratch->path, complaints, &error));
  } else if (g_str_equal(kind, "terms")) {
    pw_terms_free(pw_terms_read(scratch->path, NULL, complaints, &error));
  } else {
    pw_sidecar_free(pw_sidecar_read(scratch->path, "x.jpg", complaints, &error));
  }
  if (error != NULL)
    pw_complaints_add(complaints, "x", 0, 0, "file", PW_SEVERITY_ERROR, NULL, "%s", error->message);
  return complaints;
}

static void
assert_first(const Scratch *scratch, const char *kind, const char *complaint)
{
  g_autoptr(PwComplaints) complaints = read_scratch(scratch, kind);
  assert_true(pw_complaints_n(complaints) > 0);
  assert_string_equal(pw_complaints_peek(complaints, 0)->kind, complaint);
}

/* Cut at every byte: the reader comes back each time. */
static void
cut_everywhere(const Scratch *scratch, const char *name, const char *kind)
{
  g_autofree char *path = fixture(name), *text = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &text, &length, NULL));
  for (gsize n = 0; n <= length; n++) {
    write_bytes(scratch, text, n);
    g_autoptr(PwComplaints) complaints = read_scratch(scratch, kind);
    if (n == length)
      assert_no_complaint(complaints);
  }
}

static void
test_cut_sidecar(void **state)
{
  cut_everywhere(*state, "good/every-key.jpg.yaml", "photo");
}

static void
test_cut_volume(void **state)
{
  cut_everywhere(*state, "good/every-key-volume.yaml", "volume");
}

/* Every byte in turn becomes one that YAML reads as something else. */
static void
test_spoilt_bytes(void **state)
{
  const char spoils[] = {'#', ':', '"', '{', '\n', '\x80', '-'};
  g_autofree char *path = fixture("good/every-key.jpg.yaml"), *text = NULL;
  gsize length = 0;
  assert_true(g_file_get_contents(path, &text, &length, NULL));
  for (gsize i = 0; i < length; i++) {
    char kept = text[i];
    text[i] = spoils[i % sizeof spoils];
    write_bytes(*state, text, length);
    g_autoptr(PwComplaints) complaints = read_scratch(*state, "photo");
    assert_non_null(complaints);
    text[i] = kept;
  }
}

static void
test_nul(void **state)
{
  static const char raw[] = "format: platewright-photo 1\ncaption: \"a\0b\"\n";
  write_bytes(*state, raw, sizeof raw - 1);
  assert_first(*state, "photo", "encoding");
  static const char escaped[] = "format: platewright-photo 1\ncaption: \"a\\0b\"\n";
  write_bytes(*state, escaped, sizeof escaped - 1);
  assert_first(*state, "photo", "encoding");
}

static void
test_not_utf8(void **state)
{
  static const char text[] = "format: platewright-photo 1\ncaption: \"\xff\xfe\"\n";
  write_bytes(*state, text, sizeof text - 1);
  assert_first(*state, "photo", "encoding");
}

static void
test_too_deep(void **state)
{
  GString *text = g_string_new("format: platewright-photo 1\nmarks: ");
  for (int i = 0; i < 10000; i++)
    g_string_append_c(text, '[');
  write_bytes(*state, text->str, text->len);
  assert_first(*state, "photo", "too deep");
  g_string_free(text, TRUE);
}

static void
test_too_large(void **state)
{
  gsize n = PW_LIMIT_TEXT_BYTES + 1;
  g_autofree char *text = g_strnfill(n, ' ');
  write_bytes(*state, text, n);
  g_autoptr(PwComplaints) complaints = read_scratch(*state, "photo");
  assert_true(pw_complaints_count(complaints, PW_SEVERITY_ERROR) > 0);
}

/* 10,000 marks are read, the next one is complained of at its place. */
static void
test_too_many_marks(void **state)
{
  GString *text = g_string_new("format: platewright-photo 1\nmarks:\n");
  for (int i = 0; i < PW_LIMIT_MARKS; i++)
    g_string_append_printf(text, "- {id: %d, term: loss, point: \"1,1\"}\n", i);
  write_bytes(*state, text->str, text->len);
  g_autoptr(PwComplaints) none = read_scratch(*state, "photo");
  assert_no_complaint(none);
  g_string_append(text, "- {id: x, term: loss, point: \"1,1\"}\n");
  write_bytes(*state, text->str, text->len);
  g_autoptr(PwComplaints) complaints = read_scratch(*state, "photo");
  assert_int_equal(pw_complaints_n(complaints), 1);
  assert_string_equal(pw_complaints_peek(complaints, 0)->kind, "too many");
  assert_int_equal(pw_complaints_peek(complaints, 0)->line, 3 + PW_LIMIT_MARKS);
  g_string_free(text, TRUE);
}

static void
test_too_many_points(void **state)
{
  GString *text =
      g_string_new("format: platewright-photo 1\nmarks:\n- {id: 1, term: tear, line: \"");
  for (int i = 0; i <= PW_LIMIT_POINTS; i++)
    g_string_append_printf(text, "%d,%d ", i, i);
  g_string_append(text, "\"}\n");
  write_bytes(*state, text->str, text->len);
  assert_first(*state, "photo", "not points");
  g_string_free(text, TRUE);
}

/* Complaints have an end too. */
static void
test_endless_faults(void **state)
{
  GString *text = g_string_new("format: platewright-photo 1\n");
  for (int i = 0; i < 5000; i++)
    g_string_append_printf(text, "key-%d: 1\n", i);
  write_bytes(*state, text->str, text->len);
  g_autoptr(PwComplaints) complaints = read_scratch(*state, "photo");
  assert_int_equal(pw_complaints_n(complaints), PW_LIMIT_COMPLAINTS);
  assert_int_equal(pw_complaints_n_dropped(complaints), 5000 - PW_LIMIT_COMPLAINTS);
  g_string_free(text, TRUE);
}

/* Signs that would move a terminal's cursor come from the text and must not reach it. */
static void
test_control_characters(void **state)
{
  static const char text[] = "format: platewright-photo 1\n\"ca\\e[2Jption\": x\n";
  write_bytes(*state, text, sizeof text - 1);
  g_autoptr(PwComplaints) complaints = read_scratch(*state, "photo");
  assert_int_equal(pw_complaints_n(complaints), 1);
  g_autofree char *says = pw_complaint_dup_text(pw_complaints_peek(complaints, 0));
  assert_null(strchr(says, '\x1b'));
}

/* Every value in turn is a list, a mapping, empty, a word and a number. */
static void
replace_each_value(const Scratch *scratch, const char *name, const char *kind)
{
  const char *const values[] = {
      "[[1, {a: b}], {c: [d]}]", "{a: {b: [c]}}", "", "\"\"", "word", "-7", "thickness"};
  g_autofree char *path = fixture(name), *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (gsize i = 0; lines[i] != NULL; i++) {
    const char *colon = strchr(lines[i], ':');
    if (colon == NULL)
      continue;
    char *kept = lines[i];
    for (gsize k = 0; k < G_N_ELEMENTS(values); k++) {
      lines[i] = g_strdup_printf("%.*s: %s", (int)(colon - kept), kept, values[k]);
      g_autofree char *changed = g_strjoinv("\n", lines);
      write_bytes(scratch, changed, strlen(changed));
      pw_complaints_free(read_scratch(scratch, kind));
      g_free(lines[i]);
    }
    lines[i] = kept;
  }
}

static void
test_wrong_kinds(void **state)
{
  replace_each_value(*state, "good/every-key.jpg.yaml", "photo");
  replace_each_value(*state, "good/every-key-volume.yaml", "volume");
  replace_each_value(*state, "good/own-terms.yaml", "terms");
}

#define HOSTILE(test) cmocka_unit_test_setup_teardown(test, make_scratch, remove_scratch)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      HOSTILE(test_cut_sidecar),     HOSTILE(test_cut_volume),
      HOSTILE(test_spoilt_bytes),    HOSTILE(test_nul),
      HOSTILE(test_not_utf8),        HOSTILE(test_too_deep),
      HOSTILE(test_too_large),       HOSTILE(test_too_many_marks),
      HOSTILE(test_too_many_points), HOSTILE(test_endless_faults),
      HOSTILE(test_wrong_kinds),     HOSTILE(test_control_characters),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
