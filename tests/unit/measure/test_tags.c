/* Cards with tags: the fit, what it tells of its own uncertainty, print, pose, and the doubt that a
 * picture casts on its pose. A pinhole camera of this file's own takes the pictures.
 */
#include <platewright/measure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { MOST_CORNERS = 252 };
static const double FOCAL_PX = 50 / .006;

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

/* 64-bit linear congruence (Knuth's multiplier), upper bits. */
static guint64 dice = 1903;

static double
even(void)
{
  dice = dice * 6364136223846793005u + 1442695040888963407u;
  return ((double)(dice >> 11) + 0.5) / 9007199254740992.0;
}

static double
between(double half_width)
{
  return half_width * (2 * even() - 1);
}

static double
normal(double sigma)
{
  double u = even(), v = even(); /* Box and Muller */
  return sigma * sqrt(-2 * log(u)) * cos(2 * G_PI * v);
}

/* ---- A card, a camera, a picture --------------------------------------------------- */

/* The card of 148 x 105 mm lies `depth` mm away on the optical axis' side of (x, y) mm, leans by
 * `lean` degrees about an axis in the picture that `about` turns, and is turned by `roll`. */
typedef struct {
  double depth, x, y, lean, about, roll;
  double c;        /* principal distance, px */
  double noise_px; /* of each corner */
  double stretch;  /* of the print along, unknown to the library */
  double bend_mm;  /* how far the card's middle stands off its ends */
  double crop_px;  /* taken off the picture's left */
} Picture;

typedef struct {
  PwPx px[MOST_CORNERS];
  PwMm mm[MOST_CORNERS];
  gsize n;
} Corners;

/* Tags of 20 mm at the corners of the card, as a6 has them; `n_tags` of them. */
static Corners
corners_of_card(gsize n_tags)
{
  static const PwMm places[4] = {{9, 3.5}, {124.5, 76}, {124.5, 3.5}, {9, 76}};
  Corners corners = {.n = 4 * n_tags};
  for (gsize i = 0; i < corners.n; i++)
    corners.mm[i] = (PwMm){places[i / 4].x + (i % 4 == 1 || i % 4 == 2 ? 20 : 0),
                           places[i / 4].y + (i % 4 >= 2 ? 20 : 0)};
  return corners;
}

/* The sheet for `lens`: 63 tags. */
static Corners
corners_of_sheet(void)
{
  Corners corners = {.n = MOST_CORNERS};
  for (gsize i = 0; i < corners.n; i++)
    corners.mm[i] = (PwMm){2.5 + 25. * (double)(i / 4 % 7) + (i % 4 == 1 || i % 4 == 2 ? 20 : 0),
                           2.5 + 25. * (double)(i / 28) + (i % 4 >= 2 ? 20 : 0)};
  return corners;
}

static PwPx
seen(const Picture *picture, PwMm mm)
{
  double rad = G_PI / 180;
  double u = (mm.x - 74) * picture->stretch, v = mm.y - 52.5;
  double height = picture->bend_mm * (1 - u * u / (74 * 74));
  double r = (picture->roll - picture->about) * rad, a = picture->about * rad;
  double x = u * cos(r) - v * sin(r), y = u * sin(r) + v * cos(r);
  /* Leaning about x, then the axis is turned to where it is. */
  double l = picture->lean * rad, z = y * sin(l) - height * cos(l);
  y = y * cos(l) + height * sin(l);
  double X = x * cos(a) - y * sin(a) + picture->x, Y = x * sin(a) + y * cos(a) + picture->y;
  double Z = picture->depth + z;
  return (PwPx){3000 - picture->crop_px + picture->c * X / Z, 2000 + picture->c * Y / Z};
}

static void
take(const Picture *picture, Corners *corners)
{
  for (gsize i = 0; i < corners->n; i++) {
    PwPx p = seen(picture, corners->mm[i]);
    corners->px[i] = (PwPx){p.x + normal(picture->noise_px), p.y + normal(picture->noise_px)};
  }
}

static Picture
plain_picture(void)
{
  return (Picture){.depth = 700,
                   .x = -40,
                   .y = 30,
                   .lean = 20,
                   .about = 25,
                   .roll = 8,
                   .c = FOCAL_PX,
                   .stretch = 1};
}

