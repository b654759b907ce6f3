/* Rings along the line of one half, from px to px: marching squares, walked from edge to edge.
 *
 * The line passes between a px that is more than half in and one of its four neighbours that is
 * not. Px that meet at corners only are apart if in, joined if out. No crossing lies nearer than a
 * twentieth of a px to a px's middle, which keeps every two pieces of line 0.07 px apart.
 */
#include "patch.h"

#include <math.h>

enum { RIGHT, DOWN, LEFT, UP };
static const int STEP[4][2] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
static const double HALF = (PW_SHARE_OUT + PW_SHARE_IN) / 2.0, NEAREST = 0.05;

/* Between the px at (x, y), which is in, and its neighbour in direction `out`, which is not. */
typedef struct {
  int x, y, out;
} Crossing;

static int
share_at(const PwShares *shares, int x, int y)
{
  if (x < 0 || y < 0 || x >= shares->width || y >= shares->height)
    return PW_SHARE_OUT;
  return shares->at[(gsize)y * (gsize)shares->width + (gsize)x];
}

static gboolean
is_in(const PwShares *shares, int x, int y)
{
  return share_at(shares, x, y) > HALF;
}

static PwPx
place_of(const PwShares *shares, Crossing at)
{
  double in = share_at(shares, at.x, at.y);
  double out = share_at(shares, at.x + STEP[at.out][0], at.y + STEP[at.out][1]);
  double t = fmin(fmax((in - HALF) / (in - out), NEAREST), 1 - NEAREST);
  return (PwPx){shares->left + at.x + 0.5 + t * STEP[at.out][0],
                shares->top + at.y + 0.5 + t * STEP[at.out][1]};
}

/* The next crossing clockwise as seen round what is in. */
static Crossing
next_crossing(const PwShares *shares, Crossing at)
{
  int on = (at.out + 1) % 4;
  int x = at.x + STEP[on][0], y = at.y + STEP[on][1];
  if (!is_in(shares, x, y))
    return (Crossing){at.x, at.y, on};
  if (is_in(shares, x + STEP[at.out][0], y + STEP[at.out][1]))
    return (Crossing){x + STEP[at.out][0], y + STEP[at.out][1], (on + 2) % 4};
  return (Crossing){x, y, at.out};
}

static void
walk(const PwShares *shares, Crossing start, guint8 *walked, gsize n_max, PwPxPath *ring)
{
  g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(PwPx));
  Crossing at = start;
  do {
    PwPx place = place_of(shares, at);
    g_array_append_val(points, place);
    if (at.out == UP)
      walked[(gsize)at.y * (gsize)shares->width + (gsize)at.x] = TRUE;
    at = next_crossing(shares, at);
  } while (points->len <= n_max && (at.x != start.x || at.y != start.y || at.out != start.out));
  ring->n = points->len;
  ring->points = (PwPx *)(void *)g_array_free(g_steal_pointer(&points), FALSE);
}

gboolean
pw_rings_find(const PwShares *shares, gsize n_max, GArray *rings)
{
  g_autofree guint8 *walked = g_malloc0((gsize)shares->width * (gsize)shares->height);
  gsize n = 0;
  for (int y = 0; y < shares->height; y++)
    for (int x = 0; x < shares->width; x++) {
      /* Every ring has a px with nothing above it. */
      if (!is_in(shares, x, y) || is_in(shares, x, y - 1) ||
          walked[(gsize)y * (gsize)shares->width + (gsize)x])
        continue;
      PwPxPath ring;
      walk(shares, (Crossing){x, y, UP}, walked, n_max, &ring);
      g_array_append_val(rings, ring);
      n += ring.n;
      if (n > n_max)
        return FALSE;
    }
  return TRUE;
}
