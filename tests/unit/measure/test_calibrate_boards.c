/* Lenses of real cameras, from photographs of printed boards: against OpenCV's own calibration of
 * the same corners (tests/reference/lens.py) and against the boards' printed squares. The corners
 * and OpenCV's published figures are ../shared/cases/planar (see its SOURCE.txt); without that
 * folder there is nothing to check.
 *
 * The truth counts from the centre of the first pixel, we from its outer corner: half a pixel more.
 */
#include "measure/bundle.h"

#include "../../reference/rows.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

enum { MAX_VIEWS = 16 };

typedef struct {
  JsonObject *photos[MAX_VIEWS]; /* of the truth */
  PwSheetView views[MAX_VIEWS];
  gsize n;
  double width, height;
} Set;

static JsonParser *
open_json(const char *name)
{
  JsonParser *parser = json_parser_new();
  g_autofree char *path = g_build_filename(g_getenv("PW_SHARED") ? g_getenv("PW_SHARED") : "",
                                           "cases", "planar", name, NULL);
  if (json_parser_load_from_file(parser, path, NULL))
    return parser;
  g_object_unref(parser);
  print_message("# ../shared/cases/planar is not there: nothing checked\n");
  skip();
  return NULL;
}

static PwPx
pair(JsonArray *pairs, guint i)
{
  JsonArray *two = json_array_get_array_element(pairs, i);
  return (PwPx){json_array_get_double_element(two, 0), json_array_get_double_element(two, 1)};
}

static PwPx
seen(JsonArray *corners, guint i)
{
  PwPx at = pair(corners, i);
  return (PwPx){at.x + .5, at.y + .5};
}

static PwSheetView
view_of(JsonObject *photo)
{
  JsonArray *corners = json_object_get_array_member(photo, "corners_px");
  guint n = json_array_get_length(corners);
  gint64 columns =
      json_array_get_int_element(json_object_get_array_member(photo, "inner_corners"), 0);
  double square = json_object_get_double_member(photo, "square_mm");
  PwPx *px = g_new(PwPx, n);
  PwMm *mm = g_new(PwMm, n);
  for (guint i = 0; i < n; i++) {
    px[i] = seen(corners, i);
    mm[i] = (PwMm){square * (double)(i % columns), square * (double)(i / columns)};
  }
  return (PwSheetView){json_object_get_string_member(photo, "file"), px, mm, n};
}

static void
set_init(Set *set, JsonParser *truth, const char *name)
{
  JsonArray *cases =
      json_object_get_array_member(json_node_get_object(json_parser_get_root(truth)), "cases");
  set->n = 0;
  for (guint i = 0; i < json_array_get_length(cases); i++) {
    JsonObject *photo = json_array_get_object_element(cases, i);
    if (strcmp(json_object_get_string_member(photo, "set"), name) != 0)
      continue;
    set->width = json_object_get_double_member(photo, "width");
    set->height = json_object_get_double_member(photo, "height");
    set->photos[set->n] = photo;
    set->views[set->n++] = view_of(photo);
  }
}

static void
set_clear(Set *set)
{
  for (gsize v = 0; v < set->n; v++) {
    g_free((gpointer)set->views[v].px);
    g_free((gpointer)set->views[v].mm);
  }
}

static double
number(char **row, int column)
{
  return g_ascii_strtod(row[column], NULL);
}

/* The fit without what pw_lens_calibrate refuses: two of the sets have three and four views only.
 */
static PwLens
fit(const Set *set, double *rms)
{
  PwSheetPose poses[MAX_VIEWS];
  PwBundle bundle = {.views = set->views, .n = set->n, .poses = poses};
  assert_true(pw_bundle_begin(&bundle, set->width, set->height, NULL));
  assert_true(pw_bundle_fit(&bundle));
  *rms = sqrt(bundle.sum / (double)(set->n * set->views[0].n));
  return bundle.lens;
}

/* ---- Against OpenCV's figures ------------------------------------------------------ */

static void
check_near(char **row, int column, double found, double tolerance)
{
  double wanted = number(row, column);
  if (!(fabs(found - wanted) <= tolerance))
    fail_msg("%s: %.8g, OpenCV %.8g", row[0], found, wanted);
}

/* The same least squares (model `stretched`); OpenCV takes corners as 32-bit floats. Of three or
 * four views the valley is so flat that OpenCV stops anywhere in it: there only the depth is
 * compared. */
static const double SAME_PX = .01, SAME_K = 1e-4, SAME_RMS_PX = 1e-5;
enum { ENOUGH_VIEWS = 6 };

