/* Following a colour edge, on pictures whose truth is known. */
#include "ground.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

/* What the issue asks of areas. */
#define AREA_PART 0.01

static double
area_of(const PwTrace *trace)
{
  double area = fabs(pw_px_signed_area(trace->outline.points, trace->outline.n));
  for (gsize i = 0; i < trace->n_holes; i++)
    area -= fabs(pw_px_signed_area(trace->holes[i].points, trace->holes[i].n));
  return area;
}

/* Simple as it is, and as it is written. */
static void
assert_simple(const PwTrace *trace)
{
  PwOutlineFault fault = {{0, 0}, ""};
  PwPxPath written = {0};
  g_autofree char *text = pw_px_path_format(&trace->outline);
  assert_true(pw_px_path_parse(text, &written, NULL, NULL));
  if (!pw_outline_check(&trace->outline, &fault) || !pw_outline_check(&written, &fault) ||
      !pw_outline_check_holes(&written, trace->holes, trace->n_holes, &fault))
    fail_msg("%s at %.2f,%.2f", fault.what, fault.at.x, fault.at.y);
  assert_true(pw_px_signed_area(trace->outline.points, trace->outline.n) > 0);
  pw_px_path_clear(&written);
}

static void
follow(const PwPlane *plane, PwPx at, double tolerance, PwTrace *trace)
{
  const PwTraceOptions options = {.tolerance = tolerance};
  g_autoptr(GError) error = NULL;
  if (!pw_trace_follow(plane, at, &options, trace, &error))
    fail_msg("at %.1f,%.1f with %.1f: %s", at.x, at.y, tolerance, error->message);
  assert_simple(trace);
}

typedef struct {
  const double *patch, *ground;
  double radius, blur;
} Disc;

/* How far the area found is from the true one, as a part of it. */
static double
area_error(const Disc *disc, double tolerance)
{
  Ground ground = ground_new(240, 230, disc->ground);
  PwPxPath ring = ring_disc(119.3, 113.8, disc->radius);
  ground_lay(&ground, &ring, disc->patch);
  ground_blur(&ground, disc->blur);
  PwPlane plane = ground_photograph(&ground, 3, 2, 5);
  PwTrace trace;
  follow(&plane, (PwPx){115, 110}, tolerance, &trace);
  assert_false(trace.meets_edge);
  assert_int_equal(trace.n_holes, 0);
  double truth = pw_px_signed_area(ring.points, ring.n), error = area_of(&trace) / truth - 1;
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
  return error;
}

static void
discs_have_their_area_whatever_the_tolerance(void **state)
{
  (void)state;
  const double *colours[][2] = {
      {PAPER, LEATHER}, {LEATHER, PAPER}, {PAPER, CLOTH}, {CLOTH, PAPER}, {LEATHER, CLOTH}};
  const double radii[] = {25, 50.4, 90.7}, blurs[] = {0.7, 1.5}, tolerances[] = {6, 10, 15};
  double largest = 0;
  for (gsize c = 0; c < G_N_ELEMENTS(colours); c++)
    for (gsize r = 0; r < G_N_ELEMENTS(radii); r++)
      for (gsize b = 0; b < G_N_ELEMENTS(blurs); b++)
        for (gsize t = 0; t < G_N_ELEMENTS(tolerances); t++) {
          Disc disc = {colours[c][0], colours[c][1], radii[r], blurs[b]};
          double error = area_error(&disc, tolerances[t]);
          if (fabs(error) > AREA_PART)
            print_message("# colours %d radius %.1f blur %.1f tolerance %.0f: %+.2f %%\n", (int)c,
                          radii[r], blurs[b], tolerances[t], 100 * error);
          largest = fmax(largest, fabs(error));
        }
  print_message("# largest error of an area: %.2f %%\n", 100 * largest);
  assert_true(largest < AREA_PART);
}

