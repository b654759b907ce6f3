/* Difference: how far the colours of a photograph before and of the one after that is laid over it
 * are apart, place by place.
 *
 * Both are rendered in one frame at one size, each with its private parts covered first. At every
 * px stands the CIEDE2000 difference between the mean CIELAB of a small square of the one and of
 * the same square of the other: means, so that the grain of leather and noise, which are not where
 * they were by a px, count for little. Whatever cannot be compared is left out of every mean.
 */
#include <platewright/pair.h>

#include <math.h>
#include <string.h>

#include "model-private.h"

enum {
  REACH = 4,  /* px from the middle of a square to its sides */
  RIM = 4,    /* px: what resampling draws in from beyond an edge */
  VALUES = 6, /* L, a, b before, L, a, b after */
  SUMS = 7    /* those, and how many px */
};

/* Round the marks, of the longer side of the photograph before. */
#define MARGIN 0.02

typedef struct {
  const PwRender *frame;
  int width, height;
  double by;        /* px of the frame to one of the result, across */
  double down;      /* likewise down */
  guint8 *left_out; /* 1: not to be compared */
  float *labs;      /* VALUES a px */
} Work;

static gsize
index_of(const Work *w, int x, int y)
{
  return (gsize)y * (gsize)w->width + (gsize)x;
}

/* ---- What is left out ---------------------------------------------------------------- */

static PwPx
middle_of(const Work *w, int x, int y)
{
  return (PwPx){w->frame->crop_x + (x + 0.5) * w->by, w->frame->crop_y + (y + 0.5) * w->down};
}

typedef struct {
  PwPx low, high;
} Box;

static const Box nothing = {{HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};

static void
widen(Box *box, const PwPxPath *path, const PwHomography *to_frame)
{
  for (gsize i = 0; i < path->n; i++) {
    PwPx at = path->points[i];
    if (to_frame != NULL)
      pw_homography_apply(to_frame, path->points[i].x, path->points[i].y, &at.x, &at.y);
    box->low = (PwPx){fmin(box->low.x, at.x), fmin(box->low.y, at.y)};
    box->high = (PwPx){fmax(box->high.x, at.x), fmax(box->high.y, at.y)};
  }
}

/* All px whose middle lies inside the ring, or outside it; the ring in px of the frame. */
static void
leave_out(const Work *w, const PwPxPath *ring, gboolean inside)
{
  Box box = nothing;
  widen(&box, ring, NULL);
  for (int y = 0; y < w->height; y++)
    for (int x = 0; x < w->width; x++) {
      PwPx at = middle_of(w, x, y);
      gboolean boxed =
          at.x >= box.low.x && at.x <= box.high.x && at.y >= box.low.y && at.y <= box.high.y;
      if ((boxed && pw_px_is_inside(ring, at)) == inside)
        w->left_out[index_of(w, x, y)] = 1;
    }
}

/* A ring of the photograph after, or one of before where `to_frame` is NULL. */
static void
leave_out_carried(const Work *w, const PwPxPath *ring, const PwHomography *to_frame,
                  gboolean inside)
{
  PwPxPath carried = {g_new(PwPx, MAX(ring->n, 1)), ring->n};
  for (gsize i = 0; i < ring->n; i++) {
    carried.points[i] = ring->points[i];
    if (to_frame != NULL)
      pw_homography_apply(to_frame, ring->points[i].x, ring->points[i].y, &carried.points[i].x,
                          &carried.points[i].y);
  }
  if (ring->n > 0)
    leave_out(w, &carried, inside);
  g_free(carried.points);
}

/* What lies beyond the picture, on the cards, and under a mask: of one photograph. */
static void
leave_out_of(const Work *w, const PwModelPhoto *photo, const PwRender *render)
{
  const double wide = photo->facts.width, high = photo->facts.height;
  PwPx corners[] = {{0, 0}, {wide, 0}, {wide, high}, {0, high}};
  leave_out_carried(w, &(PwPxPath){corners, G_N_ELEMENTS(corners)}, render->to_frame, FALSE);
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].scale != NULL)
      leave_out_carried(w, &(PwPxPath){photo->cards[i].outline, 4}, render->to_frame, TRUE);
  for (gsize i = 0; i < render->n_masks; i++)
    leave_out_carried(w, &render->masks[i], render->to_frame, TRUE);
}

