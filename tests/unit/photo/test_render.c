/* Rendering: sizes, places, orientations, crops, masks, and the same bytes every time. */
#include "pictures.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

/* Of a rendered pixel: a fraction of a pixel that does not divide evenly is shared between both
 * edges, and a crop begins on a whole pixel of what the decoder gives. */
#define PLACE_PX 0.5
#define FILL 128

static const guint8 *
pixel(const PwPlane *plane, int x, int y)
{
  return plane->pixels + (gsize)y * plane->stride + (gsize)x * 3;
}

static VipsImage *
with_orientation(VipsImage *image, int orientation)
{
  VipsImage *copy = NULL;
  assert_int_equal(vips_copy(image, &copy, NULL), 0);
  vips_image_set_int(copy, VIPS_META_ORIENTATION, orientation);
  g_object_unref(image);
  return copy;
}

/* White from (x, y) rightwards and downwards, black elsewhere. */
static VipsImage *
corner_picture(int width, int height, int x, int y)
{
  const double white[3] = {255, 255, 255}, black[3] = {0, 0, 0};
  VipsImage *ground =
      flat_picture(width, height, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, black);
  VipsImage *block =
      flat_picture(width - x, height - y, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, white);
  VipsImage *out = NULL;
  assert_int_equal(vips_insert(ground, block, &out, x, y, NULL), 0);
  g_object_unref(ground);
  g_object_unref(block);
  return out;
}

/* Where black turns to white along the last row, and along the last column: by their mean. */
static PwPx
corner_of(const PwPlane *plane)
{
  double across = 0, down = 0;
  for (int x = 0; x < plane->width; x++)
    across += pixel(plane, x, plane->height - 1)[1] / 255.0;
  for (int y = 0; y < plane->height; y++)
    down += pixel(plane, plane->width - 1, y)[1] / 255.0;
  return (PwPx){plane->width - across, plane->height - down};
}

/* ---- Sizes and places -------------------------------------------------------------- */

static void
test_sizes_are_those_asked_for(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1237, 823), "sizes.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  for (int width = 40; width <= 1237; width += 57) {
    PwRender render = {.width = width, .height = (int)lround(823.0 * width / 1237)};
    PwPlane plane = {0};
    assert_true(pw_photo_render(photo, &render, &plane, NULL));
    assert_int_equal(plane.width, render.width);
    assert_int_equal(plane.height, render.height);
    pw_plane_clear(&plane);
  }
  PwRender by_width = {.width = 300};
  PwPlane plane = render_path(path, &by_width);
  assert_int_equal(plane.height, 200);
  pw_plane_clear(&plane);
}

/* ITU-T T.81, A.3.3: the first coefficient is the mean of eight by eight samples. Chroma is at full
 * resolution here; what is left is rounding, and samples that were clipped. */
#define BLOCK_MEAN 3.0

static void
test_quick_is_near_the_size_and_in_place(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1237, 823), "quick.jpg", NULL);
  PwRender whole = {0}, eighth = {.width = 175, .quick = TRUE};
  for (int width = 40; width <= 1237; width += 19) {
    PwRender render = {.width = width, .height = (int)lround(823.0 * width / 1237), .quick = TRUE};
    PwPlane plane = render_path(path, &render);
    assert_true(plane.width <= width && plane.width >= floor(0.8 * width));
    assert_true(plane.height <= render.height && plane.height >= floor(0.8 * render.height));
    pw_plane_clear(&plane);
  }
  PwPlane quick = render_path(path, &eighth), full = render_path(path, &whole);
  double worst = 0;
  assert_int_equal(quick.width, 154);
  assert_int_equal(quick.height, 102);
  for (int y = 0; y < quick.height; y++)
    for (int x = 0; x < quick.width; x++) {
      double mean = 0;
      for (int i = 0; i < 64; i++)
        mean +=
            full.pixels[(gsize)(8 * y + i / 8) * full.stride + 3 * (gsize)(8 * x + i % 8)] / 64.0;
      worst = fmax(worst, fabs(mean - quick.pixels[(gsize)y * quick.stride + 3 * (gsize)x]));
    }
  print_message("# off by at most %.2f\n", worst);
  assert_true(worst <= BLOCK_MEAN);
  pw_plane_clear(&quick);
  pw_plane_clear(&full);
}

