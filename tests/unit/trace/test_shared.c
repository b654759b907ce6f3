/* Real pictures with truths that are not ours, in ../shared/cases/ruler: leaves scanned beside a
 * scale, with the areas that the R package LeafArea publishes for ImageJ, and red squares of a
 * stated size.
 *
 * A leaf is touched at the middle of its greatest inner circle, found in the picture by its
 * darkness. A person drags the tolerance until the outline lies on the edge: of a short list of
 * tolerances the best is taken, and it is told what the others give. The scale is the truth's.
 */
#include "ground.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <platewright/photo.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

/* The issue's. */
#define AREA_PART 0.01
#define HUE_PX 1.0
static const double DRAGGED[] = {12, 16, 20, 25, 30, 40};

static JsonParser *parser;

static char *
folder(void)
{
  return g_build_filename(g_getenv("PW_SHARED"), "cases", "ruler", NULL);
}

static int
startup(void **state)
{
  (void)state;
  g_autofree char *top = folder(), *path = g_build_filename(top, "truth_areas.json", NULL);
  parser = json_parser_new();
  if (!json_parser_load_from_file(parser, path, NULL)) {
    print_message("# no %s here\n", path);
    g_clear_object(&parser);
  }
  return pw_photo_startup(NULL) ? 0 : -1;
}

static int
shutdown(void **state)
{
  (void)state;
  g_clear_object(&parser);
  pw_photo_shutdown();
  return 0;
}

static JsonArray *
cases(void)
{
  return json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "cases");
}

static double
area_of(const PwTrace *trace)
{
  double area = fabs(pw_px_signed_area(trace->outline.points, trace->outline.n));
  for (gsize i = 0; i < trace->n_holes; i++)
    area -= fabs(pw_px_signed_area(trace->holes[i].points, trace->holes[i].n));
  return area;
}

/* ---- Leaves ------------------------------------------------------------------------ */

static gboolean
is_dark(const PwPlane *plane, int x, int y)
{
  return plane->pixels[(gsize)y * plane->stride + 3 * (gsize)x] < 130;
}

/* How far every dark px is from the nearest that is not, roughly: city blocks. */
static int *
depths(const PwPlane *plane)
{
  int w = plane->width, h = plane->height;
  int *depth = g_new0(int, (gsize)w *(gsize)h);
  for (int y = 1; y + 1 < h; y++)
    for (int x = 1; x + 1 < w; x++)
      if (is_dark(plane, x, y))
        depth[y * w + x] = 1 + MIN(depth[y * w + x - 1], depth[(y - 1) * w + x]);
  for (int y = h - 2; y > 0; y--)
    for (int x = w - 2; x > 0; x--)
      if (depth[y * w + x] > 0)
        depth[y * w + x] =
            MIN(depth[y * w + x], 1 + MIN(depth[y * w + x + 1], depth[(y + 1) * w + x]));
  return depth;
}

static gboolean
lies_in(const PwPxPath *ring, PwPx p)
{
  gboolean in = FALSE;
  for (gsize i = 0, j = ring->n - 1; i < ring->n; j = i++) {
    PwPx a = ring->points[i], b = ring->points[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
      in = !in;
  }
  return in;
}

/* The deepest px; those of an outline that was found are then no longer dark. */
static PwPx
deepest(const int *depth, const PwPlane *plane)
{
  int best = 0;
  for (int i = 0; i < plane->width * plane->height; i++)
    if (depth[i] > depth[best])
      best = i;
  return (PwPx){best % plane->width + 0.5, best / plane->width + 0.5};
}

static void
forget(int *depth, const PwPlane *plane, const PwPxPath *outline)
{
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++)
      if (depth[y * plane->width + x] > 0 && lies_in(outline, (PwPx){x + 0.5, y + 0.5}))
        depth[y * plane->width + x] = 0;
}

/* The published area nearest to one of ours, and how far that is from it, as a part. */
static double
error_of(JsonArray *published, double area)
{
  double best = HUGE_VAL;
  for (guint i = 0; i < json_array_get_length(published); i++) {
    double error = area / json_array_get_double_element(published, i) - 1;
    if (fabs(error) < fabs(best))
      best = error;
  }
  return best;
}

/* The best of the list, as a signed part; leaves the leaf forgotten. */
static double
follow_leaf(const PwPlane *plane, int *depth, JsonObject *leaf)
{
  double px_per_mm = json_object_get_double_member(leaf, "px_per_mm"), best = HUGE_VAL;
  JsonArray *published = json_object_get_array_member(leaf, "leaf_area_cm2_published_ImageJ");
  PwPx at = deepest(depth, plane);
  PwPxPath outline = {0};
  g_autoptr(GString) said = g_string_new(NULL);
  for (gsize t = 0; t < G_N_ELEMENTS(DRAGGED); t++) {
    const PwTraceOptions options = {.tolerance = DRAGGED[t]};
    PwTrace trace;
    if (!pw_trace_follow(plane, at, &options, &trace, NULL))
      continue;
    double error = error_of(published, area_of(&trace) / (px_per_mm * px_per_mm) / 100);
    g_string_append_printf(said, " %.0f: %+.2f %%", DRAGGED[t], 100 * error);
    if (fabs(error) < fabs(best))
      best = error;
    pw_px_path_clear(&outline);
    outline = ring_of(trace.outline.points, trace.outline.n);
    pw_trace_clear(&trace);
  }
  print_message("# %s at %.0f,%.0f:%s\n", json_object_get_string_member(leaf, "file"), at.x, at.y,
                said->str);
  assert_non_null(outline.points);
  forget(depth, plane, &outline);
  pw_px_path_clear(&outline);
  return best;
}

