/* The patch's edge to a part of a px.
 *
 * A lens mixes the light of both sides of an edge in the px that lie on it. In a band about the
 * patch's edge the light on either side, taken a little away from the edge, tells how much of every
 * px lies on this side: where that is one half is the edge, whatever the tolerance was.
 */
#include "patch.h"

#include <math.h>
#include <string.h>

/* The band's half width by the steps of smoothing: the patch's own edge may lie so far off. */
static const int BAND[PW_SMOOTH_STEPS + 1] = {0, 3, 5, 10};
/* The edge is looked at again from where it was found, for a dark patch on a light ground, and a
 * low tolerance, may end several px before it. */
enum { LOOKS = 2 };
/* So much further the light is taken from, and more from far than from near. */
enum { BEYOND = 4 };
/* One pair of lights serves a square of so many px a side. */
enum { CELL = 8 };
/* Light on both sides nearer than this is the same. */
static const double NO_CONTRAST = 1e-3;

typedef struct {
  const PwPlane *rgb;
  PwPatch *patch;
  PwShares *shares;
  int band, depth;
  gint8 *zone; /* of the window: how many px inwards (1 and up) or outwards (-1 and down); 0: far */
  double light[256];
} Edge;

void
pw_shares_clear(PwShares *shares)
{
  g_free(shares->at);
  *shares = (PwShares){0};
}

static gboolean
is_in(const Edge *edge, int x, int y)
{
  return edge->patch->in[(gsize)(edge->shares->top + y) * (gsize)edge->patch->width +
                         (gsize)(edge->shares->left + x)] != 0;
}

static gsize
index_of(const Edge *edge, int x, int y)
{
  return (gsize)y * (gsize)edge->shares->width + (gsize)x;
}

/* The px that lie beside the edge. */
static void
begin_zones(Edge *edge, GArray *layer)
{
  int w = edge->shares->width, h = edge->shares->height;
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++) {
      gboolean in = is_in(edge, x, y);
      if ((x > 0 && is_in(edge, x - 1, y) != in) || (x + 1 < w && is_in(edge, x + 1, y) != in) ||
          (y > 0 && is_in(edge, x, y - 1) != in) || (y + 1 < h && is_in(edge, x, y + 1) != in)) {
        guint32 i = (guint32)index_of(edge, x, y);
        edge->zone[i] = in ? 1 : -1;
        g_array_append_val(layer, i);
      }
    }
}

/* One px further to both sides; corners count in every other layer, which makes the zones round. */
static void
next_zone(Edge *edge, GArray *layer, int depth)
{
  static const int steps[8][2] = {{1, 0}, {-1, 0}, {0, 1},  {0, -1},
                                  {1, 1}, {1, -1}, {-1, 1}, {-1, -1}};
  int w = edge->shares->width, h = edge->shares->height;
  g_autoptr(GArray) next = g_array_new(FALSE, FALSE, sizeof(guint32));
  for (guint k = 0; k < layer->len; k++) {
    guint32 i = g_array_index(layer, guint32, k);
    int x = (int)(i % (guint32)w), y = (int)(i / (guint32)w);
    gint8 here = (gint8)(edge->zone[i] > 0 ? depth : -depth);
    for (int s = 0; s < (depth % 2 ? 8 : 4); s++) {
      int nx = x + steps[s][0], ny = y + steps[s][1];
      if (nx < 0 || nx >= w || ny < 0 || ny >= h)
        continue;
      guint32 n = (guint32)index_of(edge, nx, ny);
      if (edge->zone[n] == 0) { /* of the other side none is left unseen here */
        edge->zone[n] = here;
        g_array_append_val(next, n);
      }
    }
  }
  g_array_set_size(layer, 0);
  g_array_append_vals(layer, next->data, next->len);
}

typedef struct {
  double in[3], out[3];
  gboolean both;
} Lights;

static const guint8 *
pixel(const Edge *edge, int x, int y)
{
  return edge->rgb->pixels + (gsize)(edge->shares->top + y) * edge->rgb->stride +
         3 * (gsize)(edge->shares->left + x);
}

/* The light on both sides of the edge about a cell, weighed by the fourth power of how far from the
 * edge it is. */