/* Nothing but a JPEG has a decoder that scales, and masks need every pixel. */
static void
test_quick_is_for_jpegs_without_masks(void **state G_GNUC_UNUSED)
{
  PwPx corners[] = {{10, 10}, {60, 10}, {60, 60}};
  PwPxPath outline = {corners, 3};
  PwRender slow = {.width = 100}, quick = {.width = 100, .quick = TRUE};
  g_autofree char *png = save_picture(noise_picture(700, 500), "quick.png", NULL);
  g_autofree char *jpg = save_picture(noise_picture(700, 500), "masked.jpg", NULL);
  for (int i = 0; i < 2; i++) {
    PwPlane a = render_path(i == 0 ? png : jpg, &slow), b = render_path(i == 0 ? png : jpg, &quick);
    assert_int_equal(a.width, b.width);
    assert_int_equal(a.height, b.height);
    assert_memory_equal(a.pixels, b.pixels, a.stride * (gsize)a.height);
    pw_plane_clear(&a);
    pw_plane_clear(&b);
    slow.masks = quick.masks = &outline;
    slow.n_masks = quick.n_masks = 1;
  }
}

static void
test_never_enlarged(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(90, 60), "small.jpg", NULL);
  PwRender large = {.width = 900, .height = 600};
  PwPlane plane = render_path(path, &large);
  assert_int_equal(plane.width, 90);
  assert_int_equal(plane.height, 60);
  pw_plane_clear(&plane);
  PwRender part = {.crop_x = 10, .crop_y = 5, .crop_width = 40, .crop_height = 30, .width = 41};
  plane = render_path(path, &part);
  assert_int_equal(plane.width, 40);
  assert_int_equal(plane.height, 30);
  pw_plane_clear(&plane);
}

/* With and without a shrinking decoder, at ratios that do not divide. */
static void
test_places_stay(void **state G_GNUC_UNUSED)
{
  static const int widths[] = {1501, 1100, 700, 375, 187, 150, 93};
  g_autofree char *jpeg = save_picture(corner_picture(1501, 1003, 700, 401), "edge.jpg", NULL);
  g_autofree char *png = save_picture(corner_picture(1501, 1003, 700, 401), "edge.png", NULL);
  double worst = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(widths) * 2; i++) {
    PwRender render = {.width = widths[i / 2]};
    PwPlane plane = render_path(i % 2 == 0 ? jpeg : png, &render);
    PwPx at = corner_of(&plane);
    double x = 700.0 * plane.width / 1501, y = 401.0 * plane.height / 1003;
    worst = MAX(worst, MAX(fabs(at.x - x), fabs(at.y - y)));
    pw_plane_clear(&plane);
  }
  print_message("# the furthest an edge came from its place: %.3f px\n", worst);
  assert_true(worst < PLACE_PX);
}

static void
test_places_stay_in_crops(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(corner_picture(1501, 1003, 700, 401), "edge.jpg", NULL);
  double worst = 0;
  for (int i = 0; i < 40; i++) {
    PwRender render = {.crop_x = 501 + i,
                       .crop_y = 250 + 3 * i,
                       .crop_width = 480 + 7 * i,
                       .crop_height = 320 + i,
                       .width = 60 + i};
    PwPlane plane = render_path(path, &render);
    PwPx at = corner_of(&plane);
    double x = (700.0 - render.crop_x) * plane.width / render.crop_width;
    double y = (401.0 - render.crop_y) * plane.height / render.crop_height;
    worst = MAX(worst, MAX(fabs(at.x - x), fabs(at.y - y)));
    pw_plane_clear(&plane);
  }
  print_message("# the furthest an edge came from its place in a crop: %.3f px\n", worst);
  assert_true(worst < PLACE_PX);
}

