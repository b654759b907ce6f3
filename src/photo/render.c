/* Rendering: stored samples become an upright 8-bit sRGB plane, masked, cropped and scaled down, or
 * laid in a frame.
 *
 * The order is: decode, lay alpha on white, mask at full resolution, crop, scale, colour, turn.
 * Everything up to the scaling streams from top to bottom; only the finished plane is held whole.
 * Crops and masks come in upright px and are carried into stored px, so that the turn happens at
 * the end, where the picture is small.
 */
#include "photo-private.h"

#include <math.h>
#include <string.h>

enum { SKIP_ROWS = 64 /* rows read at once on the way down to a crop */ };
/* How much of the size asked for a quick picture has at least. */
#define QUICK_LEAST 0.8

/* Of a picture within a limit. Below this the blocks of the coding are seen sooner than missing
 * pixels are missed. */
#define LEAST_QUALITY 66
/* What that makes of the bytes, at least. */
#define COARSER 0.75
/* A picture that is too large is made smaller by what it is over, and this much more, so that the
 * next try is the last; the file of a finely grained one shrinks more slowly than its pixels. */
#define SHRINK_MORE 0.96
/* Tries before a picture is given up: the last would be under a tenth of the first a side. */
#define MOST_TRIES 12

/* In stored px and stored orientation. */
typedef struct {
  VipsRect crop;
  int width, height; /* wanted */
  int shrink;        /* of the JPEG decoder */
  int box;           /* of the plain mean of squares that is left to the warp; 0: no warp */
} Plan;

/* ---- Planning ---------------------------------------------------------------------- */

static gboolean
set_outside(const PwPhoto *photo, GError **error)
{
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s: the part asked for lies outside the picture",
              photo->path);
  return FALSE;
}

static gboolean
plan_crop(const PwPhoto *photo, const PwRender *render, Plan *plan, GError **error)
{
  const PwPhotoFacts *facts = &photo->facts;
  PwPx from = {0, 0}, to = {facts->width, facts->height};
  if (render->crop_width > 0 && render->crop_height > 0) {
    from = (PwPx){render->crop_x, render->crop_y};
    to = (PwPx){from.x + render->crop_width, from.y + render->crop_height};
  }
  PwPx a = pw_orient_to_stored(facts->orientation, facts->stored_width, facts->stored_height, from);
  PwPx b = pw_orient_to_stored(facts->orientation, facts->stored_width, facts->stored_height, to);
  double w = facts->stored_width, h = facts->stored_height;
  double left = CLAMP(round(MIN(a.x, b.x)), 0, w), right = CLAMP(round(MAX(a.x, b.x)), 0, w);
  double top = CLAMP(round(MIN(a.y, b.y)), 0, h), bottom = CLAMP(round(MAX(a.y, b.y)), 0, h);
  if (!(right - left >= 1 && bottom - top >= 1))
    return set_outside(photo, error);
  plan->crop = (VipsRect){(int)left, (int)top, (int)(right - left), (int)(bottom - top)};
  return TRUE;
}

/* Never enlarged: asked for more than there is in either direction, the crop comes as it is. A
 * size of which one side is left out keeps the crop's shape. */
static void
limit_size(double w, double h, double full_w, double full_h, int *width, int *height)
{
  if (w <= 0)
    w = h > 0 ? MAX(round(full_w * h / full_h), 1) : full_w;
  if (h <= 0)
    h = MAX(round(full_h * w / full_w), 1);
  gboolean smaller = w <= full_w && h <= full_h;
  *width = (int)(smaller ? w : full_w);
  *height = (int)(smaller ? h : full_h);
}

static void
plan_size(const PwPhoto *photo, const PwRender *render, Plan *plan)
{
  gboolean swaps = pw_orient_swaps(photo->facts.orientation);
  double w = swaps ? render->height : render->width, h = swaps ? render->width : render->height;
  limit_size(w, h, plan->crop.width, plan->crop.height, &plan->width, &plan->height);
}

/* The decoder's shrink is a plain mean over blocks and leaves the picture a little sharp; at least
 * a factor of two is left for the filter behind it. Masks need every pixel. */