/* Cloth, shaded and noisy, with a ragged loss in it; four seeds. */
static void
ragged_losses_in_cloth_are_found(void **state)
{
  (void)state;
  double largest = 0, worst = 1;
  for (guint seed = 1; seed <= 4; seed++) {
    Ground ground = ground_new(400, 380, CLOTH);
    PwPxPath ring = ring_ragged(200, 190, 120, 0.35, seed);
    ground_lay(&ground, &ring, PAPER);
    ground_weave(&ground, 4, 0.4);
    ground_shade(&ground, 0.25);
    ground_blur(&ground, 0.9);
    PwPlane plane = ground_photograph(&ground, 3, 6, seed);
    PwTrace trace;
    follow(&plane, (PwPx){200, 190}, 15, &trace);
    double shared = shared_part(&trace.outline, trace.holes, trace.n_holes, &ring, NULL, 0);
    double error = area_of(&trace) / pw_px_signed_area(ring.points, ring.n) - 1;
    print_message("# seed %u: area %+.2f %%, shared %.3f, %d points, smoothed by %.1f px\n", seed,
                  100 * error, shared, (int)trace.outline.n, trace.smooth_px);
    largest = fmax(largest, fabs(error));
    worst = fmin(worst, shared);
    pw_trace_clear(&trace);
    pw_plane_clear(&plane);
    pw_px_path_clear(&ring);
    ground_clear(&ground);
  }
  assert_true(largest < AREA_PART);
  assert_true(worst > 0.97);
}

/* A disc in which a large island and a speck were spared. */
static void
islands_become_holes_and_specks_are_closed(void **state)
{
  (void)state;
  Ground ground = ground_new(240, 240, LEATHER);
  PwPxPath ring = ring_disc(120, 120, 90), island = ring_disc(150.5, 130.2, 22);
  PwPxPath speck = ring_disc(90, 80, 5);
  ground_lay(&ground, &ring, PAPER);
  ground_lay(&ground, &island, LEATHER);
  ground_lay(&ground, &speck, LEATHER);
  ground_blur(&ground, 0.8);
  PwPlane plane = ground_photograph(&ground, 3, 2, 1);
  PwTrace trace;
  follow(&plane, (PwPx){100, 150}, 12, &trace);
  assert_int_equal(trace.n_holes, 1);
  assert_true(shared_part(&trace.outline, trace.holes, 1, &ring, &island, 1) > 0.99);
  pw_trace_clear(&trace);
  const PwTraceOptions all = {.tolerance = 12, .speck_px2 = 20};
  assert_true(pw_trace_follow(&plane, (PwPx){100, 150}, &all, &trace, NULL));
  assert_int_equal(trace.n_holes, 2);
  assert_simple(&trace);
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  pw_px_path_clear(&island);
  pw_px_path_clear(&speck);
  ground_clear(&ground);
}

/* Two discs joined by a bar: how much of what was followed is the one that was touched. */
static double
shared_over_bar(double width, double tolerance)
{
  Ground ground = ground_new(300, 140, LEATHER);
  PwPxPath left = ring_disc(80, 70, 50), right = ring_disc(220, 70, 50);
  PwPx bar[] = {
      {80, 70 - width / 2}, {220, 70 - width / 2}, {220, 70 + width / 2}, {80, 70 + width / 2}};
  PwPxPath strip = ring_of(bar, 4);
  ground_lay(&ground, &strip, PAPER);
  ground_lay(&ground, &left, PAPER);
  ground_lay(&ground, &right, PAPER);
  PwPlane plane = ground_photograph(&ground, 3, 0, 1);
  PwTrace trace;
  follow(&plane, (PwPx){70, 75}, tolerance, &trace);
  double shared = shared_part(&trace.outline, trace.holes, trace.n_holes, &left, NULL, 0);
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_px_path_clear(&left);
  pw_px_path_clear(&right);
  pw_px_path_clear(&strip);
  ground_clear(&ground);
  return shared;
}

static void
thin_bridges_are_not_passed(void **state)
{
  (void)state;
  assert_true(shared_over_bar(1, 20) > 0.97);
  assert_true(shared_over_bar(2, 28) > 0.97); /* of the colour, even smoothed, but a thin neck */
  assert_true(shared_over_bar(8, 20) < 0.6);
}

