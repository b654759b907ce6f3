/* styles/terms.yaml as it is shipped, and a volume's own terms over it.
 */
#include "fixtures.h"

#include <string.h>

static PwTerms *
read_ours(const char *own, PwComplaints *complaints)
{
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "styles", "terms.yaml", NULL);
  g_autofree char *own_path = own != NULL ? fixture(own) : NULL;
  g_autoptr(GError) error = NULL;
  PwTerms *terms = pw_terms_read(path, own_path, complaints, &error);
  assert_null(error);
  assert_non_null(terms);
  assert_no_complaint(complaints);
  return terms;
}

static void
test_every_term_is_whole(void **state)
{
  (void)state;
  const char *const groups[] = {"missing", "parted", "worn",  "stained", "distorted",
                                "living",  "added",  "noted", NULL};
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  assert_in_range(pw_terms_n(terms), 90, 130);
  for (guint i = 0; i < pw_terms_n(terms); i++) {
    const PwTerm *term = pw_terms_peek(terms, i);
    assert_true(g_strv_contains(groups, term->group));
    assert_true(term->as_area || term->as_line || term->as_point);
    assert_non_null(term->parts);
    assert_non_null(term->meaning);
    assert_non_null(term->source);
    assert_true(g_str_has_suffix(term->meaning, "."));
    assert_string_not_equal(term->name, PW_TERM_UNDECIDED);
  }
}

/* What a caution must never say: that something is safe, that there is time, or that a dust mask
 * will do. Looked for in the meanings too. */
static void
test_cautions(void **state)
{
  (void)state;
  g_autoptr(GRegex) never = g_regex_new(
      "\\b(un)?safe(ly|ty)?\\b|\\bmasks?\\b|\\b72\\b|\\b[0-9]+ (h|hours?|days?)\\b|harmless",
      G_REGEX_CASELESS, 0, NULL);
  assert_true(g_regex_match(never, "wait 48 hours", 0, NULL));
  assert_true(g_regex_match(never, "Safe to touch", 0, NULL));
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  guint n = 0;
  for (guint i = 0; i < pw_terms_n(terms); i++) {
    const PwTerm *term = pw_terms_peek(terms, i);
    assert_false(g_regex_match(never, term->meaning, 0, NULL));
    if (term->caution == NULL)
      continue;
    assert_false(g_regex_match(never, term->caution, 0, NULL));
    assert_false(term->caution_for_owner && g_regex_match(never, term->caution_for_owner, 0, NULL));
    n++;
  }
  assert_true(n > 30);
}

/* The hazards that must carry a caution, and the words it must not lack. */
static void
test_hazards(void **state)
{
  (void)state;
  static const struct {
    const char *term, *word;
  } wanted[] = {
      {"mould", "Act at once"},
      {"mould", "fitted particulate respirator"},
      {"mould", "under local rules"},
      {"mould stain", "dead spores harm"},
      {"water damage", "act at once"},
      {"red rot", "conservator"},
      {"suspected toxic pigment", "clears nothing"},
      {"suspected toxic pigment", "Nitrile gloves"},
      {"suspected lead", "licensed"},
      {"plant or hair inside", "pesticides"},
      {"film inside", "burns fiercely"},
      {"rodent damage", "respirator"},
      {"bore hole", "pest adviser"},
      {"soot", "respirator"},
  };
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++) {
    const PwTerm *term = pw_terms_find(terms, wanted[i].term);
    assert_non_null(term);
    assert_non_null(term->caution);
    g_autofree char *caution = g_utf8_casefold(term->caution, -1);
    g_autofree char *word = g_utf8_casefold(wanted[i].word, -1);
    if (strstr(caution, word) == NULL)
      fail_msg("the caution of %s lacks: %s", wanted[i].term, wanted[i].word);
  }
}

/* Who is no conservator is not told to put on a respirator and go to work, nor spoken to in words
 * of the trade; what is said to them stands for a caution, and says whom to ask where that does. */