/* Grows what is left out by the rim, along rows of a plane or along its columns. */
static void
grow(guint8 *flags, int n_lines, gsize line_step, int n, gsize step)
{
  for (int line = 0; line < n_lines; line++) {
    guint8 *at = flags + (gsize)line * line_step;
    int since = RIM + 1;
    for (int i = 0; i < n; i++) {
      since = at[(gsize)i * step] == 1 ? 0 : since + 1;
      if (since > 0 && since <= RIM)
        at[(gsize)i * step] = 2;
    }
    since = RIM + 1;
    for (int i = n - 1; i >= 0; i--) {
      since = at[(gsize)i * step] == 1 ? 0 : since + 1;
      if (since > 0 && since <= RIM)
        at[(gsize)i * step] = 2;
    }
    for (int i = 0; i < n; i++)
      at[(gsize)i * step] = at[(gsize)i * step] > 0;
  }
}

/* What lies beyond the box round all marks that this audience sees, of both photographs: where the
 * face is not outlined, the table, a prop and what lies on another level do not count. */
static void
leave_out_unmarked(const Work *w, const PwModel *model, const PwModelPhoto *const photos[2],
                   const PwRender renders[2], PwAudience audience)
{
  Box box = nothing;
  for (int i = 0; i < 2; i++)
    for (gsize k = 0; k < photos[i]->n_marks; k++)
      if (pw_model_mark_shown(model, &photos[i]->marks[k], audience))
        widen(&box, &photos[i]->marks[k].text->path, renders[i].to_frame);
  if (box.low.x > box.high.x)
    return;
  const double margin = MARGIN * MAX(photos[0]->facts.width, photos[0]->facts.height);
  PwPx corners[] = {{box.low.x - margin, box.low.y - margin},
                    {box.high.x + margin, box.low.y - margin},
                    {box.high.x + margin, box.high.y + margin},
                    {box.low.x - margin, box.high.y + margin}};
  leave_out(w, &(PwPxPath){corners, G_N_ELEMENTS(corners)}, FALSE);
}

/* The rim is not of the face or the marks, which are known to a hand's accuracy only. */
static void
find_left_out(const Work *w, const PwModel *model, const PwModelPhoto *const photos[2],
              const PwRender renders[2], PwAudience audience)
{
  const PwSidecar *before = photos[0]->sidecar;
  for (int i = 0; i < 2; i++)
    leave_out_of(w, photos[i], &renders[i]);
  grow(w->left_out, w->height, (gsize)w->width, w->width, 1);
  grow(w->left_out, w->width, 1, w->height, (gsize)w->width);
  if (before != NULL && before->surface.n > 0)
    leave_out(w, &before->surface, FALSE);
  else
    leave_out_unmarked(w, model, photos, renders, audience);
}

/* ---- Colours ------------------------------------------------------------------------- */

static void
add_labs(const Work *w, const PwPlane *plane, int first)
{
  for (int y = 0; y < w->height; y++)
    for (int x = 0; x < w->width; x++) {
      const guint8 *p = plane->pixels + (gsize)y * plane->stride + 3 * (gsize)x;
      double light[3] = {pw_srgb_light(p[0]), pw_srgb_light(p[1]), pw_srgb_light(p[2])};
      PwLab lab = pw_lab_from_light(light);
      float *to = w->labs + VALUES * index_of(w, x, y) + first;
      to[0] = (float)lab.L;
      to[1] = (float)lab.a;
      to[2] = (float)lab.b;
    }
}

