/* Shapes and unions: values, contributions by the law of propagation, knots, refusals. */
#include <platewright/measure.h>

#include "../../reference/rows.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <time.h>
#include <cmocka.h>

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

/* Square on, so many mm a px, and only the inputs that a test sets. */
static PwScale *
plain_scale(double mm_per_px, const PwUncertainty *uncertainty)
{
  PwScaleInput input = {.method = PW_SCALE_SPAN,
                        .from = {2500, 2000},
                        .to = {3500, 2000},
                        .length_mm = 1000 * mm_per_px,
                        .tolerance_mm = nan(""),
                        .camera_distance_mm = 1000,
                        .focal_px = nan(""),
                        .picture_width = 6000,
                        .picture_height = 4000,
                        .photo_owner = 11,
                        .lens_owner = 12};
  g_autoptr(GError) error = NULL;
  PwScale *scale = pw_scale_new(&input, uncertainty, &error);
  if (!scale)
    fail_msg("%s", error->message);
  return scale;
}

/* A card seen askew, the marks anywhere. */
static PwScale *
askew_scale(const PwUncertainty *uncertainty)
{
  PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                        .corners = {{2100, 1100}, {3100, 1140}, {3060, 1720}, {2130, 1690}},
                        .width_mm = 100,
                        .height_mm = 60,
                        .tolerance_mm = nan(""),
                        .camera_distance_mm = 900,
                        .focal_px = nan(""),
                        .picture_width = 6000,
                        .picture_height = 4000,
                        .photo_owner = 11,
                        .lens_owner = 12};
  return pw_scale_new(&input, uncertainty, NULL);
}

static PwShape
shape_of(PwKind kind, const char *points, guint owner)
{
  PwShape shape = {.kind = kind, .mark_owner = owner};
  assert_true(pw_px_path_parse(points, &shape.path, NULL, NULL));
  return shape;
}

static void
shape_clear(PwShape *shape)
{
  reference_paths_free(shape->holes, shape->n_holes);
  pw_px_path_clear(&shape->path);
}

static PwShapeSizes
sizes_of(const PwScale *scale, const PwShape *shape)
{
  PwShapeSizes sizes;
  g_autoptr(GError) error = NULL;
  if (!pw_measure_shape(scale, shape, &sizes, &error))
    fail_msg("%s", error->message);
  return sizes;
}

static PwUncertainty
only(PwInput input, double setting)
{
  PwUncertainty uncertainty = {{0}};
  uncertainty.by[input] = setting;
  return uncertainty;
}

/* AREA-SQ of facts/worked-examples.csv: JCGM 100 eq (10) on the shoelace. */
static void
a_rectangle_with_independent_corners(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, .5);
  g_autoptr(PwScale) scale = plain_scale(1, &uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, "0,0 100,0 100,60 0,60", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_near(sizes.area_mm2.value, 6000, 1e-9);
  assert_near(sizes.perimeter_mm.value, 320, 1e-9);
  assert_near(sizes.longest_mm.value, hypot(100, 60), 1e-9);
  assert_near(pw_size_quantity(&sizes.area_mm2).u, 58.3095, 1e-4);
  /* Two ends, each .5 px along the diagonal. */
  assert_near(pw_size_quantity(&sizes.longest_mm).u, .5 * G_SQRT2, 1e-9);
  assert_int_equal(sizes.area_mm2.n, 8);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

/* AREA-SQ with three times its sigma, for this mark alone; in a union each knot keeps its own. */
static void
a_mark_may_be_placed_worse_than_others(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, .5);
  g_autoptr(PwScale) scale = plain_scale(1, &uncertainty);
  PwShape far = shape_of(PW_KIND_AREA, "0,0 100,0 100,60 0,60", 1);
  PwShape near = shape_of(PW_KIND_AREA, "500,0 600,0 600,60 500,60", 2);
  far.outline_px = 1.5;
  near.outline_px = (double)NAN;
  PwShapeSizes sizes = sizes_of(scale, &far);
  assert_near(pw_size_quantity(&sizes.area_mm2).u, 3 * 58.3095, 3e-4);
  pw_shape_sizes_clear(&sizes);
  const PwShape *both[] = {&far, &near};
  PwSize united;
  assert_true(pw_measure_union(scale, both, 2, &united, NULL));
  assert_near(pw_size_quantity(&united).u, sqrt(10) * 58.3095, 4e-4);
  pw_size_clear(&united);
  PwShape line = shape_of(PW_KIND_LINE, "0,0 100,0", 3);
  line.outline_px = 4;
  sizes = sizes_of(scale, &line);
  /* two ends along the line, and what u across lengthens it by, u^2 / L */
  assert_near(pw_size_quantity(&sizes.length_mm).u, sqrt(2 * 16 + .16 * .16), 1e-9);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&line);
  shape_clear(&near);
  shape_clear(&far);
}

