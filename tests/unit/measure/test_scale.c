/* Scales and poses: published figures, invariances, refusals. */
#include <platewright/measure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

/* A 6000 x 4000 picture with a card of 100 x 60 mm seen square on at 10 px/mm, about (1500, 1300).
 */
static PwScaleInput
plain_rectangle(void)
{
  return (PwScaleInput){.method = PW_SCALE_RECTANGLE,
                        .corners = {{1000, 1000}, {2000, 1000}, {2000, 1600}, {1000, 1600}},
                        .width_mm = 100,
                        .height_mm = 60,
                        .tolerance_mm = nan(""),
                        .plane_offset_mm = 0,
                        .camera_distance_mm = nan(""),
                        .focal_px = nan(""),
                        .focal_mm = nan(""),
                        .picture_width = 6000,
                        .picture_height = 4000,
                        .lens_residual_px = nan("")};
}

static PwScaleInput
plain_span(void)
{
  PwScaleInput input = plain_rectangle();
  input.method = PW_SCALE_SPAN;
  input.from = (PwPx){1000, 1000};
  input.to = (PwPx){1600, 1800};
  input.length_mm = 100;
  return input;
}

static PwScale *
scale_of(const PwScaleInput *input)
{
  PwUncertainty uncertainty;
  g_autoptr(GError) error = NULL;
  pw_uncertainty_init_defaults(&uncertainty);
  PwScale *scale = pw_scale_new(input, &uncertainty, &error);
  if (!scale)
    fail_msg("%s", error->message);
  return scale;
}

static PwScaleFacts
facts_of(const PwScaleInput *input)
{
  PwScaleFacts facts;
  g_autoptr(PwScale) scale = scale_of(input);
  pw_scale_facts(scale, &facts);
  return facts;
}

static void
assert_no_scale(const PwScaleInput *input, PwErrorCode code, const char *says)
{
  PwUncertainty uncertainty;
  g_autoptr(GError) error = NULL;
  pw_uncertainty_init_defaults(&uncertainty);
  assert_null(pw_scale_new(input, &uncertainty, &error));
  assert_true(g_error_matches(error, PW_ERROR, (gint)code));
  if (!strstr(error->message, says))
    fail_msg("\"%s\" does not say \"%s\"", error->message, says);
}

static void
a_rectangle_makes_a_frame(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  g_autoptr(PwScale) scale = scale_of(&input);
  PwScaleFacts facts;
  PwMm mm;
  pw_scale_facts(scale, &facts);
  assert_near(facts.mm_per_px, .1, 1e-12);
  assert_true(isnan(facts.fit_rms_px));
  assert_true(isnan(facts.tilt_deg));
  assert_true(isnan(facts.camera_distance_mm));
  assert_true(pw_scale_map(scale, (PwPx){1500, 1300}, &mm)); /* the origin: the card's middle */
  assert_near(mm.x, 0, 1e-9);
  assert_near(mm.y, 0, 1e-9);
  assert_true(pw_scale_map(scale, (PwPx){2000, 1600}, &mm));
  assert_near(mm.x, 50, 1e-9);
  assert_near(mm.y, 30, 1e-9);
}

/* A card that lies turned gives the same frame: x is the picture's x at its middle. */
static void
the_frame_follows_the_picture(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  for (int quarter = 0; quarter < 4; quarter++) {
    PwScaleInput turned = input;
    for (int i = 0; i < 4; i++)
      turned.corners[i] = input.corners[(i + quarter) % 4];
    turned.width_mm = quarter % 2 ? 60 : 100;
    turned.height_mm = quarter % 2 ? 100 : 60;
    PwScaleFacts facts = facts_of(&turned);
    const double expected[9] = {.1, 0, -150, 0, .1, -130, 0, 0, 1};
    for (int i = 0; i < 9; i++)
      assert_near(facts.homography.m[i], expected[i], 1e-9);
  }
}

