/* Photographs laid in a frame: places to a small part of a pixel, against waves whose values are
 * known everywhere; nothing aliased, masks flat, white beyond; what cannot be laid is refused. */
#include "pictures.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#define FILL 128
/* Px of the result. What is asked for is a tenth; the kernel's table is as fine as 1/512, and 8-bit
 * samples of waves of this height leave some thousandths over a whole picture. */
#define PLACE_PX 0.02
/* Levels: of a wave of eight px of the result or more, the kernel takes away less. */
#define WAVE_LEVELS 3.0
/* JPEG at quality 98, and its decoder's own shrink. */
#define JPEG_LEVELS 5.0

static const guint8 *
pixel(const PwPlane *plane, int x, int y)
{
  return plane->pixels + (gsize)y * plane->stride + (gsize)x * 3;
}

/* ---- Waves: a picture of which every value is known ------------------------------------ */

/* At upright px, with its slopes; `period` in px. */
static double
wave(double x, double y, double period, int channel, double *along_x, double *along_y)
{
  double k = 2 * G_PI / period, turn = 0.4 + channel;
  double a = k * x + turn, b = k * (0.6 * x + y) + 2 * turn;
  *along_x = 45 * k * cos(a) + 45 * k * 0.6 * cos(b);
  *along_y = 45 * k * cos(b);
  return 127.5 + 45 * sin(a) + 45 * sin(b);
}

static VipsImage *
wave_picture(int width, int height, double period)
{
  gsize size = (gsize)width * (gsize)height * 3;
  guint8 *pixels = g_malloc(size), *p = pixels;
  double unused;
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      for (int c = 0; c < 3; c++)
        *p++ = (guint8)lround(wave(x + 0.5, y + 0.5, period, c, &unused, &unused));
  VipsImage *image =
      vips_image_new_from_memory_copy(pixels, size, width, height, 3, VIPS_FORMAT_UCHAR);
  g_free(pixels);
  return image;
}

/* How far the result lies from where it should, as one shift in px of it, and the worst value. */
typedef struct {
  double x, y, levels;
} Off;

static Off
compare_to_wave(const PwPlane *plane, const PwRender *render, double width, double height,
                double period)
{
  double xx = 0, xy = 0, yy = 0, bx = 0, by = 0, worst = 0;
  double step_x = render->crop_width / plane->width, step_y = render->crop_height / plane->height;
  PwHomography back;
  assert_true(pw_homography_invert(render->to_frame, &back));
  for (int y = 4; y < plane->height - 4; y++)
    for (int x = 4; x < plane->width - 4; x++) {
      double fx = render->crop_x + (x + 0.5) * step_x, fy = render->crop_y + (y + 0.5) * step_y;
      double px, py, j[4], gx, gy, margin = 4 * fmax(step_x, step_y);
      pw_homography_apply(&back, fx, fy, &px, &py);
      pw_homography_jacobian(&back, fx, fy, j);
      if (px < margin || py < margin || px > width - margin || py > height - margin)
        continue;
      double off = pixel(plane, x, y)[1] - wave(px, py, period, 1, &gx, &gy);
      double sx = (gx * j[0] + gy * j[2]) * step_x, sy = (gx * j[1] + gy * j[3]) * step_y;
      xx += sx * sx;
      xy += sx * sy;
      yy += sy * sy;
      bx += sx * off;
      by += sy * off;
      worst = fmax(worst, fabs(off));
    }
  double det = xx * yy - xy * xy;
  return (Off){(bx * yy - by * xy) / det, (by * xx - bx * xy) / det, worst};
}

static const struct {
  const char *name;
  PwHomography h;
  double shrink, levels;
} known[] = {
    {"turned.png", {{0.974, -0.225, 210, 0.225, 0.974, -90, 0, 0, 1}}, 1, WAVE_LEVELS},
    {"smaller.png", {{0.974, -0.225, 210, 0.225, 0.974, -90, 0, 0, 1}}, 5.3, WAVE_LEVELS},
    {"leant.png", {{1.02, 0.03, -14.3, -0.02, 0.99, 11.8, 3e-5, -2e-5, 1}}, 2.6, WAVE_LEVELS},
    {"leant.jpg", {{1.02, 0.03, -14.3, -0.02, 0.99, 11.8, 3e-5, -2e-5, 1}}, 4.4, JPEG_LEVELS},
    {"small.jpg", {{0.91, -0.4, 300, 0.4, 0.91, -80, 1e-5, 2e-5, 1}}, 9.1, JPEG_LEVELS},
    {"mirrored.png", {{-1, 0, 1600, 0, 1, 0, 0, 0, 1}}, 3.7, WAVE_LEVELS},
};