static PwScaleInput
told(const Picture *picture, const Corners *corners)
{
  return (PwScaleInput){.method = PW_SCALE_TAGS,
                        .tag_px = corners->px,
                        .tag_mm = corners->mm,
                        .n_tag_points = corners->n,
                        .card_width_mm = 148,
                        .card_height_mm = 105,
                        .print_along = 1,
                        .print_across = 1,
                        .print_tolerance = 0,
                        .tolerance_mm = nan(""),
                        .camera_distance_mm = nan(""),
                        .focal_px = FOCAL_PX,
                        .focal_mm = nan(""),
                        .picture_width = 6000 - picture->crop_px,
                        .picture_height = 4000,
                        .lens_residual_px = nan(""),
                        .photo_owner = 7,
                        .card_owner = 2};
}

static PwScale *
scale_with(const PwScaleInput *input, const PwUncertainty *uncertainty)
{
  g_autoptr(GError) error = NULL;
  PwScale *scale = pw_scale_new(input, uncertainty, &error);
  if (!scale)
    fail_msg("%s", error->message);
  return scale;
}

static PwScale *
scale_of(const PwScaleInput *input)
{
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  return scale_with(input, &uncertainty);
}

static PwScaleFacts
facts_of(const PwScaleInput *input)
{
  PwScaleFacts facts;
  g_autoptr(PwScale) scale = scale_of(input);
  pw_scale_facts(scale, &facts);
  return facts;
}

/* All inputs without uncertainty but one. */
static PwUncertainty
only(PwInput input, double setting)
{
  PwUncertainty uncertainty = {{0}};
  uncertainty.by[input] = setting;
  return uncertainty;
}

/* A mark of four corners in the picture. */
static PwSize
area_of(const PwScale *scale, double left, double top)
{
  PwPx points[4] = {
      {left, top}, {left + 900, top + 40}, {left + 820, top + 700}, {left, top + 600}};
  PwShape shape = {.kind = PW_KIND_AREA, .path = {points, 4}, .mark_owner = (guint)(left + top)};
  PwShapeSizes sizes;
  g_autoptr(GError) error = NULL;
  if (!pw_measure_shape(scale, &shape, &sizes, &error))
    fail_msg("%s", error->message);
  PwSize area;
  pw_size_copy(&sizes.area_mm2, &area);
  pw_shape_sizes_clear(&sizes);
  return area;
}

/* ---- The fit ----------------------------------------------------------------------- */

static void
the_plane_is_found_again(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  g_autoptr(PwScale) scale = scale_of(&input);
  PwScaleFacts facts;
  PwMm origin, a, b;
  pw_scale_facts(scale, &facts);
  assert_int_equal(facts.method, PW_SCALE_TAGS);
  assert_near(facts.fit_rms_px, 0, 1e-9);
  assert_near(facts.tilt_deg, 20, 1e-6);
  /* The card's middle stands on the ray through (-40, 30, 700); its plane leans by 20 degrees. */
  double about = 25 * G_PI / 180, lean = 20 * G_PI / 180;
  double off = -(-sin(about) * -40 + cos(about) * 30) * sin(lean) + 700 * cos(lean);
  assert_near(facts.camera_distance_mm, off, 1e-6);
  assert_true(pw_scale_map(scale, seen(&picture, (PwMm){74, 52.5}), &origin));
  assert_near(hypot(origin.x, origin.y), 0, 1e-9);
  assert_true(pw_scale_map(scale, seen(&picture, (PwMm){-100, 30}), &a));
  assert_true(pw_scale_map(scale, seen(&picture, (PwMm){200, 190}), &b));
  assert_near(hypot(b.x - a.x, b.y - a.y), hypot(300, 160), 1e-8);
}

