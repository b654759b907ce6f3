/* Words: dates, figures and sums as a language writes them, what falls back on English, slips. */
#include <platewright/record.h>
#include <platewright/style.h>

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static PwWords *
read_ours(const char *language)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwWords *words = pw_words_read(language, complaints, &error);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, i));
    print_message("# %s\n", text);
  }
  assert_int_equal(pw_complaints_n(complaints), 0);
  if (words == NULL)
    fail_msg("%s", error != NULL ? error->message : "no words");
  return words;
}

/* As readers of the two languages write them; common practice, no source. */
typedef struct {
  const char *given, *english, *german;
} Row;

static void
assert_says(const Row *rows, gsize n, char *(*say)(const PwWords *, const char *))
{
  g_autoptr(PwWords) english = read_ours("en");
  g_autoptr(PwWords) german = read_ours("de");
  for (gsize i = 0; i < n; i++) {
    g_autofree char *in_english = say(english, rows[i].given);
    g_autofree char *in_german = say(german, rows[i].given);
    assert_string_equal(in_english, rows[i].english);
    assert_string_equal(in_german, rows[i].german);
  }
}

static void
dates_are_said_as_a_reader_says_them(void **state)
{
  static const Row rows[] = {
      {"2026-03-02", "2 March 2026", "2. März 2026"},
      {"2026-05-12", "12 May 2026", "12. Mai 2026"},
      {"1903-12-31", "31 December 1903", "31. Dezember 1903"},
      {"2026-03-02T10:14:07+01:00", "2 March 2026, 10:14", "2. März 2026, 10:14\302\240Uhr"},
      {"2026-12-31T00:00", "31 December 2026, 00:00", "31. Dezember 2026, 00:00\302\240Uhr"},
      {"2026-02-30T10:00:00Z", "2026-02-30T10:00:00Z", "2026-02-30T10:00:00Z"},
      {"spring", "spring", "spring"},
      {"", "", ""}};
  (void)state;
  assert_says(rows, G_N_ELEMENTS(rows), pw_words_dup_date);
}

static void
a_day_without_a_date_is_not_told(void **state)
{
  (void)state;
  g_autoptr(PwWords) german = read_ours("de");
  g_autoptr(PwWords) english = read_ours("en");
  GDate day, none;
  g_date_clear(&none, 1);
  g_date_clear(&day, 1);
  g_date_set_dmy(&day, 9, G_DATE_JANUARY, 2031);
  g_autofree char *said = pw_words_dup_gdate(german, &day);
  g_autofree char *nothing = pw_words_dup_gdate(english, &none);
  assert_string_equal(said, "9. Januar 2031");
  assert_string_equal(nothing, "date not told");
}

static void
figures_take_the_languages_signs(void **state)
{
  static const Row rows[] = {{"412.5", "412.5", "412,5"},
                             {"0", "0", "0"},
                             {"-0.36", "\u22120.36", "\u22120,36"},
                             {"34.2 ± 1.0 mm", "34.2 ± 1.0 mm", "34,2 ± 1,0 mm"},
                             {"412 ± 14 mm²", "412 ± 14 mm²", "412 ± 14 mm²"},
                             {"12340.5 ± 2.1", "12340.5 ± 2.1", "12340,5 ± 2,1"},
                             {"(-3.5)", "(\u22123.5)", "(\u22123,5)"},
                             {"2026-03-02", "2026-03-02", "2026-03-02"},
                             {"1 : 2.5.", "1 : 2.5.", "1 : 2,5."},
                             {"", "", ""}};
  (void)state;
  assert_says(rows, G_N_ELEMENTS(rows), pw_words_dup_number);
}

static char *
dup_euros(const PwWords *words, const char *plain)
{
  return pw_words_dup_money(words, plain, "EUR");
}

