/* A ruler's graduations: 432 synthetic strips, as many held out with another seed and other sizes,
 * seven real rulers (../shared/cases/ruler, whose truth others measured with OpenCV), and what is
 * refused. The truth counts from the middle of the first stored pixel, we from its corner. */
#include "strip.h"

#include <platewright/card.h>
#include <platewright/photo.h>

#include <json-glib/json-glib.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

/* ---- Synthetic strips -------------------------------------------------------------- */

typedef struct {
  int n, n_read;
  double largest; /* part of the count */
  double sum_z2;
} Tally;

static void
make_strip(Strip *strip, double px_per_mm, int i, guint32 seed)
{
  GRand *chance = g_rand_new_with_seed(seed * 7 + (guint32)i);
  strip_init(strip);
  strip->px_per_mm = px_per_mm;
  strip->half_mm = i % 2;
  strip->contrast = i / 2 % 2 ? 0.25 : 0.8;
  strip->drift = ((const double[]){0, 0.02, 0.1})[i / 4 % 3];
  strip->turn_deg = ((const double[]){0, 1, 3})[i / 12 % 3];
  strip->noise = ((const double[]){2, 10, 25})[i / 36 % 3];
  strip->length_mm = g_rand_double_range(chance, 38, 46);
  strip->blur_px = g_rand_double_range(chance, 0.6, 1.1);
  strip->tick_mm = g_rand_double_range(chance, 0.12, 0.25);
  strip->accent = g_rand_double_range(chance, 1, 1.5);
  strip->light = g_rand_int_range(chance, 0, 4) == 0;
  strip->seed = seed + (guint32)i;
  g_rand_free(chance);
}

static void
read_strip(const Strip *strip, Tally *tally)
{
  StripPicture picture;
  PwTicks ticks;
  g_autoptr(GError) error = NULL;
  strip_draw(strip, &picture);
  tally->n++;
  if (pw_ticks_read(&picture.plane, picture.from, picture.to, &ticks, &error)) {
    double truth = picture.length_mm / (strip->half_mm > 0 ? 0.5 : 1);
    double off = ticks.count - truth;
    tally->n_read++;
    tally->largest = fmax(tally->largest, fabs(off / truth));
    tally->sum_z2 += off / ticks.u_count * off / ticks.u_count;
    assert_true(ticks.residual < 0.05);
  } else {
    assert_int_equal(error->code, PW_ERROR_NUMERIC);
  }
  pw_plane_clear(&picture.plane);
}

/* 108 strips for each size, half of them with half-millimetres, which under 6 px/mm are finer than
 * the picture resolves: nothing but longer or wider fifths can be seen there. At least `least` of
 * them read, none wrong by more than 1 %. */
static void
read_sizes(const double sizes[4], guint32 seed, const int least[4])
{
  double sum_z2 = 0;
  int n_read = 0;
  for (int s = 0; s < 4; s++) {
    Tally tally = {0};
    for (int i = 0; i < 108; i++) {
      Strip strip;
      make_strip(&strip, sizes[s], i, seed + 108 * (guint32)s);
      read_strip(&strip, &tally);
    }
    printf("# %.2f px/mm: read %d of %d, largest error %.3f %%, RMS of error/u %.2f\n", sizes[s],
           tally.n_read, tally.n, 100 * tally.largest, sqrt(tally.sum_z2 / tally.n_read));
    assert_true(tally.n_read >= least[s]);
    assert_true(tally.largest < 0.01);
    assert_true(sqrt(tally.sum_z2 / tally.n_read) < 1.2); /* some forty strips: 1 +- 0.11 */
    sum_z2 += tally.sum_z2;
    n_read += tally.n_read;
  }
  printf("# RMS of error/u over all: %.2f\n", sqrt(sum_z2 / n_read));
  assert_true(sqrt(sum_z2 / n_read) < 1.1);
  assert_true(sqrt(sum_z2 / n_read) > 0.6);
}

static void
strips_are_read(void **state)
{
  (void)state;
  read_sizes((const double[]){3.4, 5.2, 9.8, 19.7}, 100, (const int[]){36, 48, 100, 100});
}