/* What was drawn as 100 mm was printed as 98 along and 101 across. */
static void
a_printer_that_stretches_is_corrected_for(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  PwPx at[4] = {seen(&picture, (PwMm){0, 0}), seen(&picture, (PwMm){100, 0}),
                seen(&picture, (PwMm){0, 100}), seen(&picture, (PwMm){74, 52.5})};
  PwMm mm[4];
  input.print_along = .98;
  input.print_across = 1.01;
  g_autoptr(PwScale) scale = scale_of(&input);
  for (int i = 0; i < 4; i++)
    assert_true(pw_scale_map(scale, at[i], &mm[i]));
  assert_near(hypot(mm[1].x - mm[0].x, mm[1].y - mm[0].y), 98, 1e-8);
  assert_near(hypot(mm[2].x - mm[0].x, mm[2].y - mm[0].y), 101, 1e-8);
  assert_near(hypot(mm[3].x, mm[3].y), 0, 1e-9); /* the middle of the card is the origin */
}

/* Four points that are no tags give what a rectangle by hand gives, uncertainty and all. */
static void
four_corners_are_a_rectangle(void **state)
{
  (void)state;
  Corners corners = {.mm = {{0, 0}, {148, 0}, {148, 105}, {0, 105}}, .n = 4};
  Picture picture = plain_picture();
  take(&picture, &corners);
  PwScaleInput tags = told(&picture, &corners), rectangle = tags;
  rectangle.method = PW_SCALE_RECTANGLE;
  rectangle.width_mm = 148;
  rectangle.height_mm = 105;
  memcpy(rectangle.corners, corners.px, sizeof rectangle.corners);
  PwUncertainty by_tag = only(PW_INPUT_TAG, 1), by_corner = only(PW_INPUT_CORNER, 1);
  g_autoptr(PwScale) a = scale_with(&tags, &by_tag);
  g_autoptr(PwScale) b = scale_with(&rectangle, &by_corner);
  PwScaleFacts facts_a, facts_b;
  pw_scale_facts(a, &facts_a);
  pw_scale_facts(b, &facts_b);
  for (int i = 0; i < 9; i++)
    assert_near(facts_a.homography.m[i], facts_b.homography.m[i],
                1e-12 + 1e-9 * fabs(facts_b.homography.m[i]));
  assert_near(facts_a.misfit_u_percent, facts_b.misfit_u_percent, 1e-4 * facts_b.misfit_u_percent);
  PwSize of_a = area_of(a, 3600, 900), of_b = area_of(b, 3600, 900);
  assert_near(of_a.value, of_b.value, 1e-8 * of_b.value);
  double u = pw_size_quantity(&of_b).u;
  assert_near(pw_size_quantity(&of_a).u, u, 1e-4 * u); /* differences up and down, second order */
  pw_size_clear(&of_a);
  pw_size_clear(&of_b);
}

/* The eight inputs that stand for all corners do what moving each corner, twice, does. */
static void
eight_inputs_stand_for_all_corners(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(3);
  picture.noise_px = .5;
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  PwUncertainty none = {{0}}, tag = only(PW_INPUT_TAG, .2);
  double variance = 0;
  for (gsize i = 0; i < 2 * corners.n; i++) {
    double *moved = i % 2 ? &corners.px[i / 2].y : &corners.px[i / 2].x, value[2], stood = *moved;
    for (int way = 0; way < 2; way++) {
      *moved = stood + (way ? .2 : -.2);
      g_autoptr(PwScale) scale = scale_with(&input, &none);
      PwSize size = area_of(scale, 3600, 900);
      value[way] = size.value;
      pw_size_clear(&size);
    }
    *moved = stood;
    variance += (value[1] - value[0]) * (value[1] - value[0]) / 4;
  }
  g_autoptr(PwScale) scale = scale_with(&input, &tag);
  PwSize size = area_of(scale, 3600, 900);
  assert_int_equal(size.n, 8);
  double u = pw_size_quantity(&size).u;
  assert_near(u, sqrt(variance), 2e-3 * u); /* the fit is told to first order in its residuals */
  pw_size_clear(&size);
}

/* ---- How sure ---------------------------------------------------------------------- */

