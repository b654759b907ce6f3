/* Corners and ends drawn by hand, set on the edges under them. */
#include "side.h"

#include <math.h>

/* Corners are rounded by blur and by wear: so much of a side is left out at either end. */
static const double ROUND_PART = 0.06;
/* Sides shorter than this show no edge to speak of; ends nearer than this make no line. */
static const double SIDE_MIN_PX = 12, SPAN_MIN_PX = 4;
/* An edge that crosses a span is looked at so far to either side; lines thinner than this have
 * their middle, not an edge, for a mark. */
static const double ACROSS_PX = 10, THIN_PX = 12;

static gboolean
refuse(PwErrorCode code, const char *says, GError **error)
{
  g_set_error_literal(error, PW_ERROR, (int)code, says);
  return FALSE;
}

static gboolean
lies_on(const PwPlane *grey, PwPx p)
{
  return p.x >= 0 && p.y >= 0 && p.x <= grey->width && p.y <= grey->height;
}

static gboolean
check_asked(const PwPlane *grey, const PwPx *points, int n, double reach, GError **error)
{
  if (grey->channels != 1 || grey->width < 1 || grey->height < 1)
    return refuse(PW_ERROR_LIMIT, "corners are sought in a grey picture", error);
  if (!(reach >= PW_REACH_MIN && reach <= PW_REACH_MAX))
    return refuse(PW_ERROR_USE, "the reach of a corner is 2 to 100 px", error);
  for (int i = 0; i < n; i++)
    if (!lies_on(grey, points[i]))
      return refuse(PW_ERROR_USE, "a corner lies outside the photograph", error);
  return TRUE;
}

/* ---- Corners ----------------------------------------------------------------------- */

/* "the upper side": by where the side lies from the middle of all. */
static const char *
name_of(const PwPx corners[4], int side)
{
  PwPx a = corners[side], b = corners[(side + 1) % 4];
  PwPx c = corners[(side + 2) % 4], d = corners[(side + 3) % 4];
  double x = a.x + b.x - c.x - d.x, y = a.y + b.y - c.y - d.y;
  if (fabs(y) > fabs(x))
    return y < 0 ? "upper" : "lower";
  return x < 0 ? "left" : "right";
}

static gboolean
find_side(const PwPlane *grey, const PwPx corners[4], int side, double reach, PwSideEdge *edge,
          GError **error)
{
  PwSideEdge edges[PW_SIDE_EDGES];
  int n = pw_side_find(grey, corners[side], corners[(side + 1) % 4], reach, ROUND_PART, edges);
  if (n == 0)
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "no straight edge lies under the %s side; the corners stay where you put them",
                name_of(corners, side));
  if (n > 1)
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
                "two edges lie near each other under the %s side; put the corners closer to the "
                "one you mean",
                name_of(corners, side));
  *edge = edges[0];
  return n == 1;
}

/* a x + b y = c, a and b of unit length. */
typedef struct {
  double a, b, c, u;
} EdgeLine;

static EdgeLine
line_of(PwPx from, PwPx to, const PwSideEdge *edge)
{
  double length = hypot(to.x - from.x, to.y - from.y);
  double nx = (to.y - from.y) / length, ny = (from.x - to.x) / length;
  PwPx p = {from.x + edge->at_from * nx, from.y + edge->at_from * ny};
  PwPx q = {to.x + edge->at_to * nx, to.y + edge->at_to * ny};
  double real = hypot(q.x - p.x, q.y - p.y);
  EdgeLine line = {(q.y - p.y) / real, (p.x - q.x) / real, 0, edge->u};
  line.c = line.a * p.x + line.b * p.y;
  return line;
}

/* Where two lines meet; `u`: what their uncertainties make there, for each coordinate. */
static PwPx
meeting(const EdgeLine *p, const EdgeLine *q, double *u)
{
  double determinant = p->a * q->b - q->a * p->b;
  *u = sqrt((p->u * p->u + q->u * q->u) / 2) / fabs(determinant);
  return (PwPx){(p->c * q->b - q->c * p->b) / determinant,
                (p->a * q->c - q->a * p->c) / determinant};
}

