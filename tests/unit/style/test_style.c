/* Styles: ours are whole and can be told apart, a user's own is read over ours, slips are named. */
#include <platewright/style.h>

#include <glib/gstdio.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static const char *const names[] = {"plate", "plate-grey"};
static const char *const groups[] = {"missing", "parted", "worn",  "stained", "distorted",
                                     "living",  "added",  "noted", "other"};

/* ---- Our own ----------------------------------------------------------------------- */

static PwStyle *
read_ours(const char *name)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwStyle *style = pw_style_read(name, complaints, &error);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    g_autofree char *text = pw_complaint_dup_text(pw_complaints_peek(complaints, i));
    print_message("# %s\n", text);
  }
  assert_int_equal(pw_complaints_n(complaints), 0);
  if (style == NULL)
    fail_msg("%s", error != NULL ? error->message : "no style");
  return style;
}

static void
ours_are_whole(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwWords) words = pw_words_read("en", complaints, NULL);
  assert_non_null(words);
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(PwStyle) style = read_ours(names[i]);
    double short_mm, long_mm;
    pw_style_page(style, words, &short_mm, &long_mm); /* no style of ours tells a page */
    assert_true(fabs(short_mm - 210) < 1e-9 && fabs(long_mm - 297) < 1e-9);
    assert_true(fabs(pw_style_length(style, "margin") - 14) < 1e-9);
    assert_true(fabs(pw_style_length(style, "outline") - 0.36) < 1e-9);
    for (gsize g = 0; g < G_N_ELEMENTS(groups); g++)
      assert_string_equal(pw_style_group(style, groups[g])->name, groups[g]);
    assert_string_equal(pw_style_group(style, "a group of one's own")->name, "other");
    assert_string_equal(pw_style_group(style, NULL)->name, "other");
    assert_int_equal(pw_style_is_grey(style), i == 1);
  }
}

/* docs/styles.md: nothing below 6.5 pt, callouts never below 7. */
static void
ours_can_be_read(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(PwStyle) style = read_ours(names[i]);
    for (PwRole role = 0; role < PW_N_ROLES; role++) {
      const PwType *type = pw_style_type(style, role);
      gboolean callout = role >= PW_ROLE_NUMBER && role <= PW_ROLE_INFERRED;
      assert_true(type->size_pt >= (callout ? 7 : 6.5));
      assert_true(type->leading_pt >= type->size_pt);
      assert_non_null(type->family);
    }
    assert_true(pw_style_type(style, PW_ROLE_NUMBER)->bold);
    assert_true(pw_style_type(style, PW_ROLE_INFERRED)->italic);
    assert_true(pw_style_type(style, PW_ROLE_SIZE)->tabular);
  }
}

/* An ink changed in a style is changed in all that its base has in that ink. */
static void
inks_are_followed(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(PwStyle) style = read_ours(names[i]);
    PwInk soft = pw_style_ink(style, "soft-ink"), note = pw_style_type(style, PW_ROLE_NOTE)->ink;
    assert_memory_equal(&soft, &note, sizeof soft);
  }
  PwInk title = {0x1c / 255.0, 0x1b / 255.0, 0x19 / 255.0};
  g_autoptr(PwStyle) style = read_ours("plate");
  assert_memory_equal(&pw_style_type(style, PW_ROLE_TITLE)->ink, &title, sizeof title);
}

/* WCAG 2.2: relative luminance and contrast ratio as the definitions there have them. */
static double
luminance(PwInk ink)
{
  double channels[3] = {ink.r, ink.g, ink.b}, weights[3] = {0.2126, 0.7152, 0.0722}, sum = 0;
  for (int i = 0; i < 3; i++)
    sum += weights[i] *
           (channels[i] <= 0.04045 ? channels[i] / 12.92 : pow((channels[i] + 0.055) / 1.055, 2.4));
  return sum;
}

static double
contrast(PwInk a, PwInk b)
{
  double one = luminance(a), other = luminance(b);
  return (MAX(one, other) + 0.05) / (MIN(one, other) + 0.05);
}

/* WCAG 2.2, 1.4.11: graphics 3 to 1; 1.4.3: words 4.5 to 1. The two exceptions stand in plate.yaml
 * with their reason. */
static void
inks_stand_out_from_their_casing(void **state)
{
  (void)state;
  const PwInk paper = {1, 1, 1};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(PwStyle) style = read_ours(names[i]);
    PwInk casing = pw_style_ink(style, "casing");
    for (gsize g = 0; g < G_N_ELEMENTS(groups); g++) {
      double found = contrast(pw_style_group(style, groups[g])->ink, casing);
      gboolean pale =
          i == 0 && (g_str_equal(groups[g], "living") || g_str_equal(groups[g], "added"));
      assert_true(found >= (pale ? 2.2 : 3));
    }
    assert_true(contrast(pw_style_ink(style, "earlier"), casing) >= 3);
    for (PwRole role = 0; role < PW_N_ROLES; role++)
      assert_true(contrast(pw_style_type(style, role)->ink, paper) >= 4.5);
  }
}