static void
plan_shrink(const PwPhoto *photo, const PwRender *render, Plan *plan)
{
  double by = MIN((double)plan->crop.width / plan->width, (double)plan->crop.height / plan->height);
  plan->shrink = 1;
  if (photo->kind == PW_PHOTO_JPEG && render->n_masks == 0)
    plan->shrink = by >= 16 ? 8 : by >= 8 ? 4 : by >= 4 ? 2 : 1;
}

/* The decoder does as much of it as it can, and all of it where its own sizes, of which vips leaves
 * out a last part of a pixel, are near enough. */
static void
plan_quick_shrink(const PwPhoto *photo, const PwRender *render, Plan *plan)
{
  double by = MAX((double)plan->crop.width / plan->width, (double)plan->crop.height / plan->height);
  if (photo->kind != PW_PHOTO_JPEG || render->n_masks > 0)
    return;
  int n = by >= 8 * QUICK_LEAST ? 8 : by >= 4 * QUICK_LEAST ? 4 : by >= 2 * QUICK_LEAST ? 2 : 1;
  plan->shrink = n;
  plan->width = MIN(plan->width, MAX(plan->crop.width / n, 1));
  plan->height = MIN(plan->height, MAX(plan->crop.height / n, 1));
}

/* ---- The pipeline's steps ---------------------------------------------------------- */

/* Reads the rows above a crop and lets them go. Asked for a crop at once, vips would hold all that
 * lies above it. */
static int
skip_to(VipsImage *image, int top)
{
  if (top == 0 || !vips_image_is_sequential(image))
    return 0;
  VipsRegion *region = vips_region_new(image);
  int result = 0;
  for (int y = 0; y < top && result == 0; y += SKIP_ROWS) {
    VipsRect rows = {0, y, 1, MIN(SKIP_ROWS, top - y)};
    result = vips_region_prepare(region, &rows);
  }
  g_object_unref(region);
  return result;
}

static PwPxPath
path_to_stored(const PwPhotoFacts *facts, const PwPxPath *upright)
{
  PwPxPath stored = {g_new(PwPx, upright->n), upright->n};
  for (gsize i = 0; i < stored.n; i++)
    stored.points[i] = pw_orient_to_stored(facts->orientation, facts->stored_width,
                                           facts->stored_height, upright->points[i]);
  return stored;
}

static int
mask(const PwPhoto *photo, const PwRender *render, VipsImage *image, VipsImage **out)
{
  PwPxPath *stored = g_new(PwPxPath, render->n_masks);
  for (gsize i = 0; i < render->n_masks; i++)
    stored[i] = path_to_stored(&photo->facts, &render->masks[i]);
  int result = pw_mask_image(image, stored, render->n_masks, out);
  for (gsize i = 0; i < render->n_masks; i++)
    g_free(stored[i].points);
  g_free(stored);
  return result;
}

/* The crop in px of the image as the decoder has shrunk it, to the nearest of them: half of such a
 * pixel is at most a quarter of a pixel of the result. */
static VipsRect
shrunk_crop(const Plan *plan, const VipsImage *image)
{
  double n = plan->shrink;
  VipsRect whole = {0, 0, image->Xsize, image->Ysize};
  VipsRect crop = {(int)round(plan->crop.left / n), (int)round(plan->crop.top / n),
                   (int)ceil(plan->crop.width / n), (int)ceil(plan->crop.height / n)};
  vips_rect_intersectrect(&crop, &whole, &crop);
  return crop;
}

/* By the ratio of wanted px to full px, not of wanted px to whole shrunk ones: the last column of a
 * shrunk picture may stand for less than a whole one. Only where that would miss the wanted size,
 * at the picture's edge, by what there is. */
static double
axis_scale(int wanted, int full, int shrink, int have)
{
  double exact = (double)wanted * shrink / full;
  return lround(have * exact) == wanted ? exact : (double)wanted / have;
}

static int
scale(const Plan *plan, VipsImage *image, VipsImage **out)
{
  if (plan->box > 0)
    return vips_shrink(image, out, plan->box, plan->box, "ceil", TRUE, NULL);
  if (plan->width == image->Xsize && plan->height == image->Ysize) {
    *out = g_object_ref(image);
    return 0;
  }
  double x = axis_scale(plan->width, plan->crop.width, plan->shrink, image->Xsize);
  double y = axis_scale(plan->height, plan->crop.height, plan->shrink, image->Ysize);
  return vips_resize(image, out, x, "vscale", y, NULL);
}

