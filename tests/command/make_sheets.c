/* Photographs of the printed sheet by a camera that is given, for the test of `lens`: a pinhole,
 * then x_d = x_u (1 + k1 r2 + k2 r4), undone here by repeated substitution.
 *
 *   make-sheets FOLDER COUNT WIDTH HEIGHT F CX CY K1 K2 MODEL FOCAL
 *
 * writes FOLDER/sheet-01.jpg and so on. The lens is of the stored frame; every third photograph is
 * of a camera held upright, its EXIF orientation 6 or 8. An empty MODEL leaves out all of EXIF.
 */
#include <platewright/card.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

static const double DRAWN_PER_MM = 8;
enum { TABLE_GREY = 105, WHITE = 222, BLACK = 34, ACROSS = 2 /* samples in a pixel, each way */ };

typedef struct {
  int width, height;
  double f, cx, cy, k1, k2;
  double *rays; /* x, y of each sample on the plane at distance 1, row by row */
} Camera;

typedef struct {
  guint8 *pixels;
  int width, height;
  gsize stride;
} Print;

static void
print_init(Print *print)
{
  const PwCardDesign *design = pw_card_design(PW_CARD_SHEET);
  print->width = (int)(design->width_mm * DRAWN_PER_MM);
  print->height = (int)(design->height_mm * DRAWN_PER_MM);
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, print->width, print->height);
  cairo_t *cr = cairo_create(surface);
  cairo_scale(cr, DRAWN_PER_MM, DRAWN_PER_MM);
  pw_card_draw(NULL, cr, PW_CARD_SHEET, 0);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  print->stride = (gsize)cairo_image_surface_get_stride(surface);
  print->pixels =
      g_memdup2(cairo_image_surface_get_data(surface), print->stride * (gsize)print->height);
  cairo_surface_destroy(surface);
}

static double
grey_of(const Print *print, double x_mm, double y_mm)
{
  double x = x_mm * DRAWN_PER_MM - .5, y = y_mm * DRAWN_PER_MM - .5, sum = 0;
  int column = (int)floor(x), row = (int)floor(y);
  if (column < 0 || row < 0 || column + 1 >= print->width || row + 1 >= print->height)
    return TABLE_GREY;
  for (int i = 0; i < 4; i++) {
    int dx = i & 1, dy = i >> 1;
    const guint8 *at = print->pixels + print->stride * (gsize)(row + dy) + 4 * (column + dx);
    sum += (dx ? x - column : 1 - x + column) * (dy ? y - row : 1 - y + row) * at[1];
  }
  return BLACK + (WHITE - BLACK) * sum / 255;
}

static void
camera_init(Camera *camera)
{
  int columns = camera->width * ACROSS, rows = camera->height * ACROSS;
  camera->rays = g_new(double, (gsize)(2 * columns * rows));
  for (int i = 0; i < columns * rows; i++) {
    double xd = ((i % columns + .5) / ACROSS - camera->cx) / camera->f, x = xd;
    double yd = ((i / columns + .5) / ACROSS - camera->cy) / camera->f, y = yd;
    for (int round = 0; round < 30; round++) {
      double r2 = x * x + y * y, bend = 1 + r2 * (camera->k1 + r2 * camera->k2);
      x = xd / bend;
      y = yd / bend;
    }
    camera->rays[2 * i] = x;
    camera->rays[2 * i + 1] = y;
  }
}

/* Where the sheet lies: its middle, and the two directions of its plane. */
typedef struct {
  double middle[3], along[3], down[3];
} Stand;

/* Leaning by 20 to 32 degrees, each time towards another side, the middle now here, now there. */
static Stand
stand_of(int i, int n, const Camera *camera)
{
  double lean = (20 + 12. * (i % 3) / 2) * G_PI / 180, to = 2 * G_PI * i / n;
  double roll = (i % 4) * G_PI / 2 + .1 * i;
  double distance = 178 * camera->f / camera->height; /* mm */
  double side = .16 * distance * camera->width / camera->f;
  Stand stand = {.middle = {(i & 1 ? side : -side), (i & 2 ? side : -side) / 2, distance}};
  /* the plane's axes leaned towards `to`, then rolled within it */
  double a[3] = {cos(to) * cos(lean), sin(to) * cos(lean), sin(lean)},
         b[3] = {-sin(to), cos(to), 0};
  for (int k = 0; k < 3; k++) {
    stand.along[k] = cos(roll) * a[k] + sin(roll) * b[k];
    stand.down[k] = -sin(roll) * a[k] + cos(roll) * b[k];
  }
  return stand;
}

