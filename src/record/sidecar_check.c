/* How the keys of a sidecar belong together: one drawing a mark, one way to a scale, outlines that
 * do not cross themselves, points that lie in the picture. Upright pixels throughout.
 */
#include "sidecar_check.h"
#include "values.h"
#include "words.h"

#include <math.h>
#include <string.h>

enum { LEAST_TIES = 4 }; /* fewer do not fix the perspective between two photographs */

/* Points may lie a hand's slip outside the picture, not more. */
static const double OUTSIDE_PX = 2;

static const struct {
  const char *key;
  PwKind kind;
  gsize least, most;
  const char *wants;
} drawings[] = {
    {"outline", PW_KIND_AREA, 3, G_MAXSIZE, "an outline has three points or more"},
    {"line", PW_KIND_LINE, 2, G_MAXSIZE, "a line has two points or more"},
    {"point", PW_KIND_POINT, 1, 1, "a point is one pair x,y"},
};

/* ---- Marks ------------------------------------------------------------------------- */

static const PwYamlNode *
drawing_of(const PwYamlNode *mark)
{
  for (gsize i = 0; i < G_N_ELEMENTS(drawings); i++) {
    const PwYamlNode *node = pw_given(mark, drawings[i].key);
    if (node != NULL)
      return node;
  }
  return NULL;
}

/* Takes the kind from the drawing; FALSE when there is not exactly one fit to be looked at. */
static gboolean
take_drawing(const PwReading *reading, const PwYamlNode *node, PwMark *mark)
{
  const char *first = NULL;
  gboolean fits = TRUE;
  for (gsize i = 0; i < G_N_ELEMENTS(drawings); i++) {
    const PwYamlNode *given = pw_given(node, drawings[i].key);
    if (given == NULL)
      continue;
    if (first != NULL) {
      pw_fault(reading, given, "two drawings",
               "a mark with \"%s\" cannot have \"%s\" too; make it two marks", first,
               drawings[i].key);
      return FALSE;
    }
    first = drawings[i].key;
    mark->kind = drawings[i].kind;
    if (mark->path.n > 0 && (mark->path.n < drawings[i].least || mark->path.n > drawings[i].most)) {
      pw_fault(reading, given, "wrong number of points", "%s; this has %" G_GSIZE_FORMAT,
               drawings[i].wants, mark->path.n);
      fits = FALSE;
    }
  }
  if (first == NULL && !mark->gone)
    pw_fault(reading, node, "no drawing", "a mark stands somewhere; add outline, line or point");
  return first != NULL && fits;
}

static void
complain_of_outline(const PwReading *reading, const PwYamlNode *node, const char *of,
                    const PwOutlineFault *fault)
{
  if (isnan(fault->at.x) || isnan(fault->at.y)) {
    pw_fault(reading, node, "crossing outline", "%s%s; draw it anew, for it has no size", of,
             fault->what);
    return;
  }
  g_autofree char *x = pw_format_fixed(fault->at.x, 1), *y = pw_format_fixed(fault->at.y, 1);
  pw_fault(reading, node, "crossing outline",
           "%s%s at %s,%s; move the points there, for as it is it has no size", of, fault->what, x,
           y);
}

/* A closed outline that stands under `key`. TRUE when it is simple. */
static gboolean
check_ring(const PwReading *reading, const PwYamlNode *mapping, const char *key,
           const PwPxPath *ring)
{
  PwOutlineFault fault = {.what = ""};
  if (ring->n == 0)
    return FALSE; /* not said, or complained of already */
  const PwYamlNode *node = pw_given(mapping, key);
  if (ring->n < 3) {
    pw_fault(reading, node, "wrong number of points",
             "\"%s\" is an outline; write three points or more", key);
    return FALSE;
  }
  if (pw_outline_check(ring, &fault))
    return TRUE;
  complain_of_outline(reading, node, "", &fault);
  return FALSE;
}

static void
check_holes(const PwReading *reading, const PwYamlNode *holes, const PwMark *mark,
            gboolean ring_is_simple)
{
  PwOutlineFault fault = {.what = ""};
  if (mark->kind != PW_KIND_AREA || mark->path.n == 0) {
    pw_fault(reading, holes, "holes without outline",
             "only an outline has holes; take them away or draw an outline");
    return;
  }
  for (gsize i = 0; i < mark->n_holes; i++)
    if (mark->holes[i].n < 3) {
      if (mark->holes[i].n > 0)
        pw_fault(reading, pw_yaml_node_item(holes, (guint)i), "wrong number of points",
                 "a hole is an outline; write three points or more");
      return;
    }
  if (ring_is_simple && !pw_outline_check_holes(&mark->path, mark->holes, mark->n_holes, &fault))
    complain_of_outline(reading, holes, "with its holes, ", &fault);
}

