/* Cards in painted pictures: which is nearest, how sure a scale is, what is told of a bent one. */
#include "../card/scene.h"
#include "../card/strip.h"
#include "bench.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <vips/vips.h>

#include <cmocka.h>

enum { WIDTH = 1200, HEIGHT = 800 };

#define CARDS                                                                       \
  "volume: {id: T-1}\nplane-offset: 0\ncards:\n"                                    \
  "  bench: {design: id1 a, check-along: 100, check-across: 100, tolerance: 0.1}\n" \
  "  second: {design: id1 b, check-along: 100, check-across: 100, tolerance: 0.1}\n"

static PwPlane
table(void)
{
  return scene_table(WIDTH, HEIGHT, 7);
}

static void
paint(PwPlane *plane, int copy, double x, double y, double of_width)
{
  Chance chance = {11};
  PwHomography to_px;
  Scene scene = scene_by_chance(&chance, PW_CARD_ID1, copy, of_width, WIDTH);
  scene.tilt_deg = scene.roll_deg = 0;
  scene.x = x;
  scene.y = y;
  scene.noise = 2;
  scene_draw(&scene, &chance, plane, &to_px);
}

/* Saves and frees the plane, and writes its sidecar. */
static void
photograph(Bench *bench, PwPlane *plane, const char *sidecar)
{
  g_autofree char *path = g_build_filename(bench->folder, "one.png", NULL);
  g_autofree char *text =
      g_strconcat("format: platewright-photo 1\nstage: before\n", sidecar, NULL);
  VipsImage *image = vips_image_new_from_memory(plane->pixels, plane->stride * (gsize)plane->height,
                                                plane->width, plane->height, 1, VIPS_FORMAT_UCHAR);
  assert_int_equal(plane->stride, plane->width);
  assert_int_equal(vips_pngsave(image, path, NULL), 0);
  g_object_unref(image);
  pw_plane_clear(plane);
  bench_write(bench, "one.png.yaml", text);
}

static const PwModelPhoto *
look(Bench *bench)
{
  bench_open_pictures(bench, 0);
  return pw_model_peek_photo(bench->model, 0);
}

/* ---- Tests ------------------------------------------------------------------------- */

static void
a_mark_of_any_kind_takes_the_card_nearest_to_its_middle(void **state)
{
  Bench *bench = *state;
  PwPlane plane = table();
  paint(&plane, 0, 300, 400, 0.25);
  paint(&plane, 1, 900, 400, 0.25);
  bench_volume(bench, CARDS);
  photograph(bench, &plane,
             "scale: {tags: [second, bench]}\nmarks:\n"
             "  - {id: 1, term: loss, outline: \"610,390 630,390 630,410 610,410\"}\n"
             "  - {id: 2, term: loss, outline: \"570,390 590,390 590,410 570,410\"}\n"
             "  - {id: 3, term: loss, outline: \"200,330 400,330 400,470 200,470\"}\n"
             "  - {id: 4, term: tear, line: \"500,100 800,100 900,700\"}\n"
             "  - {id: 5, term: wormhole, point: \"700,400\"}\n");
  const PwModelPhoto *photo = look(bench);
  static const char *const wanted[] = {"second", "bench", "bench", "second", "second"};
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
    assert_string_equal(photo->marks[i].card->name, wanted[i]);
  assert_ptr_equal(photo->scale, photo->cards[0].scale);
}

/* The doubt of where each card stands is its own, so that it does not cancel between them; the
 * lens and the distance of the camera are one. */