static double
seen_along(const Camera *camera, const Print *print, const Stand *stand, gsize sample)
{
  const PwCardDesign *design = pw_card_design(PW_CARD_SHEET);
  double ray[3] = {camera->rays[2 * sample], camera->rays[2 * sample + 1], 1};
  const double *a = stand->along, *d = stand->down;
  double normal[3] = {a[1] * d[2] - a[2] * d[1], a[2] * d[0] - a[0] * d[2],
                      a[0] * d[1] - a[1] * d[0]};
  double depth = 0, toward = 0, x = 0, y = 0;
  for (int k = 0; k < 3; k++) {
    depth += normal[k] * stand->middle[k];
    toward += normal[k] * ray[k];
  }
  for (int k = 0; k < 3; k++) {
    double from_middle = ray[k] * depth / toward - stand->middle[k];
    x += from_middle * a[k];
    y += from_middle * d[k];
  }
  return grey_of(print, x + design->width_mm / 2, y + design->height_mm / 2);
}

static guint8 *
photograph(const Camera *camera, const Print *print, const Stand *stand)
{
  guint8 *pixels = g_new(guint8, (gsize)(camera->width * camera->height));
  GRand *chance = g_rand_new_with_seed(7);
  int columns = camera->width * ACROSS;
  for (int i = 0; i < camera->width * camera->height; i++) {
    double sum = 0;
    for (int k = 0; k < ACROSS * ACROSS; k++) {
      int column = i % camera->width * ACROSS + k % ACROSS;
      int row = i / camera->width * ACROSS + k / ACROSS;
      sum += seen_along(camera, print, stand, (gsize)(row * columns + column));
    }
    double noise = g_rand_double_range(chance, -4, 4);
    pixels[i] = (guint8)(sum / (ACROSS * ACROSS) + noise + .5);
  }
  g_rand_free(chance);
  return pixels;
}

static void
write_jpeg(const char *path, const Camera *camera, guint8 *pixels, const char *model, double focal,
           int orientation)
{
  gsize bytes = (gsize)(camera->width * camera->height);
  VipsImage *image = vips_image_new_from_memory(pixels, bytes, camera->width, camera->height, 1,
                                                VIPS_FORMAT_UCHAR);
  if (*model != '\0') {
    g_autofree char *mm = g_strdup_printf("%d/10", (int)(10 * focal + .5));
    vips_image_set_string(image, "exif-ifd0-Make", "Example");
    vips_image_set_string(image, "exif-ifd0-Model", model);
    vips_image_set_string(image, "exif-ifd2-FocalLength", mm);
    vips_image_set_string(image, "exif-ifd2-DateTimeOriginal", "2026:03:01 10:00:00");
    vips_image_set_int(image, VIPS_META_ORIENTATION, orientation);
  }
  if (vips_jpegsave(image, path, "Q", 92, NULL) != 0)
    g_error("%s: %s", path, vips_error_buffer());
  g_object_unref(image);
}

int
main(int argc, char **argv)
{
  if (argc != 12 || VIPS_INIT(argv[0]) != 0)
    return 2;
  int n = atoi(argv[2]);
  Camera camera = {.width = atoi(argv[3]),
                   .height = atoi(argv[4]),
                   .f = atof(argv[5]),
                   .cx = atof(argv[6]),
                   .cy = atof(argv[7]),
                   .k1 = atof(argv[8]),
                   .k2 = atof(argv[9])};
  Print print;
  print_init(&print);
  camera_init(&camera);
  for (int i = 0; i < n; i++) {
    Stand stand = stand_of(i, n, &camera);
    g_autofree guint8 *pixels = photograph(&camera, &print, &stand);
    g_autofree char *path = g_strdup_printf("%s/sheet-%02d.jpg", argv[1], i + 1);
    int orientation = i % 3 != 2 ? 1 : i % 2 ? 6 : 8;
    write_jpeg(path, &camera, pixels, argv[10], atof(argv[11]), orientation);
  }
  g_free(camera.rays);
  g_free(print.pixels);
  vips_shutdown();
  return 0;
}
