/* The designs: ids that belong to one card, tags that keep their white and lie on the card. */
#include <platewright/card.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static void
ids_belong_to_one_card(void **state)
{
  (void)state;
  int n = 0, expected = 0;
  for (int i = 0; i < PW_N_CARD_SIZES; i++)
    expected += pw_card_design((PwCardSize)i)->n_tags * pw_card_design((PwCardSize)i)->n_copies;
  for (int id = -10; id < 700; id++) {
    PwCardSize size;
    int copy, tag;
    if (!pw_card_of_id(id, &size, &copy, &tag))
      continue;
    const PwCardDesign *design = pw_card_design(size);
    assert_int_equal(design->first_id + copy * design->n_tags + tag, id);
    assert_in_range(id, 0, 586); /* tag36h11 has 587 codes */
    n++;
  }
  assert_int_equal(n, expected);
}

/* The black square with one white cell, an eighth of its edge, round it. */
static void
check_tag(PwCardSize size, int tag)
{
  const PwCardDesign *design = pw_card_design(size);
  PwMm at = pw_card_tag_place(size, tag);
  double cell = design->tag_mm / 8;
  assert_true(at.x - cell >= 0 && at.x + design->tag_mm + cell <= design->width_mm);
  assert_true(at.y - cell >= 0 && at.y + design->tag_mm + cell <= design->height_mm);
  for (int other = 0; other < tag; other++) {
    PwMm place = pw_card_tag_place(size, other);
    double apart = fmax(fabs(place.x - at.x), fabs(place.y - at.y));
    assert_true(apart >= design->tag_mm + 2 * cell - 1e-9);
  }
}

static void
tags_lie_on_the_card(void **state)
{
  (void)state;
  for (int i = 0; i < PW_N_CARD_SIZES; i++)
    for (int tag = 0; tag < pw_card_design((PwCardSize)i)->n_tags; tag++)
      check_tag((PwCardSize)i, tag);
}

static void
names_are_read_back(void **state)
{
  (void)state;
  PwCardSize size;
  int copy;
  for (int i = 0; i < PW_N_CARD_SIZES; i++)
    for (int c = 0; c < pw_card_design((PwCardSize)i)->n_copies; c++) {
      g_autofree char *name = pw_card_dup_name((PwCardSize)i, c);
      assert_true(pw_card_parse(name, &size, &copy));
      assert_int_equal(size, i);
      assert_int_equal(copy, c);
    }
  assert_true(pw_card_parse("a6", &size, &copy));
  assert_int_equal(copy, -1);
  const char *const wrong[] = {"", "a7", "a6 ", "a6 c", "a6 ab", "a6b", "id1 i", "sheets"};
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++)
    assert_false(pw_card_parse(wrong[i], &size, &copy));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ids_belong_to_one_card),
      cmocka_unit_test(tags_lie_on_the_card),
      cmocka_unit_test(names_are_read_back),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
