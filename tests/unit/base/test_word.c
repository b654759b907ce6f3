/* Words made fit to be shown, those kept on one line, the word that was meant, JSON, and the same
 * work for all. */
#include <platewright/base.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static void
the_nearest_word_is_the_one_meant(void **state)
{
  (void)state;
  static const char *const words[] = {"stage",   "step",  "scale", "shape",
                                      "red rot", "Ünfug", "a",     NULL};
  assert_string_equal(pw_nearest_word("stage", words), "stage");
  assert_string_equal(pw_nearest_word("stgae", words), "stage"); /* neighbours swapped: one slip */
  assert_string_equal(pw_nearest_word("stag", words), "stage");
  assert_string_equal(pw_nearest_word("sttage", words), "stage");
  assert_string_equal(pw_nearest_word("Stage", words), "stage");
  assert_string_equal(pw_nearest_word("scael", words), "scale");
  assert_string_equal(pw_nearest_word("redrot", words), "red rot");
  assert_string_equal(pw_nearest_word("ünfug", words), "Ünfug");
  assert_null(pw_nearest_word("caption", words));
  assert_null(pw_nearest_word("", words));
  assert_null(pw_nearest_word("z", words)); /* no letter in common */
  g_autofree char *endless = g_strnfill(100000, 's');
  assert_null(pw_nearest_word(endless, words));
  /* A third of the length: two slips in seven letters, not three. */
  static const char *const one[] = {"caption", NULL};
  assert_non_null(pw_nearest_word("cabtiom", one));
  assert_null(pw_nearest_word("cabtixm", one));
}

static void
a_slip_is_nearer_than_another_word(void **state)
{
  (void)state;
  const char *const words[] = {"spine leather", "upper board", "leaf", NULL};
  assert_string_equal(pw_nearest_slip("spine lether", words), "spine leather");
  assert_null(pw_nearest_slip("spyne lether", words));
  assert_string_equal(pw_nearest_slip("Spine Leather", words), "spine leather");
  assert_string_equal(pw_nearest_slip("laef", words), "leaf");
  assert_null(pw_nearest_slip("lower board", words)); /* three letters, and another thing */
  assert_null(pw_nearest_slip("head", words));
  assert_null(pw_nearest_slip("lid", words));
}

static void
printable_text_has_no_surprises(void **state)
{
  (void)state;
  static const struct {
    const char *text, *shown;
  } cases[] = {{"plain – ü 日本 ‎עברית", "plain – ü 日本 ‎עברית"},
               {"a\tb\nc", "a b c"},
               {"\x1B]0;x\x07", "\uFFFD]0;x\uFFFD"},
               {"\xC2\x9B"
                "31m",
                "\uFFFD31m"},
               {"a\u2028b", "a b"},
               {"\u202Etxt", "\uFFFDtxt"},
               {"\xFF\xC3", "\uFFFD\uFFFD"},
               {"", ""}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *shown = pw_dup_printable(cases[i].text);
    assert_string_equal(shown, cases[i].shown);
  }
}

/* In what is shown here "~" is a no-break space. */
static void
what_belongs_together_stays_on_one_line(void **state)
{
  (void)state;
  static const struct {
    const char *text, *shown;
  } cases[] = {{"6780 ± 320 mm² (− 2730 ± 130)", "6780~±~320~mm² (−~2730~±~130)"},
               {"now 4 (+ 1), 52.4 mm² of 3 %", "now 4 (+~1), 52.4~mm² of 3~%"},
               {"412 x 276 x 61 mm, 1 : 2", "412~x~276~x~61~mm, 1~:~2"},
               {"a · b, plate 3\nplate 4", "a~· b, plate~3\nplate~4"},
               {"3 mmm, 5 places, a – b, 1234", "3 mmm, 5 places, a – b, 1234"},
               {"", ""}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *joined = pw_dup_joined(cases[i].text);
    g_auto(GStrv) parts = g_strsplit(joined, "\u00a0", -1);
    g_autofree char *shown = g_strjoinv("~", parts);
    assert_string_equal(shown, cases[i].shown);
  }
}