static void
test_places_are_known(void **state G_GNUC_UNUSED)
{
  for (gsize i = 0; i < G_N_ELEMENTS(known); i++) {
    double period = 12 * known[i].shrink;
    g_autofree char *path = save_picture(wave_picture(1613, 1087, period), known[i].name, NULL);
    PwRender render = {.to_frame = &known[i].h,
                       .crop_x = 150,
                       .crop_y = 100,
                       .crop_width = 1300,
                       .crop_height = 900,
                       .width = (int)lround(1300 / known[i].shrink),
                       .height = (int)lround(900 / known[i].shrink)};
    PwPlane plane = render_path(path, &render);
    assert_int_equal(plane.width, render.width);
    assert_int_equal(plane.height, render.height);
    Off off = compare_to_wave(&plane, &render, 1613, 1087, period);
    print_message("# %s: off by %.4f, %.4f px and %.2f levels at most\n", known[i].name, off.x,
                  off.y, off.levels);
    assert_true(hypot(off.x, off.y) < PLACE_PX);
    assert_true(off.levels <= known[i].levels);
    pw_plane_clear(&plane);
  }
}

/* ---- Properties ------------------------------------------------------------------------ */

static void
assert_equal_planes(const PwPlane *a, const PwPlane *b)
{
  assert_int_equal(a->width, b->width);
  assert_int_equal(a->height, b->height);
  for (int y = 0; y < a->height; y++)
    assert_memory_equal(pixel(a, 0, y), pixel(b, 0, y), (gsize)a->width * 3);
}

/* The frame that is the photograph's own, whatever way it is stored. */
static void
test_identity_is_exact(void **state G_GNUC_UNUSED)
{
  const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};
  for (int orientation = 1; orientation <= 8; orientation++) {
    VipsImage *noise = noise_picture(157, 103), *image = NULL;
    assert_int_equal(vips_copy(noise, &image, NULL), 0);
    g_object_unref(noise);
    vips_image_set_int(image, VIPS_META_ORIENTATION, orientation);
    g_autofree char *path = save_picture(image, "same.tif", NULL);
    PwRender own = {.crop_x = 10, .crop_y = 7, .crop_width = 80, .crop_height = 60};
    PwRender framed = own;
    framed.to_frame = &same;
    PwPlane a = render_path(path, &own), b = render_path(path, &framed);
    assert_equal_planes(&a, &b);
    pw_plane_clear(&a);
    pw_plane_clear(&b);
  }
}

/* Shrunk by the warp as the other path shrinks: no sharper, no softer than a reader can see. */
static void
test_shrinks_like_the_other_path(void **state G_GNUC_UNUSED)
{
  const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};
  g_autofree char *path = save_picture(noise_picture(1200, 800), "like.png", NULL);
  PwRender own = {.crop_width = 1200, .crop_height = 800, .width = 300, .height = 200};
  PwRender framed = own;
  framed.to_frame = &same;
  PwPlane a = render_path(path, &own), b = render_path(path, &framed);
  double sum = 0, spread = 0;
  for (int y = 0; y < a.height; y++)
    for (int x = 0; x < a.width; x++) {
      sum += pow(pixel(&a, x, y)[1] - pixel(&b, x, y)[1], 2);
      spread += pow(pixel(&a, x, y)[1] - 128, 2);
    }
  print_message("# differs by %.3f of %.3f levels, root mean square\n", sqrt(sum / (300 * 200)),
                sqrt(spread / (300 * 200)));
  assert_true(sqrt(sum) < 0.1 * sqrt(spread));
  pw_plane_clear(&a);
  pw_plane_clear(&b);
}

