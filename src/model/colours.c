/* Colours before and after: whether two photographs may be told from each other by colour, and how
 * far the mean colour inside each mark has moved.
 *
 * Both photographs are rendered in the frame of the one before, at one size; a mark's colour is the
 * mean of CIELAB over a grid of the pixels in it. Means are taken of Lab and not of single
 * differences, so that the grain of leather and noise, which are not where they were by a pixel, do
 * not count as change.
 */
#include <platewright/pair.h>

#include <math.h>
#include <string.h>

#include "model-private.h"

enum { LONGEST_SIDE = 2400 /* px of both, rendered */, LEAST_PIXELS = 16, MOST_PIXELS = 50000 };
/* Raised whenever the same pair may give other figures. */
static const char MAKER[] = "colour 1";

/* ---- Whether ----------------------------------------------------------------------- */

const char *
pw_colours_name(PwColours colours)
{
  static const char *const names[] = {
      [PW_COLOURS_COMPARE] = "compare",         [PW_COLOURS_LIGHT_UNSAID] = "light-unsaid",
      [PW_COLOURS_LIGHT_OTHER] = "light-other", [PW_COLOURS_LAMPS] = "lamps",
      [PW_COLOURS_CURVED] = "curved",           [PW_COLOURS_NOT_LAID] = "not-laid",
  };
  return names[colours];
}

PwColours
pw_colours_of(const PwModelPhoto *before, const PwModelPhoto *after)
{
  const PwSidecar *b = before->sidecar, *a = after->sidecar;
  if (b == NULL || a == NULL || b->light == NULL || a->light == NULL)
    return PW_COLOURS_LIGHT_UNSAID;
  if (g_strcmp0(b->light, "normal") != 0 || g_strcmp0(a->light, "normal") != 0)
    return PW_COLOURS_LIGHT_OTHER;
  if (before->facts.flash >= 0 && after->facts.flash >= 0 &&
      before->facts.flash != after->facts.flash)
    return PW_COLOURS_LAMPS;
  return b->curved || a->curved ? PW_COLOURS_CURVED : PW_COLOURS_COMPARE;
}

/* ---- One mark ---------------------------------------------------------------------- */

typedef struct {
  const PwPair *pair;
  PwPlane planes[2]; /* before, after, in the frame of before */
  double by;         /* px of before to a px of these */
} Rendered;

static gboolean
is_in_mark(const PwMark *mark, PwPx at)
{
  gboolean inside = pw_px_is_inside(&mark->path, at);
  for (gsize i = 0; inside && i < mark->n_holes; i++)
    inside = !pw_px_is_inside(&mark->holes[i], at);
  return inside;
}

static void
add_colour(const PwPlane *plane, int x, int y, double sum[3])
{
  const guint8 *p = plane->pixels + (gsize)y * plane->stride + 3 * (gsize)x;
  double light[3] = {pw_srgb_light(p[0]), pw_srgb_light(p[1]), pw_srgb_light(p[2])};
  PwLab lab = pw_lab_from_light(light);
  sum[0] += lab.L;
  sum[1] += lab.a;
  sum[2] += lab.b;
}

typedef struct {
  int left, top, right, bottom; /* px, the last two outside */
} Box;

static Box
box_of(const Rendered *rendered, const PwPxPath *ring)
{
  double left = G_MAXINT, top = G_MAXINT, right = 0, bottom = 0;
  for (gsize i = 0; i < ring->n; i++) {
    left = fmin(left, ring->points[i].x / rendered->by);
    right = fmax(right, ring->points[i].x / rendered->by);
    top = fmin(top, ring->points[i].y / rendered->by);
    bottom = fmax(bottom, ring->points[i].y / rendered->by);
  }
  return (Box){(int)fmax(0, floor(left)), (int)fmax(0, floor(top)),
               (int)fmin(rendered->planes[0].width, ceil(right)),
               (int)fmin(rendered->planes[0].height, ceil(bottom))};
}

static double
difference_in(const Rendered *rendered, const PwMark *mark)
{
  double sums[2][3] = {{0}};
  Box box = box_of(rendered, &mark->path);
  double all = (double)(box.right - box.left) * (box.bottom - box.top);
  int step = (int)fmax(1, ceil(sqrt(all / MOST_PIXELS))), n = 0;
  for (int y = box.top + step / 2; y < box.bottom; y += step)
    for (int x = box.left + step / 2; x < box.right; x += step) {
      if (!is_in_mark(mark, (PwPx){(x + 0.5) * rendered->by, (y + 0.5) * rendered->by}))
        continue;
      add_colour(&rendered->planes[0], x, y, sums[0]);
      add_colour(&rendered->planes[1], x, y, sums[1]);
      n++;
    }
  if (n < LEAST_PIXELS)
    return (double)NAN;
  return pw_lab_difference((PwLab){sums[0][0] / n, sums[0][1] / n, sums[0][2] / n},
                           (PwLab){sums[1][0] / n, sums[1][1] / n, sums[1][2] / n});
}

/* Whether after covers the mark: all corners of a polygon whose picture is a quadrilateral. */
static gboolean
is_covered(const PwPair *pair, const PwPxPath *ring)
{
  PwHomography to_after;
  if (!pw_homography_invert(&pair->alignment.h, &to_after))
    return FALSE;
  for (gsize i = 0; i < ring->n; i++) {
    double x, y;
    pw_homography_apply(&to_after, ring->points[i].x, ring->points[i].y, &x, &y);
    if (!(x >= 0 && y >= 0 && x <= pair->after->facts.width && y <= pair->after->facts.height))
      return FALSE;
  }
  return TRUE;
}