static void
sums_are_grouped(void **state)
{
  static const Row rows[] = {
      {"0", "0\u00a0EUR", "0\u00a0EUR"},
      {"0.00", "0.00\u00a0EUR", "0,00\u00a0EUR"},
      {"7.05", "7.05\u00a0EUR", "7,05\u00a0EUR"},
      {"999.99", "999.99\u00a0EUR", "999,99\u00a0EUR"},
      {"1000.00", "1,000.00\u00a0EUR", "1.000,00\u00a0EUR"},
      {"1234.50", "1,234.50\u00a0EUR", "1.234,50\u00a0EUR"},
      {"-1234567.89", "\u22121,234,567.89\u00a0EUR", "\u22121.234.567,89\u00a0EUR"},
      {"-12.00", "\u221212.00\u00a0EUR", "\u221212,00\u00a0EUR"},
      {"123456789012.00", "123,456,789,012.00\u00a0EUR", "123.456.789.012,00\u00a0EUR"},
      {"250", "250\u00a0EUR", "250\u00a0EUR"}};
  (void)state;
  assert_says(rows, G_N_ELEMENTS(rows), dup_euros);
  g_autoptr(PwWords) english = read_ours("en");
  g_autofree char *bare = pw_words_dup_money(english, "1234.50", NULL);
  assert_string_equal(bare, "1,234.50");
}

static void
words_are_filled_in(void **state)
{
  (void)state;
  g_autoptr(PwWords) words = read_ours("en");
  assert_string_equal(pw_words_peek_language(words), "en");
  assert_string_equal(pw_words_peek(words, "stage-before"), "Before treatment");
  g_autofree char *good = pw_words_dup_phrase(words, "made-good", "before", "52.4 mm²", NULL);
  assert_string_equal(good, "made good: 0 of 52.4 mm²");
  g_autofree char *plate = pw_words_dup_phrase(words, "plate-number", "m", "11", "n", "3", NULL);
  assert_string_equal(plate, "Plate 3 of 11");
  /* What is filled in is not looked at again, and a blank without a value stays. */
  g_autofree char *odd = pw_words_dup_phrase(words, "changed", "after", "{change} {}", NULL);
  assert_string_equal(odd, "{change} {} ({change})");
  g_autofree char *one = pw_words_dup_count(words, "places", 1);
  g_autofree char *many = pw_words_dup_count(words, "places", 12);
  assert_string_equal(one, "1 place");
  assert_string_equal(many, "12 places");
  assert_int_equal(pw_words_n_missing(words), 0);
}

static void
words_of_the_record_are_translated(void **state)
{
  (void)state;
  g_autoptr(PwWords) english = read_ours("en");
  assert_string_equal(pw_words_peek_light(english, "normal"), "normal light");
  assert_string_equal(pw_words_peek_light(english, "raking from fore edge"),
                      "raking light from the fore edge");
  assert_string_equal(pw_words_peek_view(english, "front board"), "front board");
  assert_string_equal(pw_words_peek_term(english, "a word of one's own"), "a word of one's own");
  assert_null(pw_words_peek_part(english, NULL));
  assert_null(pw_words_peek_caution(english, "mould"));
}

/* ---- German against English --------------------------------------------------------------------
 */

static PwYaml *
open_ours(const char *language)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *file = g_strconcat(language, ".yaml", NULL);
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "styles", "words", file, NULL);
  PwYaml *yaml = pw_yaml_open(path, file, complaints, NULL);
  assert_non_null(yaml);
  return yaml;
}

