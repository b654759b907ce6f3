/* Corners and ends set on the edges under them. */
#include "ground.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { WIDTH = 560, HEIGHT = 420 };
static const double GREY[3] = {0.15, 0.15, 0.15};

typedef struct {
  double blur, noise, contrast; /* px, levels, light */
  double error_px;              /* RMS of a coordinate that is allowed: named below */
} Kind;

/* A rectangle in perspective: corners by chance. */
static void
choose_corners(GRand *chance, PwPx corners[4])
{
  const PwPx about[4] = {{110, 90}, {450, 100}, {440, 320}, {100, 330}};
  for (int i = 0; i < 4; i++)
    corners[i] = (PwPx){about[i].x + g_rand_double_range(chance, -15, 15),
                        about[i].y + g_rand_double_range(chance, -15, 15)};
}

static void
drag(GRand *chance, const PwPx corners[4], double by, PwPx dragged[4])
{
  for (int i = 0; i < 4; i++)
    dragged[i] = (PwPx){corners[i].x + g_rand_double_range(chance, -by, by),
                        corners[i].y + g_rand_double_range(chance, -by, by)};
}

static PwPlane
picture_of(const PwPx corners[4], const Kind *kind, guint seed)
{
  Ground ground = ground_new(WIDTH, HEIGHT, GREY);
  const double light[3] = {0.15 + kind->contrast, 0.15 + kind->contrast, 0.15 + kind->contrast};
  PwPxPath ring = ring_of(corners, 4);
  ground_lay(&ground, &ring, light);
  ground_weave(&ground, 9, 0.06);
  ground_shade(&ground, 0.3);
  ground_blur(&ground, kind->blur);
  PwPlane plane = ground_photograph(&ground, 1, kind->noise, seed);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
  return plane;
}

/* Dragged corners 8 px off and less come back to the truth, and the doubt told is that which they
 * have: over many pictures the errors' mean square is near to the doubts'. */
static void
corners_come_to_the_edges(void **state)
{
  (void)state;
  enum { PICTURES = 12 };
  const Kind kinds[] = {{0.7, 1, 0.6, 0.05}, {1.2, 3, 0.5, 0.08}, {2, 5, 0.4, 0.15},
                        {1.2, 12, 0.3, 0.3}, {1.2, 2, 0.06, 0.3}, {3, 5, 0.3, 0.3}};
  for (gsize k = 0; k < G_N_ELEMENTS(kinds); k++) {
    double squares = 0, doubts = 0, worst = 0;
    for (guint seed = 0; seed < PICTURES; seed++) {
      GRand *chance = g_rand_new_with_seed(100 + seed);
      PwPx corners[4], dragged[4], found[4];
      choose_corners(chance, corners);
      drag(chance, corners, 8, dragged);
      PwPlane plane = picture_of(corners, &kinds[k], seed);
      double doubt = 0;
      g_autoptr(GError) error = NULL;
      if (!pw_trace_corners(&plane, dragged, 20, found, &doubt, &error))
        fail_msg("kind %d seed %u: %s", (int)k, seed, error->message);
      for (int i = 0; i < 4; i++) {
        double off = hypot(found[i].x - corners[i].x, found[i].y - corners[i].y);
        squares += off * off / 8;
        worst = fmax(worst, off);
      }
      doubts += doubt * doubt;
      pw_plane_clear(&plane);
      g_rand_free(chance);
    }
    double rms = sqrt(squares / PICTURES), told = sqrt(doubts / PICTURES);
    print_message("# blur %.1f px, noise %.0f, contrast %.2f: RMS %.3f px, worst %.2f, told %.3f\n",
                  kinds[k].blur, kinds[k].noise, kinds[k].contrast, rms, worst, told);
    assert_true(rms < kinds[k].error_px);
    assert_true(rms < 1.5 * told); /* the doubt told is that of the worst corner */
    assert_true(told < 3 * rms + 0.03);
  }
}

static void
expect_refused(const PwPlane *plane, const PwPx corners[4], double reach, int code,
               const char *says)
{
  g_autoptr(GError) error = NULL;
  PwPx found[4] = {{-1, -1}};
  double doubt = -1;
  if (pw_trace_corners(plane, corners, reach, found, &doubt, &error))
    fail_msg("corners were found");
  if (error->code != code || strstr(error->message, says) == NULL)
    fail_msg("%d \"%s\", not %d \"%s\"", error->code, error->message, code, says);
  assert_true(found[0].x < 0 && doubt < 0); /* nothing was filled */
}

static const PwPx SQUARE[4] = {{120, 100}, {440, 100}, {440, 320}, {120, 320}};

