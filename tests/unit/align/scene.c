/* The surface is drawn once, twice as finely as it is photographed, and softened so that it can be
 * sampled between its pixels; a camera of each date then looks at it. */
#include "scene.h"

#include <math.h>
#include <string.h>

enum {
  FINE = 2,
  MARGIN = 200, /* px of a photograph round the frame before: what only after sees */
  WIDE = (SCENE_WIDTH + 2 * MARGIN) * FINE,
  HIGH = (SCENE_HEIGHT + 2 * MARGIN) * FINE,
  N_LOSSES = 6,
  N_STAINS = 4
};
#define NOISE 2.0 /* of a photograph, grey levels */

const char *const scene_names[SCENE_KINDS] = {"cover", "leather", "print", "plain"};

static double
normal(GRand *random)
{
  return sqrt(-2 * log(1 - g_rand_double(random))) * cos(2 * G_PI * g_rand_double(random));
}

/* ---- Surfaces ---------------------------------------------------------------------- */

/* Smooth noise: random values on a lattice `cell` px apart, joined bilinearly, of deviation about
 * `by`. */
static void
add_noise(float *surface, GRand *random, int cell, double by)
{
  int across = WIDE / cell + 2, down = HIGH / cell + 2;
  g_autofree float *lattice = g_new(float, (gsize)across *(gsize)down);
  for (int i = 0; i < across * down; i++)
    lattice[i] = (float)(by * 1.5 * normal(random));
  for (int y = 0; y < HIGH; y++)
    for (int x = 0; x < WIDE; x++) {
      const float *at = lattice + y / cell * across + x / cell;
      float u = (float)(x % cell) / (float)cell, v = (float)(y % cell) / (float)cell;
      surface[y * WIDE + x] +=
          (1 - v) * ((1 - u) * at[0] + u * at[1]) + v * ((1 - u) * at[across] + u * at[across + 1]);
    }
}

static void
fill_rectangle(float *surface, int x0, int y0, int width, int height, float add)
{
  for (int y = MAX(y0, 0); y < MIN(y0 + height, HIGH); y++)
    for (int x = MAX(x0, 0); x < MIN(x0 + width, WIDE); x++)
      surface[y * WIDE + x] += add;
}

static void
add_disc(float *surface, double cx, double cy, double radius, float add)
{
  for (int y = (int)(cy - radius); y <= cy + radius; y++)
    for (int x = (int)(cx - radius); x <= cx + radius; x++)
      if (x >= 0 && y >= 0 && x < WIDE && y < HIGH && hypot(x - cx, y - cy) <= radius)
        surface[y * WIDE + x] += add;
}

/* Frames of blind-tooled lines and a field of small tools. */
static void
add_tooling(float *surface, GRand *random)
{
  for (int i = 0; i < 3; i++) {
    int in = 500 + 130 * i;
    fill_rectangle(surface, in, in, WIDE - 2 * in, 8, -30);
    fill_rectangle(surface, in, HIGH - in, WIDE - 2 * in, 8, -30);
    fill_rectangle(surface, in, in, 8, HIGH - 2 * in, -30);
    fill_rectangle(surface, WIDE - in, in, 8, HIGH - 2 * in, -30);
  }
  for (int y = 1000; y < HIGH - 1000; y += 170)
    for (int x = 1000; x < WIDE - 1000; x += 170)
      add_disc(surface, x + 20 * g_rand_double(random), y + 20 * g_rand_double(random), 22, -35);
}

/* Lines of strokes of the size of letters. */
static void
add_print(float *surface, GRand *random)
{
  for (int y = 300; y < HIGH - 300; y += 56)
    for (int x = 350; x < WIDE - 350; x += 30) {
      if (g_rand_int_range(random, 0, 6) == 0)
        continue; /* between words */
      for (int i = 0; i < 3; i++)
        fill_rectangle(surface, x + g_rand_int_range(random, 0, 16),
                       y + g_rand_int_range(random, 0, 20),
                       i == 0 ? 4 : g_rand_int_range(random, 4, 14),
                       i == 0 ? g_rand_int_range(random, 14, 30) : 4, -60);
    }
}

