/* The greatest distance between two points of a set: convex hull by Andrew's monotone chain, then
 * the antipodal pairs of the hull (Shamos 1978; Preparata and Shamos, Computational
 * Geometry, 4.2.3), so that an outline of 100,000 points takes no longer than sorting it.
 */
#include <platewright/geometry.h>

#include <math.h>

typedef struct {
  const PwMm *points;
  gsize *hull; /* indices of the corners, in turning order */
  gsize n_hull;
} Hull;

/* By x, then y, then index, so that of equal points the first counts. */
static int
by_place(gconstpointer a, gconstpointer b, gpointer user)
{
  const PwMm *points = ((const Hull *)user)->points;
  gsize i = *(const gsize *)a, j = *(const gsize *)b;
  const PwMm *p = &points[i], *q = &points[j];
  if (p->x < q->x || p->x > q->x)
    return p->x < q->x ? -1 : 1;
  if (p->y < q->y || p->y > q->y)
    return p->y < q->y ? -1 : 1;
  return i < j ? -1 : i > j;
}

static double
turn(const PwMm *o, const PwMm *a, const PwMm *b)
{
  return (a->x - o->x) * (b->y - o->y) - (a->y - o->y) * (b->x - o->x);
}

/* Takes back corners that the next point leaves inside or on an edge, then adds it. */
static void
hull_push(Hull *hull, gsize floor, gsize index)
{
  const PwMm *p = hull->points;
  while (hull->n_hull >= floor + 2 &&
         turn(&p[hull->hull[hull->n_hull - 2]], &p[hull->hull[hull->n_hull - 1]], &p[index]) <= 0)
    hull->n_hull--;
  hull->hull[hull->n_hull++] = index;
}

static void
hull_init(Hull *hull, const PwMm *points, gsize n)
{
  *hull = (Hull){points, g_new(gsize, 2 * n + 2), 0};
  g_autofree gsize *order = g_new(gsize, n);
  for (gsize i = 0; i < n; i++)
    order[i] = i;
  g_qsort_with_data(order, (int)n, sizeof *order, by_place, hull);
  for (gsize i = 0; i < n; i++)
    hull_push(hull, 0, order[i]);
  gsize floor = hull->n_hull - 1;
  for (gsize i = n - 1; i-- > 0;)
    hull_push(hull, floor, order[i]);
  if (hull->n_hull > 1)
    hull->n_hull--; /* the first corner came round again */
}

typedef struct {
  gsize i, j;
  double squared;
} Pair;

static void
pair_offer(Pair *best, const PwMm *points, gsize a, gsize b)
{
  gsize i = MIN(a, b), j = MAX(a, b);
  double dx = points[j].x - points[i].x, dy = points[j].y - points[i].y;
  double squared = dx * dx + dy * dy;
  gboolean first = i < best->i || (i == best->i && j < best->j);
  if (squared > best->squared || (squared >= best->squared && first))
    *best = (Pair){i, j, squared};
}

/* Walks round the hull with two parallel supporting lines. */
static void
offer_antipodal(const Hull *hull, Pair *best)
{
  const PwMm *p = hull->points;
  const gsize *h = hull->hull;
  gsize n = hull->n_hull, far = 1;
  for (gsize i = 0; i < n; i++) {
    gsize next = (i + 1) % n;
    pair_offer(best, p, h[i], h[far]);
    while (turn(&p[h[i]], &p[h[next]], &p[h[(far + 1) % n]]) >
           turn(&p[h[i]], &p[h[next]], &p[h[far]])) {
      far = (far + 1) % n;
      pair_offer(best, p, h[i], h[far]);
    }
    pair_offer(best, p, h[next], h[far]);
    /* An edge parallel to the one opposite has two pairs more. */
    gsize beyond = (far + 1) % n;
    pair_offer(best, p, h[i], h[beyond]);
    pair_offer(best, p, h[next], h[beyond]);
  }
}

double
pw_mm_longest(const PwMm *points, gsize n, gsize *i, gsize *j)
{
  Pair best = {0, 0, 0};
  if (n > 1) {
    Hull hull;
    hull_init(&hull, points, n);
    if (hull.n_hull > 2)
      offer_antipodal(&hull, &best);
    else if (hull.n_hull == 2)
      pair_offer(&best, points, hull.hull[0], hull.hull[1]);
    g_free(hull.hull);
  }
  if (i)
    *i = best.i;
  if (j)
    *j = best.j;
  return sqrt(best.squared);
}