/* The one place where pixels are asked for. */
static int
run(VipsImage *image, PwPlane *plane)
{
  size_t length = 0;
  void *pixels = vips_image_write_to_memory(image, &length);
  if (pixels == NULL)
    return -1;
  *plane = (PwPlane){pixels, image->Xsize, image->Ysize, image->Bands,
                     (gsize)image->Xsize * (gsize)image->Bands};
  return 0;
}

static int
make_plane(const PwPhoto *photo, const PwRender *render, const Plan *plan, VipsImage *stored,
           PwPlane *plane)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 5);
  VipsRect crop = shrunk_crop(plan, stored);
  int result = pw_colour_flatten(stored, &t[0]);
  if (result == 0)
    result = render->n_masks > 0 ? mask(photo, render, t[0], &t[1]) : vips_copy(t[0], &t[1], NULL);
  if (result == 0)
    result = vips_extract_area(t[1], &t[2], crop.left, crop.top, crop.width, crop.height, NULL);
  if (result == 0)
    result = scale(plan, t[2], &t[3]);
  if (result == 0)
    result = pw_colour_to_srgb(t[3], photo->colour_way, &t[4]);
  if (result == 0)
    result = skip_to(stored, crop.top);
  if (result == 0)
    result = run(t[4], plane);
  g_object_unref(scope);
  return result;
}

static gboolean
render_plan(PwPhoto *photo, const PwRender *render, const Plan *plan, PwPlane *plane,
            GError **error)
{
  VipsImage *stored = pw_photo_load(photo, plan->shrink, error);
  if (stored == NULL)
    return FALSE;
  int result = make_plane(photo, render, plan, stored, plane);
  g_object_unref(stored);
  if (result != 0) {
    pw_photo_set_error(photo, error);
    return FALSE;
  }
  if (!pw_photo_is_unchanged(photo, error)) {
    pw_plane_clear(plane);
    return FALSE;
  }
  return TRUE;
}

static gboolean
render_own(PwPhoto *photo, const PwRender *render, PwPlane *plane, GError **error)
{
  Plan plan = {0};
  if (!plan_crop(photo, render, &plan, error))
    return FALSE;
  plan_size(photo, render, &plan);
  plan_shrink(photo, render, &plan);
  if (render->quick)
    plan_quick_shrink(photo, render, &plan);
  if (!render_plan(photo, render, &plan, plane, error))
    return FALSE;
  pw_orient_plane(plane, photo->facts.orientation);
  return TRUE;
}

/* ---- In a frame -------------------------------------------------------------------- */

/* The warp's kernel has at least so many px to one of the result: what lies under it was made by
 * plain means, which leave a picture a little sharp. */
#define LEAST_REACH 2.0

static PwHomography
upright_to_stored(const PwPhotoFacts *facts)
{
  PwPx o = pw_photo_facts_stored(facts, (PwPx){0, 0});
  PwPx x = pw_photo_facts_stored(facts, (PwPx){1, 0}),
       y = pw_photo_facts_stored(facts, (PwPx){0, 1});
  return (PwHomography){{x.x - o.x, y.x - o.x, o.x, x.y - o.y, y.y - o.y, o.y, 0, 0, 1}};
}

/* From px of the result to stored px. The crop is rounded as that of a photograph's own is, so that
 * two results of one crop show the same. */
