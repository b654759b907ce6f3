/* Numbers, dates and quantities: read and written the same under every locale, rounded by hand. */
#include <platewright/base.h>

#include <float.h>
#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

static gboolean
same(double a, double b)
{
  return !(a < b) && !(a > b);
}

static void
assert_fixed(double value, int decimals, const char *expected)
{
  g_autofree char *text = pw_format_fixed(value, decimals);
  assert_string_equal(text, expected);
}

static void
assert_quantity(double value, double U, const char *expected)
{
  g_autofree char *text = pw_format_quantity(value, U);
  assert_string_equal(text, expected);
}

static void
reads_decimal_numbers_only(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    double value;
  } good[] = {{"0", 0},      {"-12.5", -12.5}, {"+3", 3},   {".5", 0.5}, {"5.", 5},
              {"1e3", 1000}, {"1E-2", 0.01},   {"007", 7},  {"-0", 0},   {"1.5e+2", 150},
              {"1e-999", 0}, {"412", 412},     {"0.1", 0.1}};
  for (gsize i = 0; i < G_N_ELEMENTS(good); i++) {
    double value = 99;
    assert_true(pw_parse_double(good[i].text, &value));
    assert_true(same(value, good[i].value));
  }
  static const char *const bad[] = {
      "",    " 1", "1 ", "inf",   "nan", "-inf", "0x10", "1,5", "1.2.3", "e5",       "1e",  "1e+",
      "--1", "+",  ".",  "1e999", "1d3", "x41",  "١",    "1_0", "1e5.0", "infinity", "NAN", "1\n"};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
    double value = 99;
    assert_false(pw_parse_double(bad[i], &value));
    assert_true(same(value, 99));
  }
  double value;
  assert_false(pw_parse_double(NULL, &value));
}

static void
reads_whole_numbers(void **state)
{
  (void)state;
  gint64 value = 5;
  assert_true(pw_parse_int("9223372036854775807", &value));
  assert_true(value == G_MAXINT64);
  assert_true(pw_parse_int("-9223372036854775808", &value));
  assert_true(value == G_MININT64);
  assert_true(pw_parse_int("+12", &value));
  assert_int_equal(value, 12);
  static const char *const bad[] = {"",   "9223372036854775808", "1.0", " 1", "1 ", "-", "0x1",
                                    "1e3"};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    assert_false(pw_parse_int(bad[i], &value));
  assert_int_equal(value, 12);
}

static void
shortest_decimal_reads_back(void **state)
{
  (void)state;
  static const struct {
    double value;
    const char *text;
  } known[] = {{0.1, "0.1"},
               {-0.0, "0"},
               {412, "412"},
               {1.0 / 3, "0.3333333333333333"},
               {5e-324, "5e-324"},
               {1e23, "1e+23"},
               {0.1 + 0.2, "0.30000000000000004"},
               {-2.5, "-2.5"},
               {(double)NAN, "nan"},
               {-HUGE_VAL, "-inf"}};
  for (gsize i = 0; i < G_N_ELEMENTS(known); i++) {
    g_autofree char *text = pw_format_double(known[i].value);
    assert_string_equal(text, known[i].text);
  }
  GRand *random = g_rand_new_with_seed(20260302);
  for (int i = 0; i < 20000; i++) {
    const guint64 bits = (guint64)g_rand_int(random) << 32 | g_rand_int(random);
    double value, back = 0;
    memcpy(&value, &bits, sizeof value);
    if (!isfinite(value))
      continue;
    g_autofree char *text = pw_format_double(value);
    assert_true(pw_parse_double(text, &back));
    assert_memory_equal(&back, &value, sizeof value);
  }
  g_rand_free(random);
}

static void
rounds_half_away_from_zero(void **state)
{
  (void)state;
  assert_fixed(0.5, 0, "1");
  assert_fixed(-0.5, 0, "-1");
  assert_fixed(1.5, 0, "2");
  assert_fixed(2.5, 0, "3");
  assert_fixed(-2.5, 0, "-3");
  assert_fixed(2.675, 2, "2.68"); /* the double lies below; the reader sees 2.675 */
  assert_fixed(1.005, 2, "1.01");
  assert_fixed(0.125, 2, "0.13");
  assert_fixed(0.4999999, 0, "0");
  assert_fixed(-0.4, 0, "0"); /* never -0 */
  assert_fixed(-0.04, 1, "0.0");
  assert_fixed(999.96, 1, "1000.0");
  assert_fixed(0.0996, 3, "0.100");
  assert_fixed(9.5, -1, "10");
  assert_fixed(4.9, -1, "0");
  assert_fixed(12, -2, "0");
  assert_fixed(60, -2, "100");
  assert_fixed(12345, -2, "12300");
  assert_fixed(1250, -2, "1300");
  assert_fixed(-1250, -2, "-1300");
  assert_fixed(412, 3, "412.000");
  assert_fixed(1e-7, 3, "0.000");
  assert_fixed(1e21, 1, "1000000000000000000000.0");
  assert_fixed(0, 2, "0.00");
  assert_fixed(0, -3, "0");
  assert_fixed(HUGE_VAL, 2, "inf");
}

