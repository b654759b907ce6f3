/* Bags: what is made is valid by our own reading, and each rule of RFC 8493 is broken once, in a
 * bag that keeps all others, and named. Sections are those of the RFC, from memory where it says
 * so. */
#include <platewright/bag.h>
#include "bag/private.h"

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>

#define SUM_OF_ABC "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
#define SUM_OF_NOTHING "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"

/* ---- A bag for one test ------------------------------------------------------------ */

static char *top, *bag;

static void
remove_all(const char *path)
{
  g_autoptr(GDir) dir =
      g_file_test(path, G_FILE_TEST_IS_SYMLINK) ? NULL : g_dir_open(path, 0, NULL);
  for (const char *name; dir && (name = g_dir_read_name(dir));) {
    g_autofree char *inside = g_build_filename(path, name, NULL);
    remove_all(inside);
  }
  g_remove(path);
}

static void
put(const char *name, const char *text)
{
  g_autofree char *path = g_build_filename(bag, name, NULL);
  g_autofree char *folder = g_path_get_dirname(path);
  assert_int_equal(g_mkdir_with_parents(folder, 0777), 0);
  assert_true(g_file_set_contents(path, text, -1, NULL));
}

/* By hand, so that a mistake of the maker cannot hide one of the reader. */
static void
make_plain(void)
{
  put("bagit.txt", "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
  put("bag-info.txt", "Source-Organization: A bench\n  of our own\nPayload-Oxum: 3.2\n");
  put("data/abc.txt", "abc");
  put("data/inside/nothing", "");
  put("manifest-sha256.txt",
      SUM_OF_ABC "  data/abc.txt\n" SUM_OF_NOTHING "  data/inside/nothing\n");
}

static int
set_up(void **state)
{
  (void)state;
  top = g_dir_make_tmp("pw-bag-XXXXXX", NULL);
  bag = g_build_filename(top, "bag", NULL);
  return 0;
}

static int
tear_down(void **state)
{
  (void)state;
  remove_all(top);
  g_clear_pointer(&top, g_free);
  g_clear_pointer(&bag, g_free);
  return 0;
}

static PwComplaints *
check_it(void)
{
  g_autoptr(GError) error = NULL;
  PwComplaints *complaints = pw_complaints_new();
  const PwBagCheckOptions options = {0};
  assert_true(pw_bag_is(bag));
  const gboolean read = pw_bag_check(bag, &options, complaints, &error);
  if (!read)
    print_message("# %s\n", error->message);
  assert_true(read);
  return complaints;
}

/* One finding, of that kind and severity, at that file and line. */
static void
assert_only(const char *kind, PwSeverity severity, const char *file, guint line)
{
  g_autoptr(PwComplaints) found = check_it();
  for (guint i = 0; i < pw_complaints_n(found); i++) {
    const PwComplaint *complaint = pw_complaints_peek(found, i);
    if (pw_complaints_n(found) != 1 || strcmp(complaint->kind, kind) != 0)
      print_message("# %s:%u: %s: %s\n", complaint->file, complaint->line, complaint->kind,
                    complaint->says);
  }
  assert_int_equal(pw_complaints_n(found), 1);
  const PwComplaint *complaint = pw_complaints_peek(found, 0);
  assert_string_equal(complaint->kind, kind);
  assert_int_equal(complaint->severity, severity);
  assert_string_equal(complaint->file, file);
  assert_int_equal(complaint->line, line);
}

static void
assert_sound(void)
{
  g_autoptr(PwComplaints) found = check_it();
  for (guint i = 0; i < pw_complaints_n(found); i++)
    print_message("# %s: %s\n", pw_complaints_peek(found, i)->file,
                  pw_complaints_peek(found, i)->says);
  assert_int_equal(pw_complaints_n(found), 0);
}

static char *
dup_file(const char *name)
{
  g_autofree char *path = g_build_filename(bag, name, NULL);
  char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  return text;
}

/* ---- Texts that break a rule ------------------------------------------------------- */

typedef struct {
  const char *file, *text; /* replaces it; text NULL: it goes */
  const char *kind, *where;
  guint line;
} Broken;

#define BAGIT "bagit.txt"
#define MANIFEST "manifest-sha256.txt"
#define BOTH SUM_OF_ABC "  data/abc.txt\n" SUM_OF_NOTHING "  data/inside/nothing\n"

static const Broken broken[] = {
    /* 2.1.1, and 2.3 for the byte-order mark */
    {BAGIT, "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n", "bag version", BAGIT, 1},
    {BAGIT, "BagIt-Version: one\nTag-File-Character-Encoding: UTF-8\n", "bag declaration", BAGIT,
     1},
    {BAGIT, "Tag-File-Character-Encoding: UTF-8\nTag-File-Character-Encoding: UTF-8\n",
     "bag declaration", BAGIT, 1},
    {BAGIT, "BagIt-Version: 1.0\n", "bag declaration", BAGIT, 2},
    {BAGIT, "BagIt-Version:1.0\nTag-File-Character-Encoding: UTF-8\n", "bag declaration", BAGIT, 1},
    {BAGIT, "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-16\n", "bag encoding", BAGIT, 2},
    {BAGIT, "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nMore: x\n", "bag declaration",
     BAGIT, 3},
    {BAGIT, "\xef\xbb\xbf"
            "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
     "bag encoding", BAGIT, 0},
    /* 2.1.3: no payload manifest at all */
    {MANIFEST, NULL, "no manifest", MANIFEST, 0},
    /* 2.1.3: the form of a line */
    {MANIFEST, BOTH "what is this\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH "\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH "ba7816bf  data/abc.txt\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "data/abc.txt\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "0  data/abc.txt\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH "\xff\n", "bag encoding", MANIFEST, 0},
    /* 2.1.3: only the payload; 3: every file of it, once */
    {MANIFEST, BOTH SUM_OF_ABC "  bagit.txt\n", "manifest line", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data/abc.txt\n", "listed twice", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data/gone.txt\n", "missing file", MANIFEST, 3},
    {MANIFEST, SUM_OF_ABC "  data/abc.txt\n", "not listed", "data/inside/nothing", 0},
    {"data/more.txt", "", "payload size", "bag-info.txt", 3}, /* and not listed: below */
    {"data/abc.txt", "abd", "checksum", "data/abc.txt", 0},
    /* 5.1: paths that lead elsewhere */
    {MANIFEST, BOTH SUM_OF_ABC "  data/../../abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  ../abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  /etc/passwd\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  ~/abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  ~root/abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data\\abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data/..\\..\\abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  C:/abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data//abc.txt\n", "unsafe path", MANIFEST, 3},
    {MANIFEST, BOTH SUM_OF_ABC "  data/./abc.txt\n", "unsafe path", MANIFEST, 3},
    /* 2.2.2 */
    {"bag-info.txt", "Payload-Oxum: 4.2\n", "payload size", "bag-info.txt", 1},
    {"bag-info.txt", "Payload-Oxum: 3.1\n", "payload size", "bag-info.txt", 1},
    {"bag-info.txt", "Payload-Oxum: 3\n", "bag info", "bag-info.txt", 1},
    {"bag-info.txt", "Payload-Oxum: -3.2\n", "bag info", "bag-info.txt", 1},
    {"bag-info.txt", "A: b\nno label\n", "bag info", "bag-info.txt", 2},
    {"bag-info.txt", "Contact :x\n", "bag info", "bag-info.txt", 1},
    {"bag-info.txt", ": x\n", "bag info", "bag-info.txt", 1},
    {"bag-info.txt", "Payload-Oxum: 3.2\nPayload-Oxum: 3.2\n", "bag info", "bag-info.txt", 2},
    {"bag-info.txt", "Bagging-Date: 2026-02-30\n", "bag info", "bag-info.txt", 1},
    {"bag-info.txt", "Bagging-Date: 2026-03-02\nbagging-date: 2026-03-02\n", "bag info",
     "bag-info.txt", 2},
    /* 2.2.3: nothing is fetched */
    {"fetch.txt", "http://example.org/a - data/abc.txt\n", "fetch", "fetch.txt", 0},
    /* 2.4: an algorithm that is not ours */
    {"manifest-blake9.txt", "00  data/abc.txt\n", "unknown algorithm", "manifest-blake9.txt", 0},
    /* 2.2.1: what a tag manifest must list, and must not */
    {"tagmanifest-md5.txt", "", "not listed", "tagmanifest-md5.txt", 0},
    {"tagmanifest-sha256.txt",
     SUM_OF_ABC "  manifest-sha256.txt\n", "checksum", "manifest-sha256.txt", 0},
};

static void
every_rule_is_kept_watch_over(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(broken); i++) {
    const Broken *b = &broken[i];
    g_autofree char *path = g_build_filename(bag, b->file, NULL);
    make_plain();
    if (strcmp(b->file, "data/more.txt") == 0)
      put(MANIFEST, BOTH SUM_OF_NOTHING "  data/more.txt\n");
    if (b->text)
      put(b->file, b->text);
    else
      g_remove(path);
    print_message("# %" G_GSIZE_FORMAT " %s: %s\n", i, b->file, b->kind);
    assert_only(b->kind, PW_SEVERITY_ERROR, b->where, b->line);
    remove_all(bag);
  }
}

/* ---- Sound ones -------------------------------------------------------------------- */

static void
a_plain_bag_is_sound(void **state)
{
  (void)state;
  make_plain();
  assert_sound();
}

/* 2.3: lines may end by LF, CR, or both; 2.1.3: blanks and tabs part; digits may be capitals. */
static void
other_ways_to_write_the_same(void **state)
{
  static const char *const manifests[] = {
      SUM_OF_ABC "\tdata/abc.txt\r\n" SUM_OF_NOTHING " \t data/inside/nothing",
      SUM_OF_ABC " data/abc.txt\r" SUM_OF_NOTHING " data/inside/nothing\r",
      "BA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD  data/abc.txt\n"
      SUM_OF_NOTHING " *data/inside/nothing\n"};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(manifests); i++) {
    make_plain();
    put(MANIFEST, manifests[i]);
    assert_sound();
    remove_all(bag);
  }
}

