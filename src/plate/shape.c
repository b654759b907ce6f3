/* Marks on paper, in mm: thinned paths and their nearest visible points. */
#include "shape.h"

#include <math.h>

/* Half a dot of a 1200 dpi printer. */
#define FINEST_MM 0.01

static PwPaper
to_paper(const PwFrame *frame, PwPx p)
{
  return (PwPaper){frame->box.x + (p.x - frame->crop_x) * frame->scale_x,
                   frame->box.y + (p.y - frame->crop_y) * frame->scale_y};
}

static double
apart(PwPaper a, PwPaper b)
{
  return hypot(a.x - b.x, a.y - b.y);
}

static PwPaperPath
thinned(const PwFrame *frame, const PwPxPath *path)
{
  PwPaperPath out = {g_new(PwPaper, path->n + 1), 0};
  for (gsize i = 0; i < path->n; i++) {
    PwPaper p = to_paper(frame, path->points[i]);
    gboolean last = i + 1 == path->n;
    if (out.n == 0 || last || apart(out.points[out.n - 1], p) >= FINEST_MM)
      out.points[out.n++] = p;
  }
  return out;
}

void
pw_paper_shape_init(PwPaperShape *shape, const PwFrame *frame, PwKind kind, const PwPxPath *path,
                    const PwPxPath *holes, gsize n_holes)
{
  shape->kind = kind;
  shape->n_rings = 1 + n_holes;
  shape->rings = g_new(PwPaperPath, shape->n_rings);
  shape->rings[0] = thinned(frame, path);
  for (gsize i = 0; i < n_holes; i++)
    shape->rings[1 + i] = thinned(frame, &holes[i]);
}

void
pw_paper_shape_clear(PwPaperShape *shape)
{
  for (gsize i = 0; i < shape->n_rings; i++)
    g_free(shape->rings[i].points);
  g_free(shape->rings);
  *shape = (PwPaperShape){0};
}

PwBox
pw_paper_shape_bounds(const PwPaperShape *shape)
{
  double left = HUGE_VAL, top = HUGE_VAL, right = -HUGE_VAL, bottom = -HUGE_VAL;
  for (gsize i = 0; i < shape->rings[0].n; i++) {
    PwPaper p = shape->rings[0].points[i];
    left = MIN(left, p.x);
    right = MAX(right, p.x);
    top = MIN(top, p.y);
    bottom = MAX(bottom, p.y);
  }
  return (PwBox){left, top, right - left, bottom - top};
}

/* Narrows the part [*t0, *t1] of a segment to where start + t * delta lies within [low, high]. */
static gboolean
clip_axis(double start, double delta, double low, double high, double *t0, double *t1)
{
  if (fabs(delta) < 1e-12)
    return start >= low && start <= high;
  double a = (low - start) / delta, b = (high - start) / delta;
  *t0 = MAX(*t0, MIN(a, b));
  *t1 = MIN(*t1, MAX(a, b));
  return *t0 <= *t1;
}

static gboolean
nearest_on_segment(PwPaper a, PwPaper b, const PwBox *box, PwPaper from, PwPaper *nearest)
{
  double dx = b.x - a.x, dy = b.y - a.y, t0 = 0, t1 = 1, square = dx * dx + dy * dy;
  if (!clip_axis(a.x, dx, box->x, box->x + box->width, &t0, &t1) ||
      !clip_axis(a.y, dy, box->y, box->y + box->height, &t0, &t1))
    return FALSE;
  double t = square > 0 ? ((from.x - a.x) * dx + (from.y - a.y) * dy) / square : 0;
  t = CLAMP(t, t0, t1);
  *nearest = (PwPaper){a.x + t * dx, a.y + t * dy};
  return TRUE;
}

gboolean
pw_paper_shape_nearest(const PwPaperShape *shape, const PwBox *box, PwPaper from, PwPaper *nearest)
{
  const PwPaperPath *ring = &shape->rings[0];
  gsize n = shape->kind == PW_KIND_LINE && ring->n > 1 ? ring->n - 1 : ring->n;
  double best = HUGE_VAL;
  for (gsize i = 0; i < n; i++) {
    PwPaper p;
    if (nearest_on_segment(ring->points[i], ring->points[(i + 1) % ring->n], box, from, &p) &&
        apart(p, from) < best) {
      best = apart(p, from);
      *nearest = p;
    }
  }
  return isfinite(best);
}

static gboolean
lies_in(const PwBox *box, PwPaper p)
{
  return p.x >= box->x && p.x <= box->x + box->width && p.y >= box->y &&
         p.y <= box->y + box->height;
}

guint
pw_paper_shape_spread(const PwPaperShape *shape, const PwBox *box, PwPaper *places, guint most)
{
  const PwPaperPath *ring = &shape->rings[0];
  gsize edges = ring->n - (shape->kind == PW_KIND_AREA ? 0 : 1);
  double length = 0, walked = 0;
  guint n = 0;
  for (gsize i = 0; i < edges; i++)
    length += apart(ring->points[i], ring->points[(i + 1) % ring->n]);
  double step = length / most, next = step / 2;
  for (gsize i = 0; i < edges; i++) {
    PwPaper a = ring->points[i], b = ring->points[(i + 1) % ring->n];
    double edge = apart(a, b);
    for (; next <= walked + edge && n < most && step > 0; next += step) {
      double t = (next - walked) / edge;
      PwPaper p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
      if (lies_in(box, p))
        places[n++] = p;
    }
    walked += edge;
  }
  return n;
}
