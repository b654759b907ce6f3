/* What is measured: rings and lines in upright px whose every edge knows which knots move it.
 * Private to measure.
 */
#ifndef PW_MEASURE_BOUNDARY_H
#define PW_MEASURE_BOUNDARY_H

#include "scale.h"

/* Where a hand placed a point: two inputs, its x (`index`) and its y (`index` + 1), each of
 * standard uncertainty `u_px`; not above 0: the scale's. */
typedef struct {
  PwScope scope;
  guint owner;
  guint index;
  double u_px;
} PwKnot;

/* An edge moves with the displacements of knots a and b: at its start by (1 - t0) a + t0 b, at its
 * end by (1 - t1) a + t1 b, evenly between. */
typedef struct {
  guint a, b;
  double t0, t1;
} PwEdge;

/* A ring, or a line. Edge i leads from point i to the next; a line has one edge fewer. */
typedef struct {
  gsize first, n; /* its points in the boundary */
  gboolean closed;
  double sign; /* of a ring: what its signed area (px) counts with, so that holes subtract */
} PwRun;

typedef struct {
  GArray *points; /* PwPx */
  GArray *edges;  /* PwEdge, one for each point; a line's last is unused */
  GArray *runs;   /* PwRun */
  GArray *knots;  /* PwKnot */
} PwBoundary;

void pw_boundary_init(PwBoundary *boundary);
void pw_boundary_clear(PwBoundary *boundary);
/* Adds a shape's outline and holes, or its line, with their knots. */
void pw_boundary_add(PwBoundary *boundary, const PwShape *shape, guint photo_owner);
/* Makes `boundary`, of rings only, the boundary of their union. */
gboolean pw_boundary_unite(PwBoundary *boundary, GError **error);
/* Divides edges so finely that no straight edge strays from its bent image. */
void pw_boundary_divide(PwBoundary *boundary, const PwLens *lens);

static inline const PwPx *
pw_boundary_points(const PwBoundary *boundary)
{
  return (const PwPx *)(const void *)boundary->points->data;
}

static inline const PwEdge *
pw_boundary_edges(const PwBoundary *boundary)
{
  return (const PwEdge *)(const void *)boundary->edges->data;
}

static inline const PwRun *
pw_boundary_run(const PwBoundary *boundary, gsize i)
{
  return &g_array_index(boundary->runs, PwRun, i);
}

static inline gsize
pw_run_n_edges(const PwRun *run)
{
  return run->closed ? run->n : run->n - 1;
}

/* The point after point i of the run, as an index into the boundary's points. */
static inline gsize
pw_run_next(const PwRun *run, gsize i)
{
  return i + 1 < run->first + run->n ? i + 1 : run->first;
}

#endif
