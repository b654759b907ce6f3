/* QR codes: sizes and capacities of ISO/IEC 18004, table 7, from memory. That they read as the text
 * is seen by an independent reader in the tests of `mark` and `labels`. */
#include <platewright/base.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static PwQr *
new_of_length(gsize n, GError **error)
{
  g_autofree char *text = g_strnfill(n, 'x');
  return pw_qr_new(text, error);
}

static void
a_code_is_as_small_as_can_be(void **state)
{
  static const struct {
    gsize bytes;
    int side;
  } cases[] = {{1, 21}, {14, 21}, {15, 25}, {26, 25}, {27, 29}, {2331, 177}};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(PwQr) qr = new_of_length(cases[i].bytes, NULL);
    assert_non_null(qr);
    assert_int_equal(qr->side, cases[i].side);
  }
}

/* A square of seven, a light ring, a square of three within. */
static void
three_corners_hold_the_pattern_that_is_sought(void **state)
{
  (void)state;
  g_autoptr(PwQr) qr = new_of_length(20, NULL);
  const int far = qr->side - 7;
  const int corners[][2] = {{0, 0}, {far, 0}, {0, far}};
  for (gsize i = 0; i < G_N_ELEMENTS(corners); i++)
    for (int y = 0; y < 7; y++)
      for (int x = 0; x < 7; x++) {
        const int ring = MAX(ABS(x - 3), ABS(y - 3));
        assert_int_equal(pw_qr_is_dark(qr, corners[i][0] + x, corners[i][1] + y), ring != 2);
      }
  assert_false(pw_qr_is_dark(qr, -1, 0));
  assert_false(pw_qr_is_dark(qr, 0, qr->side));
}

static void
what_no_code_holds_is_refused(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  assert_null(new_of_length(2332, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT));
  g_clear_error(&error);
  assert_null(pw_qr_new("", &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_code_is_as_small_as_can_be),
      cmocka_unit_test(three_corners_hold_the_pattern_that_is_sought),
      cmocka_unit_test(what_no_code_holds_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