/* RFC 1321, A.5 and FIPS 180-4 examples: the sums of "abc". */
static void
every_known_algorithm_is_computed(void **state)
{
  static const struct {
    const char *name, *of_abc, *of_nothing;
  } sums[] = {
      {"md5", "900150983cd24fb0d6963f7d28e17f72", "d41d8cd98f00b204e9800998ecf8427e"},
      {"sha1", "a9993e364706816aba3e25717850c26c9cd0d89d",
       "da39a3ee5e6b4b0d3255bfef95601890afd80709"},
      {"sha512",
       "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a"
       "2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f",
       "cf83e1357eefb8bdf1542850d66d8007d620e4050b5715dc83f4a921d36ce9ce"
       "47d0d13c5d85f2b0ff8318d2877eec2f63b931bd47417a81a538327af927da3e"}};
  (void)state;
  make_plain();
  for (gsize i = 0; i < G_N_ELEMENTS(sums); i++) {
    g_autofree char *name = g_strdup_printf("manifest-%s.txt", sums[i].name);
    g_autofree char *text = g_strdup_printf("%s  data/abc.txt\n%s  data/inside/nothing\n",
                                            sums[i].of_abc, sums[i].of_nothing);
    put(name, text);
    assert_sound();
  }
  put("manifest-md5.txt", "900150983cd24fb0d6963f7d28e17f73  data/abc.txt\n"
                          "d41d8cd98f00b204e9800998ecf8427e  data/inside/nothing\n");
  assert_only("checksum", PW_SEVERITY_ERROR, "data/abc.txt", 0);
}

