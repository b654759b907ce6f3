/* Photographs with truths that others made (../shared/cases): EXIF by exiftool, colour by
 * LittleCMS through Pillow, orientation by Pillow. Their coordinates are stored pixels with the
 * centre of the first at 0,0.
 */
#include "pictures.h"

#include <json-glib/json-glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

/* Of a mean over 9 x 9 pixels: Pillow decodes and converts in 8 bits, so do we. */
#define COLOUR_8BIT 1.5
/* Of a mean over 64 x 64 shrunk pixels: another filter, and in a mirrored picture the odd fraction
 * of a pixel falls to the other edge, which shows in black and white scans most. A wrong turn
 * scores 32 at least. */
#define SHRINKING 2.5

typedef struct {
  char *folder;
  JsonParser *parser;
  JsonArray *cases;
} Truth;

static Truth
load_truth(const char *folder, const char *name)
{
  Truth truth = {shared_case(folder), json_parser_new(), NULL};
  g_autofree char *path = g_build_filename(truth.folder, name, NULL);
  assert_true(json_parser_load_from_file(truth.parser, path, NULL));
  truth.cases = json_object_get_array_member(
      json_node_get_object(json_parser_get_root(truth.parser)), "cases");
  return truth;
}

static void
clear_truth(Truth *truth)
{
  g_object_unref(truth->parser);
  g_free(truth->folder);
}

static char *
file_of(const Truth *truth, JsonObject *one)
{
  return g_build_filename(truth->folder, json_object_get_string_member(one, "file"), NULL);
}

/* ---- EXIF -------------------------------------------------------------------------- */

/* exiftool's value in the EXIF group, or where that is silent in any group; NULL for none. */
static JsonNode *
peek_value(JsonObject *one, const char *name, gboolean any)
{
  JsonObject *group = json_object_get_object_member(one, any ? "any" : "exif");
  return json_object_has_member(group, name) ? json_object_get_member(group, name) : NULL;
}

static char *
dup_as_text(JsonNode *node)
{
  if (json_node_get_value_type(node) == G_TYPE_STRING)
    return g_strstrip(json_node_dup_string(node));
  return g_strdup_printf("%.10g", json_node_get_double(node));
}

/* Where the way to the Exif directory is of the wrong type, exiftool stops; going on is no fault.
 */
static gboolean
went_further(JsonObject *one)
{
  const char *warning = json_object_get_string_member_with_default(one, "exiftool_warning", NULL);
  return warning != NULL && strstr(warning, "ExifOffset") != NULL;
}

/* Ours says what EXIF says; it may be silent only where EXIF's own value is empty or nonsense. */
static gboolean
agrees_text(JsonObject *one, const char *name, const char *ours)
{
  JsonNode *node = peek_value(one, name, FALSE);
  if (node == NULL && went_further(one))
    return TRUE;
  if (node == NULL)
    node = ours != NULL ? peek_value(one, name, TRUE) : NULL;
  if (node == NULL)
    return ours == NULL;
  g_autofree char *text = dup_as_text(node);
  gboolean empty = *text == '\0' || strcmp(text, "0000:00:00 00:00:00") == 0;
  return empty ? ours == NULL : g_strcmp0(text, ours) == 0;
}

static gboolean
agrees_number(JsonObject *one, const char *name, double ours)
{
  JsonNode *node = peek_value(one, name, FALSE);
  gboolean silent = isnan(ours) || ours <= 0;
  if (node == NULL && went_further(one))
    return TRUE;
  if (node == NULL)
    node = silent ? NULL : peek_value(one, name, TRUE);
  if (node == NULL || json_node_get_value_type(node) == G_TYPE_STRING)
    return silent;
  double value = json_node_get_double(node);
  return value <= 0 ? silent : fabs(ours / value - 1) < 1e-7;
}

/* "2026-03-02T10:14:07" as exiftool writes it. */
static char *
dup_exif_moment(const char *taken)
{
  if (taken == NULL)
    return NULL;
  char *text = g_strdup(taken);
  text[4] = text[7] = ':';
  text[10] = ' ';
  return text;
}