static Lights
lights_about(const Edge *edge, int cell_x, int cell_y)
{
  int margin = edge->depth;
  int right = MIN((cell_x + 1) * CELL + margin, edge->shares->width);
  int bottom = MIN((cell_y + 1) * CELL + margin, edge->shares->height);
  double sums[2][4] = {{0}};
  for (int y = MAX(cell_y * CELL - margin, 0); y < bottom; y++)
    for (int x = MAX(cell_x * CELL - margin, 0); x < right; x++) {
      int zone = edge->zone[index_of(edge, x, y)];
      if (zone == 0)
        continue;
      double weight = (double)(zone * zone) * (zone * zone), *sum = sums[zone > 0];
      const guint8 *at = pixel(edge, x, y);
      for (int c = 0; c < 3; c++)
        sum[c] += weight * edge->light[at[c]];
      sum[3] += weight;
    }
  Lights lights = {.both = sums[0][3] > 0 && sums[1][3] > 0};
  for (int c = 0; c < 3 && lights.both; c++) {
    lights.out[c] = sums[0][c] / sums[0][3];
    lights.in[c] = sums[1][c] / sums[1][3];
  }
  return lights;
}

static guint8
share_of(const Edge *edge, const Lights *lights, const guint8 *at, guint8 otherwise)
{
  double along = 0, length2 = 0;
  for (int c = 0; c < 3; c++) {
    double way = lights->in[c] - lights->out[c];
    along += way * (edge->light[at[c]] - lights->out[c]);
    length2 += way * way;
  }
  if (!lights->both || length2 < NO_CONTRAST * NO_CONTRAST)
    return otherwise;
  double share = PW_SHARE_OUT + (PW_SHARE_IN - PW_SHARE_OUT) * along / length2;
  return (guint8)lround(fmin(fmax(share, 0), 255));
}

static void
share_cell(const Edge *edge, int cell_x, int cell_y)
{
  int right = MIN((cell_x + 1) * CELL, edge->shares->width);
  int bottom = MIN((cell_y + 1) * CELL, edge->shares->height);
  Lights lights;
  gboolean known = FALSE;
  for (int y = cell_y * CELL; y < bottom; y++)
    for (int x = cell_x * CELL; x < right; x++) {
      int zone = edge->zone[index_of(edge, x, y)];
      guint8 *share = edge->shares->at + index_of(edge, x, y);
      *share = is_in(edge, x, y) ? PW_SHARE_IN : PW_SHARE_OUT;
      if (zone == 0 || zone > edge->band || zone < -edge->band)
        continue;
      if (!known)
        lights = lights_about(edge, cell_x, cell_y);
      known = TRUE;
      *share = share_of(edge, &lights, pixel(edge, x, y), *share);
    }
}

/* The window: the patch, and room about it for the zones. */
static void
set_window(const PwPatch *patch, int margin, PwShares *shares)
{
  shares->left = MAX(patch->left - margin, 0);
  shares->top = MAX(patch->top - margin, 0);
  shares->width = MIN(patch->right + margin, patch->width) - shares->left;
  shares->height = MIN(patch->bottom + margin, patch->height) - shares->top;
}

/* One look at the edge as the patch has it: shares of the window, smoothed. */
static void
look(Edge *edge, int steps)
{
  gsize n = (gsize)edge->shares->width * (gsize)edge->shares->height;
  edge->shares->at = g_malloc(n);
  edge->zone = g_malloc0(n);
  g_autoptr(GArray) layer = g_array_new(FALSE, FALSE, sizeof(guint32));
  begin_zones(edge, layer);
  for (int depth = 2; depth <= edge->depth; depth++)
    next_zone(edge, layer, depth);
  for (int y = 0; y * CELL < edge->shares->height; y++)
    for (int x = 0; x * CELL < edge->shares->width; x++)
      share_cell(edge, x, y);
  g_free(edge->zone);
  PwPlane plane = {edge->shares->at, edge->shares->width, edge->shares->height, 1,
                   (gsize)edge->shares->width};
  guint8 *smooth = pw_smooth(&plane, steps);
  g_free(edge->shares->at);
  edge->shares->at = smooth;
}

/* The patch becomes what was seen. */
static void
move_patch(const Edge *edge)
{
  const PwShares *shares = edge->shares;
  for (int y = 0; y < shares->height; y++)
    for (int x = 0; x < shares->width; x++)
      edge->patch
          ->in[(gsize)(shares->top + y) * (gsize)edge->patch->width + (gsize)(shares->left + x)] =
          2 * shares->at[index_of(edge, x, y)] > PW_SHARE_OUT + PW_SHARE_IN;
}

void
pw_edge_find(const PwPlane *rgb, PwPatch *patch, int steps, PwShares *shares)
{
  Edge edge = {.rgb = rgb, .patch = patch, .shares = shares, .band = BAND[steps]};
  edge.depth = edge.band + BEYOND;
  for (int v = 0; v < 256; v++)
    edge.light[v] = pw_srgb_light((guint8)v);
  set_window(patch, LOOKS * edge.depth, shares);
  for (int i = 0; i < LOOKS; i++) {
    if (i > 0) {
      move_patch(&edge);
      g_free(shares->at);
    }
    look(&edge, steps);
  }
}
