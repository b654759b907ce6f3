/* Following a colour edge: smoothed, compared, grown, its edge sought in the picture, made a ring
 * of few points. */
#include "patch.h"
#include "thin.h"

#include <math.h>

/* A patch of slowly changing colour grows in the measure of its tolerance (a band of even width: 1;
 * a round one: 2); one that an edge stops hardly grows. */
static const double GROWTH_MAX = 0.6;
/* Of the plane's edge, from where on the patch is said to run away. */
static const double EDGE_PART = 0.5;
enum { RING_POINTS_MAX = 1000 * 1000, HOLES_MAX = 1000 };

void
pw_trace_clear(PwTrace *trace)
{
  pw_px_path_clear(&trace->outline);
  for (gsize i = 0; i < trace->n_holes; i++)
    pw_px_path_clear(&trace->holes[i]);
  g_free(trace->holes);
  *trace = (PwTrace){0};
}

static gboolean
refuse(PwErrorCode code, const char *says, GError **error)
{
  g_set_error_literal(error, PW_ERROR, (int)code, says);
  return FALSE;
}

static double
or_else(double value, double otherwise)
{
  return value < 0 || value > 0 || isnan(value) ? value : otherwise;
}

static gboolean
check_asked(const PwPlane *rgb, PwPx at, const PwTraceOptions *options, GError **error)
{
  if (rgb->channels != 3 || rgb->width < 1 || rgb->height < 1 ||
      (gint64)rgb->width * rgb->height > PW_LIMIT_TRACE_PX)
    return refuse(PW_ERROR_LIMIT,
                  "an edge is followed in a colour picture of at most 32 megapixels", error);
  if (!(at.x >= 0 && at.x <= rgb->width && at.y >= 0 && at.y <= rgb->height))
    return refuse(PW_ERROR_USE, "the place touched lies outside the photograph", error);
  if (!(options->tolerance >= PW_TRACE_TOLERANCE_MIN &&
        options->tolerance <= PW_TRACE_TOLERANCE_MAX) ||
      !(options->simplify_px >= 0.1 && options->simplify_px <= 20) || !(options->speck_px2 >= 0))
    return refuse(PW_ERROR_USE, "tolerance, simplify or speck out of bounds", error);
  return TRUE;
}

static gboolean
is_stopped(const PwTraceOptions *options, GError **error)
{
  if (options->stop == NULL || g_atomic_int_get(options->stop) == 0)
    return FALSE;
  g_set_error_literal(error, PW_ERROR, PW_ERROR_USE, "following the edge was given up");
  return TRUE;
}

static gboolean
judge_reach(const PwPatch *patch, GError **error)
{
  gsize around = 2 * ((gsize)patch->width + (gsize)patch->height);
  if ((double)patch->n_edge <= EDGE_PART * (double)around)
    return TRUE;
  return refuse(PW_ERROR_NUMERIC,
                "nothing stops the outline before the edge of the picture; lower the likeness, "
                "or draw the outline by hand",
                error);
}

static gboolean
judge(const PwPatch *patch, const PwTraceOptions *options, GError **error)
{
  if (options->within && patch->n_edge > 0)
    return refuse(PW_ERROR_NUMERIC, "the outline goes on beyond what was looked at", error);
  if (!judge_reach(patch, error))
    return FALSE;
  if (patch->growth > GROWTH_MAX)
    return refuse(PW_ERROR_NUMERIC,
                  "there is no edge at this likeness, the colour changes little by little; try a "
                  "higher or lower one, or draw the outline by hand",
                  error);
  return TRUE;
}

/* How unlike every px is to the colour touched; yours. NULL: given up. */
static guint16 *
compare(const PwPlane *rgb, const PwTouch *touch, const PwTraceOptions *options, GError **error)
{
  gsize n = (gsize)rgb->width * (gsize)rgb->height;
  g_autofree guint8 *smooth = pw_smooth(rgb, touch->steps);
  if (is_stopped(options, error))
    return NULL;
  guint16 *difference = g_new(guint16, n);
  g_autoptr(PwLikeness) likeness = pw_likeness_new(touch->rgb);
  pw_likeness_of(likeness, smooth, n, difference);
  return difference;
}

/* From the touch to the patch. */
static gboolean
find_patch(const PwPlane *rgb, PwPx at, const PwTraceOptions *options, PwTouch *touch,
           PwPatch *patch, GError **error)
{
  *patch = (PwPatch){0};
  if (is_stopped(options, error))
    return FALSE;
  pw_touch_look(rgb, at, options->tolerance, touch);
  g_autofree guint16 *difference = compare(rgb, touch, options, error);
  if (difference == NULL || is_stopped(options, error))
    return FALSE;
  if (!pw_patch_grow(difference, rgb->width, rgb->height, touch, options->tolerance, patch))
    return refuse(
        PW_ERROR_NUMERIC,
        "the place touched is an edge, a thin line, or of too many colours for this likeness; "
        "touch further inside, or raise the likeness",
        error);
  gboolean stopped = is_stopped(options, error);
  if (stopped)
    pw_patch_clear(patch);
  return !stopped;
}

