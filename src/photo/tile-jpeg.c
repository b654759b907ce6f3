/* One tile as a JPEG, by libjpeg: encoded, checked, cut at the picture's edge, decoded. Each is a
 * whole file (ITU-T T.81, Annex B) with a JFIF head that says YCbCr, and nothing else in it.
 */
#include "tiles-private.h"

#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>

#include <jpeglib.h>

enum { QUALITY = 85 };
/* Markers of T.81, table B.1. */
enum { SOF0 = 0xC0, DHT = 0xC4, SOI = 0xD8, SOS = 0xDA, DQT = 0xDB, APP0 = 0xE0 };

/* libjpeg would print and exit. */
typedef struct {
  struct jpeg_error_mgr base;
  jmp_buf back;
} Trouble;

static void
jump_back(j_common_ptr jpeg)
{
  longjmp(((Trouble *)jpeg->err)->back, 1);
}

/* What libjpeg can go on after is damage all the same; what it only remarks on is not. */
static void
take_message(j_common_ptr jpeg, int level)
{
  if (level < 0)
    jump_back(jpeg);
}

static struct jpeg_error_mgr *
trouble_init(Trouble *trouble)
{
  jpeg_std_error(&trouble->base);
  trouble->base.error_exit = jump_back;
  trouble->base.emit_message = take_message;
  return &trouble->base;
}

/* A compressor and a decompressor, of which a step may want one or both. */
typedef struct {
  struct jpeg_compress_struct to;
  struct jpeg_decompress_struct from;
  Trouble trouble;
  GBytes *jpeg; /* read */
  guint8 *pixels;
  int width, height;
  unsigned char *bytes; /* made, malloc'ed */
  unsigned long length;
} Work;

/* FALSE when libjpeg gave up on the way. */
static gboolean
attempt(Work *work, void (*step)(Work *work))
{
  work->to.err = work->from.err = trouble_init(&work->trouble);
  if (setjmp(work->trouble.back) != 0)
    return FALSE;
  jpeg_create_compress(&work->to);
  jpeg_create_decompress(&work->from);
  step(work);
  return TRUE;
}

/* What was made, NULL where nothing was. */
static GBytes *
make(Work *work, void (*step)(Work *work))
{
  gboolean ok = attempt(work, step);
  jpeg_destroy_compress(&work->to);
  jpeg_destroy_decompress(&work->from);
  if (ok)
    return g_bytes_new_with_free_func(work->bytes, work->length, free, work->bytes);
  free(work->bytes);
  return NULL;
}

static void
start_reading(Work *work)
{
  gsize length = 0;
  const guint8 *bytes = g_bytes_get_data(work->jpeg, &length);
  jpeg_mem_src(&work->from, bytes, (unsigned long)length);
  jpeg_read_header(&work->from, TRUE);
}

static void
encode(Work *work)
{
  jpeg_mem_dest(&work->to, &work->bytes, &work->length);
  work->to.image_width = work->to.image_height = PW_TILE_PX;
  work->to.input_components = 3;
  work->to.in_color_space = JCS_RGB;
  jpeg_set_defaults(&work->to);
  jpeg_set_quality(&work->to, QUALITY, TRUE);
  jpeg_start_compress(&work->to, TRUE);
  while (work->to.next_scanline < PW_TILE_PX) {
    JSAMPROW row = work->pixels + (gsize)work->to.next_scanline * PW_TILE_STRIDE;
    jpeg_write_scanlines(&work->to, &row, 1);
  }
  jpeg_finish_compress(&work->to);
}

GBytes *
pw_tile_encode(guint8 *pixels)
{
  Work work = {.pixels = pixels};
  return make(&work, encode);
}

/* ---- Checking ---------------------------------------------------------------------- */

static guint
two_bytes(const guint8 *at)
{
  return (guint)at[0] << 8 | at[1];
}

static gboolean
is_frame_of(const guint8 *segment, gsize length, guint width, guint height)
{
  return length == 17 && segment[2] == 8 && two_bytes(segment + 3) == height &&
         two_bytes(segment + 5) == width && segment[7] == 3;
}

/* The markers that pw_tile_encode writes, up to the scan. */
gboolean
pw_tile_is_sound(GBytes *jpeg, int width, int height)
{
  gsize length = 0;
  const guint8 *data = g_bytes_get_data(jpeg, &length);
  gboolean framed = FALSE;
  if (length < 4 || data[0] != 0xFF || data[1] != SOI)
    return FALSE;
  for (gsize at = 2; at + 4 <= length && data[at] == 0xFF;) {
    const guint8 marker = data[at + 1];
    const guint8 *segment = data + at + 2;
    const gsize bytes = two_bytes(segment);
    if (bytes < 2 || bytes > length - at - 2)
      return FALSE;
    if (marker == SOS)
      return framed && bytes == 12 && segment[2] == 3; /* one scan holds all three */
    if (marker == SOF0 && !framed && is_frame_of(segment, bytes, (guint)width, (guint)height))
      framed = TRUE;
    else if (marker != DHT && marker != DQT && (marker != APP0 || bytes != 16))
      return FALSE;
    at += 2 + bytes;
  }
  return FALSE;
}

/* ---- Cutting ----------------------------------------------------------------------- */

/* A picture's blocks may be more than its size asks for: those beyond are not written. */
static void
cut(Work *work)
{
  start_reading(work);
  jvirt_barray_ptr *blocks = jpeg_read_coefficients(&work->from);
  jpeg_mem_dest(&work->to, &work->bytes, &work->length);
  jpeg_copy_critical_parameters(&work->from, &work->to);
  work->to.image_width = (JDIMENSION)work->width;
  work->to.image_height = (JDIMENSION)work->height;
  jpeg_write_coefficients(&work->to, blocks);
  jpeg_finish_compress(&work->to);
  jpeg_finish_decompress(&work->from);
}

GBytes *
pw_tile_cut(GBytes *jpeg, int width, int height)
{
  Work work = {.jpeg = jpeg, .width = width, .height = height};
  return make(&work, cut);
}

/* ---- Decoding ---------------------------------------------------------------------- */

static void
decode(Work *work)
{
  start_reading(work);
  work->from.out_color_space = JCS_RGB;
  jpeg_start_decompress(&work->from);
  while (work->from.output_scanline < work->from.output_height) {
    JSAMPROW row = work->pixels + (gsize)work->from.output_scanline * PW_TILE_STRIDE;
    jpeg_read_scanlines(&work->from, &row, 1);
  }
  jpeg_finish_decompress(&work->from);
}

gboolean
pw_tile_decode(GBytes *jpeg, guint8 *pixels)
{
  Work work = {.jpeg = jpeg, .pixels = pixels};
  gboolean ok = attempt(&work, decode);
  jpeg_destroy_compress(&work.to);
  jpeg_destroy_decompress(&work.from);
  return ok;
}