/* sqrt(sum r^2 / (2n - 8)) with 2n - 8 degrees of freedom, at least 0.05 px; a setting wins. */
static void
the_fit_tells_its_uncertainty(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  PwUncertainty fitted = only(PW_INPUT_TAG, nan("")), one_px = only(PW_INPUT_TAG, 1);
  for (gsize n_tags = 2; n_tags <= 4; n_tags++) {
    Corners corners = corners_of_card(n_tags);
    double n = (double)corners.n;
    picture.noise_px = .4;
    take(&picture, &corners);
    PwScaleInput input = told(&picture, &corners);
    g_autoptr(PwScale) scale = scale_with(&input, &fitted);
    g_autoptr(PwScale) stated = scale_with(&input, &one_px);
    PwSize size = area_of(scale, 3600, 900), by_px = area_of(stated, 3600, 900);
    PwQuantity q = pw_size_quantity(&size), per_px = pw_size_quantity(&by_px);
    assert_near(q.dof, 2 * n - 8, 1e-6);
    assert_true(isinf(per_px.dof));
    double s = facts_of(&input).fit_rms_px * sqrt(n / (2 * n - 8));
    assert_true(s > .1 && s < .9);
    assert_near(q.u, s * per_px.u, 1e-3 * q.u);
    pw_size_clear(&size);
    pw_size_clear(&by_px);
    picture.noise_px = .001;
    take(&picture, &corners);
    g_autoptr(PwScale) sharp = scale_with(&input, &fitted);
    size = area_of(sharp, 3600, 900);
    assert_near(pw_size_quantity(&size).u, .05 * per_px.u, .03 * .05 * per_px.u);
    pw_size_clear(&size);
  }
}

/* AREA-SCALE and JCGM 100 4.3.7: 0.2 mm in 100 is 0.11547 % each way, in an area sqrt 2 of that;
 * where no check line was measured 0.5 % each way; an area of 1 % scale is 2 % unsure. */
static void
print_is_of_the_card(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  PwUncertainty print = only(PW_INPUT_PRINT, .5);
  input.print_tolerance = .002;
  static const double along[] = {1, (double)NAN, 1, (double)NAN},
                      across[] = {1, 1, (double)NAN, (double)NAN};
  for (int i = 0; i < 4; i++) {
    input.print_along = along[i];
    input.print_across = across[i];
    g_autoptr(PwScale) scale = scale_with(&input, &print);
    PwSize size = area_of(scale, 3600, 900);
    double a = (isnan(along[i]) ? .5 : .2) / sqrt(3), b = (isnan(across[i]) ? .5 : .2) / sqrt(3);
    assert_int_equal(size.n, 2);
    for (guint k = 0; k < 2; k++) {
      assert_int_equal(size.contributions[k].scope, PW_SCOPE_CARD);
      assert_int_equal(size.contributions[k].owner, 2);
    }
    assert_near(100 * pw_size_quantity(&size).u / size.value, hypot(a, b), 1e-4);
    /* Along the card and across it each feels its own. */
    for (int k = 0; k < 2; k++) {
      PwPx ends[2] = {seen(&picture, (PwMm){0, 0}), seen(&picture, (PwMm){k ? 0 : 90, k ? 90 : 0})};
      PwShape line = {.kind = PW_KIND_LINE, .path = {ends, 2}};
      PwShapeSizes sizes;
      assert_true(pw_measure_shape(scale, &line, &sizes, NULL));
      assert_near(pw_size_quantity(&sizes.length_mm).u, .9 * (k ? b : a), 1e-4);
      pw_shape_sizes_clear(&sizes);
    }
    pw_size_clear(&size);
  }
}

/* Two equal marks on one photograph: their difference does not know the tags, though one of them
 * stands higher; another photograph's mark, or another card's, does. */
static void
what_two_marks_share_cancels(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(4);
  picture.noise_px = .3;
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  input.camera_distance_mm = 700;
  PwScaleInput other = input, second = input;
  PwUncertainty fitted = only(PW_INPUT_TAG, nan(""));
  other.photo_owner = 8;
  second.card_owner = 3;
  g_autoptr(PwScale) scale = scale_with(&input, &fitted);
  g_autoptr(PwScale) again = pw_scale_new_at_offset(scale, 0, PW_SCOPE_MARK, 4, NULL);
  g_autoptr(PwScale) higher = pw_scale_new_at_offset(scale, 70, PW_SCOPE_MARK, 5, NULL);
  g_autoptr(PwScale) elsewhere = scale_with(&other, &fitted);
  g_autoptr(PwScale) beside = scale_with(&second, &fitted);
  PwScale *scales[] = {again, higher, elsewhere, beside};
  PwSize size = area_of(scale, 3600, 900);
  double u = pw_size_quantity(&size).u;
  /* 70 mm of 700: 0.9^2 of the area, and of what it owes. */
  double shrunk = .81;
  const double left[] = {0, 1 - shrunk, sqrt(2), sqrt(2)};
  const double dof[] = {24, 24, 48, 48};
  for (int i = 0; i < 4; i++) {
    PwSize of_other = area_of(scales[i], 3600, 900), difference;
    pw_size_combine(1, &size, -1, &of_other, &difference);
    PwQuantity q = pw_size_quantity(&difference);
    assert_near(q.u, left[i] * u, 1e-9 * u);
    if (i > 0)
      assert_near(q.dof, dof[i], 1e-6);
    pw_size_clear(&difference);
    pw_size_clear(&of_other);
  }
  pw_size_clear(&size);
}

