/* What a finder takes and what it refuses: drawn cards, two tags, several cards, mirrored and
 * doubled ones, halves of two, a lens, corners that are off, planes that are no photographs.
 */
#include "card/fit.h"
#include "scene.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <time.h>
#include <vips/vips.h>
#include <cmocka.h>

enum { WIDTH = 1500, HEIGHT = 1100 };

static PwFound
find(const PwPlane *plane)
{
  PwFound found;
  g_autoptr(GError) error = NULL;
  if (!pw_card_find(plane, &found, &error))
    fail_msg("%s", error->message);
  return found;
}

static Scene
plain_scene(PwCardSize size, int copy, double of_width, double x, double y)
{
  return (Scene){.size = size,
                 .copy = copy,
                 .of_width = of_width,
                 .tilt_deg = 12,
                 .tilt_towards_deg = 40,
                 .roll_deg = 20,
                 .x = x,
                 .y = y,
                 .focal_px = 3000,
                 .black = 40,
                 .white = 220,
                 .blur_px = 0.8,
                 .noise = 3};
}

static PwPlane
photograph(const Scene *scenes, gsize n)
{
  PwPlane plane = scene_table(WIDTH, HEIGHT, 3);
  Chance chance = {9};
  for (gsize i = 0; i < n; i++) {
    PwHomography to_px;
    scene_draw(&scenes[i], &chance, &plane, &to_px);
  }
  return plane;
}

static PwFound
find_in_scenes(const Scene *scenes, gsize n)
{
  PwPlane plane = photograph(scenes, n);
  PwFound found = find(&plane);
  pw_plane_clear(&plane);
  return found;
}

static void
assert_refused(PwFound *found, const char *card, const char *word)
{
  assert_int_equal(found->n_cards, 0);
  assert_non_null(found->refused[0]);
  if (!g_str_has_prefix(found->refused[0], card) || strstr(found->refused[0], word) == NULL)
    fail_msg("%s", found->refused[0]);
  assert_null(found->refused[1]);
  pw_found_clear(found);
}

/* ---- What is drawn is found -------------------------------------------------------- */

enum { PX_PER_MM = 8, MARGIN_PX = 20 };
/* A corner's place is known to a small part of a pixel; a wrong corner is off by a tag. */
static const double DRAWN_MM = 0.02;

static PwPlane
drawn_card(PwCardSize size, int copy)
{
  const PwCardDesign *design = pw_card_design(size);
  PwPdfInfo info = {.title = "card", .language = "en", .date = "2026-01-01"};
  g_autoptr(PwPdf) pdf = pw_pdf_new(&info, NULL);
  int width = (int)ceil(design->width_mm * PX_PER_MM) + 2 * MARGIN_PX;
  int height = (int)ceil(design->height_mm * PX_PER_MM) + 2 * MARGIN_PX;
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t *cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 0.4, 0.4, 0.4);
  cairo_paint(cr);
  cairo_translate(cr, MARGIN_PX, MARGIN_PX);
  cairo_scale(cr, PX_PER_MM, PX_PER_MM);
  pw_card_draw(pdf, cr, size, copy);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  const guint8 *pixels = cairo_image_surface_get_data(surface);
  gsize stride = (gsize)cairo_image_surface_get_stride(surface);
  PwPlane plane = {g_malloc((gsize)width * (gsize)height), width, height, 1, (gsize)width};
  for (gsize y = 0; y < (gsize)height; y++)
    for (gsize x = 0; x < (gsize)width; x++)
      plane.pixels[y * plane.stride + x] = pixels[y * stride + 4 * x];
  cairo_surface_destroy(surface);
  return plane;
}

static void
drawn_cards_are_found(void **state G_GNUC_UNUSED)
{
  double worst = 0;
  for (int size = 0; size < PW_N_CARD_SIZES; size++) {
    const PwCardDesign *design = pw_card_design((PwCardSize)size);
    PwPlane plane = drawn_card((PwCardSize)size, design->n_copies - 1);
    PwFound found = find(&plane);
    assert_int_equal(found.n_cards, 1);
    const PwFoundCard *card = &found.cards[0];
    assert_int_equal(card->size, size);
    assert_int_equal(card->copy, design->n_copies - 1);
    assert_int_equal(card->n_tags, design->n_tags);
    assert_int_equal(card->n, 4 * design->n_tags);
    assert_null(found.refused[0]);
    for (gsize i = 0; i < card->n; i++) {
      double x = (card->px[i].x - MARGIN_PX) / PX_PER_MM,
             y = (card->px[i].y - MARGIN_PX) / PX_PER_MM;
      worst = fmax(worst, hypot(x - card->mm[i].x, y - card->mm[i].y));
      pw_homography_apply(&card->h, card->px[i].x, card->px[i].y, &x, &y);
      worst = fmax(worst, hypot(x - card->mm[i].x, y - card->mm[i].y));
    }
    pw_found_clear(&found);
    pw_plane_clear(&plane);
  }
  print_message("# corners of drawn cards off by at most %.4f mm\n", worst);
  assert_true(worst <= DRAWN_MM);
}

