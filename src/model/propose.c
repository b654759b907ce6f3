/* Outlines and corners proposed from a photograph's own pixels: a window round the place touched is
 * looked at, at full resolution, and a larger one where that shows no end. Only where the largest
 * window that is followed at once is too small are the pixels halved. Before large windows are
 * looked at the whole picture is, coarsely: most touches that nothing stops are told by that.
 */
#include "model-private.h"

#include <math.h>

enum {
  FIRST_WINDOW_PX = 1024,
  LAST_QUICK_PX = 2048, /* a window's side; what is no larger is looked at sooner than the whole */
  MOST_CORNER_PX = 24 * 1000 * 1000, /* of the window that holds four corners */
  CORNER_MARGIN_PX = 16,
  REACH_PER_MILLE = 6, /* of the photograph's longer side */
  LEAST_REACH_PX = 8,
  MOST_REACH_PX = 100
};

/* The whole picture is looked at with half the px of a side that it would be followed on at last.
 * By that a line of 4 px loses a third of its difference from what lies beside it: with so much
 * less tolerance it holds back there, too, what it holds back at last. */
static const double COARSE_TOLERANCE = 0.7;

/* A part of a level of a photograph's tiles, or, where there are none, of what they would be. */
typedef struct {
  guint level;
  int x, y, width, height; /* px of the level */
} Window;

/* ---- Pixels ------------------------------------------------------------------------ */

static gboolean
decode_window(const PwModel *model, const PwModelPhoto *photo, const Window *window, PwPlane *rgb,
              GError **error)
{
  const double side = (double)(1 << window->level), x = window->x * side, y = window->y * side;
  const PwRender render = {.crop_x = x,
                           .crop_y = y,
                           .crop_width = MIN(window->width * side, photo->facts.width - x),
                           .crop_height = MIN(window->height * side, photo->facts.height - y),
                           .width = window->width,
                           .height = window->height};
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, NULL, error);
  return file != NULL && pw_photo_render(file, &render, rgb, error);
}

static gboolean
read_window(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles,
            const Window *window, PwPlane *rgb, GError **error)
{
  if (tiles == NULL)
    return decode_window(model, photo, window, rgb, error);
  return pw_tiles_read(tiles, window->level, window->x, window->y, window->width, window->height,
                       rgb, error);
}

static void
size_of_level(const PwModelPhoto *photo, const PwTiles *tiles, guint level, int *width, int *height)
{
  const PwTilesInfo *info = tiles ? pw_tiles_peek_info(tiles) : NULL;
  *width = info ? info->levels[level].width : ((photo->facts.width - 1) >> level) + 1;
  *height = info ? info->levels[level].height : ((photo->facts.height - 1) >> level) + 1;
}

/* The part of the level between two places, in whole px. */
static Window
window_between(const PwModelPhoto *photo, const PwTiles *tiles, guint level, PwPx low, PwPx high)
{
  int width, height;
  size_of_level(photo, tiles, level, &width, &height);
  Window window = {.level = level};
  window.x = (int)CLAMP(floor(low.x), 0, width - 1);
  window.y = (int)CLAMP(floor(low.y), 0, height - 1);
  window.width = (int)CLAMP(ceil(high.x), window.x + 1, width) - window.x;
  window.height = (int)CLAMP(ceil(high.y), window.y + 1, height) - window.y;
  return window;
}

static PwPx
into_window(const Window *window, PwPx upright)
{
  const double side = (double)(1 << window->level);
  return (PwPx){upright.x / side - window->x, upright.y / side - window->y};
}

static PwPx
out_of_window(const Window *window, PwPx inside)
{
  const double side = (double)(1 << window->level);
  return (PwPx){(inside.x + window->x) * side, (inside.y + window->y) * side};
}

/* ---- A colour edge ----------------------------------------------------------------- */

static void
path_out_of_window(const Window *window, PwPxPath *path)
{
  for (gsize i = 0; i < path->n; i++)
    path->points[i] = out_of_window(window, path->points[i]);
}

static void
trace_out_of_window(const Window *window, PwTrace *trace)
{
  path_out_of_window(window, &trace->outline);
  for (gsize i = 0; i < trace->n_holes; i++)
    path_out_of_window(window, &trace->holes[i]);
  trace->simplify_px *= (double)(1 << window->level);
  trace->smooth_px *= (double)(1 << window->level);
}

/* What is followed, and where. */
typedef struct {
  const PwModel *model;
  const PwModelPhoto *photo;
  const PwTiles *tiles;
  PwPx at;
  PwTraceOptions options;
} Search;