/* ---- Which marks ------------------------------------------------------------------- */

static gboolean
is_on_the_face(const PwModelMark *mark)
{
  const PwModelCard *card = mark->card;
  return mark->text->plane_offset.node == NULL &&
         (card == NULL || card->scale == mark->photo->scale);
}

/* The photograph that shows what became of it; NULL where colours are not told. */
static const PwModelPhoto *
after_of(const PwModelChange *change)
{
  const PwModelPhoto *after = change->after[0]->photo;
  if (change->before->kind != PW_KIND_AREA || change->before->text->path.n < 3 ||
      !is_on_the_face(change->before))
    return NULL;
  for (gsize i = 0; i < change->n_after; i++)
    if (change->after[i]->photo != after || !is_on_the_face(change->after[i]))
      return NULL;
  return pw_colours_of(change->before->photo, after) == PW_COLOURS_COMPARE ? after : NULL;
}

/* ---- One pair ---------------------------------------------------------------------- */

static gboolean
render_side(const PwModel *model, const PwModelPhoto *photo, const PwRender *render, PwPlane *plane)
{
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, NULL, NULL);
  return file != NULL && pw_photo_render(file, render, plane, NULL);
}

static gboolean
render_pair(const PwModel *model, const PwPair *pair, Rendered *rendered)
{
  const PwPhotoFacts *frame = &pair->before->facts;
  double by = fmax(1, (double)MAX(frame->width, frame->height) / LONGEST_SIDE);
  PwRender render = {.crop_width = frame->width,
                     .crop_height = frame->height,
                     .width = (int)round(frame->width / by),
                     .height = (int)round(frame->height / by)};
  *rendered = (Rendered){.pair = pair, .by = by};
  if (!render_side(model, pair->before, &render, &rendered->planes[0]))
    return FALSE;
  render.to_frame = &pair->alignment.h;
  return render_side(model, pair->after, &render, &rendered->planes[1]) &&
         rendered->planes[0].width == rendered->planes[1].width &&
         rendered->planes[0].height == rendered->planes[1].height;
}

/* All that decides, so that a figure is found again. */
static char *
dup_key(const PwPair *pair, const PwMark *mark)
{
  g_autoptr(GString) key = g_string_new(PW_VERSION);
  g_string_append_printf(key, " %s %s %s", MAKER, pair->before->sha256, pair->after->sha256);
  for (gsize i = 0; i < G_N_ELEMENTS(pair->alignment.h.m); i++) {
    g_autofree char *figure = pw_format_double(pair->alignment.h.m[i]);
    g_string_append_printf(key, " %s", figure);
  }
  g_autofree char *outline = pw_px_path_format(&mark->path);
  g_string_append_printf(key, " outline %s", outline);
  for (gsize i = 0; i < mark->n_holes; i++) {
    g_autofree char *hole = pw_px_path_format(&mark->holes[i]);
    g_string_append_printf(key, " hole %s", hole);
  }
  return g_strdup(key->str);
}

static gboolean
recall(const PwModel *model, const char *key, double *difference)
{
  g_autoptr(GBytes) entry = pw_cache_get(model->folder, "colours", key);
  if (entry == NULL)
    return FALSE;
  g_autofree char *text = g_strndup(g_bytes_get_data(entry, NULL), g_bytes_get_size(entry));
  return pw_parse_double(text, difference);
}

static void
keep(const PwModel *model, const char *key, double difference)
{
  g_autofree char *text = pw_format_double(difference);
  g_autoptr(GBytes) entry = g_bytes_new(text, strlen(text));
  if (!isnan(difference))
    pw_cache_put(model->folder, "colours", key, entry);
}

/* Of every change from `before` to `after`, once they lie on each other. */
static void
tell_pair(const PwModel *model, const PwPair *pair, double *differences)
{
  Rendered rendered = {.pair = NULL};
  gboolean is_rendered = TRUE;
  for (guint i = 0; i < model->changes->len && is_rendered; i++) {
    const PwModelChange *change = model->changes->pdata[i];
    const PwMark *mark = change->before->text;
    if (change->before->photo != pair->before || after_of(change) != pair->after ||
        !is_covered(pair, &mark->path))
      continue;
    g_autofree char *key = dup_key(pair, mark);
    if (recall(model, key, &differences[i]))
      continue;
    if (rendered.pair == NULL)
      is_rendered = render_pair(model, pair, &rendered);
    if (is_rendered)
      keep(model, key, differences[i] = difference_in(&rendered, mark));
  }
  pw_plane_clear(&rendered.planes[0]);
  pw_plane_clear(&rendered.planes[1]);
}

double *
pw_model_dup_colour_changes(const PwModel *model, const PwProgress *progress)
{
  guint n = model->changes->len;
  double *differences = g_new(double, MAX(n, 1));
  g_autofree gboolean *done = g_new0(gboolean, MAX(n, 1));
  for (guint i = 0; i < n; i++)
    differences[i] = (double)NAN;
  for (guint i = 0; i < n; i++) {
    const PwModelChange *change = model->changes->pdata[i];
    const PwModelPhoto *before = change->before->photo, *after = after_of(change);
    pw_progress_step(progress, "colours", i + 1, n);
    if (done[i] || after == NULL)
      continue;
    for (guint j = i; j < n; j++) {
      const PwModelChange *other = model->changes->pdata[j];
      done[j] = done[j] || (other->before->photo == before && after_of(other) == after);
    }
    g_autoptr(PwPair) pair = pw_pair_new(model, before, after, NULL);
    if (pair != NULL && pair->is_laid)
      tell_pair(model, pair, differences);
  }
  return differences;
}
