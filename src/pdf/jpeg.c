/* A look at a JPEG's header before Cairo takes the bytes on trust: what Cairo does not understand
 * it would replace, in silence, by a black picture. Markers as in ITU-T T.81, annex B.
 */
#include "private.h"

enum { SOI = 0xD8, EOI = 0xD9, SOS = 0xDA, SOF0 = 0xC0, SOF1 = 0xC1, FRAME_HEADER_BYTES = 8 };

static guint
two_bytes(const guint8 *at)
{
  return (guint)at[0] << 8 | at[1];
}

/* The frame header's fields, from the byte after its length; NULL when there is no baseline frame.
 */
static const guint8 *
find_frame(const guint8 *data, gsize length)
{
  if (length < 2 || data[0] != 0xFF || data[1] != SOI)
    return NULL;
  for (gsize at = 2; at + 4 <= length;) {
    guint8 marker = data[at + 1];
    if (data[at] != 0xFF || marker == SOS || marker == EOI)
      return NULL;
    if (marker == 0xFF) { /* a fill byte */
      at++;
      continue;
    }
    gsize segment = two_bytes(data + at + 2);
    if (marker == SOF0 || marker == SOF1)
      return segment >= FRAME_HEADER_BYTES && at + 2 + segment <= length ? data + at + 4 : NULL;
    at += 2 + segment;
  }
  return NULL;
}

gboolean
pw_pdf_jpeg_check(GBytes *jpeg, int width, int height, GError **error)
{
  gsize length = 0;
  const guint8 *data = g_bytes_get_data(jpeg, &length);
  const guint8 *frame = find_frame(data, length);
  if (frame == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a picture for the page is no baseline JPEG");
    return FALSE;
  }
  guint bits = frame[0], channels = frame[5];
  guint rows = two_bytes(frame + 1), columns = two_bytes(frame + 3);
  if (bits != 8 || (channels != 1 && channels != 3)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "a picture for the page has %u channels of %u bits, not 1 or 3 of 8", channels,
                bits);
    return FALSE;
  }
  if (columns != (guint)width || rows != (guint)height) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "a picture for the page is %u x %u, not %d x %d px",
                columns, rows, width, height);
    return FALSE;
  }
  return TRUE;
}
