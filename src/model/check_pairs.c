/* What a pair that is laid tells of its marks: a mark after treatment lies where one before lay and
 * does not say that it is the same; a mark before lies where the photograph after shows nothing of
 * it. Only told, as notes: the eye decides, and nothing is written.
 *
 * Laying a pair reads both photographs whole. So only pairs that leave something open are looked
 * at, and, unless all is asked for, only those that were laid already.
 */
#include <platewright/pair.h>

#include <math.h>
#include <string.h>

#include "model-private.h"

/* Of the smaller of two areas, of the shorter of two lines: what lies on the other. Common
 * practice, no source. */
#define LEAST_SHARED 0.5
/* Lines and points within this part of the photograph's longer side lie on each other: a hand
 * places them so well. Common practice, no source. */
#define NEAR 0.01
enum { STEPS = 64 }; /* places of a line that are looked at */

/* ---- What two marks have in common ------------------------------------------------------ */

/* In px of before; FALSE, and nothing to clear, where a point lies beyond the horizon. */
static gboolean
carry(const PwHomography *h, const PwPxPath *path, PwPxPath *carried)
{
  *carried = (PwPxPath){g_new(PwPx, path->n), path->n};
  for (gsize i = 0; i < path->n; i++) {
    PwPx at = path->points[i], *to = &carried->points[i];
    if (h->m[6] * at.x + h->m[7] * at.y + h->m[8] <= 0) {
      pw_px_path_clear(carried);
      return FALSE;
    }
    pw_homography_apply(h, at.x, at.y, &to->x, &to->y);
  }
  return TRUE;
}

static double
area_of(const PwPxPath *ring)
{
  return fabs(pw_px_signed_area(ring->points, ring->n));
}

/* Outer outlines: a hole in one tells little of where it is. */
static double
shared_area(const PwPxPath *a, const PwPxPath *b)
{
  gboolean is_hole = FALSE;
  PwPxPath rings[] = {*a, *b};
  const PwRegion both[] = {{&rings[0], &is_hole, 1}, {&rings[1], &is_hole, 1}};
  PwRegion united = {0};
  if (!pw_outline_check(a, NULL) || !pw_outline_check(b, NULL) ||
      !pw_region_unite(both, 2, &united, NULL))
    return 0;
  double area = 0;
  for (gsize i = 0; i < united.n_rings; i++)
    area += (united.is_hole[i] ? -1 : 1) * area_of(&united.rings[i]);
  pw_region_clear(&united);
  return area_of(a) + area_of(b) - area;
}

static double
distance_to(const PwPxPath *line, PwPx at)
{
  double nearest = hypot(at.x - line->points[0].x, at.y - line->points[0].y);
  for (gsize i = 0; i + 1 < line->n; i++)
    nearest = fmin(nearest, pw_px_distance_to_edge(at, line->points[i], line->points[i + 1]));
  return nearest;
}

/* Of places evenly along `line`, the share that lies near the other. */
static double
share_near(const PwPxPath *line, const PwPxPath *other, double near_px)
{
  double step = pw_px_length(line->points, line->n, FALSE) / STEPS, along = 0, next = step / 2;
  guint n = 0;
  for (gsize i = 0; i + 1 < line->n; i++) {
    PwPx from = line->points[i], to = line->points[i + 1];
    double length = hypot(to.x - from.x, to.y - from.y);
    for (; length > 0 && next < along + length; next += step) {
      double t = (next - along) / length;
      PwPx at = {from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)};
      n += distance_to(other, at) <= near_px;
    }
    along += length;
  }
  return (double)n / STEPS;
}

/* Both in px of before; 0 to 1, of the smaller. */
static double
shared(PwKind kind, const PwPxPath *a, const PwPxPath *b, double near_px)
{
  if (kind == PW_KIND_AREA)
    return shared_area(a, b) / fmin(area_of(a), area_of(b));
  if (kind == PW_KIND_POINT)
    return distance_to(a, b->points[0]) <= near_px ? 1 : 0;
  gboolean a_is_shorter =
      pw_px_length(a->points, a->n, FALSE) < pw_px_length(b->points, b->n, FALSE);
  return a_is_shorter ? share_near(a, b, near_px) : share_near(b, a, near_px);
}

/* ---- What is open ------------------------------------------------------------------------- */

static gboolean
is_drawn(const PwModelMark *mark)
{
  return mark->text->path.n > 0;
}

/* Whether it is linked to a mark of the other side of the treatment, or one that is the same damage
 * is. */
static gboolean
is_linked(const PwModel *model, const PwModelMark *mark)
{
  const gboolean is_after = mark->photo->stage == PW_STAGE_AFTER;
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    const gboolean other = (photo->stage == PW_STAGE_AFTER) != is_after;
    for (gsize j = 0; other && j < photo->n_marks; j++)
      if (photo->marks[j].family == mark->family)
        return TRUE;
  }
  return FALSE;
}