static gboolean
same_dash(const double *a, const double *b)
{
  for (int i = 0; i < 4; i++)
    if (fabs(a[i] - b[i]) > 0.2)
      return FALSE;
  return TRUE;
}

/* Hatches that differ by 15 degrees or more, by half in their gap, or in their dash. */
static gboolean
hatch_differs(const PwGroupLook *a, const PwGroupLook *b)
{
  double turn = fabs(a->hatch_angle_deg - b->hatch_angle_deg);
  turn = MIN(turn, 180 - turn);
  double wide = MAX(a->hatch_gap_mm, b->hatch_gap_mm),
         narrow = MIN(a->hatch_gap_mm, b->hatch_gap_mm);
  return turn >= 15 || wide > 1.4 * narrow || !same_dash(a->hatch_dash_mm, b->hatch_dash_mm);
}

static void
groups_are_told_without_colour(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
    g_autoptr(PwStyle) style = read_ours(names[i]);
    for (gsize a = 0; a < G_N_ELEMENTS(groups); a++)
      for (gsize b = a + 1; b < G_N_ELEMENTS(groups); b++)
        if (!hatch_differs(pw_style_group(style, groups[a]), pw_style_group(style, groups[b])))
          fail_msg("%s: %s and %s have one hatch", names[i], groups[a], groups[b]);
  }
}

static gboolean
is_grey(PwInk ink)
{
  return fabs(ink.r - ink.g) < 1e-9 && fabs(ink.g - ink.b) < 1e-9;
}

static void
grey_is_grey(void **state)
{
  (void)state;
  g_autoptr(PwStyle) style = read_ours("plate-grey");
  const char *inks[] = {"ink", "soft-ink", "casing", "earlier", "leader", "hairline", "private"};
  for (gsize i = 0; i < G_N_ELEMENTS(inks); i++)
    assert_true(is_grey(pw_style_ink(style, inks[i])));
  for (gsize g = 0; g < G_N_ELEMENTS(groups); g++)
    assert_true(is_grey(pw_style_group(style, groups[g])->ink));
  for (PwRole role = 0; role < PW_N_ROLES; role++)
    assert_true(is_grey(pw_style_type(style, role)->ink));
}

/* ---- A file of one's own ----------------------------------------------------------- */

static char *
dup_file(const char *folder, const char *name, const char *text)
{
  char *path = g_build_filename(folder, name, NULL);
  assert_true(g_file_set_contents(path, text, -1, NULL));
  return path;
}

static char *
dup_folder(void)
{
  char *folder = g_dir_make_tmp("platewright-test-XXXXXX", NULL);
  assert_non_null(folder);
  return folder;
}

static PwStyle *
read_text(const char *text, PwComplaints *complaints)
{
  g_autofree char *folder = dup_folder();
  g_autofree char *path = dup_file(folder, "own.yaml", text);
  g_autoptr(GError) error = NULL;
  PwStyle *style = pw_style_read(path, complaints, &error);
  assert_null(error);
  g_unlink(path);
  g_rmdir(folder);
  return style;
}

static void
ones_own_changes_what_it_names(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwStyle) style = read_text("format: platewright-style 1\n"
                                       "based-on: plate\n"
                                       "page: Letter\n"
                                       "lengths: {margin: 20}\n"
                                       "types: {title: {size: 19}}\n"
                                       "groups: {worn: {dash: solid, gap: 3}}\n",
                                       complaints);
  assert_int_equal(pw_complaints_n(complaints), 0);
  double short_mm, long_mm;
  pw_style_page(style, NULL, &short_mm, &long_mm);
  assert_true(fabs(short_mm - 215.9) < 1e-9 && fabs(long_mm - 279.4) < 1e-9);
  assert_true(fabs(pw_style_length(style, "margin") - 20) < 1e-9);
  assert_true(fabs(pw_style_length(style, "gutter") - 4) < 1e-9);
  assert_true(fabs(pw_style_type(style, PW_ROLE_TITLE)->size_pt - 19) < 1e-9);
  assert_string_equal(pw_style_type(style, PW_ROLE_TITLE)->family, "Gentium Plus");
  assert_true(fabs(pw_style_group(style, "worn")->hatch_dash_mm[0]) < 1e-9);
}