static void
soften(float *surface)
{
  g_autofree float *row = g_new(float, MAX(WIDE, HIGH));
  for (int pass = 0; pass < 2; pass++) {
    int lines = pass == 0 ? HIGH : WIDE, n = pass == 0 ? WIDE : HIGH;
    gsize step = pass == 0 ? 1 : WIDE, stride = pass == 0 ? WIDE : 1;
    for (int i = 0; i < lines; i++) {
      float *line = surface + (gsize)i * stride;
      for (int k = 0; k < n; k++)
        row[k] = line[(gsize)k * step];
      for (int k = 2; k < n - 2; k++)
        line[(gsize)k * step] =
            (row[k - 2] + 4 * row[k - 1] + 6 * row[k] + 4 * row[k + 1] + row[k + 2]) / 16;
    }
  }
}

static float *
surface_new(SceneKind kind, GRand *random)
{
  float *surface = g_new(float, (gsize)WIDE *HIGH);
  for (gsize i = 0; i < (gsize)WIDE * HIGH; i++)
    surface[i] = kind == SCENE_PRINT ? 190 : kind == SCENE_PLAIN ? 165 : 110;
  add_noise(surface, random, 600, 4);
  if (kind == SCENE_COVER || kind == SCENE_LEATHER) {
    add_noise(surface, random, 8, 7);
    add_noise(surface, random, 40, 6);
  } else {
    add_noise(surface, random, 6, kind == SCENE_PLAIN ? 0.9 : 2);
  }
  if (kind == SCENE_COVER)
    add_tooling(surface, random);
  if (kind == SCENE_PRINT)
    add_print(surface, random);
  soften(surface);
  return surface;
}

/* ---- Treatment --------------------------------------------------------------------- */

typedef struct {
  double x, y, radius;
} Blot;

static void
make_blots(GRand *random, Blot *blots, int n, double least, double most)
{
  for (int i = 0; i < n; i++)
    blots[i] = (Blot){g_rand_double_range(random, 0.15, 0.85) * WIDE,
                      g_rand_double_range(random, 0.15, 0.85) * HIGH,
                      g_rand_double_range(random, least, most) * FINE};
}

/* What is lost is dark and rough; what is filled, even. */
static void
draw_losses(float *surface, GRand *random, const Blot *losses, gboolean filled)
{
  for (int i = 0; i < N_LOSSES; i++) {
    const Blot *b = &losses[i];
    for (int y = (int)(b->y - b->radius); y <= b->y + b->radius; y++)
      for (int x = (int)(b->x - b->radius); x <= b->x + b->radius; x++)
        if (hypot(x - b->x, y - b->y) <= b->radius && x >= 0 && y >= 0 && x < WIDE && y < HIGH)
          surface[y * WIDE + x] = filled ? 120 : (float)(50 + 6 * normal(random));
  }
}

static void
draw_stains(float *surface, const Blot *stains)
{
  for (int i = 0; i < N_STAINS; i++) {
    const Blot *b = &stains[i];
    for (int y = MAX((int)(b->y - b->radius), 0); y < MIN(b->y + b->radius, HIGH); y++)
      for (int x = MAX((int)(b->x - b->radius), 0); x < MIN(b->x + b->radius, WIDE); x++)
        surface[y * WIDE + x] *=
            (float)(0.75 + 0.25 * MIN(hypot(x - b->x, y - b->y) / b->radius, 1));
  }
}

/* ---- Photographs ------------------------------------------------------------------- */

enum { N_NOISE = 1 << 16 };

static float *
noise_new(GRand *random)
{
  float *noise = g_new(float, N_NOISE);
  for (int i = 0; i < N_NOISE; i++)
    noise[i] = (float)(NOISE * normal(random));
  return noise;
}