static void
strips_held_out_are_read(void **state)
{
  (void)state;
  read_sizes((const double[]){3.71, 5.83, 8.47, 16.3}, 9000, (const int[]){36, 48, 100, 100});
}

/* ---- Special strips ---------------------------------------------------------------- */

static gboolean
read_one(const Strip *strip, double *count_over_mm, GError **error)
{
  StripPicture picture;
  PwTicks ticks;
  strip_draw(strip, &picture);
  gboolean read = pw_ticks_read(&picture.plane, picture.from, picture.to, &ticks, error);
  if (read) {
    double length = hypot(picture.to.x - picture.from.x, picture.to.y - picture.from.y);
    assert_true(fabs(ticks.a * length / (1 + ticks.c * length) - ticks.count) < 1e-6);
    *count_over_mm = ticks.count / picture.length_mm;
  }
  pw_plane_clear(&picture.plane);
  return read;
}

/* Half-millimetres of a strength under half of the others': 1 mm or half, nobody can say. */
static void
faint_halves_are_refused(void **state)
{
  (void)state;
  for (int i = 0; i < 20; i++) {
    g_autoptr(GError) error = NULL;
    double per_mm = 0;
    Strip strip;
    strip_init(&strip);
    strip.half_mm = 0.26;
    strip.px_per_mm = 12 + i * 0.37;
    strip.seed = (guint32)i;
    assert_false(read_one(&strip, &per_mm, &error));
    assert_non_null(strstr(error->message, "two pitches are equally likely: draw the line nearer "
                                           "the edge where every graduation crosses it"));
  }
}

static void
lines_beyond_the_graduations(void **state)
{
  (void)state;
  Strip strip;
  double per_mm = 0;
  g_autoptr(GError) error = NULL;
  strip_init(&strip);
  strip.blank_mm = 4;
  assert_true(read_one(&strip, &per_mm, NULL));
  printf("# 4 of 50 mm blank: off by %.3f %%\n", 100 * (per_mm - 1));
  assert_true(fabs(per_mm - 1) < 0.003);
  strip.blank_mm = 25;
  assert_false(read_one(&strip, &per_mm, &error));
  assert_int_equal(error->code, PW_ERROR_NUMERIC);
}

/* Eight graduations, faint and noisy: they are there, but their pitch is known to no fifth of a per
 * cent. */
static void
a_short_noisy_line_is_refused(void **state)
{
  (void)state;
  int n_unsure = 0;
  for (guint32 seed = 0; seed < 30; seed++) {
    g_autoptr(GError) error = NULL;
    double per_mm = 0;
    Strip strip;
    strip_init(&strip);
    strip.px_per_mm = 8;
    strip.length_mm = 8;
    strip.noise = 25;
    strip.contrast = 0.25;
    strip.seed = seed;
    assert_false(read_one(&strip, &per_mm, &error));
    n_unsure += strstr(error->message, "too few graduations to be sure of their pitch") ? 1 : 0;
  }
  print_message("# %d of 30 short lines: too few graduations\n", n_unsure);
  assert_true(n_unsure >= 10);
}

static void
bent_tapes_are_refused(void **state)
{
  (void)state;
  Strip strip;
  double per_mm = 0;
  g_autoptr(GError) error = NULL;
  strip_init(&strip);
  strip.bow_px = 1.5;
  assert_false(read_one(&strip, &per_mm, &error));
  assert_non_null(strstr(error->message, "evenly"));
}

/* A ruler of 75 mm at 9.7 px each, its edge at row 200: millimetres reach 30 px into it, fives 45,
 * tens 60. */
static PwPlane
stepped_ruler(void)
{
  PwPlane plane = {g_malloc(780 * 220), 780, 220, 1, 780};
  memset(plane.pixels, 210, 780 * 220);
  for (int mm = 0; mm <= 75; mm++) {
    int reach = mm % 10 == 0 ? 60 : mm % 5 == 0 ? 45 : 30;
    double middle = 25 + 9.7 * mm;
    for (int y = 200 - reach; y < 200; y++)
      for (int x = (int)middle - 2; x <= (int)middle + 2; x++) {
        double covered = fmax(0, fmin(1, 1.5 - fabs(x + 0.5 - middle)));
        plane.pixels[y * 780 + x] = (guint8)(210 - 150 * covered);
      }
  }
  return plane;
}

