/* Shapes measured: values on the measured surface, and what every input contributes to them.
 *
 * The inputs of the scale: each shape is measured again through the map with that input moved up
 * and down by its standard uncertainty; half the difference is the contribution (JCGM 100 5.1.3,
 * note 2). Knots and outlining move the boundary itself, so theirs are in closed form: a boundary
 * whose edges move by v gains the integral of v . n over it in area, and (v at the end - v at the
 * start) . direction over each edge in length.
 */
#include "boundary.h"
#include "size.h"

#include <math.h>

/* A corner sharper than this moves out by no more than so many times what its edges do: the limit
 * of a mitred join. */
static const double MITRE_LIMIT = 10;

enum { AREA, LENGTH, LONGEST, N_SIZES };

/* A boundary under measurement. */
typedef struct {
  const PwScale *scale;
  PwBoundary boundary;
  PwPx *undistorted;
  PwMm *mm;          /* on the measured surface */
  PwMm *moved;       /* the same with an input moved */
  double *jacobians; /* four for each point: px to mm */
  gsize longest[2];  /* the points furthest apart */
  double values[N_SIZES];
  GArray *contributions[N_SIZES];
  double outlining_px; /* standard uncertainty */
} Measured;

static void
measured_init(Measured *measured, const PwScale *scale)
{
  *measured = (Measured){.scale = scale};
  pw_boundary_init(&measured->boundary);
  for (int i = 0; i < N_SIZES; i++)
    measured->contributions[i] = g_array_new(FALSE, FALSE, sizeof(PwContribution));
}

static void
measured_clear(Measured *measured)
{
  pw_boundary_clear(&measured->boundary);
  g_free(measured->undistorted);
  g_free(measured->mm);
  g_free(measured->moved);
  g_free(measured->jacobians);
  for (int i = 0; i < N_SIZES; i++)
    if (measured->contributions[i])
      g_array_unref(measured->contributions[i]);
}

/* ---- Values ------------------------------------------------------------------------ */

static gboolean
map_points(const Measured *measured, const PwMap *map, PwMm *out, GError **error)
{
  guint n = measured->boundary.points->len;
  for (guint i = 0; i < n; i++)
    if (!pw_map_apply(map, measured->scale->principal, measured->undistorted[i], &out[i])) {
      g_set_error_literal(
          error, PW_ERROR, PW_ERROR_NUMERIC,
          "the mark reaches beyond the horizon of the plane in which the card lies");
      return FALSE;
    }
  return TRUE;
}

static gboolean
undistort_points(Measured *measured, GError **error)
{
  guint n = measured->boundary.points->len;
  const PwPx *p = pw_boundary_points(&measured->boundary);
  measured->undistorted = g_new(PwPx, n + 1);
  measured->mm = g_new(PwMm, n + 1);
  measured->moved = g_new(PwMm, n + 1);
  measured->jacobians = g_new(double, 4 * (gsize)n + 4);
  for (guint i = 0; i < n; i++) {
    if (!pw_lens_undistort(&measured->scale->input.lens, p[i], &measured->undistorted[i])) {
      g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                          "the lens coefficients give no place for a point of the mark");
      return FALSE;
    }
    pw_scale_jacobian(measured->scale, measured->undistorted[i], &measured->jacobians[4 * i]);
  }
  return TRUE;
}

static double
distance(PwMm a, PwMm b)
{
  double dx = b.x - a.x, dy = b.y - a.y;
  return sqrt(dx * dx + dy * dy);
}

static void
add_run_values(const PwRun *run, const PwMm *mm, double values[N_SIZES])
{
  if (run->closed)
    values[AREA] += run->sign * pw_mm_signed_area(mm + run->first, run->n);
  gsize last = run->first + pw_run_n_edges(run);
  for (gsize i = run->first; i < last; i++)
    values[LENGTH] += distance(mm[i], mm[pw_run_next(run, i)]);
}