/* `h`: px of the photograph to px of the frame before. */
static void
photograph(const float *surface, GRand *random, const PwHomography *h, double gamma,
           double gradient, PwPlane *plane)
{
  *plane = (PwPlane){g_malloc((gsize)SCENE_WIDTH * SCENE_HEIGHT), SCENE_WIDTH, SCENE_HEIGHT, 1,
                     SCENE_WIDTH};
  g_autofree float *noise = noise_new(random);
  for (int y = 0; y < SCENE_HEIGHT; y++) {
    const float *of_row = noise + g_rand_int_range(random, 0, N_NOISE - SCENE_WIDTH);
    for (int x = 0; x < SCENE_WIDTH; x++) {
      double to_x, to_y;
      pw_homography_apply(h, x + 0.5, y + 0.5, &to_x, &to_y);
      double u = CLAMP((to_x + MARGIN) * FINE - 0.5, 0, WIDE - 2.001);
      double v = CLAMP((to_y + MARGIN) * FINE - 0.5, 0, HIGH - 2.001);
      const float *at = surface + (int)v * WIDE + (int)u;
      float fu = (float)(u - floor(u)), fv = (float)(v - floor(v));
      float grey = (1 - fv) * ((1 - fu) * at[0] + fu * at[1]) +
                   fv * ((1 - fu) * at[WIDE] + fu * at[WIDE + 1]);
      double lit = 255 * pow(MAX((double)grey, 0) / 255, gamma) *
                   (1 + gradient * ((double)x / SCENE_WIDTH - 0.5));
      plane->pixels[y * SCENE_WIDTH + x] = (guint8)CLAMP(lit + (double)of_row[x] + 0.5, 0, 255);
    }
  }
}

static PwHomography
camera(GRand *random)
{
  double turn = g_rand_double_range(random, -15, 15) * G_PI / 180;
  double scale = g_rand_double_range(random, 0.88, 1.08);
  double c = cos(turn) / scale, s = sin(turn) / scale;
  PwHomography to_middle = {{1, 0, -SCENE_WIDTH / 2.0, 0, 1, -SCENE_HEIGHT / 2.0, 0, 0, 1}};
  PwHomography from_middle = {{1, 0, SCENE_WIDTH / 2.0 + g_rand_double_range(random, -40, 40), 0, 1,
                               SCENE_HEIGHT / 2.0 + g_rand_double_range(random, -40, 40), 0, 0, 1}};
  PwHomography h = {{c, -s, 0, s, c, 0, g_rand_double_range(random, -4e-5, 4e-5),
                     g_rand_double_range(random, -4e-5, 4e-5), 1}};
  PwHomography half, whole;
  pw_homography_multiply(&h, &to_middle, &half);
  pw_homography_multiply(&from_middle, &half, &whole);
  return whole;
}

static void
set_ties(Scene *scene)
{
  for (int i = 0; i < SCENE_TIES; i++) {
    scene->here[i][0] = (i % 2 ? 0.85 : 0.15) * SCENE_WIDTH;
    scene->here[i][1] = (i / 2 ? 0.85 : 0.15) * SCENE_HEIGHT;
    pw_homography_apply(&scene->truth, scene->here[i][0], scene->here[i][1], &scene->there[i][0],
                        &scene->there[i][1]);
  }
}

void
scene_init(Scene *scene, SceneKind kind, guint32 seed)
{
  GRand *random = g_rand_new_with_seed(seed * SCENE_KINDS + kind);
  g_autofree float *whole = surface_new(kind, random);
  g_autofree float *treated = g_memdup2(whole, sizeof(float) * WIDE * HIGH);
  Blot losses[N_LOSSES], stains[N_STAINS];
  make_blots(random, losses, N_LOSSES, 20, 60);
  make_blots(random, stains, N_STAINS, 60, 140);
  draw_stains(whole, stains);
  draw_losses(whole, random, losses, FALSE);
  draw_losses(treated, random, losses, TRUE);
  const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};
  *scene = (Scene){.truth = camera(random)};
  photograph(whole, random, &same, 1, 0, &scene->before);
  photograph(treated, random, &scene->truth, g_rand_double_range(random, 0.85, 1.15),
             g_rand_double_range(random, -0.3, 0.3), &scene->after);
  set_ties(scene);
  g_rand_free(random);
}

void
scene_clear(Scene *scene)
{
  pw_plane_clear(&scene->before);
  pw_plane_clear(&scene->after);
}