static void
check_belongings(const PwReading *reading, const PwYamlNode *node, const PwMark *mark,
                 gboolean is_drawn)
{
  if (mark->private_ && is_drawn && mark->kind != PW_KIND_AREA)
    pw_fault(reading, drawing_of(node), "private mark",
             "what is private is filled in; draw a private mark as an outline around it");
  if (mark->gone && mark->earlier == NULL && pw_yaml_node_get(node, "earlier") == NULL)
    pw_fault(reading, pw_given(node, "gone"), "nothing earlier",
             "what is gone was there before; add \"earlier\", the mark it was");
  if (is_drawn && mark->kind != PW_KIND_POINT && pw_given(node, "count") != NULL)
    pw_warn(reading, pw_given(node, "count"), "count not used",
            "only a point carries a count; an outline or a line counts once");
}

void
pw_check_mark(const PwReading *reading, const PwYamlNode *node, void *record)
{
  PwMark *mark = record;
  gboolean is_drawn = take_drawing(reading, node, mark);
  gboolean is_simple = FALSE;
  if (is_drawn && mark->kind == PW_KIND_AREA)
    is_simple = check_ring(reading, node, "outline", &mark->path);
  const PwYamlNode *holes = pw_given(node, "holes");
  if (holes != NULL && (is_drawn || drawing_of(node) == NULL))
    check_holes(reading, holes, mark, is_simple);
  check_belongings(reading, node, mark, is_drawn);
}

/* ---- Scale ------------------------------------------------------------------------- */

