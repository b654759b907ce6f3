/* A card's plane from corners that are known: what light that spills over every edge does to it. */
#include "card/fit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

enum { N_TAGS = 4 };
/* Tilted, turned and 8 px to the mm. */
static const PwHomography TO_PX = {{7.9, -0.9, 800, 1.1, 8.2, 600, 1e-4, -2e-4, 1}};

static PwPx
seen_at(PwMm mm)
{
  PwPx px;
  pw_homography_apply(&TO_PX, mm.x, mm.y, &px.x, &px.y);
  return px;
}

static PwPx
along(PwPx a, PwPx b)
{
  double length = hypot(b.x - a.x, b.y - a.y);
  return (PwPx){(b.x - a.x) / length, (b.y - a.y) / length};
}

/* The tags of a card whose edges lie `spill` px within where they were printed. The shift of a
 * corner is written down from the picture's edges, and not by the fit's own formula. */
static void
see_tags(PwCardSize size, double spill, PwTag *tags, int *numbers)
{
  for (int t = 0; t < N_TAGS; t++) {
    PwPx at[4];
    numbers[t] = t;
    for (int c = 0; c < 4; c++)
      at[c] = seen_at(pw_card_corner(size, t, c));
    for (int c = 0; c < 4; c++) {
      PwPx in = along(at[(c + 3) % 4], at[c]), out = along(at[c], at[(c + 1) % 4]);
      double turn = in.x * out.y - in.y * out.x;
      tags[t].corners[c] =
          (PwPx){at[c].x + spill * (out.x - in.x) / turn, at[c].y + spill * (out.y - in.y) / turn};
    }
  }
}

static void
spill_does_not_change_the_scale(void **state G_GNUC_UNUSED)
{
  static const PwCardSize sizes[] = {PW_CARD_ID1, PW_CARD_A6, PW_CARD_STRIP};
  for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++)
    for (double spill = -0.6; spill < 0.7; spill += 0.3) {
      PwTag tags[N_TAGS];
      int numbers[N_TAGS];
      PwFoundCard card;
      guint64 dropped;
      see_tags(sizes[i], spill, tags, numbers);
      assert_true(pw_card_fit(sizes[i], tags, numbers, N_TAGS, &card, &dropped));
      assert_int_equal(dropped, 0);
      assert_int_equal(card.n, 4 * N_TAGS);
      double worst = 0;
      for (int c = 0; c < 4; c++) {
        PwMm mm = {c % 2 * pw_card_design(sizes[i])->width_mm,
                   c / 2 * pw_card_design(sizes[i])->height_mm},
             back;
        PwPx px = seen_at(mm);
        pw_homography_apply(&card.h, px.x, px.y, &back.x, &back.y);
        worst = fmax(worst, hypot(back.x - mm.x, back.y - mm.y));
      }
      print_message("# %s, %+.1f px: corners of the card off by %.5f mm, fit %.4f px RMS\n",
                    pw_card_design(sizes[i])->name, spill, worst, card.rms_px);
      /* Without a word about spill: 0.03 mm on the strip and 0.4 px. */
      assert_true(worst < 0.002);
      assert_true(card.rms_px < 0.01);
      g_free(card.px);
      g_free(card.mm);
    }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(spill_does_not_change_the_scale),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