static void
values_of(const Measured *measured, const PwMm *mm, double values[N_SIZES])
{
  const PwBoundary *boundary = &measured->boundary;
  values[AREA] = values[LENGTH] = 0;
  for (guint r = 0; r < boundary->runs->len; r++)
    add_run_values(pw_boundary_run(boundary, r), mm, values);
  values[LONGEST] = distance(mm[measured->longest[0]], mm[measured->longest[1]]);
}

/* ---- Contributions ----------------------------------------------------------------- */

static void
contribute(Measured *measured, int size, PwContribution key, double c)
{
  if (!(fabs(c) > 0))
    return;
  key.c = c;
  g_array_append_val(measured->contributions[size], key);
}

static gboolean
add_scale_inputs(Measured *measured, GError **error)
{
  const PwScale *scale = measured->scale;
  double up[N_SIZES], down[N_SIZES], c[PW_MAX_EFFECTS][N_SIZES];
  for (guint e = 0; e < scale->n_effects; e++) {
    const PwEffect *effect = &scale->effects[e];
    if (!map_points(measured, &effect->up, measured->moved, error))
      return FALSE;
    values_of(measured, measured->moved, up);
    if (!map_points(measured, &effect->down, measured->moved, error))
      return FALSE;
    values_of(measured, measured->moved, down);
    for (int s = 0; s < N_SIZES; s++) {
      c[e][s] = (up[s] - down[s]) / 2;
      contribute(measured, s, effect->key, c[e][s]);
    }
  }
  for (guint i = 0; i < scale->n_products; i++)
    for (int s = 0; s < N_SIZES; s++)
      contribute(measured, s, scale->products[i].key,
                 scale->products[i].factor * c[scale->products[i].of][s]);
  return TRUE;
}

/* How a size changes with a displacement, in mm, of a point: the sum of the edges that end there.
 */
typedef struct {
  double x, y;
} Gradient;

/* What moving an edge's start and end does to area and length. The outer normal times the length
 * of the edge is (dy, -dx) where the area is positive. */
typedef struct {
  Gradient start[2], end[2]; /* of AREA, LENGTH */
} EdgeGradient;

static EdgeGradient
edge_gradient(const PwRun *run, const PwMm *mm, gsize i)
{
  PwMm from = mm[i], to = mm[pw_run_next(run, i)];
  double dx = to.x - from.x, dy = to.y - from.y, length = distance(from, to);
  Gradient half = {run->sign * dy / 2, -run->sign * dx / 2};
  Gradient along = {length > 0 ? dx / length : 0, length > 0 ? dy / length : 0};
  return (EdgeGradient){.start = {half, {-along.x, -along.y}}, .end = {half, along}};
}

/* From mm to px: a displacement of 1 px moves the point by a column of the jacobian. */
static Gradient
in_px(Gradient g, const double j[4])
{
  return (Gradient){g.x * j[0] + g.y * j[2], g.x * j[1] + g.y * j[3]};
}

static void
add_gradient(Gradient *sum, double part, Gradient g)
{
  sum->x += part * g.x;
  sum->y += part * g.y;
}

static void
share_between_knots(Gradient *by_knot, const PwEdge *edge, double t, Gradient g)
{
  add_gradient(&by_knot[edge->a], 1 - t, g);
  add_gradient(&by_knot[edge->b], t, g);
}

/* `by_knot` holds the three sizes' gradients, one block of all knots after the other. */
static void
add_run_to_knots(const Measured *measured, const PwRun *run, Gradient *by_knot)
{
  guint n_knots = measured->boundary.knots->len;
  const PwEdge *edges = pw_boundary_edges(&measured->boundary);
  gsize last = run->first + pw_run_n_edges(run);
  for (gsize i = run->first; i < last; i++) {
    gsize next = pw_run_next(run, i);
    EdgeGradient g = edge_gradient(run, measured->mm, i);
    for (int s = run->closed ? AREA : LENGTH; s <= LENGTH; s++) {
      Gradient *block = by_knot + (gsize)s * n_knots;
      share_between_knots(block, &edges[i], edges[i].t0,
                          in_px(g.start[s], &measured->jacobians[4 * i]));
      share_between_knots(block, &edges[i], edges[i].t1,
                          in_px(g.end[s], &measured->jacobians[4 * next]));
    }
  }
}