/* 3: in every manifest of the payload. */
static void
a_file_that_one_of_two_manifests_lists(void **state)
{
  (void)state;
  make_plain();
  put("manifest-md5.txt", "900150983cd24fb0d6963f7d28e17f72  data/abc.txt\n");
  assert_only("not listed", PW_SEVERITY_ERROR, "data/inside/nothing", 0);
}

/* 2.1.2: the folder itself. */
static void
the_payload_must_be_there_and_may_be_empty(void **state)
{
  (void)state;
  put("bagit.txt", "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
  put("manifest-sha256.txt", "");
  assert_only("no payload", PW_SEVERITY_ERROR, "data", 0);
  g_autofree char *data = g_build_filename(bag, "data", NULL);
  assert_int_equal(g_mkdir(data, 0777), 0);
  assert_sound();
}

/* 2.2.1: neither the payload nor tag manifests. */
static void
what_a_tag_manifest_must_not_list(void **state)
{
  static const char *const paths[] = {"data/abc.txt", "tagmanifest-sha256.txt"};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(paths); i++) {
    make_plain();
    g_autofree char *manifest = dup_file(MANIFEST);
    g_autofree char *hex = pw_sha256_dup_hex(manifest, strlen(manifest));
    g_autofree char *text =
        g_strdup_printf("%s  " MANIFEST "\n" SUM_OF_ABC "  %s\n", hex, paths[i]);
    put("tagmanifest-sha256.txt", text);
    assert_only("manifest line", PW_SEVERITY_ERROR, "tagmanifest-sha256.txt", 2);
    remove_all(bag);
  }
}

