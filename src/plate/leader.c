/* What a leader costs. A line that runs through other marks, or along them, or over the dot at the
 * end of another leader, leaves open which of them is meant. */
#include "leader.h"

#include <math.h>

#include "spacing.h"

/* A crossing of a mark's line is worth a detour of this much; of the card's edge, which says
 * nothing of the damage, of less; and to run close beside a mark's line of this. */
#define CROSSING_MARK_MM 40.0
#define CROSSING_CARD_MM 8.0
#define BESIDE_SHARE 0.25
/* Nearer than this a leader seems to touch a line, with the light casings of both. */
#define BESIDE_MM 0.7
/* So far from the middle of another's dot a leader is seen to pass by: the dot, its casing, that of
 * the leader, and as much again. */
#define DOT_CLEAR_MM 1.0
/* Of its own mark the last of a leader, where it arrives, is not looked at. */
#define ARRIVING_MM 0.05

/* The square of how far p is from the segment ab: a page asks for it a million times. */
static double
square_apart(PwPaper a, PwPaper b, PwPaper p)
{
  double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
  double t = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;
  t = CLAMP(t, 0, 1);
  double x = a.x + t * dx - p.x, y = a.y + t * dy - p.y;
  return x * x + y * y;
}

gboolean
pw_leader_is_at(PwPaper bend, PwPaper end, PwPaper dot)
{
  return square_apart(bend, end, dot) < DOT_CLEAR_MM * DOT_CLEAR_MM;
}

/* ---- Obstacles ------------------------------------------------------------------------------- */

static void
add_obstacle(GArray *all, const PwLayout *layout, guint picture, int mark,
             const PwPaperShape *shape)
{
  PwBox bounds = pw_paper_shape_bounds(shape);
  PwObstacle obstacle = {.picture = picture, .mark = mark, .shape = shape};
  obstacle.worth = mark < 0 ? CROSSING_CARD_MM : CROSSING_MARK_MM;
  obstacle.middle = (PwPaper){bounds.x + bounds.width / 2, bounds.y + bounds.height / 2};
  if (shape->kind == PW_KIND_POINT)
    obstacle.ring = layout->point_radius;
  else if (MAX(bounds.width, bounds.height) < PW_SMALLEST_MARK)
    obstacle.ring = PW_FIND_RING;
  double round = BESIDE_MM + obstacle.ring;
  obstacle.reach = (PwBox){bounds.x - round, bounds.y - round, bounds.width + 2 * round,
                           bounds.height + 2 * round};
  g_array_append_val(all, obstacle);
}

GArray *
pw_obstacles_new(const PwLayout *layout, const GArray *placed)
{
  GArray *all = g_array_new(FALSE, FALSE, sizeof(PwObstacle));
  for (guint i = 0; i < placed->len; i++) {
    const PwCallout *callout = g_array_index(placed, PwPlaced, i).block->callout;
    const int marks[] = {callout->mark, callout->earlier};
    for (gsize k = 0; k < G_N_ELEMENTS(marks); k++)
      if (marks[k] >= 0)
        add_obstacle(all, layout, callout->picture, marks[k],
                     &layout->shapes[callout->picture][marks[k]]);
  }
  for (guint i = 0; i < layout->sheet->n_pictures; i++)
    for (guint k = 0; k < layout->n_cards[i]; k++)
      add_obstacle(all, layout, i, -1, &layout->cards[i][k]);
  return all;
}

/* ---- What a leader runs over ----------------------------------------------------------------- */

static gboolean
passes(const PwBox *box, PwPaper a, PwPaper b)
{
  return MAX(a.x, b.x) >= box->x && MIN(a.x, b.x) <= box->x + box->width &&
         MAX(a.y, b.y) >= box->y && MIN(a.y, b.y) <= box->y + box->height;
}

/* Whether the segments ab and cd, which do not meet, are as near as that. */
static gboolean
are_beside(PwPaper a, PwPaper b, PwPaper c, PwPaper d)
{
  const double near = BESIDE_MM * BESIDE_MM;
  return square_apart(a, b, c) < near || square_apart(a, b, d) < near ||
         square_apart(c, d, a) < near || square_apart(c, d, b) < near;
}