double
scene_error(const Scene *scene, const PwHomography *h)
{
  double sum = 0;
  for (int i = 0; i < 4; i++) {
    double x = i % 2 ? SCENE_WIDTH : 0, y = i / 2 ? SCENE_HEIGHT : 0, wanted[2], got[2];
    pw_homography_apply(&scene->truth, x, y, &wanted[0], &wanted[1]);
    pw_homography_apply(h, x, y, &got[0], &got[1]);
    sum += hypot(got[0] - wanted[0], got[1] - wanted[1]) / 4;
  }
  return sum;
}

gboolean
scene_start(const Scene *scene, double noise_px, guint32 seed, PwHomography *start)
{
  GRand *random = g_rand_new_with_seed(seed);
  double here[SCENE_TIES][2], there[SCENE_TIES][2];
  for (int i = 0; i < SCENE_TIES; i++)
    for (int k = 0; k < 2; k++) {
      here[i][k] = scene->here[i][k] + noise_px * normal(random);
      there[i][k] = scene->there[i][k] + noise_px * normal(random);
    }
  g_rand_free(random);
  return pw_homography_fit((const double(*)[2])here, (const double(*)[2])there, SCENE_TIES, start,
                           NULL, NULL);
}

/* ---- Cards ------------------------------------------------------------------------- */

enum { CARD_WIDTH = 40, CARD_HEIGHT = 25 }; /* mm */
#define MM_PER_PX 0.1

/* `to_mm` of the picture; white, with black squares and a scale. */
static void
draw_card(PwPlane *plane, const PwHomography *to_mm)
{
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++) {
      double mx, my;
      pw_homography_apply(to_mm, x + 0.5, y + 0.5, &mx, &my);
      if (fabs(mx) > CARD_WIDTH / 2.0 || fabs(my) > CARD_HEIGHT / 2.0)
        continue;
      gboolean is_square = fabs(mx) > 11 && fabs(mx) < 18 && fabs(my) > 4 && fabs(my) < 11;
      gboolean is_tick = fabs(my) < 2 && fmod(mx + 100, 2) < 0.6;
      plane->pixels[y * plane->width + x] = is_square || is_tick ? 20 : 235;
    }
}

/* Of a surface in px of before: a card at (x, y), turned. */
static PwHomography
card_at(const PwHomography *to_before, double x, double y, double turn)
{
  double c = cos(turn) * MM_PER_PX, s = sin(turn) * MM_PER_PX;
  PwHomography lay = {{c, s, -c * x - s * y, -s, c, s * x - c * y, 0, 0, 1}}, to_mm;
  pw_homography_multiply(&lay, to_before, &to_mm);
  return to_mm;
}

void
scene_add_cards(Scene *scene, guint32 seed, PwHomography to_mm[2])
{
  GRand *random = g_rand_new_with_seed(seed);
  PwPlane *planes[2] = {&scene->before, &scene->after};
  const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}}, *to_before[2] = {&same, &scene->truth};
  for (int i = 0; i < 2; i++) {
    double x = (i == 0 ? 0.3 : 0.7) * SCENE_WIDTH, y = (i == 0 ? 0.7 : 0.35) * SCENE_HEIGHT;
    to_mm[i] = card_at(to_before[i], x, y, g_rand_double_range(random, -0.3, 0.3));
    draw_card(planes[i], &to_mm[i]);
    PwHomography to_px;
    g_assert(pw_homography_invert(&to_mm[i], &to_px));
    for (int k = 0; k < 4; k++)
      pw_homography_apply(&to_px, k == 1 || k == 2 ? CARD_WIDTH / 2.0 : -CARD_WIDTH / 2.0,
                          k / 2 ? CARD_HEIGHT / 2.0 : -CARD_HEIGHT / 2.0, &scene->corners[i][k].x,
                          &scene->corners[i][k].y);
    scene->cards[i] = (PwPxPath){scene->corners[i], 4};
  }
  g_rand_free(random);
}

PwAlignPair
scene_pair(const Scene *scene)
{
  const gsize n = scene->cards[0].n > 0 ? 1 : 0;
  return (PwAlignPair){.before = &scene->before,
                       .after = &scene->after,
                       .cards_before = {&scene->cards[0], n},
                       .cards_after = {&scene->cards[1], n}};
}