/* Specks all along the inside of the edge do not move it. */
static void
specks_beside_the_edge_do_not_move_it(void **state)
{
  (void)state;
  enum { SPECKS = 50 };
  Ground ground = ground_new(240, 240, LEATHER);
  PwPxPath ring = ring_disc(120, 120, 90);
  ground_lay(&ground, &ring, PAPER);
  for (int i = 0; i < SPECKS; i++) {
    double turn = 2 * G_PI * i / SPECKS;
    PwPxPath speck = ring_disc(120 + 83 * cos(turn), 120 + 83 * sin(turn), 3);
    ground_lay(&ground, &speck, CLOTH);
    pw_px_path_clear(&speck);
  }
  ground_blur(&ground, 0.8);
  PwPlane plane = ground_photograph(&ground, 3, 2, 1);
  PwTrace trace;
  follow(&plane, (PwPx){120, 120}, 12, &trace);
  assert_int_equal(trace.n_holes, 0);
  double shared = shared_part(&trace.outline, NULL, 0, &ring, NULL, 0);
  print_message("# shared %.4f\n", shared);
  assert_true(shared > 0.99);
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

/* A half disc at the plane's left edge ends there, at 0. */
static void
a_patch_at_the_edge_says_so(void **state)
{
  (void)state;
  Ground ground = ground_new(200, 200, PAPER);
  PwPxPath ring = ring_disc(0, 100, 60);
  ground_lay(&ground, &ring, LEATHER);
  ground_blur(&ground, 0.8);
  PwPlane plane = ground_photograph(&ground, 3, 1, 1);
  PwTrace trace;
  follow(&plane, (PwPx){20, 100}, 12, &trace);
  assert_true(trace.meets_edge);
  double left = 200;
  for (gsize i = 0; i < trace.outline.n; i++)
    left = fmin(left, trace.outline.points[i].x);
  assert_true(left >= 0 && left < 0.02);
  assert_true(fabs(area_of(&trace) / (G_PI * 60 * 60 / 2) - 1) < AREA_PART);
  pw_trace_clear(&trace);
  const PwTraceOptions coarse = {.tolerance = 12, .simplify_px = 12}; /* nor beyond it then */
  assert_true(pw_trace_follow(&plane, (PwPx){20, 100}, &coarse, &trace, NULL));
  for (gsize i = 0; i < trace.outline.n; i++)
    assert_true(trace.outline.points[i].x >= 0 && trace.outline.points[i].x <= 200);
  pw_trace_clear(&trace);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

static double
distance_to_ring(PwPx p, const PwPxPath *ring)
{
  double least = HUGE_VAL;
  for (gsize i = 0, j = ring->n - 1; i < ring->n; j = i++) {
    PwPx a = ring->points[j], b = ring->points[i];
    double dx = b.x - a.x, dy = b.y - a.y, l = dx * dx + dy * dy;
    double t = l > 0 ? fmin(fmax(((p.x - a.x) * dx + (p.y - a.y) * dy) / l, 0), 1) : 0;
    least = fmin(least, hypot(p.x - a.x - t * dx, p.y - a.y - t * dy));
  }
  return least;
}

/* Fewer points for more tolerance; the edge as it was found, which on a clean disc lies within a
 * tenth of a px of the truth, lies within the distance told. */
static void
the_outline_lies_as_near_as_it_says(void **state)
{
  (void)state;
  const double FOUND_PX = 0.12, asked[] = {0.3, 0, 1.5, 4};
  Ground ground = ground_new(240, 240, LEATHER);
  PwPxPath ring = ring_disc(120, 120, 90);
  ground_lay(&ground, &ring, PAPER);
  ground_blur(&ground, 0.8);
  PwPlane plane = ground_photograph(&ground, 3, 0, 1);
  gsize before = 10000;
  for (gsize i = 0; i < G_N_ELEMENTS(asked); i++) {
    const PwTraceOptions options = {.tolerance = 15, .simplify_px = asked[i]};
    PwTrace trace;
    assert_true(pw_trace_follow(&plane, (PwPx){120, 120}, &options, &trace, NULL));
    assert_simple(&trace);
    assert_true(fabs(trace.simplify_px - (i == 1 ? PW_TRACE_SIMPLIFY_PX : asked[i])) < 1e-12);
    double furthest = 0;
    for (gsize k = 0; k < ring.n; k++)
      furthest = fmax(furthest, distance_to_ring(ring.points[k], &trace.outline));
    print_message("# simplified to %.2f px: %d points, furthest %.2f px, area %+.3f %%\n",
                  trace.simplify_px, (int)trace.outline.n, furthest,
                  100 * (area_of(&trace) / (G_PI * 8100) - 1));
    assert_true(furthest < trace.simplify_px + FOUND_PX);
    assert_true(fabs(area_of(&trace) / (G_PI * 8100) - 1) < AREA_PART / 2);
    assert_true(trace.outline.n < before);
    before = trace.outline.n;
    pw_trace_clear(&trace);
  }
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

/* A window of the picture gives the outline of the whole, moved. */
static void
a_window_gives_the_same_outline(void **state)
{
  (void)state;
  Ground ground = ground_new(300, 280, CLOTH);
  PwPxPath ring = ring_ragged(170, 150, 70, 0.3, 9);
  ground_lay(&ground, &ring, PAPER);
  ground_blur(&ground, 0.8);
  PwPlane plane = ground_photograph(&ground, 3, 3, 2), window = plane;
  window.pixels += 40 * plane.stride + 3 * (gsize)64;
  window.width = 220;
  window.height = 230;
  PwTrace whole, part;
  follow(&plane, (PwPx){170, 150}, 12, &whole);
  follow(&window, (PwPx){106, 110}, 12, &part);
  assert_int_equal(whole.outline.n, part.outline.n);
  for (gsize i = 0; i < part.outline.n; i++) {
    part.outline.points[i].x += 64;
    part.outline.points[i].y += 40;
  }
  assert_true(shared_part(&whole.outline, NULL, 0, &part.outline, NULL, 0) > 0.9999);
  pw_trace_clear(&whole);
  pw_trace_clear(&part);
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

/* ---- Refusals ---------------------------------------------------------------------- */

static void
expect_code(const PwPlane *plane, PwPx at, double tolerance, int code, const char *says)
{
  const PwTraceOptions options = {.tolerance = tolerance};
  g_autoptr(GError) error = NULL;
  PwTrace trace;
  if (pw_trace_follow(plane, at, &options, &trace, &error))
    fail_msg("followed at %.1f,%.1f with %.1f", at.x, at.y, tolerance);
  assert_true(error->domain == PW_ERROR);
  if (error->code != code || strstr(error->message, says) == NULL)
    fail_msg("%d \"%s\", not %d \"%s\"", error->code, error->message, code, says);
  assert_null(trace.outline.points);
  assert_int_equal(trace.n_holes, 0);
}

/* Noise alone, at tolerances from a touch to all colours: never an outline. */
static void
noise_is_refused(void **state)
{
  (void)state;
  const double levels[] = {4, 8, 20, 60}, tolerances[] = {1.5, 2, 3, 4, 6, 8, 12, 20, 35, 60};
  int refused = 0;
  for (gsize l = 0; l < G_N_ELEMENTS(levels); l++)
    for (guint seed = 0; seed < 3; seed++) {
      const double grey[3] = {0.2, 0.2, 0.2};
      Ground ground = ground_new(300, 300, grey);
      PwPlane plane = ground_photograph(&ground, 3, levels[l], seed);
      for (gsize t = 0; t < G_N_ELEMENTS(tolerances); t++) {
        const PwTraceOptions options = {.tolerance = tolerances[t]};
        g_autoptr(GError) error = NULL;
        PwTrace trace;
        if (pw_trace_follow(&plane, (PwPx){150, 150}, &options, &trace, &error))
          fail_msg("noise of %.0f levels gave an outline of %.0f px2 with %.0f", levels[l],
                   area_of(&trace), tolerances[t]);
        assert_int_equal(error->code, PW_ERROR_NUMERIC);
        refused++;
      }
      if (levels[l] > 50) /* not even smoothed is a colour of its own there */
        expect_code(&plane, (PwPx){150, 150}, 1.5, PW_ERROR_NUMERIC, "too many colours");
      pw_plane_clear(&plane);
      ground_clear(&ground);
    }
  print_message("# %d pictures of noise refused\n", refused);
}

/* A straight and a round slope of light; quiet and with noise. */
static Ground
slope(gboolean round)
{
  Ground ground = ground_new(400, 400, PAPER);
  for (int y = 0; y < 400; y++)
    for (int x = 0; x < 400; x++)
      for (int c = 0; c < 3; c++) {
        double part = round ? hypot(x - 200, y - 200) / 280 : x / 400.0;
        ground.light[3 * (y * 400 + x) + c] *= pow(1 - 0.9 * part, 2);
      }
  return ground;
}

static void
slow_changes_are_refused(void **state)
{
  (void)state;
  const double tolerances[] = {2, 4, 8, 12, 20, 30};
  for (int round = 0; round < 2; round++)
    for (int noise = 0; noise < 2; noise++) {
      Ground ground = slope(round);
      PwPlane plane = ground_photograph(&ground, 3, 4 * noise, 1);
      for (gsize t = 0; t < G_N_ELEMENTS(tolerances); t++)
        expect_code(&plane, (PwPx){200, 200}, tolerances[t], PW_ERROR_NUMERIC, "");
      expect_code(&plane, (PwPx){200, 200}, 8, PW_ERROR_NUMERIC, "little by little");
      pw_plane_clear(&plane);
      ground_clear(&ground);
    }
}

static void
patches_that_run_away_are_refused(void **state)
{
  (void)state;
  Ground ground = ground_new(200, 160, PAPER);
  PwPxPath ring = ring_disc(150, 80, 30);
  ground_lay(&ground, &ring, LEATHER);
  PwPlane plane = ground_photograph(&ground, 3, 2, 1);
  expect_code(&plane, (PwPx){60, 80}, 12, PW_ERROR_NUMERIC, "before the edge of the picture");
  const PwTraceOptions options = {.tolerance = 12};
  PwTrace trace;
  assert_false(pw_trace_follow(&plane, (PwPx){60, 80}, &options, &trace, NULL));
  assert_true(trace.meets_edge); /* a caller with a larger picture asks again */
  pw_plane_clear(&plane);
  pw_px_path_clear(&ring);
  ground_clear(&ground);
}

static void
edges_and_lines_touched_are_refused(void **state)
{
  (void)state;
  Ground ground = ground_new(200, 160, PAPER);
  PwPx half[] = {{100, -5}, {205, -5}, {205, 165}, {100, 165}};
  PwPx thin[] = {{40, 20}, {42, 20}, {42, 140}, {40, 140}};
  PwPxPath right = ring_of(half, 4), line = ring_of(thin, 4);
  ground_lay(&ground, &right, LEATHER);
  ground_lay(&ground, &line, LEATHER);
  ground_blur(&ground, 1);
  PwPlane plane = ground_photograph(&ground, 3, 1, 1);
  for (double tolerance = 2; tolerance <= 30; tolerance += 4)
    expect_code(&plane, (PwPx){100, 80}, tolerance, PW_ERROR_NUMERIC,
                tolerance < 10 ? "touch further inside" : "");
  expect_code(&plane, (PwPx){41, 80}, 2, PW_ERROR_NUMERIC, "touch further inside");
  pw_plane_clear(&plane);
  pw_px_path_clear(&right);
  pw_px_path_clear(&line);
  ground_clear(&ground);
}

/* Planes of one px, or one px wide, dark and light: an outline that is one, or words. */
static void
tiny_planes_give_an_outline_or_words(void **state)
{
  (void)state;
  g_autofree guint8 *pixels = g_malloc0(3 * 400);
  for (int i = 0; i < 3 * 400; i++)
    pixels[i] = (guint8)(i / 600 * 200);
  const int sizes[][2] = {{1, 1}, {1, 400}, {400, 1}, {2, 2}, {3, 3}, {2, 100}, {20, 20}};
  for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++)
    for (int end = 0; end < 2; end++) {
      PwPlane plane = {pixels, sizes[i][0], sizes[i][1], 3, 3 * (gsize)sizes[i][0]};
      const PwTraceOptions options = {.tolerance = 10};
      g_autoptr(GError) error = NULL;
      PwTrace trace;
      if (pw_trace_follow(&plane, (PwPx){end * plane.width, end * plane.height}, &options, &trace,
                          &error))
        assert_simple(&trace);
      else
        assert_int_equal(error->code, PW_ERROR_NUMERIC);
      assert_true(i > 0 || error != NULL); /* one px has no edge */
      pw_trace_clear(&trace);
    }
}

static void
what_is_out_of_bounds_is_refused(void **state)
{
  (void)state;
  g_autofree guint8 *pixels = g_malloc0(3 * 64 * 64);
  PwPlane plane = {pixels, 64, 64, 3, 192}, grey = {pixels, 64, 64, 1, 64};
  PwPlane huge = {pixels, 8000, 8000, 3, 24000}, none = {NULL, 0, 0, 3, 0};
  const PwPx outside[] = {{-0.1, 3}, {3, -0.1}, {64.1, 3}, {3, 64.1}, {NAN, 3}, {3, HUGE_VAL}};
  for (gsize i = 0; i < G_N_ELEMENTS(outside); i++)
    expect_code(&plane, outside[i], 10, PW_ERROR_USE, "outside the photograph");
  const double tolerances[] = {1.4, 61, -5, 0, NAN, HUGE_VAL};
  for (gsize i = 0; i < G_N_ELEMENTS(tolerances); i++)
    expect_code(&plane, (PwPx){3, 3}, tolerances[i], PW_ERROR_USE, "out of bounds");
  expect_code(&grey, (PwPx){3, 3}, 10, PW_ERROR_LIMIT, "colour picture");
  expect_code(&huge, (PwPx){3, 3}, 10, PW_ERROR_LIMIT, "32 megapixels");
  expect_code(&none, (PwPx){0, 0}, 10, PW_ERROR_LIMIT, "colour picture");
  const PwTraceOptions wrong[] = {{.tolerance = 10, .simplify_px = -1},
                                  {.tolerance = 10, .simplify_px = 21},
                                  {.tolerance = 10, .simplify_px = NAN},
                                  {.tolerance = 10, .speck_px2 = -3},
                                  {.tolerance = 10, .speck_px2 = NAN}};
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
    g_autoptr(GError) error = NULL;
    PwTrace trace;
    assert_false(pw_trace_follow(&plane, (PwPx){3, 3}, &wrong[i], &trace, &error));
    assert_int_equal(error->code, PW_ERROR_USE);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(discs_have_their_area_whatever_the_tolerance),
      cmocka_unit_test(ragged_losses_in_cloth_are_found),
      cmocka_unit_test(islands_become_holes_and_specks_are_closed),
      cmocka_unit_test(thin_bridges_are_not_passed),
      cmocka_unit_test(specks_beside_the_edge_do_not_move_it),
      cmocka_unit_test(a_patch_at_the_edge_says_so),
      cmocka_unit_test(the_outline_lies_as_near_as_it_says),
      cmocka_unit_test(a_window_gives_the_same_outline),
      cmocka_unit_test(noise_is_refused),
      cmocka_unit_test(slow_changes_are_refused),
      cmocka_unit_test(patches_that_run_away_are_refused),
      cmocka_unit_test(edges_and_lines_touched_are_refused),
      cmocka_unit_test(tiny_planes_give_an_outline_or_words),
      cmocka_unit_test(what_is_out_of_bounds_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
