/* Edits in place, case by case: the whole text after each edit is compared, so that nothing else
 * can have moved. */
#include <platewright/yaml.h>

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

typedef enum { WORD, PROSE, FLOW, APPEND, REMOVE } Operation;

typedef struct {
  const char *before;
  Operation operation;
  const char *path, *value, *after; /* `after` NULL: refused */
} Case;

static gboolean
edit(PwYaml *yaml, Operation operation, const char *path, const char *value, GError **error)
{
  switch (operation) {
  case WORD:
    return pw_yaml_set(yaml, path, value, PW_YAML_AS_WORD, error);
  case PROSE:
    return pw_yaml_set(yaml, path, value, PW_YAML_AS_PROSE, error);
  case FLOW:
    return pw_yaml_set_flow(yaml, path, value, error);
  case APPEND:
    return pw_yaml_append(yaml, path, value, error);
  default:
    return pw_yaml_remove(yaml, path, error);
  }
}

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwYaml *yaml = pw_yaml_parse(text, strlen(text), "t.yaml", complaints);
  assert_non_null(yaml);
  return yaml;
}

static void
check(const Case *test)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(PwYaml) yaml = parse(test->before);
  const gboolean done = edit(yaml, test->operation, test->path, test->value, &error);
  const char *expected = test->after ? test->after : test->before;
  const char *text = pw_yaml_peek_text(yaml, NULL);
  if (done != (test->after != NULL) || !g_str_equal(text, expected))
    print_message("# %s in <%s> gave <%s>, not <%s>: %s\n", test->path, test->before, text,
                  expected, error ? error->message : "no error");
  assert_int_equal(done, test->after != NULL);
  assert_int_equal(error == NULL, done);
  assert_string_equal(text, expected);
}

#define check_all(cases)                          \
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) \
  check(&(cases)[i])

/* Comments that are moved in deeper speak of what stands above: taking one's sign away must not
 * make it a part of what was put in. */
static void
new_pairs_stand_behind_deeper_comments(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a:\n  b: 1\n  # c: 2\n   # d\n# e: 3\n", WORD, "x", "y",
       "a:\n  b: 1\n  # c: 2\n   # d\nx: y\n# e: 3\n"},
      {"a:\n  b: 1\n  # c: 2\n", WORD, "a/x", "y", "a:\n  b: 1\n  x: y\n  # c: 2\n"},
      {"a:\n  b: 1\n\n  # c: 2\n", WORD, "x", "y", "a:\n  b: 1\nx: y\n\n  # c: 2\n"},
      {"a:\r\n  b: 1\r\n  # c: 2", FLOW, "x/z", "{y: 1}",
       "a:\r\n  b: 1\r\n  # c: 2\r\nx:\r\n  z: {y: 1}"},
  };
  check_all(cases);
}

static void
values_are_replaced_where_they_stand(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a: 1 # c\nb: 2\n", WORD, "a", "x y", "a: x y # c\nb: 2\n"},
      {"a: 1\r\nb: 2\r\n", WORD, "b", "3", "a: 1\r\nb: 3\r\n"},
      {"a:   'one'   # c\n", PROSE, "a", "two", "a:   \"two\"   # c\n"},
      {"a: {b: 1, c: [x, 'y']}\n", WORD, "a/c/[1]", "z", "a: {b: 1, c: [x, z]}\n"},
      {"- {a: 1}\n- {a: 2}\n", WORD, "[1]/a", "3", "- {a: 1}\n- {a: 3}\n"},
      {"α: \"δ\"\nβ: \"ε\"\n", PROSE, "β", "ζ", "α: \"δ\"\nβ: \"ζ\"\n"},
      {"\"MAKE/MODEL\": {x: 1}\n", WORD, "MAKE\\/MODEL/x", "2", "\"MAKE/MODEL\": {x: 2}\n"},
      {"\xEF\xBB\xBF"
       "a: 1\nb: 2\n",
       WORD, "a", "3",
       "\xEF\xBB\xBF"
       "a: 3\nb: 2\n"},
      {"a: 1", WORD, "a", "2", "a: 2"},
      {"--- # c\na: 1\n...\n", WORD, "a", "2", "--- # c\na: 2\n...\n"},
      /* What says it already stays as it is written, but not where YAML cuts. */
      {"a: 'x'\n", WORD, "a", "x", "a: 'x'\n"},
      {"a: lost # 2 boards\n", PROSE, "a", "lost", "a: \"lost\" # 2 boards\n"},
  };
  check_all(cases);
}