/* Clockwise as seen and convex: every turn is to the right, y being down. */
static gboolean
check_corners(const PwReading *reading, const PwYamlNode *rectangle, const PwPx corners[4])
{
  const PwYamlNode *node = pw_given(rectangle, "corners");
  int right = 0;
  for (int i = 0; i < 4; i++) {
    PwPx a = corners[i], b = corners[(i + 1) % 4], c = corners[(i + 2) % 4];
    right += (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 0;
  }
  if (right == 4)
    return TRUE;
  pw_fault(reading, node, "corner order",
           "%s; give the corners clockwise as seen, the first edge being the width",
           right == 0 ? "the corners run anticlockwise, or lie on a line"
                      : "the corners make no rectangle seen at a slant");
  return FALSE;
}

/* How many times longer than high the corners look, by the means of opposite sides. */
static double
seen_shape(const PwPx corners[4])
{
  double sides[4];
  for (int i = 0; i < 4; i++) {
    PwPx a = corners[i], b = corners[(i + 1) % 4];
    sides[i] = hypot(b.x - a.x, b.y - a.y);
  }
  return (sides[0] + sides[2]) / (sides[1] + sides[3]);
}

/* A slant shortens one side by the cosine of its angle: past 40 degrees nobody photographs a card
 * on purpose. Begun at the wrong corner, width and height change places and every length is false.
 */
static void
check_first_corner(const PwReading *reading, const PwYamlNode *rectangle, const PwScaleText *scale)
{
  const double slant = log(1 / cos(40 * G_PI / 180));
  double stated = log(scale->width / scale->height), seen = log(seen_shape(scale->corners));
  if (!isfinite(stated) || !isfinite(seen) || fabs(seen - stated) <= slant)
    return;
  const PwYamlNode *node = pw_given(rectangle, "corners");
  if (fabs(seen + stated) < slant)
    pw_fault(reading, node, "corner order",
             "the corners look as if they began at the wrong one: the first edge is the width; "
             "turn the list by one corner, or let `width` and `height` change places");
  else
    pw_warn(reading, node, "corner order",
            "the corners do not look like a rectangle of that width and height; read both again");
}

static gboolean
has_corners(const PwScaleText *scale)
{
  for (int i = 0; i < 4; i++)
    if (scale->corners[i].x < 0 || scale->corners[i].x > 0 || scale->corners[i].y < 0 ||
        scale->corners[i].y > 0)
      return TRUE;
  return FALSE; /* all zero: not read */
}

void
pw_check_scale(const PwReading *reading, const PwYamlNode *node, void *record)
{
  static const struct {
    const char *key;
    PwGiven given;
  } ways[] = {{"tags", PW_GIVEN_TAGS},
              {"rectangle", PW_GIVEN_RECTANGLE},
              {"span", PW_GIVEN_SPAN},
              {"ticks", PW_GIVEN_TICKS}};
  PwScaleText *scale = record;
  const char *first = NULL;
  for (gsize i = 0; i < G_N_ELEMENTS(ways); i++) {
    const PwYamlNode *given = pw_given(node, ways[i].key);
    if (given == NULL)
      continue;
    if (first != NULL) {
      pw_fault(reading, given, "two scales",
               "\"%s\" is the scale already; keep the surer one and take the other away", first);
      return;
    }
    first = ways[i].key;
    scale->given = ways[i].given;
  }
  if (scale->given == PW_GIVEN_TAGS && scale->tags == NULL)
    scale->given = PW_GIVEN_NONE; /* complained of where they stand */
  const PwYamlNode *rectangle = pw_given(node, "rectangle");
  if (scale->given == PW_GIVEN_RECTANGLE && has_corners(scale) &&
      check_corners(reading, rectangle, scale->corners))
    check_first_corner(reading, rectangle, scale);
}

/* ---- Points inside the picture ----------------------------------------------------- */

/* Complains of the first point that lies outside; `node` is the scalar they were read from. */
static void
check_inside(const PwReading *reading, const PwSidecar *sidecar, const PwYamlNode *node,
             const PwPx *points, gsize n)
{
  if (node == NULL || sidecar->width == 0)
    return;
  for (gsize i = 0; i < n; i++) {
    PwPx at = points[i];
    if (at.x >= -OUTSIDE_PX && at.y >= -OUTSIDE_PX && at.x <= sidecar->width + OUTSIDE_PX &&
        at.y <= sidecar->height + OUTSIDE_PX)
      continue;
    g_autofree char *x = pw_format_double(at.x), *y = pw_format_double(at.y);
    gsize offset = pw_point_offset(pw_yaml_node_peek_text(node), i);
    pw_yaml_complain_at(reading->yaml, node, offset, reading->complaints, "outside picture",
                        PW_SEVERITY_ERROR,
                        "point %" G_GSIZE_FORMAT ", %s,%s, lies outside the picture of %d x %d; "
                        "correct it, or `size` if that is wrong",
                        i + 1, x, y, sidecar->width, sidecar->height);
    return;
  }
}

static const PwYamlNode *
given_in(const PwYamlNode *root, const char *mapping, const char *key)
{
  const PwYamlNode *inner = pw_given(root, mapping);
  return inner != NULL && pw_yaml_node_kind(inner) == PW_YAML_MAPPING ? pw_given(inner, key) : NULL;
}

static void
check_scale_inside(const PwReading *reading, const PwSidecar *sidecar)
{
  const PwScaleText *scale = &sidecar->scale;
  if (scale->given == PW_GIVEN_RECTANGLE)
    check_inside(reading, sidecar, given_in(scale->node, "rectangle", "corners"), scale->corners,
                 4);
  if (scale->given != PW_GIVEN_SPAN && scale->given != PW_GIVEN_TICKS)
    return;
  const char *way = scale->given == PW_GIVEN_SPAN ? "span" : "ticks";
  check_inside(reading, sidecar, given_in(scale->node, way, "from"), &scale->from, 1);
  check_inside(reading, sidecar, given_in(scale->node, way, "to"), &scale->to, 1);
}

static void
check_marks_inside(const PwReading *reading, const PwSidecar *sidecar)
{
  for (gsize i = 0; i < sidecar->n_marks; i++) {
    const PwMark *mark = &sidecar->marks[i];
    if (mark->path.n > 0)
      check_inside(reading, sidecar, drawing_of(mark->node), mark->path.points, mark->path.n);
    for (gsize j = 0; j < mark->n_holes; j++)
      check_inside(reading, sidecar, pw_yaml_node_item(pw_given(mark->node, "holes"), (guint)j),
                   mark->holes[j].points, mark->holes[j].n);
  }
}

static void
check_points_inside(const PwReading *reading, const PwYamlNode *root, const PwSidecar *sidecar)
{
  check_inside(reading, sidecar, pw_given(root, "surface"), sidecar->surface.points,
               sidecar->surface.n);
  check_inside(reading, sidecar, pw_given(root, "neutral"), sidecar->neutral.points,
               sidecar->neutral.n);
  check_inside(reading, sidecar, given_in(root, "chart", "corners"), sidecar->chart_corners.points,
               sidecar->chart_corners.n);
  for (gsize i = 0; i < sidecar->n_ties; i++)
    check_inside(reading, sidecar, pw_yaml_node_get(sidecar->ties[i].node, "here"),
                 &sidecar->ties[i].here, 1);
  check_scale_inside(reading, sidecar);
  check_marks_inside(reading, sidecar);
}

/* ---- The whole --------------------------------------------------------------------- */

/* Pairs are made by view: a slip of the pen would part before from after. A word with digits
 * ("opening 2") is meant as it stands. */
static void
check_view(const PwReading *reading, const PwYamlNode *root, const char *view)
{
  if (view == NULL || g_strv_contains(pw_words_view, view) || strpbrk(view, "0123456789") != NULL)
    return;
  const char *nearest = pw_nearest_word(view, pw_words_view);
  if (nearest != NULL)
    pw_warn(reading, pw_given(root, "view"), "unusual view",
            "not a usual view; if \"%s\" is meant, write that", nearest);
}

void
pw_check_sidecar(const PwReading *reading, const PwYamlNode *node, void *record)
{
  PwSidecar *sidecar = record;
  check_view(reading, node, sidecar->view);
  check_ring(reading, node, "surface", &sidecar->surface);
  check_ring(reading, node, "neutral", &sidecar->neutral);
  if (sidecar->chart_corners.n > 0 && sidecar->chart_corners.n != 4)
    pw_fault(reading, given_in(node, "chart", "corners"), "wrong number of points",
             "a chart has four corners; write them clockwise from its first patch");
  if (sidecar->n_ties > 0 && sidecar->n_ties < LEAST_TIES)
    pw_fault(reading, pw_given(node, "ties"), "too few ties",
             "at least %d ties are needed, well apart; add to the %" G_GSIZE_FORMAT " given here",
             LEAST_TIES, sidecar->n_ties);
  check_points_inside(reading, node, sidecar);
}