static void
two_cards_share_the_camera_and_the_hand(void **state)
{
  Bench *bench = *state;
  PwPlane plane = table();
  paint(&plane, 0, 300, 400, 0.25);
  paint(&plane, 1, 900, 400, 0.25);
  bench_volume(bench, CARDS);
  photograph(bench, &plane,
             "scale: {tags: [bench, second]}\nmarks:\n"
             "  - {id: 1, term: loss, outline: \"300,600 400,600 400,700 300,700\"}\n"
             "  - {id: 2, term: loss, outline: \"800,600 900,600 900,700 800,700\"}\n");
  const PwModelPhoto *photo = look(bench);
  const PwSize *a = &photo->marks[0].sizes.area_mm2, *b = &photo->marks[1].sizes.area_mm2;
  guint shared = 0, met[PW_N_INPUTS] = {0};
  for (gsize i = 0; i < a->n; i++) {
    met[a->contributions[i].input]++;
    for (gsize j = 0; j < b->n; j++) {
      const PwContribution *x = &a->contributions[i], *y = &b->contributions[j];
      if (x->input != y->input || x->scope != y->scope || x->owner != y->owner ||
          x->index != y->index)
        continue;
      assert_true(x->input == PW_INPUT_LENS || x->input == PW_INPUT_OUTLINING ||
                  x->input == PW_INPUT_DISTANCE);
      shared++;
    }
  }
  assert_int_equal(shared, 3);
  assert_true(met[PW_INPUT_TAG] && met[PW_INPUT_PRINT] && met[PW_INPUT_PLANE_OFFSET]);
}

/* 0.5 % of a rectangular doubt is 0.577 % at 95.45 % and k = 2; a millimetre of plane-offset in
 * front of a camera that is not known (500 mm, JCGM 100 5.1.2) adds 0.27 %. */
static void
what_the_printer_may_have_done_stands_in_the_doubt(void **state)
{
  Bench *bench = *state;
  PwPlane plane = table();
  paint(&plane, 0, 600, 400, 0.3);
  bench_volume(bench, "volume: {id: T-1}\nplane-offset: 0\nuncertainty: {plane-offset: 0.01}\n"
                      "cards: {bench: {design: id1 a}}\n");
  photograph(bench, &plane, "scale: {tags: bench}\n");
  const PwModelPhoto *photo = look(bench);
  print_message("# %.3f %%\n", photo->cards[0].doubt_percent);
  bench_assert_near(photo->cards[0].doubt_percent, 0.6, 0.06);
  assert_true(isnan(photo->cards[0].nearer_mm.value));
}

/* The right half of the card is pushed twelve px down. A plane passes through any four middles of
 * tags, so that only their slant in themselves tells: less than that says nothing. */
static void
a_card_that_does_not_lie_flat_is_told_in_px_and_mm(void **state)
{
  Bench *bench = *state;
  PwPlane plane = table(), pushed = table();
  paint(&plane, 0, 600, 400, 0.35);
  paint(&pushed, 0, 600, 412, 0.35);
  for (int y = 0; y < HEIGHT; y++)
    memcpy(plane.pixels + (gsize)y * plane.stride + WIDTH / 2,
           pushed.pixels + (gsize)y * pushed.stride + WIDTH / 2, WIDTH / 2);
  pw_plane_clear(&pushed);
  bench_volume(bench, CARDS);
  photograph(bench, &plane, "scale: {tags: bench}\n");
  const PwModelPhoto *photo = look(bench);
  const char *says = bench_complaint(bench, "card not flat");
  assert_non_null(says);
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  g_autofree char *px = pw_format_fixed(facts.fit_rms_px, 2);
  g_autofree char *mm = pw_format_fixed(facts.fit_rms_mm, 2);
  g_autofree char *wanted = g_strdup_printf("miss a plane by %s px (%s mm)", px, mm);
  print_message("# %s\n", says);
  assert_non_null(strstr(says, wanted));
}

static void
a_flat_card_is_not_complained_of(void **state)
{
  Bench *bench = *state;
  PwPlane plane = table();
  paint(&plane, 0, 600, 400, 0.35);
  bench_volume(bench, CARDS);
  photograph(bench, &plane, "scale: {tags: bench}\n");
  assert_non_null(look(bench)->scale);
  assert_int_equal(pw_complaints_n(bench->complaints), 0);
}

/* ---- Graduations ------------------------------------------------------------------- */

/* A ruler whose line is `length_mm` long, read with a camera 400 mm away; the line's end to the
 * right may be put elsewhere. `counted`: the part of its graduations that the eye found, 0: it did
 * not count. */
