/* CSV cell by cell, against RFC 4180, section 2, and the common practice against formulas. */
#include <platewright/base.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static const char *const columns[] = {"a", "b_mm", NULL};

static char *
dup_row_of_text(const char *text)
{
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  pw_csv_put_text(csv, "a", text);
  pw_csv_end_row(csv);
  return pw_csv_take_text(csv);
}

static void
cells_of_text(void **state)
{
  static const struct {
    const char *text, *row;
  } cases[] = {
      {"plain", "plain,"},
      {NULL, ","},
      {"", ","},
      {"a, b", "\"a, b\","},                   /* 2.6 */
      {"say \"red\"", "\"say \"\"red\"\"\","}, /* 2.7 */
      {"two\r\nlines", "\"two\r\nlines\","},
      {" blank", "\" blank\","},
      {"blank ", "\"blank \","},
      {"no text: \xff", "no text: \xef\xbf\xbd,"}, /* U+FFFD */
      {"=1+1", "'=1+1,"},
      {"+1", "'+1,"},
      {"-1", "'-1,"},
      {"@x", "'@x,"},
      {"\tx", "'\tx,"},
      {"\rx", "\"'\rx\","},
      {"1-2", "1-2,"},
  };
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *text = dup_row_of_text(cases[i].text);
    g_autofree char *wanted = g_strconcat("a,b_mm\r\n", cases[i].row, "\r\n", NULL);
    assert_string_equal(text, wanted);
  }
}

static void
numbers_stay_numbers(void **state)
{
  static const char wanted[] = "a,b_mm\r\n-3,-0.5\r\n,68.00\r\n2026-03-02,'=1\r\n1,\r\n";
  g_autoptr(PwCsv) csv = pw_csv_new(columns);
  GDate day, none;
  (void)state;
  g_date_clear(&none, 1);
  assert_true(pw_parse_date("2026-03-02", &day));
  pw_csv_put_int(csv, "a", -3);
  pw_csv_put_double(csv, "b_mm", -0.5);
  pw_csv_end_row(csv);
  pw_csv_put_date(csv, "a", &none);
  pw_csv_put_decimal(csv, "b_mm", "68.00");
  pw_csv_end_row(csv);
  pw_csv_put_date(csv, "a", &day);
  pw_csv_put_decimal(csv, "b_mm", "=1");
  pw_csv_end_row(csv);
  pw_csv_put_int(csv, "a", 1);
  pw_csv_put_double(csv, "b_mm", NAN);
  pw_csv_end_row(csv);
  g_autofree char *text = pw_csv_take_text(csv);
  assert_string_equal(text, wanted);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(cells_of_text),
      cmocka_unit_test(numbers_stay_numbers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
