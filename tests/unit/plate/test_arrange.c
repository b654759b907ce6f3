/* The arithmetic of a page. */
#include "plate/arrange.h"

#include "chance.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

static const PwMeasures a4 = {210, 297, 14, 46, 62, 4, 4, 46, 140};
static const PwMeasures letter = {215.9, 279.4, 14, 46, 62, 4, 4, 46, 140};
static const PwHeights heights = {27, 10, 15, 40};

/* 10 mm of the object are as long on paper in both pictures, whatever the camera's distance. */
static void
pair_has_one_scale(void **state)
{
  (void)state;
  Chance chance = {9};
  for (guint trial = 0; trial < 500; trial++) {
    PwWanted wanted[2];
    for (guint i = 0; i < 2; i++)
      wanted[i] = (PwWanted){chance_double(&chance, 2000, 6000), chance_double(&chance, 2000, 6000),
                             chance_double(&chance, 0.05, 0.2), FALSE};
    PwArranged out;
    PwPlan plan = {trial % 2 == 0, trial % 3 == 0 ? PW_STACKED : PW_IN_ROW, PW_SIDE_RIGHT, 0, 0};
    if (!pw_arrange(&plan, wanted, 2, &a4, &heights, &out))
      continue;
    double ten[2];
    for (guint i = 0; i < 2; i++)
      ten[i] = 10 / wanted[i].mm_per_px * (out.boxes[i].width / wanted[i].width_px);
    assert_true(fabs(ten[0] - ten[1]) < 1e-9);
    assert_true(fabs(ten[0] - 10 * out.ratio) < 1e-9);
  }
}

static gboolean
overlap(double a0, double a1, double b0, double b1)
{
  return a0 < b1 - 1e-9 && b0 < a1 - 1e-9;
}

static void
check_page(const PwArranged *out, guint n, const PwMeasures *m)
{
  for (guint i = 0; i < n; i++) {
    const PwBox *box = &out->boxes[i];
    assert_true(box->x >= m->margin - 1e-9 &&
                box->x + box->width <= out->page_width - m->margin + 1e-9);
    assert_true(box->y >= heights.head - 1e-9 &&
                box->y + box->height + heights.caption <=
                    out->page_height - heights.scale - heights.below + 1e-9);
    for (guint j = 0; j < i; j++)
      assert_false(overlap(box->x, box->x + box->width, out->boxes[j].x,
                           out->boxes[j].x + out->boxes[j].width) &&
                   overlap(box->y, box->y + box->height, out->boxes[j].y,
                           out->boxes[j].y + out->boxes[j].height));
    for (guint s = 0; s < out->n_spaces; s++)
      assert_false(
          overlap(box->x, box->x + box->width, out->spaces[s].x,
                  out->spaces[s].x + out->spaces[s].width) &&
          overlap(box->y, box->y + box->height, out->spaces[s].top, out->spaces[s].bottom));
  }
  for (guint s = 0; s < out->n_spaces; s++)
    assert_true(out->spaces[s].x >= m->margin - 1e-9 &&
                out->spaces[s].x + out->spaces[s].width <= out->page_width - m->margin + 1e-9);
}

static PwPlan
plan_by_chance(Chance *chance, guint n)
{
  PwPlan plan = {.landscape = chance_int(chance, 0, 2) == 0};
  plan.arrangement = chance_int(chance, 0, 2) == 0 ? PW_STACKED : PW_IN_ROW;
  if (plan.arrangement == PW_STACKED)
    plan.side = (PwSide)chance_int(chance, 0, 3);
  else if (n >= 3)
    plan.table_mm = chance_int(chance, 0, 2) * 60.0;
  return plan;
}

static void
stays_on_the_page(void **state)
{
  (void)state;
  Chance chance = {11};
  guint arranged = 0;
  for (guint trial = 0; trial < 2000; trial++) {
    const PwMeasures *m = trial % 2 == 0 ? &a4 : &letter;
    guint n = 1 + trial % PW_MOST_PICTURES;
    PwWanted wanted[PW_MOST_PICTURES];
    for (guint i = 0; i < n; i++)
      wanted[i] = (PwWanted){chance_double(&chance, 300, 6000), chance_double(&chance, 300, 6000),
                             (chance_int(&chance, 0, 2) == 0) ? (double)NAN : 0.1, FALSE};
    wanted[n - 1].wordless = n > 2 && chance_int(&chance, 0, 2) == 0;
    PwArranged out;
    PwPlan plan = plan_by_chance(&chance, n);
    if (!pw_arrange(&plan, wanted, n, m, &heights, &out))
      continue;
    arranged++;
    check_page(&out, n, m);
  }
  print_message("# %u of 2000 arranged\n", arranged);
  assert_true(arranged > 1000);
}

/* What tells two apart stands between them, without a column, and no leader crosses it. */
static void
a_difference_stands_between(void **state)
{
  (void)state;
  PwWanted wanted[3] = {
      {2000, 3000, 0.1, FALSE}, {2000, 3000, 0.1, FALSE}, {2000, 3000, 0.1, TRUE}};
  PwArranged out;
  assert_true(
      pw_arrange(&(PwPlan){TRUE, PW_IN_ROW, PW_SIDE_RIGHT, 0, 0}, wanted, 3, &a4, &heights, &out));
  assert_int_equal(out.n_spaces, 2);
  assert_true(out.spaces[0].x < out.boxes[0].x && out.boxes[0].x < out.boxes[2].x);
  assert_true(out.boxes[2].x < out.boxes[1].x && out.boxes[1].x < out.spaces[1].x);
  assert_false(out.boxes[2].width < out.boxes[0].width);
  check_page(&out, 3, &a4);
}

/* Without a scale in one of them there is no common ratio, and both still fit. */
static void
no_scale_no_ratio(void **state)
{
  (void)state;
  PwWanted wanted[2] = {{3000, 4000, 0.1, FALSE}, {3000, 4000, (double)NAN, FALSE}};
  PwArranged out;
  assert_true(
      pw_arrange(&(PwPlan){TRUE, PW_IN_ROW, PW_SIDE_RIGHT, 0, 0}, wanted, 2, &a4, &heights, &out));
  assert_true(isnan(out.ratio));
  check_page(&out, 2, &a4);
}

/* A small crop is not blown up beyond what its pixels hold. */
static void
keeps_its_resolution(void **state)
{
  (void)state;
  for (guint scaled = 0; scaled < 2; scaled++) {
    PwWanted wanted = {300, 200, scaled == 1 ? 0.1 : (double)NAN, FALSE};
    PwArranged out;
    assert_true(pw_arrange(&(PwPlan){TRUE, PW_STACKED, PW_SIDE_RIGHT, 0, 0}, &wanted, 1, &a4,
                           &heights, &out));
    assert_true(300 / (out.boxes[0].width / 25.4) >= 140 - 1e-6);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pair_has_one_scale),          cmocka_unit_test(stays_on_the_page),
      cmocka_unit_test(a_difference_stands_between), cmocka_unit_test(no_scale_no_ratio),
      cmocka_unit_test(keeps_its_resolution),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