static void
missing_values_are_filled_in(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a:\nb: 2\n", WORD, "a", "1", "a: 1\nb: 2\n"},
      {"a:   # c\nb: 2\n", WORD, "a", "1", "a: 1   # c\nb: 2\n"},
      {"a:", WORD, "a", "1", "a: 1"},
      {"a: {b: , c: 2}\n", WORD, "a/b", "1", "a: {b: 1 , c: 2}\n"},
      {"- \n- 2\n", WORD, "[0]", "1", "- 1 \n- 2\n"},
      {"a: # c\nb: 2\n", WORD, "a/x", "1", "a: # c\n  x: 1\nb: 2\n"},
      {"- # c\n- 2\n", WORD, "[0]/x/y", "a, b", "- {x: {y: \"a, b\"}} # c\n- 2\n"},
      {"a: # c\nb: 2\n", APPEND, "a", "{x: 1}", "a: # c\n  - {x: 1}\nb: 2\n"},
      {"a: {b: }\n", APPEND, "a/b", "x", "a: {b: [x] }\n"},
      {"a: {b: }\n", WORD, "a/b/c", "x", "a: {b: {c: x} }\n"},
  };
  check_all(cases);
}

static void
many_lines_are_replaced_as_one(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a: |  # c\n  one\n  two\n\n# d\nb: 2\n", PROSE, "a", "x", "a: \"x\"  # c\n\n# d\nb: 2\n"},
      {"a: >-\r\n  one\r\n  two\r\nb: 2\r\n", PROSE, "a", "x\ny", "a: \"x\\ny\"\r\nb: 2\r\n"},
      {"a: |+\n  one\n\n\nb: 2\n", WORD, "a", "x", "a: x\nb: 2\n"},
      {"a: |\n  one # no comment", WORD, "a", "x", "a: x"},
      {"a: |\nb: 2\n", WORD, "a", "x", "a: x\nb: 2\n"},
      {"a: \"one\n  two\" # c\nb: 2\n", WORD, "a", "x", "a: x # c\nb: 2\n"},
      {"a: 'one\n\n  two'\nb: 2\n", WORD, "a", "x", "a: x\nb: 2\n"},
      {"a: one\n  two\nb: 2\n", WORD, "a", "x", "a: x\nb: 2\n"},
      {"- |\n one\n- 2\n", WORD, "[0]", "x", "- x\n- 2\n"},
      {"a: # c\n  x: 1 # d\n  # e\nb: 2\n", FLOW, "a", "{y: 2}", "a: {y: 2} # c\n  # e\nb: 2\n"},
      {"a:\n- 1\n- 2\nb: 2\n", FLOW, "a", "[]", "a: []\nb: 2\n"},
      {"- x: 1\n  y: 2 # c\n- 2\n", WORD, "[0]", "z", "- z # c\n- 2\n"},
      {"-\n  x: 1\n  y: 2\n- 2\n", WORD, "[0]", "z", "- z\n- 2\n"},
  };
  check_all(cases);
}