/* ---- Cards in pictures ------------------------------------------------------------- */

static void
two_tags_are_enough(void **state G_GNUC_UNUSED)
{
  Scene scene = plain_scene(PW_CARD_ID1, 2, 0.4, 700, 500);
  scene.without_tags = 1 << 1 | 1 << 2;
  PwFound found = find_in_scenes(&scene, 1);
  assert_int_equal(found.n_cards, 1);
  assert_int_equal(found.cards[0].n_tags, 2);
  assert_int_equal(found.cards[0].n, 8);
  assert_true(found.cards[0].rms_px < 0.15);
  pw_found_clear(&found);
}

/* A card in the dark: 25 grey levels between black and white, of which noise makes as many. */
static void
a_dark_picture_shows_its_card(void **state G_GNUC_UNUSED)
{
  PwPlane plane = scene_table(WIDTH, HEIGHT, 3);
  Scene scene = plain_scene(PW_CARD_ID1, 0, 0.4, 750, 550);
  Chance chance = {25};
  PwHomography to_px;
  for (gsize i = 0; i < plane.stride * (gsize)plane.height; i++)
    plane.pixels[i] = (guint8)(20 + plane.pixels[i] / 8);
  scene.black = 25;
  scene.white = 50;
  scene.noise = 4;
  scene_draw(&scene, &chance, &plane, &to_px);
  PwFound found = find(&plane);
  assert_int_equal(found.n_cards, 1);
  assert_int_equal(found.cards[0].n_tags, 4);
  pw_found_clear(&found);
  pw_plane_clear(&plane);
}

static double
find_two_tags_s(const Scene *scene)
{
  PwPlane plane = photograph(scene, 1);
  clock_t start = clock();
  PwFound found = find(&plane);
  double s = (double)(clock() - start) / CLOCKS_PER_SEC;
  assert_int_equal(found.n_cards, 1);
  assert_int_equal(found.cards[0].n_tags, 2);
  pw_found_clear(&found);
  pw_plane_clear(&plane);
  return s;
}

/* What lies outside the picture is not sought at every decimation, as what is covered is. All
 * three take about nine times as long as the first. */
static void
a_card_cut_off_is_found_at_once(void **state G_GNUC_UNUSED)
{
  Scene covered = plain_scene(PW_CARD_ID1, 0, 0.3, 750, 550), cut = covered;
  covered.roll_deg = cut.roll_deg = 0;
  cut.x = 1500;
  double cut_s = find_two_tags_s(&cut);
  for (guint tag = 0; tag < 4; tag++)
    if (pw_card_corner(PW_CARD_ID1, (int)tag, 0).x > pw_card_design(PW_CARD_ID1)->width_mm / 2)
      covered.without_tags |= 1u << tag;
  double covered_s = find_two_tags_s(&covered);
  print_message("# a card of which half is outside: %.0f ms; half covered: %.0f ms\n", 1e3 * cut_s,
                1e3 * covered_s);
  assert_true(cut_s < covered_s / 2);
}

static void
one_tag_is_not(void **state G_GNUC_UNUSED)
{
  Scene scene = plain_scene(PW_CARD_ID1, 2, 0.4, 700, 500);
  scene.without_tags = 7;
  PwFound found = find_in_scenes(&scene, 1);
  assert_refused(&found, "card id1 c: ", "only one");
}

static void
several_cards_give_their_planes(void **state G_GNUC_UNUSED)
{
  const Scene scenes[] = {plain_scene(PW_CARD_STRIP, 3, 0.5, 700, 880),
                          plain_scene(PW_CARD_ID1, 1, 0.3, 400, 320),
                          plain_scene(PW_CARD_ID1, 0, 0.25, 1100, 320)};
  PwFound found = find_in_scenes(scenes, G_N_ELEMENTS(scenes));
  assert_int_equal(found.n_cards, 3);
  assert_null(found.refused[0]);
  const PwCardSize sizes[] = {PW_CARD_ID1, PW_CARD_ID1, PW_CARD_STRIP};
  const int copies[] = {0, 1, 3};
  const double widths[] = {0.25, 0.3, 0.5};
  for (int i = 0; i < 3; i++) {
    const PwFoundCard *card = &found.cards[i];
    double mm = pw_card_design(sizes[i])->width_mm / (widths[i] * WIDTH), j[4];
    assert_int_equal(card->size, sizes[i]);
    assert_int_equal(card->copy, copies[i]);
    pw_homography_jacobian(&card->h, card->px[0].x, card->px[0].y, j);
    /* Tilted by 12 degrees, a card is seen smaller by a few per cent. */
    assert_true(fabs(sqrt(fabs(j[0] * j[3] - j[1] * j[2])) / mm - 1) < 0.1);
  }
  pw_found_clear(&found);
}