/* ---- Files that are none, and names ------------------------------------------------ */

static void
links_are_refused(void **state)
{
  (void)state;
  make_plain();
  g_autofree char *path = g_build_filename(bag, "data", "passwd", NULL);
  assert_int_equal(symlink("/etc/passwd", path), 0);
  assert_only("link", PW_SEVERITY_ERROR, "data/passwd", 0);
  g_remove(path);
  g_autofree char *folder = g_build_filename(bag, "data", "etc", NULL);
  assert_int_equal(symlink("/etc", folder), 0);
  assert_only("link", PW_SEVERITY_ERROR, "data/etc", 0);
}

static void
a_name_that_no_manifest_can_list(void **state)
{
  (void)state;
  make_plain();
  put("data/\xff", "");
  g_autoptr(PwComplaints) found = check_it();
  assert_int_equal(pw_complaints_n(found), 1);
  assert_string_equal(pw_complaints_peek(found, 0)->kind, "file name");
}

/* 2.1.3: CR, LF and % are encoded, in small letters or capitals. */
static void
odd_names_are_decoded(void **state)
{
  (void)state;
  make_plain();
  put("bag-info.txt", "");
  put("data/100 % wool", "");
  put("data/two\nlines\rand", "");
  put(MANIFEST, BOTH SUM_OF_NOTHING "  data/100 %25 wool\n" SUM_OF_NOTHING
                                    "  data/two%0alines%0Dand\n");
  assert_sound();
  put(MANIFEST, BOTH SUM_OF_NOTHING "  data/100 % wool\n" SUM_OF_NOTHING
                                    "  data/two%0alines%0Dand\n");
  assert_only("manifest line", PW_SEVERITY_WARNING, MANIFEST, 3);
}

/* 6.1, from memory. */
static void
names_that_fall_together_elsewhere(void **state)
{
  (void)state;
  make_plain();
  put("bag-info.txt", "");
  put("data/ABC.txt", "");
  put(MANIFEST, BOTH SUM_OF_NOTHING "  data/ABC.txt\n");
  assert_only("name clash", PW_SEVERITY_WARNING, "data/abc.txt", 0);
  remove_all(bag);
  make_plain();
  put("bag-info.txt", "");
  put("data/caf\xc3\xa9", "");
  put("data/cafe\xcc\x81", "");
  put(MANIFEST, BOTH SUM_OF_NOTHING "  data/caf\xc3\xa9\n" SUM_OF_NOTHING "  data/cafe\xcc\x81\n");
  assert_only("name clash", PW_SEVERITY_WARNING, "data/caf\xc3\xa9", 0);
}

