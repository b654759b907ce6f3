/* Care: each rule fires on what calls for it and not beside it; nothing is called safe. */
#include "bench.h"

#include <platewright/style.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define SHOWN "consents:\n  - {on: 2026-03-09, by: owner, to: show publicly, is: given}\n"

typedef struct {
  PwModelCare *care;
  gsize n;
} Cares;

static Cares
cares_of(Bench *bench, PwAudience audience)
{
  Cares cares;
  cares.care = pw_model_dup_care(bench->model, audience, FALSE, NULL, &cares.n);
  return cares;
}

static const PwModelCare *
find_rule(const Cares *cares, const char *rule)
{
  for (gsize i = 0; i < cares->n; i++)
    if (g_strcmp0(cares->care[i].rule, rule) == 0)
      return &cares->care[i];
  return NULL;
}

/* Opens a volume of those keys, and observations of those terms. */
static void
open_volume(Bench *bench, const char *keys, const char *term, const char *more)
{
  g_autofree char *observed =
      term ? g_strdup_printf("observations:\n  - {part: leaf, term: %s}\n", term) : g_strdup("");
  g_autofree char *text = g_strdup_printf("volume: {id: T-1%s%s}\n%s%s", *keys ? ", " : "", keys,
                                          observed, more ? more : "");
  g_clear_pointer(&bench->model, pw_model_free);
  bench_volume(bench, text);
  bench_open(bench, 0);
}

/* Whether the rule fires, and by what: the first reason's kind and value, "term leaf". */
static void
assert_rule(Bench *bench, const char *rule, const char *keys, const char *term, const char *more,
            const char *because)
{
  open_volume(bench, keys, term, more);
  Cares cares = cares_of(bench, PW_FOR_OWNER);
  const PwModelCare *care = find_rule(&cares, rule);
  if ((care != NULL) != (because != NULL))
    fail_msg("%s %s: {%s} %s", rule, care ? "fires" : "does not fire", keys, term ? term : "");
  if (care != NULL) {
    assert_int_equal(care->n_reasons, 1);
    g_autofree char *reason =
        g_strdup_printf("%s %s", pw_reason_name(care->reasons[0].kind), care->reasons[0].value);
    assert_string_equal(reason, because);
    assert_non_null(care->source);
  }
  pw_model_care_free(cares.care, cares.n);
}

static void
large_volumes_and_weak_ones_are_stored_flat(void **state)
{
  Bench *bench = *state;
  const char *rule = "store-flat";
  assert_rule(bench, rule, "size: 412 x 276 x 61", NULL, NULL, "height 412");
  assert_rule(bench, rule, "size: 400 x 276 x 80", NULL, NULL, NULL);
  assert_rule(bench, rule, "size: 300 x 276 x 80.5", NULL, NULL, "thickness 80.5");
  assert_rule(bench, rule, "", NULL, NULL, NULL);
  assert_rule(bench, rule, "", "slump", NULL, "term leaf");
  assert_rule(bench, rule, "", "tear", NULL, NULL);
  assert_rule(bench, rule, "", NULL, "observations: [{term: slump}]\n", "term-alone ");
}

static void
small_volumes_stand_on_their_tail(void **state)
{
  Bench *bench = *state;
  open_volume(bench, "size: 300 x 200 x 40", NULL, NULL);
  Cares cares = cares_of(bench, PW_FOR_OWNER);
  const PwModelCare *care = find_rule(&cares, "stand-on-tail");
  assert_non_null(care);
  assert_int_equal(care->n_reasons, 2);
  pw_model_care_free(cares.care, cares.n);
  assert_rule(bench, "stand-on-tail", "size: 401 x 200 x 40", NULL, NULL, NULL);
  assert_rule(bench, "stand-on-tail", "size: 300 x 200 x 81", NULL, NULL, NULL);
  assert_rule(bench, "stand-on-tail", "", NULL, NULL, NULL);
}

