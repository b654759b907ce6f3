/* What is drawn, on a picture of 20 px per mm: the tags as the finder's own library draws them,
 * their white, strokes that stand on their millimetres, greys without colour. */
#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
#include <platewright/card.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <cmocka.h>

enum { PX_PER_MM = 20, CELLS = 10 }; /* a tag's black square and the white cell round it */

typedef struct {
  cairo_surface_t *surface;
  const guint8 *pixels;
  int width, height, stride;
} Picture;

static Picture
picture_of(PwCardSize size, int copy)
{
  const PwCardDesign *design = pw_card_design(size);
  PwPdfInfo info = {.title = "card", .language = "en", .date = "2026-01-01"};
  g_autoptr(PwPdf) pdf = pw_pdf_new(&info, NULL);
  assert_non_null(pdf);
  Picture picture = {.width = (int)ceil(design->width_mm * PX_PER_MM),
                     .height = (int)ceil(design->height_mm * PX_PER_MM)};
  picture.surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height);
  cairo_t *cr = cairo_create(picture.surface);
  cairo_scale(cr, PX_PER_MM, PX_PER_MM);
  pw_card_draw(pdf, cr, size, copy);
  assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  cairo_surface_flush(picture.surface);
  picture.pixels = cairo_image_surface_get_data(picture.surface);
  picture.stride = cairo_image_surface_get_stride(picture.surface);
  return picture;
}

static int
grey_at(const Picture *picture, int x, int y)
{
  return picture->pixels[y * picture->stride + 4 * x];
}

static int
grey_at_mm(const Picture *picture, double x, double y)
{
  return grey_at(picture, (int)(x * PX_PER_MM), (int)(y * PX_PER_MM));
}

/* The first pixel that begins at or behind a place, and the end of the last that ends before it. */
static int
first_px(double mm)
{
  return (int)ceil(mm * PX_PER_MM - 1e-6);
}

static int
last_px(double mm)
{
  return (int)floor(mm * PX_PER_MM + 1e-6);
}

/* The same cells as in the library's own picture of the code. */
static void
check_cells(const Picture *picture, PwCardSize size, int copy, int tag, apriltag_family_t *family)
{
  const PwCardDesign *design = pw_card_design(size);
  PwMm at = pw_card_tag_place(size, tag);
  double cell = design->tag_mm / (CELLS - 2);
  int id = design->first_id + copy * design->n_tags + tag;
  image_u8_t *wanted = apriltag_to_image(family, id);
  assert_int_equal(wanted->width, CELLS);
  for (int row = 0; row < CELLS; row++)
    for (int column = 0; column < CELLS; column++) {
      double x = at.x + (column - 0.5) * cell, y = at.y + (row - 0.5) * cell;
      assert_int_equal(grey_at_mm(picture, x, y), wanted->buf[row * wanted->stride + column]);
    }
  free(wanted->buf);
  free(wanted);
}

/* Every whole pixel of the white cell round the square. */
static void
check_white(const Picture *picture, PwCardSize size, int tag)
{
  const PwCardDesign *design = pw_card_design(size);
  PwMm at = pw_card_tag_place(size, tag);
  double cell = design->tag_mm / (CELLS - 2), edge = design->tag_mm;
  int left = first_px(at.x - cell), right = last_px(at.x + edge + cell);
  int top = first_px(at.y - cell), bottom = last_px(at.y + edge + cell);
  for (int y = top; y < bottom; y++)
    for (int x = left; x < right; x++) {
      gboolean inside = x >= last_px(at.x) && x < first_px(at.x + edge) && y >= last_px(at.y) &&
                        y < first_px(at.y + edge);
      if (!inside && grey_at(picture, x, y) != 255)
        fail_msg("%s, tag %d: %d at %.2f, %.2f mm", design->name, tag, grey_at(picture, x, y),
                 (double)x / PX_PER_MM, (double)y / PX_PER_MM);
    }
}

static void
tags_are_the_family_s_codes_and_keep_their_white(void **state)
{
  (void)state;
  apriltag_family_t *family = tag36h11_create();
  for (int i = 0; i < PW_N_CARD_SIZES; i++) {
    PwCardSize size = (PwCardSize)i;
    for (int copy = 0; copy < pw_card_design(size)->n_copies; copy++) {
      Picture picture = picture_of(size, copy);
      for (int tag = 0; tag < pw_card_design(size)->n_tags; tag++) {
        check_cells(&picture, size, copy, tag, family);
        check_white(&picture, size, tag);
      }
      cairo_surface_destroy(picture.surface);
    }
  }
  tag36h11_destroy(family);
}