static void
a_line_over_the_long_graduations_alone_is_refused(void **state)
{
  (void)state;
  PwPlane plane = stepped_ruler();
  PwTicks ticks;
  for (int up = 10; up <= 58; up += 4) {
    g_autoptr(GError) error = NULL;
    gboolean read =
        pw_ticks_read(&plane, (PwPx){25, 200 - up}, (PwPx){752.5, 200 - up}, &ticks, &error);
    print_message("# %d px from the edge: %s\n", up, read ? "read" : error->message);
    if (read)
      assert_true(fabs(ticks.count - 75) < 0.5);
    assert_true(up > 24 || read);
  }
  pw_plane_clear(&plane);
}

static void
nothing_is_read_where_nothing_is(void **state)
{
  (void)state;
  const PwPx from = {10, 20}, to = {590, 22};
  PwTicks ticks;
  GRand *chance = g_rand_new_with_seed(3);
  PwPlane plane = {g_malloc0(600 * 40), 600, 40, 1, 600};
  for (int round = 0; round < 40; round++) {
    g_autoptr(GError) error = NULL;
    for (int i = 0; i < 600 * 40 && round > 0; i++)
      plane.pixels[i] = (guint8)g_rand_int_range(chance, 0, 256);
    assert_false(pw_ticks_read(&plane, from, to, &ticks, &error));
    assert_int_equal(error->code, PW_ERROR_NUMERIC);
  }
  pw_plane_clear(&plane);
  g_rand_free(chance);
}

static void
expect_limit(const PwPlane *plane, PwPx from, PwPx to, const char *says)
{
  PwTicks ticks;
  g_autoptr(GError) error = NULL;
  assert_false(pw_ticks_read(plane, from, to, &ticks, &error));
  assert_int_equal(error->code, PW_ERROR_LIMIT);
  assert_non_null(strstr(error->message, says));
}

static void
out_of_bounds_is_an_error(void **state)
{
  (void)state;
  enum { LONG = 70000 };
  g_autofree guint8 *pixels = g_malloc0(LONG);
  const PwPx inside = {1, 1},
             wrong[] = {{(double)NAN, 1}, {1e300, 1}, {11, 4},       {-3, 4},
                        {4, 11},          {4, -3},    {4, HUGE_VAL}, {4, (double)NAN}};
  const PwPlane planes[] = {{pixels, 8, 8, 1, 8}, {pixels, 2, 8, 3, 6}, {NULL, 0, 0, 1, 0}};
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
    expect_limit(&planes[0], inside, wrong[i], "leaves the picture");
    expect_limit(&planes[0], wrong[i], inside, "leaves the picture");
  }
  for (gsize i = 1; i < G_N_ELEMENTS(planes); i++)
    expect_limit(&planes[i], inside, inside, "one grey plane");
  const PwPlane strip = {pixels, LONG, 1, 1, LONG};
  expect_limit(&strip, (PwPx){0, 0.5}, (PwPx){LONG, 0.5}, "longer than");
}

/* ---- Real rulers ------------------------------------------------------------------- */

static void
grey_of(PwPhoto *photo, PwPlane *grey)
{
  PwPlane colour = {0};
  const PwRender whole = {0};
  assert_true(pw_photo_render(photo, &whole, &colour, NULL));
  *grey = (PwPlane){g_malloc((gsize)colour.width * (gsize)colour.height), colour.width,
                    colour.height, 1, (gsize)colour.width};
  for (int y = 0; y < colour.height; y++)
    for (int x = 0; x < colour.width; x++) {
      const guint8 *p = colour.pixels + (gsize)y * colour.stride + 3 * (gsize)x;
      grey->pixels[(gsize)y * grey->stride + (gsize)x] =
          (guint8)lround(0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2]);
    }
  pw_plane_clear(&colour);
}