static void
mirrored_tags_are_refused(void **state G_GNUC_UNUSED)
{
  Scene scene = plain_scene(PW_CARD_A6, 1, 0.5, 700, 500);
  scene.mirrored = TRUE;
  PwFound found = find_in_scenes(&scene, 1);
  assert_refused(&found, "card a6 b: ", "mirrored");
}

static void
doubled_tags_are_refused(void **state G_GNUC_UNUSED)
{
  const Scene scenes[] = {plain_scene(PW_CARD_ID1, 4, 0.3, 400, 500),
                          plain_scene(PW_CARD_ID1, 4, 0.3, 1100, 500)};
  PwFound found = find_in_scenes(scenes, G_N_ELEMENTS(scenes));
  assert_refused(&found, "card id1 e: ", "seen twice");
}

/* Two tags of one card and the other two of another print of it. */
static void
halves_of_two_are_refused(void **state G_GNUC_UNUSED)
{
  Scene scenes[] = {plain_scene(PW_CARD_ID1, 4, 0.3, 400, 500),
                    plain_scene(PW_CARD_ID1, 4, 0.3, 1100, 500)};
  scenes[0].without_tags = 3;
  scenes[1].without_tags = 12;
  PwFound found = find_in_scenes(scenes, G_N_ELEMENTS(scenes));
  assert_refused(&found, "card id1 e: ", "one plane");
}

/* ---- The fit ----------------------------------------------------------------------- */

/* Tags as an upright camera sees them through a lens, `scale` px to a mm about (cx, cy). */
static void
see_tags(PwCardSize size, int copy, double scale, const PwLens *lens, PwTag *tags, int *numbers)
{
  const PwCardDesign *design = pw_card_design(size);
  for (int t = 0; t < design->n_tags; t++) {
    tags[t].id = design->first_id + copy * design->n_tags + t;
    numbers[t] = t;
    for (int corner = 0; corner < 4; corner++) {
      PwMm mm = pw_card_corner(size, t, corner);
      PwPx at = {lens->cx + scale * (mm.x - design->width_mm / 2),
                 lens->cy + scale * (mm.y - design->height_mm / 2)};
      tags[t].corners[corner] = pw_lens_distort(lens, at);
    }
  }
}

static PwFound
fit(PwCardSize size, const PwTag *tags, const int *numbers, gsize n, guint64 *dropped)
{
  PwFound found = {g_new0(PwFoundCard, 1), 1, NULL};
  if (!pw_card_fit(size, tags, numbers, n, found.cards, dropped)) {
    g_free(found.cards);
    found = (PwFound){0};
  }
  return found;
}

/* A sheet that fills a picture of 4000 x 5200 px, through 2 % of barrel at its corner: all stays.
 */
static void
a_lens_throws_nothing_away(void **state G_GNUC_UNUSED)
{
  const double half_diagonal = hypot(2000, 2600);
  PwTag tags[64];
  int numbers[64];
  for (int sign = -1; sign <= 1; sign++) {
    PwLens lens = {half_diagonal, 2000, 2600, 0.02 * sign, 0};
    guint64 dropped;
    see_tags(PW_CARD_SHEET, 0, 22.5, &lens, tags, numbers);
    PwFound found =
        fit(PW_CARD_SHEET, tags, numbers, (gsize)pw_card_design(PW_CARD_SHEET)->n_tags, &dropped);
    assert_int_equal(found.n_cards, 1);
    assert_int_equal(found.cards[0].n, 252);
    assert_int_equal((int)dropped, 0);
    print_message("# sheet through %+d %% of distortion: %.2f px RMS\n", 2 * sign,
                  found.cards[0].rms_px);
    pw_found_clear(&found);
  }
}

static void
corners_that_are_off_are_left_out(void **state G_GNUC_UNUSED)
{
  const PwLens none = {0};
  PwTag tags[4];
  int numbers[4];
  guint64 dropped;
  see_tags(PW_CARD_ID1, 0, 8, &none, tags, numbers);
  tags[1].corners[2].x += 3;
  tags[3].corners[0].y -= 2;
  PwFound found = fit(PW_CARD_ID1, tags, numbers, 4, &dropped);
  assert_int_equal(found.n_cards, 1);
  assert_int_equal(found.cards[0].n, 14);
  assert_int_equal(found.cards[0].n_tags, 4);
  assert_true(found.cards[0].rms_px < 1e-6);
  pw_found_clear(&found);
}

