/* A camera that we know photographs a sheet: what is found must be that camera, and what is said of
 * its doubt must be true. The camera here is written out for itself: it turns by matrices of three
 * angles and bends by the formula of docs/measuring.md.
 */
#include <platewright/measure.h>

#include "../plate/chance.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

enum { COLUMNS = 14, ROWS = 18, N_POINTS = COLUMNS * ROWS, MAX_VIEWS = 24 };
static const double PITCH_MM = 12.5, WIDTH = 6000, HEIGHT = 4000, NOISE_PX = 0.1;

typedef struct {
  PwPx px[MAX_VIEWS][N_POINTS];
  PwMm mm[MAX_VIEWS][N_POINTS];
  PwSheetView views[MAX_VIEWS];
  gsize n;
} Session;

typedef struct {
  double lean, toward, roll; /* degrees; the sheet leans towards the direction `toward` */
  double x, y, distance;     /* of the sheet's middle, mm */
} Stand;

/* z upwards out of the sheet's height: what a sheet that is not flat has more. */
static PwPx
photograph(const PwLens *camera, const Stand *stand, PwMm mm, double z)
{
  double lean = stand->lean * G_PI / 180, to = stand->toward * G_PI / 180;
  double roll = stand->roll * G_PI / 180;
  double x0 = mm.x - PITCH_MM * (COLUMNS - 1) / 2, y0 = mm.y - PITCH_MM * (ROWS - 1) / 2;
  double x1 = cos(roll) * x0 - sin(roll) * y0, y1 = sin(roll) * x0 + cos(roll) * y0;
  double along = cos(to) * x1 + sin(to) * y1, aside = -sin(to) * x1 + cos(to) * y1;
  double near = cos(lean) * along + sin(lean) * z, depth = sin(lean) * along - cos(lean) * z;
  double x = cos(to) * near - sin(to) * aside + stand->x;
  double y = sin(to) * near + cos(to) * aside + stand->y;
  double u = x / (stand->distance + depth), v = y / (stand->distance + depth), r2 = u * u + v * v;
  double bend = 1 + camera->k1 * r2 + camera->k2 * r2 * r2;
  return (PwPx){camera->cx + camera->f_px * u * bend, camera->cy + camera->f_px * v * bend};
}

static double
normal(Chance *chance)
{
  double u = chance_double(chance, 1e-12, 1), v = chance_double(chance, 0, 1);
  return sqrt(-2 * log(u)) * cos(2 * G_PI * v);
}

/* Sheets that do not lie flat: by how much of their bulge they stand off the table at a place
 * between 0 and 1 across and down. */
typedef enum { DOME, CURL_ACROSS, CURL_DOWN, CORNER_UP, WAVE, N_SHAPES } Warp;
static double
height(Warp warp, double x, double y)
{
  switch (warp) {
  case DOME:
    return sin(G_PI * x) * sin(G_PI * y);
  case CURL_ACROSS:
    return pow(2 * x - 1, 2);
  case CURL_DOWN:
    return pow(2 * y - 1, 2);
  case CORNER_UP:
    return pow(fmax(0, x + y - 1), 2);
  default:
    return sin(3 * G_PI * x + 2 * G_PI * y);
  }
}

typedef struct {
  double noise, bulge; /* px; mm */
  Warp warp;
  double stretch; /* of the print in y */
} Sheet;

static void
add_view(Session *session, Chance *chance, const PwLens *camera, const Stand *stand, Sheet sheet)
{
  gsize v = session->n++, n = 0;
  for (int i = 0; i < N_POINTS; i++) {
    double column = i % COLUMNS, row = (double)(i / COLUMNS);
    PwMm mm = {PITCH_MM * column, PITCH_MM * row};
    double z = sheet.bulge * height(sheet.warp, column / (COLUMNS - 1), row / (ROWS - 1));
    PwPx px = photograph(camera, stand, (PwMm){mm.x, mm.y * sheet.stretch}, z);
    px.x += sheet.noise * normal(chance);
    px.y += sheet.noise * normal(chance);
    if (px.x < 0 || px.y < 0 || px.x > WIDTH || px.y > HEIGHT)
      continue;
    session->px[v][n] = px;
    session->mm[v][n++] = mm;
  }
  session->views[v] = (PwSheetView){"a photograph", session->px[v], session->mm[v], n};
}

static const Sheet FLAT = {.noise = 0.1, .stretch = 1};

