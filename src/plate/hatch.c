/* Hatch lines by an even-odd scan in a frame turned so that the lines lie level: u runs along a
 * line, v across the lines, both in mm on paper. Line k has v = k * gap. Each edge of each ring
 * leaves a crossing on every line it passes; crossings of one line, sorted, pair up to the pieces
 * inside. */
#include "hatch.h"

#include <math.h>

/* More lines than any page can hold at a gap that can be seen; guards against a gap of almost
 * nothing. */
#define MOST_LINES 20000

/* A middle is left free only where it is half a reach wide: a shorter gap would look like a fault.
 */
#define WORTH_LEAVING 2.5

typedef struct {
  int line;
  double u;
} Crossing;

typedef struct {
  double cos, sin, gap;
} Frame;

static PwPaper
turn(const Frame *frame, PwPaper p)
{
  return (PwPaper){p.x * frame->cos - p.y * frame->sin, p.x * frame->sin + p.y * frame->cos};
}

static PwPaper
turn_back(const Frame *frame, double u, double v)
{
  return (PwPaper){u * frame->cos + v * frame->sin, v * frame->cos - u * frame->sin};
}

/* Half-open in v, so that a line through a corner meets exactly one of the two edges that pass on
 * and both or none of two that turn back. */
static void
cross_edge(GArray *crossings, const Frame *frame, PwPaper a, PwPaper b)
{
  if (a.y > b.y) {
    PwPaper swap = a;
    a = b;
    b = swap;
  }
  double first = ceil(a.y / frame->gap), end = ceil(b.y / frame->gap);
  if (end - first > MOST_LINES)
    return;
  for (double k = first; k < end; k += 1) {
    double t = (k * frame->gap - a.y) / (b.y - a.y);
    Crossing crossing = {(int)k, a.x + t * (b.x - a.x)};
    g_array_append_val(crossings, crossing);
  }
}

static int
compare_crossings(gconstpointer a, gconstpointer b)
{
  const Crossing *p = a, *q = b;
  if (p->line != q->line)
    return p->line < q->line ? -1 : 1;
  return (p->u > q->u) - (p->u < q->u);
}

static void
cross_ring(GArray *crossings, const Frame *frame, const PwPaperPath *ring)
{
  for (gsize i = 0; i < ring->n; i++)
    cross_edge(crossings, frame, turn(frame, ring->points[i]),
               turn(frame, ring->points[(i + 1) % ring->n]));
}

static void
add_stroke(GArray *strokes, const Frame *frame, double from_u, double to_u, double v)
{
  PwStroke stroke = {turn_back(frame, from_u, v), turn_back(frame, to_u, v)};
  g_array_append_val(strokes, stroke);
}

GArray *
pw_hatch_new(const PwPaperPath *rings, gsize n_rings, double angle_deg, double gap_mm,
             double reach_mm)
{
  GArray *strokes = g_array_new(FALSE, FALSE, sizeof(PwStroke));
  if (!(gap_mm > 0))
    return strokes;
  double angle = angle_deg * G_PI / 180;
  Frame frame = {cos(angle), sin(angle), gap_mm};
  g_autoptr(GArray) crossings = g_array_new(FALSE, FALSE, sizeof(Crossing));
  for (gsize i = 0; i < n_rings; i++)
    cross_ring(crossings, &frame, &rings[i]);
  g_array_sort(crossings, compare_crossings);
  for (guint i = 0; i + 1 < crossings->len; i += 2) {
    const Crossing *in = &g_array_index(crossings, Crossing, i);
    const Crossing *out = in + 1;
    double v = in->line * gap_mm;
    if (out->u - in->u <= WORTH_LEAVING * reach_mm) {
      add_stroke(strokes, &frame, in->u, out->u, v);
      continue;
    }
    add_stroke(strokes, &frame, in->u, in->u + reach_mm, v);
    add_stroke(strokes, &frame, out->u - reach_mm, out->u, v);
  }
  return strokes;
}