static gint
by_text(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "{m} {n}": the blanks of a phrase, in order. */
static char *
dup_blanks(const char *phrase)
{
  g_autoptr(GPtrArray) blanks = g_ptr_array_new_with_free_func(g_free);
  for (const char *open = strchr(phrase, '{'); open != NULL; open = strchr(open + 1, '{'))
    g_ptr_array_add(blanks, g_strndup(open, strcspn(open, "}") + 1));
  g_ptr_array_sort(blanks, by_text);
  g_ptr_array_add(blanks, NULL);
  return g_strjoinv(" ", (char **)blanks->pdata);
}

/* Every key of the mapping `name` of one stands in the other, with the same blanks. */
static void
assert_covers(const PwYaml *one, const PwYaml *other, const char *name)
{
  const PwYamlNode *of_one = pw_yaml_node_get(pw_yaml_peek_root(one), name);
  const PwYamlNode *of_other = pw_yaml_node_get(pw_yaml_peek_root(other), name);
  assert_true(pw_yaml_node_n(of_one) > 10);
  for (guint i = 0; i < pw_yaml_node_n(of_one); i++) {
    const char *key = pw_yaml_node_peek_text(pw_yaml_node_key(of_one, i));
    const PwYamlNode *value = pw_yaml_node_get(of_other, key);
    if (value == NULL)
      fail_msg("%s lacks %s", pw_yaml_peek_file(other), key);
    g_autofree char *here = dup_blanks(pw_yaml_node_peek_text(pw_yaml_node_value(of_one, i)));
    g_autofree char *there = dup_blanks(pw_yaml_node_peek_text(value));
    if (!g_str_equal(here, there))
      fail_msg("%s has \"%s\" and not \"%s\"", key, there, here);
  }
}

static void
the_languages_have_the_same_phrases(void **state)
{
  (void)state;
  g_autoptr(PwYaml) english = open_ours("en");
  g_autoptr(PwYaml) german = open_ours("de");
  const char *const tables[] = {"words", "lights"};
  for (gsize i = 0; i < G_N_ELEMENTS(tables); i++) {
    assert_covers(english, german, tables[i]);
    assert_covers(german, english, tables[i]);
  }
}

/* Likewise to the English ones in record-terms: no word of the bench to who is no conservator. */
static void
assert_speaks_to_owners(const PwWords *german, const PwTerm *term)
{
  const char *own = pw_words_peek_caution_for_owner(german, term->name);
  const char *read = own != NULL ? own : pw_words_peek_caution(german, term->name);
  if (read != NULL && g_regex_match_simple("Absaugung|Atemschutz|Lösemittel|Arbeitsschutz|"
                                           "Stützbogen|Buchblock|gefestigt|siehe ",
                                           read, 0, 0))
    fail_msg("of %s an owner reads: %s", term->name, read);
}

static void
german_has_every_term_and_its_parts(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "styles", "terms.yaml", NULL);
  g_autoptr(PwTerms) terms = pw_terms_read(path, NULL, complaints, NULL);
  g_autoptr(PwWords) german = read_ours("de");
  assert_non_null(terms);
  for (guint i = 0; i < pw_terms_n(terms); i++) {
    const PwTerm *term = pw_terms_peek(terms, i);
    if (pw_words_peek_term(german, term->name) == term->name ||
        pw_words_peek_meaning(german, term->name) == NULL ||
        (term->caution != NULL) != (pw_words_peek_caution(german, term->name) != NULL) ||
        (term->caution_for_owner != NULL) !=
            (pw_words_peek_caution_for_owner(german, term->name) != NULL))
      fail_msg("de.yaml does not tell all of \"%s\"", term->name);
    assert_speaks_to_owners(german, term);
    for (char **part = term->parts; part != NULL && *part != NULL; part++)
      if (!g_str_equal(*part, "any") && pw_words_peek_part(german, *part) == *part)
        fail_msg("de.yaml has no part \"%s\"", *part);
  }
  assert_string_equal(pw_words_peek_term(german, "tear"), "Riss");
  assert_string_equal(pw_words_peek_view(german, "front board"), "Vorderdeckel");
  assert_string_equal(pw_words_peek_light(german, "raking from left"), "Streiflicht von links");
}

/* ---- A file of one's own -----------------------------------------------------------------------
 */

static PwWords *
read_text(const char *text, PwComplaints *complaints)
{
  g_autofree char *folder = g_dir_make_tmp("platewright-test-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "own.yaml", NULL);
  g_autoptr(GError) error = NULL;
  assert_true(g_file_set_contents(path, text, -1, NULL));
  PwWords *words = pw_words_read(path, complaints, &error);
  assert_null(error);
  g_unlink(path);
  g_rmdir(folder);
  return words;
}

#define OWN                                                                                \
  "format: platewright-words 1\nlanguage: nl\npaper: A4\ndecimal: \",\"\ngroups: \".\"\n"  \
  "dates: {date: \"{day} {month} {year}\", moment: \"{day} {month}\", months: [jan, feb, " \
  "mrt, apr, mei, jun, jul, aug, sep, okt, nov, dec]}\n"

static void
what_a_language_lacks_is_english_and_remembered(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwWords) words = read_text(OWN "words: {closed: dicht}\n", complaints);
  assert_int_equal(pw_complaints_n(complaints), 0);
  assert_string_equal(pw_words_peek_language(words), "nl");
  assert_string_equal(pw_words_peek(words, "closed"), "dicht");
  assert_int_equal(pw_words_n_missing(words), 0);
  assert_string_equal(pw_words_peek(words, "stage-before"), "Before treatment");
  assert_string_equal(pw_words_peek(words, "no such word"), "no such word");
  g_autofree char *plate = pw_words_dup_phrase(words, "plate-number", "n", "3", "m", "11", NULL);
  assert_string_equal(plate, "Plate 3 of 11");
  pw_words_peek(words, "stage-before");
  assert_int_equal(pw_words_n_missing(words), 3);
  assert_string_equal(pw_words_peek_missing(words, 0), "no such word");
  assert_string_equal(pw_words_peek_missing(words, 1), "plate-number");
  assert_string_equal(pw_words_peek_missing(words, 2), "stage-before");
  assert_string_equal(pw_words_peek_light(words, "normal"), "normal light");
}