/* Views as a person takes them: leaning all ways, the sheet filling the frame. */
static void
walk_round(Session *session, Chance *chance, const PwLens *camera, gsize n, Sheet sheet)
{
  session->n = 0;
  for (gsize v = 0; v < n; v++) {
    Stand stand = {.lean = chance_double(chance, 15, 35),
                   .toward = 360. * (double)v / (double)n + chance_double(chance, -20, 20),
                   .roll = chance_double(chance, -180, 180),
                   .x = (v & 1 ? 1 : -1) * chance_double(chance, 20, 60),
                   .y = (v & 2 ? 1 : -1) * chance_double(chance, 10, 40),
                   .distance = chance_double(chance, .043, .055) * camera->f_px};
    add_view(session, chance, camera, &stand, sheet);
  }
}

static const PwLens CAMERA = {7000, 3041.5, 1972.25, -0.11, 0.04};

static gboolean
calibrate(const Session *session, PwCalibration *found, char **why)
{
  g_autoptr(GError) error = NULL;
  gboolean done = pw_lens_calibrate(session->views, session->n, WIDTH, HEIGHT, found, &error);
  assert_true(done || g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC));
  *why = done ? NULL : g_strdup(error->message);
  return done;
}

static void
assert_found(const Session *session, PwCalibration *found)
{
  g_autofree char *why = NULL;
  if (!calibrate(session, found, &why))
    fail_msg("%s", why);
}

static void
assert_refused(const Session *session, const char *because)
{
  PwCalibration found;
  g_autofree char *why = NULL;
  if (calibrate(session, &found, &why))
    fail_msg("not refused: %s", because);
  print_message("# %s\n", why);
  if (strstr(why, because) == NULL)
    fail_msg("\"%s\" does not say \"%s\"", why, because);
}

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not %.12g within %g", value, expected, tolerance);
}

/* ---- What is found ----------------------------------------------------------------- */

static void
without_noise_it_is_the_camera(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {1};
  const PwLens cameras[] = {CAMERA,
                            {7000, 3000, 2000, 0, 0},
                            {4500, 3100, 1900, 0.12, -0.2},
                            {12000, 2950, 2050, -0.4, 1.2},
                            {5200, 3600, 1600, -0.2, 0.05}}; /* cropped: the centre far off */
  for (gsize i = 0; i < G_N_ELEMENTS(cameras); i++) {
    PwCalibration found;
    const PwLens *camera = &cameras[i];
    walk_round(&session, &chance, camera, 8, (Sheet){.stretch = 1});
    assert_found(&session, &found);
    assert_near(found.lens.f_px, camera->f_px, 1e-4);
    assert_near(found.lens.cx, camera->cx, 1e-4);
    assert_near(found.lens.cy, camera->cy, 1e-4);
    assert_near(found.lens.k1, camera->k1, 1e-7);
    assert_near(found.lens.k2, camera->k2, 1e-6);
    assert_near(found.rms_px, 0, 1e-6);
    assert_near(found.residual_px, 0, 1e-5);
  }
}

enum { N_RUNS = 200 };
/* Three standard deviations of a root mean square of so many. */
static const double RMS_OF_RUNS = 0.15;

static void
errors_are_as_large_as_said(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {2};
  double sums[5] = {0}, rms = 0, residual = 0;
  for (int run = 0; run < N_RUNS; run++) {
    PwCalibration found;
    walk_round(&session, &chance, &CAMERA, 12, FLAT);
    assert_found(&session, &found);
    const double errors[] = {
        (found.lens.f_px - CAMERA.f_px) / found.u.f_px, (found.lens.cx - CAMERA.cx) / found.u.cx,
        (found.lens.cy - CAMERA.cy) / found.u.cy, (found.lens.k1 - CAMERA.k1) / found.u.k1,
        (found.lens.k2 - CAMERA.k2) / found.u.k2};
    for (int i = 0; i < 5; i++)
      sums[i] += errors[i] * errors[i] / N_RUNS;
    rms += found.rms_px * found.rms_px / N_RUNS;
    residual = fmax(residual, found.residual_px);
  }
  print_message("# RMS of error/u: f %.3f, cx %.3f, cy %.3f, k1 %.3f, k2 %.3f; residual at most "
                "%.3f px\n",
                sqrt(sums[0]), sqrt(sums[1]), sqrt(sums[2]), sqrt(sums[3]), sqrt(sums[4]),
                residual);
  for (int i = 0; i < 5; i++)
    assert_near(sqrt(sums[i]), 1, RMS_OF_RUNS);
  assert_near(sqrt(rms), NOISE_PX * sqrt(2), 0.01); /* two coordinates */
  assert_true(residual < 4.5 * NOISE_PX * sqrt(2));
}