static void
test_owners_are_told_what_to_leave_alone(void **state)
{
  (void)state;
  g_autoptr(GRegex) bench =
      g_regex_new("respirator|extraction|consolidat|solvent|occupational|support sheet|text block|"
                  "gathering|treatment is|test before|see suspected|frass|flex",
                  G_REGEX_CASELESS, 0, NULL);
  g_autoptr(GRegex) whom = g_regex_new("conservator|specialist|adviser|firm", 0, 0, NULL);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  for (guint i = 0; i < pw_terms_n(terms); i++) {
    const PwTerm *term = pw_terms_peek(terms, i);
    const char *read = term->caution_for_owner ? term->caution_for_owner : term->caution;
    if (term->caution_for_owner != NULL)
      assert_non_null(term->caution);
    if (read == NULL)
      continue;
    if (g_regex_match(bench, read, 0, NULL))
      fail_msg("of %s an owner reads: %s", term->name, read);
    if (g_regex_match(whom, term->caution, 0, NULL) && !g_regex_match(whom, read, 0, NULL))
      fail_msg("of %s an owner is not told whom to ask: %s", term->name, read);
  }
}

static void
test_words_are_found(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  assert_string_equal(pw_terms_find(terms, "lacuna")->name, "loss");
  assert_string_equal(pw_terms_find(terms, "acid burn")->name, "mat burn");
  assert_string_equal(pw_terms_find(terms, "hinge torn")->name, "split hinge");
  assert_true(pw_terms_find(terms, "loose sewing")->as_point);
  assert_true(pw_terms_find(terms, "loose sewing")->as_line);
  assert_false(pw_terms_find(terms, "loose sewing")->as_area);
  assert_string_equal(pw_terms_find(terms, "inscription")->group, "noted");
  assert_non_null(pw_terms_find(terms, "stamp"));
  assert_non_null(pw_terms_find(terms, "label"));
  assert_non_null(pw_terms_find(terms, "provenance mark"));
  assert_null(pw_terms_find(terms, "losss"));
  assert_null(pw_terms_find(terms, PW_TERM_UNDECIDED));
  assert_string_equal(pw_terms_nearest(terms, "foxng"), "foxing");
  assert_null(pw_terms_nearest(terms, "qqqqqqqqqqqq"));
}

/* A height that an area cannot tell is asked for where the shape has changed. */
static void
test_heights_are_asked_for(void **state)
{
  (void)state;
  const char *const shapes[] = {"warped board", "planar distortion", "slump", "bow"};
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) terms = read_ours(NULL, complaints);
  for (gsize i = 0; i < G_N_ELEMENTS(shapes); i++)
    assert_non_null(strstr(pw_terms_find(terms, shapes[i])->meaning, "`measurements:`"));
}

static void
test_own_terms(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwTerms) plain = read_ours(NULL, complaints);
  g_autoptr(PwTerms) terms = read_ours("good/own-terms.yaml", complaints);
  assert_int_equal(pw_terms_n(terms), pw_terms_n(plain) + 1);
  assert_string_equal(pw_terms_find(terms, "loss")->meaning, "As this studio means it.");
  assert_null(pw_terms_find(terms, "missing area")); /* a synonym of the replaced entry alone */
  assert_string_equal(pw_terms_find(terms, "ink blot")->group, "stained");
  assert_string_equal(pw_terms_find(terms, "stain")->name, "stain");
}

static void
test_no_file(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autofree char *path = fixture("good/own-terms.yaml"), *none = fixture("good/none.yaml");
  assert_null(pw_terms_read(none, NULL, complaints, &error));
  assert_non_null(error);
  g_clear_error(&error);
  assert_null(pw_terms_read(path, none, complaints, &error));
  assert_non_null(error);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_term_is_whole),
      cmocka_unit_test(test_cautions),
      cmocka_unit_test(test_owners_are_told_what_to_leave_alone),
      cmocka_unit_test(test_hazards),
      cmocka_unit_test(test_words_are_found),
      cmocka_unit_test(test_heights_are_asked_for),
      cmocka_unit_test(test_own_terms),
      cmocka_unit_test(test_no_file),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