static void
test_four_quarter_turns_are_none(void **state G_GNUC_UNUSED)
{
  g_autofree char *first = save_picture(noise_picture(90, 64), "turn.png", NULL);
  PwRender whole = {0};
  PwPlane before = render_path(first, &whole), plane = render_path(first, &whole);
  for (int i = 0; i < 4; i++) {
    g_autofree char *path = NULL;
    VipsImage *image =
        vips_image_new_from_memory_copy(plane.pixels, plane.stride * (gsize)plane.height,
                                        plane.width, plane.height, 3, VIPS_FORMAT_UCHAR);
    path = save_picture(image, "turn.png", NULL);
    PwHomography turn = {{0, -1, plane.height, 1, 0, 0, 0, 0, 1}};
    PwRender render = {.to_frame = &turn, .crop_width = plane.height, .crop_height = plane.width};
    pw_plane_clear(&plane);
    plane = render_path(path, &render);
    assert_true(i > 0 || memcmp(pixel(&plane, 0, 0), pixel(&before, 0, 63), 3) == 0);
  }
  assert_equal_planes(&before, &plane);
  pw_plane_clear(&before);
  pw_plane_clear(&plane);
}

/* Squares of one px, black and white, are grey from afar. */
static void
test_nothing_is_aliased(void **state G_GNUC_UNUSED)
{
  const PwHomography turned = {{0.94, -0.342, 200, 0.342, 0.94, 0, 0, 0, 1}};
  guint8 *pixels = g_malloc(900 * 900 * 3);
  for (int i = 0; i < 900 * 900 * 3; i++)
    pixels[i] = ((i / 3) % 900 + i / 3 / 900) % 2 ? 255 : 0;
  VipsImage *check =
      vips_image_new_from_memory_copy(pixels, 900 * 900 * 3, 900, 900, 3, VIPS_FORMAT_UCHAR);
  g_free(pixels);
  g_autofree char *path = save_picture(check, "check.png", NULL);
  for (int width = 60; width <= 300; width += 40) {
    PwRender render = {.to_frame = &turned,
                       .crop_x = 200,
                       .crop_y = 400,
                       .crop_width = 400,
                       .crop_height = 400,
                       .width = width * 2 / 3,
                       .height = width * 2 / 3};
    PwPlane plane = render_path(path, &render);
    double worst = 0;
    for (int y = 0; y < plane.height; y++)
      for (int x = 0; x < plane.width; x++)
        worst = fmax(worst, fabs(pixel(&plane, x, y)[0] - 127.5));
    print_message("# shrunk %.1f times: off grey by %.1f levels\n", 400.0 / plane.width, worst);
    assert_true(worst <= 4);
    pw_plane_clear(&plane);
  }
}

static void
test_white_beyond(void **state G_GNUC_UNUSED)
{
  const double black[3] = {0, 0, 0};
  const PwHomography moved = {{1, 0, 100, 0, 1, 50, 0, 0, 1}};
  g_autofree char *path =
      save_picture(flat_picture(200, 100, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, black),
                   "beyond.png", NULL);
  PwRender render = {.to_frame = &moved, .crop_width = 400, .crop_height = 200};
  for (int by = 1; by <= 5; by += 2) {
    render.width = 400 / by;
    render.height = 200 / by;
    PwPlane plane = render_path(path, &render);
    double step_x = 400.0 / plane.width, step_y = 200.0 / plane.height;
    for (int y = 0; y < plane.height; y++)
      for (int x = 0; x < plane.width; x++) {
        double beside = fmin(fmin((x + 0.5) * step_x - 100, 300 - (x + 0.5) * step_x) / step_x,
                             fmin((y + 0.5) * step_y - 50, 150 - (y + 0.5) * step_y) / step_y);
        if (fabs(beside) >= 0.5)
          assert_int_equal(pixel(&plane, x, y)[0], beside > 0 ? 0 : 255);
      }
    pw_plane_clear(&plane);
  }
}