/* The largest error in the frame that no plane takes up: a card's homography, found in the same
 * picture, makes up for the rest. */
static double
beyond_a_plane(const PwLens *lens)
{
  enum { N = 13 };
  double from[N * N][2], to[N * N][2], worst = 0, rms;
  PwHomography h;
  for (int i = 0; i < N * N; i++) {
    PwPx at = {WIDTH * (i % N) / (N - 1), HEIGHT * (i / N) / (N - 1)}, wanted, got;
    assert_true(pw_lens_undistort(&CAMERA, at, &wanted));
    assert_true(pw_lens_undistort(lens, at, &got));
    from[i][0] = got.x, from[i][1] = got.y, to[i][0] = wanted.x, to[i][1] = wanted.y;
  }
  assert_true(
      pw_homography_fit((const double(*)[2])from, (const double(*)[2])to, N * N, &h, &rms, NULL));
  for (int i = 0; i < N * N; i++) {
    double x, y;
    pw_homography_apply(&h, from[i][0], from[i][1], &x, &y);
    worst = fmax(worst, hypot(x - to[i][0], y - to[i][1]));
  }
  return worst;
}

/* Most sessions must leave no more in the frame than the half-width that they state, and that must
 * not be far too wide. */
static void
check_residual(const char *what, gsize n_views, Sheet sheet, Chance *chance, double least_part)
{
  static Session session;
  double held = 0, left = 0, residual = 0, rms = 0;
  for (int run = 0; run < N_RUNS; run++) {
    PwCalibration found;
    walk_round(&session, chance, &CAMERA, n_views, sheet);
    assert_found(&session, &found);
    double beyond = beyond_a_plane(&found.lens);
    held += beyond <= found.residual_px ? 1. / N_RUNS : 0;
    left += beyond / N_RUNS;
    residual += found.residual_px / N_RUNS;
    rms += found.rms_px / N_RUNS;
  }
  print_message("# %s: RMS %.2f px on average, residual %.2f px, left %.2f px, held in %.1f %%\n",
                what, rms, residual, left, 100 * held);
  assert_true(held >= least_part);
  assert_true(residual < 5 * rms);
}

/* With few and noisy views the coefficients' own doubt is the larger part. */
static void
the_residual_holds_what_noise_leaves(void **state)
{
  (void)state;
  Chance chance = {3};
  check_residual("6 views, 0.5 px", 6, (Sheet){.noise = .5, .stretch = 1}, &chance, .95);
  check_residual("12 views, 0.1 px", 12, FLAT, &chance, .95);
}

static void
the_residual_holds_what_a_bulge_leaves(void **state)
{
  (void)state;
  static const char *const names[] = {"dome", "curl across", "curl down", "corner up", "wave"};
  Chance chance = {10};
  for (int warp = 0; warp < N_SHAPES; warp++) {
    g_autofree char *what = g_strdup_printf("9 views, %s of 0.4 mm", names[warp]);
    check_residual(what, 9, (Sheet){.1, .4, (Warp)warp, 1}, &chance, .9);
  }
}

/* ---- What is refused --------------------------------------------------------------- */

static void
too_few_views(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {4};
  walk_round(&session, &chance, &CAMERA, 5, FLAT);
  assert_refused(&session, "5 photographs only, 6 are needed");
  walk_round(&session, &chance, &CAMERA, 6, FLAT);
  session.views[3].n = 12;
  assert_refused(&session, "only 12 corners");
}

static void
views_that_lean_one_way(void **state)
{
  (void)state;
  static Session session;
  const double leans[] = {0, 1, 25};
  for (gsize i = 0; i < G_N_ELEMENTS(leans); i++) {
    Chance chance = {5};
    session.n = 0;
    for (int v = 0; v < 10; v++) {
      Stand stand = {leans[i], 30, 36. * v, chance_double(&chance, -30, 30), 0, 360};
      add_view(&session, &chance, &CAMERA, &stand, FLAT);
    }
    assert_refused(&session, "principal distance");
  }
}

