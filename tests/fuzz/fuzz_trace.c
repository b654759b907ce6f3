/* Fuzz target: any plane, place and tolerance into following a colour edge; any plane and four
 * points into corners and an end; any points into a stroke with fewer. What is proposed must be
 * one: simple outlines within the plane, corners within reach, strokes of the stroke's own points;
 * what is not says why.
 *
 * The first bytes say what is asked and how large the plane is; then come the place and the
 * corners, then pixels: as they are, blocks of one colour, discs, or noise of a few levels about
 * one colour. */
#include <platewright/trace.h>

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { HEAD = 8, POINTS = 4, COORDINATE = 2, SIDE_MAX = 160 };
enum { AS_IT_IS, BLOCKS, DISCS, NOISE, N_FILLINGS };

/* Two bytes: somewhere on the side or a little beyond, or absurd. */
static double
coordinate(const uint8_t *data, int side)
{
  const double absurd[] = {(double)NAN, (double)INFINITY, -1e300, 1e9, -0.0};
  if (data[0] >= 250)
    return absurd[data[1] % G_N_ELEMENTS(absurd)];
  return side * ((data[0] | data[1] << 8) % 64000 / 62000.0 - 0.01);
}

static const uint8_t *
colour_at(int filling, int x, int y, const uint8_t *data, size_t size)
{
  size_t n = size / 3;
  if (filling == BLOCKS)
    return data + 3 * ((size_t)(x / 9 + 7 * (y / 9)) % n);
  if (filling == DISCS) {
    int cell = x / 40 + 5 * (y / 40), dx = x % 40 - 20, dy = y % 40 - 20;
    int radius = data[3 * ((size_t)cell % n)] % 20;
    return data + 3 * ((size_t)(dx * dx + dy * dy < radius * radius ? cell + 1 : 0) % n);
  }
  return data + 3 * (filling == NOISE ? 0 : (size_t)(y * 31 + x) % n);
}

static void
fill(PwPlane *plane, int filling, int grain, const uint8_t *data, size_t size)
{
  guint32 chance = 1 + (guint32)grain;
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++)
      for (int c = 0; c < plane->channels; c++) {
        chance = chance * 1664525u + 1013904223u;
        int level = colour_at(filling, x, y, data, size)[c] +
                    ((int)(chance >> 24) - 128) * (grain & 31) / 128;
        plane->pixels[(gsize)y * plane->stride + (gsize)(x * plane->channels + c)] =
            (guint8)CLAMP(level, 0, 255);
      }
}

static void
check_error(const GError *error)
{
  g_assert(error != NULL && error->domain == PW_ERROR && error->message[0] != '\0');
  g_assert(error->code == PW_ERROR_NUMERIC || error->code == PW_ERROR_LIMIT ||
           error->code == PW_ERROR_USE);
}

static void
check_within(const PwPlane *plane, const PwPxPath *ring)
{
  for (gsize i = 0; i < ring->n; i++)
    g_assert(ring->points[i].x >= 0 && ring->points[i].x <= plane->width &&
             ring->points[i].y >= 0 && ring->points[i].y <= plane->height);
}

static void
follow(const PwPlane *plane, PwPx at, const uint8_t *head)
{
  const PwTraceOptions options = {
      .tolerance = head[4] / 4.0, .simplify_px = head[5] / 16.0, .speck_px2 = head[6] * 2.0};
  g_autoptr(GError) error = NULL;
  PwTrace trace;
  if (pw_trace_follow(plane, at, &options, &trace, &error)) {
    g_assert(pw_outline_check(&trace.outline, NULL));
    g_assert(pw_outline_check_holes(&trace.outline, trace.holes, trace.n_holes, NULL));
    check_within(plane, &trace.outline);
  } else
    check_error(error);
  pw_trace_clear(&trace);
}

static void
seek(const PwPlane *plane, const PwPx points[POINTS], double reach)
{
  PwPx found[POINTS], end;
  double doubt;
  g_autoptr(GError) error = NULL, other = NULL;
  if (pw_trace_corners(plane, points, reach, found, &doubt, &error)) {
    for (int i = 0; i < POINTS; i++)
      g_assert(hypot(found[i].x - points[i].x, found[i].y - points[i].y) <= reach);
    g_assert(doubt > 0 && isfinite(doubt));
  } else
    check_error(error);
  if (pw_trace_end(plane, points[0], points[1], reach, &end, &doubt, &other)) {
    g_assert(hypot(end.x - points[1].x, end.y - points[1].y) <= reach * 1.000001);
    g_assert(doubt > 0 && isfinite(doubt));
  } else
    check_error(other);
}

static void
simplify(const uint8_t *data, size_t size, gboolean closed, double tolerance)
{
  g_autofree PwPx *points = g_new(PwPx, size / 2 + 1);
  PwPxPath path = {points, size / 2}, out;
  for (gsize i = 0; i < path.n; i++) /* a pen that moves by a little */
    points[i] = i > 0 ? (PwPx){points[i - 1].x + (data[2 * i] - 128) / 8.0,
                               points[i - 1].y + (data[2 * i + 1] - 128) / 8.0}
                      : (PwPx){data[0], data[1]};
  g_autoptr(GError) error = NULL;
  if (pw_trace_simplify(&path, closed, tolerance, &out, &error)) {
    g_assert(out.n > 0 && out.n <= path.n);
    /* What was simple is so. */
    if (closed && pw_outline_check(&path, NULL))
      g_assert(pw_outline_check(&out, NULL));
  } else
    check_error(error);
  pw_px_path_clear(&out);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  const uint8_t *at = data + HEAD, *pixels = at + 2 * COORDINATE * POINTS;
  if (size < HEAD + 2 * COORDINATE * POINTS + 6)
    return 0;
  size_t n = size - (size_t)(pixels - data);
  if (data[0] % 3 == 2) {
    simplify(pixels, n, data[1] & 1, data[4] / 8.0);
    return 0;
  }
  PwPlane plane = {.width = data[1] % SIDE_MAX, .height = data[2] % SIDE_MAX, .channels = 3};
  plane.channels = data[0] % 3 == 0 ? 3 : 1;
  plane.stride = (gsize)(plane.width * plane.channels) + data[7] % 5;
  plane.pixels = g_malloc0(plane.stride * (gsize)plane.height + 1);
  fill(&plane, data[3] % N_FILLINGS, data[7], pixels, n);
  PwPx points[POINTS];
  for (int i = 0; i < POINTS; i++)
    points[i] = (PwPx){coordinate(at + 2 * COORDINATE * i, plane.width),
                       coordinate(at + 2 * COORDINATE * i + COORDINATE, plane.height)};
  if (plane.channels == 3)
    follow(&plane, points[0], data);
  else
    seek(&plane, points, data[4] / 4.0);
  pw_plane_clear(&plane);
  return 0;
}
