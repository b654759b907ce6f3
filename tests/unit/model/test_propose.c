/* Following an edge in a photograph of 24 MP: what nothing holds back is refused by a look, what a
 * thin line holds back is not, and whoever is told to stop does.
 */
#include "bench.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <time.h>
#include <vips/vips.h>

#include <cmocka.h>

enum { WIDTH = 6000, HEIGHT = 4000 };
static const double TOLERANCE = 8;
/* The refusal takes a quarter of what following takes; the rest is for a machine that is busy. */
static const double MOST_PART = 0.5;

typedef struct {
  Bench *bench;
  PwTiles *tiles;
  const PwModelPhoto *photo;
} Sheet;

/* A sheet with a frame, 4 px wide, of which the colour differs by 11 (CIEDE2000), and a dark disc
 * within it. */
static VipsImage *
paint(void)
{
  double paper[3] = {200, 190, 170}, frame[3] = {162, 152, 132}, ink[3] = {60, 45, 35};
  VipsImage *black = NULL, *flat = NULL, *sheet;
  const double none[3] = {1, 1, 1};
  assert_int_equal(vips_black(&black, WIDTH, HEIGHT, "bands", 3, NULL), 0);
  assert_int_equal(vips_linear(black, &flat, none, paper, 3, "uchar", TRUE, NULL), 0);
  sheet = vips_image_copy_memory(flat);
  for (int i = 0; i < 4; i++)
    assert_int_equal(
        vips_draw_rect(sheet, frame, 3, 1000 + i, 500 + i, 4000 - 2 * i, 3000 - 2 * i, NULL), 0);
  assert_int_equal(vips_draw_circle(sheet, ink, 3, 3900, 2000, 900, "fill", TRUE, NULL), 0);
  g_object_unref(flat);
  g_object_unref(black);
  return sheet;
}

static int
begin(void **state)
{
  Sheet *sheet = g_new0(Sheet, 1);
  if (bench_begin((void **)&sheet->bench) != 0 || !pw_photo_startup(NULL))
    return -1;
  bench_write(sheet->bench, "a.png", "");
  bench_write(
      sheet->bench, "a.png.yaml",
      "format: platewright-photo 1\nphoto: {size: 6000 x 4000}\nstage: before\nview: spine\n");
  g_autofree char *path = g_build_filename(sheet->bench->folder, "a.png", NULL);
  VipsImage *painted = paint();
  assert_int_equal(vips_pngsave(painted, path, "compression", 1, NULL), 0);
  g_object_unref(painted);
  bench_open_pictures(sheet->bench, 0);
  sheet->photo = pw_model_find_photo(sheet->bench->model, "a.png");
  sheet->tiles = pw_model_open_tiles(sheet->bench->model, sheet->photo, TRUE, NULL, NULL);
  *state = sheet;
  return sheet->tiles ? 0 : -1;
}

static int
end(void **state)
{
  Sheet *sheet = *state;
  pw_tiles_free(sheet->tiles);
  int ended = bench_end((void **)&sheet->bench);
  g_free(sheet);
  return ended;
}

static double
cpu_ms(void)
{
  struct timespec now;
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

/* The area, px²; negative: refused, for the reason that has these words in it. `took_ms`: of CPU.
 */
static double
follow(const Sheet *sheet, const PwTiles *tiles, PwPx at, const char *words, double *took_ms)
{
  g_autoptr(GError) error = NULL;
  PwTrace trace;
  double area = -1, began = cpu_ms();
  if (pw_model_follow_edge(sheet->bench->model, sheet->photo, tiles, at, TOLERANCE, NULL, &trace,
                           &error))
    area = pw_px_signed_area(trace.outline.points, trace.outline.n);
  else if (!g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC) ||
           strstr(error->message, words) == NULL)
    fail_msg("%s", error->message);
  *took_ms = cpu_ms() - began;
  pw_trace_clear(&trace);
  return area;
}

static void
what_nothing_holds_back_is_refused_by_a_look(void **state)
{
  const Sheet *sheet = *state;
  double followed_ms, refused_ms;
  for (int n = 0; n < 2; n++) { /* from the tiles, then from the file itself */
    const PwTiles *tiles = n == 0 ? sheet->tiles : NULL;
    assert_true(follow(sheet, tiles, (PwPx){2500, 2000}, "", &followed_ms) > 0);
    for (int i = 0; i < 3; i++) {
      const PwPx outside[] = {{100, 100}, {3000, 250}, {5900, 3000}};
      assert_true(follow(sheet, tiles, outside[i], "before the edge of the picture", &refused_ms) <
                  0);
      print_message("# refused in %.0f ms, followed in %.0f ms\n", refused_ms, followed_ms);
      if (tiles != NULL) /* else decoding, the same for both, takes most of it */
        assert_true(refused_ms < MOST_PART * followed_ms);
    }
  }
}

/* Though it is seen no more than faintly where the px are halved. */
static void
what_a_thin_line_holds_back_is_followed(void **state)
{
  double took_ms;
  const double width = 3992, height = 2992; /* within the frame; the disc is a hole */
  double area = follow(*state, ((const Sheet *)*state)->tiles, (PwPx){2500, 2000}, "", &took_ms);
  print_message("# %.0f px2 of %.0f\n", area, width * height);
  assert_true(fabs(area - width * height) < 2 * (width + height)); /* one px all round */
}

static void
who_is_told_to_stop_stops(void **state)
{
  const Sheet *sheet = *state;
  const gint stop = 1;
  g_autoptr(GError) error = NULL;
  PwTrace trace;
  double began = cpu_ms();
  assert_false(pw_model_follow_edge(sheet->bench->model, sheet->photo, sheet->tiles,
                                    (PwPx){2500, 2000}, TOLERANCE, &stop, &trace, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
  assert_null(trace.outline.points);
  assert_true(cpu_ms() - began < 100); /* a window of 1 MP is read, no more */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_nothing_holds_back_is_refused_by_a_look),
      cmocka_unit_test(what_a_thin_line_holds_back_is_followed),
      cmocka_unit_test(who_is_told_to_stop_stops),
  };
  return cmocka_run_group_tests(tests, begin, end);
}