/* The direction from the first to the second of the two points furthest apart. */
static Gradient
longest_direction(const Measured *measured)
{
  PwMm a = measured->mm[measured->longest[0]], b = measured->mm[measured->longest[1]];
  double length = distance(a, b);
  return length > 0 ? (Gradient){(b.x - a.x) / length, (b.y - a.y) / length} : (Gradient){0, 0};
}

static void
add_longest_to_knots(const Measured *measured, Gradient *by_knot)
{
  const PwEdge *edges = pw_boundary_edges(&measured->boundary);
  Gradient *block = by_knot + (gsize)LONGEST * measured->boundary.knots->len;
  Gradient along = longest_direction(measured), back = {-along.x, -along.y};
  for (int end = 0; end < 2; end++) {
    gsize at = measured->longest[end];
    share_between_knots(block, &edges[at], edges[at].t0,
                        in_px(end ? along : back, &measured->jacobians[4 * at]));
  }
}

/* How well a knot was placed, px each coordinate. */
static double
knot_u(const Measured *measured, const PwKnot *knot)
{
  return knot->u_px > 0 ? knot->u_px : measured->scale->uncertainty.by[PW_INPUT_OUTLINE];
}

static void
add_knots(Measured *measured)
{
  const PwBoundary *boundary = &measured->boundary;
  guint n = boundary->knots->len;
  g_autofree Gradient *by_knot = g_new0(Gradient, (gsize)N_SIZES * n + 1);
  for (guint r = 0; r < boundary->runs->len; r++)
    add_run_to_knots(measured, pw_boundary_run(boundary, r), by_knot);
  add_longest_to_knots(measured, by_knot);
  for (int s = 0; s < N_SIZES; s++)
    for (guint k = 0; k < n; k++) {
      const PwKnot *knot = &g_array_index(boundary->knots, PwKnot, k);
      PwContribution key = {.input = PW_INPUT_OUTLINE,
                            .scope = knot->scope,
                            .owner = knot->owner,
                            .index = knot->index,
                            .dof = HUGE_VAL};
      double u = knot_u(measured, knot);
      contribute(measured, s, key, u * by_knot[(gsize)s * n + k].x);
      key.index++;
      contribute(measured, s, key, u * by_knot[(gsize)s * n + k].y);
    }
}

/* Errors of independent knots, u px each way, lengthen what is drawn, whatever their sign: between
 * two knots L apart by u^2 / L on average, the second order of the distance of two points that each
 * are off by u across. It is told as uncertainty, for the outline may have been drawn better. With
 * a dozen knots it is nothing; a freehand outline of hundreds owes it most of what its length owes.
 */
static double
lengthening(const Measured *measured, const PwRun *run)
{
  const PwEdge *edges = pw_boundary_edges(&measured->boundary);
  double sum = 0, between = 0;
  gsize last = run->first + pw_run_n_edges(run);
  for (gsize i = run->first; i < last; i++) {
    between += distance(measured->mm[i], measured->mm[pw_run_next(run, i)]);
    if (i + 1 < last && edges[i + 1].a == edges[i].a)
      continue;
    const double *j = &measured->jacobians[4 * i];
    double u = knot_u(measured, &g_array_index(measured->boundary.knots, PwKnot, edges[i].a));
    sum += between > 0 ? u * u * fabs(j[0] * j[3] - j[1] * j[2]) / between : 0;
    between = 0;
  }
  return sum;
}

