/* Counts the scans of a JPEG before the decoder sees it. A progressive JPEG may hold any number of
 * scans, each a pass over the whole picture: a small file can so ask for hours of work.
 * Markers as in ITU-T T.81, Annex B.
 */
#include "photo-private.h"

#include <string.h>

enum {
  MARKER_SOI = 0xD8,
  MARKER_EOI = 0xD9,
  MARKER_SOS = 0xDA,
  MARKER_SOF0 = 0xC0, /* SOF0 to SOF15, less DHT, JPG and DAC, which lie between */
  MARKER_SOF15 = 0xCF,
  MARKER_DHT = 0xC4,
  MARKER_JPG = 0xC8,
  MARKER_DAC = 0xCC,
  MARKER_RST0 = 0xD0,
  MARKER_RST7 = 0xD7,
  MARKER_TEM = 0x01,
  SEGMENTS_MAX = 100000, /* before the first scan: as many as a 1 GB file of small comments */
  BLOCK = 256 * 1024
};

typedef struct {
  gboolean progressive;
  int components, first_scan_components;
  gint64 entropy_at; /* where the first scan's coded data begin; -1 when there is none */
} Frame;

static gboolean
is_frame_marker(int marker)
{
  return marker >= MARKER_SOF0 && marker <= MARKER_SOF15 && marker != MARKER_DHT &&
         marker != MARKER_JPG && marker != MARKER_DAC;
}

static gboolean
is_progressive_marker(int marker)
{
  return is_frame_marker(marker) && (marker & 3) == 2;
}

static gboolean
stands_alone(int marker)
{
  return marker == MARKER_SOI || marker == MARKER_TEM ||
         (marker >= MARKER_RST0 && marker <= MARKER_RST7);
}

/* The next marker at or after `*at`, as the decoder finds it: what is not a marker is passed over.
 * `*at` ends behind it; -1 at the end of the file. */
static int
next_marker(int fd, gint64 *at)
{
  guint8 block[512];
  gboolean after_ff = FALSE;
  for (;;) {
    gssize got = pw_photo_read_at(fd, block, sizeof block, *at);
    if (got <= 0)
      return -1;
    for (gssize i = 0; i < got; i++) {
      if (after_ff && block[i] != 0 && block[i] != 0xFF) {
        *at += i + 1;
        return block[i];
      }
      after_ff = block[i] == 0xFF;
    }
    *at += got;
  }
}

/* Walks the segments up to the first scan. */
static void
read_frame(int fd, Frame *frame)
{
  gint64 at = 0;
  *frame = (Frame){FALSE, 0, 0, -1};
  for (int i = 0; i < SEGMENTS_MAX; i++) {
    guint8 head[8];
    int marker = next_marker(fd, &at);
    if (marker < 0 || marker == MARKER_EOI)
      return;
    if (stands_alone(marker))
      continue;
    gssize got = pw_photo_read_at(fd, head, sizeof head, at);
    if (got < 2)
      return;
    int length = head[0] << 8 | head[1];
    if (is_frame_marker(marker) && got == sizeof head) {
      frame->progressive = is_progressive_marker(marker);
      frame->components = head[7];
    }
    if (marker == MARKER_SOS) {
      frame->first_scan_components = got > 2 ? head[2] : 0;
      frame->entropy_at = at + length;
      return;
    }
    at += MAX(length, 2);
  }
}

/* In coded data FF is followed by 00 or a restart: FF DA there begins another scan. A table
 * between scans may hold these two bytes too; such a count is only ever too high. */
static int
count_sos(int fd, gint64 at, int limit)
{
  g_autofree guint8 *block = g_malloc(BLOCK);
  gboolean after_ff = FALSE;
  int found = 0;
  gssize got;
  while (found <= limit && (got = pw_photo_read_at(fd, block, BLOCK, at)) > 0) {
    const guint8 *end = block + got, *p = block;
    if (after_ff && *p == MARKER_SOS)
      found++;
    while ((p = memchr(p, 0xFF, (gsize)(end - p))) != NULL && ++p < end)
      found += *p == MARKER_SOS;
    after_ff = end[-1] == 0xFF;
    at += got;
  }
  return found;
}

void
pw_jpeg_count_scans(int fd, int limit, PwJpegScans *scans)
{
  Frame frame;
  read_frame(fd, &frame);
  scans->scans = frame.entropy_at < 0 ? 0 : 1;
  scans->whole = frame.progressive || frame.first_scan_components < frame.components;
  if (scans->whole && frame.entropy_at >= 0)
    scans->scans += count_sos(fd, frame.entropy_at, limit);
}