/* Crops that end at the picture's edge, where a shrinking decoder's last pixel is a part of one. */
static void
test_crops_at_the_edge_have_their_size(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1237, 823), "edge-size.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  for (int i = 0; i < 120; i++) {
    PwRender render = {.crop_x = 201 + 5 * i, .crop_y = 103 + 3 * i, .width = 20 + i % 37};
    render.crop_width = 1237 - render.crop_x;
    render.crop_height = 823 - render.crop_y;
    render.height = (int)lround(render.width * render.crop_height / render.crop_width);
    PwPlane plane = {0};
    assert_true(pw_photo_render(photo, &render, &plane, NULL));
    assert_int_equal(plane.width, render.width);
    assert_int_equal(plane.height, render.height);
    pw_plane_clear(&plane);
  }
}

static void
test_crop_is_the_same_pixels(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(640, 900), "crop.jpg", NULL);
  PwRender whole = {0};
  PwRender part = {.crop_x = 333, .crop_y = 801, .crop_width = 200, .crop_height = 99};
  PwPlane all = render_path(path, &whole), some = render_path(path, &part);
  assert_int_equal(some.width, 200);
  assert_int_equal(some.height, 99);
  for (int y = 0; y < some.height; y++)
    assert_memory_equal(pixel(&some, 0, y), pixel(&all, 333, 801 + y), 200 * 3);
  pw_plane_clear(&all);
  pw_plane_clear(&some);
}

/* The lowest rows of a tall picture: what lies above them is read past, not kept. Read whole, this
 * one would take 108 MB. */
static void
test_crop_keeps_little(void **state G_GNUC_UNUSED)
{
  enum { MEMORY_MAX = 40 * 1024 * 1024 };
  const double grey[3] = {90, 90, 90};
  VipsImage *tall = flat_picture(4000, 9000, 3, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, grey);
  g_autofree char *path = save_picture(tall, "tall.jpg", NULL);
  PwRender foot = {.crop_x = 1500, .crop_y = 8800, .crop_width = 600, .crop_height = 200};
  PwPlane plane = render_path(path, &foot);
  pw_plane_clear(&plane);
  print_message("# pixels held at once: %.1f MB\n", (double)vips_tracked_get_mem_highwater() / 1e6);
  assert_true(vips_tracked_get_mem_highwater() < MEMORY_MAX);
}

static void
test_crop_outside_is_an_error(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(64, 64), "outside.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  static const double xs[] = {64, -50, 1e9, -1e300, (double)NAN};
  for (gsize i = 0; i < G_N_ELEMENTS(xs); i++) {
    PwRender render = {.crop_x = xs[i], .crop_y = 0, .crop_width = 50, .crop_height = 50};
    PwPlane plane = {0};
    g_autoptr(GError) error = NULL;
    assert_false(pw_photo_render(photo, &render, &plane, &error));
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_USE));
    assert_null(plane.pixels);
  }
}

/* ---- Orientation ------------------------------------------------------------------- */

/* The eight stored forms of one upright picture, made by vips; tag: what turns it upright. */
static VipsImage *
stored_form(VipsImage *upright, int orientation)
{
  static const struct {
    gboolean flip;
    VipsAngle turn;
  } forms[9] = {{0},
                {FALSE, VIPS_ANGLE_D0},
                {TRUE, VIPS_ANGLE_D0},
                {FALSE, VIPS_ANGLE_D180},
                {TRUE, VIPS_ANGLE_D180},
                {TRUE, VIPS_ANGLE_D270},
                {FALSE, VIPS_ANGLE_D270},
                {TRUE, VIPS_ANGLE_D90},
                {FALSE, VIPS_ANGLE_D90}};
  VipsImage *flipped = NULL, *turned = NULL;
  if (forms[orientation].flip)
    assert_int_equal(vips_flip(upright, &flipped, VIPS_DIRECTION_HORIZONTAL, NULL), 0);
  else
    assert_int_equal(vips_copy(upright, &flipped, NULL), 0);
  assert_int_equal(vips_rot(flipped, &turned, forms[orientation].turn, NULL), 0);
  g_object_unref(flipped);
  return with_orientation(turned, orientation);
}

