/* Fewer points: Douglas and Peucker's way, then points given back where lines meet that did not.
 *
 * Lines through some of a stroke's points can cross where the stroke does not. Wherever two of them
 * come too near, both take back the point furthest from them, until none does or all points are
 * there again.
 */
#include "thin.h"

#include <math.h>
#include <stdlib.h>

/* Nearer than this two lines might touch once they are written with two decimals. */
static const double GAP_PX = 0.015;
/* A longer run is halved first: the search for the furthest point can take the square of it. */
enum { RUN_MAX = 2048 };
/* Pairs of lines looked at in one round; a sheet of paper scribbled black has more. */
enum { PAIRS_MAX = 20 * 1000 * 1000 };

typedef struct {
  gsize from, to; /* to > from; an index past the end goes on at the start */
} Run;

void
pw_stroke_clear(PwStroke *stroke)
{
  g_free(stroke->kept);
  *stroke = (PwStroke){0};
}

static PwPx
at(const PwStroke *stroke, gsize i)
{
  return stroke->points[i < stroke->n ? i : i - stroke->n];
}

static double
distance_to(PwPx p, PwPx a, PwPx b)
{
  double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
  double t = length2 > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length2 : 0;
  t = fmin(fmax(t, 0), 1);
  return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/* The point within a run furthest from its chord; run.from where there is none between. */
static gsize
furthest(const PwStroke *stroke, Run run, double *distance)
{
  gsize found = run.from;
  *distance = -1;
  for (gsize i = run.from + 1; i < run.to; i++) {
    double d = distance_to(at(stroke, i), at(stroke, run.from), at(stroke, run.to));
    if (d > *distance) {
      *distance = d;
      found = i;
    }
  }
  return found;
}

static void
keep(PwStroke *stroke, gsize i)
{
  stroke->kept[i < stroke->n ? i : i - stroke->n] = TRUE;
}

static void
thin_run(PwStroke *stroke, Run run, double tolerance)
{
  g_autoptr(GArray) runs = g_array_new(FALSE, FALSE, sizeof(Run));
  g_array_append_val(runs, run);
  while (runs->len > 0) {
    Run next = g_array_index(runs, Run, runs->len - 1);
    g_array_set_size(runs, runs->len - 1);
    double distance = HUGE_VAL;
    gsize middle = next.to - next.from > RUN_MAX ? next.from + (next.to - next.from) / 2
                                                 : furthest(stroke, next, &distance);
    if (middle == next.from || distance <= tolerance)
      continue;
    keep(stroke, middle);
    Run before = {next.from, middle}, after = {middle, next.to};
    g_array_append_val(runs, before);
    g_array_append_val(runs, after);
  }
}

static gsize
furthest_from(const PwStroke *stroke, gsize from)
{
  gsize found = from;
  double most = -1;
  for (gsize i = 0; i < stroke->n; i++) {
    double d = hypot(stroke->points[i].x - stroke->points[from].x,
                     stroke->points[i].y - stroke->points[from].y);
    if (d > most) {
      most = d;
      found = i;
    }
  }
  return found;
}

static void
thin_one(PwStroke *stroke, double tolerance)
{
  if (stroke->closed) { /* two points far apart stay */
    gsize a = furthest_from(stroke, 0), b = furthest_from(stroke, a);
    gsize first = MIN(a, b), second = MAX(a, b);
    keep(stroke, first);
    keep(stroke, second);
    thin_run(stroke, (Run){first, second}, tolerance);
    thin_run(stroke, (Run){second, first + stroke->n}, tolerance);
  } else {
    keep(stroke, 0);
    keep(stroke, stroke->n - 1);
    thin_run(stroke, (Run){0, stroke->n - 1}, tolerance);
  }
}

/* ---- Lines that come too near ------------------------------------------------------ */

typedef struct {
  PwPx a, b;
  gsize stroke;
  Run run; /* of the stroke's points */
} Line;

static int
by_left(const void *p, const void *q)
{
  const Line *a = p, *b = q;
  double left = fmin(a->a.x, a->b.x), other = fmin(b->a.x, b->b.x);
  return (left > other) - (left < other);
}

/* The lines through the points kept, in order of the strokes. */
static GArray *
lines_of(const PwStroke *strokes, gsize n)
{
  GArray *lines = g_array_new(FALSE, FALSE, sizeof(Line));
  for (gsize s = 0; s < n; s++) {
    const PwStroke *stroke = &strokes[s];
    gsize first = 0;
    while (first < stroke->n && !stroke->kept[first])
      first++;
    gsize end = stroke->closed ? first + stroke->n : stroke->n - 1;
    for (gsize from = first; from < end;) {
      gsize to = from + 1;
      while (!stroke->kept[to < stroke->n ? to : to - stroke->n])
        to++;
      Line line = {at(stroke, from), at(stroke, to), s, {from, to}};
      g_array_append_val(lines, line);
      from = to;
    }
  }
  return lines;
}

static double
side(PwPx a, PwPx b, PwPx p)
{
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

static gboolean
crosses(const Line *p, const Line *q)
{
  return (side(p->a, p->b, q->a) > 0) != (side(p->a, p->b, q->b) > 0) &&
         (side(q->a, q->b, p->a) > 0) != (side(q->a, q->b, p->b) > 0);
}

/* Lines that follow each other: whether the second runs back along the first. */
static gboolean
folds(const Line *p, const Line *q)
{
  return distance_to(p->a, q->a, q->b) < GAP_PX || distance_to(q->b, p->a, p->b) < GAP_PX;
}

static gboolean
too_near(const PwStroke *strokes, const Line *p, const Line *q)
{
  gsize n = strokes[p->stroke].n;
  gboolean same = p->stroke == q->stroke;
  gboolean before = same && (p->run.to == q->run.from || p->run.to == q->run.from + n);
  gboolean after = same && (q->run.to == p->run.from || q->run.to == p->run.from + n);
  if (before && after) /* a ring of two lines */
    return TRUE;
  if (before || after)
    return before ? folds(p, q) : folds(q, p);
  return crosses(p, q) || distance_to(p->a, q->a, q->b) < GAP_PX ||
         distance_to(p->b, q->a, q->b) < GAP_PX || distance_to(q->a, p->a, p->b) < GAP_PX ||
         distance_to(q->b, p->a, p->b) < GAP_PX;
}

static gboolean
apart_in_y(const Line *p, const Line *q)
{
  return fmin(p->a.y, p->b.y) > fmax(q->a.y, q->b.y) + GAP_PX ||
         fmin(q->a.y, q->b.y) > fmax(p->a.y, p->b.y) + GAP_PX;
}

typedef void (*Meet)(void *user, const Line *p, const Line *q);

/* Tells every pair that is too near; sorts the lines. FALSE when there are too many pairs. */
static gboolean
each_meeting(const PwStroke *strokes, GArray *lines, Meet meet, void *user)
{
  gsize pairs = 0;
  g_array_sort(lines, by_left);
  const Line *all = (const Line *)(const void *)lines->data;
  g_autofree guint *open = g_new(guint, lines->len + 1);
  guint n_open = 0;
  for (guint i = 0; i < lines->len; i++) {
    double left = fmin(all[i].a.x, all[i].b.x) - GAP_PX;
    guint still = 0;
    pairs += n_open;
    if (pairs > PAIRS_MAX)
      return FALSE;
    for (guint k = 0; k < n_open; k++) {
      const Line *other = &all[open[k]];
      if (fmax(other->a.x, other->b.x) < left)
        continue;
      open[still++] = open[k];
      if (!apart_in_y(&all[i], other) && too_near(strokes, &all[i], other))
        meet(user, &all[i], other);
    }
    n_open = still;
    open[n_open++] = i;
  }
  return TRUE;
}

typedef struct {
  PwStroke *strokes;
  gsize n_given_back;
} Mending;

static void
give_back(Mending *mending, const Line *line)
{
  double distance;
  PwStroke *stroke = &mending->strokes[line->stroke];
  gsize i = furthest(stroke, line->run, &distance);
  gsize index = i < stroke->n ? i : i - stroke->n;
  if (i != line->run.from && !stroke->kept[index]) {
    stroke->kept[index] = TRUE;
    mending->n_given_back++;
  }
}

static void
mend(void *user, const Line *p, const Line *q)
{
  give_back(user, p);
  give_back(user, q);
}

gboolean
pw_strokes_thin(PwStroke *strokes, gsize n, double tolerance)
{
  for (gsize s = 0; s < n; s++) {
    strokes[s].kept = g_malloc0(strokes[s].n);
    thin_one(&strokes[s], tolerance);
  }
  for (;;) {
    Mending mending = {strokes, 0};
    g_autoptr(GArray) lines = lines_of(strokes, n);
    if (!each_meeting(strokes, lines, mend, &mending))
      return FALSE;
    if (mending.n_given_back == 0)
      return TRUE;
  }
}

/* ---- Areas given back -------------------------------------------------------------- */

static PwPx
hundredths(PwPx p)
{
  return (PwPx){round(p.x * 100) / 100 + 0.0, round(p.y * 100) / 100 + 0.0};
}

/* Twice the area between a run of points and its chord, positive where the run bulges to the left
 * of the chord as seen: outwards of a ring that runs clockwise as seen. */
static double
bulge(const PwStroke *stroke, Run run)
{
  PwPx origin = at(stroke, run.from);
  double twice = 0;
  for (gsize i = run.from + 1; i + 1 <= run.to; i++) {
    PwPx p = at(stroke, i), q = at(stroke, i + 1);
    twice += (p.x - origin.x) * (q.y - origin.y) - (q.x - origin.x) * (p.y - origin.y);
  }
  return twice;
}

/* As it is written, and no further out than the picture. */
static PwPx
written(PwPx p, const PwPlane *plane)
{
  return hundredths((PwPx){fmin(fmax(p.x, 0), plane->width), fmin(fmax(p.y, 0), plane->height)});
}

/* Where the end that two lines share goes: the area of the ring changes by half the product of the
 * move and the way from the point before to the point after. */
static PwPx
balanced(const PwStroke *stroke, const Line *before, const Line *after, double most,
         const PwPlane *plane)
{
  PwPx here = after->a;
  double gx = (after->b.y - before->a.y) / 2, gy = (before->a.x - after->b.x) / 2;
  double wanted = (bulge(stroke, before->run) + bulge(stroke, after->run)) / 4;
  double g = hypot(gx, gy), move = g > 0 ? wanted / g : 0;
  if (!(fabs(move) <= most))
    move = g > most ? copysign(most, move) : 0;
  if (g > 0)
    here = (PwPx){here.x + move * gx / g, here.y + move * gy / g};
  return written(here, plane);
}

typedef struct {
  gsize n_fixed;
  gboolean *fixed;    /* one a line: its first point stays where it was */
  const gsize *first; /* of each stroke, its first line */
  const gsize *n;     /* and how many */
} Fixing;

/* Here a line's run holds the numbers of its ends among the points kept. */
static void
fix(void *user, const Line *p, const Line *q)
{
  Fixing *fixing = user;
  const Line *lines[] = {p, q};
  for (int i = 0; i < 2; i++)
    for (gsize end = lines[i]->run.from; end <= lines[i]->run.to; end++) {
      gsize s = lines[i]->stroke;
      gboolean *fixed = &fixing->fixed[fixing->first[s] + end % fixing->n[s]];
      fixing->n_fixed += !*fixed;
      *fixed = TRUE;
    }
}

/* Takes back the moves of points whose lines meet now, until none does. */
static gboolean
settle(gsize n, const PwPxPath *paths, const PwPxPath *still, const gsize *first, gboolean *fixed)
{
  g_autofree gsize *counts = g_new(gsize, n);
  g_autofree PwStroke *rings = g_new0(PwStroke, n);
  for (gsize s = 0; s < n; s++) {
    counts[s] = paths[s].n;
    rings[s].n = paths[s].n;
  }
  for (;;) {
    g_autoptr(GArray) lines = g_array_new(FALSE, FALSE, sizeof(Line));
    for (gsize s = 0; s < n; s++)
      for (gsize i = 0; i < counts[s]; i++) {
        if (fixed[first[s] + i])
          paths[s].points[i] = still[s].points[i];
      }
    for (gsize s = 0; s < n; s++)
      for (gsize i = 0; i < counts[s]; i++) {
        Line line = {paths[s].points[i], paths[s].points[(i + 1) % counts[s]], s, {i, i + 1}};
        g_array_append_val(lines, line);
      }
    Fixing fixing = {0, fixed, first, counts};
    if (!each_meeting(rings, lines, fix, &fixing))
      return FALSE;
    if (fixing.n_fixed == 0)
      return TRUE;
  }
}

gboolean
pw_strokes_balance(const PwStroke *strokes, gsize n, double most, const PwPlane *plane,
                   PwPxPath *paths)
{
  g_autoptr(GArray) lines = lines_of(strokes, n);
  const Line *all = (const Line *)(const void *)lines->data;
  g_autofree gsize *first = g_new0(gsize, n + 1);
  g_autofree PwPxPath *still = g_new0(PwPxPath, n);
  gsize line = 0;
  for (gsize s = 0; s < n; s++) {
    first[s] = line;
    while (line < lines->len && all[line].stroke == s)
      line++;
    gsize count = line - first[s];
    still[s] = (PwPxPath){g_new(PwPx, count), count};
    paths[s] = (PwPxPath){g_new(PwPx, count), count};
    for (gsize i = 0; i < count; i++) {
      const Line *after = &all[first[s] + i], *before = &all[first[s] + (i + count - 1) % count];
      still[s].points[i] = written(after->a, plane);
      paths[s].points[i] = balanced(&strokes[s], before, after, most, plane);
    }
  }
  g_autofree gboolean *fixed = g_new0(gboolean, lines->len);
  gboolean done = settle(n, paths, still, first, fixed);
  for (gsize s = 0; s < n; s++) {
    pw_px_path_clear(&still[s]);
    if (!done)
      pw_px_path_clear(&paths[s]);
  }
  return done;
}