static void
no_edge_is_refused(void **state)
{
  (void)state;
  for (int noise = 0; noise < 3; noise++)
    for (guint seed = 0; seed < 8; seed++) {
      Ground ground = ground_new(WIDTH, HEIGHT, GREY);
      ground_shade(&ground, noise == 0 ? 0 : 0.9); /* flat, then a slope of light */
      PwPlane plane = ground_photograph(&ground, 1, 12 * noise, seed);
      expect_refused(&plane, SQUARE, 20, PW_ERROR_NUMERIC, "no straight edge lies under the upper");
      expect_refused(&plane, SQUARE, 60, PW_ERROR_NUMERIC, "no straight edge");
      pw_plane_clear(&plane);
      ground_clear(&ground);
    }
}

/* The light rises steadily about the upper side, so that every line along it is as steep as the
 * next. */
static void
a_slope_of_light_is_no_edge(void **state)
{
  (void)state;
  for (int noise = 0; noise < 3; noise++) {
    Ground ground = ground_new(WIDTH, HEIGHT, PAPER);
    for (int i = 0; i < WIDTH * HEIGHT * 3; i++)
      ground.light[i] *= fmin(fmax((i / 3 / WIDTH - 30) / 140.0, 0.1), 1);
    PwPlane plane = ground_photograph(&ground, 1, noise, 1);
    expect_refused(&plane, SQUARE, 20, PW_ERROR_NUMERIC, "no straight edge lies under the upper");
    expect_refused(&plane, SQUARE, 4, PW_ERROR_NUMERIC, "no straight edge lies under the upper");
    pw_plane_clear(&plane);
    ground_clear(&ground);
  }
}

/* One side has no edge: a sheet that goes on to the right. */
static void
the_side_without_an_edge_is_named(void **state)
{
  (void)state;
  const Kind kind = {1, 2, 0.4, 0};
  const PwPx sheet[4] = {{120, 100}, {540, 100}, {540, 320}, {120, 320}};
  PwPlane plane = picture_of(sheet, &kind, 1);
  expect_refused(&plane, SQUARE, 20, PW_ERROR_NUMERIC, "under the right side");
  pw_plane_clear(&plane);
}

