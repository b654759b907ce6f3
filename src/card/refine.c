/* A tag's corners to a small part of a pixel.
 *
 * Across an edge the picture rises from black to white. Where that rise has its centre of mass is
 * found at many places along the edge, a straight line is fitted through them, and two lines meet
 * in a corner. What blurs both sides alike does not move the centre. The stretch across which it
 * is sought is centred anew in every round, so that noise pulls no way.
 */
#include "refine.h"

#include <math.h>

/* A tag's square is eight cells wide; across its edge lie one black and one white cell, of which
 * this much is looked at, as a part of a cell. */
enum { CELLS = 8 };
static const double CELL_PART = 0.4;
/* Corners are rounded by blur: so much of an edge is left out at either end. */
static const double END_PART = 0.06;
enum { ROUNDS = 3, SAMPLES_MIN = 16, SAMPLES_MAX = 400, STEPS_MAX = 16 /* to either side */ };
static const double STEP_PX = 0.5;

/* a x + b y = c, a and b of unit length and pointing out of the square. */
typedef struct {
  double a, b, c;
} Line;

static double
level_at(const PwPlane *grey, double x, double y)
{
  x = CLAMP(x - 0.5, 0, grey->width - 1);
  y = CLAMP(y - 0.5, 0, grey->height - 1);
  int x0 = (int)x, y0 = (int)y;
  const guint8 *at = grey->pixels + (gsize)y0 * grey->stride + x0;
  gsize right = x0 + 1 < grey->width ? 1 : 0, below = y0 + 1 < grey->height ? grey->stride : 0;
  double u = x - x0, v = y - y0;
  return (1 - v) * ((1 - u) * at[0] + u * at[right]) +
         v * ((1 - u) * at[below] + u * at[below + right]);
}

/* The line through two corners that follow each other clockwise as seen. */
static Line
line_through(PwPx from, PwPx to)
{
  double length = hypot(to.x - from.x, to.y - from.y);
  Line line = {(to.y - from.y) / length, (from.x - to.x) / length, 0};
  line.c = line.a * from.x + line.b * from.y;
  return line;
}

/* How far the square reaches behind an edge, straight from it, at its nearer end. */
static double
depth_behind(const PwTag *tag, int edge, const Line *line)
{
  PwPx p = tag->corners[(edge + 2) % 4], q = tag->corners[(edge + 3) % 4];
  return fmin(line->c - line->a * p.x - line->b * p.y, line->c - line->a * q.x - line->b * q.y);
}

/* The centre of the rise across an edge at one place, in px outwards from it; its height is the
 * weight it has, 0 where there is none. */
static double
rise_across(const PwPlane *grey, const Line *line, PwPx at, int steps, double *weight)
{
  double before = level_at(grey, at.x - (steps + 0.5) * STEP_PX * line->a,
                           at.y - (steps + 0.5) * STEP_PX * line->b);
  double sum = 0;
  *weight = 0;
  for (int k = -steps; k <= steps; k++) {
    double off = (k + 0.5) * STEP_PX;
    double level = level_at(grey, at.x + off * line->a, at.y + off * line->b);
    double rise = fmax(level - before, 0);
    sum += rise * k * STEP_PX;
    *weight += rise;
    before = level;
  }
  return *weight > 0 ? sum / *weight : 0;
}

/* Sums for a straight line y = p + q t by weighted least squares. */
typedef struct {
  double w, t, tt, y, ty;
} Sums;

static gboolean
edge_line(const PwPlane *grey, const PwTag *tag, int edge, double reach, Line *line)
{
  PwPx from = tag->corners[edge], to = tag->corners[(edge + 1) % 4];
  double length = hypot(to.x - from.x, to.y - from.y);
  *line = line_through(from, to);
  double part = fmin(reach, CELL_PART * depth_behind(tag, edge, line) / CELLS);
  int steps = (int)fmin(part / STEP_PX, STEPS_MAX);
  int n = (int)CLAMP(length, SAMPLES_MIN, SAMPLES_MAX);
  if (!(length > 0) || steps < 1)
    return FALSE;
  Sums s = {0};
  for (int i = 0; i < n; i++) {
    double t = END_PART + (1 - 2 * END_PART) * (i + 0.5) / n - 0.5, weight;
    PwPx at = {from.x + (t + 0.5) * (to.x - from.x), from.y + (t + 0.5) * (to.y - from.y)};
    double y = rise_across(grey, line, at, steps, &weight);
    s.w += weight;
    s.t += weight * t;
    s.tt += weight * t * t;
    s.y += weight * y;
    s.ty += weight * t * y;
  }
  double determinant = s.w * s.tt - s.t * s.t;
  if (!(determinant > 1e-9 * s.w * s.w))
    return FALSE;
  double p = (s.tt * s.y - s.t * s.ty) / determinant, q = (s.w * s.ty - s.t * s.y) / determinant;
  PwPx moved_from = {from.x + (p - q / 2) * line->a, from.y + (p - q / 2) * line->b};
  PwPx moved_to = {to.x + (p + q / 2) * line->a, to.y + (p + q / 2) * line->b};
  *line = line_through(moved_from, moved_to);
  return TRUE;
}

static PwPx
meeting(const Line *p, const Line *q)
{
  double determinant = p->a * q->b - q->a * p->b;
  return (PwPx){(p->c * q->b - q->c * p->b) / determinant,
                (p->a * q->c - q->a * p->c) / determinant};
}

static gboolean
refine_once(const PwPlane *grey, double reach, PwTag *tag)
{
  Line lines[4];
  PwPx corners[4];
  for (int edge = 0; edge < 4; edge++)
    if (!edge_line(grey, tag, edge, reach, &lines[edge]))
      return FALSE;
  for (int i = 0; i < 4; i++) {
    corners[i] = meeting(&lines[(i + 3) % 4], &lines[i]);
    /* Nowhere near: then the edges are no edges. NAN is caught too. */
    if (!(hypot(corners[i].x - tag->corners[i].x, corners[i].y - tag->corners[i].y) <= 2 * reach))
      return FALSE;
  }
  for (int i = 0; i < 4; i++)
    tag->corners[i] = corners[i];
  return TRUE;
}

void
pw_tag_refine(const PwPlane *grey, double reach, PwTag *tag)
{
  PwTag tried = *tag;
  for (int round = 0; round < ROUNDS; round++)
    if (!refine_once(grey, reach, &tried))
      return;
  *tag = tried;
}