static gboolean
find_way(const PwPhoto *photo, const PwRender *render, int *width, int *height, PwHomography *way)
{
  const PwPhotoFacts *facts = &photo->facts;
  double left = round(render->crop_x), top = round(render->crop_y);
  double w = round(render->crop_x + render->crop_width) - left;
  double h = round(render->crop_y + render->crop_height) - top;
  PwHomography to_upright, to_stored = upright_to_stored(facts), frame_to_stored;
  if (!(w >= 1 && w < VIPS_MAX_COORD && h >= 1 && h < VIPS_MAX_COORD) ||
      !pw_homography_invert(render->to_frame, &to_upright))
    return FALSE;
  limit_size(render->width, render->height, w, h, width, height);
  PwHomography to_frame = {{w / *width, 0, left, 0, h / *height, top, 0, 0, 1}};
  pw_homography_multiply(&to_stored, &to_upright, &frame_to_stored);
  pw_homography_multiply(&frame_to_stored, &to_frame, way);
  for (gsize i = 0; i < G_N_ELEMENTS(way->m); i++)
    if (!isfinite(way->m[i]))
      return FALSE;
  return pw_warp_horizon_is_clear(render->to_frame, 0, 0, facts->width, facts->height) &&
         pw_warp_horizon_is_clear(way, 0, 0, *width, *height);
}

/* Whole squares of what is shrunk to one pixel, so that its places are known to the last digit. */
static gboolean
plan_warp(const PwPhoto *photo, const PwRender *render, const PwWarpReach *reach, Plan *plan)
{
  const PwPhotoFacts *facts = &photo->facts;
  int side = MIN(facts->stored_width, facts->stored_height);
  int by = (int)CLAMP(floor(reach->least / LEAST_REACH), 1, side);
  gboolean scales = photo->kind == PW_PHOTO_JPEG && render->n_masks == 0;
  plan->shrink = !scales ? 1 : by >= 8 ? 8 : by >= 4 ? 4 : by >= 2 ? 2 : 1;
  plan->box = by / plan->shrink;
  by = plan->shrink * plan->box;
  double left = by * floor(CLAMP(reach->left, 0, facts->stored_width) / by);
  double top = by * floor(CLAMP(reach->top, 0, facts->stored_height) / by);
  double right =
      MIN(by * ceil(CLAMP(reach->right, 0, facts->stored_width) / by), facts->stored_width);
  double bottom =
      MIN(by * ceil(CLAMP(reach->bottom, 0, facts->stored_height) / by), facts->stored_height);
  plan->crop = (VipsRect){(int)left, (int)top, (int)(right - left), (int)(bottom - top)};
  return !vips_rect_isempty(&plan->crop);
}

static gboolean
render_framed(PwPhoto *photo, const PwRender *render, PwPlane *plane, GError **error)
{
  Plan plan = {0};
  PwHomography way;
  PwWarpReach reach;
  if (!find_way(photo, render, &plan.width, &plan.height, &way)) {
    g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "%s: cannot be laid there", photo->path);
    return FALSE;
  }
  pw_warp_reach(&way, plan.width, plan.height, &reach);
  if (!plan_warp(photo, render, &reach, &plan))
    return set_outside(photo, error);
  PwPlane source = {0};
  if (!render_plan(photo, render, &plan, &source, error))
    return FALSE;
  double by = plan.shrink * plan.box, left = plan.crop.left / by, top = plan.crop.top / by;
  PwHomography to_source = {{1 / by, 0, -left, 0, 1 / by, -top, 0, 0, 1}};
  PwWarp warp = {.source = &source,
                 .left = -left,
                 .top = -top,
                 .right = photo->facts.stored_width / by - left,
                 .bottom = photo->facts.stored_height / by - top};
  pw_homography_multiply(&to_source, &way, &warp.to_source);
  pw_warp_plane(&warp, plan.width, plan.height, plane);
  pw_plane_clear(&source);
  return TRUE;
}

static gboolean
render_plane(PwPhoto *photo, const PwRender *render, PwPlane *plane, GError **error)
{
  if (render->to_frame != NULL ? !render_framed(photo, render, plane, error)
                               : !render_own(photo, render, plane, error))
    return FALSE;
  if (render->grey)
    pw_colour_make_grey(plane);
  return TRUE;
}

gboolean
pw_photo_render(PwPhoto *photo, const PwRender *render, PwPlane *plane, GError **error)
{
  *plane = (PwPlane){0};
  gboolean ok = render_plane(photo, render, plane, error);
  vips_thread_shutdown();
  return ok;
}

/* Its pixels are the plane's. */
static VipsImage *
image_of(const PwPlane *plane)
{
  return vips_image_new_from_memory(plane->pixels, plane->stride * (gsize)plane->height,
                                    plane->width, plane->height, plane->channels,
                                    VIPS_FORMAT_UCHAR);
}