/* An input of its own beside the knots; the runs of one mark add up. */
static void
add_lengthening(Measured *measured)
{
  const PwBoundary *boundary = &measured->boundary;
  for (guint r = 0; r < boundary->runs->len; r++) {
    const PwRun *run = pw_boundary_run(boundary, r);
    const PwKnot *knot =
        &g_array_index(boundary->knots, PwKnot, pw_boundary_edges(boundary)[run->first].a);
    PwContribution key = {.input = PW_INPUT_OUTLINE,
                          .scope = knot->scope,
                          .owner = knot->owner,
                          .index = G_MAXUINT,
                          .dof = HUGE_VAL};
    contribute(measured, LENGTH, key, lengthening(measured, run));
  }
}

/* The outer normal of an edge, px, of length 1. */
static Gradient
outer_normal(const PwRun *run, PwPx from, PwPx to)
{
  double dx = to.x - from.x, dy = to.y - from.y, length = sqrt(dx * dx + dy * dy);
  return (Gradient){run->sign * dy / length, -run->sign * dx / length};
}

/* How a ring's point moves when both its edges move outwards by 1 px: along the mitre. */
static Gradient
mitre(const PwBoundary *boundary, const PwRun *run, gsize i)
{
  const PwPx *p = pw_boundary_points(boundary);
  gsize before = i > run->first ? i - 1 : run->first + run->n - 1;
  Gradient a = outer_normal(run, p[before], p[i]);
  Gradient b = outer_normal(run, p[i], p[pw_run_next(run, i)]);
  double scale = 1 / fmax(1 + a.x * b.x + a.y * b.y, 2 / (MITRE_LIMIT * MITRE_LIMIT));
  return (Gradient){scale * (a.x + b.x), scale * (a.y + b.y)};
}

static double
along(Gradient g, Gradient displacement)
{
  return g.x * displacement.x + g.y * displacement.y;
}

/* The area gains what the edges sweep, however sharp the corners; lengths follow the corners. */
static void
add_run_to_outlining(const Measured *measured, const PwRun *run, double by[N_SIZES])
{
  const PwPx *p = pw_boundary_points(&measured->boundary);
  for (gsize i = run->first; i < run->first + run->n; i++) {
    gsize next = pw_run_next(run, i);
    const double *from = &measured->jacobians[4 * i], *to = &measured->jacobians[4 * next];
    EdgeGradient g = edge_gradient(run, measured->mm, i);
    Gradient normal = outer_normal(run, p[i], p[next]);
    by[AREA] += along(in_px(g.start[AREA], from), normal) + along(in_px(g.end[AREA], to), normal);
    by[LENGTH] += along(in_px(g.start[LENGTH], from), mitre(&measured->boundary, run, i)) +
                  along(in_px(g.end[LENGTH], to), mitre(&measured->boundary, run, next));
  }
}

/* All boundaries outwards together; a line has none. */
static void
add_outlining(Measured *measured)
{
  const PwBoundary *boundary = &measured->boundary;
  double by[N_SIZES] = {0};
  double u = measured->scale->uncertainty.by[PW_INPUT_OUTLINING] / sqrt(3);
  for (guint r = 0; r < boundary->runs->len; r++)
    if (pw_boundary_run(boundary, r)->closed)
      add_run_to_outlining(measured, pw_boundary_run(boundary, r), by);
  const PwRun *outer = pw_boundary_run(boundary, 0);
  if (outer->closed) {
    Gradient direction = longest_direction(measured), back = {-direction.x, -direction.y};
    for (int end = 0; end < 2; end++) {
      gsize at = measured->longest[end];
      by[LONGEST] += along(in_px(end ? direction : back, &measured->jacobians[4 * at]),
                           mitre(boundary, outer, at));
    }
  }
  PwContribution key = {.input = PW_INPUT_OUTLINING, .scope = PW_SCOPE_VOLUME, .dof = HUGE_VAL};
  for (int s = 0; s < N_SIZES; s++)
    contribute(measured, s, key, u * by[s]);
}

/* ---- Measuring --------------------------------------------------------------------- */