/* All of it as one text, for another program; without blanks. */
static char *
dup_json(const PwWords *words, const char *prefix)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_words_put_json(words, prefix, json);
  pw_json_end(json);
  g_autofree char *text = pw_json_take_text(json);
  GString *tight = g_string_new(NULL);
  for (const char *at = text; *at != '\0'; at++)
    if (!g_ascii_isspace(*at))
      g_string_append_c(tight, *at);
  return g_string_free(tight, FALSE);
}

static void
assert_holds(const char *text, const char *piece)
{
  if (strstr(text, piece) == NULL)
    fail_msg("%s is not in %s", piece, text);
}

static void
another_program_is_told_the_words_it_asks_for(void **state)
{
  (void)state;
  g_autoptr(PwWords) german = read_ours("de");
  g_autofree char *all = dup_json(german, "severity-");
  assert_holds(all, "{\"language\":\"de\",\"decimal\":\",\",\"date\":\"{day}.{month}{year}\",");
  assert_holds(all,
               "\"phrases\":{\"1\":\"leicht\",\"2\":\"mittel\",\"3\":\"stark\"},\"missing\":[]");
  assert_holds(all, "\"tear\":\"Riss\"");
  assert_holds(all, "\"normal\":\"Normallicht\"");
  g_autofree char *page = dup_json(german, "desk-");
  assert_holds(page, "\"missing\":[]");
  assert_int_equal(pw_words_n_missing(german), 0);
}

/* Begun and not complete: English stands in, and is remembered as what is missing. */
static void
another_program_is_told_what_is_missing(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwWords) words = read_text(OWN "words: {severity-2: matig}\n", complaints);
  g_autofree char *all = dup_json(words, "severity-");
  assert_holds(all, "\"phrases\":{\"1\":\"slight\",\"2\":\"matig\",\"3\":\"strong\"}");
  assert_holds(all, "\"missing\":[\"severity-1\",\"severity-3\"]");
  assert_int_equal(pw_words_n_missing(words), 2);
  assert_string_equal(pw_words_peek_missing(words, 1), "severity-3");
}

static void
ones_own_changes_what_it_names(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwWords) words = read_text("format: platewright-words 1\nbased-on: de\npaper: Letter\n"
                                       "words: {stage-before: \"Vorher\"}\n"
                                       "terms: {tear: {word: Einriss, source: house}}\n",
                                       complaints);
  assert_int_equal(pw_complaints_n(complaints), 0);
  double short_mm, long_mm;
  g_autoptr(PwStyle) style = pw_style_read("plate", complaints, NULL);
  assert_non_null(style);
  pw_style_page(style, words, &short_mm, &long_mm);
  assert_true(short_mm > 215 && short_mm < 216 && long_mm > 279 && long_mm < 280);
  assert_string_equal(pw_words_peek_language(words), "de");
  assert_string_equal(pw_words_peek(words, "stage-before"), "Vorher");
  assert_string_equal(pw_words_peek_term(words, "tear"), "Einriss");
}

