/* Mean colour inside marks, before and after, and how far it differs everywhere, on pictures of
 * which every colour is known: patches on a grained ground, the after one shifted and its grain
 * another's. What the difference must be comes from Little CMS: its sRGB, its Lab under D50, its
 * CIEDE2000.
 */
#include <platewright/pair.h>

#include "bench.h"

#include <lcms2.h>
#include <math.h>
#include <string.h>
#include <vips/vips.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

enum { WIDTH = 900, HEIGHT = 700, SHIFT_X = 14, SHIFT_Y = 9 };
/* What is left of the ground's grain in a mean, and of sRGB's eight bits. */
static const double MEAN = 0.15;

typedef struct {
  guint8 rgb[3];
} Colour;
static const Colour BARE = {{196, 170, 132}}, FILLED = {{96, 58, 40}}, HOLE = {{20, 90, 200}};

typedef struct {
  int left, top, right, bottom;
  Colour colour;
} Patch;

/* Grain that is the ground's own, wherever it lies in the picture: four by four px a grain. */
static int
grain(int x, int y)
{
  guint32 n = (guint32)(x / 4) * 73856093u ^ (guint32)(y / 4) * 19349663u;
  n = (n ^ n >> 13) * 1274126177u;
  return (int)((n ^ n >> 16) & 63) - 32;
}

static void
paint(Bench *bench, const char *name, int dx, int dy, const Patch *patches, gsize n)
{
  g_autofree guint8 *pixels = g_malloc((gsize)3 * WIDTH * HEIGHT);
  g_autofree char *path = g_build_filename(bench->folder, name, NULL);
  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++) {
      guint8 *p = pixels + 3 * ((gsize)y * WIDTH + (gsize)x);
      int level = 120 + grain(x + dx + 200, y + dy + 200);
      p[0] = p[1] = p[2] = (guint8)level;
      for (gsize i = 0; i < n; i++)
        if (x + dx >= patches[i].left && x + dx < patches[i].right && y + dy >= patches[i].top &&
            y + dy < patches[i].bottom)
          memcpy(p, patches[i].colour.rgb, 3);
    }
  VipsImage *image = vips_image_new_from_memory(pixels, (gsize)3 * WIDTH * HEIGHT, WIDTH, HEIGHT, 3,
                                                VIPS_FORMAT_UCHAR);
  assert_int_equal(vips_pngsave(image, path, NULL), 0);
  g_object_unref(image);
}

