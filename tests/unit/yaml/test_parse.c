/* Text to nodes: what is read, what is refused, and that every place is right. */
#include <platewright/yaml.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwYaml *yaml = pw_yaml_parse(text, strlen(text), "t.yaml", complaints);
  if (!yaml)
    print_message("# %s\n", pw_complaints_peek(complaints, 0)->says);
  assert_non_null(yaml);
  assert_int_equal(pw_complaints_n(complaints), 0);
  return yaml;
}

static void
assert_refused_bytes(const char *text, gsize length, const char *kind, guint line, guint column)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_parse(text, length, "t.yaml", complaints);
  assert_null(yaml);
  assert_true(pw_complaints_n(complaints) > 0);
  const PwComplaint *complaint = pw_complaints_peek(complaints, 0);
  assert_string_equal(complaint->file, "t.yaml");
  assert_int_equal(complaint->severity, PW_SEVERITY_ERROR);
  if (g_strcmp0(complaint->kind, kind) || complaint->line != line || complaint->column != column)
    print_message("# in %s: %u:%u %s: %s\n", text, complaint->line, complaint->column,
                  complaint->kind, complaint->says);
  assert_string_equal(complaint->kind, kind);
  assert_int_equal(complaint->line, line);
  assert_int_equal(complaint->column, column);
}

static void
assert_refused(const char *text, const char *kind, guint line, guint column)
{
  assert_refused_bytes(text, strlen(text), kind, line, column);
}

static const char *
text_of(const PwYaml *yaml, const char *key)
{
  return pw_yaml_node_peek_text(pw_yaml_node_get(pw_yaml_peek_root(yaml), key));
}

static void
scalars_are_text(void **state)
{
  (void)state;
  g_autoptr(PwYaml) yaml = parse("a: no\nb: 007\nc: ~\nd: \"x\\ty\"\ne: 'it''s'\nf:\n"
                                 "g: |\n  one\n  two\nh: 6000 x 4000\n");
  assert_string_equal(text_of(yaml, "a"), "no");
  assert_string_equal(text_of(yaml, "b"), "007");
  assert_string_equal(text_of(yaml, "c"), "~");
  assert_string_equal(text_of(yaml, "d"), "x\ty");
  assert_string_equal(text_of(yaml, "e"), "it's");
  assert_string_equal(text_of(yaml, "f"), "");
  assert_string_equal(text_of(yaml, "g"), "one\ntwo\n");
  assert_string_equal(text_of(yaml, "h"), "6000 x 4000");
  assert_null(pw_yaml_node_get(pw_yaml_peek_root(yaml), "i"));
  assert_true(pw_yaml_node_is_plain(pw_yaml_node_get(pw_yaml_peek_root(yaml), "a")));
  assert_false(pw_yaml_node_is_plain(pw_yaml_node_get(pw_yaml_peek_root(yaml), "d")));
  assert_false(pw_yaml_node_is_plain(pw_yaml_node_get(pw_yaml_peek_root(yaml), "g")));
}

static void
collections_keep_their_order(void **state)
{
  (void)state;
  g_autoptr(PwYaml) yaml = parse("marks:\n  - {id: 1, term: loss}\n  - id: 2\n    term: tear\n"
                                 "views: [head, tail]\n");
  const PwYamlNode *root = pw_yaml_peek_root(yaml);
  assert_int_equal(pw_yaml_node_kind(root), PW_YAML_MAPPING);
  assert_int_equal(pw_yaml_node_n(root), 2);
  assert_string_equal(pw_yaml_node_peek_text(pw_yaml_node_key(root, 1)), "views");
  const PwYamlNode *marks = pw_yaml_node_value(root, 0);
  assert_int_equal(pw_yaml_node_kind(marks), PW_YAML_SEQUENCE);
  assert_null(pw_yaml_node_peek_text(marks));
  const PwYamlNode *second = pw_yaml_node_item(marks, 1);
  assert_string_equal(pw_yaml_node_peek_text(pw_yaml_node_get(second, "term")), "tear");
}