/* A second edge 9 px inside the first, on all sides: a frame; both are equally near. */
static void
two_edges_are_refused(void **state)
{
  (void)state;
  Ground ground = ground_new(WIDTH, HEIGHT, GREY);
  const double half[3] = {0.35, 0.35, 0.35}, full[3] = {0.75, 0.75, 0.75};
  PwPx inner[4], between[4];
  for (int i = 0; i < 4; i++) {
    inner[i] = (PwPx){SQUARE[i].x + (i == 0 || i == 3 ? 9 : -9), SQUARE[i].y + (i < 2 ? 9 : -9)};
    between[i] = (PwPx){(SQUARE[i].x + inner[i].x) / 2, (SQUARE[i].y + inner[i].y) / 2};
  }
  PwPxPath outer = ring_of(SQUARE, 4), ring = ring_of(inner, 4);
  ground_lay(&ground, &outer, half);
  ground_lay(&ground, &ring, full);
  ground_blur(&ground, 1);
  PwPlane plane = ground_photograph(&ground, 1, 2, 1);
  expect_refused(&plane, between, 12, PW_ERROR_NUMERIC, "two edges lie near each other");
  PwPx found[4]; /* close to one of them, with a short reach, it is no question */
  assert_true(pw_trace_corners(&plane, SQUARE, 4, found, NULL, NULL));
  assert_true(hypot(found[2].x - SQUARE[2].x, found[2].y - SQUARE[2].y) < 0.3);
  pw_plane_clear(&plane);
  pw_px_path_clear(&outer);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

static void
corners_out_of_reach_are_refused(void **state)
{
  (void)state;
  const Kind kind = {1, 1, 0.5, 0};
  PwPlane plane = picture_of(SQUARE, &kind, 1);
  PwPx dragged[4];
  for (int i = 0; i < 4; i++) /* each side is within reach, the corners are not */
    dragged[i] = (PwPx){SQUARE[i].x + 9, SQUARE[i].y + 9};
  expect_refused(&plane, dragged, 10, PW_ERROR_NUMERIC, "further away than the corners may move");
  PwPx found[4];
  assert_true(pw_trace_corners(&plane, dragged, 15, found, NULL, NULL));
  pw_plane_clear(&plane);
}

static void
what_is_out_of_bounds_is_refused(void **state)
{
  (void)state;
  const Kind kind = {1, 1, 0.5, 0};
  PwPlane plane = picture_of(SQUARE, &kind, 1), colour = plane, none = {NULL, 0, 0, 1, 0};
  colour.channels = 3;
  PwPx wrong[4];
  const double reaches[] = {1.9, 101, NAN, -1, HUGE_VAL};
  for (gsize i = 0; i < G_N_ELEMENTS(reaches); i++)
    expect_refused(&plane, SQUARE, reaches[i], PW_ERROR_USE, "reach");
  memcpy(wrong, SQUARE, sizeof wrong);
  wrong[2].x = NAN;
  expect_refused(&plane, wrong, 10, PW_ERROR_USE, "outside the photograph");
  wrong[2].x = WIDTH + 1;
  expect_refused(&plane, wrong, 10, PW_ERROR_USE, "outside the photograph");
  wrong[2] = SQUARE[1];
  expect_refused(&plane, wrong, 10, PW_ERROR_USE, "too near");
  expect_refused(&colour, SQUARE, 10, PW_ERROR_LIMIT, "grey");
  expect_refused(&none, SQUARE, 10, PW_ERROR_LIMIT, "grey");
  pw_plane_clear(&plane);
}

/* ---- Ends -------------------------------------------------------------------------- */

/* An edge that crosses the span at 70 degrees, at x = 300 on it, and a graduation of 3 px. */
static void
an_end_comes_to_the_edge_or_the_graduation(void **state)
{
  (void)state;
  double squares = 0, worst = 0;
  enum { PICTURES = 16 };
  for (guint seed = 0; seed < PICTURES; seed++)
    for (int graduation = 0; graduation < 2; graduation++) {
      Ground ground = ground_new(WIDTH, HEIGHT, PAPER);
      GRand *chance = g_rand_new_with_seed(seed);
      double x = 300 + g_rand_double(chance), lean = 0.3;
      double wide = graduation ? 3 : 500;
      PwPx edge[] = {{x - lean * 100, 300},
                     {x + lean * 100, 100},
                     {x + lean * 100 + wide, 100},
                     {x - lean * 100 + wide, 300}};
      PwPxPath ring = ring_of(edge, 4);
      ground_lay(&ground, &ring, LEATHER);
      ground_blur(&ground, 1);
      PwPlane plane = ground_photograph(&ground, 1, 4, seed);
      double truth = graduation ? x + 1.5 : x, doubt = 0;
      PwPx end = {truth + g_rand_double_range(chance, -6, 6), 200}, found;
      g_autoptr(GError) error = NULL;
      if (!pw_trace_end(&plane, (PwPx){60, 200}, end, 12, &found, &doubt, &error))
        fail_msg("seed %u graduation %d: %s", seed, graduation, error->message);
      assert_true(fabs(found.y - 200) < 1e-9);
      assert_true(doubt > 0 && doubt < 0.5);
      squares += (found.x - truth) * (found.x - truth) / (2 * PICTURES);
      worst = fmax(worst, fabs(found.x - truth));
      pw_plane_clear(&plane);
      pw_px_path_clear(&ring);
      ground_clear(&ground);
      g_rand_free(chance);
    }
  print_message("# ends: RMS %.3f px, worst %.2f px\n", sqrt(squares), worst);
  assert_true(sqrt(squares) < 0.1);
  assert_true(worst < 0.4);
}

static void
ends_without_an_edge_are_refused(void **state)
{
  (void)state;
  Ground ground = ground_new(WIDTH, HEIGHT, PAPER);
  ground_weave(&ground, 7, 0.8); /* graduations everywhere */
  PwPlane many = ground_photograph(&ground, 1, 2, 1);
  Ground flat = ground_new(WIDTH, HEIGHT, PAPER);
  PwPlane none = ground_photograph(&flat, 1, 6, 1);
  const PwPx from = {60, 200}, to = {300, 200}, outside = {-3, 200};
  PwPx found;
  g_autoptr(GError) error = NULL;
  assert_false(pw_trace_end(&none, from, to, 12, &found, NULL, &error));
  assert_non_null(strstr(error->message, "no edge crosses"));
  g_clear_error(&error);
  assert_false(pw_trace_end(&many, from, to, 12, &found, NULL, &error));
  assert_int_equal(error->code, PW_ERROR_NUMERIC);
  g_clear_error(&error);
  assert_false(pw_trace_end(&none, from, outside, 12, &found, NULL, &error));
  assert_int_equal(error->code, PW_ERROR_USE);
  g_clear_error(&error);
  assert_false(pw_trace_end(&none, from, from, 12, &found, NULL, &error));
  assert_int_equal(error->code, PW_ERROR_USE);
  pw_plane_clear(&many);
  pw_plane_clear(&none);
  ground_clear(&ground);
  ground_clear(&flat);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(corners_come_to_the_edges),
      cmocka_unit_test(no_edge_is_refused),
      cmocka_unit_test(a_slope_of_light_is_no_edge),
      cmocka_unit_test(the_side_without_an_edge_is_named),
      cmocka_unit_test(two_edges_are_refused),
      cmocka_unit_test(corners_out_of_reach_are_refused),
      cmocka_unit_test(what_is_out_of_bounds_is_refused),
      cmocka_unit_test(an_end_comes_to_the_edge_or_the_graduation),
      cmocka_unit_test(ends_without_an_edge_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
