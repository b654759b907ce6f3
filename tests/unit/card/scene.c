#include "scene.h"

#include <apriltag/tag36h11.h>
#include <math.h>
#include <string.h>
#include <vips/vips.h>

enum { SUPERSAMPLES = 4 /* each way, in one pixel */, CELLS = 8, JPEG_QUALITY = 90 };

/* ---- Chance ------------------------------------------------------------------------ */

static guint64
chance_next(Chance *chance)
{
  chance->state ^= chance->state >> 12;
  chance->state ^= chance->state << 25;
  chance->state ^= chance->state >> 27;
  return chance->state * G_GUINT64_CONSTANT(2685821657736338717);
}

double
chance_between(Chance *chance, double low, double high)
{
  return low + (high - low) * (double)(chance_next(chance) >> 11) / 9007199254740992.0;
}

/* The sum of twelve: what lies beyond six sigma is not missed here. */
double
chance_normal(Chance *chance)
{
  double sum = -6;
  for (int i = 0; i < 3; i++) {
    guint64 bits = chance_next(chance);
    for (int k = 0; k < 4; k++, bits >>= 16)
      sum += (double)(bits & 0xFFFF) / 65536;
  }
  return sum;
}

/* ---- The table --------------------------------------------------------------------- */

/* Adds value noise: levels at the corners of cells, bilinear between them. */
static void
add_texture(float *levels, int width, int height, int cell, double depth, Chance *chance)
{
  int columns = width / cell + 2, rows = height / cell + 2;
  g_autofree float *knots = g_new(float, (gsize)columns *(gsize)rows);
  for (int i = 0; i < columns * rows; i++)
    knots[i] = (float)chance_between(chance, -depth, depth);
  for (int y = 0; y < height; y++) {
    const float *upper = knots + (y / cell) * columns, *lower = upper + columns;
    float v = (float)(y % cell) / (float)cell;
    for (int x = 0; x < width; x++) {
      float u = (float)(x % cell) / (float)cell;
      int k = x / cell;
      levels[(gsize)y * (gsize)width + (gsize)x] +=
          (1 - v) * ((1 - u) * upper[k] + u * upper[k + 1]) +
          v * ((1 - u) * lower[k] + u * lower[k + 1]);
    }
  }
}

/* Dark bars of all lengths in rows, as letters stand. */
static void
add_print(float *levels, int width, int height, Chance *chance)
{
  for (int i = 0; i < width * height / 4000; i++) {
    int x0 = (int)chance_between(chance, 0, width - 60), w = (int)chance_between(chance, 2, 40);
    int y0 = (int)chance_between(chance, 0, height - 60) / 30 * 30;
    int h = (int)chance_between(chance, 2, 24);
    float depth = (float)chance_between(chance, 20, 110);
    for (int y = y0; y < y0 + h; y++)
      for (int x = x0; x < x0 + w; x++)
        levels[(gsize)y * (gsize)width + (gsize)x] -= depth;
  }
}

static guint8
as_level(double level)
{
  return (guint8)CLAMP(lround(level), 0, 255);
}

PwPlane
scene_table(int width, int height, guint64 seed)
{
  Chance chance = {seed};
  gsize n = (gsize)width * (gsize)height;
  g_autofree float *levels = g_new(float, n);
  for (gsize i = 0; i < n; i++)
    levels[i] = 130;
  add_texture(levels, width, height, 300, 60, &chance);
  add_texture(levels, width, height, 23, 25, &chance);
  add_texture(levels, width, height, 5, 25, &chance);
  add_print(levels, width, height, &chance);
  PwPlane plane = {g_malloc(n), width, height, 1, (gsize)width};
  for (gsize i = 0; i < n; i++)
    plane.pixels[i] = as_level((double)levels[i] + 4 * chance_normal(&chance));
  return plane;
}

PwPlane
scene_dup_plane(const PwPlane *plane)
{
  PwPlane copy = *plane;
  copy.pixels = g_memdup2(plane->pixels, plane->stride * (gsize)plane->height);
  return copy;
}

/* ---- The card ---------------------------------------------------------------------- */

/* The cells of every tag of the card, black border and all: TRUE is white. */
typedef struct {
  const Scene *scene;
  const PwCardDesign *design;
  gboolean (*white)[CELLS][CELLS];
} Print;

static void
print_init(Print *print, const Scene *scene)
{
  apriltag_family_t *family = tag36h11_create();
  const PwCardDesign *design = pw_card_design(scene->size);
  *print =
      (Print){scene, design, g_malloc0_n((gsize)design->n_tags, sizeof(gboolean[CELLS][CELLS]))};
  for (int t = 0; t < design->n_tags; t++) {
    guint64 code = family->codes[design->first_id + scene->copy * design->n_tags + t];
    for (guint32 i = 0; i < family->nbits; i++)
      print->white[t][family->bit_y[i]][family->bit_x[i]] = (code >> (family->nbits - 1 - i)) & 1;
  }
  tag36h11_destroy(family);
}

/* Ink at a point of the card, 0 for paper: tags; mm graduations along two edges; six steps of grey
 * in the middle. */