/* A window round the place touched. */
static Window
window_about(const Search *search, guint level, int side)
{
  const double middle_x = ldexp(search->at.x, -(int)level);
  const double middle_y = ldexp(search->at.y, -(int)level);
  const PwPx low = {middle_x - side / 2.0, middle_y - side / 2.0};
  return window_between(search->photo, search->tiles, level, low,
                        (PwPx){low.x + side, low.y + side});
}

static gboolean
is_whole(const Search *search, const Window *window)
{
  int width, height;
  size_of_level(search->photo, search->tiles, window->level, &width, &height);
  return window->width == width && window->height == height;
}

static gboolean
follow_in(const Search *search, const Window *window, PwTrace *trace, GError **error)
{
  PwPlane rgb = {0};
  if (!read_window(search->model, search->photo, search->tiles, window, &rgb, error))
    return FALSE;
  gboolean found =
      pw_trace_follow(&rgb, into_window(window, search->at), &search->options, trace, error);
  pw_plane_clear(&rgb);
  return found;
}

/* The next window to look at: twice as wide, or of half the pixels. FALSE: there is none. */
static gboolean
look_wider(const Search *search, const Window *window, guint *level, int *side)
{
  const PwTilesInfo *info = search->tiles ? pw_tiles_peek_info(search->tiles) : NULL;
  int width, height;
  if (is_whole(search, window))
    return FALSE;
  size_of_level(search->photo, search->tiles, *level, &width, &height);
  if ((gint64)MIN(2 * *side, width) * MIN(2 * *side, height) <= PW_LIMIT_TRACE_PX) {
    *side *= 2;
    return TRUE;
  }
  return info != NULL && ++*level < info->n_levels;
}

/* Whether anything in the whole picture holds the patch back; FALSE with the refusal. */
static gboolean
is_held(const Search *search, GError **error)
{
  PwTraceOptions options = search->options;
  PwPlane rgb = {0};
  guint level = 0;
  int width, height;
  for (;; level++) {
    size_of_level(search->photo, search->tiles, level, &width, &height);
    if ((gint64)width * height <= PW_LIMIT_TRACE_PX)
      break;
  }
  options.tolerance *= COARSE_TOLERANCE;
  if (options.tolerance < PW_TRACE_TOLERANCE_MIN || (search->tiles == NULL && level > 0))
    return TRUE; /* the whole is not what would be followed at last */
  level++;
  size_of_level(search->photo, search->tiles, level, &width, &height);
  const Window whole = {.level = level, .width = width, .height = height};
  if (!read_window(search->model, search->photo, search->tiles, &whole, &rgb, error))
    return FALSE;
  gboolean held = pw_trace_is_held(&rgb, into_window(&whole, search->at), &options, error);
  pw_plane_clear(&rgb);
  return held;
}

/* Window after window, until one holds the whole patch or there is no larger one: that is the one
 * that is left in `window`. */
static gboolean
follow(Search *search, Window *window, PwTrace *trace, GError **error)
{
  guint level = 0;
  int side = FIRST_WINDOW_PX;
  for (;;) {
    g_autoptr(GError) cause = NULL;
    const int side_now = side;
    *window = window_about(search, level, side);
    search->options.within = look_wider(search, window, &level, &side);
    gboolean found = follow_in(search, window, trace, &cause);
    if (!trace->meets_edge || !search->options.within) {
      if (!found)
        g_propagate_error(error, g_steal_pointer(&cause));
      return found;
    }
    if (side_now == LAST_QUICK_PX && window->level == 0 && !is_held(search, error))
      return FALSE;
  }
}

gboolean
pw_model_follow_edge(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles, PwPx at,
                     double tolerance, const gint *stop, PwTrace *trace, GError **error)
{
  Search search = {model, photo, tiles, at, {.tolerance = tolerance, .stop = stop}};
  Window window;
  *trace = (PwTrace){0};
  gboolean found = follow(&search, &window, trace, error);
  if (found)
    trace_out_of_window(&window, trace);
  return found;
}

/* ---- Corners and ends -------------------------------------------------------------- */

static void
to_grey(const PwPlane *rgb, PwPlane *grey)
{
  *grey = (PwPlane){.width = rgb->width, .height = rgb->height, .channels = 1};
  grey->stride = (gsize)rgb->width;
  grey->pixels = g_malloc(grey->stride * (gsize)rgb->height);
  for (int y = 0; y < rgb->height; y++) {
    const guint8 *from = rgb->pixels + (gsize)y * rgb->stride;
    guint8 *to = grey->pixels + (gsize)y * grey->stride;
    for (int x = 0; x < rgb->width; x++, from += 3)
      to[x] = (guint8)((299 * from[0] + 587 * from[1] + 114 * from[2] + 500) / 1000);
  }
}