/* Leaning by 8 degrees only, blurred, most of the sheet covered: the focal length and the centre
 * are told too badly. */
static void
views_that_hardly_lean(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {11};
  session.n = 0;
  for (int v = 0; v < 6; v++) {
    Stand stand = {8, 60. * v, 0, 0, 0, 330};
    add_view(&session, &chance, &CAMERA, &stand, (Sheet){.noise = 2.4, .stretch = 1});
  }
  for (gsize v = 0; v < session.n; v++) {
    gsize left = 0;
    for (gsize i = 0; i < session.views[v].n; i += 11, left++) {
      session.px[v][left] = session.px[v][i];
      session.mm[v][left] = session.mm[v][i];
    }
    session.views[v].n = left;
  }
  assert_refused(&session, "% only, the centre to");
}

static void
a_sheet_that_does_not_fill_the_frame(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {6};
  session.n = 0;
  for (int v = 0; v < 8; v++) {
    Stand stand = {25, 45. * v, 0, -80, 40, 550};
    add_view(&session, &chance, &CAMERA, &stand, FLAT);
  }
  assert_refused(&session, "upper right of the frame");
}

/* A bulge of 3 mm, and one photograph that was taken at another zoom. */
static void
a_fit_that_is_too_bad(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {7};
  session.n = 0;
  for (int v = 0; v < 8; v++) {
    Stand stand = {25, 45. * v, 20. * v, 0, 0, 360};
    add_view(&session, &chance, &CAMERA, &stand, ((Sheet){NOISE_PX, 3, DOME, 1}));
  }
  assert_refused(&session, "was the sheet flat");
  walk_round(&session, &chance, &CAMERA, 7, FLAT);
  PwLens zoomed = CAMERA;
  zoomed.f_px *= 1.2;
  Stand stand = {35, 10, 0, 0, 0, 400};
  add_view(&session, &chance, &zoomed, &stand, FLAT);
  session.views[7].name = "the zoomed one";
  assert_refused(&session, "worst in the zoomed one");
}

static void
views_that_are_no_picture_of_a_sheet(void **state)
{
  (void)state;
  static Session session;
  Chance chance = {8};
  PwCalibration found;
  walk_round(&session, &chance, &CAMERA, 6, FLAT);
  for (gsize i = 0; i < session.views[2].n; i++)
    session.px[2][i] = (PwPx){100, 100};
  session.views[2].name = "the odd one";
  assert_refused(&session, "the odd one: ");
  for (int round = 0; round < 20; round++) {
    for (gsize v = 0; v < session.n; v++)
      for (gsize i = 0; i < session.views[v].n; i++)
        session.px[v][i] =
            (PwPx){chance_double(&chance, 0, WIDTH), chance_double(&chance, 0, HEIGHT)};
    g_autofree char *why = NULL;
    assert_false(calibrate(&session, &found, &why));
  }
}

/* ---- What is not as it should be --------------------------------------------------- */

static void
a_stretched_print_is_found(void **state)
{
  (void)state;
  static Session session;
  PwCalibration found;
  Chance chance = {9};
  session.n = 0;
  for (int v = 0; v < 12; v++) {
    Stand stand = {25, 30. * v, 50. * v, 10, -10, 360};
    add_view(&session, &chance, &CAMERA, &stand, ((Sheet){NOISE_PX, 0, DOME, 1.005}));
  }
  assert_found(&session, &found);
  assert_near(found.stretch, 1.005, 4 * found.u_stretch);
  assert_near(found.lens.f_px, CAMERA.f_px, 4 * found.u.f_px);
  assert_true(found.u_stretch < 1e-4);
  assert_true(beyond_a_plane(&found.lens) < found.residual_px);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(without_noise_it_is_the_camera),
      cmocka_unit_test(errors_are_as_large_as_said),
      cmocka_unit_test(the_residual_holds_what_noise_leaves),
      cmocka_unit_test(the_residual_holds_what_a_bulge_leaves),
      cmocka_unit_test(too_few_views),
      cmocka_unit_test(views_that_lean_one_way),
      cmocka_unit_test(views_that_hardly_lean),
      cmocka_unit_test(a_sheet_that_does_not_fill_the_frame),
      cmocka_unit_test(a_fit_that_is_too_bad),
      cmocka_unit_test(views_that_are_no_picture_of_a_sheet),
      cmocka_unit_test(a_stretched_print_is_found),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