static double
ink_at(const Print *print, double x, double y)
{
  const PwCardDesign *design = print->design;
  for (int t = 0; t < design->n_tags; t++) {
    PwMm at = pw_card_tag_place(print->scene->size, t);
    double u = (x - at.x) / design->tag_mm * CELLS, v = (y - at.y) / design->tag_mm * CELLS;
    if (u >= 0 && v >= 0 && u < CELLS && v < CELLS)
      return print->scene->without_tags >> t & 1 || print->white[t][(int)v][(int)u] ? 0 : 1;
  }
  double along = x - floor(x), w = design->width_mm, h = design->height_mm;
  if (x > 0.28 * w && x < 0.72 * w && y > h - 3 && along < 0.2)
    return 1;
  if (x > 0.3 * w && x < 0.7 * w && fabs(y - h / 2) < h / 10)
    return floor((x / w - 0.3) / 0.4 * 6) / 6;
  return 0;
}

/* ---- The camera -------------------------------------------------------------------- */

static void
turn(double m[3][3], int axis, double degrees)
{
  double c = cos(degrees * G_PI / 180), s = sin(degrees * G_PI / 180);
  int i = (axis + 1) % 3, j = (axis + 2) % 3;
  for (int k = 0; k < 3; k++) {
    double a = m[i][k], b = m[j][k];
    m[i][k] = c * a - s * b;
    m[j][k] = s * a + c * b;
  }
}

