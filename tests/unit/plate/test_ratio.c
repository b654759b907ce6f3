/* Round ratios and scale bars. */
#include "plate/ratio.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static void
is_never_above_and_seldom_far_below(void **state)
{
  (void)state;
  for (double most = 0.004; most < 40; most *= 1.0137) {
    double ratio = pw_ratio_round(most);
    assert_true(ratio <= most * (1 + 1e-6));
    assert_true(ratio >= most / 1.1);
  }
}

/* The printed figure is the ratio itself, not a rounding of it. */
static void
is_printed_exactly(void **state)
{
  (void)state;
  for (double most = 0.004; most < 40; most *= 1.0137) {
    double ratio = pw_ratio_round(most);
    g_autofree char *text = pw_ratio_dup_figure(ratio);
    double figure = g_ascii_strtod(text, NULL);
    assert_true(fabs((ratio < 1 ? 1 / figure : figure) - ratio) < 1e-9);
  }
}

static void
prefers_round_figures(void **state)
{
  (void)state;
  static const struct {
    double most;
    const char *text;
  } rows[] = {{1 / 3.95, "4"}, {1 / 2.45, "2.5"}, {1 / 4.02, "4.2"}, {1, "1"},
              {3.1, "3"},      {1 / 19.3, "20"},  {1 / 98.0, "100"}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autofree char *text = pw_ratio_dup_figure(pw_ratio_round(rows[i].most));
    assert_string_equal(text, rows[i].text);
  }
}

static void
bar_is_one_two_or_five(void **state)
{
  (void)state;
  for (double ratio = 0.01; ratio < 30; ratio *= 1.07) {
    double mm = pw_bar_length(ratio, 60);
    assert_true(mm * ratio <= 60 * (1 + 1e-6));
    assert_true(mm * ratio >= 60 / 2.51);
    double mantissa = mm / pow(10, floor(log10(mm) + 1e-9));
    assert_true(fabs(mantissa - 1) < 1e-6 || fabs(mantissa - 2) < 1e-6 ||
                fabs(mantissa - 5) < 1e-6);
    assert_int_equal(pw_bar_parts(mm), fabs(mantissa - 2) < 1e-6 ? 4 : 5);
  }
  assert_true(fabs(pw_bar_length(0.25, 60) - 200) < 1e-9);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(is_never_above_and_seldom_far_below),
      cmocka_unit_test(is_printed_exactly),
      cmocka_unit_test(prefers_round_figures),
      cmocka_unit_test(bar_is_one_two_or_five),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