static void
nothing_is_an_empty_mapping(void **state)
{
  (void)state;
  static const char *const texts[] = {
      "", "\n", "# only a comment\n", "---\n", "--- # c\n", "\xEF\xBB\xBF", "\r\n", "{}"};
  for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
    g_autoptr(PwYaml) yaml = parse(texts[i]);
    assert_int_equal(pw_yaml_node_kind(pw_yaml_peek_root(yaml)), PW_YAML_MAPPING);
    assert_int_equal(pw_yaml_node_n(pw_yaml_peek_root(yaml)), 0);
    gsize length;
    assert_string_equal(pw_yaml_peek_text(yaml, &length), texts[i]);
    assert_int_equal(length, strlen(texts[i]));
  }
}

static void
what_a_record_must_not_hold_is_refused(void **state)
{
  (void)state;
  assert_refused("a: 1\nb: 2\na: 3\n", "duplicate key", 3, 1);
  assert_refused("x: {α: 1, α: 2}\n", "duplicate key", 1, 11);
  assert_refused("a: &x 1\n", "alias", 1, 4);
  assert_refused("a: 1\nb: *x\n", "alias", 2, 4);
  assert_refused("a: &x [*x]\n", "alias", 1, 4);
  assert_refused("a: !!str 1\n", "tag", 1, 4);
  assert_refused("a: ! 1\n", "tag", 1, 4);
  assert_refused("%TAG !e! tag:example.org,2000:\n---\na: 1\n", "tag", 1, 1);
  assert_refused("a: !e!x 1\n", "syntax", 1, 4);
  assert_refused("<<: {a: 1}\n", "merge key", 1, 1);
  assert_refused("a: 1\n---\nb: 2\n", "second document", 2, 1);
  assert_refused("[a, b]: 1\n", "syntax", 1, 1);
  assert_refused("? a\n: b\n", "syntax", 1, 3);
  assert_refused(": b\n", "syntax", 1, 1);
  assert_refused("a: {note: lost, broken}\n", "cut text", 1, 17);
  pw_yaml_free(parse("\"<<\": 1\na: \"*x\"\nb: \"&y\"\nc: '!z'\n"));
}

static void
broken_syntax_is_told_at_its_place(void **state)
{
  (void)state;
  assert_refused("a: 1\n b: 2\n", "syntax", 2, 3);
  assert_refused("a: \"never closed\nb: 1\n", "syntax", 1, 4);
  assert_refused("a: [1, 2\nb: 3\n", "syntax", 2, 2);
  assert_refused("a: {x: 1\n", "syntax", 2, 1);
  assert_refused("a:\n\tb: 1\n", "syntax", 2, 1);
  assert_refused("note: lost: 2 boards\n", "syntax", 1, 11);
  assert_refused("αβγ: @x\n", "syntax", 1, 6);
  assert_refused("a: \"\\q\"\n", "syntax", 1, 5);
  assert_refused("in: {note:}\n", "syntax", 1, 10);
  assert_refused("a: 1\nno colon\nb: 2\n", "syntax", 2, 1);
  assert_refused("a: 1\n...\nb: 2\n", "syntax", 3, 1);
  assert_refused("a: - b\n", "syntax", 1, 4);
  assert_refused("%YAML 3.0\n---\na: 1\n", "syntax", 1, 1);
}

static void
bad_characters_are_refused(void **state)
{
  (void)state;
  assert_refused_bytes("a: b\0c", 6, "encoding", 1, 5);
  assert_refused("a: 1\nb: \xC3(\n", "encoding", 2, 4);
  assert_refused("a: \xED\xA0\x80\n", "encoding", 1, 4);
  assert_refused("a: x\x1B[31m\n", "encoding", 1, 5);
  assert_refused("a: x # y\xE2\x80\xA8"
                 "b: 1\n",
                 "line break", 1, 9);
  assert_refused("a: \xC2\x85\n", "line break", 1, 4);
  assert_refused_bytes("\xFF\xFE"
                       "a\0:\0",
                       6, "encoding", 1, 1);
  assert_refused("a: \"x\\0y\"\n", "encoding", 1, 4);
}

