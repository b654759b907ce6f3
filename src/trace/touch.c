/* The place touched: its colour, and how much smoothing its texture asks for. */
#include "patch.h"

#include <string.h>

/* The colour is the middle one of this disc, in px of radius. */
enum { DISC = 4 };
/* So far about the place its texture is looked at; smoothing reaches further. */
enum { AROUND = 24, REACH = AROUND + 14 };
/* Where more than this part of neighbouring px are of different kinds, the one within the tolerance
 * and the other not, it is texture; one edge through the place makes 0.04. */
static const double TEXTURE = 0.06;

typedef struct {
  int x, y; /* the place touched in the window */
  int width, height;
  guint8 *rgb; /* smoothed */
  guint16 *difference;
  guint8 middle[3];
} Window;

static gboolean
within(int dx, int dy, int radius)
{
  return dx * dx + dy * dy <= radius * (radius + 1);
}

static PwPlane
crop(const PwPlane *rgb, int left, int top, int right, int bottom)
{
  PwPlane part = *rgb;
  part.pixels += (gsize)top * rgb->stride + 3 * (gsize)left;
  part.width = right - left;
  part.height = bottom - top;
  return part;
}

static guint8
middle_of(const guint *counts, guint n)
{
  guint below = 0;
  int v = 0;
  while (v < 255 && 2 * (below + counts[v]) < n)
    below += counts[v++];
  return (guint8)v;
}

/* Channel by channel. */
static void
find_middle(Window *window)
{
  guint counts[3][256] = {{0}}, n = 0;
  for (int y = MAX(window->y - DISC, 0); y <= MIN(window->y + DISC, window->height - 1); y++)
    for (int x = MAX(window->x - DISC, 0); x <= MIN(window->x + DISC, window->width - 1); x++)
      if (within(x - window->x, y - window->y, DISC)) {
        n++;
        for (int c = 0; c < 3; c++)
          counts[c][window->rgb[3 * (y * window->width + x) + c]]++;
      }
  for (int c = 0; c < 3; c++)
    window->middle[c] = middle_of(counts[c], n);
}

/* The part of neighbours about the place of which one is alike and the other not. */
static double
unquiet(const Window *window, guint16 most)
{
  int n = 0, changes = 0;
  for (int y = MAX(window->y - AROUND, 0); y + 1 < MIN(window->y + AROUND, window->height); y++)
    for (int x = MAX(window->x - AROUND, 0); x + 1 < MIN(window->x + AROUND, window->width); x++)
      if (within(x - window->x, y - window->y, AROUND)) {
        const guint16 *at = window->difference + y * window->width + x;
        gboolean alike = at[0] <= most;
        n += 2;
        changes += (alike != (at[1] <= most)) + (alike != (at[window->width] <= most));
      }
  return n > 0 ? (double)changes / n : 0;
}

void
pw_touch_look(const PwPlane *rgb, PwPx at, double tolerance, PwTouch *touch)
{
  touch->x = MIN((int)at.x, rgb->width - 1);
  touch->y = MIN((int)at.y, rgb->height - 1);
  int left = MAX(touch->x - REACH, 0), top = MAX(touch->y - REACH, 0);
  PwPlane part = crop(rgb, left, top, MIN(touch->x + REACH + 1, rgb->width),
                      MIN(touch->y + REACH + 1, rgb->height));
  Window window = {touch->x - left, touch->y - top, part.width, part.height, NULL, NULL, {0}};
  guint16 most = (guint16)(tolerance * PW_LIKENESS_PARTS);
  gsize n = (gsize)part.width * (gsize)part.height;
  window.difference = g_new(guint16, n);
  for (touch->steps = 1;; touch->steps++) {
    window.rgb = pw_smooth(&part, touch->steps);
    find_middle(&window);
    g_autoptr(PwLikeness) likeness = pw_likeness_new(window.middle);
    pw_likeness_of(likeness, window.rgb, n, window.difference);
    g_free(window.rgb);
    if (touch->steps == PW_SMOOTH_STEPS || unquiet(&window, most) <= TEXTURE)
      break;
  }
  memcpy(touch->rgb, window.middle, 3);
  g_free(window.difference);
}