static guint
count_disagreements(JsonObject *one, const PwPhotoFacts *facts)
{
  g_autofree char *moment = dup_exif_moment(facts->taken);
  gboolean turned = strcmp(facts->format, "HEIF") == 0;
  const struct {
    const char *name;
    gboolean agrees;
  } rows[] = {
      {"Make", agrees_text(one, "Make", facts->make)},
      {"Model", agrees_text(one, "Model", facts->model)},
      {"LensModel", agrees_text(one, "LensModel", facts->lens)},
      {"OffsetTimeOriginal", agrees_text(one, "OffsetTimeOriginal", facts->zone)},
      {"DateTimeOriginal", agrees_text(one, "DateTimeOriginal", moment)},
      {"FNumber", agrees_number(one, "FNumber", facts->f_number)},
      {"ExposureTime", agrees_number(one, "ExposureTime", facts->exposure_s)},
      {"ISO", agrees_number(one, "ISO", facts->iso)},
      {"FocalLength", agrees_number(one, "FocalLength", facts->focal_mm)},
      {"FocalLengthIn35mmFormat", agrees_number(one, "FocalLengthIn35mmFormat", facts->focal_35mm)},
      {"ExifImageWidth", agrees_number(one, "ExifImageWidth", facts->pixel_x)},
      {"ExifImageHeight", agrees_number(one, "ExifImageHeight", facts->pixel_y)},
      {"Orientation", turned || json_object_get_null_member(one, "OrientationIFD0") ||
                          json_object_get_int_member(one, "OrientationIFD0") == facts->orientation},
      /* HEIF's own rotation, 0 degrees in these, stands above EXIF's (ISO/IEC 23008-12). */
      {"ImageWidth", !turned || (facts->orientation == 1 &&
                                 json_object_get_int_member(one, "ImageWidth") == facts->width)},
  };
  guint n = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (!rows[i].agrees) {
      print_message("# %s: %s disagrees\n", json_object_get_string_member(one, "file"),
                    rows[i].name);
      n++;
    }
  return n;
}

static void
test_exif(void **state G_GNUC_UNUSED)
{
  Truth truth = load_truth("exif", "truth.json");
  guint n = json_array_get_length(truth.cases), read = 0, wrong = 0;
  for (guint i = 0; i < n; i++) {
    JsonObject *one = json_array_get_object_element(truth.cases, i);
    g_autofree char *path = file_of(&truth, one);
    g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
    /* Files that exiftool gives no size are cut before their first pixel. */
    if (photo == NULL) {
      assert_true(json_object_get_null_member(one, "ImageWidth"));
      continue;
    }
    read++;
    wrong += count_disagreements(one, pw_photo_peek_facts(photo));
  }
  print_message("# EXIF of %u photographs, %u without pixels refused\n", read, n - read);
  assert_true(read > 50);
  assert_int_equal(wrong, 0);
  clear_truth(&truth);
}

/* ---- Orientation ------------------------------------------------------------------- */

static double
mean_difference(const PwPlane *a, const PwPlane *b)
{
  double sum = 0;
  gsize n = (gsize)a->height * a->stride;
  assert_int_equal(a->width, b->width);
  assert_int_equal(a->height, b->height);
  for (gsize i = 0; i < n; i++)
    sum += fabs((double)a->pixels[i] - b->pixels[i]);
  return sum / (double)n;
}

static void
check_orientation(const Truth *truth, JsonObject *one)
{
  PwRender small = {.width = 64, .height = 64};
  g_autofree char *path = file_of(truth, one);
  g_autofree char *reference = g_build_filename(
      truth->folder, json_object_get_string_member(one, "upright_reference"), NULL);
  PwPlane ours = render_path(path, &small), theirs = render_path(reference, &small);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  double difference = mean_difference(&ours, &theirs);
  double allowed = json_object_get_double_member(one, "mean_abs_diff_64x64") + SHRINKING;
  if (difference > allowed)
    fail_msg("%s: differs by %.2f, at most %.2f", path, difference, allowed);
  assert_int_equal(pw_photo_peek_facts(photo)->width,
                   json_object_get_int_member(one, "upright_width"));
  assert_int_equal(pw_photo_peek_facts(photo)->height,
                   json_object_get_int_member(one, "upright_height"));
  pw_plane_clear(&ours);
  pw_plane_clear(&theirs);
}

