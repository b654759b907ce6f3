/* Boundaries united: GEOS makes the union; which knots move each of its edges is found again from
 * where the edge lies, by a grid over the edges as they were.
 *
 * Every edge of a union is a piece of one edge that was put in. Where two edges were one upon the
 * other, the first put in counts. Upright px throughout.
 */
#include "boundary.h"

#include <math.h>

enum { MOST_CELLS_A_SIDE = 256 };
/* How far from a cell's border an edge still counts as inside it: more than rounding, in px. */
static const double CELL_MARGIN_PX = 1e-3;

typedef struct {
  const PwBoundary *source;
  double left, top, cell_width, cell_height;
  gsize side;     /* cells along and across */
  GArray **cells; /* guint: indices of edges, NULL where there are none */
} Grid;

typedef struct {
  PwPx from, to;
} Segment;

/* Edge i of the boundary, which must not be a line's last. */
static Segment
segment_of(const PwBoundary *boundary, const PwRun *run, gsize i)
{
  const PwPx *p = pw_boundary_points(boundary);
  return (Segment){p[i], p[pw_run_next(run, i)]};
}

static gsize
cell_at(double place, double start, double size, gsize side)
{
  double cell = floor((place - start) / size);
  return (gsize)CLAMP(cell, 0, (double)side - 1);
}

/* Enters the edge into each cell of one row that it may pass. */
static void
enter_row(Grid *grid, gsize row, Segment s, guint index)
{
  double top = grid->top + (double)row * grid->cell_height - CELL_MARGIN_PX;
  double bottom = top + grid->cell_height + 2 * CELL_MARGIN_PX, low = 0, high = 1;
  double dy = s.to.y - s.from.y;
  if (fabs(dy) > 0) {
    double enters = (top - s.from.y) / dy, leaves = (bottom - s.from.y) / dy;
    low = fmax(0, fmin(enters, leaves));
    high = fmin(1, fmax(enters, leaves));
  }
  double x0 = s.from.x + low * (s.to.x - s.from.x), x1 = s.from.x + high * (s.to.x - s.from.x);
  gsize first = cell_at(fmin(x0, x1) - CELL_MARGIN_PX, grid->left, grid->cell_width, grid->side);
  gsize last = cell_at(fmax(x0, x1) + CELL_MARGIN_PX, grid->left, grid->cell_width, grid->side);
  for (gsize column = first; column <= last; column++) {
    GArray **cell = &grid->cells[row * grid->side + column];
    if (!*cell)
      *cell = g_array_new(FALSE, FALSE, sizeof(guint));
    g_array_append_val(*cell, index);
  }
}

static void
enter(Grid *grid, Segment s, guint index)
{
  double low = fmin(s.from.y, s.to.y) - CELL_MARGIN_PX;
  double high = fmax(s.from.y, s.to.y) + CELL_MARGIN_PX;
  gsize first = cell_at(low, grid->top, grid->cell_height, grid->side);
  gsize last = cell_at(high, grid->top, grid->cell_height, grid->side);
  for (gsize row = first; row <= last; row++)
    enter_row(grid, row, s, index);
}

static void
grid_init(Grid *grid, const PwBoundary *source)
{
  const PwPx *p = pw_boundary_points(source);
  double right = p[0].x, bottom = p[0].y;
  *grid = (Grid){.source = source, .left = p[0].x, .top = p[0].y};
  for (guint i = 0; i < source->points->len; i++) {
    grid->left = fmin(grid->left, p[i].x);
    grid->top = fmin(grid->top, p[i].y);
    right = fmax(right, p[i].x);
    bottom = fmax(bottom, p[i].y);
  }
  double side = floor(sqrt((double)source->points->len));
  grid->side = (gsize)CLAMP(side, 1, MOST_CELLS_A_SIDE);
  grid->cell_width = fmax(right - grid->left, 1) / (double)grid->side;
  grid->cell_height = fmax(bottom - grid->top, 1) / (double)grid->side;
  grid->cells = g_new0(GArray *, grid->side * grid->side);
  for (guint r = 0; r < source->runs->len; r++) {
    const PwRun *run = pw_boundary_run(source, r);
    for (gsize i = run->first; i < run->first + run->n; i++)
      enter(grid, segment_of(source, run, i), (guint)i);
  }
}

static void
grid_clear(Grid *grid)
{
  for (gsize i = 0; i < grid->side * grid->side; i++)
    if (grid->cells[i])
      g_array_unref(grid->cells[i]);
  g_free(grid->cells);
}