static void
assert_same_plane(const PwPlane *a, const PwPlane *b)
{
  assert_int_equal(a->width, b->width);
  assert_int_equal(a->height, b->height);
  for (int y = 0; y < a->height; y++)
    assert_memory_equal(pixel(a, 0, y), pixel(b, 0, y), (gsize)a->width * 3);
}

/* TIFF keeps every pixel: the eight forms must render to the very same plane, whole, in part,
 * masked. */
static void
test_eight_orientations(void **state G_GNUC_UNUSED)
{
  PwPx points[] = {{12.5, 20}, {60, 31.2}, {40, 77}};
  PwPxPath outline = {points, G_N_ELEMENTS(points)};
  PwRender renders[] = {{0},
                        {.crop_x = 20, .crop_y = 41, .crop_width = 61, .crop_height = 30},
                        {.masks = &outline, .n_masks = 1}};
  VipsImage *upright = noise_picture(120, 80);
  PwPlane want[G_N_ELEMENTS(renders)];
  for (int orientation = 1; orientation <= 8; orientation++) {
    g_autofree char *name = g_strdup_printf("orientation-%d.tif", orientation);
    g_autofree char *path = save_picture(stored_form(upright, orientation), name, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(renders); i++) {
      PwPlane plane = render_path(path, &renders[i]);
      if (orientation == 1) {
        want[i] = plane;
        continue;
      }
      assert_same_plane(&plane, &want[i]);
      pw_plane_clear(&plane);
    }
  }
  for (gsize i = 0; i < G_N_ELEMENTS(renders); i++)
    pw_plane_clear(&want[i]);
  g_object_unref(upright);
}

static void
test_orientation_of_a_jpeg(void **state G_GNUC_UNUSED)
{
  for (int orientation = 1; orientation <= 8; orientation++) {
    VipsImage *upright = corner_picture(160, 96, 96, 64);
    g_autofree char *path = save_picture(stored_form(upright, orientation), "turned.jpg", NULL);
    PwRender half = {.width = 80, .height = 48};
    PwPlane plane = render_path(path, &half);
    PwPx at = corner_of(&plane);
    assert_int_equal(plane.width, 80);
    assert_int_equal(plane.height, 48);
    assert_true(fabs(at.x - 48) < PLACE_PX && fabs(at.y - 32) < PLACE_PX);
    pw_plane_clear(&plane);
    g_object_unref(upright);
  }
}

/* ---- Masks ------------------------------------------------------------------------- */

/* By the crossing number, apart from the code under test. */
static gboolean
is_inside(const PwPxPath *ring, double x, double y)
{
  gboolean inside = FALSE;
  for (gsize i = 0, k = ring->n - 1; i < ring->n; k = i++) {
    PwPx a = ring->points[i], b = ring->points[k];
    if ((a.y > y) != (b.y > y) && x < (b.x - a.x) * (y - a.y) / (b.y - a.y) + a.x)
      inside = !inside;
  }
  return inside;
}

static double
distance_to_ring(const PwPxPath *ring, double x, double y)
{
  double least = G_MAXDOUBLE;
  for (gsize i = 0; i < ring->n; i++) {
    PwPx a = ring->points[i], b = ring->points[(i + 1) % ring->n];
    double dx = b.x - a.x, dy = b.y - a.y;
    double t = ((x - a.x) * dx + (y - a.y) * dy) / MAX(dx * dx + dy * dy, 1e-12);
    t = CLAMP(t, 0, 1);
    least = MIN(least, hypot(a.x + t * dx - x, a.y + t * dy - y));
  }
  return least;
}