static void
a_leaning_card_keeps_the_frame(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  static const PwPx seen[4] = {{100, 100}, {1100, 140}, {1060, 720}, {130, 690}}; /* HOM2 */
  memcpy(input.corners, seen, sizeof seen);
  g_autoptr(PwScale) scale = scale_of(&input);
  PwScaleFacts facts;
  PwMm origin, corner[4];
  double j[4];
  pw_scale_facts(scale, &facts);
  PwPx middle = {600.4852133876, 423.2300336462};
  assert_true(pw_scale_map(scale, middle, &origin));
  assert_near(hypot(origin.x, origin.y), 0, 1e-8);
  pw_homography_jacobian(&facts.homography, middle.x, middle.y, j);
  assert_true(j[0] > 0);
  assert_near(j[2], 0, 1e-10);
  assert_near(facts.mm_per_px, sqrt(j[0] * j[3]), 1e-12);
  for (int i = 0; i < 4; i++)
    assert_true(pw_scale_map(scale, seen[i], &corner[i]));
  assert_near(hypot(corner[1].x - corner[0].x, corner[1].y - corner[0].y), 100, 1e-9);
  assert_near(hypot(corner[2].x - corner[1].x, corner[2].y - corner[1].y), 60, 1e-9);
}

static void
a_span_gives_scale_and_no_tilt(void **state)
{
  (void)state;
  PwScaleInput input = plain_span();
  input.focal_px = 8000;
  g_autoptr(PwScale) scale = scale_of(&input);
  PwScaleFacts facts;
  PwMm mm;
  pw_scale_facts(scale, &facts);
  assert_near(facts.mm_per_px, .1, 1e-12);
  assert_true(isnan(facts.tilt_deg));
  assert_near(facts.camera_distance_mm, 800, 1e-9);
  assert_true(pw_scale_map(scale, (PwPx){1300, 1400}, &mm));
  assert_near(hypot(mm.x, mm.y), 0, 1e-9);
  assert_true(pw_scale_map(scale, (PwPx){1310, 1400}, &mm));
  assert_near(mm.x, 1, 1e-9);
  assert_near(mm.y, 0, 1e-9);
}

/* The same line, read from graduations, is the same scale; how sure it is, it is told: 0.04 mm with
 * 6 degrees of freedom, and the pitch's 0.1 % (JCGM 100 4.3.7: over root 3), unless another is
 * said. */
static void
ticks_are_a_span_that_was_read(void **state)
{
  (void)state;
  PwScaleInput span = plain_span(), ticks = span;
  PwPx points[2] = {{900, 900}, {2500, 900}};
  PwShape line = {.kind = PW_KIND_LINE, .path = {points, 2}};
  PwShapeSizes sizes;
  PwUncertainty uncertainty = {{0}};
  static const struct {
    double setting, tolerance, u_percent, pitch_percent, dof;
  } rows[] = {{(double)NAN, (double)NAN, .04, .1,
               6 * (.0016 + .01 / 3) * (.0016 + .01 / 3) / (.0016 * .0016)},
              {(double)NAN, 0, .04, 0, 6},
              {.5, .2, .5, .2, HUGE_VAL}};
  ticks.method = PW_SCALE_TICKS;
  ticks.length_u_mm = .04;
  ticks.length_dof = 6;
  assert_int_equal(facts_of(&ticks).method, PW_SCALE_TICKS);
  assert_true(isnan(facts_of(&ticks).tilt_deg));
  assert_true(isnan(facts_of(&ticks).misfit_percent));
  for (int i = 0; i < 9; i++)
    assert_near(facts_of(&ticks).homography.m[i], facts_of(&span).homography.m[i], 0);
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    uncertainty.by[PW_INPUT_TICKS] = rows[i].setting;
    ticks.tolerance_mm = rows[i].tolerance;
    g_autoptr(PwScale) scale = pw_scale_new(&ticks, &uncertainty, NULL);
    assert_true(pw_measure_shape(scale, &line, &sizes, NULL));
    PwQuantity q = pw_size_quantity(&sizes.length_mm);
    assert_near(q.value, 160, 1e-9);
    assert_near(q.u, 1.6 * hypot(rows[i].u_percent, rows[i].pitch_percent / sqrt(3)), 1e-6);
    if (isinf(rows[i].dof))
      assert_true(isinf(q.dof));
    else
      assert_near(q.dof, rows[i].dof, 1e-6);
    pw_shape_sizes_clear(&sizes);
  }
}

/* PIN1: f 50 mm, pixels of 0.006 mm, 1000 mm: m 0.0526316, 8.7719 px/mm. Thin-lens geometry. */
static void
the_distance_needs_the_magnification(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  double m = 50 / (1000 - 50.), px_per_mm = m / .006;
  assert_near(m, .0526316, 1e-7);
  assert_near(px_per_mm, 8.7719, 1e-4);
  for (int i = 0; i < 4; i++)
    input.corners[i] = (PwPx){3000 + px_per_mm * (i == 1 || i == 2 ? 50 : -50),
                              2000 + px_per_mm * (i >= 2 ? 30 : -30)};
  input.focal_px = 50 / .006;
  input.focal_mm = 50;
  PwScaleFacts facts = facts_of(&input);
  assert_near(facts.camera_distance_mm, 1000, 1e-6);
  assert_near(facts.tilt_deg, 0, 1e-5);
  input.focal_mm = nan(""); /* f alone is 5 % wrong */
  assert_near(facts_of(&input).camera_distance_mm, 950, 1e-6);
}