static void
damp_insects_light_and_strain_are_answered(void **state)
{
  Bench *bench = *state;
  assert_rule(bench, "away-from-damp", "", "tide line", NULL, "term leaf");
  assert_rule(bench, "away-from-damp", "", "tear", NULL, NULL);
  assert_rule(bench, "climate", "", "bore hole", NULL, "term leaf");
  assert_rule(bench, "climate", "", "tear", NULL, NULL);
  assert_rule(bench, "light", "", "faded spine", NULL, "term leaf");
  assert_rule(bench, "light", "binding: Halblederband", NULL, NULL, "binding Halblederband");
  assert_rule(bench, "light", "binding: parchment", NULL, NULL, NULL);
  assert_rule(bench, "opening", "", "loose sewing", NULL, "term leaf");
  assert_rule(bench, "opening", "", "stain", NULL, NULL);
}

static void
coloured_covers_of_their_time_are_cautioned_of(void **state)
{
  Bench *bench = *state;
  const char *rule = "coloured-covers";
  assert_rule(bench, rule, "binding: green cloth", NULL, NULL, "binding green cloth");
  open_volume(bench, "binding: green cloth, date: \"c. 1855\"", NULL, NULL);
  Cares cares = cares_of(bench, PW_FOR_OWNER);
  assert_int_equal(find_rule(&cares, rule)->n_reasons, 2);
  pw_model_care_free(cares.care, cares.n);
  const char *const within[] = {"1887-1911", "19th century", "spätes 19. Jh.", "1900"};
  for (gsize i = 0; i < G_N_ELEMENTS(within); i++) {
    g_autofree char *keys = g_strdup_printf("binding: cloth, date: \"%s\"", within[i]);
    open_volume(bench, keys, NULL, NULL);
    cares = cares_of(bench, PW_FOR_OWNER);
    if (find_rule(&cares, rule) == NULL)
      fail_msg("no caution of %s", within[i]);
    pw_model_care_free(cares.care, cares.n);
  }
  assert_rule(bench, rule, "binding: cloth, date: \"1903-1911\"", NULL, NULL, NULL);
  assert_rule(bench, rule, "binding: cloth, date: \"18th century\"", NULL, NULL, NULL);
  assert_rule(bench, rule, "binding: parchment, date: \"1855\"", NULL, NULL, NULL);
}

static void
plants_and_film_found_inside_are_cautioned_of(void **state)
{
  Bench *bench = *state;
  const char *const format = "pieces:\n  - {id: F1, kind: %s, what: %s}\n";
  g_autofree char *fern = g_strdup_printf(format, "found inside", "pressed fern");
  g_autofree char *film = g_strdup_printf(format, "found inside", "strip of film");
  g_autofree char *part = g_strdup_printf(format, "part", "label with a fern");
  assert_rule(bench, "plant-or-hair", "", NULL, fern, "piece pressed fern");
  assert_rule(bench, "plant-or-hair", "", NULL, part, NULL);
  assert_rule(bench, "plant-or-hair", "", NULL, film, NULL);
  assert_rule(bench, "film", "", NULL, film, "piece strip of film");
  assert_rule(bench, "film", "", NULL, fern, NULL);
}

static void
the_conservators_own_words_come_first(void **state)
{
  Bench *bench = *state;
  open_volume(bench, "size: 412 x 276 x 61", "red rot",
              "care: [\"Stand it up.\", \"Come back in May.\"]\n");
  Cares cares = cares_of(bench, PW_FOR_OWNER);
  assert_string_equal(cares.care[0].text, "Stand it up.");
  assert_string_equal(cares.care[1].text, "Come back in May.");
  assert_null(cares.care[1].rule);
  assert_string_equal(cares.care[2].rule, "store-flat");
  assert_string_equal(cares.care[cares.n - 1].term->name, "red rot");
  for (gsize i = 1; i < cares.n; i++)
    assert_true(cares.care[i - 1].kind <= cares.care[i].kind);
  pw_model_care_free(cares.care, cares.n);
}