static gboolean
is_filled(const PwPlane *plane, int x, int y)
{
  const guint8 *p = pixel(plane, x, y);
  return p[0] == FILL && p[1] == FILL && p[2] == FILL;
}

/* Whether any of 9 x 9 places of the pixel lies inside. */
static gboolean
is_touched(const PwPxPath *ring, int x, int y)
{
  for (int j = 0; j <= 8; j++)
    for (int i = 0; i <= 8; i++)
      if (is_inside(ring, x + i / 8.0, y + j / 8.0))
        return TRUE;
  return FALSE;
}

static void
assert_masked(const PwPxPath *ring, const PwPlane *plain, const PwPlane *masked)
{
  int filled = 0, kept = 0;
  for (int y = 0; y < plain->height; y++)
    for (int x = 0; x < plain->width; x++) {
      if (is_touched(ring, x, y)) {
        assert_true(is_filled(masked, x, y));
        filled++;
      } else if (distance_to_ring(ring, x + 0.5, y + 0.5) > 1.5) {
        assert_memory_equal(pixel(masked, x, y), pixel(plain, x, y), 3);
        kept++;
      }
    }
  print_message("# %d px filled, %d px as they were\n", filled, kept);
  assert_true(kept > 0);
}

static void
test_masks(void **state G_GNUC_UNUSED)
{
  PwPx hook[] = {{20, 20}, {100.3, 24.7}, {101, 60}, {60.5, 58}, {58, 90.25}, {22.9, 88}};
  PwPx sliver[] = {{10.2, 50.1}, {140, 50.3}, {139, 50.6}};
  PwPx beyond[] = {{120, -30}, {400, 40}, {130, 60}};
  PwPx dot[] = {{77.4, 33.3}, {77.5, 33.3}, {77.5, 33.4}};
  PwPxPath rings[] = {{hook, G_N_ELEMENTS(hook)},
                      {sliver, G_N_ELEMENTS(sliver)},
                      {beyond, G_N_ELEMENTS(beyond)},
                      {dot, G_N_ELEMENTS(dot)}};
  g_autofree char *path = save_picture(noise_picture(160, 110), "mask.png", NULL);
  PwRender whole = {0};
  PwPlane plain = render_path(path, &whole);
  for (gsize i = 0; i < G_N_ELEMENTS(rings); i++) {
    PwRender render = {.masks = &rings[i], .n_masks = 1};
    PwPlane masked = render_path(path, &render);
    assert_masked(&rings[i], &plain, &masked);
    assert_true(i != 3 || is_filled(&masked, 77, 33));
    pw_plane_clear(&masked);
  }
  PwRender all = {.masks = rings, .n_masks = G_N_ELEMENTS(rings)};
  PwPlane masked = render_path(path, &all);
  for (int y = 0; y < plain.height; y++)
    for (int x = 0; x < plain.width; x++)
      for (gsize i = 0; i < G_N_ELEMENTS(rings); i++)
        assert_true(!is_touched(&rings[i], x, y) || is_filled(&masked, x, y));
  pw_plane_clear(&masked);
  pw_plane_clear(&plain);
}

/* An outline that crosses itself hides both loops, and what it winds around twice. */
static void
test_crossed_outline_hides_all(void **state G_GNUC_UNUSED)
{
  PwPx star[] = {{80, 10}, {105, 95}, {30, 40}, {130, 40}, {55, 95}};
  PwPxPath ring = {star, G_N_ELEMENTS(star)};
  g_autofree char *path = save_picture(noise_picture(160, 110), "star.png", NULL);
  PwRender render = {.masks = &ring, .n_masks = 1};
  PwPlane masked = render_path(path, &render);
  assert_true(is_filled(&masked, 80, 55));
  assert_true(is_filled(&masked, 80, 20));
  assert_true(is_filled(&masked, 118, 42));
  pw_plane_clear(&masked);
}