/* ---- Whether tags and pose agree --------------------------------------------------- */

enum { PICTURES = 400 };

/* What is wrong: the principal distance by a factor, the print's length by another, px that were
 * cut off the left; and between which tilts the pictures are taken. */
typedef struct {
  double focal, stretch, crop_px, least_tilt, most_tilt;
} Wrong;

/* Within what the library allows for: focal length +-10 %, check lines +-0.2 mm. */
static Picture
some_picture(const Wrong *wrong)
{
  return (Picture){.depth = 500 + 400 * even(),
                   .x = between(100),
                   .y = between(60),
                   .lean = wrong->least_tilt + (wrong->most_tilt - wrong->least_tilt) * even(),
                   .about = 360 * even(),
                   .roll = 360 * even(),
                   .c = FOCAL_PX * (1 + between(.1)) / wrong->focal,
                   .noise_px = .08,
                   .stretch = wrong->stretch * (1 + between(.002)),
                   .crop_px = wrong->crop_px};
}

/* How many pictures are said to disagree, and the mean misfit in %. */
static int
disagreeing(const Wrong *wrong, double *mean)
{
  int n = 0;
  *mean = 0;
  for (int i = 0; i < PICTURES; i++) {
    Picture picture = some_picture(wrong);
    Corners corners = corners_of_card(4);
    take(&picture, &corners);
    PwScaleInput input = told(&picture, &corners);
    input.print_tolerance = .002;
    PwScaleFacts facts = facts_of(&input);
    *mean += facts.misfit_percent / PICTURES;
    n += pw_scale_disagrees(&facts);
  }
  print_message("# focal x %.2f, print x %.2f, %4.0f px cut, tilt %2.0f-%2.0f: misfit %5.2f %%, "
                "%3d of %d said\n",
                wrong->focal, wrong->stretch, wrong->crop_px, wrong->least_tilt, wrong->most_tilt,
                *mean, n, PICTURES);
  return n;
}

static void
what_is_right_is_not_doubted(void **state)
{
  (void)state;
  static const Wrong nothing[] = {{1, 1, 0, 0, 1}, {1, 1, 0, 1, 10}, {1, 1, 0, 10, 35}};
  double mean;
  for (gsize i = 0; i < G_N_ELEMENTS(nothing); i++)
    assert_int_equal(disagreeing(&nothing[i], &mean), 0);
}

/* A misfit needs a tilt to show a wrong camera, and none to show a stretched print, which a tilted
 * picture could owe to its focal length. */
static void
what_is_wrong_is_said(void **state)
{
  (void)state;
  static const struct {
    Wrong wrong;
    double least; /* part of the pictures */
  } rows[] = {{{1.6, 1, 0, 10, 35}, .99}, {{1 / 1.6, 1, 0, 10, 35}, .99},
              {{1.6, 1, 0, 5, 10}, .9},   {{1, 1, 1200, 10, 35}, .75},
              {{1, 1.01, 0, 0, 10}, .99}, {{1, 1.01, 0, 10, 20}, .5}};
  double mean;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    assert_true(disagreeing(&rows[i].wrong, &mean) >= rows[i].least * PICTURES);
}

/* Exact figures: square on, a print that is 1 % too long one way misfits by 1 %; a lean of t whose
 * principal distance is told k times too large squeezes what leans to
 * sqrt(k^2 sin^2 t + cos^2 t) of its length. */
