/* Surfaces: a start from the outlines of the whole face in both pictures, taken as quadrilaterals.
 */
#include <platewright/align.h>

#include <math.h>

enum { CORNERS = 4, POINTS_MAX = 128 /* of an outline that are looked at, evenly chosen */ };

/* Twice the area, positive where c lies to the right of a to b, y down. */
static double
turn(const PwPx *a, const PwPx *b, const PwPx *c)
{
  return (b->x - a->x) * (c->y - a->y) - (b->y - a->y) * (c->x - a->x);
}

/* The point on one side of a line that is farthest from it. */
static gsize
farthest(const PwPx *points, gsize n, gsize from, gsize to, double side, double *area)
{
  gsize best = from;
  *area = 0;
  for (gsize i = 0; i < n; i++) {
    double here = side * turn(&points[from], &points[to], &points[i]);
    if (here > *area) {
      *area = here;
      best = i;
    }
  }
  return best;
}

/* The largest quadrilateral among the points of an outline, clockwise as seen. */
static gboolean
corners_of(const PwPxPath *outline, double corners[CORNERS][2])
{
  g_autofree PwPx *points = g_new(PwPx, POINTS_MAX);
  gsize n = MIN(outline->n, POINTS_MAX), found[CORNERS] = {0};
  for (gsize i = 0; i < n; i++)
    points[i] = outline->points[i * outline->n / n];
  double most = 0;
  for (gsize i = 0; i < n; i++)
    for (gsize k = i + 1; k < n; k++) {
      double right, left;
      gsize r = farthest(points, n, i, k, 1, &right), l = farthest(points, n, i, k, -1, &left);
      if (right <= 0 || left <= 0 || right + left <= most)
        continue;
      most = right + left;
      found[0] = i;
      found[1] = l;
      found[2] = k;
      found[3] = r;
    }
  for (int i = 0; i < CORNERS; i++) {
    corners[i][0] = points[found[i]].x;
    corners[i][1] = points[found[i]].y;
  }
  return most > 0;
}

/* By how much a homography turns the middle of a quadrilateral, radians. */
static double
turned(const PwHomography *h, const double corners[CORNERS][2])
{
  double x = 0, y = 0, j[4];
  for (int i = 0; i < CORNERS; i++) {
    x += corners[i][0] / CORNERS;
    y += corners[i][1] / CORNERS;
  }
  pw_homography_jacobian(h, x, y, j);
  return fabs(atan2(j[2] - j[1], j[0] + j[3]));
}

gboolean
pw_align_start_surfaces(const PwPxPath *before, const PwPxPath *after, PwHomography *start,
                        GError **error)
{
  double here[CORNERS][2], there[CORNERS][2], moved[CORNERS][2], least = INFINITY;
  if (!corners_of(after, here) || !corners_of(before, there)) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "an outline of the surface has no four corners");
    return FALSE;
  }
  for (int shift = 0; shift < CORNERS; shift++) {
    for (int i = 0; i < CORNERS; i++)
      for (int k = 0; k < 2; k++)
        moved[i][k] = there[(i + shift) % CORNERS][k];
    PwHomography h;
    if (!pw_homography_fit((const double(*)[2])here, (const double(*)[2])moved, CORNERS, &h, NULL,
                           NULL))
      continue;
    double by = turned(&h, (const double(*)[2])here);
    if (by < least) {
      least = by;
      *start = h;
    }
  }
  if (isfinite(least))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
              "the outlines of the surface give no place for one picture over the other");
  return FALSE;
}