/* mm on the card to px: rolled, tilted towards a side, pushed away. */
static PwHomography
camera(const Scene *scene, const PwPlane *plane)
{
  const PwCardDesign *design = pw_card_design(scene->size);
  double r[3][3] = {{scene->mirrored ? -1 : 1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
  turn(r, 2, scene->roll_deg - scene->tilt_towards_deg);
  turn(r, 0, scene->tilt_deg);
  turn(r, 2, scene->tilt_towards_deg);
  double f = scene->focal_px, cx = plane->width / 2.0, cy = plane->height / 2.0;
  double z = f * design->width_mm / (scene->of_width * plane->width);
  double t[3] = {z * (scene->x - cx) / f, z * (scene->y - cy) / f, z};
  PwHomography look,
      centre = {{1, 0, -design->width_mm / 2, 0, 1, -design->height_mm / 2, 0, 0, 1}};
  for (int k = 0; k < 3; k++) {
    double v[3];
    for (int i = 0; i < 3; i++)
      v[i] = k < 2 ? r[i][k] : t[i];
    look.m[k] = (f * v[0] + cx * v[2]) / z;
    look.m[3 + k] = (f * v[1] + cy * v[2]) / z;
    look.m[6 + k] = v[2] / z;
  }
  pw_homography_multiply(&look, &centre, &look);
  return look;
}

/* The card's outline in the picture, with some px of margin. */
static VipsRect
outline_box(const PwHomography *to_px, const PwCardDesign *design)
{
  const double margin = 8;
  double left = HUGE_VAL, top = HUGE_VAL, right = -HUGE_VAL, bottom = -HUGE_VAL;
  for (int i = 0; i < 4; i++) {
    double x, y;
    pw_homography_apply(to_px, i == 1 || i == 2 ? design->width_mm : 0,
                        i >= 2 ? design->height_mm : 0, &x, &y);
    left = fmin(left, x);
    right = fmax(right, x);
    top = fmin(top, y);
    bottom = fmax(bottom, y);
  }
  /* On the grid of JPEG's blocks. */
  int x0 = (int)floor((left - margin) / 8) * 8, y0 = (int)floor((top - margin) / 8) * 8;
  return (VipsRect){x0, y0, (int)ceil((right + margin - x0) / 8) * 8,
                    (int)ceil((bottom + margin - y0) / 8) * 8};
}

/* Somewhere where all of the card is in the picture. */
static void
place_by_chance(Scene *scene, Chance *chance, const PwPlane *plane)
{
  const PwCardDesign *design = pw_card_design(scene->size);
  for (int tries = 0; tries < 1000; tries++) {
    scene->x = chance_between(chance, 0, plane->width);
    scene->y = chance_between(chance, 0, plane->height);
    PwHomography to_px = camera(scene, plane);
    VipsRect box = outline_box(&to_px, design);
    if (box.left >= 0 && box.top >= 0 && box.left + box.width <= plane->width &&
        box.top + box.height <= plane->height)
      return;
  }
  g_error("the card finds no place in the picture");
}

/* The mean over the points of one pixel; points off the card keep the table's level. */
static double
level_at(const Print *print, const PwHomography *to_mm, int x, int y, double table)
{
  const Scene *scene = print->scene;
  double sum = 0;
  for (int j = 0; j < SUPERSAMPLES; j++)
    for (int i = 0; i < SUPERSAMPLES; i++) {
      double u, v;
      pw_homography_apply(to_mm, x + (i + 0.5) / SUPERSAMPLES, y + (j + 0.5) / SUPERSAMPLES, &u,
                          &v);
      gboolean on_card =
          u >= 0 && v >= 0 && u < print->design->width_mm && v < print->design->height_mm;
      double white = scene->white * (1 - scene->shade * u / print->design->width_mm);
      double black = scene->black * (1 - scene->shade * u / print->design->width_mm);
      sum += on_card ? white + (black - white) * ink_at(print, u, v) : table;
    }
  return sum / (SUPERSAMPLES * SUPERSAMPLES);
}

/* ---- Blur, noise, JPEG ------------------------------------------------------------- */

static void
blur_lines(const float *from, float *to, int n, int lines, gsize step, gsize line, double sigma)
{
  enum { REACH = 12 };
  double weights[REACH + 1], sum = 0;
  int reach = MIN(REACH, (int)ceil(4 * sigma));
  for (int k = 0; k <= reach; k++)
    sum += (k > 0 ? 2 : 1) * (weights[k] = exp(-k * k / (2 * sigma * sigma)));
  for (int l = 0; l < lines; l++)
    for (int i = 0; i < n; i++) {
      double level = 0;
      for (int k = -reach; k <= reach; k++)
        level += weights[abs(k)] / sum *
                 (double)from[(gsize)l * line + (gsize)CLAMP(i + k, 0, n - 1) * step];
      to[(gsize)l * line + (gsize)i * step] = (float)level;
    }
}

static void
through_jpeg(guint8 *pixels, int width, int height)
{
  void *bytes = NULL;
  size_t length = 0, n = 0;
  VipsImage *image = vips_image_new_from_memory(pixels, (gsize)width * (gsize)height, width, height,
                                                1, VIPS_FORMAT_UCHAR);
  VipsImage *back = NULL;
  if (vips_jpegsave_buffer(image, &bytes, &length, "Q", JPEG_QUALITY, NULL) != 0 ||
      vips_jpegload_buffer(bytes, length, &back, NULL) != 0)
    g_error("%s", vips_error_buffer());
  guint8 *decoded = vips_image_write_to_memory(back, &n);
  memcpy(pixels, decoded, (gsize)width * (gsize)height);
  g_free(decoded);
  g_object_unref(back);
  g_object_unref(image);
  g_free(bytes);
}

static void
put_back(const guint8 *pixels, const VipsRect *box, PwPlane *plane)
{
  for (int y = MAX(0, -box->top); y < box->height && box->top + y < plane->height; y++)
    for (int x = MAX(0, -box->left); x < box->width && box->left + x < plane->width; x++)
      plane->pixels[(gsize)(box->top + y) * plane->stride + (gsize)(box->left + x)] =
          pixels[(gsize)y * (gsize)box->width + (gsize)x];
}

static double
table_at(const PwPlane *plane, int x, int y)
{
  x = CLAMP(x, 0, plane->width - 1);
  y = CLAMP(y, 0, plane->height - 1);
  return plane->pixels[(gsize)y * plane->stride + (gsize)x];
}

void
scene_draw(const Scene *given, Chance *chance, PwPlane *plane, PwHomography *to_px)
{
  Scene scene = *given;
  PwHomography to_mm;
  Print print;
  if (isnan(scene.x))
    place_by_chance(&scene, chance, plane);
  *to_px = camera(&scene, plane);
  pw_homography_invert(to_px, &to_mm);
  print_init(&print, &scene);
  VipsRect box = outline_box(to_px, print.design);
  gsize n = (gsize)box.width * (gsize)box.height;
  g_autofree float *sharp = g_new(float, n), *half = g_new(float, n);
  g_autofree guint8 *pixels = g_malloc(n);
  for (int y = 0; y < box.height; y++)
    for (int x = 0; x < box.width; x++)
      sharp[(gsize)y * (gsize)box.width + (gsize)x] = (float)level_at(
          &print, &to_mm, box.left + x, box.top + y, table_at(plane, box.left + x, box.top + y));
  blur_lines(sharp, half, box.width, box.height, 1, (gsize)box.width, scene.blur_px);
  blur_lines(half, sharp, box.height, box.width, (gsize)box.width, 1, scene.blur_px);
  for (gsize i = 0; i < n; i++)
    pixels[i] = as_level((double)sharp[i] + scene.noise * chance_normal(chance));
  through_jpeg(pixels, box.width, box.height);
  put_back(pixels, &box, plane);
  g_free(print.white);
}

Scene
scene_by_chance(Chance *chance, PwCardSize size, int copy, double of_width, int width)
{
  return (Scene){.size = size,
                 .copy = copy,
                 .of_width = of_width,
                 .tilt_deg = chance_between(chance, 0, 35),
                 .tilt_towards_deg = chance_between(chance, 0, 360),
                 .roll_deg = chance_between(chance, 0, 360),
                 .x = (double)NAN,
                 .y = (double)NAN,
                 .focal_px = width * 50.0 / 36,
                 .black = chance_between(chance, 20, 60),
                 .white = chance_between(chance, 170, 245),
                 .shade = chance_between(chance, 0, 0.2),
                 .blur_px = chance_between(chance, 0.6, 1.3),
                 .noise = chance_between(chance, 2, 6)};
}

double
scene_mm_per_px(const PwHomography *to_mm, PwPx at)
{
  double j[4];
  pw_homography_jacobian(to_mm, at.x, at.y, j);
  return sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
}