static void
shows_two_figures_of_uncertainty(void **state)
{
  (void)state;
  assert_int_equal(pw_decimals_for(14), 0);
  assert_int_equal(pw_decimals_for(0.008), 4);
  assert_int_equal(pw_decimals_for(1200), -2);
  assert_int_equal(pw_decimals_for(9.94), 1);
  assert_int_equal(pw_decimals_for(9.96), 0); /* shown as 10 */
  assert_int_equal(pw_decimals_for(99.5), -1);
  assert_int_equal(pw_decimals_for(0), 0);
  assert_int_equal(pw_decimals_for(nan("")), 0);
  /* The printed example of the design, section 5. */
  assert_quantity(412.3, 14.2, "412 ± 14");
  assert_quantity(0.36, 0.008, "0.3600 ± 0.0080");
  assert_quantity(12345, 1234, "12300 ± 1200");
  assert_quantity(34.25, 0.95, "34.25 ± 0.95");
  assert_quantity(34.25, 0.999, "34.3 ± 1.0");
  assert_quantity(-7.06, 1.4, "-7.1 ± 1.4");
  assert_quantity(3, 140, "0 ± 140");
  assert_quantity(0, 0, "0");
  assert_quantity(12.5, 0, "12.5");
  assert_quantity(12.4, HUGE_VAL, "12 ± inf");
  assert_quantity(12.4, nan(""), "12 ± nan");
}

static void
an_uncertainty_alone_keeps_what_stands_before_the_point(void **state)
{
  (void)state;
  static const struct {
    double U;
    const char *shown;
  } cases[] = {{0.283, "0.28"}, {0.0714, "0.071"}, {7.14, "7.1"}, {27.5, "28"}, {1234.4, "1234"}};
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *text = pw_format_uncertainty(cases[i].U);
    assert_string_equal(text, cases[i].shown);
  }
}

static void
dates_are_checked_against_the_calendar(void **state)
{
  (void)state;
  GDate date;
  assert_true(pw_parse_date("2026-03-02", &date));
  assert_int_equal(g_date_get_julian(&date), 739677); /* python: date(2026, 3, 2).toordinal() */
  assert_true(pw_parse_date("2024-02-29", &date));
  static const char *const bad[] = {"2026-02-29", "2026-13-01",  "2026-00-10",         "2026-1-02",
                                    "26-01-02",   "2026-03-02 ", "2026/03/02",         "0000-01-01",
                                    "",           "2026-03-0x",  "2026-03-02T10:14:07"};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    assert_false(pw_parse_date(bad[i], &date));
  assert_false(pw_parse_date(NULL, &date));
}

/* Makes German habits from glibc's own source of them, in the build folder; no locale needs to be
 * installed for that. */
static gboolean
set_comma_locale(void)
{
  const char *build = g_getenv("PW_BUILD");
  g_autofree char *folder = g_build_filename(build ? build : ".", "locale", NULL);
  g_autofree char *locale = g_build_filename(folder, "de_DE.UTF-8", NULL);
  g_autofree char *quoted = g_shell_quote(locale);
  g_autofree char *command = g_strdup_printf("localedef -i de_DE -f UTF-8 %s", quoted);
  g_mkdir_with_parents(folder, 0777);
  if (!g_file_test(locale, G_FILE_TEST_IS_DIR))
    g_spawn_command_line_sync(command, NULL, NULL, NULL, NULL);
  g_setenv("LOCPATH", folder, TRUE);
  return setlocale(LC_NUMERIC, "de_DE.UTF-8") && strcmp(localeconv()->decimal_point, ",") == 0;
}

static void
a_comma_locale_changes_nothing(void **state)
{
  if (!set_comma_locale()) {
    /* cmocka's TAP calls a skipped test "not ok". */
    print_message("# not run: localedef (Debian package locales) could not make a locale\n");
    return;
  }
  reads_decimal_numbers_only(state);
  shortest_decimal_reads_back(state);
  rounds_half_away_from_zero(state);
  shows_two_figures_of_uncertainty(state);
  setlocale(LC_NUMERIC, "C");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(reads_decimal_numbers_only),
      cmocka_unit_test(reads_whole_numbers),
      cmocka_unit_test(shortest_decimal_reads_back),
      cmocka_unit_test(rounds_half_away_from_zero),
      cmocka_unit_test(shows_two_figures_of_uncertainty),
      cmocka_unit_test(an_uncertainty_alone_keeps_what_stands_before_the_point),
      cmocka_unit_test(dates_are_checked_against_the_calendar),
      cmocka_unit_test(a_comma_locale_changes_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
