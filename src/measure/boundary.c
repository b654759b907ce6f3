/* Boundaries: outlines in upright px with the knots that a hand placed.
 *
 * Knots: the first vertex, a line's last, and every vertex at least 40 px along from the last knot;
 * where that makes too few, every vertex is one. Vertices between move by linear interpolation
 * along the outline, so that a freehand outline of 500 points is no surer than one of twelve.
 */
#include "boundary.h"

#include <math.h>

static const double KNOT_SPACING_PX = 40;
enum { LEAST_KNOTS_OF_RING = 4, LEAST_KNOTS_OF_LINE = 2 };

/* How far a divided edge may stray from its bent image, in px. */
static const double STRAY_PX = 0.01;
static const double MOST_PIECES = 1000;

void
pw_boundary_init(PwBoundary *boundary)
{
  boundary->points = g_array_new(FALSE, FALSE, sizeof(PwPx));
  boundary->edges = g_array_new(FALSE, FALSE, sizeof(PwEdge));
  boundary->runs = g_array_new(FALSE, FALSE, sizeof(PwRun));
  boundary->knots = g_array_new(FALSE, FALSE, sizeof(PwKnot));
}

void
pw_boundary_clear(PwBoundary *boundary)
{
  g_array_unref(boundary->points);
  g_array_unref(boundary->edges);
  g_array_unref(boundary->runs);
  g_array_unref(boundary->knots);
}

static double
distance(PwPx a, PwPx b)
{
  double dx = b.x - a.x, dy = b.y - a.y;
  return sqrt(dx * dx + dy * dy);
}

/* Adds the points of a path; one that stands where the last stood is the same point. */
static PwRun
add_points(PwBoundary *boundary, const PwPxPath *path, gboolean closed)
{
  GArray *points = boundary->points;
  PwRun run = {points->len, 0, closed, 0};
  for (gsize i = 0; i < path->n; i++) {
    if (run.n > 0 && !(distance(path->points[i], path->points[i - 1]) > 0))
      continue;
    g_array_append_val(points, path->points[i]);
    run.n++;
  }
  const PwPx *p = pw_boundary_points(boundary) + run.first;
  if (closed && run.n > 1 && !(distance(p[0], p[run.n - 1]) > 0))
    g_array_set_size(points, (guint)(run.first + --run.n));
  return run;
}

/* Indices, within the run, of the points that are knots. */
static GArray *
choose_knots(const PwBoundary *boundary, const PwRun *run)
{
  GArray *knots = g_array_new(FALSE, FALSE, sizeof(gsize));
  const PwPx *p = pw_boundary_points(boundary) + run->first;
  double since = HUGE_VAL;
  for (gsize i = 0; i < run->n; i++) {
    since += i > 0 ? distance(p[i - 1], p[i]) : 0;
    if (since < KNOT_SPACING_PX && (run->closed || i + 1 < run->n))
      continue;
    g_array_append_val(knots, i);
    since = 0;
  }
  guint least = run->closed ? LEAST_KNOTS_OF_RING : LEAST_KNOTS_OF_LINE;
  if (knots->len < least) {
    g_array_set_size(knots, 0);
    for (gsize i = 0; i < run->n; i++)
      g_array_append_val(knots, i);
  }
  return knots;
}

/* The edges from one knot to the next, each with its parts of the way between the two. */
static void
add_edges_between(PwBoundary *boundary, const PwRun *run, gsize from, gsize to, guint a, guint b)
{
  const PwPx *p = pw_boundary_points(boundary) + run->first;
  double whole = 0, along = 0;
  for (gsize i = from; i < to; i++)
    whole += distance(p[i], p[(i + 1) % run->n]);
  for (gsize i = from; i < to; i++) {
    double next = along + distance(p[i], p[(i + 1) % run->n]);
    PwEdge edge = {a, b, along / whole, next / whole};
    g_array_append_val(boundary->edges, edge);
    along = next;
  }
}

static void
add_edges(PwBoundary *boundary, const PwRun *run, guint first_knot, const GArray *chosen)
{
  guint n = chosen->len;
  for (guint k = 0; k < n; k++) {
    gsize from = g_array_index(chosen, gsize, k);
    if (k + 1 < n)
      add_edges_between(boundary, run, from, g_array_index(chosen, gsize, k + 1), first_knot + k,
                        first_knot + k + 1);
    else if (run->closed)
      add_edges_between(boundary, run, from, run->n, first_knot + k, first_knot);
  }
  if (!run->closed) {
    PwEdge unused = {first_knot + n - 1, first_knot + n - 1, 0, 0};
    g_array_append_val(boundary->edges, unused);
  }
}