static gboolean
check_boundary(const PwBoundary *boundary, GError **error)
{
  for (guint r = 0; r < boundary->runs->len; r++) {
    const PwRun *run = pw_boundary_run(boundary, r);
    if (run->n < (run->closed ? 3 : 2)) {
      g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                          run->closed ? "an outline needs three different points"
                                      : "a line needs two different points");
      return FALSE;
    }
  }
  if (boundary->runs->len == 0)
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, "there is nothing to measure");
  return boundary->runs->len > 0;
}

/* The boundary is in place; everything else follows from it. */
static gboolean
measure(Measured *measured, GError **error)
{
  PwBoundary *boundary = &measured->boundary;
  if (!check_boundary(boundary, error))
    return FALSE;
  pw_boundary_divide(boundary, &measured->scale->input.lens);
  if (!undistort_points(measured, error) ||
      !map_points(measured, &measured->scale->map, measured->mm, error))
    return FALSE;
  const PwRun *outer = pw_boundary_run(boundary, 0);
  pw_mm_longest(measured->mm, outer->n, &measured->longest[0], &measured->longest[1]);
  values_of(measured, measured->mm, measured->values);
  if (!add_scale_inputs(measured, error))
    return FALSE;
  add_knots(measured);
  add_lengthening(measured);
  add_outlining(measured);
  return TRUE;
}

static void
take_size(Measured *measured, int size, PwSize *out)
{
  pw_size_take(measured->values[size], g_steal_pointer(&measured->contributions[size]), out);
}

void
pw_shape_sizes_clear(PwShapeSizes *sizes)
{
  pw_size_clear(&sizes->area_mm2);
  pw_size_clear(&sizes->perimeter_mm);
  pw_size_clear(&sizes->longest_mm);
  pw_size_clear(&sizes->length_mm);
}

gboolean
pw_measure_shape(const PwScale *scale, const PwShape *shape, PwShapeSizes *sizes, GError **error)
{
  Measured measured;
  *sizes = (PwShapeSizes){0};
  if (shape->kind == PW_KIND_POINT)
    return TRUE;
  measured_init(&measured, scale);
  pw_boundary_add(&measured.boundary, shape, scale->input.photo_owner);
  gboolean done = measure(&measured, error);
  if (done && shape->kind == PW_KIND_AREA) {
    take_size(&measured, AREA, &sizes->area_mm2);
    take_size(&measured, LENGTH, &sizes->perimeter_mm);
    take_size(&measured, LONGEST, &sizes->longest_mm);
  } else if (done) {
    take_size(&measured, LENGTH, &sizes->length_mm);
  }
  measured_clear(&measured);
  return done;
}

gboolean
pw_measure_union(const PwScale *scale, const PwShape *const *shapes, gsize n, PwSize *size,
                 GError **error)
{
  Measured measured;
  *size = (PwSize){0};
  if (n == 0 || shapes[0]->kind == PW_KIND_POINT)
    return TRUE;
  measured_init(&measured, scale);
  gboolean areas = shapes[0]->kind == PW_KIND_AREA;
  for (gsize i = 0; i < n; i++)
    pw_boundary_add(&measured.boundary, shapes[i], scale->input.photo_owner);
  gboolean done = check_boundary(&measured.boundary, error) &&
                  (n == 1 || !areas || pw_boundary_unite(&measured.boundary, error)) &&
                  measure(&measured, error);
  if (done)
    take_size(&measured, areas ? AREA : LENGTH, size);
  measured_clear(&measured);
  return done;
}

double
pw_shape_area_px(const PwShape *shape)
{
  double area = fabs(pw_px_signed_area(shape->path.points, shape->path.n));
  for (gsize i = 0; i < shape->n_holes; i++)
    area -= fabs(pw_px_signed_area(shape->holes[i].points, shape->holes[i].n));
  return shape->kind == PW_KIND_AREA ? area : 0;
}

double
pw_shape_length_px(const PwShape *shape)
{
  return pw_px_length(shape->path.points, shape->path.n, shape->kind == PW_KIND_AREA);
}
