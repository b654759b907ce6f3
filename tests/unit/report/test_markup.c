/* HTML as it is written: hostile text, nesting, names within a file. */
#include "report/markup.h"
#include "report/set_html_private.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static char *
text_of(PwMarkup *markup)
{
  g_autoptr(GBytes) bytes = pw_markup_take_bytes(markup);
  gsize length = 0;
  const char *data = g_bytes_get_data(bytes, &length);
  return g_strndup(data, length);
}

/* Every character that HTML gives a meaning to (Living Standard, 13.1.2.3 and 13.3), as text and as
 * a value. */
static void
escapes(void **state G_GNUC_UNUSED)
{
  g_autoptr(PwMarkup) markup = pw_markup_new();
  pw_markup_element(markup, "p", "</script>&\"'>", "title", "\"><b a='", NULL);
  g_autofree char *text = text_of(markup);
  assert_string_equal(text, "<p title=\"&#34;&#62;&#60;b a=&#39;\">"
                            "&#60;/script&#62;&#38;&#34;&#39;&#62;</p>");
}

/* Control characters, overrides of direction and broken UTF-8 come out as U+FFFD. */
static void
replaces_control_characters(void **state G_GNUC_UNUSED)
{
  g_autoptr(PwMarkup) markup = pw_markup_new();
  pw_markup_text(markup, "a\001b\033c\302\205d\342\200\256e\377f");
  g_autofree char *text = text_of(markup);
  assert_string_equal(text, "a\357\277\275b\357\277\275c\357\277\275d\357\277\275e\357\277\275f");
}

/* Between tags alone: what is searched for in an attribute is found as it was written. */
static void
keeps_figures_on_one_line(void **state G_GNUC_UNUSED)
{
  g_autoptr(PwMarkup) markup = pw_markup_new();
  pw_markup_element(markup, "p", "5 ± 2 mm, <3 mm", "title", "5 ± 2 mm", NULL);
  pw_markup_text(markup, "plate 3");
  g_autofree char *text = text_of(markup);
  assert_string_equal(text, "<p title=\"5 ± 2 mm\">5\u00a0±\u00a02\u00a0mm, &#60;3\u00a0mm</p>"
                            "plate\u00a03");
}

static void
leaves_out_pairs_without_a_value(void **state G_GNUC_UNUSED)
{
  g_autoptr(PwMarkup) markup = pw_markup_new();
  pw_markup_open(markup, "ol", "id", NULL, "class", "x", NULL);
  pw_markup_void(markup, "img", "alt", "", "src", NULL, NULL);
  pw_markup_close(markup);
  g_autofree char *text = text_of(markup);
  assert_string_equal(text, "<ol class=\"x\"><img alt=\"\"/></ol>");
}

static void
writes_short_numbers(void **state G_GNUC_UNUSED)
{
  static const struct {
    double value;
    const char *text;
  } cases[] = {{0, "0"}, {-0.001, "0"}, {100, "100"}, {12.5, "12.5"}, {-3.456, "-3.46"}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *text = pw_markup_dup_number(cases[i].value);
    assert_string_equal(text, cases[i].text);
  }
}

/* No two anchors share an id, whatever a piece is called; an id holds nothing that has to be
 * escaped, and no white space (Living Standard, 3.2.6). */
static void
makes_ids_that_differ(void **state G_GNUC_UNUSED)
{
  static const char *const anchors[] = {"plate-1",    "piece-P 1",      "piece-P_1", "piece-P_201",
                                        "piece-P\"1", "piece-\303\226", "piece-<b>", "piece-p.1"};
  g_autoptr(GHashTable) ids = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS(anchors); i++) {
    char *id = pw_html_dup_id(anchors[i]);
    assert_int_equal(
        strspn(id, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._"),
        strlen(id));
    assert_true(g_hash_table_add(ids, id));
  }
  assert_true(g_hash_table_contains(ids, "plate-1"));
}

/* An anchor that is claimed twice belongs to the first; a link without target has none. */
static void
gives_every_link_a_target(void **state G_GNUC_UNUSED)
{
  g_autoptr(PwDoc) doc = pw_doc_new("Receipt", "en", PW_FOR_OWNER);
  pw_doc_heading(doc, 1, "One", "one");
  pw_doc_heading(doc, 1, "Again", "one");
  PwHtml html = {
      .doc = doc,
      .anchors = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .claimed = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
  };
  pw_html_gather_anchors(&html);
  g_autofree char *to_one = pw_html_dup_target(&html, "one");
  g_autofree char *first = pw_html_claim_id(&html, "one");
  assert_string_equal(to_one, "#one");
  assert_string_equal(first, "one");
  assert_null(pw_html_claim_id(&html, "one"));
  assert_null(pw_html_claim_id(&html, NULL));
  assert_null(pw_html_dup_target(&html, "two"));
  assert_null(pw_html_dup_target(&html, NULL));
  g_hash_table_unref(html.anchors);
  g_hash_table_unref(html.claimed);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(escapes),
      cmocka_unit_test(replaces_control_characters),
      cmocka_unit_test(keeps_figures_on_one_line),
      cmocka_unit_test(leaves_out_pairs_without_a_value),
      cmocka_unit_test(writes_short_numbers),
      cmocka_unit_test(makes_ids_that_differ),
      cmocka_unit_test(gives_every_link_a_target),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