/* A plane leaning by 20 degrees about y, its middle seen at the picture's centre, 700 mm away. */
static void
tilt_and_distance_are_found_again(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  double lean = 20 * G_PI / 180, f = 9000;
  for (int i = 0; i < 4; i++) {
    double x = i == 1 || i == 2 ? 50 : -50, y = i >= 2 ? 30 : -30;
    double depth = 700 + x * sin(lean);
    input.corners[i] = (PwPx){3000 + f * x * cos(lean) / depth, 2000 + f * y / depth};
  }
  input.focal_px = f;
  PwScaleFacts facts = facts_of(&input);
  assert_near(facts.tilt_deg, 20, 1e-6);
  assert_near(facts.camera_distance_mm, 700 * cos(lean), 1e-6);
  input.camera_distance_mm = 900; /* wins */
  facts = facts_of(&input);
  assert_near(facts.camera_distance_mm, 900, 0);
  assert_near(facts.tilt_deg, 20, 1e-6);
}

static double
line_length(const PwScaleInput *input, PwPx from, PwPx to)
{
  g_autoptr(PwScale) scale = scale_of(input);
  PwMm a, b;
  assert_true(pw_scale_map(scale, from, &a));
  assert_true(pw_scale_map(scale, to, &b));
  return hypot(b.x - a.x, b.y - a.y);
}

/* REL3: D 1000 mm, h 20 mm: looks 1.020408 times as large. */
static void
a_nearer_surface_looks_larger(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  PwPx from = {200, 300}, to = {5000, 3500};
  input.camera_distance_mm = 1000;
  double level = line_length(&input, from, to);
  input.plane_offset_mm = 20;
  assert_near(level / line_length(&input, from, to), 1.020408, 1e-6);
  assert_near(facts_of(&input).mm_per_px, .1 / 1.0204082, 1e-8);
  assert_near(facts_of(&input).plane_offset_mm, 20, 0);
  input.plane_offset_mm = -20;
  assert_near(line_length(&input, from, to) / level, 1.02, 1e-9);
}

/* REL1, REL4: f 0.2101 m, 1:10800; a tower's bottom 71.68 mm and top 76.61 mm from the principal
 * point: H 2269 m, h 146 m, d 4.930 mm. Hicks, Handbook of Civil Engineering Calculations. Here the
 * picture has ten px a mm and the card is a field of 1000 x 600 m. */
static void
height_from_a_vertical_photograph(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  double mm_per_px = 1080;
  input.width_mm = 1e6;
  input.height_mm = 6e5;
  for (int i = 0; i < 4; i++)
    input.corners[i] = (PwPx){3000 + (i == 1 || i == 2 ? 5e5 : -5e5) / mm_per_px,
                              2000 + (i >= 2 ? 3e5 : -3e5) / mm_per_px};
  input.focal_px = 2101;
  double flying_height = facts_of(&input).camera_distance_mm;
  assert_near(flying_height / 1e3, 2269, .5);
  double tower = flying_height * (1 - 71.68 / 76.61);
  assert_near(tower / 1e3, 146, .5);
  double bottom = line_length(&input, (PwPx){3000, 2000}, (PwPx){3716.8, 2000});
  input.plane_offset_mm = tower;
  double top = line_length(&input, (PwPx){3000, 2000}, (PwPx){3766.1, 2000});
  assert_near(top, bottom, 1e-6 * bottom); /* the tower stands upright */
  assert_near(76.61 * 146 / 2269, 4.930, .01);
}

static void
another_offset_is_another_scale(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  input.camera_distance_mm = 800;
  g_autoptr(PwScale) scale = scale_of(&input);
  g_autoptr(PwScale) raised = pw_scale_new_at_offset(scale, 12, PW_SCOPE_MARK, 5, NULL);
  PwScaleFacts facts;
  pw_scale_facts(raised, &facts);
  assert_near(facts.mm_per_px, .1 * 788 / 800, 1e-12);
  g_autoptr(GError) error = NULL;
  assert_null(pw_scale_new_at_offset(scale, 800, PW_SCOPE_MARK, 5, &error));
  assert_non_null(strstr(error->message, "behind the camera"));
}