/* The window round some points, of the finest level that is not too large. */
static Window
window_round(const PwModelPhoto *photo, const PwTiles *tiles, const PwPx *points, gsize n,
             double reach_px)
{
  const double margin = reach_px + CORNER_MARGIN_PX;
  PwPx low = points[0], high = points[0];
  for (gsize i = 1; i < n; i++) {
    low = (PwPx){MIN(low.x, points[i].x), MIN(low.y, points[i].y)};
    high = (PwPx){MAX(high.x, points[i].x), MAX(high.y, points[i].y)};
  }
  const guint n_levels = tiles ? pw_tiles_peek_info(tiles)->n_levels : 1;
  for (guint level = 0;; level++) {
    const double side = (double)(1 << level);
    Window window = window_between(photo, tiles, level,
                                   (PwPx){(low.x - margin) / side, (low.y - margin) / side},
                                   (PwPx){(high.x + margin) / side, (high.y + margin) / side});
    if ((gint64)window.width * window.height <= MOST_CORNER_PX || level + 1 == n_levels)
      return window;
  }
}

static gboolean
grey_window(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles,
            const Window *window, PwPlane *grey, GError **error)
{
  PwPlane rgb = {0};
  if ((gint64)window->width * window->height > 2 * (gint64)MOST_CORNER_PX) {
    g_set_error(error, PW_ERROR, PW_ERROR_BUSY,
                "this photograph is still being prepared; try again in a moment");
    return FALSE;
  }
  if (!read_window(model, photo, tiles, window, &rgb, error))
    return FALSE;
  to_grey(&rgb, grey);
  pw_plane_clear(&rgb);
  return TRUE;
}

/* A window round some places, and they in it. */
typedef struct {
  Window window;
  double side; /* of one of its px, upright px */
  double reach_px;
  PwPx places[4];
  PwPlane grey;
} Near;

/* Where nobody says, so far as a hand misses by that sees the whole photograph. */
static double
reach_on(const PwModelPhoto *photo, double asked_px)
{
  const int longer = MAX(photo->facts.width, photo->facts.height);
  const double reach = isnan(asked_px) ? longer * REACH_PER_MILLE / 1000.0 : asked_px;
  return CLAMP(reach, LEAST_REACH_PX, MOST_REACH_PX);
}

static gboolean
look_near(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles, const PwPx *places,
          gsize n, double reach_px, Near *near, GError **error)
{
  const double reach = reach_on(photo, reach_px);
  *near = (Near){.window = window_round(photo, tiles, places, n, reach)};
  near->side = (double)(1 << near->window.level);
  near->reach_px = reach / near->side;
  for (gsize i = 0; i < n; i++)
    near->places[i] = into_window(&near->window, places[i]);
  return grey_window(model, photo, tiles, &near->window, &near->grey, error);
}

static gboolean
leave_near(Near *near, gboolean found, PwPx *improved, gsize n, double *doubt_px)
{
  for (gsize i = 0; found && i < n; i++)
    improved[i] = out_of_window(&near->window, improved[i]);
  if (found)
    *doubt_px *= near->side;
  pw_plane_clear(&near->grey);
  return found;
}

gboolean
pw_model_improve_corners(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles,
                         const PwPx corners[4], double reach_px, PwPx improved[4], double *doubt_px,
                         GError **error)
{
  Near near;
  return look_near(model, photo, tiles, corners, 4, reach_px, &near, error) &&
         leave_near(
             &near,
             pw_trace_corners(&near.grey, near.places, near.reach_px, improved, doubt_px, error),
             improved, 4, doubt_px);
}

gboolean
pw_model_improve_ends(const PwModel *model, const PwModelPhoto *photo, const PwTiles *tiles,
                      const PwPx ends[2], double reach_px, PwPx improved[2], double *doubt_px,
                      GError **error)
{
  Near near;
  double doubts[2] = {0};
  gboolean found = TRUE;
  if (!look_near(model, photo, tiles, ends, 2, reach_px, &near, error))
    return FALSE;
  for (int i = 0; found && i < 2; i++)
    found = pw_trace_end(&near.grey, near.places[1 - i], near.places[i], near.reach_px,
                         &improved[i], &doubts[i], error);
  if (found)
    *doubt_px = MAX(doubts[0], doubts[1]);
  return leave_near(&near, found, improved, 2, doubt_px);
}
