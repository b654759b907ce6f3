/* Pictures with a known truth for the tests of trace. */
#include "ground.h"

#include <math.h>
#include <string.h>

const double CLOTH[3] = {0.05, 0.11, 0.10}, PAPER[3] = {0.70, 0.62, 0.43},
             LEATHER[3] = {0.13, 0.05, 0.03};

enum { SAMPLES = 8 };

static double *
light_at(const Ground *ground, int x, int y)
{
  return ground->light + 3 * ((gsize)y * (gsize)ground->width + (gsize)x);
}

Ground
ground_new(int width, int height, const double light[3])
{
  Ground ground = {width, height, g_new(double, 3 * (gsize)width * (gsize)height)};
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      memcpy(light_at(&ground, x, y), light, 3 * sizeof *light);
  return ground;
}

void
ground_clear(Ground *ground)
{
  g_free(ground->light);
  *ground = (Ground){0};
}

/* One row of samples at height y: the crossings, in order, fill from one to the next. */
static void
cover_row(const PwPxPath *ring, double y, int width, double *cover)
{
  for (gsize i = 0, j = ring->n - 1; i < ring->n; j = i++) {
    PwPx a = ring->points[i], b = ring->points[j];
    if ((a.y > y) == (b.y > y))
      continue;
    /* The sign of every crossing, carried to all px right of it. */
    double x = (b.x - a.x) * (y - a.y) / (b.y - a.y) + a.x, sign = a.y > y ? 1 : -1;
    for (int k = MAX((int)floor(x), 0); k < width; k++)
      cover[k] += sign * fmin(fmax(k + 1 - x, 0), 1);
  }
}

void
ground_lay(Ground *ground, const PwPxPath *ring, const double light[3])
{
  g_autofree double *cover = g_new(double, ground->width);
  for (int y = 0; y < ground->height; y++) {
    memset(cover, 0, (gsize)ground->width * sizeof *cover);
    for (int s = 0; s < SAMPLES; s++)
      cover_row(ring, y + (s + 0.5) / SAMPLES, ground->width, cover);
    for (int x = 0; x < ground->width; x++)
      for (int c = 0; c < 3; c++) {
        double *at = light_at(ground, x, y) + c;
        *at += fabs(cover[x]) / SAMPLES * (light[c] - *at);
      }
  }
}

static void
multiply(Ground *ground, int x, int y, double by)
{
  for (int c = 0; c < 3; c++)
    light_at(ground, x, y)[c] *= by;
}

void
ground_weave(Ground *ground, double period, double part)
{
  for (int y = 0; y < ground->height; y++)
    for (int x = 0; x < ground->width; x++)
      multiply(ground, x, y,
               1 + part / 2 * (sin(2 * G_PI * x / period) + cos(2 * G_PI * y / (1.13 * period))));
}

void
ground_shade(Ground *ground, double part)
{
  for (int y = 0; y < ground->height; y++)
    for (int x = 0; x < ground->width; x++)
      multiply(ground, x, y, 1 - part * (x + 0.5) / ground->width);
}

static void
blur_run(double *values, gsize step, int n, const double *weights, int reach)
{
  g_autofree double *copy = g_new(double, n);
  for (int i = 0; i < n; i++)
    copy[i] = values[(gsize)i * step];
  for (int i = 0; i < n; i++) {
    double sum = 0;
    for (int k = -reach; k <= reach; k++)
      sum += weights[k + reach] * copy[CLAMP(i + k, 0, n - 1)];
    values[(gsize)i * step] = sum;
  }
}

void
ground_blur(Ground *ground, double sigma)
{
  int reach = (int)ceil(3.5 * sigma);
  g_autofree double *weights = g_new(double, 2 * reach + 1);
  double sum = 0;
  for (int k = -reach; k <= reach; k++)
    sum += weights[k + reach] = exp(-k * k / (2 * sigma * sigma));
  for (int k = 0; k <= 2 * reach; k++)
    weights[k] /= sum;
  for (int c = 0; c < 3; c++) {
    for (int y = 0; y < ground->height; y++)
      blur_run(light_at(ground, 0, y) + c, 3, ground->width, weights, reach);
    for (int x = 0; x < ground->width; x++)
      blur_run(light_at(ground, x, 0) + c, 3 * (gsize)ground->width, ground->height, weights,
               reach);
  }
}