/* AREA-TRI: sides of 3, 4 and 5, sigma 0.1; here at 100 px. */
static void
a_triangle_with_independent_corners(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, 10);
  g_autoptr(PwScale) scale = plain_scale(.01, &uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, "1000,1000 1400,1000 1000,1300", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_near(sizes.area_mm2.value, 6, 1e-9);
  assert_near(sizes.perimeter_mm.value, 12, 1e-9);
  assert_near(pw_size_quantity(&sizes.area_mm2).u, .353553, 1e-6);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

/* AREA-SCALE: 1000 mm2, 1 % of scale: 20 mm2, for both axes err together. */
static void
an_area_errs_twice_as_its_scale(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_SPAN, 10 * sqrt(3)); /* 1 % of 1000 mm */
  g_autoptr(PwScale) scale = plain_scale(1, &uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, "0,0 50,0 50,20 0,20", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_near(sizes.area_mm2.value, 1000, 1e-9);
  assert_near(pw_size_quantity(&sizes.area_mm2).u, 20, 1e-9);
  assert_near(pw_size_quantity(&sizes.perimeter_mm).u, 1.4, 1e-9);
  assert_int_equal(sizes.area_mm2.contributions[0].input, PW_INPUT_SPAN);
  assert_int_equal(sizes.area_mm2.contributions[0].scope, PW_SCOPE_PHOTO);
  assert_int_equal(sizes.area_mm2.contributions[0].owner, 11);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

static void
holes_subtract_and_shrink(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINING, sqrt(3)); /* u = 1 px: GUM-RECT */
  g_autoptr(PwScale) scale = plain_scale(1, &uncertainty);
  PwShape shape =
      shape_of(PW_KIND_AREA, "0,0 0,60 100,60 100,0", 1); /* anticlockwise, as it comes */
  shape.holes = reference_paths("10,10 30,10 30,30 10,30|50,50 50,30 90,30 90,50", &shape.n_holes);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_near(sizes.area_mm2.value, 6000 - 400 - 800, 1e-9);
  assert_near(sizes.perimeter_mm.value, 320 + 80 + 120, 1e-9);
  assert_near(pw_shape_area_px(&shape), 4800, 1e-9);
  assert_near(pw_shape_length_px(&shape), 320, 1e-9);
  /* 1 px outwards: the area gains the whole boundary, a square corner 2 px of edge, and the holes'
   * edges lose as much. */
  assert_near(pw_size_quantity(&sizes.area_mm2).u, 520, 1e-9);
  assert_true(sizes.area_mm2.contributions[0].c > 0);
  assert_near(sizes.perimeter_mm.contributions[0].c, 8 - 2 * 8, 1e-9);
  assert_near(sizes.longest_mm.contributions[0].c, 2 * (100 + 60) / hypot(100, 60), 1e-9);
  assert_int_equal(sizes.area_mm2.contributions[0].scope, PW_SCOPE_VOLUME);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

static void
a_line_has_a_length_and_no_outside(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, 1);
  uncertainty.by[PW_INPUT_OUTLINING] = 1;
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  PwShape shape = shape_of(PW_KIND_LINE, "100,100 400,100 400,500", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_near(sizes.length_mm.value, 70, 1e-9);
  assert_int_equal(sizes.area_mm2.n, 0);
  assert_near(pw_size_share_of(&sizes.length_mm, PW_INPUT_OUTLINING, PW_SCOPE_VOLUME), 0, 0);
  /* Ends along the line, the corner by both its edges (1, 1); what second order adds is 1/300 +
   * 1/400 px. */
  double lengthening = .1 * (1 / 300. + 1 / 400.);
  assert_near(pw_size_quantity(&sizes.length_mm).u,
              sqrt(.01 * (1 + 1 + 2) + lengthening * lengthening), 1e-9);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

static void
a_point_has_no_size(void **state)
{
  (void)state;
  PwUncertainty uncertainty = {{0}};
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  PwShape shape = shape_of(PW_KIND_POINT, "100,100", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_int_equal(sizes.area_mm2.n + sizes.length_mm.n, 0);
  assert_near(pw_shape_area_px(&shape), 0, 0);
  shape_clear(&shape);
}

static double
u_of_circle(const PwScale *scale, gsize n, gsize *n_inputs)
{
  PwShape shape = {.kind = PW_KIND_AREA, .path = {g_new(PwPx, n), n}};
  for (gsize i = 0; i < n; i++) {
    double angle = 2 * G_PI * (double)i / (double)n + .3;
    shape.path.points[i] = (PwPx){3000 + 96 * cos(angle), 2000 + 96 * sin(angle)};
  }
  PwShapeSizes sizes = sizes_of(scale, &shape);
  double u = pw_size_quantity(&sizes.area_mm2).u;
  *n_inputs = sizes.area_mm2.n;
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
  return u;
}

/* 603 px round: 15 knots at the most, however many points were drawn. */
static void
a_freehand_outline_is_no_surer(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, 2);
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  gsize few, many;
  double u12 = u_of_circle(scale, 12, &few), u500 = u_of_circle(scale, 500, &many);
  assert_int_equal(few, 24);
  assert_int_equal(many, 2 * 15);
  assert_near(u500 / u12, sqrt(12. / 15), .03);
}

/* Under four knots every vertex is one; vertices nearer than 40 px move with their neighbours. */
static void
knots_stand_forty_px_apart(void **state)
{
  (void)state;
  static const struct {
    PwKind kind;
    const char *points;
    gsize n_knots;
  } cases[] = {
      {PW_KIND_AREA, "0,0 30,0 30,30 0,30", 4}, /* 30 px apart: only two knots, so all */
      {PW_KIND_AREA, "0,0 20,0 40,0 80,0 80,40 60,40 40,40 0,40", 6},
      {PW_KIND_AREA, "0,0 39,0 80,0 80,39 80,80 0,80", 4},
      {PW_KIND_AREA, "0,0 40,0 40,20 40,40 20,20", 5}, /* three knots: too few, so all */
      {PW_KIND_LINE, "0,0 10,0 20,5 30,0", 2},
      {PW_KIND_LINE, "0,0 10,0 50,0 60,0", 3},
      {PW_KIND_AREA, "0,0 100,0 100,0 100,100 0,100 0,0", 4}, /* points set twice */
  };
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, 2);
  g_autoptr(PwScale) scale = askew_scale(&uncertainty);
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    PwShape shape = shape_of(cases[i].kind, cases[i].points, 1);
    PwShapeSizes sizes = sizes_of(scale, &shape);
    const PwSize *size = shape.kind == PW_KIND_AREA ? &sizes.perimeter_mm : &sizes.length_mm;
    assert_int_equal(size->n, 2 * cases[i].n_knots + 1);
    pw_shape_sizes_clear(&sizes);
    shape_clear(&shape);
  }
}

/* Each contribution is half of what the size gains when its knot goes from -u to +u. */
static void
sensitivities_are_derivatives(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, .01);
  g_autoptr(PwScale) scale = askew_scale(&uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, "900,900 2000,1000 1800,2000 1200,2300 700,1700", 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  for (gsize k = 0; k < 2 * shape.path.n; k++) {
    double *moved = k % 2 ? &shape.path.points[k / 2].y : &shape.path.points[k / 2].x, at = *moved;
    *moved = at + .01;
    PwShapeSizes up = sizes_of(scale, &shape);
    *moved = at - .01;
    PwShapeSizes down = sizes_of(scale, &shape);
    *moved = at;
    assert_int_equal(sizes.area_mm2.contributions[k].index, k);
    assert_near(sizes.area_mm2.contributions[k].c, (up.area_mm2.value - down.area_mm2.value) / 2,
                1e-6);
    assert_near(sizes.perimeter_mm.contributions[k].c,
                (up.perimeter_mm.value - down.perimeter_mm.value) / 2, 1e-8);
    pw_shape_sizes_clear(&up);
    pw_shape_sizes_clear(&down);
  }
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

static void
a_surface_belongs_to_the_photograph(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, 2);
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, "0,0 5000,0 5000,3000 0,3000", 1);
  shape.is_surface = TRUE;
  PwShapeSizes sizes = sizes_of(scale, &shape);
  assert_int_equal(sizes.area_mm2.contributions[0].scope, PW_SCOPE_PHOTO);
  assert_int_equal(sizes.area_mm2.contributions[0].owner, 11);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

/* Two marks far apart: their union is their sum, input by input. */
static void
a_union_of_separate_marks_is_their_sum(void **state)
{
  (void)state;
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  g_autoptr(PwScale) scale = askew_scale(&uncertainty);
  PwShape a = shape_of(PW_KIND_AREA, "900,900 2000,1000 1800,2000 1200,2300 700,1700", 1);
  PwShape b = shape_of(PW_KIND_AREA, "4000,900 5000,1000 4800,2000 4200,1800", 2);
  b.holes = reference_paths("4300,1200 4600,1200 4600,1500", &b.n_holes);
  const PwShape *both[] = {&b, &a};
  PwShapeSizes sa = sizes_of(scale, &a), sb = sizes_of(scale, &b);
  PwSize sum, united;
  pw_size_combine(1, &sa.area_mm2, 1, &sb.area_mm2, &sum);
  assert_true(pw_measure_union(scale, both, 2, &united, NULL));
  assert_near(united.value, sum.value, 1e-9 * sum.value);
  assert_int_equal(united.n, sum.n);
  for (gsize i = 0; i < sum.n; i++) {
    assert_int_equal(united.contributions[i].input, sum.contributions[i].input);
    assert_int_equal(united.contributions[i].owner, sum.contributions[i].owner);
    assert_int_equal(united.contributions[i].index, sum.contributions[i].index);
    assert_near(united.contributions[i].c, sum.contributions[i].c, 1e-8);
  }
  pw_size_clear(&sum);
  pw_size_clear(&united);
  pw_shape_sizes_clear(&sa);
  pw_shape_sizes_clear(&sb);
  shape_clear(&a);
  shape_clear(&b);
}

static double
union_area(const PwScale *scale, const PwShape *a, const PwShape *b)
{
  const PwShape *both[] = {a, b};
  PwSize size;
  assert_true(pw_measure_union(scale, both, 2, &size, NULL));
  double area = size.value;
  pw_size_clear(&size);
  return area;
}

static double
contribution_of(const PwSize *size, guint owner, guint index)
{
  for (gsize i = 0; i < size->n; i++)
    if (size->contributions[i].input == PW_INPUT_OUTLINE && size->contributions[i].owner == owner &&
        size->contributions[i].index == index)
      return size->contributions[i].c;
  return 0;
}

/* On the union's boundary: a knot that lies inside the other mark moves nothing there. */
static void
knots_of_a_union_are_derivatives(void **state)
{
  (void)state;
  PwUncertainty uncertainty = only(PW_INPUT_OUTLINE, .01);
  g_autoptr(PwScale) scale = askew_scale(&uncertainty);
  PwShape marks[2] = {
      shape_of(PW_KIND_AREA, "900,900 2000,1000 1800,2000 1500,1400 700,1700", 1),
      shape_of(PW_KIND_AREA, "1300,800 2500,1200 2100,1500 1400,1300 1350,1200 1500,1100", 2)};
  const PwShape *both[] = {&marks[0], &marks[1]};
  PwSize united;
  assert_true(pw_measure_union(scale, both, 2, &united, NULL));
  int silent = 0;
  for (int m = 0; m < 2; m++)
    for (guint k = 0; k < 2 * marks[m].path.n; k++) {
      PwPx *p = &marks[m].path.points[k / 2];
      double *moved = k % 2 ? &p->y : &p->x, at = *moved;
      *moved = at + .01;
      double up = union_area(scale, &marks[0], &marks[1]);
      *moved = at - .01;
      double down = union_area(scale, &marks[0], &marks[1]);
      *moved = at;
      assert_near(contribution_of(&united, marks[m].mark_owner, k), (up - down) / 2, 1e-6);
      silent += fabs(up - down) < 1e-9;
    }
  assert_true(silent >= 2);
  pw_size_clear(&united);
  shape_clear(&marks[0]);
  shape_clear(&marks[1]);
}

/* Check values by Shapely (tests/reference/geometry.py), at 0.1 mm a px. */
static void
unions_agree_with_shapely(void **state)
{
  (void)state;
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  g_autoptr(GPtrArray) rows = reference_rows("unions.csv");
  assert_non_null(rows);
  for (guint r = 0; r < rows->len; r++) {
    char **row = g_ptr_array_index(rows, r);
    gsize n;
    PwPxPath *paths = reference_paths(row[0], &n);
    g_autofree PwShape *shapes = g_new0(PwShape, n);
    g_autofree const PwShape **all = g_new(const PwShape *, n);
    for (gsize i = 0; i < n; i++) {
      shapes[i] = (PwShape){.kind = PW_KIND_AREA, .path = paths[i], .mark_owner = (guint)i};
      all[i] = &shapes[i];
    }
    PwSize size;
    assert_true(pw_measure_union(scale, all, n, &size, NULL));
    double area = .01 * g_ascii_strtod(row[1], NULL), perimeter = g_ascii_strtod(row[2], NULL);
    assert_near(size.value, area, 1e-10 * area);
    /* 1 px outwards all along the boundary, rectangular. */
    double outlining = pw_size_share_of(&size, PW_INPUT_OUTLINING, PW_SCOPE_VOLUME);
    assert_near(outlining, .01 * perimeter / sqrt(3), 1e-9 * outlining);
    pw_size_clear(&size);
    reference_paths_free(paths, n);
  }
}

static void
lengths_of_lines_add(void **state)
{
  (void)state;
  PwUncertainty uncertainty = {{0}};
  g_autoptr(PwScale) scale = plain_scale(.1, &uncertainty);
  PwShape a = shape_of(PW_KIND_LINE, "0,0 300,400", 1),
          b = shape_of(PW_KIND_LINE, "0,400 300,0", 2);
  const PwShape *both[] = {&a, &b};
  PwSize size;
  assert_true(pw_measure_union(scale, both, 2, &size, NULL));
  assert_near(size.value, 100, 1e-9);
  pw_size_clear(&size);
  assert_true(pw_measure_union(scale, both, 0, &size, NULL));
  assert_near(size.value, 0, 0);
  shape_clear(&a);
  shape_clear(&b);
}

/* A straight edge in a distorted picture is a curve on the surface: measured as one. */
static void
edges_bend_with_the_lens(void **state)
{
  (void)state;
  PwScaleInput input = {.method = PW_SCALE_SPAN,
                        .from = {2950, 2000},
                        .to = {3050, 2000},
                        .length_mm = 10,
                        .tolerance_mm = 0,
                        .camera_distance_mm = 1000,
                        .focal_px = nan(""),
                        .picture_width = 6000,
                        .picture_height = 4000,
                        .lens = {6000, 3000, 2000, -.1, .02}};
  PwUncertainty uncertainty = {{0}};
  g_autoptr(PwScale) scale = pw_scale_new(&input, &uncertainty, NULL);
  PwShape coarse = shape_of(PW_KIND_AREA, "500,300 5500,300 5500,3700 500,3700", 1);
  PwShape fine = {.kind = PW_KIND_AREA, .path = {g_new(PwPx, 4000), 4000}};
  for (gsize i = 0; i < 4000; i++) {
    PwPx a = coarse.path.points[i / 1000], b = coarse.path.points[(i / 1000 + 1) % 4];
    double t = (double)(i % 1000) / 1000;
    fine.path.points[i] = (PwPx){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
  }
  PwShapeSizes c = sizes_of(scale, &coarse), f = sizes_of(scale, &fine);
  assert_near(c.area_mm2.value, f.area_mm2.value, 2e-6 * f.area_mm2.value);
  assert_near(c.perimeter_mm.value, f.perimeter_mm.value, 2e-6 * f.perimeter_mm.value);
  PwMm corner[4];
  for (int i = 0; i < 4; i++)
    assert_true(pw_scale_map(scale, coarse.path.points[i], &corner[i]));
  assert_true(fabs(pw_mm_signed_area(corner, 4) / f.area_mm2.value - 1) > .005);
  pw_shape_sizes_clear(&c);
  pw_shape_sizes_clear(&f);
  shape_clear(&coarse);
  shape_clear(&fine);
}

static void
assert_no_size(const PwScale *scale, PwKind kind, const char *points, const char *says)
{
  PwShape shape = shape_of(kind, points, 1);
  PwShapeSizes sizes;
  g_autoptr(GError) error = NULL;
  assert_false(pw_measure_shape(scale, &shape, &sizes, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC));
  assert_non_null(strstr(error->message, says));
  assert_int_equal(sizes.area_mm2.n, 0);
  shape_clear(&shape);
}

static void
what_has_no_size_is_refused(void **state)
{
  (void)state;
  PwUncertainty uncertainty = {{0}};
  PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                        .corners = {{2800, 2000}, {3200, 2000}, {3400, 2400}, {2600, 2400}},
                        .width_mm = 100,
                        .height_mm = 100,
                        .camera_distance_mm = nan(""),
                        .focal_px = nan(""),
                        .picture_width = 6000,
                        .picture_height = 4000};
  g_autoptr(PwScale) scale = pw_scale_new(&input, &uncertainty, NULL); /* horizon at y = 1600 */
  assert_no_size(scale, PW_KIND_AREA, "2900,2100 3100,2100 3000,1500", "horizon");
  assert_no_size(scale, PW_KIND_LINE, "2900,2100 2900,2100", "two different points");
  assert_no_size(scale, PW_KIND_AREA, "2900,2100 2900,2100 2950,2100", "three different points");
}

/* A face of a volume with hundreds of marks must not keep anybody waiting. */
static void
many_marks_are_quick(void **state)
{
  (void)state;
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  g_autoptr(PwScale) scale = askew_scale(&uncertainty);
  PwShape shape = {.kind = PW_KIND_AREA, .path = {g_new(PwPx, 500), 500}};
  for (gsize i = 0; i < 500; i++) {
    double angle = 2 * G_PI * (double)i / 500, radius = 300 + 40 * sin(9 * angle);
    shape.path.points[i] = (PwPx){2500 + radius * cos(angle), 2000 + radius * sin(angle)};
  }
  clock_t start = clock(); /* of this program alone, for a busy machine is no fault of ours */
  for (int i = 0; i < 200; i++) {
    PwShapeSizes sizes = sizes_of(scale, &shape);
    pw_shape_sizes_clear(&sizes);
  }
  double ms = 1000. * (double)(clock() - start) / CLOCKS_PER_SEC / 200;
  print_message("# a mark of 500 points: %.2f ms\n", ms);
  assert_true(ms < 50); /* an order above what a slow machine under a sanitizer takes */
  shape_clear(&shape);
}

/* ---- Red squares of a published area, ../shared/cases/ruler/truth_areas.json ---------------- */

/* 2 %: the corners there are whole pixels, up to one px off on sides of 240 px and more. */
static void
check_square(JsonObject *one)
{
  JsonArray *corners = json_object_get_array_member(one, "corners_px_stored");
  double truth = json_object_get_double_member(one, "red_square_mm2");
  PwUncertainty uncertainty;
  g_autoptr(GString) points = g_string_new(NULL);
  for (guint i = 0; i < json_array_get_length(corners); i++) {
    JsonArray *at = json_array_get_array_element(corners, i);
    g_string_append_printf(points, "%d,%d ", (int)json_array_get_int_element(at, 0),
                           (int)json_array_get_int_element(at, 1));
  }
  pw_uncertainty_init_defaults(&uncertainty);
  g_autoptr(PwScale) scale =
      plain_scale(1 / json_object_get_double_member(one, "px_per_mm"), &uncertainty);
  PwShape shape = shape_of(PW_KIND_AREA, g_strchomp(points->str), 1);
  PwShapeSizes sizes = sizes_of(scale, &shape);
  double found = pw_size_quantity(&sizes.area_mm2).value;
  print_message("# %s: %.2f mm2 of %.0f\n", json_object_get_string_member(one, "file"), found,
                truth);
  assert_near(found, truth, 0.02 * truth);
  pw_shape_sizes_clear(&sizes);
  shape_clear(&shape);
}

static void
red_squares_have_their_published_area(void **state)
{
  (void)state;
  const char *shared = g_getenv("PW_SHARED");
  g_autofree char *path =
      g_build_filename(shared ? shared : "", "cases", "ruler", "truth_areas.json", NULL);
  g_autoptr(JsonParser) parser = json_parser_new();
  guint n_squares = 0;
  if (!shared || !json_parser_load_from_file(parser, path, NULL)) {
    print_message("# no ../shared/cases/ruler here: published areas are not tried\n");
    skip();
  }
  JsonArray *cases =
      json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "cases");
  for (guint i = 0; i < json_array_get_length(cases); i++) {
    JsonObject *one = json_array_get_object_element(cases, i);
    if (!json_object_has_member(one, "red_square_mm2"))
      continue;
    check_square(one);
    n_squares++;
  }
  assert_int_equal(n_squares, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_rectangle_with_independent_corners),
      cmocka_unit_test(a_mark_may_be_placed_worse_than_others),
      cmocka_unit_test(a_triangle_with_independent_corners),
      cmocka_unit_test(an_area_errs_twice_as_its_scale),
      cmocka_unit_test(holes_subtract_and_shrink),
      cmocka_unit_test(a_line_has_a_length_and_no_outside),
      cmocka_unit_test(a_point_has_no_size),
      cmocka_unit_test(a_freehand_outline_is_no_surer),
      cmocka_unit_test(knots_stand_forty_px_apart),
      cmocka_unit_test(sensitivities_are_derivatives),
      cmocka_unit_test(a_surface_belongs_to_the_photograph),
      cmocka_unit_test(a_union_of_separate_marks_is_their_sum),
      cmocka_unit_test(knots_of_a_union_are_derivatives),
      cmocka_unit_test(unions_agree_with_shapely),
      cmocka_unit_test(lengths_of_lines_add),
      cmocka_unit_test(edges_bend_with_the_lens),
      cmocka_unit_test(what_has_no_size_is_refused),
      cmocka_unit_test(many_marks_are_quick),
      cmocka_unit_test(red_squares_have_their_published_area),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