static GPtrArray *
open_marks(const PwModel *model, PwModelPhoto *photo)
{
  GPtrArray *open = g_ptr_array_new();
  for (gsize i = 0; i < photo->n_marks; i++)
    if (is_drawn(&photo->marks[i]) && !is_linked(model, &photo->marks[i]))
      g_ptr_array_add(open, &photo->marks[i]);
  return open;
}

static gboolean
may_be_the_same(const PwModelMark *a, const PwModelMark *b)
{
  return a->kind == b->kind && pw_model_same_term(a, b) &&
         g_strcmp0(a->text->part, b->text->part) == 0;
}

/* ---- What is told ------------------------------------------------------------------------- */

/* The mark before, followed or not, that shares most with one after; NULL where none does enough.
 */
static PwModelMark *
lay_mark(const PwPair *pair, const PwModelMark *after)
{
  const PwModelPhoto *photo = pair->before;
  const double near_px = NEAR * MAX(photo->facts.width, photo->facts.height);
  PwModelMark *best = NULL;
  double most = LEAST_SHARED;
  PwPxPath carried;
  if (!carry(&pair->alignment.h, &after->text->path, &carried))
    return NULL;
  for (gsize i = 0; i < photo->n_marks; i++) {
    PwModelMark *before = &photo->marks[i];
    if (!is_drawn(before) || !may_be_the_same(before, after))
      continue;
    double share = shared(after->kind, &before->text->path, &carried, near_px);
    if (share >= most && (best == NULL || share > most)) {
      best = before;
      most = share;
    }
  }
  pw_px_path_clear(&carried);
  return best;
}

static void
propose(const PwModelMark *after, const PwModelMark *before, PwComplaints *complaints)
{
  const PwModelPhoto *photo = after->photo;
  pw_yaml_complain(photo->sidecar->yaml, after->text->node, complaints, "probably earlier",
                   PW_SEVERITY_NOTE,
                   "mark %s lies where mark %s of %s lay: say `earlier: \"%s\"` if it is the same "
                   "damage",
                   after->text->id, before->text->id, before->photo->file, before->reference);
}

/* Whether the photograph after shows all of where it lay. */
static gboolean
is_covered(const PwPair *pair, const PwHomography *to_after, const PwModelMark *before)
{
  PwPxPath carried;
  gboolean covered = carry(to_after, &before->text->path, &carried);
  for (gsize i = 0; covered && i < carried.n; i++) {
    PwPx at = carried.points[i];
    covered = at.x >= 0 && at.y >= 0 && at.x <= pair->after->facts.width &&
              at.y <= pair->after->facts.height;
  }
  pw_px_path_clear(&carried);
  return covered;
}

static void
tell_unfollowed(const PwPair *pair, const GPtrArray *marks, PwComplaints *complaints)
{
  PwHomography to_after;
  if (!pw_homography_invert(&pair->alignment.h, &to_after))
    return;
  for (guint i = 0; i < marks->len; i++) {
    const PwModelMark *mark = marks->pdata[i];
    if (is_covered(pair, &to_after, mark))
      pw_yaml_complain(mark->photo->sidecar->yaml, mark->text->node, complaints, "not followed",
                       PW_SEVERITY_NOTE,
                       "%s shows where mark %s lay, and no mark there says what has become of it: "
                       "draw it there as it is now, or say `gone: yes`, with `earlier: \"%s\"`",
                       pair->after->file, mark->text->id, mark->reference);
  }
}

static void
tell(const PwPair *pair, GPtrArray *before, const GPtrArray *after, PwComplaints *complaints)
{
  for (guint i = 0; i < after->len; i++) {
    PwModelMark *found = lay_mark(pair, after->pdata[i]);
    if (found == NULL)
      continue;
    propose(after->pdata[i], found, complaints);
    g_ptr_array_remove(before, found);
  }
  tell_unfollowed(pair, before, complaints);
}

static gboolean
any_may_be_the_same(const GPtrArray *after, const PwModelPhoto *before)
{
  for (guint i = 0; i < after->len; i++)
    for (gsize j = 0; j < before->n_marks; j++)
      if (is_drawn(&before->marks[j]) && may_be_the_same(&before->marks[j], after->pdata[i]))
        return TRUE;
  return FALSE;
}

void
pw_check_pair(const PwModel *model, PwModelPhoto *before, PwModelPhoto *after, gboolean lay,
              PwComplaints *complaints)
{
  if (before->n_marks == 0 || after->n_marks == 0)
    return; /* that nothing is marked is told elsewhere */
  g_autoptr(GPtrArray) of_before = open_marks(model, before);
  g_autoptr(GPtrArray) of_after = open_marks(model, after);
  if (of_before->len == 0 && !any_may_be_the_same(of_after, before))
    return;
  g_autoptr(PwPair) pair =
      lay ? pw_pair_new(model, before, after, NULL) : pw_pair_new_kept(model, before, after);
  if (pair != NULL && pair->is_laid)
    tell(pair, of_before, of_after, complaints);
}
