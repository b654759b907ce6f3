/* Which parts of two photographs decide how one lies over the other, as their texts say it: on
 * pictures of grain whose shift is known, and whose parts have moved elsewhere or were treated. */
#include <platewright/pair.h>

#include "bench.h"

#include <math.h>
#include <vips/vips.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

enum { WIDTH = 900, HEIGHT = 700, SHIFT_X = 14, SHIFT_Y = 9, GRAIN = 4 };
/* Of bytes that are the same but for their place; who follows what has moved is 10 px off. */
#define MOST_PX 0.3

/* -32 to 31: one level for GRAIN by GRAIN px, wherever they lie in the picture. */
static int
grain(int x, int y, guint32 seed)
{
  guint32 n = (guint32)((x + 400) / GRAIN) * 73856093u ^ (guint32)((y + 400) / GRAIN) * 19349663u;
  n = ((n + seed) ^ n >> 13) * 1274126177u;
  return (int)((n ^ n >> 16) & 63) - 32;
}

static gboolean
is_in(int x, int y, int left, int top, int width, int height)
{
  return x >= left && y >= top && x < left + width && y < top + height;
}

/* The surface at a place, px of before. */
typedef int (*Surface)(int x, int y, gboolean after);

static void
paint(Bench *bench, const char *name, Surface surface, gboolean after)
{
  g_autofree guint8 *pixels = g_malloc((gsize)WIDTH * HEIGHT);
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      pixels[y * WIDTH + x] =
          (guint8)surface(x + (after ? SHIFT_X : 0), y + (after ? SHIFT_Y : 0), after);
  VipsImage *image = vips_image_new_from_memory(pixels, (gsize)WIDTH * HEIGHT, WIDTH, HEIGHT, 1,
                                                VIPS_FORMAT_UCHAR);
  assert_int_equal(vips_pngsave(image, path, NULL), 0);
  g_object_unref(image);
}

#define HEAD "format: platewright-photo 1\nphoto: {size: 900 x 700}\nview: front board\n"
#define TIES                                                                               \
  "ties: [{here: \"88,91\", there: \"100,100\"}, {here: \"786,94\", there: \"800,100\"}, " \
  "{here: \"784,591\", there: \"800,600\"}, {here: \"86,589\", there: \"100,600\"}]\n"

static PwPair *
lay(Bench *bench, Surface surface, const char *before, const char *after)
{
  g_autofree char *of_before = g_strconcat(HEAD "stage: before\n", before, NULL);
  g_autofree char *of_after = g_strconcat(HEAD "stage: after\n", after, NULL);
  g_autoptr(GError) error = NULL;
  bench_volume(bench, "volume: {id: PAIR}\n");
  paint(bench, "b.png", surface, FALSE);
  paint(bench, "a.png", surface, TRUE);
  bench_write(bench, "b.png.yaml", of_before);
  bench_write(bench, "a.png.yaml", of_after);
  bench_open_pictures(bench, 0);
  const PwModelPlate *plate = pw_model_peek_plate(bench->model, 0);
  PwPair *pair = pw_pair_new(bench->model, plate->before, plate->after, &error);
  assert_non_null(pair);
  return pair;
}

static void
assert_laid(const PwPair *pair)
{
  double worst = 0;
  for (int i = 0; pair->is_laid && i < 4; i++) {
    double x = i % 2 ? WIDTH : 0, y = i / 2 ? HEIGHT : 0, to_x, to_y;
    pw_homography_apply(&pair->alignment.h, x, y, &to_x, &to_y);
    worst = MAX(worst, hypot(to_x - x - SHIFT_X, to_y - y - SHIFT_Y));
  }
  print_message("# from %s: %.3f px at worst, agreement %.2f, overlap %.2f%s%s\n",
                pw_pair_start_name(pair->start), worst, pair->alignment.agreement,
                pair->alignment.overlap, pair->why ? ": " : "", pair->why ? pair->why : "");
  assert_true(pair->is_laid);
  assert_true(worst < MOST_PX);
}

/* ---- Treated ----------------------------------------------------------------------------- */

static int
treated_in_the_middle(int x, int y, gboolean after)
{
  return 120 + grain(x, y, after && is_in(x, y, 250, 200, 400, 300) ? 7 : 0);
}

static void
what_lies_round_a_mark_that_was_treated_all_over_decides(void **state)
{
  g_autoptr(PwPair) pair =
      lay(*state, treated_in_the_middle,
          "marks:\n  - {id: 1, term: loss, part: leather, outline: \"250,200 650,200 650,500 "
          "250,500\"}\n",
          TIES "marks:\n  - {id: 1, term: loss, part: leather, earlier: \"b.png#1\", gone: yes}\n");
  assert_laid(pair);
  assert_int_equal(pair->start, PW_START_TIES);
}

/* ---- A card beside ------------------------------------------------------------------------ */

#define RECTANGLE(corners) \
  "scale: {rectangle: {corners: \"" corners "\", width: 85.6, height: 54}, plane-offset: 0}\n"

/* A bare board, and a card that was laid elsewhere; both have a place in px of before. */
static int
bare_with_a_card(int x, int y, gboolean after)
{
  int left = after ? 150 : 560, top = after ? 120 : 480;
  if (is_in(x, y, left, top, 214, 135))
    return 128 + 3 * grain(x - left, y - top, 3);
  return 120 + grain(x, y, 0) / 8;
}

static void
a_card_by_its_rectangle_is_looked_past(void **state)
{
  g_autoptr(PwPair) pair =
      lay(*state, bare_with_a_card, RECTANGLE("560,480 774,480 774,615 560,615"),
          RECTANGLE("136,111 350,111 350,246 136,246"));
  assert_laid(pair);
  assert_int_equal(pair->start, PW_START_SCALES); /* which the card outvotes, else */
}

/* Nothing but what lies in the rectangle tells one place from another. */
static int
a_leaf_on_white(int x, int y, gboolean after)
{
  (void)after;
  return is_in(x, y, 200, 150, 380, 370) ? 120 + grain(x, y, 0) : 240;
}
static int
a_larger_leaf_on_white(int x, int y, gboolean after)
{
  (void)after;
  return is_in(x, y, 200, 150, 500, 400) ? 120 + grain(x, y, 0) : 240;
}

static void
a_rectangle_with_marks_in_it_is_no_card(void **state)
{
  g_autoptr(PwPair) pair =
      lay(*state, a_leaf_on_white,
          RECTANGLE("200,150 580,150 580,520 200,520") "marks:\n  - {id: 1, term: tear, part: "
                                                       "leaf, line: \"220,160 560,500\"}\n",
          TIES);
  assert_laid(pair);
}

static void
a_rectangle_that_fills_the_picture_is_no_card(void **state)
{
  g_autoptr(PwPair) pair =
      lay(*state, a_larger_leaf_on_white, RECTANGLE("200,150 700,150 700,550 200,550"), TIES);
  assert_laid(pair);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(what_lies_round_a_mark_that_was_treated_all_over_decides),
      TEST(a_card_by_its_rectangle_is_looked_past),
      TEST(a_rectangle_with_marks_in_it_is_no_card),
      TEST(a_rectangle_that_fills_the_picture_is_no_card),
  };
  return cmocka_run_group_tests(tests, bench_photo_begin, bench_photo_end);
}