static void
too_much_is_refused(void **state)
{
  (void)state;
  GString *text = g_string_new(NULL);
  for (int i = 0; i < PW_LIMIT_DEPTH; i++)
    g_string_append_c(text, '[');
  for (int i = 0; i < PW_LIMIT_DEPTH; i++)
    g_string_append_c(text, ']');
  pw_yaml_free(parse(text->str));
  g_string_prepend_c(text, '[');
  g_string_append_c(text, ']');
  assert_refused(text->str, "too deep", 1, PW_LIMIT_DEPTH + 1);
  g_string_assign(text, "a: ");
  while (text->len <= PW_LIMIT_TEXT_BYTES)
    g_string_append_len(text, "0123456789012345678901234567890123456789012345678901234567890123",
                        64);
  assert_refused(text->str, "too large", 0, 0);
  g_string_truncate(text, PW_LIMIT_TEXT_BYTES);
  pw_yaml_free(parse(text->str));
  g_string_free(text, TRUE);
}

static void
all_faults_of_a_text_are_told(void **state)
{
  (void)state;
  static const char text[] = "a: 1\na: 2\nb: !t x\nc: *d\ne: {f, g: 1}\n";
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) yaml = pw_yaml_parse(text, strlen(text), "t.yaml", complaints);
  assert_null(yaml);
  assert_int_equal(pw_complaints_n(complaints), 4);
}

static void
assert_cut(const char *text, const char *key, gboolean cut)
{
  g_autoptr(PwYaml) yaml = parse(text);
  const PwYamlNode *node = pw_yaml_peek_root(yaml);
  if (g_str_has_prefix(text, "in: "))
    node = pw_yaml_node_get(node, "in");
  assert_int_equal(pw_yaml_node_is_cut(pw_yaml_node_get(node, key)), cut);
}

static void
prose_that_yaml_cuts_is_noticed(void **state)
{
  (void)state;
  assert_cut("note: lost # 2 boards\n", "note", TRUE);
  assert_cut("note: lost\t# 2 boards\n", "note", TRUE);
  assert_cut("note: # 2 boards\n", "note", TRUE);
  assert_cut("note: lost\n  and found # 2 boards\n", "note", TRUE);
  assert_cut("note: \"lost\" # 2 boards\n", "note", FALSE);
  assert_cut("note: 'lost' # 2 boards\n", "note", FALSE);
  assert_cut("note: lost#2\n", "note", FALSE);
  assert_cut("note: lost\n# 2 boards\n", "note", FALSE);
  assert_cut("note:\nb: 1\n", "note", FALSE);
  assert_cut("note: |\n  lost # 2 boards\n", "note", FALSE);
  assert_cut("in: {note: }\n", "note", TRUE);
  assert_cut("in: {note: , b: 1}\n", "note", TRUE);
  assert_cut("in: {\"note\":}\n", "note", TRUE);
  assert_cut("in: {note: \"\"}\n", "note", FALSE);
  assert_cut("in: {note: lost, # about it\n  b: 1}\n", "note", FALSE);
  assert_cut("in: {note: lost # about it\n  }\n", "note", TRUE);
}

static void
assert_place(const PwYaml *yaml, const PwYamlNode *node, guint line, guint column)
{
  guint at_line, at_column;
  pw_yaml_node_place(yaml, node, &at_line, &at_column);
  assert_int_equal(at_line, line);
  assert_int_equal(at_column, column);
}