static const PwModelPhoto *
ruler(Bench *bench, double drift, const char *to, double counted)
{
  Strip strip;
  StripPicture picture;
  strip_init(&strip);
  strip.drift = drift;
  strip_draw(&strip, &picture);
  g_autofree char *end = g_strdup_printf("%.2f,%.2f", picture.to.x, picture.to.y);
  g_autofree char *count =
      counted > 0 ? g_strdup_printf(", count: %g", counted * picture.length_mm) : NULL;
  g_autofree char *sidecar = g_strdup_printf(
      "scale:\n  ticks: {from: \"%.2f,%.2f\", to: \"%s\", pitch: 1%s}\n  plane-offset: 0\n"
      "  camera-distance: 400\nmarks: [{id: 1, term: tear, line: \"%.2f,%.2f %s\"}]\n",
      picture.from.x, picture.from.y, to ? to : end, count ? count : "", picture.from.x,
      picture.from.y, end);
  bench_volume(bench, "volume: {id: T-1}\n");
  photograph(bench, &picture.plane, sidecar);
  const PwModelPhoto *photo = look(bench);
  if (photo->scale != NULL)
    bench_assert_near(photo->marks[0].sizes.length_mm.value, picture.length_mm,
                      0.002 * picture.length_mm);
  return photo;
}

static void
a_ruler_gives_its_scale_and_again_from_the_cache(void **state)
{
  Bench *bench = *state;
  const PwModelPhoto *photo = ruler(bench, 0, NULL, 0);
  assert_non_null(photo->scale);
  assert_int_equal(pw_complaints_n(bench->complaints), 0);
  double first = photo->marks[0].sizes.length_mm.value;
  pw_model_free(bench->model);
  double again = look(bench)->marks[0].sizes.length_mm.value;
  assert_memory_equal(&first, &again, sizeof first);
}

static void
a_ruler_that_leans_beyond_what_is_allowed_for_is_told(void **state)
{
  Bench *bench = *state;
  assert_non_null(ruler(bench, 0.06, NULL, 0)->scale);
  print_message("# %s\n", bench_complaint(bench, "ruler leans"));
  assert_non_null(bench_complaint(bench, "ruler leans"));
}

static void
a_line_that_strays_off_a_ruler_gives_no_scale_and_says_why(void **state)
{
  Bench *bench = *state;
  for (int i = 0; i < 2; i++) { /* the second time from the cache */
    const PwModelPhoto *photo = ruler(bench, 0, "60,5", 0);
    assert_null(photo->scale);
    assert_string_equal(photo->why, bench_complaint(bench, "ticks refused"));
    assert_string_equal(photo->marks[0].why, photo->why);
    assert_int_equal(photo->why_not, PW_WHY_NOT_GRADUATIONS);
    pw_model_free(g_steal_pointer(&bench->model));
  }
}

static void
a_reading_that_is_not_what_was_counted_is_refused(void **state)
{
  Bench *bench = *state;
  const double counted[] = {1, 0.2, 1.1};
  for (gsize i = 0; i < G_N_ELEMENTS(counted); i++) {
    const PwModelPhoto *photo = ruler(bench, 0, NULL, counted[i]);
    assert_int_equal(photo->scale != NULL, i == 0);
    if (i > 0)
      assert_non_null(strstr(bench_complaint(bench, "ticks refused"), "were counted"));
    pw_model_free(g_steal_pointer(&bench->model));
  }
}

int
main(void)
{
  if (!pw_photo_startup(NULL))
    return 1;
#define BENCH_TEST(test) cmocka_unit_test_setup_teardown(test, bench_begin, bench_end)
  const struct CMUnitTest tests[] = {
      BENCH_TEST(a_mark_of_any_kind_takes_the_card_nearest_to_its_middle),
      BENCH_TEST(two_cards_share_the_camera_and_the_hand),
      BENCH_TEST(what_the_printer_may_have_done_stands_in_the_doubt),
      BENCH_TEST(a_card_that_does_not_lie_flat_is_told_in_px_and_mm),
      BENCH_TEST(a_flat_card_is_not_complained_of),
      BENCH_TEST(a_ruler_gives_its_scale_and_again_from_the_cache),
      BENCH_TEST(a_ruler_that_leans_beyond_what_is_allowed_for_is_told),
      BENCH_TEST(a_line_that_strays_off_a_ruler_gives_no_scale_and_says_why),
      BENCH_TEST(a_reading_that_is_not_what_was_counted_is_refused),
  };
  int failed = cmocka_run_group_tests_name("cards", tests, NULL, NULL);
  pw_photo_shutdown();
  return failed;
}
