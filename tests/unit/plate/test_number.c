/* The numbers printed beside marks. */
#include "plate/number.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static int a, b, c, d, e;

static void
keeps_ids_and_families(void **state)
{
  (void)state;
  PwNumbered marks[] = {{"1", &a, 0, 0}, {"3", &b, 0, 0}, {"6", &a, 0, 0}, {"7", &b, 0, 0}};
  pw_number_marks(marks, 4, FALSE);
  assert_int_equal(marks[0].number, 1);
  assert_int_equal(marks[1].number, 3);
  assert_int_equal(marks[2].number, 1);
  assert_int_equal(marks[3].number, 3);
  assert_false(marks[0].differs);
  assert_true(marks[2].differs);
}

/* A mark of the after photograph whose id an earlier family has, and one whose id is no number. */
static void
gives_the_next_free_number(void **state)
{
  (void)state;
  PwNumbered marks[] = {
      {"1", &a, 0, 0}, {"2", &b, 0, 0}, {"1", &c, 0, 0}, {"head", &d, 0, 0}, {"3", &e, 0, 0}};
  pw_number_marks(marks, 5, FALSE);
  assert_int_equal(marks[2].number, 4);
  assert_true(marks[2].differs);
  assert_int_equal(marks[3].number, 5);
  assert_int_equal(marks[4].number, 3);
  assert_false(marks[4].differs);
}

static void
counts_afresh(void **state)
{
  (void)state;
  PwNumbered marks[] = {{"7", &a, 0, 0}, {"9", &b, 0, 0}, {"2", &a, 0, 0}, {"4", &c, 0, 0}};
  pw_number_marks(marks, 4, TRUE);
  assert_int_equal(marks[0].number, 1);
  assert_int_equal(marks[1].number, 2);
  assert_int_equal(marks[2].number, 1);
  assert_int_equal(marks[3].number, 3);
  for (guint i = 0; i < 4; i++)
    assert_false(marks[i].differs);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(keeps_ids_and_families),
      cmocka_unit_test(gives_the_next_free_number),
      cmocka_unit_test(counts_afresh),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
