/* Cards are found where they lie, by synthetic photographs of which all is known: FINDINGS 3 has
 * the manner and what a prototype reached.
 */
#include "scene.h"
#include "card/see.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>
#include <cmocka.h>

enum { SCENES = 160, WIDTH = 6000, HEIGHT = 4000 };
/* What the brief asks of cards from a tenth of the picture's width on, in per cent. */
static const double SCALE_MEDIAN = 0.02, SCALE_MAX = 0.1;
/* FINDINGS 3 has 0.065 to 0.089 px. A shift that leaves the scale alone is seen by this only. */
static const double CORNER_RMS_PX = 0.1;

static PwFound
find(const PwPlane *plane)
{
  PwFound found;
  g_autoptr(GError) error = NULL;
  if (!pw_card_find(plane, &found, &error))
    fail_msg("%s", error->message);
  return found;
}

/* ---- 160 scenes -------------------------------------------------------------------- */

typedef struct {
  guint n, found, whole;
  double scale_errors[SCENES], corner_sum, corner_max;
  guint n_corners;
} Tally;

static PwPx
centre_of(PwCardSize size, const PwHomography *to_px)
{
  const PwCardDesign *design = pw_card_design(size);
  PwPx at;
  pw_homography_apply(to_px, design->width_mm / 2, design->height_mm / 2, &at.x, &at.y);
  return at;
}