/* Where along a segment a point lies (0 to 1), and how far beside it. */
static double
place_along(Segment s, PwPx at, double *beside)
{
  double dx = s.to.x - s.from.x, dy = s.to.y - s.from.y;
  double along = ((at.x - s.from.x) * dx + (at.y - s.from.y) * dy) / (dx * dx + dy * dy);
  along = CLAMP(along, 0, 1);
  *beside = hypot(at.x - s.from.x - along * dx, at.y - s.from.y - along * dy);
  return along;
}

/* The ends of the edges as they were, by index: `next` holds the index of each edge's end point. */
static PwEdge
edge_under(const Grid *grid, const gsize *next, PwPx from, PwPx to)
{
  const PwPx *p = pw_boundary_points(grid->source);
  gsize column = cell_at((from.x + to.x) / 2, grid->left, grid->cell_width, grid->side);
  gsize row = cell_at((from.y + to.y) / 2, grid->top, grid->cell_height, grid->side);
  const GArray *cell = grid->cells[row * grid->side + column];
  double nearest = HUGE_VAL;
  PwEdge best = {0};
  for (guint i = 0; cell && i < cell->len; i++) {
    guint index = g_array_index(cell, guint, i);
    Segment s = {p[index], p[next[index]]};
    double beside_from, beside_to;
    double s0 = place_along(s, from, &beside_from), s1 = place_along(s, to, &beside_to);
    if (!(fmax(beside_from, beside_to) < nearest))
      continue;
    PwEdge edge = pw_boundary_edges(grid->source)[index];
    nearest = fmax(beside_from, beside_to);
    best = (PwEdge){edge.a, edge.b, edge.t0 + s0 * (edge.t1 - edge.t0),
                    edge.t0 + s1 * (edge.t1 - edge.t0)};
  }
  return best;
}

/* The union as GEOS sees it: one region for each outer ring with the holes that follow it. */
static gboolean
unite_rings(const PwBoundary *boundary, PwRegion *united, GError **error)
{
  guint n = boundary->runs->len;
  PwPx *points = (PwPx *)(void *)boundary->points->data;
  g_autofree PwPxPath *rings = g_new(PwPxPath, n);
  g_autofree gboolean *is_hole = g_new(gboolean, n);
  for (guint i = 0; i < n; i++) {
    const PwRun *run = pw_boundary_run(boundary, i);
    rings[i] = (PwPxPath){points + run->first, run->n};
    is_hole[i] = run->sign * pw_px_signed_area(rings[i].points, run->n) < 0;
  }
  PwRegion all = {rings, is_hole, n};
  return pw_region_unite(&all, 1, united, error);
}

static void
add_ring(PwBoundary *boundary, const Grid *grid, const gsize *next, const PwPxPath *ring,
         gboolean is_hole)
{
  double area = pw_px_signed_area(ring->points, ring->n);
  PwRun run = {boundary->points->len, ring->n, TRUE, copysign(1, is_hole ? -area : area)};
  for (gsize i = 0; i < ring->n; i++) {
    PwEdge edge = edge_under(grid, next, ring->points[i], ring->points[(i + 1) % ring->n]);
    g_array_append_val(boundary->points, ring->points[i]);
    g_array_append_val(boundary->edges, edge);
  }
  g_array_append_val(boundary->runs, run);
}

static gsize *
next_points(const PwBoundary *boundary)
{
  gsize *next = g_new(gsize, boundary->points->len);
  for (guint r = 0; r < boundary->runs->len; r++) {
    const PwRun *run = pw_boundary_run(boundary, r);
    for (gsize i = run->first; i < run->first + run->n; i++)
      next[i] = pw_run_next(run, i);
  }
  return next;
}

gboolean
pw_boundary_unite(PwBoundary *boundary, GError **error)
{
  PwRegion united;
  if (!unite_rings(boundary, &united, error))
    return FALSE;
  PwBoundary out;
  Grid grid;
  g_autofree gsize *next = next_points(boundary);
  grid_init(&grid, boundary);
  pw_boundary_init(&out);
  g_array_unref(out.knots);
  out.knots = g_array_ref(boundary->knots);
  for (gsize i = 0; i < united.n_rings; i++)
    add_ring(&out, &grid, next, &united.rings[i], united.is_hole[i]);
  grid_clear(&grid);
  pw_region_clear(&united);
  pw_boundary_clear(boundary);
  *boundary = out;
  return TRUE;
}