/* Where the middle of the one stroke stands that crosses the row (or column) near `at`, mm: the
 * centre of its ink, one and a half millimetre about. */
static double
stroke_near(const Picture *picture, double at, double across, gboolean upright_scale)
{
  const double reach = 0.25; /* half-way to a stroke of half a millimetre */
  double sum = 0, moment = 0;
  int from = MAX(0, (int)lround((at - reach) * PX_PER_MM));
  int to = (int)lround((at + reach) * PX_PER_MM), other = (int)(across * PX_PER_MM);
  for (int i = from; i < to; i++) {
    double ink = 255 - (upright_scale ? grey_at(picture, other, i) : grey_at(picture, i, other));
    sum += ink;
    moment += ink * (i + 0.5) / PX_PER_MM;
  }
  assert_true(sum > 255); /* at least a pixel's worth */
  return moment / sum;
}

/* All graduations of a6, read off at the edge. */
static void
strokes_stand_on_their_millimetres(void **state)
{
  (void)state;
  Picture picture = picture_of(PW_CARD_A6, 0);
  double worst = 0;
  for (int mm = 0; mm <= 130; mm++)
    worst = fmax(worst, fabs(stroke_near(&picture, 9 + mm, 104.5, FALSE) - 9 - mm));
  for (int mm = 0; mm <= 90; mm++)
    worst = fmax(worst, fabs(stroke_near(&picture, 96 - mm, 0.5, TRUE) - 96 + mm));
  for (int mm = 0; mm < 10; mm++)
    worst = fmax(worst, fabs(stroke_near(&picture, 9.5 + mm, 104.5, FALSE) - 9.5 - mm));
  print_message("# strokes: %.4f mm at most from their places\n", worst);
  assert_true(worst < 0.002); /* grey levels of a stroke's two edges: 1/255 of 0.05 mm each */
  cairo_surface_destroy(picture.surface);
}

/* The greys of a6 against IEC 61966-2-1 and CIE 15, computed here. */
static void
greys_are_even_in_lightness(void **state)
{
  (void)state;
  Picture picture = picture_of(PW_CARD_A6, 0);
  for (int i = 0; i < 6; i++) {
    double v = grey_at_mm(&picture, 35 + 13 * (i + 0.5), 42) / 255.0;
    double y = v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
    double lightness = y > 216.0 / 24389 ? 116 * cbrt(y) - 16 : y * 24389 / 27;
    assert_true(fabs(lightness - (100 - 20 * i)) < 0.25); /* a step of 8 bits is 0.5 at most here */
  }
  cairo_surface_destroy(picture.surface);
}

/* The darkest grey in a box of the card, mm. */
static int
darkest(const Picture *picture, double left, double top, double right, double bottom)
{
  int least = 255;
  for (int y = first_px(top); y < last_px(bottom); y++)
    for (int x = first_px(left); x < last_px(right); x++)
      least = MIN(least, grey_at(picture, x, y));
  return least;
}

/* Its name, the figure 130 and the level check line's words on a6. */
static void
words_are_drawn_on_a_picture_too(void **state)
{
  (void)state;
  Picture picture = picture_of(PW_CARD_A6, 1);
  assert_int_equal(darkest(&picture, 60, 10, 88, 16), 0);
  assert_int_equal(darkest(&picture, 137, 99, 141, 101), 0);
  assert_true(darkest(&picture, 70, 0.5, 78, 3) < 64);
  assert_int_equal(darkest(&picture, 60, 3, 88, 8), 255); /* and nothing above the name */
  cairo_surface_destroy(picture.surface);
}

static void
nothing_has_a_colour(void **state)
{
  (void)state;
  for (int i = 0; i < PW_N_CARD_SIZES; i++) {
    Picture picture = picture_of((PwCardSize)i, 0);
    for (int y = 0; y < picture.height; y++)
      for (int x = 0; x < picture.width; x++) {
        const guint8 *pixel = picture.pixels + y * picture.stride + 4 * x;
        assert_true(pixel[0] == pixel[1] && pixel[1] == pixel[2]);
      }
    cairo_surface_destroy(picture.surface);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(tags_are_the_family_s_codes_and_keep_their_white),
      cmocka_unit_test(strokes_stand_on_their_millimetres),
      cmocka_unit_test(greys_are_even_in_lightness),
      cmocka_unit_test(words_are_drawn_on_a_picture_too),
      cmocka_unit_test(nothing_has_a_colour),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