static void
slips_are_named(void **state)
{
  (void)state;
  static const struct {
    const char *line, *kind, *says;
    guint column;
  } rows[] = {
      {"lenghts: {margin: 14}", "unknown key", "did you mean \"lengths\"?", 1},
      {"lengths: {margins: 14}", "unknown key", "did you mean \"margin\"?", 11},
      {"lengths: {margin: wide}", "not a number", "a number is wanted", 19},
      {"lengths: {margin: 500}", "out of bounds", "from 5 to 60", 19},
      {"types: {file: {size: 6.4}}", "too small", "smaller than 6.5 pt", 22},
      {"types: {note: {size: 6.9}}", "too small", "no callout is smaller than 7 pt", 22},
      {"types: {title: {size: 40}}", "leading", "does not go with the size", 16},
      {"types: {title: {bold: very}}", "not yes or no", "write yes or no", 23},
      {"inks: {ink: reddish}", "not an ink", "six hexadecimal digits", 13},
      {"groups: {staind: {gap: 2}}", "unknown key", "did you mean \"stained\"?", 10},
      {"groups: {worn: {gap: 0.5}}", "hatch", "hide the surface", 16},
      {"groups: {worn: {dash: [1, 2, 3]}}", "not a dash", "two or four lengths, not 3", 23},
      {"groups: {worn: {dash: dotted}}", "not a dash", "or solid", 23},
      {"words: {stage-before: Vorher}", "moved key", "in a file of words now", 8},
      {"groups: {worn: {label: worn}}", "moved key", "in a file of words now", 24},
      {"page: A11", "not a page", "A4, A3, Letter", 7},
      {"pictures: green", "unknown word", "colour or grey", 11},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(PwComplaints) complaints = pw_complaints_new();
    g_autofree char *text =
        g_strdup_printf("format: platewright-style 1\nbased-on: plate\n%s\n", rows[i].line);
    assert_null(read_text(text, complaints));
    assert_int_equal(pw_complaints_n(complaints), 1);
    const PwComplaint *complaint = pw_complaints_peek(complaints, 0);
    assert_string_equal(complaint->kind, rows[i].kind);
    if (strstr(complaint->says, rows[i].says) == NULL)
      fail_msg("%s: %s", rows[i].line, complaint->says);
    assert_string_equal(complaint->file, "own.yaml");
    assert_int_equal(complaint->line, 3);
    assert_int_equal(complaint->column, rows[i].column);
  }
}

static void
prose_that_yaml_would_cut_is_refused(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(read_text("format: platewright-style 1\nbased-on: plate\n"
                        "name: ours # and theirs\n",
                        complaints));
  assert_string_equal(pw_complaints_peek(complaints, 0)->kind, "cut text");
}

static void
a_style_must_be_whole(void **state)
{
  (void)state;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(read_text("format: platewright-style 1\npage: A4\n", complaints));
  assert_true(pw_complaints_n(complaints) > 40);
  assert_string_equal(pw_complaints_peek(complaints, 0)->kind, "missing key");
  g_autoptr(PwComplaints) others = pw_complaints_new();
  assert_null(read_text("format: platewright-volume 1\n", others));
  assert_string_equal(pw_complaints_peek(others, 0)->kind, "format");
  g_autoptr(PwComplaints) lists = pw_complaints_new();
  assert_null(read_text("[1, 2]\n", lists));
  assert_true(pw_complaints_n(lists) > 0);
}

static void
styles_in_a_circle_are_refused(void **state)
{
  (void)state;
  g_autofree char *folder = dup_folder();
  g_autofree char *one =
      dup_file(folder, "one.yaml", "format: platewright-style 1\nbased-on: two\n");
  g_autofree char *two =
      dup_file(folder, "two.yaml", "format: platewright-style 1\nbased-on: one\n");
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(pw_style_read(one, complaints, NULL));
  assert_string_equal(pw_complaints_peek(complaints, 0)->kind, "circle");
  g_unlink(one);
  g_unlink(two);
  g_rmdir(folder);
}

static void
names_are_looked_for_in_the_named_folder_first(void **state)
{
  (void)state;
  g_autofree char *before = g_strdup(g_getenv("PLATEWRIGHT_STYLES"));
  g_autofree char *folder = dup_folder();
  g_autofree char *own =
      dup_file(folder, "studio.yaml",
               "format: platewright-style 1\nbased-on: plate\nlengths: {margin: 21}\n");
  g_setenv("PLATEWRIGHT_STYLES", folder, TRUE);
  g_autoptr(PwStyle) style = read_ours("studio");
  assert_true(fabs(pw_style_length(style, "margin") - 21) < 1e-9);
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(pw_style_read("plates", complaints, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_non_null(strstr(error->message, "plate, plate-grey, studio"));
  /* Terms lie beside our styles still. */
  g_autofree char *terms = pw_style_dup_folder(NULL);
  assert_non_null(terms);
  if (before != NULL)
    g_setenv("PLATEWRIGHT_STYLES", before, TRUE);
  else
    g_unsetenv("PLATEWRIGHT_STYLES");
  g_unlink(own);
  g_rmdir(folder);
}

static void
a_file_that_is_not_there_is_told(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  assert_null(pw_style_read("./nowhere/at-all.yaml", complaints, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_FILE));
  assert_int_equal(pw_complaints_n(complaints), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ours_are_whole),
      cmocka_unit_test(ours_can_be_read),
      cmocka_unit_test(inks_are_followed),
      cmocka_unit_test(inks_stand_out_from_their_casing),
      cmocka_unit_test(groups_are_told_without_colour),
      cmocka_unit_test(grey_is_grey),
      cmocka_unit_test(ones_own_changes_what_it_names),
      cmocka_unit_test(slips_are_named),
      cmocka_unit_test(prose_that_yaml_would_cut_is_refused),
      cmocka_unit_test(a_style_must_be_whole),
      cmocka_unit_test(styles_in_a_circle_are_refused),
      cmocka_unit_test(names_are_looked_for_in_the_named_folder_first),
      cmocka_unit_test(a_file_that_is_not_there_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