static gboolean
cautions_of(const Bench *bench, const char *term, PwAudience audience)
{
  gsize n;
  gboolean found = FALSE;
  PwModelCare *care = pw_model_dup_care(bench->model, audience, FALSE, NULL, &n);
  for (gsize i = 0; i < n; i++)
    found = found || (care[i].term && g_str_equal(care[i].term->name, term));
  pw_model_care_free(care, n);
  return found;
}

/* Of soot nobody has read a source; of red rot somebody has. */
static void
a_caution_from_memory_stays_in_the_studio(void **state)
{
  Bench *bench = *state;
  open_volume(bench, "", "soot", NULL);
  assert_true(cautions_of(bench, "soot", PW_FOR_STUDIO));
  assert_false(cautions_of(bench, "soot", PW_FOR_OWNER));
  open_volume(bench, "", "red rot", NULL);
  assert_true(cautions_of(bench, "red rot", PW_FOR_OWNER));
  assert_false(cautions_of(bench, "mould", PW_FOR_STUDIO));
}

static guint
count_cautions(Bench *bench, const char *term)
{
  guint found = 0;
  Cares cares = cares_of(bench, PW_FOR_STUDIO);
  for (gsize i = 0; i < cares.n; i++) {
    const PwModelCare *care = &cares.care[i];
    gboolean is_of = FALSE;
    for (gsize j = 0; care->kind == PW_CARE_CAUTION && j < care->n_reasons; j++)
      is_of = is_of || g_strcmp0(care->reasons[j].what, term) == 0;
    found += is_of ? 1 : 0;
  }
  pw_model_care_free(cares.care, cares.n);
  return found;
}

/* A rule speaks for the term too; not for what the conservator wrote of it. */
static void
what_a_rule_cautions_of_is_cautioned_of_once(void **state)
{
  static const char *const terms[] = {"plant or hair inside", "film inside"};
  Bench *bench = *state;
  for (gsize i = 0; i < G_N_ELEMENTS(terms); i++) {
    open_volume(bench, "", terms[i], NULL);
    assert_int_equal(count_cautions(bench, terms[i]), 1);
    assert_false(cautions_of(bench, terms[i], PW_FOR_STUDIO));
  }
  open_volume(bench, "", "soot", NULL);
  assert_int_equal(count_cautions(bench, "soot"), 1);
  bench_write(bench, "terms.yaml",
              "format: platewright-terms 1\nterms:\n  - {term: film inside, parts: [leaf], as: "
              "[point], group: noted, "
              "meaning: \"Film.\", caution: \"In the cold store.\"}\n");
  open_volume(bench, "", "film inside", NULL);
  assert_int_equal(count_cautions(bench, "film inside"), 2);
}

static void
the_public_is_given_no_reason_that_is_withheld(void **state)
{
  Bench *bench = *state;
  bench_photo(bench, "a.png",
              "stage: before\nview: spine\nprivacy-checked: 2026-03-05\nmarks:\n"
              "  - {id: 1, term: faded spine, part: spine, private: yes, "
              "outline: \"1,1 20,1 20,20\"}\n");
  open_volume(bench, "", NULL, SHOWN);
  Cares cares = cares_of(bench, PW_FOR_OWNER);
  assert_non_null(find_rule(&cares, "light"));
  pw_model_care_free(cares.care, cares.n);
  cares = cares_of(bench, PW_FOR_PUBLIC);
  assert_null(find_rule(&cares, "light"));
  pw_model_care_free(cares.care, cares.n);
}

/* ---- The texts themselves ---------------------------------------------------------- */

static PwCareRules *
our_rules(void)
{
  g_autofree char *styles = pw_style_dup_folder(NULL);
  g_autofree char *path = g_build_filename(styles, "care.yaml", NULL);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwCareRules *rules = pw_care_rules_read(path, complaints, NULL);
  assert_non_null(rules);
  assert_int_equal(pw_complaints_n(complaints), 0);
  return rules;
}

