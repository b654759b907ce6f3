/* Lengths in mm on the ruler: X along its edge, 0 at the line's middle, Y inwards from the edge. A
 * picture's pixel goes to the ruler by a turn and a perspective along the edge,
 * X = a x / (1 + c x). */
#include "strip.h"

#include <math.h>

static const double GROUND = 60, PAPER = 210; /* grey levels */
static const double MARGIN_PX = 30;

void
strip_init(Strip *strip)
{
  *strip = (Strip){.px_per_mm = 10,
                   .noise = 2,
                   .contrast = 0.8,
                   .length_mm = 50,
                   .from_edge_mm = 1.25,
                   .accent = 1,
                   .tick_mm = 0.18,
                   .blur_px = 0.7,
                   .seed = 1};
}

/* The view of one strip: where its pixels lie on the ruler. */
typedef struct {
  const Strip *strip;
  double c;    /* of the perspective, 1/px */
  double turn; /* rad: of the picture's rows against the ruler */
  PwPx middle; /* of the line in the picture */
  GRand *chance;
} View;

/* px about the line's middle, along the ruler's edge and inwards. */
static PwMm
on_ruler(const View *view, double x, double y)
{
  double below = view->strip->px_per_mm * (1 + view->c * x);
  return (PwMm){x / below, view->strip->from_edge_mm + y / below};
}

/* How much of a blurred edge at 0 is passed at `x` px. */
static double
edge(const View *view, double x)
{
  return 0.5 * erfc(-x / (view->strip->blur_px * G_SQRT2));
}

/* How much of a graduation number n of `step` mm covers a place. */
static double
tick(const View *view, PwMm at, double local, double step, double n, double width, double length)
{
  double x = (at.x - n * step) * local;
  double across = edge(view, x + width / 2 * local) - edge(view, x - width / 2 * local);
  return across * edge(view, (length - at.y) * local) * edge(view, at.y * local);
}

static double
graduations(const View *view, PwMm at, double local)
{
  const Strip *strip = view->strip;
  double most = 0;
  if (at.x > strip->length_mm / 2 - strip->blank_mm)
    return 0;
  for (int side = -1; side <= 1; side++) {
    double n = round(at.x) + side;
    int fifth = fmod(fabs(n), 5) < 0.5, tenth = fmod(fabs(n), 10) < 0.5;
    double width = strip->tick_mm * (fifth ? strip->accent : 1);
    most += tick(view, at, local, 1, n, width, tenth ? 6 : fifth ? 4.5 : 3);
    if (strip->half_mm > 0)
      most +=
          strip->half_mm * tick(view, (PwMm){at.x - 0.5, at.y}, local, 1, n, strip->tick_mm, 2.5);
  }
  return most;
}

/* Blots in the place of numerals, 7 to 10 mm from the edge, and a picture's unquiet ground. */
static double
beside(PwMm at)
{
  if (at.y < 0)
    return 25 * sin(at.x * 2.1 + 3 * at.y) * sin(at.y * 5.3 - at.x);
  gboolean blot = at.y > 7 && at.y < 10 && fabs(fmod(fabs(at.x) + 1, 10) - 1) < 0.8;
  return blot && fmod(fabs(at.x * 3.3 + at.y * 1.7), 1) < 0.5 ? -120 : 0;
}

static double
light_at(const View *view, double px, double py)
{
  double x = px - view->middle.x, y = py - view->middle.y;
  double along = x * cos(view->turn) + y * sin(view->turn);
  double inwards = y * cos(view->turn) - x * sin(view->turn);
  along -= view->strip->bow_px *
           sin(2 * G_PI * along / (view->strip->length_mm * view->strip->px_per_mm));
  PwMm at = on_ruler(view, along, inwards);
  double local = view->strip->px_per_mm; /* near enough for a blur */
  double paper = PAPER * (1 - view->strip->contrast * graduations(view, at, local));
  if (view->strip->light)
    paper = 40 + PAPER - paper;
  double ruler = edge(view, at.y * local);
  return GROUND + (paper - GROUND) * ruler + beside(at);
}

static double
normal(GRand *chance)
{
  double a = g_rand_double(chance), b = g_rand_double(chance);
  return sqrt(-2 * log(1 - a)) * cos(2 * G_PI * b);
}

void
strip_draw(const Strip *strip, StripPicture *picture)
{
  View view = {.strip = strip, .chance = g_rand_new_with_seed(strip->seed)};
  double length = strip->length_mm * strip->px_per_mm;
  view.c = (1 / sqrt(1 + strip->drift) - 1) / -(length / 2); /* near enough; truth is computed */
  view.turn = g_rand_double_range(view.chance, -4, 4) * G_PI / 180;
  double line_turn = strip->turn_deg * G_PI / 180;
  /* the line in the frame of the ruler, and in the picture */
  double half = length / 2, dx = half * cos(line_turn), dy = half * sin(line_turn);
  double rise = fabs(half * sin(line_turn + view.turn)) + 12 * strip->px_per_mm;
  int width = (int)(2 * (half + MARGIN_PX)), height = (int)(2 * fmin(rise, 80) + 2 * MARGIN_PX);
  view.middle =
      (PwPx){width / 2.0 + g_rand_double(view.chance), height / 2.0 + g_rand_double(view.chance)};
  PwMm begin = on_ruler(&view, -dx, -dy), end = on_ruler(&view, dx, dy);
  picture->length_mm = hypot(end.x - begin.x, end.y - begin.y);
  double px = dx * cos(view.turn) - dy * sin(view.turn);
  double py = dx * sin(view.turn) + dy * cos(view.turn);
  picture->from = (PwPx){view.middle.x - px, view.middle.y - py};
  picture->to = (PwPx){view.middle.x + px, view.middle.y + py};
  picture->plane = (PwPlane){g_malloc((gsize)(width * height)), width, height, 1, (gsize)width};
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++) {
      double value = light_at(&view, x + 0.5, y + 0.5) + strip->noise * normal(view.chance);
      picture->plane.pixels[y * width + x] = (guint8)CLAMP(lround(value), 0, 255);
    }
  g_rand_free(view.chance);
}