static void
count_card(const PwFoundCard *card, const PwHomography *to_px, Tally *tally)
{
  PwHomography to_mm;
  PwPx centre = centre_of(card->size, to_px);
  pw_homography_invert(to_px, &to_mm);
  double error = scene_mm_per_px(&card->h, centre) / scene_mm_per_px(&to_mm, centre) - 1;
  tally->scale_errors[tally->found++] = 100 * fabs(error);
  tally->whole += card->n_tags == pw_card_design(card->size)->n_tags ? 1 : 0;
  for (gsize i = 0; i < card->n; i++) {
    double x, y;
    pw_homography_apply(to_px, card->mm[i].x, card->mm[i].y, &x, &y);
    double off = hypot(x - card->px[i].x, y - card->px[i].y);
    tally->corner_sum += off * off;
    tally->corner_max = fmax(tally->corner_max, off);
    tally->n_corners++;
  }
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static void
print_tally(Tally *tally, double of_width)
{
  qsort(tally->scale_errors, tally->found, sizeof(double), compare_doubles);
  print_message("# cards of %.0f %% of the width: %u of %u found, %u whole; scale off by %.4f %% "
                "(median), %.4f %% (most); corners %.3f px RMS, %.3f px (most)\n",
                100 * of_width, tally->found, tally->n, tally->whole,
                tally->scale_errors[tally->found / 2], tally->scale_errors[tally->found - 1],
                sqrt(tally->corner_sum / tally->n_corners), tally->corner_max);
}

static void
scenes_of_cards(void **state G_GNUC_UNUSED)
{
  static const double parts[] = {0.05, 0.10, 0.15};
  Tally tallies[G_N_ELEMENTS(parts)] = {0};
  PwPlane table = scene_table(WIDTH, HEIGHT, 11);
  Chance chance = {160};
  for (guint i = 0; i < SCENES; i++) {
    gsize part = i % G_N_ELEMENTS(parts);
    PwCardSize size = i / 3 % 2 == 0 ? PW_CARD_ID1 : PW_CARD_A6;
    int copy = (int)i % pw_card_design(size)->n_copies;
    Scene scene = scene_by_chance(&chance, size, copy, parts[part], WIDTH);
    PwPlane plane = scene_dup_plane(&table);
    PwHomography to_px;
    scene_draw(&scene, &chance, &plane, &to_px);
    PwFound found = find(&plane);
    tallies[part].n++;
    assert_true(found.n_cards <= 1);
    if (found.n_cards == 1) {
      assert_int_equal(found.cards[0].size, size);
      assert_int_equal(found.cards[0].copy, copy);
      count_card(&found.cards[0], &to_px, &tallies[part]);
    }
    pw_found_clear(&found);
    pw_plane_clear(&plane);
  }
  pw_plane_clear(&table);
  for (gsize part = 0; part < G_N_ELEMENTS(parts); part++) {
    Tally *tally = &tallies[part];
    print_tally(tally, parts[part]);
    assert_true(sqrt(tally->corner_sum / tally->n_corners) < CORNER_RMS_PX);
    if (parts[part] < 0.0999)
      continue;
    assert_int_equal(tally->found, tally->n);
    assert_true(tally->scale_errors[tally->found / 2] < SCALE_MEDIAN);
    assert_true(tally->scale_errors[tally->found - 1] < SCALE_MAX);
  }
}

/* ---- Small tags -------------------------------------------------------------------- */

enum { SMALL_SCENES = 40, SMALL_WIDTH = 1200, SMALL_HEIGHT = 900 };
/* test_see.c needs it: corners that others publish unrefined lie further off than ours. Two other
 * draws of 60 scenes gave 0.088 px against 0.177, and tilted by 35 to 60 degrees 0.153 against
 * 0.218. */
static const double PART_OF_UNREFINED = 0.6;

typedef struct {
  double sum;
  guint n;
} Off;

static void
add_seen(const PwPlane *plane, gboolean refine, const PwHomography *to_px, Off *off)
{
  const PwTagWay way = {.decimation = 1, .refine = refine};
  const PwCardDesign *design = pw_card_design(PW_CARD_ID1);
  g_autoptr(GArray) tags = g_array_new(FALSE, FALSE, sizeof(PwSeenTag));
  pw_tags_see(plane, &way, tags);
  for (guint i = 0; i < tags->len; i++) {
    const PwTag *tag = &g_array_index(tags, PwSeenTag, i).tag;
    int number = tag->id - design->first_id;
    for (int k = 0; number >= 0 && number < design->n_tags && k < 4; k++, off->n++) {
      PwMm mm = pw_card_corner(PW_CARD_ID1, number, k);
      double x, y;
      pw_homography_apply(to_px, mm.x, mm.y, &x, &y);
      off->sum += pow(x - tag->corners[k].x, 2) + pow(y - tag->corners[k].y, 2);
    }
  }
}

/* Tags of 28 to 45 px. */
static void
corners_of_small_tags_gain_by_refinement(void **state G_GNUC_UNUSED)
{
  const PwCardDesign *design = pw_card_design(PW_CARD_ID1);
  PwPlane table = scene_table(SMALL_WIDTH, SMALL_HEIGHT, 11);
  Chance chance = {28};
  Off refined = {0}, plain = {0};
  for (int i = 0; i < SMALL_SCENES; i++) {
    double width_px = chance_between(&chance, 28, 45) * design->width_mm / design->tag_mm;
    Scene scene = scene_by_chance(&chance, PW_CARD_ID1, 0, width_px / SMALL_WIDTH, SMALL_WIDTH);
    PwPlane plane = scene_dup_plane(&table);
    PwHomography to_px;
    scene_draw(&scene, &chance, &plane, &to_px);
    add_seen(&plane, TRUE, &to_px, &refined);
    add_seen(&plane, FALSE, &to_px, &plain);
    pw_plane_clear(&plane);
  }
  pw_plane_clear(&table);
  double rms = sqrt(refined.sum / refined.n), rms_plain = sqrt(plain.sum / plain.n);
  print_message("# %u corners of small tags: %.3f px RMS, unrefined %.3f\n", refined.n, rms,
                rms_plain);
  assert_true(refined.n >= 15 * SMALL_SCENES);
  assert_true(rms < CORNER_RMS_PX);
  assert_true(rms < PART_OF_UNREFINED * rms_plain);
}

static int
setup(void **state G_GNUC_UNUSED)
{
  return vips_init("test") == 0 ? 0 : -1;
}

static int
teardown(void **state G_GNUC_UNUSED)
{
  vips_shutdown();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(scenes_of_cards),
      cmocka_unit_test(corners_of_small_tags_gain_by_refinement),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