static gboolean
lies_in(const PwPxPath *ring, PwPx p)
{
  gboolean in = FALSE;
  for (gsize i = 0, j = ring->n - 1; i < ring->n; j = i++) {
    PwPx a = ring->points[i], b = ring->points[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
      in = !in;
  }
  return in;
}

/* The largest ring, and the holes in it that are no specks: as strokes, the outline first. They
 * point into the rings. */
static GArray *
choose(const GArray *rings, double speck)
{
  const PwPxPath *all = (const PwPxPath *)(const void *)rings->data, *outer = NULL;
  GArray *strokes = g_array_new(FALSE, TRUE, sizeof(PwStroke));
  double largest = 0;
  for (guint i = 0; i < rings->len; i++) {
    double area = pw_px_signed_area(all[i].points, all[i].n);
    if (area > largest) {
      largest = area;
      outer = &all[i];
    }
  }
  for (guint i = 0; i < rings->len && outer != NULL; i++) {
    gboolean hole =
        pw_px_signed_area(all[i].points, all[i].n) < -speck && lies_in(outer, all[i].points[0]);
    PwStroke stroke = {.points = all[i].points, .n = all[i].n, .closed = TRUE};
    if (&all[i] == outer)
      g_array_prepend_val(strokes, stroke);
    else if (hole)
      g_array_append_val(strokes, stroke);
  }
  return strokes;
}

static gboolean
take_paths(PwPxPath *paths, gsize n, PwTrace *trace, GError **error)
{
  gsize points = 0;
  trace->outline = paths[0];
  trace->n_holes = n - 1;
  trace->holes = g_memdup2(paths + 1, (n - 1) * sizeof *paths);
  for (gsize i = 0; i < n; i++)
    points += paths[i].n;
  if (points <= PW_LIMIT_POINTS && pw_outline_check(&trace->outline, NULL) &&
      pw_outline_check_holes(&trace->outline, trace->holes, trace->n_holes, NULL))
    return TRUE;
  return refuse(PW_ERROR_NUMERIC, "the edge is too ragged to follow; draw the outline by hand",
                error);
}

/* Few points for many. A part of what the outline may lie off goes into leaving points out, the
 * rest into moving those kept. */
static gboolean
thin(GArray *strokes, const PwPlane *rgb, PwTrace *trace, GError **error)
{
  PwStroke *all = (PwStroke *)(void *)strokes->data;
  PwPxPath *paths = g_new0(PwPxPath, strokes->len);
  gboolean done = strokes->len > 0 && strokes->len <= HOLES_MAX &&
                  pw_strokes_thin(all, strokes->len, 0.6 * trace->simplify_px) &&
                  pw_strokes_balance(all, strokes->len, 0.4 * trace->simplify_px, rgb, paths);
  if (done)
    done = take_paths(paths, strokes->len, trace, error);
  else
    refuse(PW_ERROR_NUMERIC, "the edge is too ragged to follow; draw the outline by hand", error);
  for (guint i = 0; i < strokes->len; i++)
    g_free(all[i].kept);
  g_free(paths);
  return done;
}

static gboolean
draw(const PwPlane *rgb, PwPatch *patch, int steps, double speck, PwTrace *trace, GError **error)
{
  PwShares shares = {0};
  pw_edge_find(rgb, patch, steps, &shares);
  g_autoptr(GArray) rings = g_array_new(FALSE, FALSE, sizeof(PwPxPath));
  gboolean done = pw_rings_find(&shares, RING_POINTS_MAX, rings);
  pw_shares_clear(&shares);
  if (done) {
    g_autoptr(GArray) strokes = choose(rings, speck);
    done = thin(strokes, rgb, trace, error);
  } else
    refuse(PW_ERROR_NUMERIC, "the edge is too ragged to follow; draw the outline by hand", error);
  for (guint i = 0; i < rings->len; i++)
    pw_px_path_clear(&g_array_index(rings, PwPxPath, i));
  return done;
}

static PwTraceOptions
fill_options(const PwTraceOptions *asked)
{
  PwTraceOptions options = *asked;
  options.simplify_px = or_else(asked->simplify_px, PW_TRACE_SIMPLIFY_PX);
  options.speck_px2 = or_else(asked->speck_px2, PW_TRACE_SPECK_PX2);
  return options;
}

gboolean
pw_trace_follow(const PwPlane *rgb, PwPx at, const PwTraceOptions *asked, PwTrace *trace,
                GError **error)
{
  const PwTraceOptions options = fill_options(asked);
  *trace = (PwTrace){0};
  if (!check_asked(rgb, at, &options, error))
    return FALSE;
  PwTouch touch;
  PwPatch patch;
  gboolean found =
      find_patch(rgb, at, &options, &touch, &patch, error) && judge(&patch, &options, error);
  gboolean meets_edge = patch.n_edge > 0;
  if (found) {
    trace->simplify_px = options.simplify_px;
    trace->smooth_px = pw_smooth_px[touch.steps];
    found = draw(rgb, &patch, touch.steps, options.speck_px2, trace, error);
  }
  pw_patch_clear(&patch);
  if (!found)
    pw_trace_clear(trace);
  trace->meets_edge = meets_edge;
  return found;
}

gboolean
pw_trace_is_held(const PwPlane *rgb, PwPx at, const PwTraceOptions *asked, GError **error)
{
  const PwTraceOptions options = fill_options(asked);
  PwTouch touch;
  PwPatch patch;
  if (!check_asked(rgb, at, &options, error))
    return FALSE;
  find_patch(rgb, at, &options, &touch, &patch, NULL); /* where there is none it ends there */
  gboolean held = !is_stopped(&options, error) && judge_reach(&patch, error);
  pw_patch_clear(&patch);
  return held;
}