gboolean
pw_trace_corners(const PwPlane *grey, const PwPx corners[4], double reach_px, PwPx improved[4],
                 double *doubt_px, GError **error)
{
  EdgeLine lines[4];
  PwPx found[4];
  double doubt = 0;
  if (!check_asked(grey, corners, 4, reach_px, error))
    return FALSE;
  for (int i = 0; i < 4; i++)
    if (!(hypot(corners[(i + 1) % 4].x - corners[i].x, corners[(i + 1) % 4].y - corners[i].y) >=
          SIDE_MIN_PX))
      return refuse(PW_ERROR_USE, "the corners lie too near to one another", error);
  for (int i = 0; i < 4; i++) {
    PwSideEdge edge;
    if (!find_side(grey, corners, i, reach_px, &edge, error))
      return FALSE;
    lines[i] = line_of(corners[i], corners[(i + 1) % 4], &edge);
  }
  for (int i = 0; i < 4; i++) {
    double u;
    found[i] = meeting(&lines[(i + 3) % 4], &lines[i], &u);
    doubt = fmax(doubt, u);
    /* Sides nearly in line meet anywhere; NAN is caught too. */
    if (!(hypot(found[i].x - corners[i].x, found[i].y - corners[i].y) <= reach_px))
      return refuse(PW_ERROR_NUMERIC,
                    "the edges meet further away than the corners may move; put the corners closer "
                    "to them",
                    error);
  }
  for (int i = 0; i < 4; i++)
    improved[i] = found[i];
  if (doubt_px != NULL)
    *doubt_px = doubt;
  return TRUE;
}

/* ---- The end of a span ------------------------------------------------------------- */

/* Where an edge crosses the line itself, by its places at both ends of what was drawn across. */
static double
where_on_line(const PwSideEdge *edge)
{
  return (edge->at_from + edge->at_to) / 2;
}

/* The two edges of a thin line: of opposite signs, and no further apart than it may be thick. */
static gboolean
is_thin_line(const PwSideEdge *edge, const PwSideEdge *other)
{
  return edge->sign != other->sign && fabs(edge->at_from - other->at_from) < THIN_PX &&
         fabs(edge->at_to - other->at_to) < THIN_PX;
}

gboolean
pw_trace_end(const PwPlane *grey, PwPx from, PwPx to, double reach_px, PwPx *improved,
             double *doubt_px, GError **error)
{
  PwPx ends[2] = {from, to};
  if (!check_asked(grey, ends, 2, reach_px, error))
    return FALSE;
  double length = hypot(to.x - from.x, to.y - from.y);
  if (!(length >= SPAN_MIN_PX))
    return refuse(PW_ERROR_USE, "the ends lie too near to one another", error);
  double ux = (to.x - from.x) / length, uy = (to.y - from.y) / length;
  /* Drawn across the span, so that its left is onwards along the span. */
  PwPx a = {to.x + ACROSS_PX * uy, to.y - ACROSS_PX * ux};
  PwPx b = {to.x - ACROSS_PX * uy, to.y + ACROSS_PX * ux};
  PwSideEdge edges[PW_SIDE_EDGES];
  int n = pw_side_find(grey, a, b, reach_px, 0, edges);
  if (n == 0)
    return refuse(PW_ERROR_NUMERIC, "no edge crosses the line near its end", error);
  if (n > 2 || (n == 2 && !is_thin_line(&edges[0], &edges[1])))
    return refuse(PW_ERROR_NUMERIC,
                  "two edges cross the line near its end; put the end closer to the one you mean",
                  error);
  double along = where_on_line(&edges[0]), u = edges[0].u / 2;
  if (n == 2) {
    along = (along + where_on_line(&edges[1])) / 2;
    u = hypot(edges[0].u, edges[1].u) / 4;
  }
  if (!(fabs(along) <= reach_px))
    return refuse(PW_ERROR_NUMERIC,
                  "the edge lies further away than the end may move; put the end closer to it",
                  error);
  *improved = (PwPx){to.x + along * ux, to.y + along * uy};
  if (doubt_px != NULL)
    *doubt_px = u;
  return TRUE;
}