static void
a_name_written_with_other_letters_is_told(void **state)
{
  (void)state;
  make_plain();
  put("bag-info.txt", "");
  put("data/cafe\xcc\x81", "");
  put(MANIFEST, BOTH SUM_OF_NOTHING "  data/caf\xc3\xa9\n");
  g_autoptr(PwComplaints) found = check_it();
  assert_int_equal(pw_complaints_n(found), 2); /* missing, and not listed */
  pw_complaints_sort(found);
  assert_non_null(strstr(pw_complaints_peek(found, 1)->says, "how its letters are written"));
}

static void
limits_are_told(void **state)
{
  (void)state;
  make_plain();
  g_autofree char *long_line = g_strnfill(PW_BAG_LINE_MAX + 1, 'a');
  g_autofree char *text = g_strconcat(BOTH, long_line, "\n", NULL);
  put(MANIFEST, text);
  assert_only("limit", PW_SEVERITY_ERROR, MANIFEST, 3);
  put(MANIFEST, BOTH);
  g_autofree char *path = g_build_filename(bag, "bag-info.txt", NULL);
  assert_int_equal(truncate(path, PW_LIMIT_TEXT_BYTES + 1), 0);
  assert_only("unreadable", PW_SEVERITY_ERROR, "bag-info.txt", 0);
  put("bag-info.txt", "");
  g_autoptr(GString) deep = g_string_new("data");
  for (int i = 0; i < PW_BAG_DEPTH_MAX; i++)
    g_string_append(deep, "/a");
  g_string_append(deep, "/file");
  put(deep->str, "");
  g_string_truncate(deep, deep->len - strlen("/file"));
  assert_only("limit", PW_SEVERITY_ERROR, deep->str, 0);
}

static void
stopped_is_no_verdict(void **state)
{
  const gint stop = 1;
  const PwBagCheckOptions options = {.stop = &stop};
  g_autoptr(PwComplaints) found = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  (void)state;
  make_plain();
  assert_false(pw_bag_check(bag, &options, found, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
}

/* ---- Made -------------------------------------------------------------------------- */

static void
what_is_made_is_sound(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *from = g_build_filename(top, "from", NULL);
  g_autofree char *hex = NULL;
  (void)state;
  assert_true(g_file_set_contents(from, "abc", -1, NULL));
  g_autoptr(PwBag) made = pw_bag_new(bag, &error);
  assert_non_null(made);
  assert_true(pw_bag_copy(made, "z/100 % wool\nor more", from, NULL, &hex, &error));
  assert_string_equal(hex, SUM_OF_ABC);
  assert_true(pw_bag_put(made, "a.txt", "abc", 3, &error));
  assert_true(pw_bag_put_tag(made, "READ ME.txt", "words\n", &error));
  pw_bag_add_info(made, "External-Identifier", "T-1\nand more");
  pw_bag_add_info(made, "Contact-Name", NULL);
  assert_int_equal(pw_bag_n_files(made), 2);
  assert_true(pw_bag_n_bytes(made) == 6);
  assert_true(pw_bag_finish(made, &error));
  assert_sound();
  g_autofree char *manifest = dup_file(MANIFEST), *info = dup_file("bag-info.txt");
  assert_string_equal(manifest, SUM_OF_ABC "  data/a.txt\n" SUM_OF_ABC
                                           "  data/z/100 %25 wool%0Aor more\n");
  assert_string_equal(info, "External-Identifier: T-1 and more\nPayload-Oxum: 6.2\n");
}

static void
what_others_cannot_read_is_not_made(void **state)
{
  static const char *const names[] = {"a\\b", "a\xff", "a\tb", "../a", "a//b"};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(GError) error = NULL;
    g_autoptr(PwBag) made = pw_bag_new(bag, &error);
    assert_false(pw_bag_put(made, names[i], "", 0, &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_RECORD));
  }
  assert_false(g_file_test(bag, G_FILE_TEST_EXISTS));
}

static void
note_copied(void *user, const char *inside, const char *sha256)
{
  GString *told = user;
  g_string_append_printf(told, "%s %.4s\n", inside, sha256);
}

static void
a_whole_folder_is_packed(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GString) told = g_string_new(NULL);
  const PwBagCopying copying = {.copied = note_copied, .user = told};
  guint n_hidden;
  (void)state;
  make_plain();
  put("data/.cache/file", "not packed");
  put("data/.hidden", "not packed");
  g_autofree char *from = g_build_filename(bag, "data", NULL);
  g_autofree char *other = g_build_filename(top, "other", NULL);
  g_autoptr(PwBag) made = pw_bag_new(other, &error);
  assert_true(pw_bag_copy_folder(made, from, &copying, &n_hidden, complaints, &error));
  assert_string_equal(told->str, "abc.txt ba78\ninside/nothing e3b0\n");
  assert_int_equal(n_hidden, 2);
  assert_true(pw_bag_finish(made, &error));
  remove_all(bag);
  assert_int_equal(g_rename(other, bag), 0);
  assert_sound();
}