static void
json_is_written_whole(void **state)
{
  (void)state;
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_key(json, "size");
  pw_json_begin_array(json);
  pw_json_int(json, 6000);
  pw_json_int(json, 4000);
  pw_json_end(json);
  pw_json_key(json, "marks");
  pw_json_begin_array(json);
  pw_json_begin_object(json);
  pw_json_key(json, "id\"");
  pw_json_string(json, "a\\b\n\t\x01\x7F ü\xFF");
  pw_json_key(json, "private");
  pw_json_bool(json, TRUE);
  pw_json_end(json);
  pw_json_begin_array(json);
  pw_json_end(json);
  pw_json_double(json, 0.1);
  pw_json_end(json);
  pw_json_key(json, "why");
  pw_json_string(json, NULL);
  pw_json_key(json, "u");
  pw_json_double(json, (double)NAN);
  pw_json_key(json, "none");
  pw_json_begin_object(json);
  pw_json_end(json);
  pw_json_end(json);
  g_autofree char *text = pw_json_take_text(json);
  assert_string_equal(text, "{\n"
                            "  \"size\": [6000, 4000],\n"
                            "  \"marks\": [\n"
                            "    {\n"
                            "      \"id\\\"\": \"a\\\\b\\n\\t\\u0001\\u007f ü\uFFFD\",\n"
                            "      \"private\": true\n"
                            "    },\n"
                            "    [],\n"
                            "    0.1\n"
                            "  ],\n"
                            "  \"why\": null,\n"
                            "  \"u\": null,\n"
                            "  \"none\": {}\n"
                            "}\n");
  pw_json_int(json, -9);
  g_autofree char *again = pw_json_take_text(json);
  assert_string_equal(again, "-9\n");
}

typedef struct {
  atomic_uint calls[1000], n;
} Tally;

static void
count(void *user, guint i)
{
  Tally *tally = user;
  atomic_fetch_add(&tally->calls[i], 1);
  atomic_fetch_add(&tally->n, 1);
}

static void
every_item_is_done_once(void **state)
{
  (void)state;
  static const guint threads[] = {0, 1, 2, 7};
  for (gsize t = 0; t < G_N_ELEMENTS(threads); t++) {
    Tally tally = {0};
    pw_each(G_N_ELEMENTS(tally.calls), threads[t], count, &tally);
    for (gsize i = 0; i < G_N_ELEMENTS(tally.calls); i++)
      assert_int_equal(tally.calls[i], 1);
    pw_each(0, threads[t], count, &tally);
    assert_int_equal(tally.n, G_N_ELEMENTS(tally.calls));
  }
}

typedef struct {
  PwProgress progress;
  atomic_uint inside, most, steps;
} Watch;

static void
watch_step(void *user, const char *what, guint done, guint total)
{
  Watch *watch = user;
  assert_string_equal(what, "reading");
  assert_true(done < total);
  const guint inside = atomic_fetch_add(&watch->inside, 1) + 1;
  if (inside > watch->most)
    watch->most = inside;
  g_thread_yield();
  atomic_fetch_sub(&watch->inside, 1);
  atomic_fetch_add(&watch->steps, 1);
}

static void
tell(void *user, guint i)
{
  Watch *watch = user;
  pw_progress_step(&watch->progress, "reading", i, 500);
}

static void
progress_is_told_by_one_at_a_time(void **state)
{
  (void)state;
  Watch watch = {.progress = {.step = watch_step}};
  watch.progress.user = &watch;
  pw_each(500, 4, tell, &watch);
  assert_int_equal(watch.steps, 500);
  assert_int_equal(watch.most, 1);
  pw_progress_step(NULL, "reading", 0, 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_nearest_word_is_the_one_meant),
      cmocka_unit_test(a_slip_is_nearer_than_another_word),
      cmocka_unit_test(printable_text_has_no_surprises),
      cmocka_unit_test(what_belongs_together_stays_on_one_line),
      cmocka_unit_test(json_is_written_whole),
      cmocka_unit_test(every_item_is_done_once),
      cmocka_unit_test(progress_is_told_by_one_at_a_time),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