static PwPx
end_of(JsonObject *ruler, guint i, const PwPhotoFacts *facts)
{
  JsonArray *ends = json_object_get_array_member(ruler, "ruler_line_px_stored");
  JsonArray *at = json_array_get_array_element(ends, i);
  return pw_photo_facts_upright(facts, (PwPx){json_array_get_double_element(at, 0) + 0.5,
                                              json_array_get_double_element(at, 1) + 0.5});
}

/* SOURCE.txt: 0.5 % and half the spread of the thirds. */
static double
tolerance_of(JsonObject *ruler)
{
  JsonNode *spread = json_object_get_member(ruler, "spread_of_thirds_percent");
  return 0.5 + (JSON_NODE_HOLDS_NULL(spread) ? 0 : json_node_get_double(spread) / 2);
}

/* Whether it was read; a wrong answer fails. */
static gboolean
read_ruler(const char *folder, JsonObject *ruler)
{
  const char *name = json_object_get_string_member(ruler, "file");
  g_autofree char *path = g_build_filename(folder, name, NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  g_autoptr(GError) error = NULL;
  PwPlane grey;
  PwTicks ticks;
  assert_non_null(photo);
  grey_of(photo, &grey);
  PwPx from = end_of(ruler, 0, pw_photo_peek_facts(photo));
  PwPx to = end_of(ruler, 1, pw_photo_peek_facts(photo));
  gint64 start = g_get_monotonic_time();
  gboolean read = pw_ticks_read(&grey, from, to, &ticks, &error);
  double ms = (double)(g_get_monotonic_time() - start) / 1000;
  pw_plane_clear(&grey);
  if (!read) {
    printf("# %s: %s (%.1f ms)\n", name, error->message, ms);
    return FALSE;
  }
  double truth = json_object_get_double_member(ruler, "tick_pitch_px");
  double off = 100 * (hypot(to.x - from.x, to.y - from.y) / ticks.count / truth - 1);
  printf("# %s: %.2f graduations, off by %.3f %% of %.2f %% allowed, u %.3f %% (%.1f ms)\n", name,
         ticks.count, off, tolerance_of(ruler), 100 * ticks.u_count / ticks.count, ms);
  assert_true(fabs(off) < tolerance_of(ruler));
  return TRUE;
}

static void
real_rulers(void **state)
{
  (void)state;
  const char *shared = g_getenv("PW_SHARED");
  g_autofree char *folder = g_build_filename(shared ? shared : "", "cases", "ruler", NULL);
  g_autofree char *path = g_build_filename(folder, "truth_rulers.json", NULL);
  g_autoptr(JsonParser) parser = json_parser_new();
  if (!shared || !json_parser_load_from_file(parser, path, NULL)) {
    printf("# no ../shared/cases/ruler here: real rulers are not tried\n");
    skip();
  }
  JsonObject *truth = json_node_get_object(json_parser_get_root(parser));
  JsonArray *rulers = json_object_get_array_member(truth, "cases");
  int n_read = 0;
  for (guint i = 0; i < json_array_get_length(rulers); i++)
    n_read += read_ruler(folder, json_array_get_object_element(rulers, i));
  assert_true(n_read >= 6); /* asked: 4 of 7; read today: 6 */
}

static int
start_photo(void **state)
{
  (void)state;
  return pw_photo_startup(NULL) ? 0 : 1;
}

static int
stop_photo(void **state)
{
  (void)state;
  pw_photo_shutdown();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(strips_are_read),
      cmocka_unit_test(strips_held_out_are_read),
      cmocka_unit_test(faint_halves_are_refused),
      cmocka_unit_test(lines_beyond_the_graduations),
      cmocka_unit_test(a_short_noisy_line_is_refused),
      cmocka_unit_test(bent_tapes_are_refused),
      cmocka_unit_test(a_line_over_the_long_graduations_alone_is_refused),
      cmocka_unit_test(nothing_is_read_where_nothing_is),
      cmocka_unit_test(out_of_bounds_is_an_error),
      cmocka_unit_test(real_rulers),
  };
  return cmocka_run_group_tests(tests, start_photo, stop_photo);
}