static void
is_what_opencv_finds(void **state)
{
  (void)state;
  g_autoptr(JsonParser) truth = open_json("truth.json");
  g_autoptr(GPtrArray) rows = reference_rows("lens.csv");
  int checked = 0;
  assert_non_null(rows);
  for (guint i = 0; i < rows->len; i++) {
    char **row = rows->pdata[i];
    Set set;
    double rms;
    if (strcmp(row[1], "stretched") != 0)
      continue;
    set_init(&set, truth, row[0]);
    PwLens lens = fit(&set, &rms);
    print_message("# %s, %zu views: f %.3f (OpenCV %s), centre %.3f,%.3f (%s,%s), k1 %.5f (%s), "
                  "k2 %.5f (%s), RMS %.5f (%s)\n",
                  row[0], set.n, lens.f_px, row[4], lens.cx, lens.cy, row[6], row[7], lens.k1,
                  row[8], lens.k2, row[9], rms, row[13]);
    check_near(row, 13, rms, SAME_RMS_PX);
    checked++;
    if (set.n >= ENOUGH_VIEWS) {
      check_near(row, 4, lens.f_px, SAME_PX);
      check_near(row, 6, lens.cx, SAME_PX);
      check_near(row, 7, lens.cy, SAME_PX);
      check_near(row, 8, lens.k1, SAME_K);
      check_near(row, 9, lens.k2, SAME_K);
    }
    set_clear(&set);
  }
  assert_int_equal(checked, 3);
}

/* OpenCV's lens: two focal lengths, radial k1 k2 k3, tangential p1 p2 (its documentation of
 * calib3d). */
typedef struct {
  double fx, fy, cx, cy, k1, k2, p1, p2, k3;
} FiveTerms;

static FiveTerms
five_terms_of(JsonParser *parser, const char *set)
{
  JsonObject *o =
      json_object_get_object_member(json_node_get_object(json_parser_get_root(parser)), set);
  JsonArray *rows = json_object_get_array_member(o, "camera_matrix");
  JsonArray *first = json_array_get_array_element(rows, 0);
  JsonArray *second = json_array_get_array_element(rows, 1);
  JsonArray *terms = json_object_get_array_member(o, "distortion");
  double t[5];
  for (guint i = 0; i < 5; i++)
    t[i] = json_array_get_double_element(terms, i);
  return (FiveTerms){json_array_get_double_element(first, 0),
                     json_array_get_double_element(second, 1),
                     json_array_get_double_element(first, 2) + .5,
                     json_array_get_double_element(second, 2) + .5,
                     t[0],
                     t[1],
                     t[2],
                     t[3],
                     t[4]};
}

static PwPx
undistort_five(const FiveTerms *lens, PwPx at)
{
  double x0 = (at.x - lens->cx) / lens->fx, y0 = (at.y - lens->cy) / lens->fy, x = x0, y = y0;
  for (int i = 0; i < 200; i++) {
    double r2 = x * x + y * y;
    double radial = 1 + r2 * (lens->k1 + r2 * (lens->k2 + r2 * lens->k3));
    double dx = 2 * lens->p1 * x * y + lens->p2 * (r2 + 2 * x * x);
    double dy = lens->p1 * (r2 + 2 * y * y) + 2 * lens->p2 * x * y;
    x = (x0 - dx) / radial;
    y = (y0 - dy) / radial;
  }
  return (PwPx){lens->cx + lens->fx * x, lens->cy + lens->fy * y};
}

/* All corners of a set, undistorted with ours and with theirs, and one homography between the two:
 * what is left is where the lenses differ. */
static double
apart_px(const Set *set, const PwLens *ours, const FiveTerms *theirs)
{
  gsize n = 0, most = set->n * set->views[0].n;
  g_autofree double(*from)[2] = g_malloc_n(most, sizeof *from);
  g_autofree double(*to)[2] = g_malloc_n(most, sizeof *to);
  for (gsize v = 0; v < set->n; v++)
    for (gsize i = 0; i < set->views[v].n; i++, n++) {
      PwPx a, b = undistort_five(theirs, set->views[v].px[i]);
      assert_true(pw_lens_undistort(ours, set->views[v].px[i], &a));
      from[n][0] = a.x;
      from[n][1] = a.y;
      to[n][0] = b.x;
      to[n][1] = b.y;
    }
  PwHomography h;
  double rms;
  assert_true(
      pw_homography_fit((const double(*)[2])from, (const double(*)[2])to, n, &h, &rms, NULL));
  return rms;
}