static void
places_count_characters_and_lines(void **state)
{
  (void)state;
  g_autoptr(PwYaml) yaml =
      parse("# Ελληνικά\r\nключ: {δ: \"日本\", ε: x}\r\n\r\nlist:\r\n  - ü\r\n  -\r\n"
            "empty:   # nothing\r\nold: 1\rlast: 2");
  const PwYamlNode *root = pw_yaml_peek_root(yaml);
  const PwYamlNode *flow = pw_yaml_node_get(root, "ключ");
  assert_place(yaml, root, 2, 1);
  assert_place(yaml, flow, 2, 7);
  assert_place(yaml, pw_yaml_node_get(flow, "δ"), 2, 11);
  assert_place(yaml, pw_yaml_node_get(flow, "ε"), 2, 20);
  const PwYamlNode *list = pw_yaml_node_get(root, "list");
  assert_place(yaml, pw_yaml_node_item(list, 0), 5, 5);
  assert_place(yaml, pw_yaml_node_item(list, 1), 6, 4);
  assert_place(yaml, pw_yaml_node_get(root, "empty"), 7, 7);
  assert_place(yaml, pw_yaml_node_get(root, "last"), 9, 7);
  g_autoptr(PwYaml) marked = parse("\xEF\xBB\xBF"
                                   "a: 1\nb: 2\n");
  assert_place(marked, pw_yaml_node_get(pw_yaml_peek_root(marked), "a"), 1, 4);
}

static void
assert_content_place(const char *text, const char *key, gsize offset, guint line, guint column)
{
  g_autoptr(PwYaml) yaml = parse(text);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  pw_yaml_complain_at(yaml, pw_yaml_node_get(pw_yaml_peek_root(yaml), key), offset, complaints,
                      "points", PW_SEVERITY_WARNING, "not a number: %s", "x41");
  const PwComplaint *complaint = pw_complaints_peek(complaints, 0);
  assert_string_equal(complaint->says, "not a number: x41");
  assert_int_equal(complaint->severity, PW_SEVERITY_WARNING);
  assert_int_equal(complaint->line, line);
  assert_int_equal(complaint->column, column);
}

static void
a_place_inside_a_scalar_is_exact(void **state)
{
  (void)state;
  assert_content_place("a: 1\nline: 10,20 x41,5\n", "line", 6, 2, 13);
  assert_content_place("line: \"10,20 x41,5\"\n", "line", 6, 1, 14);
  assert_content_place("line: '10,20 x41,5'\n", "line", 6, 1, 14);
  assert_content_place("line: \"\\t\\x41\\u00e9\\U0001F600z\"\n", "line", 8, 1, 30);
  assert_content_place("line: \"\\N\\_\\L\\Pz\"\n", "line", 10, 1, 16);
  assert_content_place("line: 'it''s'\n", "line", 3, 1, 12);
  assert_content_place("line: \"éx\"\n", "line", 2, 1, 9);
  assert_content_place("line: \"a\n  b\"\n", "line", 2, 1, 7);
  assert_content_place("line: |\n  abc\n", "line", 2, 1, 7);
  assert_content_place("line: abc\n", "line", 99, 1, 10);
  assert_content_place("line: \"abc\"\n", "line", 99, 1, 11);
}

static void
a_complaint_shows_its_line(void **state)
{
  (void)state;
  g_autoptr(PwYaml) yaml = parse("a: 1\nbb: \"δ\"  # c\r\nc: 3\n");
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  pw_yaml_complain(yaml, pw_yaml_node_get(pw_yaml_peek_root(yaml), "bb"), complaints,
                   "unknown term", PW_SEVERITY_ERROR, "no such term: %s", "δ");
  g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, 0));
  assert_string_equal(text, "t.yaml:2:5: error: no such term: δ\n  bb: \"δ\"  # c\n      ^");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(scalars_are_text),
      cmocka_unit_test(collections_keep_their_order),
      cmocka_unit_test(nothing_is_an_empty_mapping),
      cmocka_unit_test(what_a_record_must_not_hold_is_refused),
      cmocka_unit_test(broken_syntax_is_told_at_its_place),
      cmocka_unit_test(bad_characters_are_refused),
      cmocka_unit_test(too_much_is_refused),
      cmocka_unit_test(all_faults_of_a_text_are_told),
      cmocka_unit_test(prose_that_yaml_cuts_is_noticed),
      cmocka_unit_test(places_count_characters_and_lines),
      cmocka_unit_test(a_place_inside_a_scalar_is_exact),
      cmocka_unit_test(a_complaint_shows_its_line),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