static double
lcms_difference(Colour a, Colour b)
{
  cmsHPROFILE srgb = cmsCreate_sRGBProfile(), lab = cmsCreateLab4Profile(NULL);
  cmsHTRANSFORM way = cmsCreateTransform(srgb, TYPE_RGB_8, lab, TYPE_Lab_DBL,
                                         INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
  cmsCIELab labs[2];
  cmsDoTransform(way, a.rgb, &labs[0], 1);
  cmsDoTransform(way, b.rgb, &labs[1], 1);
  cmsDeleteTransform(way);
  cmsCloseProfile(srgb);
  cmsCloseProfile(lab);
  return cmsCIE2000DeltaE(&labs[0], &labs[1], 1, 1, 1);
}

#define SIDE "photo: {size: 900 x 700}\nview: front board\n"
/* The whole face, so that what was not treated outweighs the mark. */
#define FACE "surface: \"10,10 890,10 890,690 10,690\"\n"
#define TIES                                                                               \
  "ties: [{here: \"86,91\", there: \"100,100\"}, {here: \"786,91\", there: \"800,100\"}, " \
  "{here: \"786,591\", there: \"800,600\"}, {here: \"86,591\", there: \"100,600\"}]\n"
#define OUTLINE "outline: \"305,205 495,205 495,395 305,395\""

static void
write_side(Bench *bench, const char *name, const char *stage, const char *light, const char *more)
{
  g_autofree char *sidecar = g_strconcat(name, ".yaml", NULL);
  g_autofree char *text = g_strconcat("format: platewright-photo 1\n" SIDE "stage: ", stage, "\n",
                                      light, strcmp(stage, "before") == 0 ? FACE : "", more, NULL);
  bench_write(bench, sidecar, text);
}

/* A loss that has a hole, filled afterwards. */
static void
paint_both(Bench *bench)
{
  const Patch before[] = {{300, 200, 500, 400, BARE}, {350, 250, 400, 300, HOLE}};
  const Patch after[] = {{300, 200, 500, 400, FILLED}, {350, 250, 400, 300, BARE}};
  bench_volume(bench, "volume: {id: COLOUR}\n");
  paint(bench, "b.png", 0, 0, before, 2);
  paint(bench, "a.png", SHIFT_X, SHIFT_Y, after, 2);
}

static double
colour_of_change(Bench *bench)
{
  bench_open_pictures(bench, 0);
  assert_int_equal(pw_model_n_changes(bench->model), 1);
  g_autofree double *colours = pw_model_dup_colour_changes(bench->model, NULL);
  return colours[0];
}

/* ---- Told -------------------------------------------------------------------------- */

#define BEFORE_MARK                                         \
  "marks:\n  - {id: 1, term: loss, part: leather, " OUTLINE \
  ", holes: [\"346,246 404,246 404,304 346,304\"]}\n"
#define AFTER_MARK \
  "marks:\n  - {id: 1, term: loss, part: leather, earlier: \"b.png#1\", gone: yes}\n"

static void
a_filled_loss_has_the_fills_colour(void **state)
{
  Bench *bench = *state;
  paint_both(bench);
  write_side(bench, "b.png", "before", "light: normal\n", BEFORE_MARK);
  write_side(bench, "a.png", "after", "light: normal\n", TIES AFTER_MARK);
  double wanted = lcms_difference(BARE, FILLED);
  double first = colour_of_change(bench);
  print_message("# %.3f, by Little CMS %.3f\n", first, wanted);
  bench_assert_near(first, wanted, MEAN);
  g_autofree double *again = pw_model_dup_colour_changes(bench->model, NULL);
  bench_assert_near(again[0], first, 0); /* out of the cache, to the last digit */
}

static void
what_was_not_treated_has_not_changed(void **state)
{
  Bench *bench = *state;
  const Patch none[] = {{0, 0, 0, 0, BARE}};
  bench_volume(bench, "volume: {id: COLOUR}\n");
  paint(bench, "b.png", 0, 0, none, 1);
  paint(bench, "a.png", SHIFT_X, SHIFT_Y, none, 1);
  write_side(bench, "b.png", "before", "light: normal\n",
             "marks:\n  - {id: 1, term: stain, part: leather, " OUTLINE "}\n");
  write_side(bench, "a.png", "after", "light: normal\n",
             TIES "marks:\n  - {id: 1, term: stain, part: leather, earlier: \"b.png#1\", " OUTLINE
                  "}\n");
  assert_true(colour_of_change(bench) < MEAN);
}

static void
told_without_a_word_of_how_after_lies_where_features_are_known(void **state)
{
  Bench *bench = *state;
  paint_both(bench);
  write_side(bench, "b.png", "before", "light: normal\n", BEFORE_MARK);
  write_side(bench, "a.png", "after", "light: normal\n", AFTER_MARK);
  double told = colour_of_change(bench);
  if (pw_align_knows_features())
    bench_assert_near(told, lcms_difference(BARE, FILLED), MEAN);
  else
    assert_true(isnan(told));
}

/* ---- Not told ---------------------------------------------------------------------- */

static void
assert_not_told(Bench *bench, const char *light_before, const char *light_after, const char *before,
                const char *after)
{
  paint_both(bench);
  write_side(bench, "b.png", "before", light_before, before);
  write_side(bench, "a.png", "after", light_after, after);
  assert_true(isnan(colour_of_change(bench)));
}

static void
not_where_one_light_rakes(void **state)
{
  assert_not_told(*state, "light: normal\n", "light: raking from left\n", BEFORE_MARK,
                  TIES AFTER_MARK);
}

static void
not_where_neither_light_is_normal(void **state)
{
  assert_not_told(*state, "light: raking from left\n", "light: raking from left\n", BEFORE_MARK,
                  TIES AFTER_MARK);
}

static void
not_where_light_is_not_said(void **state)
{
  assert_not_told(*state, "light: normal\n", "", BEFORE_MARK, TIES AFTER_MARK);
}

static void
not_on_a_curved_surface(void **state)
{
  assert_not_told(*state, "light: normal\nshape: curved\n", "light: normal\n", BEFORE_MARK,
                  TIES AFTER_MARK);
}

static void
not_on_another_level(void **state)
{
  assert_not_told(*state, "light: normal\n", "light: normal\n",
                  "marks:\n  - {id: 1, term: loss, part: leather, plane-offset: 9, " OUTLINE "}\n",
                  TIES AFTER_MARK);
}

static void
not_of_a_line(void **state)
{
  assert_not_told(
      *state, "light: normal\n", "light: normal\n",
      "marks:\n  - {id: 1, term: tear, part: leather, line: \"305,205 495,205 495,395 305,395\"}\n",
      TIES "marks:\n  - {id: 1, term: tear, part: leather, earlier: \"b.png#1\", gone: "
           "yes}\n");
}

/* Ties, and another surface. */
static void
not_where_after_is_refused(void **state)
{
  Bench *bench = *state;
  const Patch before[] = {{300, 200, 500, 400, BARE}};
  bench_volume(bench, "volume: {id: COLOUR}\n");
  paint(bench, "b.png", 0, 0, before, 1);
  paint(bench, "a.png", 5000, 3000, before, 1);
  write_side(bench, "b.png", "before", "light: normal\n", BEFORE_MARK);
  write_side(bench, "a.png", "after", "light: normal\n", TIES AFTER_MARK);
  assert_true(isnan(colour_of_change(bench)));
}

static void
not_where_after_does_not_reach(void **state)
{
  assert_not_told(*state, "light: normal\n", "light: normal\n",
                  "marks:\n  - {id: 1, term: loss, part: leather, outline: \"2,2 200,2 200,200 "
                  "2,200\"}\n",
                  TIES AFTER_MARK);
}

static void
not_between_flash_and_none(void **state)
{
  (void)state;
  PwSidecar side = {.light = (char *)"normal"};
  PwModelPhoto before = {.sidecar = &side, .facts = {.flash = 0}};
  PwModelPhoto after = {.sidecar = &side, .facts = {.flash = 1}};
  assert_int_equal(pw_colours_of(&before, &after), PW_COLOURS_LAMPS);
  after.facts.flash = -1;
  assert_int_equal(pw_colours_of(&before, &after), PW_COLOURS_COMPARE);
}

/* ---- Everywhere -------------------------------------------------------------------- */

/* px of the level's picture to two of the photograph before. */
enum { SMALL_WIDTH = WIDTH / 2, SMALL_HEIGHT = HEIGHT / 2 };
/* Grain that a square of 9 x 9 px leaves in a mean, told in levels of a quarter. */
static const double SQUARE_MEAN = 0.5;

/* The whole of the photograph before. Where after lies is known: nothing is laid. */
static void
find_levels(Bench *bench, PwAudience audience, PwPlane *levels)
{
  PwHomography to_frame = {{1, 0, SHIFT_X, 0, 1, SHIFT_Y, 0, 0, 1}};
  PwRender render = {.crop_width = WIDTH,
                     .crop_height = HEIGHT,
                     .width = SMALL_WIDTH,
                     .height = SMALL_HEIGHT,
                     .to_frame = &to_frame};
  g_clear_pointer(&bench->model, pw_model_free);
  bench_open_pictures(bench, 0);
  assert_true(pw_model_difference(bench->model, pw_model_find_photo(bench->model, "b.png"),
                                  pw_model_find_photo(bench->model, "a.png"), &render, audience,
                                  levels, NULL));
  assert_int_equal(levels->width, SMALL_WIDTH);
  assert_int_equal(levels->height, SMALL_HEIGHT);
  assert_int_equal(levels->channels, 1);
}

/* Of a loss with a hole, filled afterwards. */
static void
find_levels_of_fill(Bench *bench, PwPlane *levels)
{
  paint_both(bench);
  write_side(bench, "b.png", "before", "light: normal\n", "");
  write_side(bench, "a.png", "after", "light: normal\n", TIES);
  find_levels(bench, PW_FOR_STUDIO, levels);
}

/* At a px of the photograph before. */
static guint8
level_at(const PwPlane *levels, int x, int y)
{
  return levels->pixels[(gsize)(y / 2) * levels->stride + (gsize)(x / 2)];
}

/* Farther from the patch than half a square and what resampling draws in. */
static gboolean
is_untreated(int x, int y)
{
  return x < 300 - 12 || x >= 500 + 12 || y < 200 - 12 || y >= 400 + 12;
}

static void
difference_at_each_place_is_that_of_its_colours(void **state)
{
  Bench *bench = *state;
  PwPlane levels = {0};
  find_levels_of_fill(bench, &levels);
  double fill = level_at(&levels, 450, 350) / (double)PW_DIFFERENCE_LEVELS,
         hole = level_at(&levels, 375, 275) / (double)PW_DIFFERENCE_LEVELS;
  double most = fmin(lcms_difference(HOLE, BARE), 63.5);
  print_message("# fill %.2f, by Little CMS %.2f; hole %.2f, %.2f\n", fill,
                lcms_difference(BARE, FILLED), hole, most);
  bench_assert_near(fill, lcms_difference(BARE, FILLED), 0.5 / PW_DIFFERENCE_LEVELS);
  bench_assert_near(hole, most, 0.5 / PW_DIFFERENCE_LEVELS);
  guint8 most_outside = 0;
  for (int y = 24; y < HEIGHT - 24; y += 2)
    for (int x = 24; x < WIDTH - 24; x += 2)
      if (is_untreated(x, y))
        most_outside = MAX(most_outside, level_at(&levels, x, y));
  print_message("# outside both at most %d quarters\n", most_outside);
  assert_true(most_outside <= SQUARE_MEAN * PW_DIFFERENCE_LEVELS);
  pw_plane_clear(&levels);
}

/* Beyond the face, which is 10 px within before, and beyond after, which lies shifted. */
static void
nothing_is_compared_beyond_the_face_or_the_other_picture(void **state)
{
  Bench *bench = *state;
  PwPlane levels = {0};
  find_levels_of_fill(bench, &levels);
  assert_int_equal(level_at(&levels, 8, 350), PW_DIFFERENCE_NONE); /* left of after */
  assert_int_equal(level_at(&levels, 450, 8), PW_DIFFERENCE_NONE);
  assert_int_equal(level_at(&levels, 892, 350), PW_DIFFERENCE_NONE); /* right of the face */
  assert_int_equal(level_at(&levels, 450, 692), PW_DIFFERENCE_NONE);
  assert_int_not_equal(level_at(&levels, 886, 350), PW_DIFFERENCE_NONE);
  assert_int_not_equal(level_at(&levels, 450, 686), PW_DIFFERENCE_NONE);
  assert_int_not_equal(level_at(&levels, 28, 22), PW_DIFFERENCE_NONE);
  pw_plane_clear(&levels);
}

/* Whoever may not see a place sees no difference there, from whichever photograph it is hidden. */
static void
what_is_covered_is_not_compared(void **state)
{
  static const char mark[] =
      "marks:\n  - {id: 1, term: inscription, part: leather, private: yes, " OUTLINE "}\n";
  Bench *bench = *state;
  for (int i = 0; i < 2; i++) {
    PwPlane studio = {0}, public = {0};
    paint_both(bench);
    write_side(bench, "b.png", "before", "light: normal\n", i == 0 ? mark : "");
    g_autofree char *after = g_strconcat(TIES, i == 1 ? mark : "", NULL);
    write_side(bench, "a.png", "after", "light: normal\n", after);
    find_levels(bench, PW_FOR_STUDIO, &studio);
    find_levels(bench, PW_FOR_PUBLIC, &public);
    for (int y = 212; y < 392; y += 2)
      for (int x = 312; x < 492; x += 2) {
        assert_int_equal(level_at(&public, x, y), PW_DIFFERENCE_NONE);
        assert_int_not_equal(level_at(&studio, x, y), PW_DIFFERENCE_NONE);
      }
    for (int y = 24; y < HEIGHT - 24; y += 2) /* nor does its colour reach into what is */
      for (int x = 24; x < WIDTH - 24; x += 2)
        if (is_untreated(x, y) && level_at(&public, x, y) != PW_DIFFERENCE_NONE)
          assert_true(level_at(&public, x, y) <= SQUARE_MEAN * PW_DIFFERENCE_LEVELS);
    assert_int_not_equal(level_at(&public, 200, 300), PW_DIFFERENCE_NONE);
    pw_plane_clear(&studio);
    pw_plane_clear(&public);
  }
}

static void
a_size_that_the_crop_does_not_hold_is_refused(void **state)
{
  Bench *bench = *state;
  PwPlane levels = {0};
  g_autoptr(GError) error = NULL;
  PwHomography to_frame = {{1, 0, SHIFT_X, 0, 1, SHIFT_Y, 0, 0, 1}};
  PwRender render = {
      .crop_width = 100, .crop_height = 100, .width = 200, .height = 200, .to_frame = &to_frame};
  paint_both(bench);
  write_side(bench, "b.png", "before", "light: normal\n", "");
  write_side(bench, "a.png", "after", "light: normal\n", TIES);
  bench_open_pictures(bench, 0);
  assert_false(pw_model_difference(bench->model, pw_model_find_photo(bench->model, "b.png"),
                                   pw_model_find_photo(bench->model, "a.png"), &render,
                                   PW_FOR_STUDIO, &levels, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_null(levels.pixels);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, bench_begin, bench_end)

int
main(void)
{
  const struct CMUnitTest tests[] = {
      TEST(a_filled_loss_has_the_fills_colour),
      TEST(what_was_not_treated_has_not_changed),
      TEST(told_without_a_word_of_how_after_lies_where_features_are_known),
      TEST(not_where_one_light_rakes),
      TEST(not_where_neither_light_is_normal),
      TEST(not_where_light_is_not_said),
      TEST(not_on_a_curved_surface),
      TEST(not_on_another_level),
      TEST(not_of_a_line),
      TEST(not_where_after_is_refused),
      TEST(not_where_after_does_not_reach),
      cmocka_unit_test(not_between_flash_and_none),
      TEST(difference_at_each_place_is_that_of_its_colours),
      TEST(nothing_is_compared_beyond_the_face_or_the_other_picture),
      TEST(what_is_covered_is_not_compared),
      TEST(a_size_that_the_crop_does_not_hold_is_refused),
  };
  return cmocka_run_group_tests(tests, bench_photo_begin, bench_photo_end);
}