static void
corners_lie_where_opencv_puts_them(void **state)
{
  (void)state;
  g_autoptr(JsonParser) truth = open_json("truth.json");
  g_autoptr(JsonParser) published = open_json("opencv_calibration.json");
  FiveTerms theirs = five_terms_of(published, "opencv-left");
  Set set;
  PwCalibration found;
  PwLens none = {0};
  g_autoptr(GError) error = NULL;
  set_init(&set, truth, "opencv-left");
  if (!pw_lens_calibrate(set.views, set.n, set.width, set.height, &found, &error))
    fail_msg("%s", error->message);
  double apart = apart_px(&set, &found.lens, &theirs);
  print_message("# opencv-left: corners %.3f px RMS from OpenCV's five terms, up to a homography; "
                "%.3f px without a lens; RMS of the fit %.3f px, residual %.2f px\n",
                apart, apart_px(&set, &none, &theirs), found.rms_px, found.residual_px);
  assert_true(apart < .1);
  set_clear(&set);
}

/* ---- Against the printed boards ---------------------------------------------------- */

/* The unsigned errors, in %, of all lengths of a set measured from a card-sized part of the board.
 */
static GArray *
length_errors(const Set *set, const PwLens *lens, const char *from)
{
  GArray *errors = g_array_new(FALSE, FALSE, sizeof(double));
  for (gsize v = 0; v < set->n; v++) {
    JsonObject *reference = json_object_get_object_member(
        json_object_get_object_member(set->photos[v], "from_reference"), from);
    JsonArray *px = json_object_get_array_member(reference, "reference_px");
    PwPx across = pair(json_object_get_array_member(reference, "reference_mm"), 2);
    PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                          .width_mm = across.x,
                          .height_mm = across.y,
                          .camera_distance_mm = nan(""),
                          .focal_px = nan(""),
                          .picture_width = set->width,
                          .picture_height = set->height,
                          .lens = *lens};
    PwUncertainty uncertainty;
    for (guint i = 0; i < 4; i++)
      input.corners[i] = seen(px, i);
    pw_uncertainty_init_defaults(&uncertainty);
    g_autoptr(PwScale) scale = pw_scale_new(&input, &uncertainty, NULL);
    assert_non_null(scale);
    JsonArray *measures = json_object_get_array_member(reference, "measures");
    for (guint i = 0; i < json_array_get_length(measures); i++) {
      JsonObject *measure = json_array_get_object_element(measures, i);
      if (strcmp(json_object_get_string_member(measure, "kind"), "length") != 0)
        continue;
      PwMm a, b;
      JsonArray *ends = json_object_get_array_member(measure, "px");
      assert_true(pw_scale_map(scale, seen(ends, 0), &a) && pw_scale_map(scale, seen(ends, 1), &b));
      double wanted = json_object_get_double_member(measure, "true_mm");
      double error = 100 * fabs(hypot(a.x - b.x, a.y - b.y) / wanted - 1);
      g_array_append_val(errors, error);
    }
  }
  return errors;
}

static int
compare(gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median(GArray *errors, double *largest)
{
  g_array_sort(errors, compare);
  *largest = g_array_index(errors, double, errors->len - 1);
  return g_array_index(errors, double, errors->len / 2);
}

/* How many times smaller the median error of lengths becomes. */
static double
gain(const Set *set, const char *name, const char *from)
{
  double rms, most_before, most_after;
  PwLens none = {0}, lens = fit(set, &rms);
  g_autoptr(GArray) before = length_errors(set, &none, from);
  g_autoptr(GArray) after = length_errors(set, &lens, from);
  double was = median(before, &most_before), is = median(after, &most_after);
  print_message("# %s from %s, %u lengths: median error %.3f %% before, %.3f %% after (%.1f times "
                "smaller); largest %.2f and %.2f %%\n",
                name, from, before->len, was, is, was / is, most_before, most_after);
  return was / is;
}

/* The part of the board taken for a card is 75 x 50 mm; lengths reach out to 236 mm. */
static void
lengths_come_true(void **state)
{
  (void)state;
  g_autoptr(JsonParser) truth = open_json("truth.json");
  Set set;
  set_init(&set, truth, "opencv-left");
  assert_true(gain(&set, "opencv-left", "card3x2") >= 5);
  set_clear(&set);
}

/* Four and three views, of which lens and print cannot be told apart from a board that is not flat:
 * refused. What they would have given is told. */
static void
sets_too_small_are_refused(void **state)
{
  (void)state;
  static const char *const names[] = {"pixelxl", "webcam"};
  g_autoptr(JsonParser) truth = open_json("truth.json");
  for (gsize s = 0; s < G_N_ELEMENTS(names); s++) {
    Set set;
    PwCalibration found;
    g_autoptr(GError) error = NULL;
    set_init(&set, truth, names[s]);
    assert_false(pw_lens_calibrate(set.views, set.n, set.width, set.height, &found, &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC));
    gain(&set, names[s], "card3x2");
    set_clear(&set);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(is_what_opencv_finds),
      cmocka_unit_test(corners_lie_where_opencv_puts_them),
      cmocka_unit_test(lengths_come_true),
      cmocka_unit_test(sets_too_small_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