static void
every_rule_has_words_in_both_languages_a_source_and_known_terms(void **state)
{
  Bench *bench = *state;
  open_volume(bench, "", NULL, NULL);
  const PwTerms *terms = pw_model_peek_terms(bench->model);
  g_autoptr(PwCareRules) rules = our_rules();
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwWords *words[] = {pw_words_read("en", complaints, NULL), pw_words_read("de", complaints, NULL)};
  for (gsize i = 0; i < pw_care_rules_n(rules); i++) {
    const PwCareRule *rule = pw_care_rules_peek(rules, i);
    g_autofree char *key = g_strconcat("care-", rule->id, NULL);
    assert_string_not_equal(pw_words_peek(words[0], key), key);
    assert_string_not_equal(pw_words_peek(words[0], key), pw_words_peek(words[1], key));
    assert_null(strstr(rule->source, "memory"));
    for (gsize j = 0; j < rule->n_when; j++)
      for (char **term = rule->when[j].terms; term && *term; term++)
        if (pw_terms_find(terms, *term) == NULL)
          fail_msg("%s asks for the term \"%s\", which is none", rule->id, *term);
    if (rule->kind == PW_CARE_CAUTION) {
      assert_non_null(strstr(pw_words_peek(words[0], key), "ollow local rules; ask a licensed"));
      assert_non_null(strstr(pw_words_peek(words[1], key), "Örtliche Vorschriften beachten"));
    }
  }
  pw_words_free(words[0]);
  pw_words_free(words[1]);
}

/* Whatever is printed of care: the values of the texts, without their comments. */
static void
assert_never_says(const char *name, const char *prefix, const char *const *never)
{
  g_autofree char *styles = pw_style_dup_folder(NULL);
  g_autofree char *path = g_build_filename(styles, name, NULL);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  guint n = 0;
  for (char **line = lines; *line; line++) {
    const char *at = g_strstrip(*line);
    if (*at == '#' || !g_str_has_prefix(at, prefix))
      continue;
    g_autofree char *folded = g_utf8_casefold(at, -1);
    n++;
    for (gsize i = 0; never[i] != NULL; i++)
      if (g_regex_match_simple(never[i], folded, 0, 0))
        fail_msg("%s says \"%s\": %s", name, never[i], *line);
  }
  assert_true(n > 8);
}

static void
nothing_is_called_safe_and_nobody_is_told_to_freeze(void **state)
{
  (void)state;
  const char *const never[] = {"\\bsafe(ly)?\\b",  "harmless",
                               "no (risk|danger)", "non-toxic",
                               "unbedenklich",     "ungefährlich",
                               "gefahrlos",        "harmlos",
                               "\\bsicher\\b",     "freez",
                               "einfrier",         "gefrier",
                               "72 (h|stunden)",   NULL};
  assert_never_says("care.yaml", "", never);
  assert_never_says("words/en.yaml", "care-", never);
  assert_never_says("words/de.yaml", "care-", never);
  assert_never_says("terms.yaml", "caution:", never);
  assert_never_says("terms.yaml", "caution-for-owner:", never);
  assert_never_says("words/de.yaml", "caution:", never);
  assert_never_says("words/de.yaml", "caution-for-owner:", never);
}

/* ---- After treatment --------------------------------------------------------------- */

#define BEFORE                                                                  \
  "stage: before\nmarks:\n"                                                     \
  "  - {id: 1, term: cracked joint, part: front joint, line: \"0,0 9,9\"}\n"    \
  "  - {id: 2, term: cracked joint, part: back joint, line: \"20,20 29,29\"}\n" \
  "  - {id: 3, term: mould, part: leaf, outline: " BENCH_SQUARE(                \
      3, 3) "}\n"                                                               \
            "  - {id: 4, term: flaking media, part: leaf, outline: " BENCH_SQUARE(5, 5) "}\n"