static void
the_misfit_is_a_ratio_of_lengths(void **state)
{
  (void)state;
  Picture picture = {.depth = 700, .roll = 30, .c = FOCAL_PX, .stretch = 1.01};
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  double squared = 1.01 * 1.01;
  assert_near(facts_of(&input).misfit_percent, 100 * (squared - 1) / (squared + 1), 1e-6);
  double lean = 25 * G_PI / 180;
  picture = (Picture){.depth = 700, .lean = 25, .about = 40, .c = FOCAL_PX / 1.3, .stretch = 1};
  take(&picture, &corners);
  squared = 1.69 * sin(lean) * sin(lean) + cos(lean) * cos(lean);
  assert_near(facts_of(&input).misfit_percent, 100 * (squared - 1) / (squared + 1), 1e-6);
  input.focal_px = nan("");
  assert_true(isnan(facts_of(&input).misfit_percent));
  assert_true(isnan(facts_of(&input).misfit_u_percent));
}

/* The misfit's uncertainty is what the misfit's errors are: without a tilt only the print counts,
 * and the corners. */
static void
the_misfit_knows_its_uncertainty(void **state)
{
  (void)state;
  Picture picture = {.depth = 700, .roll = 30, .c = FOCAL_PX, .stretch = 1.002};
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  input.print_tolerance = .003;
  PwUncertainty print = only(PW_INPUT_PRINT, .5);
  g_autoptr(PwScale) scale = scale_with(&input, &print);
  PwScaleFacts facts;
  pw_scale_facts(scale, &facts);
  assert_near(facts.misfit_u_percent, .3 / sqrt(3) * G_SQRT2, 1e-5);
}

/* ---- Bent cards -------------------------------------------------------------------- */

/* Displacement at the corner of the picture, as a part. */
static void
bend_by_lens(Corners *corners, double part)
{
  for (gsize i = 0; i < corners->n; i++) {
    double x = corners->px[i].x - 3000, y = corners->px[i].y - 2000;
    double stretch = 1 + part * (x * x + y * y) / (3000. * 3000 + 2000. * 2000);
    corners->px[i] = (PwPx){3000 + x * stretch, 2000 + y * stretch};
  }
}

static int
bent(double bend_mm, double noise_px, double lens)
{
  int n = 0;
  double mean_px = 0, mean_mm = 0;
  for (int i = 0; i < PICTURES; i++) {
    Picture picture = some_picture(&(Wrong){1, 1, 0, 0, 35});
    Corners corners = corners_of_card(4);
    picture.bend_mm = bend_mm;
    picture.noise_px = noise_px;
    take(&picture, &corners);
    bend_by_lens(&corners, lens);
    PwScaleInput input = told(&picture, &corners);
    PwScaleFacts facts = facts_of(&input);
    mean_px += facts.fit_rms_px / PICTURES;
    mean_mm += facts.fit_rms_mm / PICTURES;
    n += pw_scale_is_bent(&facts);
  }
  print_message("# bulging by %.0f mm, corners to %.2f px, lens %.0f %%: off a plane by %.2f px, "
                "%.3f mm; %3d of %d said\n",
                bend_mm, noise_px, 100 * lens, mean_px, mean_mm, n, PICTURES);
  return n;
}

static void
a_bent_card_is_said(void **state)
{
  (void)state;
  assert_int_equal(bent(0, .08, 0), 0);
  assert_true(bent(0, .3, 0) <= .01 * PICTURES);
  assert_true(bent(0, .08, .01) <= .03 * PICTURES); /* a lens at the limit of what is allowed for */
  assert_true(bent(1, .08, 0) >= .6 * PICTURES);
  assert_true(bent(2, .08, 0) >= .9 * PICTURES);
  assert_int_equal(bent(4, .08, 0), PICTURES);
  PwScaleFacts rectangle = {.fit_rms_px = nan("")};
  assert_false(pw_scale_is_bent(&rectangle));
}

/* ---- Published figures ------------------------------------------------------------- */

/* Square on, `px_per_mm`, about the middle of the picture. */
static Corners
square_on(double px_per_mm)
{
  Corners corners = corners_of_card(4);
  for (gsize i = 0; i < corners.n; i++)
    corners.px[i] = (PwPx){3000 + px_per_mm * (corners.mm[i].x - 74),
                           2000 + px_per_mm * (corners.mm[i].y - 52.5)};
  return corners;
}

