/* The eight EXIF orientations (Exif 2.32, tag 0x0112): from upright pixels to stored ones, for
 * points and for whole planes. Odd ones out: 2, 4, 5 and 7 are mirrored.
 */
#include "photo-private.h"

#include <string.h>

gboolean
pw_orient_swaps(int orientation)
{
  return orientation >= 5;
}

PwPx
pw_orient_to_stored(int orientation, int width, int height, PwPx upright)
{
  double x = upright.x, y = upright.y;
  switch (orientation) {
  case 2:
    return (PwPx){width - x, y};
  case 3:
    return (PwPx){width - x, height - y};
  case 4:
    return (PwPx){x, height - y};
  case 5:
    return (PwPx){y, x};
  case 6:
    return (PwPx){y, height - x};
  case 7:
    return (PwPx){width - y, height - x};
  case 8:
    return (PwPx){width - y, x};
  default:
    return upright;
  }
}

PwPx
pw_photo_facts_upright(const PwPhotoFacts *facts, PwPx stored)
{
  /* Each orientation undoes itself, but for the quarter turns, which undo each other. */
  static const int undone_by[] = {1, 1, 2, 3, 4, 5, 8, 7, 6};
  return pw_orient_to_stored(undone_by[facts->orientation], facts->width, facts->height, stored);
}

PwPx
pw_photo_facts_stored(const PwPhotoFacts *facts, PwPx upright)
{
  return pw_orient_to_stored(facts->orientation, facts->stored_width, facts->stored_height,
                             upright);
}

/* The byte offset of the stored pixel that becomes upright pixel (x, y). */
static gsize
stored_offset(const PwPlane *plane, int orientation, int x, int y)
{
  PwPx at = pw_orient_to_stored(orientation, plane->width, plane->height, (PwPx){x + 0.5, y + 0.5});
  return (gsize)at.y * plane->stride + (gsize)at.x * (gsize)plane->channels;
}

void
pw_orient_plane(PwPlane *plane, int orientation)
{
  if (orientation <= 1)
    return;
  gboolean swaps = pw_orient_swaps(orientation);
  PwPlane upright = {.width = swaps ? plane->height : plane->width,
                     .height = swaps ? plane->width : plane->height,
                     .channels = plane->channels};
  gsize size = (gsize)plane->channels;
  upright.stride = (gsize)upright.width * size;
  upright.pixels = g_malloc(upright.stride * (gsize)upright.height);
  for (int y = 0; y < upright.height; y++) {
    /* Along an upright row the stored place moves by a constant step. */
    gsize from = stored_offset(plane, orientation, 0, y);
    gsize step = upright.width > 1 ? stored_offset(plane, orientation, 1, y) - from : 0;
    guint8 *to = upright.pixels + (gsize)y * upright.stride;
    for (int x = 0; x < upright.width; x++, from += step, to += size)
      memcpy(to, plane->pixels + from, size);
  }
  pw_plane_clear(plane);
  *plane = upright;
}