static void
missing_keys_follow_the_last_of_their_mapping(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a: 1\n# end\n", WORD, "b", "2", "a: 1\nb: 2\n# end\n"},
      {"a: 1 # c\r\n", WORD, "b", "2", "a: 1 # c\r\nb: 2\r\n"},
      {"a: 1\rb: 2\r", WORD, "c", "3", "a: 1\rb: 2\rc: 3\r"},
      {"a: 1", WORD, "b", "2", "a: 1\nb: 2"},
      {"a:\n    x: 1\n    # d\nb: 2\n", WORD, "a/y", "3",
       "a:\n    x: 1\n    y: 3\n    # d\nb: 2\n"},
      {"a:\n    x: 1\nb: 2\n", WORD, "c/y/z", "3",
       "a:\n    x: 1\nb: 2\nc:\n    y:\n        z: 3\n"},
      {"- a: 1\n  b: |\n    t\n\n- 2\n", WORD, "[0]/c", "3",
       "- a: 1\n  b: |\n    t\n  c: 3\n\n- 2\n"},
      {"a: |+\n  t\n\n", WORD, "b", "3", "a: |+\n  t\n\nb: 3\n"},
      {"a: |\n  t", WORD, "b", "3", "a: |\n  t\nb: 3"},
      {"a: {x: 1}\n", WORD, "a/y", "b, c", "a: {x: 1, y: \"b, c\"}\n"},
      {"a: {x: 1, }\n", WORD, "a/y", "2", "a: {x: 1, y: 2, }\n"},
      {"a: {x: 1, # c\n  z: }\n", WORD, "a/y", "2", "a: {x: 1, # c\n  z: , y: 2 }\n"},
      {"a: {}\n", WORD, "a/y/z", "2", "a: {y: {z: 2}}\n"},
      {"{}\n", WORD, "a", "2", "{a: 2}\n"},
      {"", WORD, "a/b", "2", "a:\n  b: 2\n"},
      {"# c\r\n", WORD, "a/b", "2", "# c\r\na:\r\n  b: 2\r\n"},
      {"# c", WORD, "a", "2", "# c\na: 2\n"},
      {"---\n", WORD, "a", "2", "---\na: 2\n"},
      {"a: 1\n", WORD, "b c", "2", "a: 1\nb c: 2\n"},
      {"a: 1\n", WORD, "b: c", "2", "a: 1\n\"b: c\": 2\n"},
      {"a: 1\n", WORD, "<<", "2", "a: 1\n\"<<\": 2\n"},
      {"a: 1\n", WORD, "\\[0]", "2", "a: 1\n\"[0]\": 2\n"},
  };
  check_all(cases);
}

static void
items_are_appended(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a:\n  - 1 # c\n  # d\nb: 2\n", APPEND, "a", "{x: 1}",
       "a:\n  - 1 # c\n  - {x: 1}\n  # d\nb: 2\n"},
      {"a:\n- 1\nb: 2\n", APPEND, "a", "3", "a:\n- 1\n- 3\nb: 2\n"},
      {"a:\n- 1\n", APPEND, "b", "3", "a:\n- 1\nb:\n- 3\n"},
      {"a: [1, 2]\n", APPEND, "a", "3", "a: [1, 2, 3]\n"},
      {"a: [ ]\n", APPEND, "a", "[3]", "a: [[3] ]\n"},
      {"- - 1\n  - 2\n- 3\n", APPEND, "[0]", "4", "- - 1\n  - 2\n  - 4\n- 3\n"},
      {"- 1", APPEND, "[0]", "4", NULL},
      {"a: {b: 1}\n", APPEND, "a", "4", NULL},
      {"a: 1\n", APPEND, "b/c", "4", "a: 1\nb:\n  c:\n    - 4\n"},
      {"a: {b: 1}\n", APPEND, "a/c", "4", "a: {b: 1, c: [4]}\n"},
      {"", APPEND, "marks", "{id: 1}", "marks:\n  - {id: 1}\n"},
  };
  check_all(cases);
}