static void
test_orientation(void **state G_GNUC_UNUSED)
{
  Truth truth = load_truth("orientation", "truth.json");
  guint n = json_array_get_length(truth.cases);
  for (guint i = 0; i < n; i++)
    check_orientation(&truth, json_array_get_object_element(truth.cases, i));
  print_message("# %u photographs came out upright\n", n);
  clear_truth(&truth);
}

/* ---- Colour ------------------------------------------------------------------------ */

/* The mean of the 9 x 9 pixels about stored pixel (x, y); only the mirrored one is not upright. */
static void
block_mean(const PwPlane *plane, gboolean mirrored, int x, int y, double mean[3])
{
  mean[0] = mean[1] = mean[2] = 0;
  if (mirrored)
    x = plane->width - 1 - x;
  for (int v = y - 4; v <= y + 4; v++)
    for (int u = x - 4; u <= x + 4; u++)
      for (int c = 0; c < 3; c++)
        mean[c] += plane->pixels[(gsize)v * plane->stride + (gsize)u * 3 + (gsize)c] / 81.0;
}

/* What the sample must become: through its profile, or, untagged in RGB or grey, what it is. */
static JsonArray *
peek_wanted(JsonObject *one, JsonObject *sample)
{
  const char *mode = json_object_get_string_member(one, "mode");
  if (json_object_has_member(sample, "mean_srgb8_relative"))
    return json_object_get_array_member(sample, "mean_srgb8_relative");
  if (strcmp(mode, "RGB") == 0 || strcmp(mode, "L") == 0)
    return json_object_get_array_member(sample, "mean_raw");
  return NULL;
}

static double
check_sample(JsonObject *one, JsonObject *sample, const PwPlane *plane, gboolean mirrored)
{
  JsonArray *xy = json_object_get_array_member(sample, "xy"), *want = peek_wanted(one, sample);
  int x = (int)json_array_get_int_element(xy, 0), y = (int)json_array_get_int_element(xy, 1);
  double mean[3], worst = 0;
  if (want == NULL || x < 4 || y < 4 || x + 4 >= plane->width || y + 4 >= plane->height)
    return -1;
  block_mean(plane, mirrored, x, y, mean);
  for (guint c = 0; c < 3; c++) {
    guint k = json_array_get_length(want) == 3 ? c : 0;
    worst = MAX(worst, fabs(mean[c] - json_array_get_double_element(want, k)));
  }
  return worst;
}

static void
check_colour(const Truth *truth, JsonObject *one, guint *checked)
{
  PwRender whole = {0};
  g_autofree char *path = file_of(truth, one);
  PwPlane plane = render_path(path, &whole);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  int orientation = pw_photo_peek_facts(photo)->orientation;
  JsonArray *samples = json_object_get_array_member(one, "samples");
  double worst = -1;
  assert_true(orientation == 1 || orientation == 2);
  for (guint i = 0; i < json_array_get_length(samples); i++) {
    double off =
        check_sample(one, json_array_get_object_element(samples, i), &plane, orientation == 2);
    *checked += off >= 0 ? 1 : 0;
    worst = MAX(worst, off);
  }
  print_message("# %s: off by at most %.2f\n", json_object_get_string_member(one, "file"), worst);
  assert_true(worst <= COLOUR_8BIT);
  pw_plane_clear(&plane);
}

static void
test_colour(void **state G_GNUC_UNUSED)
{
  Truth truth = load_truth("colour", "truth_icc.json");
  guint n = json_array_get_length(truth.cases), checked = 0;
  for (guint i = 0; i < n; i++)
    check_colour(&truth, json_array_get_object_element(truth.cases, i), &checked);
  assert_true(checked > 80);
  clear_truth(&truth);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_exif),
      cmocka_unit_test(test_orientation),
      cmocka_unit_test(test_colour),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