static void
slips_are_named(void **state)
{
  static const struct {
    const char *line, *kind, *says;
    guint column;
  } rows[] = {
      {"langauge: de", "unknown key", "did you mean \"language\"?", 1},
      {"language: deutsch!", "not a language", "en, de or de-AT", 11},
      {"language: 1", "not a language", "en, de or de-AT", 11},
      {"paper: A11", "not a page", "A4, A3, Letter", 8},
      {"decimal: \"x\"", "not a sign", "\".\" or \",\"", 10},
      {"groups: \"x\"", "not a sign", "an apostrophe", 9},
      {"dates: {months: [a, b]}", "not months", "twelve", 17},
      {"dates: {date: \"{tag}\"}", "unknown blank", "{tag} is no blank", 15},
      {"words: {stage-befor: \"Vorher\"}", "unknown key", "did you mean \"stage-before\"?", 9},
      {"words: {closed: \"{n} zu\"}", "unknown blank", "{n} is no blank of this phrase", 17},
      {"words: {closed: }", "cut text", "put them in quotes", 16},
      {"words: [a, b]", "not a mapping", "words are written", 8},
      {"terms: {tear: Riss}", "not a mapping", "\"key: value\" lines", 15},
      {"terms: {no such: {word: Riss}}", "missing key", "told with its source", 18},
      {"views: {spine: [a]}", "not text", "a text is wanted", 16},
  };
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    g_autofree char *text =
        g_strdup_printf("format: platewright-words 1\nbased-on: en\n%s\n", rows[i].line);
    assert_null(read_text(text, complaints));
    const PwComplaint *complaint = pw_complaints_peek(complaints, 0);
    if (!g_str_equal(complaint->kind, rows[i].kind) ||
        strstr(complaint->says, rows[i].says) == NULL || complaint->line != 3 ||
        complaint->column != rows[i].column)
      fail_msg("%s: %s: %u: %s", rows[i].line, complaint->kind, complaint->column, complaint->says);
  }
}

static void
words_must_be_whole(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(read_text("format: platewright-words 1\nlanguage: nl\n", complaints));
  assert_int_equal(pw_complaints_n(complaints), 4);
  g_autoptr(PwComplaints) styles = pw_complaints_new();
  assert_null(read_text("format: platewright-style 1\n", styles));
  assert_string_equal(pw_complaints_peek(styles, 0)->kind, "format");
  g_autoptr(PwComplaints) signs = pw_complaints_new();
  assert_null(read_text("format: platewright-words 1\nbased-on: en\ndecimal: \",\"\n", signs));
  assert_non_null(strstr(pw_complaints_peek(signs, 0)->says, "is no sum"));
}

/* A studio's own "de" stands in its folder of styles and is based on ours. */
static void
ones_own_of_our_name_is_based_on_ours(void **state)
{
  (void)state;
  g_autofree char *before = g_strdup(g_getenv("PLATEWRIGHT_STYLES"));
  g_autofree char *folder = g_dir_make_tmp("platewright-test-XXXXXX", NULL);
  g_autofree char *words_folder = g_build_filename(folder, "words", NULL);
  g_autofree char *path = g_build_filename(words_folder, "de.yaml", NULL);
  assert_int_equal(g_mkdir(words_folder, 0700), 0);
  assert_true(g_file_set_contents(path,
                                  "format: platewright-words 1\nbased-on: de\n"
                                  "words: {stage-before: \"Vorher\"}\n",
                                  -1, NULL));
  g_setenv("PLATEWRIGHT_STYLES", folder, TRUE);
  g_autoptr(PwWords) words = read_ours("de");
  g_autofree char *date = pw_words_dup_date(words, "2026-03-02");
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwWords *unknown = pw_words_read("xx", complaints, &error);
  if (before != NULL)
    g_setenv("PLATEWRIGHT_STYLES", before, TRUE);
  else
    g_unsetenv("PLATEWRIGHT_STYLES");
  g_unlink(path);
  g_rmdir(words_folder);
  g_rmdir(folder);
  assert_string_equal(pw_words_peek(words, "stage-before"), "Vorher");
  assert_string_equal(date, "2. März 2026");
  assert_null(unknown);
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_non_null(strstr(error->message, "there is no language \"xx\"; there is de, en"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(dates_are_said_as_a_reader_says_them),
      cmocka_unit_test(a_day_without_a_date_is_not_told),
      cmocka_unit_test(figures_take_the_languages_signs),
      cmocka_unit_test(sums_are_grouped),
      cmocka_unit_test(words_are_filled_in),
      cmocka_unit_test(words_of_the_record_are_translated),
      cmocka_unit_test(the_languages_have_the_same_phrases),
      cmocka_unit_test(german_has_every_term_and_its_parts),
      cmocka_unit_test(what_a_language_lacks_is_english_and_remembered),
      cmocka_unit_test(another_program_is_told_the_words_it_asks_for),
      cmocka_unit_test(another_program_is_told_what_is_missing),
      cmocka_unit_test(ones_own_changes_what_it_names),
      cmocka_unit_test(slips_are_named),
      cmocka_unit_test(words_must_be_whole),
      cmocka_unit_test(ones_own_of_our_name_is_based_on_ours),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