static void
pairs_and_items_are_removed(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a: 1 # c\n# d\nb: 2\n", REMOVE, "a", NULL, "# d\nb: 2\n"},
      {"a: 1\nb: |\n  t\n\nc: 3\n", REMOVE, "b", NULL, "a: 1\n\nc: 3\n"},
      {"a: 1\nb: \"t\n  u\" # c\nc: 3", REMOVE, "b", NULL, "a: 1\nc: 3"},
      {"a: 1\nb: # c\n  x: 1 # d\nc: 3\n", REMOVE, "b", NULL, "a: 1\nc: 3\n"},
      {"a: 1\nb: 2", REMOVE, "b", NULL, "a: 1\n"},
      {"# c\na: 1\n# d\n", REMOVE, "a", NULL, "# c\n# d\n"},
      {"a: # c\n  x: 1\nb: 2\n", REMOVE, "a/x", NULL, "a: {} # c\nb: 2\n"},
      {"a:\n- 1\nb: 2\n", REMOVE, "a/[0]", NULL, "a: []\nb: 2\n"},
      {"- a: 1 # c\n\n  # d\n  b: 2\n", REMOVE, "[0]/a", NULL, "- # d\n  b: 2\n"},
      {"- a: 1\n  b: 2\n", REMOVE, "[0]/b", NULL, "- a: 1\n"},
      {"- a: 1 # c\n- b: 2\n", REMOVE, "[0]/a", NULL, "- {} # c\n- b: 2\n"},
      {"- 1 # c\n- 2\n", REMOVE, "[0]", NULL, "- 2\n"},
      {"- - 1\n  - 2\n", REMOVE, "[0]/[0]", NULL, "- - 2\n"},
      {"-\n- 2\n", REMOVE, "[0]", NULL, "- 2\n"},
      {"a: {x: 1, y: 2, z: 3}\n", REMOVE, "a/x", NULL, "a: {y: 2, z: 3}\n"},
      {"a: {x: 1, y: 2, z: 3}\n", REMOVE, "a/y", NULL, "a: {x: 1, z: 3}\n"},
      {"a: {x: 1, y: 2, z: 3}\n", REMOVE, "a/z", NULL, "a: {x: 1, y: 2}\n"},
      {"a: {x: 1, y: 2, }\n", REMOVE, "a/y", NULL, "a: {x: 1, }\n"},
      {"a: { x: 1 }\n", REMOVE, "a/x", NULL, "a: {}\n"},
      {"a: [1, 2]\n", REMOVE, "a/[1]", NULL, "a: [1]\n"},
      {"a: {x: 1, # c\n    y: 2, # d\n    z: 3}\n", REMOVE, "a/y", NULL,
       "a: {x: 1, # c\n    z: 3}\n"},
      {"a: {x: 1, # c\n    y: 2 # d\n    }\n", REMOVE, "a/y", NULL, "a: {x: 1 # c\n    }\n"},
      {"a: [1 # c\n  , # d\n  2]\n", REMOVE, "a/[0]", NULL, "a: [\n   # d\n  2]\n"},
      {"{x: 1}\n", REMOVE, "x", NULL, "{}\n"},
      {"- 1\n", REMOVE, "[0]", NULL, "[]\n"},
      {"a: 1\n", REMOVE, "b", NULL, NULL},
      {"a: 1\n", REMOVE, "a/b", NULL, NULL},
      {"- 1\n", REMOVE, "[1]", NULL, NULL},
  };
  check_all(cases);
}

static void
what_cannot_be_done_faithfully_is_refused(void **state)
{
  (void)state;
  static const Case cases[] = {
      {"a: 1\n", WORD, "a/b", "1", NULL},
      {"a: 1\n", WORD, "a/[0]", "1", NULL},
      {"a: 1\n", WORD, "b/[0]", "1", NULL},
      {"a: [1]\n", WORD, "a/b", "1", NULL},
      {"a: [1]\n", WORD, "a/[1]", "1", NULL},
      {"a: [b: 1]\n", WORD, "a/[0]/c", "1", NULL}, /* a pair without braces can be but one */
      {"a: 1\n", WORD, "", "1", NULL},
      {"a: 1\n", WORD, "a/", "1", NULL},
      {"a: 1\n", WORD, "/a", "1", NULL},
      {"a: 1\n", WORD, "b//c", "1", NULL},
      {"a: 1\n...\n", WORD, "b", "\xFF", NULL},
      {"a: 1\n", FLOW, "b", "1, 2", NULL},
      {"a: 1\n", FLOW, "b", "[1", NULL},
      {"a: 1\n", FLOW, "b", "", NULL},
      {"a: 1\n", FLOW, "b", "[1,\n2]", NULL},
      {"a: 1\n", FLOW, "b", "{x: 1} # c", NULL},
      {"a: 1\n", FLOW, "b", "x: 1", NULL},
      {"a: 1\n", FLOW, "b", "{x: *y}", NULL},
      {"a: 1\n", FLOW, "b", "{x: 1, x: 2}", NULL},
      {"# c\n---\n...\n", WORD, "a", "1", NULL},
  };
  check_all(cases);
}