static void
all_that_cannot_be_packed_is_told(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  const PwBagCopying copying = {0};
  guint n_hidden;
  (void)state;
  make_plain();
  put("data/back\\slash", "");
  put("data/\xff", "");
  g_autofree char *from = g_build_filename(bag, "data", NULL);
  g_autofree char *link = g_build_filename(from, "link", NULL);
  g_autofree char *other = g_build_filename(top, "other", NULL);
  assert_int_equal(symlink("/etc/passwd", link), 0);
  g_autoptr(PwBag) made = pw_bag_new(other, &error);
  assert_false(pw_bag_copy_folder(made, from, &copying, &n_hidden, complaints, &error));
  assert_null(error);
  assert_int_equal(pw_complaints_n(complaints), 3);
  assert_int_equal(pw_bag_n_files(made), 0);
}

static void
a_link_is_not_copied(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *from = g_build_filename(top, "link", NULL);
  (void)state;
  assert_int_equal(symlink("/etc/passwd", from), 0);
  g_autoptr(PwBag) made = pw_bag_new(bag, &error);
  assert_false(pw_bag_copy(made, "a", from, NULL, NULL, &error));
  assert_non_null(strstr(error->message, "it is a link"));
}

static void
a_making_that_is_stopped_leaves_nothing(void **state)
{
  const gint stop = 1;
  g_autoptr(GError) error = NULL;
  g_autofree char *from = g_build_filename(top, "from", NULL);
  (void)state;
  assert_true(g_file_set_contents(from, "abc", -1, NULL));
  PwBag *made = pw_bag_new(bag, &error);
  assert_true(pw_bag_put(made, "b", "", 0, &error));
  assert_false(pw_bag_copy(made, "a", from, &stop, NULL, &error));
  pw_bag_free(made);
  g_remove(from);
  g_autoptr(GDir) dir = g_dir_open(top, 0, NULL);
  assert_null(g_dir_read_name(dir));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(a_plain_bag_is_sound),
      TEST(every_rule_is_kept_watch_over),
      TEST(other_ways_to_write_the_same),
      TEST(every_known_algorithm_is_computed),
      TEST(a_file_that_one_of_two_manifests_lists),
      TEST(the_payload_must_be_there_and_may_be_empty),
      TEST(what_a_tag_manifest_must_not_list),
      TEST(links_are_refused),
      TEST(a_name_that_no_manifest_can_list),
      TEST(odd_names_are_decoded),
      TEST(names_that_fall_together_elsewhere),
      TEST(a_name_written_with_other_letters_is_told),
      TEST(limits_are_told),
      TEST(stopped_is_no_verdict),
      TEST(what_is_made_is_sound),
      TEST(what_others_cannot_read_is_not_made),
      TEST(a_whole_folder_is_packed),
      TEST(all_that_cannot_be_packed_is_told),
      TEST(a_link_is_not_copied),
      TEST(a_making_that_is_stopped_leaves_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