/* `next` is the shape's next knot. */
static void
add_run(PwBoundary *boundary, const PwRun *run, PwKnot *next)
{
  g_autoptr(GArray) chosen = choose_knots(boundary, run);
  guint first_knot = boundary->knots->len;
  for (guint k = 0; k < chosen->len; k++) {
    g_array_append_val(boundary->knots, *next);
    next->index += 2;
  }
  add_edges(boundary, run, first_knot, chosen);
  g_array_append_val(boundary->runs, *run);
}

void
pw_boundary_add(PwBoundary *boundary, const PwShape *shape, guint photo_owner)
{
  gboolean closed = shape->kind == PW_KIND_AREA;
  PwKnot next = {PW_SCOPE_MARK, shape->mark_owner, 0, shape->outline_px};
  if (shape->is_surface)
    next = (PwKnot){PW_SCOPE_PHOTO, photo_owner, 0, shape->outline_px};
  for (gsize i = 0; i <= shape->n_holes; i++) {
    const PwPxPath *path = i == 0 ? &shape->path : &shape->holes[i - 1];
    PwRun run = add_points(boundary, path, closed);
    if (run.n == 0)
      continue;
    if (closed) {
      double area = pw_px_signed_area(pw_boundary_points(boundary) + run.first, run.n);
      run.sign = copysign(1, i == 0 ? area : -area);
    }
    add_run(boundary, &run, &next);
  }
}

/* ---- Division under a lens --------------------------------------------------------- */

/* How strongly straight lines bend this far out: the second derivative of the displacement
 * k1 r^3 / f^2 + k2 r^5 / f^4, 1/px. A chord of length L strays from an arc by L^2 / 8 of it. */
static double
bending(const PwLens *lens, PwPx at)
{
  double r = hypot(at.x - lens->cx, at.y - lens->cy) / lens->f_px;
  return (6 * fabs(lens->k1) * r + 20 * fabs(lens->k2) * r * r * r) / lens->f_px;
}

static gsize
pieces_for(const PwLens *lens, PwPx from, PwPx to)
{
  double length = distance(from, to);
  double bend = fmax(bending(lens, from), bending(lens, to));
  return (gsize)fmax(1, fmin(MOST_PIECES, ceil(length * sqrt(bend / (8 * STRAY_PX)))));
}

static void
divide_edge(const PwLens *lens, PwPx from, PwPx to, PwEdge edge, GArray *points, GArray *edges)
{
  gsize n = pieces_for(lens, from, to);
  for (gsize i = 0; i < n; i++) {
    double s0 = (double)i / (double)n, s1 = (double)(i + 1) / (double)n;
    PwPx at = {from.x + s0 * (to.x - from.x), from.y + s0 * (to.y - from.y)};
    PwEdge piece = {edge.a, edge.b, edge.t0 + s0 * (edge.t1 - edge.t0),
                    edge.t0 + s1 * (edge.t1 - edge.t0)};
    g_array_append_val(points, at);
    g_array_append_val(edges, piece);
  }
}

void
pw_boundary_divide(PwBoundary *boundary, const PwLens *lens)
{
  if (!(lens->f_px > 0) || !(fabs(lens->k1) > 0 || fabs(lens->k2) > 0))
    return;
  GArray *points = g_array_new(FALSE, FALSE, sizeof(PwPx));
  GArray *edges = g_array_new(FALSE, FALSE, sizeof(PwEdge));
  const PwPx *p = pw_boundary_points(boundary);
  const PwEdge *e = pw_boundary_edges(boundary);
  for (guint r = 0; r < boundary->runs->len; r++) {
    PwRun *run = &g_array_index(boundary->runs, PwRun, r);
    gsize first = points->len, n_edges = pw_run_n_edges(run);
    for (gsize i = run->first; i < run->first + n_edges; i++)
      divide_edge(lens, p[i], p[pw_run_next(run, i)], e[i], points, edges);
    if (!run->closed) {
      g_array_append_val(points, p[run->first + n_edges]);
      g_array_append_val(edges, e[run->first + n_edges]);
    }
    run->first = first;
    run->n = points->len - first;
  }
  g_array_unref(boundary->points);
  g_array_unref(boundary->edges);
  boundary->points = points;
  boundary->edges = edges;
}