/* Colour at full resolution (4:4:4): a line of red ink is not smeared over its neighbours. */
GBytes *
pw_photo_encode_jpeg(const PwPlane *plane, int quality, GError **error)
{
  VipsImage *image = image_of(plane);
  VipsImage *srgb = NULL;
  void *bytes = NULL;
  size_t length = 0;
  int result = image != NULL ? 0 : -1;
  if (result == 0)
    result = vips_copy(image, &srgb, "interpretation", VIPS_INTERPRETATION_sRGB, NULL);
  if (result == 0)
    result =
        vips_jpegsave_buffer(srgb, &bytes, &length, "Q", quality, "strip", TRUE, "optimize_coding",
                             TRUE, "subsample_mode", VIPS_FOREIGN_SUBSAMPLE_OFF, NULL);
  VIPS_UNREF(srgb);
  VIPS_UNREF(image);
  if (result == 0)
    return g_bytes_new_take(bytes, length);
  g_autofree char *why = pw_photo_dup_why();
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "no JPEG could be made of a picture (%s)", why);
  return NULL;
}

static gboolean
shrink(const PwPhoto *photo, const PwPlane *plane, double by, PwPlane *smaller, GError **error)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 2);
  int width = (int)MAX(1, floor(plane->width * by));
  int height = (int)MAX(1, round((double)width * plane->height / plane->width));
  t[0] = image_of(plane);
  int result = t[0] != NULL ? 0 : -1;
  if (result == 0)
    result = vips_resize(t[0], &t[1], (double)width / plane->width, "vscale",
                         (double)height / plane->height, NULL);
  if (result == 0)
    result = run(t[1], smaller);
  g_object_unref(scope);
  if (result != 0)
    pw_photo_set_error(photo, error);
  return result == 0;
}

/* `plane` becomes `whole`, so much smaller. */
static gboolean
shrink_anew(const PwPhoto *photo, const PwPlane *whole, double by, PwPlane *plane, GError **error)
{
  if (plane->pixels != whole->pixels)
    pw_plane_clear(plane);
  *plane = (PwPlane){0};
  return shrink(photo, whole, by, plane, error);
}

/* Quality gives way once, and a little; what that does not save, pixels must. `plane` becomes the
 * picture that was encoded. */
static GBytes *
encode_within(const PwPhoto *photo, PwPlane *plane, int quality, gsize most, GError **error)
{
  PwPlane whole = *plane;
  GBytes *fits = NULL;
  double by = 1;
  gboolean goes_on = TRUE;
  for (guint i = 0; goes_on && fits == NULL && i < MOST_TRIES; i++) {
    g_autoptr(GBytes) jpeg = pw_photo_encode_jpeg(plane, quality, error);
    if (jpeg == NULL)
      break;
    double over = (double)g_bytes_get_size(jpeg) / (double)most;
    if (over <= 1)
      fits = g_steal_pointer(&jpeg);
    double expected = quality > LEAST_QUALITY ? over * COARSER : over;
    quality = MIN(quality, LEAST_QUALITY);
    if (expected <= 1)
      continue;
    by *= SHRINK_MORE / sqrt(expected);
    goes_on = shrink_anew(photo, &whole, by, plane, error);
  }
  if (plane->pixels != whole.pixels)
    pw_plane_clear(&whole);
  if (fits == NULL && error != NULL && *error == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "%s: no picture of it keeps within %" G_GSIZE_FORMAT " bytes", photo->path, most);
  return fits;
}

GBytes *
pw_photo_render_jpeg(PwPhoto *photo, const PwRender *render, int quality, int *width, int *height,
                     GError **error)
{
  PwPlane plane = {0};
  GBytes *jpeg = NULL;
  if (render_plane(photo, render, &plane, error)) {
    jpeg = render->most_bytes > 0 ? encode_within(photo, &plane, quality, render->most_bytes, error)
                                  : pw_photo_encode_jpeg(&plane, quality, error);
    *width = plane.width;
    *height = plane.height;
  }
  pw_plane_clear(&plane);
  vips_thread_shutdown();
  return jpeg;
}