#define GONE(id, term) "  - {id: " #id ", term: " term ", earlier: \"a.jpg#" #id "\", gone: yes}\n"

/* The parts that a term's caution gives as its reason; NULL: it does not stand. Yours. */
static char *
dup_cautioned(const Bench *bench, const char *term, gboolean as_it_came)
{
  gsize n;
  char *parts = NULL;
  PwModelCare *care = pw_model_dup_care(bench->model, PW_FOR_STUDIO, as_it_came, NULL, &n);
  for (gsize i = 0; i < n; i++)
    if (care[i].term != NULL && strcmp(care[i].term->name, term) == 0)
      parts = g_strdup(care[i].reasons[0].value);
  pw_model_care_free(care, n);
  return parts;
}

static void
assert_cautioned(const Bench *bench, const char *term, gboolean as_it_came, const char *parts)
{
  g_autofree char *got = dup_cautioned(bench, term, as_it_came);
  if (g_strcmp0(got, parts) != 0)
    fail_msg("%s: %s, not %s", term, got ? got : "none", parts ? parts : "none");
}

/* What can harm whoever touches it stands whatever was done. */
static void
what_was_mended_everywhere_calls_for_nothing_after_treatment(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg", BEFORE);
  bench_photo(bench, "b.jpg",
              "stage: after\nmarks:\n" GONE(1, "cracked joint") GONE(2, "cracked joint")
                  GONE(3, "mould") GONE(4, "flaking media"));
  bench_open(bench, 0);
  assert_cautioned(bench, "cracked joint", FALSE, NULL);
  assert_cautioned(bench, "cracked joint", TRUE, "front joint, back joint");
  assert_cautioned(bench, "mould", FALSE, "leaf");
  assert_cautioned(bench, "flaking media", FALSE, "leaf");
  Cares cares = cares_of(bench, PW_FOR_STUDIO);
  assert_null(find_rule(&cares, "opening"));
  assert_non_null(find_rule(&cares, "away-from-damp"));
  pw_model_care_free(cares.care, cares.n);
}

static void
what_was_mended_in_one_place_is_cautioned_of_in_the_other(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\n");
  bench_photo(bench, "a.jpg", BEFORE);
  bench_photo(bench, "b.jpg", "stage: after\nmarks:\n" GONE(1, "cracked joint"));
  bench_open(bench, 0);
  assert_cautioned(bench, "cracked joint", FALSE, "back joint");
}

/* Of what was only observed nothing can say that it is gone. */
static void
what_was_observed_besides_is_cautioned_of_still(void **state)
{
  Bench *bench = *state;
  bench_volume(bench, "volume: {id: T-1}\nobservations: [{part: joint, term: cracked joint}]\n");
  bench_photo(bench, "a.jpg", BEFORE);
  bench_photo(bench, "b.jpg",
              "stage: after\nmarks:\n" GONE(1, "cracked joint") GONE(2, "cracked joint"));
  bench_open(bench, 0);
  assert_cautioned(bench, "cracked joint", FALSE, "joint");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(large_volumes_and_weak_ones_are_stored_flat),
      TEST(small_volumes_stand_on_their_tail),
      TEST(damp_insects_light_and_strain_are_answered),
      TEST(coloured_covers_of_their_time_are_cautioned_of),
      TEST(plants_and_film_found_inside_are_cautioned_of),
      TEST(the_conservators_own_words_come_first),
      TEST(a_caution_from_memory_stays_in_the_studio),
      TEST(what_a_rule_cautions_of_is_cautioned_of_once),
      TEST(the_public_is_given_no_reason_that_is_withheld),
      TEST(what_was_mended_everywhere_calls_for_nothing_after_treatment),
      TEST(what_was_mended_in_one_place_is_cautioned_of_in_the_other),
      TEST(what_was_observed_besides_is_cautioned_of_still),
      TEST(every_rule_has_words_in_both_languages_a_source_and_known_terms),
      TEST(nothing_is_called_safe_and_nobody_is_told_to_freeze),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