static void
lens_coefficients_are_undone_first(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  input.lens = (PwLens){8000, 3010, 1990, -.08, .01};
  for (int i = 0; i < 4; i++)
    input.corners[i] = pw_lens_distort(&input.lens, input.corners[i]);
  g_autoptr(PwScale) scale = scale_of(&input);
  PwMm mm;
  assert_true(pw_scale_map(scale, pw_lens_distort(&input.lens, (PwPx){5500, 300}), &mm));
  assert_near(mm.x, 400, 1e-6);
  assert_near(mm.y, -100, 1e-6);
  PwScaleFacts facts;
  pw_scale_facts(scale, &facts);
  assert_near(facts.lens.k1, -.08, 0);
  assert_near(facts.camera_distance_mm, 800, 1e-5); /* by the f-px of the coefficients */
}

static void
beyond_the_horizon_there_is_no_place(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  static const PwPx steep[4] = {{2800, 2000}, {3200, 2000}, {3400, 2400}, {2600, 2400}};
  memcpy(input.corners, steep, sizeof steep); /* sides meet at (3000, 1600) */
  g_autoptr(PwScale) scale = scale_of(&input);
  PwMm mm;
  assert_true(pw_scale_map(scale, (PwPx){3000, 1700}, &mm));
  assert_false(pw_scale_map(scale, (PwPx){3000, 1500}, &mm));
  assert_true(pw_scale_map(scale, (PwPx){3000, 4000}, &mm));
}

static void
what_cannot_stand_is_refused(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  input.corners[2] = (PwPx){3000, 1000};
  assert_no_scale(&input, PW_ERROR_NUMERIC, "line");
  input = plain_rectangle();
  input.corners[1] = input.corners[0];
  assert_no_scale(&input, PW_ERROR_NUMERIC, "coincide");
  input = plain_rectangle();
  input.corners[1] = plain_rectangle().corners[3];
  input.corners[3] = plain_rectangle().corners[1];
  assert_no_scale(&input, PW_ERROR_NUMERIC, "clockwise");
  input = plain_rectangle();
  input.corners[0] = (PwPx){1900, 1500}; /* dented */
  assert_no_scale(&input, PW_ERROR_NUMERIC, "no plane");
  input = plain_rectangle();
  input.height_mm = 0;
  assert_no_scale(&input, PW_ERROR_RECORD, "above 0");
  input = plain_span();
  input.to = input.from;
  assert_no_scale(&input, PW_ERROR_NUMERIC, "coincide");
  input = plain_span();
  input.length_mm = -1;
  assert_no_scale(&input, PW_ERROR_RECORD, "above 0");
  input = plain_span();
  input.method = PW_SCALE_TICKS;
  input.length_u_mm = nan("");
  input.length_dof = 5;
  assert_no_scale(&input, PW_ERROR_NUMERIC, "how sure");
}

static void
what_is_missing_is_said(void **state)
{
  (void)state;
  PwScaleInput input = plain_rectangle();
  input.method = PW_SCALE_NONE;
  assert_no_scale(&input, PW_ERROR_RECORD, "no scale");
  input = plain_rectangle();
  input.plane_offset_mm = nan("");
  assert_no_scale(&input, PW_ERROR_RECORD, "no plane-offset");
  input = plain_rectangle();
  input.plane_offset_mm = 3;
  assert_no_scale(&input, PW_ERROR_RECORD, "no camera distance");
  input = plain_span();
  input.plane_offset_mm = -3;
  assert_no_scale(&input, PW_ERROR_RECORD, "no camera distance");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_rectangle_makes_a_frame),
      cmocka_unit_test(the_frame_follows_the_picture),
      cmocka_unit_test(a_leaning_card_keeps_the_frame),
      cmocka_unit_test(a_span_gives_scale_and_no_tilt),
      cmocka_unit_test(ticks_are_a_span_that_was_read),
      cmocka_unit_test(the_distance_needs_the_magnification),
      cmocka_unit_test(tilt_and_distance_are_found_again),
      cmocka_unit_test(a_nearer_surface_looks_larger),
      cmocka_unit_test(height_from_a_vertical_photograph),
      cmocka_unit_test(another_offset_is_another_scale),
      cmocka_unit_test(lens_coefficients_are_undone_first),
      cmocka_unit_test(beyond_the_horizon_there_is_no_place),
      cmocka_unit_test(what_cannot_stand_is_refused),
      cmocka_unit_test(what_is_missing_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