/* A black and white check under the mask: were it scaled before it is filled, grey would show. */
static void
test_masked_before_scaling(void **state G_GNUC_UNUSED)
{
  PwPx box[] = {{400, 200}, {800, 200}, {800, 600}, {400, 600}};
  PwPxPath ring = {box, G_N_ELEMENTS(box)};
  g_autofree char *path = save_picture(noise_picture(1200, 800), "scaled.jpg", NULL);
  PwRender render = {.width = 120, .height = 80, .masks = &ring, .n_masks = 1};
  PwPlane plane = render_path(path, &render);
  for (int y = 24; y < 56; y++)
    for (int x = 44; x < 76; x++)
      assert_true(is_filled(&plane, x, y));
  pw_plane_clear(&plane);
}

static void
test_masks_in_every_kind_of_samples(void **state G_GNUC_UNUSED)
{
  static const struct {
    const char *name;
    int bands;
    VipsBandFormat format;
    VipsInterpretation kind;
    double values[4];
  } rows[] = {
      {"m16.tif", 3, VIPS_FORMAT_USHORT, VIPS_INTERPRETATION_RGB16, {60000, 20000, 900, 0}},
      {"mcmyk.tif", 4, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_CMYK, {200, 10, 200, 30}},
      {"mgrey.tif", 1, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_B_W, {30, 0, 0, 0}},
      {"mgrey16.tif", 1, VIPS_FORMAT_USHORT, VIPS_INTERPRETATION_GREY16, {3000, 0, 0, 0}},
      {"mlab.tif", 3, VIPS_FORMAT_FLOAT, VIPS_INTERPRETATION_LAB, {80, 40, -30, 0}},
      {"mrgba.png", 4, VIPS_FORMAT_UCHAR, VIPS_INTERPRETATION_sRGB, {250, 20, 9, 0}},
  };
  PwPx box[] = {{10, 10}, {40, 10}, {40, 40}, {10, 40}};
  PwPxPath ring = {box, G_N_ELEMENTS(box)};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    VipsImage *image =
        flat_picture(60, 60, rows[i].bands, rows[i].format, rows[i].kind, rows[i].values);
    g_autofree char *path = save_picture(image, rows[i].name, NULL);
    PwRender render = {.masks = &ring, .n_masks = 1};
    PwPlane plane = render_path(path, &render);
    const guint8 *in = pixel(&plane, 25, 25), *out = pixel(&plane, 50, 50);
    assert_true(abs(in[0] - in[1]) < 12 && abs(in[1] - in[2]) < 12);
    assert_true(in[1] > 80 && in[1] < 160);
    assert_true(memcmp(in, out, 3) != 0);
    pw_plane_clear(&plane);
  }
}