/* IEC 61966-2-1. */
static double
level_of(double light)
{
  double l = fmin(fmax(light, 0), 1);
  return 255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * pow(l, 1 / 2.4) - 0.055);
}

/* Normal, by Box and Muller. */
static double
normal(GRand *chance)
{
  return sqrt(-2 * log(g_rand_double_range(chance, 1e-12, 1))) *
         cos(g_rand_double_range(chance, 0, 2 * G_PI));
}

PwPlane
ground_photograph(const Ground *ground, int channels, double noise, guint seed)
{
  gsize stride = (gsize)ground->width * (gsize)channels + 5; /* rows are apart */
  PwPlane plane = {g_malloc0(stride * (gsize)ground->height), ground->width, ground->height,
                   channels, stride};
  GRand *chance = g_rand_new_with_seed(seed);
  for (int y = 0; y < ground->height; y++)
    for (int x = 0; x < ground->width; x++)
      for (int c = 0; c < channels; c++) {
        double level = level_of(light_at(ground, x, y)[channels == 1 ? 1 : c]);
        level += noise > 0 ? noise * normal(chance) : 0;
        plane.pixels[(gsize)y * stride + (gsize)(x * channels + c)] =
            (guint8)lround(fmin(fmax(level, 0), 255));
      }
  g_rand_free(chance);
  return plane;
}

PwPxPath
ring_disc(double x, double y, double radius)
{
  enum { POINTS = 720 };
  PwPxPath ring = {g_new(PwPx, POINTS), POINTS};
  for (int i = 0; i < POINTS; i++) {
    double turn = 2 * G_PI * i / POINTS;
    ring.points[i] = (PwPx){x + radius * cos(turn), y + radius * sin(turn)};
  }
  return ring;
}

PwPxPath
ring_ragged(double x, double y, double radius, double part, guint seed)
{
  enum { POINTS = 60 };
  PwPxPath ring = {g_new(PwPx, POINTS), POINTS};
  GRand *chance = g_rand_new_with_seed(seed);
  for (int i = 0; i < POINTS; i++) {
    double turn = 2 * G_PI * i / POINTS, r = radius * (1 - part * g_rand_double(chance));
    ring.points[i] = (PwPx){x + r * cos(turn), y + r * sin(turn)};
  }
  g_rand_free(chance);
  return ring;
}

PwPxPath
ring_of(const PwPx *points, gsize n)
{
  return (PwPxPath){g_memdup2(points, n * sizeof *points), n};
}

static double
area_of(const PwRegion *region)
{
  double area = 0;
  for (gsize i = 0; i < region->n_rings; i++)
    area += (region->is_hole[i] ? -1 : 1) *
            fabs(pw_px_signed_area(region->rings[i].points, region->rings[i].n));
  return area;
}

static PwRegion
region_of(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes)
{
  PwRegion region = {g_new0(PwPxPath, n_holes + 1), g_new0(gboolean, n_holes + 1), n_holes + 1};
  region.rings[0] = ring_of(ring->points, ring->n);
  for (gsize i = 0; i < n_holes; i++) {
    region.rings[i + 1] = ring_of(holes[i].points, holes[i].n);
    region.is_hole[i + 1] = TRUE;
  }
  return region;
}

double
shared_part(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes, const PwPxPath *other,
            const PwPxPath *other_holes, gsize n_other_holes)
{
  PwRegion both[2] = {region_of(ring, holes, n_holes),
                      region_of(other, other_holes, n_other_holes)};
  PwRegion whole;
  g_autoptr(GError) error = NULL;
  if (!pw_region_unite(both, 2, &whole, &error))
    g_error("outlines that cannot be united: %s", error->message);
  double united = area_of(&whole), shared = area_of(&both[0]) + area_of(&both[1]) - united;
  pw_region_clear(&whole);
  pw_region_clear(&both[0]);
  pw_region_clear(&both[1]);
  return shared / united;
}
