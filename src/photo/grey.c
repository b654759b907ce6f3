/* A whole photograph as one grey plane, for finding what was printed in black on white.
 *
 * The luma is Y' of ITU-R BT.601 (section 2.5.1): 0.299 R' + 0.587 G' + 0.114 B', of the samples as
 * they stand. The file is read once from top to bottom, strip by strip, and each strip goes
 * straight to its upright place: nothing but the plane and one strip is held.
 */
#include "photo-private.h"

#include <math.h>

/* A strip is turned in blocks of so many columns, so that a quarter turn writes to few pages of
 * memory at a time. */
enum { STRIP_ROWS = 64, BLOCK_COLUMNS = 64 };

/* In parts of 65536, which they add up to: white stays white. */
enum { LUMA_R = 19595, LUMA_G = 38470, LUMA_B = 7471 };

/* Where the stored pixel (x, y) goes: origin + x * step_x + y * step_y bytes into the plane. */
typedef struct {
  gssize origin, step_x, step_y;
} Way;

static gssize
upright_offset(const PwPhotoFacts *facts, double x, double y)
{
  PwPx at = pw_photo_facts_upright(facts, (PwPx){x + 0.5, y + 0.5});
  return (gssize)floor(at.y) * facts->width + (gssize)floor(at.x);
}

static Way
find_way(const PwPhotoFacts *facts)
{
  gssize origin = upright_offset(facts, 0, 0);
  return (Way){origin, upright_offset(facts, 1, 0) - origin, upright_offset(facts, 0, 1) - origin};
}

static void
put_run(const guint8 *rgb, int n, guint8 *to, gssize step)
{
  for (int i = 0; i < n; i++, rgb += 3, to += step)
    *to = (guint8)((rgb[0] * LUMA_R + rgb[1] * LUMA_G + rgb[2] * LUMA_B + 32768) >> 16);
}

static void
put_strip(VipsRegion *region, const VipsRect *strip, const Way *way, guint8 *pixels)
{
  const gssize stride = (gssize)VIPS_REGION_LSKIP(region);
  const guint8 *rgb = region->data + (strip->top - region->valid.top) * stride;
  pixels += way->origin + strip->top * way->step_y;
  for (int x = 0; x < strip->width; x += BLOCK_COLUMNS)
    for (int y = 0; y < strip->height; y++)
      put_run(rgb + y * stride + 3 * x, MIN(BLOCK_COLUMNS, strip->width - x),
              pixels + x * way->step_x + y * way->step_y, way->step_x);
}

static int
put_all(VipsImage *rgb, const Way *way, guint8 *pixels)
{
  VipsRegion *region = vips_region_new(rgb);
  int result = 0;
  for (int y = 0; y < rgb->Ysize && result == 0; y += STRIP_ROWS) {
    VipsRect strip = {0, y, rgb->Xsize, MIN(STRIP_ROWS, rgb->Ysize - y)};
    result = vips_region_prepare(region, &strip);
    if (result == 0)
      put_strip(region, &strip, way, pixels);
  }
  g_object_unref(region);
  return result;
}

static gboolean
fill_plane(const PwPhoto *photo, VipsImage *rgb, PwPlane *plane, GError **error)
{
  const PwPhotoFacts *facts = &photo->facts;
  const Way way = find_way(facts);
  if (!pw_photo_is_as_opened(photo, rgb, error))
    return FALSE;
  *plane = (PwPlane){g_malloc((gsize)facts->width * (gsize)facts->height), facts->width,
                     facts->height, 1, (gsize)facts->width};
  if (put_all(rgb, &way, plane->pixels) == 0)
    return pw_photo_is_unchanged(photo, error);
  pw_photo_set_error(photo, error);
  return FALSE;
}

static gboolean
read_plane(PwPhoto *photo, PwPlane *plane, GError **error)
{
  VipsImage *stored = pw_photo_load(photo, 1, error);
  if (stored == NULL)
    return FALSE;
  VipsImage *flat = NULL, *rgb = NULL;
  gboolean ok = pw_colour_flatten(stored, &flat) == 0 &&
                pw_colour_to_srgb(flat, PW_COLOUR_AS_IT_STANDS, &rgb) == 0;
  if (ok)
    ok = fill_plane(photo, rgb, plane, error);
  else
    pw_photo_set_error(photo, error);
  VIPS_UNREF(rgb);
  VIPS_UNREF(flat);
  g_object_unref(stored);
  return ok;
}

gboolean
pw_photo_grey(PwPhoto *photo, PwPlane *plane, GError **error)
{
  *plane = (PwPlane){0};
  gboolean ok = read_plane(photo, plane, error);
  if (!ok)
    pw_plane_clear(plane);
  vips_thread_shutdown();
  return ok;
}