static void
words_that_would_not_read_back_are_quoted(void **state)
{
  (void)state;
  static const char *const plain[] = {"before",  "red rot", "6000 x 4000", "-0.012",
                                      "1,2 3,4", "f. 12r",  "no",          "a#b",
                                      "x:y",     "10:14",   "~",           "日本"};
  static const char *const quoted[] = {
      "",   " a", "a ", "a: b", "a #b",   "# a", "a:",  "- a",    "-",   "[a",
      "{a", "]",  "}",  "\"a",  "'a",     "*a",  "&a",  "!a",     "|",   ">",
      "%a", "@a", "`a", "a\nb", "a\tb\n", "? a", ": a", "\u2028", "\x01"};
  for (gsize i = 0; i < G_N_ELEMENTS(plain); i++) {
    g_autoptr(PwYaml) yaml = parse("a: 1\n");
    assert_true(pw_yaml_set(yaml, "a", plain[i], PW_YAML_AS_WORD, NULL));
    g_autofree char *expected = g_strdup_printf("a: %s\n", plain[i]);
    assert_string_equal(pw_yaml_peek_text(yaml, NULL), expected);
  }
  for (gsize i = 0; i < G_N_ELEMENTS(quoted); i++) {
    g_autoptr(PwYaml) yaml = parse("a: 1\n");
    assert_true(pw_yaml_set(yaml, "a", quoted[i], PW_YAML_AS_WORD, NULL));
    const PwYamlNode *node = pw_yaml_node_get(pw_yaml_peek_root(yaml), "a");
    assert_false(pw_yaml_node_is_plain(node));
    assert_string_equal(pw_yaml_node_peek_text(node), quoted[i]);
  }
  g_autofree char *escaped = pw_yaml_dup_quoted("\"\\\n\t\x01\x7F\u2028\uFEFFé");
  assert_string_equal(escaped, "\"\\\"\\\\\\n\\t\\x01\\x7F\\u2028\\uFEFFé\"");
}

static void
a_file_is_saved_over_its_own_state_only(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pw-yaml-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "a.yaml", NULL);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  assert_null(pw_yaml_open(path, "a.yaml", complaints, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  g_clear_error(&error);
  assert_true(g_file_set_contents(path, "a: [\n", -1, NULL));
  assert_null(pw_yaml_open(path, "a.yaml", complaints, &error));
  assert_null(error);
  assert_int_equal(pw_complaints_n(complaints), 1);
  assert_true(g_file_set_contents(path, "a: 1 # c\n", -1, NULL));
  g_autoptr(PwYaml) yaml = pw_yaml_open(path, "a.yaml", complaints, NULL);
  assert_string_equal(pw_yaml_peek_file(yaml), "a.yaml");
  for (int i = 0; i < 3; i++) {
    g_autofree char *value = g_strdup_printf("%d", 5 + i);
    assert_true(pw_yaml_set(yaml, "a", value, PW_YAML_AS_WORD, NULL));
    assert_true(pw_yaml_save(yaml, NULL));
  }
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  assert_string_equal(text, "a: 7 # c\n");
  assert_true(g_file_set_contents(path, "a: theirs\n", -1, NULL));
  assert_true(pw_yaml_set(yaml, "a", "9", PW_YAML_AS_WORD, NULL));
  assert_false(pw_yaml_save(yaml, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_STALE));
  g_clear_error(&error);
  g_autofree char *theirs = NULL;
  assert_true(g_file_get_contents(path, &theirs, NULL, NULL));
  assert_string_equal(theirs, "a: theirs\n");
  g_autoptr(PwYaml) unsaved = parse("a: 1\n");
  assert_false(pw_yaml_save(unsaved, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  g_remove(path);
  assert_int_equal(g_rmdir(folder), 0); /* nothing was left beside it */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(values_are_replaced_where_they_stand),
      cmocka_unit_test(new_pairs_stand_behind_deeper_comments),
      cmocka_unit_test(missing_values_are_filled_in),
      cmocka_unit_test(many_lines_are_replaced_as_one),
      cmocka_unit_test(missing_keys_follow_the_last_of_their_mapping),
      cmocka_unit_test(items_are_appended),
      cmocka_unit_test(pairs_and_items_are_removed),
      cmocka_unit_test(what_cannot_be_done_faithfully_is_refused),
      cmocka_unit_test(words_that_would_not_read_back_are_quoted),
      cmocka_unit_test(a_file_is_saved_over_its_own_state_only),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
