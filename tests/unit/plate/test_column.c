/* Callouts in columns: none overlaps, none leaves its column, no two leaders cross. Marks are
 * strewn at random; a failure names the trial, whose figures come back with it. */
#include "plate/column.h"

#include "chance.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#define TRIALS 3000
#define MOST 24

/* Two columns with a picture each between them, as on a pair. */
static const PwColumn pair[2] = {{64, 0, 34, 32, 1}, {236, 0, 34, 32, 1}};
static const PwBox boxes[2] = {{68, 27, 78, 118}, {150, 27, 78, 118}};
static const PwGrid grid = {29, 3.7};

static guint
strew(Chance *chance, PwSlot *slots, gboolean crowded)
{
  guint n = (guint)chance_int(chance, 1, crowded ? MOST : 10);
  double spread = crowded ? 4 : 118;
  for (guint i = 0; i < n; i++) {
    guint column = (guint)chance_int(chance, 0, 2);
    const PwBox *box = &boxes[column];
    PwPaper anchor = {box->x + chance_double(chance, 0, 1) * box->width,
                      box->y + 50 + (chance_double(chance, 0, 1) - 0.42) * spread};
    anchor.y = CLAMP(anchor.y, box->y, box->y + box->height);
    slots[i] = (PwSlot){.column = column,
                        .family = (guint)chance_int(chance, 0, 6),
                        .lines = chance_int(chance, 1, 6),
                        .leads = chance_double(chance, 0, 1) < 0.85,
                        .anchor = anchor,
                        .wanted = (anchor.y - grid.origin_mm) / grid.step_mm};
  }
  return n;
}

static void
check_trial(const PwSlot *slots, guint n, guint trial)
{
  for (guint i = 0; i < n; i++) {
    const PwColumn *column = &pair[slots[i].column];
    if (slots[i].line < column->first || slots[i].line + slots[i].lines > column->end)
      fail_msg("trial %u: callout %u leaves its column", trial, i);
    if (slots[i].leads && slots[i].line > column->last_start)
      fail_msg("trial %u: leader %u starts below the picture", trial, i);
    for (guint j = 0; j < i; j++) {
      if (pw_slots_cross(&slots[i], &slots[j], pair, &grid))
        fail_msg("trial %u: leaders %u and %u cross", trial, j, i);
      if (slots[i].column == slots[j].column && slots[i].line <= slots[j].line + slots[j].lines &&
          slots[j].line <= slots[i].line + slots[i].lines)
        fail_msg("trial %u: callouts %u and %u have no blank line between", trial, j, i);
    }
  }
}

static void
never_crosses_or_overlaps(void **state)
{
  (void)state;
  Chance chance = {5};
  guint placed = 0;
  for (guint trial = 0; trial < TRIALS; trial++) {
    PwSlot slots[MOST];
    guint n = strew(&chance, slots, trial % 2 == 1);
    if (!pw_slots_fit(slots, n, pair, 2))
      continue;
    placed++;
    pw_slots_place(slots, n, pair, 2, &grid);
    check_trial(slots, n, trial);
  }
  print_message("# %u of %u trials fitted\n", placed, TRIALS);
  assert_true(placed > TRIALS / 4);
}

/* The same damage, at the same place in both pictures, stands level. */
static void
families_stand_level(void **state)
{
  (void)state;
  PwSlot slots[4] = {
      {.column = 0, .family = 1, .lines = 4, .leads = TRUE, .anchor = {90, 60}, .wanted = 8.4},
      {.column = 0, .family = 2, .lines = 3, .leads = TRUE, .anchor = {100, 62}, .wanted = 9},
      {.column = 1, .family = 1, .lines = 2, .leads = TRUE, .anchor = {180, 61}, .wanted = 8.6},
      {.column = 1, .family = 2, .lines = 6, .leads = TRUE, .anchor = {190, 63}, .wanted = 9.2},
  };
  assert_true(pw_slots_fit(slots, 4, pair, 2));
  pw_slots_place(slots, 4, pair, 2, &grid);
  assert_int_equal(slots[0].line, slots[2].line);
  assert_int_equal(slots[1].line, slots[3].line);
  check_trial(slots, 4, 0);
}

/* What is alone stands level with its mark. */
static void
stands_where_it_wishes(void **state)
{
  (void)state;
  PwSlot slot = {.column = 0, .lines = 3, .leads = TRUE, .anchor = {90, 29 + 7 * 3.7}, .wanted = 7};
  pw_slots_place(&slot, 1, pair, 2, &grid);
  assert_int_equal(slot.line, 7);
}

static void
says_when_there_is_no_room(void **state)
{
  (void)state;
  PwSlot slots[9];
  for (guint i = 0; i < 9; i++)
    slots[i] = (PwSlot){.lines = 3, .leads = TRUE, .anchor = {90, 30 + i}, .wanted = i};
  assert_true(pw_slots_fit(slots, 8, pair, 2));
  assert_false(pw_slots_fit(slots, 9, pair, 2));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(never_crosses_or_overlaps),
      cmocka_unit_test(families_stand_level),
      cmocka_unit_test(stands_where_it_wishes),
      cmocka_unit_test(says_when_there_is_no_room),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
