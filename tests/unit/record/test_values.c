/* Values by themselves: money, zones, paths, ids, and where a point begins in its text.
 */
#include "fixtures.h"

#include "record/values.h"

static void
test_money(void **state)
{
  (void)state;
  const char *const good[] = {"0", "24", "24.5", "24.50", "-4", "-0.05", "999999999999.9999"};
  const char *const bad[] = {
      "",    "-",    ".5",  "5.",  "24,50", "1e3",           "+4",    " 4", "4 ", "€4", "4.12345",
      "--4", "0x10", "inf", "nan", "1 000", "1000000000000", "4.5.6", "٤"};
  for (gsize i = 0; i < G_N_ELEMENTS(good); i++)
    if (!pw_is_money(good[i]))
      fail_msg("not taken for money: %s", good[i]);
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    if (pw_is_money(bad[i]))
      fail_msg("taken for money: %s", bad[i]);
}

static void
test_zones(void **state)
{
  (void)state;
  int s = 0;
  assert_true(pw_parse_zone("+01:00", &s) && s == 3600);
  assert_true(pw_parse_zone("-03:30", &s) && s == -12600);
  assert_true(pw_parse_zone("Z", &s) && s == 0);
  assert_true(pw_parse_zone("+14:00", &s) && s == 50400);
  const char *const bad[] = {"",          "01:00", "+1:00", "+01:60", "+15:00",
                             "+01:00:00", "z",     "+0100", "+"};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    if (pw_parse_zone(bad[i], &s))
      fail_msg("taken for a zone: %s", bad[i]);
}

static void
test_paths(void **state)
{
  (void)state;
  const char *const good[] = {"IMG_1.jpg", "before/IMG 1.jpg", "a#b.jpg", "..jpg", "Bücher/1.tif"};
  const char *const bad[] = {"",         "/a.jpg",  "../a.jpg", "a/../b.jpg",
                             "a//b.jpg", "./a.jpg", "a/",       "a\\b.jpg"};
  for (gsize i = 0; i < G_N_ELEMENTS(good); i++)
    if (pw_path_fault(good[i]) != NULL)
      fail_msg("refused: %s", good[i]);
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    if (pw_path_fault(bad[i]) == NULL)
      fail_msg("taken for a path inside the folder: %s", bad[i]);
}

static void
test_ids(void **state)
{
  (void)state;
  g_autofree char *long_id = g_strnfill(101, 'x');
  assert_null(pw_id_fault("1"));
  assert_null(pw_id_fault("P1 b"));
  assert_null(pw_id_fault("é-3"));
  assert_non_null(pw_id_fault(long_id));
  const char *const bad[] = {"", "#1", "a#1", "a/b", "a\\b", ".a", "-o", " a", "a\nb", "a\x7f"};
  for (gsize i = 0; i < G_N_ELEMENTS(bad); i++)
    if (pw_id_fault(bad[i]) == NULL)
      fail_msg("taken for an id: %s", bad[i]);
}

static void
test_point_offset(void **state)
{
  (void)state;
  const char *text = "  1,1   22,2\t3,3";
  assert_int_equal(pw_point_offset(text, 0), 2);
  assert_int_equal(pw_point_offset(text, 1), 8);
  assert_int_equal(pw_point_offset(text, 2), 13);
  assert_int_equal(pw_point_offset(text, 9), 16);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_money),        cmocka_unit_test(test_zones),
      cmocka_unit_test(test_paths),        cmocka_unit_test(test_ids),
      cmocka_unit_test(test_point_offset),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