static gboolean
render_labs(const Work *w, const PwModel *model, const PwModelPhoto *photo, const PwRender *render,
            int first, GError **error)
{
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, NULL, error);
  PwPlane plane = {0};
  if (file == NULL || !pw_photo_render(file, render, &plane, error))
    return FALSE;
  gboolean sized = plane.width == w->width && plane.height == w->height;
  if (sized)
    add_labs(w, &plane, first);
  else
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s: the size asked for is more than the crop has",
                photo->file);
  pw_plane_clear(&plane);
  return sized;
}

/* ---- Squares ------------------------------------------------------------------------- */

/* Adds a row's values to the sums of its columns, or takes them away; rows beyond are nothing. */
static void
add_row(const Work *w, int y, int sign, double *sums)
{
  if (y < 0 || y >= w->height)
    return;
  for (int x = 0; x < w->width; x++) {
    if (w->left_out[index_of(w, x, y)])
      continue;
    const float *from = w->labs + VALUES * index_of(w, x, y);
    for (int k = 0; k < VALUES; k++)
      sums[SUMS * x + k] += sign * (double)from[k];
    sums[SUMS * x + VALUES] += sign;
  }
}

static void
add_column(const Work *w, int x, int sign, const double *sums, double square[SUMS])
{
  for (int k = 0; x >= 0 && x < w->width && k < SUMS; k++)
    square[k] += sign * sums[SUMS * x + k];
}

static guint8
level_of(const double square[SUMS])
{
  const double n = square[VALUES];
  PwLab before = {square[0] / n, square[1] / n, square[2] / n},
        after = {square[3] / n, square[4] / n, square[5] / n};
  double level = round(pw_lab_difference(before, after) * PW_DIFFERENCE_LEVELS);
  return (guint8)fmin(level, PW_DIFFERENCE_NONE - 1);
}

static void
fill_row(const Work *w, const double *sums, int y, guint8 *levels)
{
  double square[SUMS] = {0};
  for (int x = 0; x < REACH; x++)
    add_column(w, x, 1, sums, square);
  for (int x = 0; x < w->width; x++) {
    add_column(w, x + REACH, 1, sums, square);
    levels[x] = w->left_out[index_of(w, x, y)] ? PW_DIFFERENCE_NONE : level_of(square);
    add_column(w, x - REACH, -1, sums, square);
  }
}

static void
compare(const Work *w, PwPlane *levels)
{
  g_autofree double *sums = g_new0(double, SUMS *(gsize)w->width);
  for (int y = 0; y < REACH; y++)
    add_row(w, y, 1, sums);
  for (int y = 0; y < w->height; y++) {
    add_row(w, y + REACH, 1, sums);
    fill_row(w, sums, y, levels->pixels + (gsize)y * levels->stride);
    add_row(w, y - REACH, -1, sums);
  }
}

gboolean
pw_model_difference(const PwModel *model, const PwModelPhoto *before, const PwModelPhoto *after,
                    const PwRender *render, PwAudience audience, PwPlane *levels, GError **error)
{
  const PwModelPhoto *const photos[] = {before, after};
  PwRender renders[] = {*render, *render};
  PwPxPath *masks[2];
  for (int i = 0; i < 2; i++)
    renders[i].masks = masks[i] =
        pw_model_dup_masks(model, photos[i], audience, &renders[i].n_masks);
  renders[0].to_frame = NULL;
  Work w = {.frame = render,
            .width = render->width,
            .height = render->height,
            .by = render->crop_width / render->width,
            .down = render->crop_height / render->height};
  gsize n = (gsize)w.width * (gsize)w.height;
  w.left_out = g_new0(guint8, n);
  w.labs = g_new(float, VALUES *n);
  *levels = (PwPlane){NULL, w.width, w.height, 1, (gsize)w.width};
  gboolean ok = render_labs(&w, model, before, &renders[0], 0, error) &&
                render_labs(&w, model, after, &renders[1], VALUES / 2, error);
  if (ok) {
    find_left_out(&w, model, photos, renders, audience);
    levels->pixels = g_malloc(n);
    compare(&w, levels);
  }
  for (int i = 0; i < 2; i++)
    pw_model_masks_free(masks[i], renders[i].n_masks);
  g_free(w.left_out);
  g_free(w.labs);
  return ok;
}