static void
test_mask_without_a_number_is_an_error(void **state G_GNUC_UNUSED)
{
  PwPx bad[] = {{10, 10}, {(double)NAN, 10}, {40, 40}};
  PwPxPath ring = {bad, G_N_ELEMENTS(bad)};
  g_autofree char *path = save_picture(noise_picture(60, 60), "nan.png", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  PwRender render = {.masks = &ring, .n_masks = 1};
  PwPlane plane = {0};
  assert_false(pw_photo_render(photo, &render, &plane, NULL));
  assert_null(plane.pixels);
}

/* ---- Bytes ------------------------------------------------------------------------- */

static GBytes *
jpeg_of(PwPhoto *photo)
{
  PwRender render = {.width = 200};
  int width = 0, height = 0;
  GBytes *jpeg = pw_photo_render_jpeg(photo, &render, 88, &width, &height, NULL);
  assert_int_equal(width, 200);
  assert_int_equal(height, 133);
  return jpeg;
}

static gpointer
render_thread(gpointer photo)
{
  return jpeg_of(photo);
}

static void
test_same_bytes_from_every_thread(void **state G_GNUC_UNUSED)
{
  enum { THREADS = 6 };
  GThread *threads[THREADS];
  g_autofree char *path = save_picture(noise_picture(1200, 800), "bytes.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  g_autoptr(GBytes) first = jpeg_of(photo);
  for (int i = 0; i < THREADS; i++)
    threads[i] = g_thread_new("render", render_thread, photo);
  for (int i = 0; i < THREADS; i++) {
    g_autoptr(GBytes) other = g_thread_join(threads[i]);
    assert_true(g_bytes_equal(first, other));
  }
}

static void
test_jpeg_keeps_within_its_limit(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(1200, 800), "limit.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  int full = 0, width = 0, height = 0;
  g_autoptr(GBytes) any = pw_photo_render_jpeg(photo, &(PwRender){0}, 80, &full, &height, NULL);
  for (gsize most = g_bytes_get_size(any); most > 2000; most = most * 2 / 3) {
    PwRender render = {.most_bytes = most};
    g_autoptr(GBytes) jpeg = pw_photo_render_jpeg(photo, &render, 80, &width, &height, NULL);
    assert_non_null(jpeg);
    double of_limit = (double)g_bytes_get_size(jpeg) / (double)most;
    assert_in_range((int)(100 * of_limit), most > 20000 ? 50 : 20, 100); /* and uses what it may */
    assert_int_equal(height, lround(width * 800.0 / 1200));
    if (most == g_bytes_get_size(any))
      assert_int_equal(width, full);
  }
  g_autoptr(GError) error = NULL;
  PwRender none = {.most_bytes = 20};
  assert_null(pw_photo_render_jpeg(photo, &none, 80, &width, &height, &error));
  assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT));
}

/* ITU-T T.81: SOF0 is baseline; sampling factors 1 x 1 of three components are 4:4:4. */
static void
test_jpeg_is_baseline_and_bare(void **state G_GNUC_UNUSED)
{
  g_autofree char *path = save_picture(noise_picture(300, 200), "bare.jpg", NULL);
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  g_autoptr(GBytes) jpeg = jpeg_of(photo);
  gsize n = 0;
  const guint8 *bytes = g_bytes_get_data(jpeg, &n), *frame = NULL;
  for (gsize at = 2; at + 4 < n && bytes[at + 1] != 0xDA;
       at += 2 + ((gsize)bytes[at + 2] << 8 | bytes[at + 3])) {
    assert_int_equal(bytes[at], 0xFF);
    assert_true(bytes[at + 1] == 0xE0 || bytes[at + 1] < 0xE0); /* APP0 alone */
    if (bytes[at + 1] == 0xC0)
      frame = bytes + at;
  }
  assert_non_null(frame);
  assert_int_equal(frame[9], 3);
  for (int i = 0; i < 3; i++)
    assert_int_equal(frame[11 + 3 * i], 0x11);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_sizes_are_those_asked_for),
      cmocka_unit_test(test_quick_is_near_the_size_and_in_place),
      cmocka_unit_test(test_quick_is_for_jpegs_without_masks),
      cmocka_unit_test(test_never_enlarged),
      cmocka_unit_test(test_places_stay),
      cmocka_unit_test(test_places_stay_in_crops),
      cmocka_unit_test(test_crops_at_the_edge_have_their_size),
      cmocka_unit_test(test_crop_is_the_same_pixels),
      cmocka_unit_test(test_crop_keeps_little),
      cmocka_unit_test(test_crop_outside_is_an_error),
      cmocka_unit_test(test_eight_orientations),
      cmocka_unit_test(test_orientation_of_a_jpeg),
      cmocka_unit_test(test_masks),
      cmocka_unit_test(test_crossed_outline_hides_all),
      cmocka_unit_test(test_masked_before_scaling),
      cmocka_unit_test(test_masks_in_every_kind_of_samples),
      cmocka_unit_test(test_mask_without_a_number_is_an_error),
      cmocka_unit_test(test_same_bytes_from_every_thread),
      cmocka_unit_test(test_jpeg_keeps_within_its_limit),
      cmocka_unit_test(test_jpeg_is_baseline_and_bare),
  };
  return cmocka_run_group_tests(tests, pictures_setup, pictures_teardown);
}