/* PIN1 (thin-lens geometry): f 50 mm, pixels of 0.006 mm, 1000 mm: 8.7719 px/mm. REL3: 20 mm nearer
 * looks 1.020408 times as large. REL1 in units of 100 mm for 1 m (Hicks, Handbook of Civil
 * Engineering Calculations): f 0.2101 m, 1:10800, H 2269 m. */
static void
pose_and_height_agree_with_the_books(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = square_on(8.771930);
  PwScaleInput input = told(&picture, &corners);
  input.focal_mm = 50;
  PwScaleFacts facts = facts_of(&input);
  assert_near(facts.camera_distance_mm, 1000, 1e-3);
  assert_near(1 / facts.mm_per_px, 8.7719, 1e-4);
  assert_near(facts.tilt_deg, 0, 1e-4);
  input.camera_distance_mm = 1000;
  double level = facts_of(&input).mm_per_px;
  input.plane_offset_mm = 20;
  assert_near(level / facts_of(&input).mm_per_px, 1.020408, 1e-6);
  corners = square_on(1 / 10.8); /* 2101 px at a tenth of a mm */
  input = told(&picture, &corners);
  input.focal_px = 2101;
  assert_near(facts_of(&input).camera_distance_mm, 22691, .5);
}

/* ---- Refusals ---------------------------------------------------------------------- */

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
what_gives_no_plane_is_refused(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_card(4);
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  input.n_tag_points = 0;
  input.tag_px = NULL;
  input.tag_mm = NULL;
  assert_no_scale(&input, PW_ERROR_RECORD, "no card was found");
  input = told(&picture, &corners);
  input.n_tag_points = 4;
  assert_no_scale(&input, PW_ERROR_NUMERIC, "one tag alone");
  input = told(&picture, &corners);
  input.print_across = 0;
  assert_no_scale(&input, PW_ERROR_RECORD, "check lines");
  for (gsize i = 0; i < corners.n; i++)
    corners.px[i].x = 6000 - corners.px[i].x;
  assert_no_scale(&(PwScaleInput){0}, PW_ERROR_RECORD, "no scale");
  input = told(&picture, &corners);
  assert_no_scale(&input, PW_ERROR_NUMERIC, "mirrored");
  for (gsize i = 0; i < corners.n; i++)
    corners.px[i] = (PwPx){100 + 30 * (double)i, 100 + 10 * (double)i};
  assert_no_scale(&input, PW_ERROR_NUMERIC, "give no plane");
}

/* 252 corners are fitted some thirty times for one scale. */
static void
a_whole_sheet_is_quick(void **state)
{
  (void)state;
  Picture picture = plain_picture();
  Corners corners = corners_of_sheet();
  picture.noise_px = .1;
  take(&picture, &corners);
  PwScaleInput input = told(&picture, &corners);
  gint64 begun = g_get_monotonic_time();
  for (int i = 0; i < 20; i++)
    facts_of(&input);
  print_message("# a scale of 252 corners: %.2f ms\n",
                (double)(g_get_monotonic_time() - begun) / 20e3);
  assert_near(facts_of(&input).fit_rms_px, .1 * sqrt(2 * 496 / 504.), .02);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_plane_is_found_again),
      cmocka_unit_test(a_printer_that_stretches_is_corrected_for),
      cmocka_unit_test(four_corners_are_a_rectangle),
      cmocka_unit_test(eight_inputs_stand_for_all_corners),
      cmocka_unit_test(the_fit_tells_its_uncertainty),
      cmocka_unit_test(print_is_of_the_card),
      cmocka_unit_test(what_two_marks_share_cancels),
      cmocka_unit_test(what_is_right_is_not_doubted),
      cmocka_unit_test(what_is_wrong_is_said),
      cmocka_unit_test(the_misfit_is_a_ratio_of_lengths),
      cmocka_unit_test(the_misfit_knows_its_uncertainty),
      cmocka_unit_test(a_bent_card_is_said),
      cmocka_unit_test(pose_and_height_agree_with_the_books),
      cmocka_unit_test(what_gives_no_plane_is_refused),
      cmocka_unit_test(a_whole_sheet_is_quick),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
