/* A freehand stroke with fewer points. */
#include "thin.h"

#include <math.h>

static gboolean
check_stroke(const PwPxPath *path, double tolerance_px, GError **error)
{
  if (path->n == 0 || path->n > PW_LIMIT_POINTS) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT, "a stroke has 1 to %d points", PW_LIMIT_POINTS);
    return FALSE;
  }
  if (!(tolerance_px > 0) || !isfinite(tolerance_px)) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_USE,
                        "the tolerance of a stroke is a number of px above 0");
    return FALSE;
  }
  for (gsize i = 0; i < path->n; i++)
    if (!(fabs(path->points[i].x) < PW_TRACE_FURTHEST_PX) ||
        !(fabs(path->points[i].y) < PW_TRACE_FURTHEST_PX)) {
      g_set_error_literal(error, PW_ERROR, PW_ERROR_LIMIT,
                          "a point of the stroke is far outside any photograph");
      return FALSE;
    }
  return TRUE;
}

gboolean
pw_trace_simplify(const PwPxPath *path, gboolean closed, double tolerance_px, PwPxPath *out,
                  GError **error)
{
  *out = (PwPxPath){0};
  if (!check_stroke(path, tolerance_px, error))
    return FALSE;
  PwStroke stroke = {.points = path->points, .n = path->n, .closed = closed && path->n > 2};
  gboolean done = pw_strokes_thin(&stroke, 1, tolerance_px);
  if (done) {
    out->points = g_new(PwPx, path->n);
    for (gsize i = 0; i < path->n; i++)
      if (stroke.kept[i])
        out->points[out->n++] = path->points[i];
  } else
    g_set_error_literal(error, PW_ERROR, PW_ERROR_LIMIT,
                        "the stroke crosses itself too often to be made simpler");
  pw_stroke_clear(&stroke);
  return done;
}