/* Whether nothing of the segment cd is near the segment ab. */
static gboolean
is_away(PwPaper a, PwPaper b, PwPaper c, PwPaper d)
{
  return MIN(c.x, d.x) > MAX(a.x, b.x) + BESIDE_MM || MAX(c.x, d.x) < MIN(a.x, b.x) - BESIDE_MM ||
         MIN(c.y, d.y) > MAX(a.y, b.y) + BESIDE_MM || MAX(c.y, d.y) < MIN(a.y, b.y) - BESIDE_MM;
}

/* How many lines of it the segment from a to b crosses, or a share of one where it passes beside.
 */
static double
crossings(const PwObstacle *obstacle, PwPaper a, PwPaper b)
{
  const PwPaperPath *ring = &obstacle->shape->rings[0];
  gboolean beside = FALSE;
  double n = 0;
  if (obstacle->ring > 0) {
    double apart = sqrt(square_apart(a, b, obstacle->middle)) - obstacle->ring;
    return apart < 0 ? 2 : apart < BESIDE_MM ? BESIDE_SHARE : 0;
  }
  gsize edges = ring->n - (obstacle->shape->kind == PW_KIND_AREA ? 0 : 1);
  for (gsize i = 0; i < edges; i++) {
    PwPaper c = ring->points[i], d = ring->points[i + 1 < ring->n ? i + 1 : 0];
    if (is_away(a, b, c, d))
      continue;
    if (pw_segments_meet(a, b, c, d))
      n++;
    else
      beside = beside || are_beside(a, b, c, d);
  }
  /* What lies within another is reached over its line once. */
  if (obstacle->shape->kind == PW_KIND_AREA && fmod(n, 2) > 0)
    return n - 1 + BESIDE_SHARE;
  return n > 0 ? n : beside ? BESIDE_SHARE : 0;
}

/* Over its own mark it may run beside its edge, but not across. */
static double
own_crossings(const PwObstacle *obstacle, PwPaper bend, PwPaper end)
{
  double length = hypot(end.x - bend.x, end.y - bend.y);
  if (obstacle->ring > 0 || length <= ARRIVING_MM)
    return 0;
  double t = 1 - ARRIVING_MM / length;
  PwPaper before = {bend.x + t * (end.x - bend.x), bend.y + t * (end.y - bend.y)};
  return ceil(crossings(obstacle, bend, before) - BESIDE_SHARE);
}

static gboolean
is_foreign(const PwObstacle *obstacle, const PwCallout *callout)
{
  return obstacle->picture == callout->picture &&
         (obstacle->mark < 0 ||
          (obstacle->mark != callout->mark && obstacle->mark != callout->earlier));
}

double
pw_leader_trouble(const GArray *obstacles, const PwCallout *callout, PwPaper bend, PwPaper end)
{
  double trouble = 0;
  for (guint i = 0; i < obstacles->len; i++) {
    const PwObstacle *obstacle = &g_array_index(obstacles, PwObstacle, i);
    if (obstacle->picture != callout->picture || !passes(&obstacle->reach, bend, end))
      continue;
    if (is_foreign(obstacle, callout))
      trouble += obstacle->worth * crossings(obstacle, bend, end);
    else if (obstacle->mark == callout->mark)
      trouble += obstacle->worth * own_crossings(obstacle, bend, end);
  }
  return trouble;
}

guint
pw_leaders_over(const PwLayout *layout, const GArray *placed)
{
  g_autoptr(GArray) obstacles = pw_obstacles_new(layout, placed);
  guint n = 0;
  for (guint i = 0; i < placed->len; i++) {
    const PwPlaced *own = &g_array_index(placed, PwPlaced, i);
    for (guint k = 0; own->leads && k < obstacles->len; k++) {
      const PwObstacle *obstacle = &g_array_index(obstacles, PwObstacle, k);
      if (is_foreign(obstacle, own->block->callout) &&
          passes(&obstacle->reach, own->bend, own->anchor))
        n += crossings(obstacle, own->bend, own->anchor) >= 1 ? 1 : 0;
    }
  }
  return n;
}