/* Under the mask lies noise: were it laid before it is masked, some would be seen. */
static void
test_masks_stay_flat(void **state G_GNUC_UNUSED)
{
  PwPx box[] = {{400, 200}, {800, 200}, {800, 600}, {400, 600}};
  PwPxPath ring = {box, G_N_ELEMENTS(box)};
  static const char *const names[] = {"flat.png", "flat.jpg"};
  for (gsize i = 0; i < G_N_ELEMENTS(known); i++) {
    g_autofree char *path = save_picture(noise_picture(1200, 800), names[i % 2], NULL);
    double by = known[i].shrink;
    PwRender render = {.to_frame = &known[i].h,
                       .crop_width = 1400,
                       .crop_height = 1000,
                       .width = (int)(1400 / by),
                       .height = (int)(1000 / by),
                       .masks = &ring,
                       .n_masks = 1};
    PwPlane plane = render_path(path, &render);
    PwHomography back;
    assert_true(pw_homography_invert(&known[i].h, &back));
    int n = 0;
    double margin = 3.3 * 1.2 * by + 2; /* the kernel, where the homography shrinks it most */
    for (int y = 0; y < plane.height; y++)
      for (int x = 0; x < plane.width; x++) {
        double px, py;
        pw_homography_apply(&back, (x + 0.5) * 1400 / plane.width, (y + 0.5) * 1000 / plane.height,
                            &px, &py);
        if (fmin(fmin(px - 400, 800 - px), fmin(py - 200, 600 - py)) < margin)
          continue;
        n++;
        for (int c = 0; c < 3; c++)
          assert_int_equal(pixel(&plane, x, y)[c], FILL);
      }
    print_message("# shrunk %.1f times: %d px flat\n", by, n);
    assert_true(n > 500);
    pw_plane_clear(&plane);
  }
}

static void
test_jpeg_of_a_frame(void **state G_GNUC_UNUSED)
{
  const PwHomography turned = {{0.94, -0.342, 200, 0.342, 0.94, 0, 0, 0, 1}};
  g_autofree char *path = save_picture(noise_picture(1200, 800), "frame.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  PwRender render = {.to_frame = &turned,
                     .crop_x = 100,
                     .crop_y = 100,
                     .crop_width = 900,
                     .crop_height = 600,
                     .width = 300,
                     .height = 200,
                     .grey = TRUE};
  int width = 0, height = 0;
  g_autoptr(GBytes) first = pw_photo_render_jpeg(photo, &render, 90, &width, &height, NULL);
  g_autoptr(GBytes) again = pw_photo_render_jpeg(photo, &render, 90, &width, &height, NULL);
  assert_non_null(first);
  assert_int_equal(width, 300);
  assert_int_equal(height, 200);
  assert_true(g_bytes_equal(first, again));
}

/* ---- What cannot be laid --------------------------------------------------------------- */

static void
assert_refused(const char *path, PwHomography h, int code)
{
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  g_autoptr(GError) error = NULL;
  PwRender render = {.to_frame = &h, .crop_width = 120, .crop_height = 80};
  PwPlane plane = {0};
  assert_false(pw_photo_render(photo, &render, &plane, &error));
  assert_true(g_error_matches(error, PW_ERROR, code));
  assert_null(plane.pixels);
}

static void
test_refused(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(120, 80), "refused.png", NULL);
  const PwHomography horizon = {{1, 0, 0, 0, 1, 0, -1.0 / 60, 0, 1}};
  const PwHomography graze = {{1, 0, 0, 0, 1, 0, -1.0 / 121, 0, 1}};
  const PwHomography flat = {{1, 1, 0, 1, 1, 0, 0, 0, 1}}, none = {{0}};
  assert_refused(path, horizon, PW_ERROR_NUMERIC);
  assert_refused(path, graze, PW_ERROR_NUMERIC);
  assert_refused(path, flat, PW_ERROR_NUMERIC);
  assert_refused(path, none, PW_ERROR_NUMERIC);
  for (int i = 0; i < 9; i++) {
    PwHomography h = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};
    h.m[i] = (double)NAN;
    assert_refused(path, h, PW_ERROR_NUMERIC);
    h.m[i] = HUGE_VAL;
    assert_refused(path, h, PW_ERROR_NUMERIC);
  }
  const PwHomography away = {{1, 0, 5000, 0, 1, 0, 0, 0, 1}};
  assert_refused(path, away, PW_ERROR_USE);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_places_are_known),
      cmocka_unit_test(test_identity_is_exact),
      cmocka_unit_test(test_shrinks_like_the_other_path),
      cmocka_unit_test(test_four_quarter_turns_are_none),
      cmocka_unit_test(test_nothing_is_aliased),
      cmocka_unit_test(test_white_beyond),
      cmocka_unit_test(test_masks_stay_flat),
      cmocka_unit_test(test_jpeg_of_a_frame),
      cmocka_unit_test(test_refused),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