static void
leaves_have_their_published_areas(void **state)
{
  (void)state;
  double largest = 0;
  int n = 0;
  for (guint i = 0; parser != NULL && i < json_array_get_length(cases()); i++) {
    JsonObject *leaf = json_array_get_object_element(cases(), i);
    if (!json_object_has_member(leaf, "leaf_area_cm2_published_ImageJ"))
      continue;
    g_autofree char *top = folder();
    g_autofree char *path =
        g_build_filename(top, json_object_get_string_member(leaf, "file"), NULL);
    g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
    assert_non_null(photo);
    PwPlane plane;
    const PwRender whole = {0};
    assert_true(pw_photo_render(photo, &whole, &plane, NULL));
    g_autofree int *depth = depths(&plane);
    guint leaves =
        json_array_get_length(json_object_get_array_member(leaf, "leaf_area_cm2_published_ImageJ"));
    for (guint k = 0; k < leaves; k++, n++)
      largest = fmax(largest, fabs(follow_leaf(&plane, depth, leaf)));
    pw_plane_clear(&plane);
  }
  if (n == 0) {
    skip();
    return;
  }
  print_message("# %d leaves, the largest error of the best tolerance: %.2f %%\n", n,
                100 * largest);
  assert_int_equal(n, 9);
  assert_true(largest < AREA_PART);
}

/* ---- Squares ----------------------------------------------------------------------- */

/* The truth's corners are OpenCV's, whole px of the stored picture, from the pixels' middles. */
static void
corners_of(JsonObject *square, const PwPhotoFacts *facts, PwPx corners[4])
{
  JsonArray *all = json_object_get_array_member(square, "corners_px_stored");
  for (guint i = 0; i < 4; i++) {
    JsonArray *at = json_array_get_array_element(all, i);
    corners[i] = pw_photo_facts_upright(facts, (PwPx){json_array_get_double_element(at, 0) + 0.5,
                                                      json_array_get_double_element(at, 1) + 0.5});
  }
}

/* By the edge that was followed and by the corners that were sought. OpenCV's area is that of a
 * polygon through the middles of the outermost px whose hue is red: half a px all round is added,
 * and where a hue begins in an edge 5 px wide is not known better than to a px. */
static void
measure_square(JsonObject *square, const char *path)
{
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  assert_non_null(photo);
  PwPlane colour, grey;
  PwPx corners[4], found[4], middle = {0, 0};
  const PwRender whole = {0};
  assert_true(pw_photo_render(photo, &whole, &colour, NULL));
  assert_true(pw_photo_grey(photo, &grey, NULL));
  corners_of(square, pw_photo_peek_facts(photo), corners);
  for (int i = 0; i < 4; i++)
    middle = (PwPx){middle.x + corners[i].x / 4, middle.y + corners[i].y / 4};
  double through = json_object_get_double_member(square, "area_px"), best = HUGE_VAL, doubt;
  double perimeter = 4 * sqrt(through), truth = through + perimeter / 2;
  for (gsize t = 0; t < G_N_ELEMENTS(DRAGGED); t++) {
    const PwTraceOptions options = {.tolerance = DRAGGED[t]};
    PwTrace trace;
    if (!pw_trace_follow(&colour, middle, &options, &trace, NULL))
      continue;
    double error = area_of(&trace) / truth - 1;
    best = fabs(error) < fabs(best) ? error : best;
    pw_trace_clear(&trace);
  }
  g_autoptr(GError) error = NULL;
  if (!pw_trace_corners(&grey, corners, 12, found, &doubt, &error))
    fail_msg("%s: %s", path, error->message);
  double by_corners = fabs(pw_px_signed_area(found, 4)) / truth - 1;
  print_message("# %s: followed %+.2f %%, by corners %+.2f %% (doubt %.2f px)\n",
                json_object_get_string_member(square, "file"), 100 * best, 100 * by_corners, doubt);
  assert_true(fabs(best) < HUE_PX * perimeter / truth);
  assert_true(fabs(by_corners) < HUE_PX * perimeter / truth);
  assert_true(fabs(by_corners - best) < AREA_PART / 2);
  pw_plane_clear(&colour);
  pw_plane_clear(&grey);
}

static void
red_squares_have_the_area_that_opencv_counts(void **state)
{
  (void)state;
  int n = 0;
  for (guint i = 0; parser != NULL && i < json_array_get_length(cases()); i++) {
    JsonObject *square = json_array_get_object_element(cases(), i);
    if (!json_object_has_member(square, "red_square_mm2"))
      continue;
    g_autofree char *top = folder();
    g_autofree char *path =
        g_build_filename(top, json_object_get_string_member(square, "file"), NULL);
    measure_square(square, path);
    n++;
  }
  if (n == 0)
    skip();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(leaves_have_their_published_areas),
      cmocka_unit_test(red_squares_have_the_area_that_opencv_counts),
  };
  return cmocka_run_group_tests(tests, startup, shutdown);
}