static void
a_tag_elsewhere_is_left_out(void **state G_GNUC_UNUSED)
{
  const PwLens none = {0};
  PwTag tags[4];
  int numbers[4];
  guint64 dropped;
  see_tags(PW_CARD_ID1, 0, 8, &none, tags, numbers);
  for (int corner = 0; corner < 4; corner++)
    tags[2].corners[corner].x += 40;
  PwFound found = fit(PW_CARD_ID1, tags, numbers, 4, &dropped);
  assert_int_equal(found.n_cards, 1);
  assert_int_equal(found.cards[0].n, 12);
  assert_int_equal((int)dropped, 1 << 2);
  assert_true(found.cards[0].rms_px < 1e-6);
  pw_found_clear(&found);
}

/* ---- Planes ------------------------------------------------------------------------ */

static void
assert_no_photograph(const PwPlane *plane)
{
  PwFound found;
  g_autoptr(GError) error = NULL;
  assert_false(pw_card_find(plane, &found, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT));
  assert_null(found.cards);
  assert_null(found.refused);
}

static void
planes_that_are_no_photographs(void **state G_GNUC_UNUSED)
{
  guint8 pixel = 0;
  const PwPlane wrong[] = {
      {&pixel, 1, 1, 1, 1},
      {&pixel, 15, 2000, 1, 15},
      {&pixel, 2000, 1, 1, 2000},
      {&pixel, 2000, 2000, 3, 6000},
      {&pixel, 2000, 2000, 1, 1999},
      {&pixel, 0, 0, 1, 0},
      {&pixel, -20, 100, 1, 100},
      {&pixel, 40000, 40000, 1, 40000},
      {&pixel, 100, 100, 1, (gsize)G_MAXINT32 + 1},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++)
    assert_no_photograph(&wrong[i]);
}

/* The narrowest planes that are looked at, flat and noisy, and rows further apart than wide. */
static void
narrow_planes_hold_nothing(void **state G_GNUC_UNUSED)
{
  Chance chance = {4};
  const int sides[][2] = {{16, 16}, {16, 3000}, {40000, 17}, {19, 21}};
  for (gsize i = 0; i < G_N_ELEMENTS(sides); i++) {
    PwPlane plane = {NULL, sides[i][0], sides[i][1], 1, (gsize)sides[i][0] + 5};
    gsize n = plane.stride * (gsize)plane.height;
    plane.pixels = g_malloc0(n);
    for (int noisy = 0; noisy < 2; noisy++) {
      PwFound found = find(&plane);
      assert_int_equal(found.n_cards, 0);
      assert_null(found.refused[0]);
      pw_found_clear(&found);
      for (gsize k = 0; k < n; k++)
        plane.pixels[k] = (guint8)chance_between(&chance, 0, 256);
    }
    pw_plane_clear(&plane);
  }
}

/* The same picture with rows further apart. */
static void
strides_change_nothing(void **state G_GNUC_UNUSED)
{
  Scene scene = plain_scene(PW_CARD_ID1, 0, 0.12, 1100, 500);
  PwPlane plane = photograph(&scene, 1), wide = plane;
  wide.stride = WIDTH + 333;
  wide.pixels = g_malloc0(wide.stride * HEIGHT);
  for (gsize y = 0; y < HEIGHT; y++)
    memcpy(wide.pixels + y * wide.stride, plane.pixels + y * plane.stride, WIDTH);
  PwFound a = find(&plane), b = find(&wide);
  assert_int_equal(a.n_cards, 1);
  assert_int_equal(b.n_cards, 1);
  assert_int_equal(a.cards[0].n, b.cards[0].n);
  assert_memory_equal(a.cards[0].px, b.cards[0].px, a.cards[0].n * sizeof(PwPx));
  pw_found_clear(&a);
  pw_found_clear(&b);
  pw_plane_clear(&plane);
  pw_plane_clear(&wide);
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
      cmocka_unit_test(drawn_cards_are_found),
      cmocka_unit_test(two_tags_are_enough),
      cmocka_unit_test(a_dark_picture_shows_its_card),
      cmocka_unit_test(a_card_cut_off_is_found_at_once),
      cmocka_unit_test(one_tag_is_not),
      cmocka_unit_test(several_cards_give_their_planes),
      cmocka_unit_test(mirrored_tags_are_refused),
      cmocka_unit_test(doubled_tags_are_refused),
      cmocka_unit_test(halves_of_two_are_refused),
      cmocka_unit_test(a_lens_throws_nothing_away),
      cmocka_unit_test(corners_that_are_off_are_left_out),
      cmocka_unit_test(a_tag_elsewhere_is_left_out),
      cmocka_unit_test(planes_that_are_no_photographs),
      cmocka_unit_test(narrow_planes_hold_nothing),
      cmocka_unit_test(strides_change_nothing),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
