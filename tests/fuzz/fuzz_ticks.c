/* Fuzz target: any plane and any line as a ruler's graduations. What is read must be in order:
 * finite, with an uncertainty, and one and the same curve told twice; what is not says why.
 *
 * The first bytes say how large the plane is, how far apart its rows are, what it holds and where
 * the line ends; the rest are its pixels, one row of them repeated, or bars of the widths given. */
#include <platewright/card.h>

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { HEAD = 8, LINE = 12, SIDE_MAX = 4000, PIXELS_MAX = 200000 };
enum { AS_IT_IS, ONE_ROW, NOISE, FLAT, BARS, N_FILLINGS };

/* Dark bars: each byte is the width of one and of the light after it. */
static gboolean
in_bar(int x, const uint8_t *data, size_t size)
{
  int whole = 0;
  for (size_t i = 0; i < size; i++)
    whole += 2 + (data[i] & 15) + (data[i] >> 4);
  x %= whole > 0 ? whole : 1;
  for (size_t i = 0; i < size; i++) {
    int dark = 1 + (data[i] & 15), light = 1 + (data[i] >> 4);
    if (x < dark + light)
      return x < dark;
    x -= dark + light;
  }
  return FALSE;
}

static guint8
level_at(int x, gsize at, int filling, int grain, guint32 chance, const uint8_t *data, size_t size)
{
  if (filling == NOISE)
    return (guint8)(chance >> 24);
  if (filling == FLAT || size == 0)
    return (guint8)grain;
  if (filling == BARS) /* on quiet or unquiet paper */
    return (guint8)((in_bar(x, data, MIN(size, 64)) ? 60 : 190) +
                    (int)(chance >> 27) * grain / 256);
  return data[(filling == ONE_ROW ? (gsize)x : at) % size];
}

static void
fill(PwPlane *plane, int filling, int grain, const uint8_t *data, size_t size)
{
  guint32 chance = 1 + (guint32)grain;
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++) {
      gsize at = (gsize)y * (gsize)plane->width + (gsize)x;
      chance = chance * 1664525u + 1013904223u;
      plane->pixels[(gsize)y * plane->stride + (gsize)x] =
          level_at(x, at, filling, grain, chance, data, size);
    }
}

/* Three bytes: what kind of number, and how much of `side`. */
static double
coordinate(const uint8_t *data, int side)
{
  const double absurd[] = {(double)NAN, (double)INFINITY, -(double)INFINITY, 1e300, -1e9, 65537};
  double part = (data[1] | data[2] << 8) / 65535.0;
  if (data[0] < 240)
    return part * side;
  return data[0] < 250 ? side * 4 * (part - 0.5) : absurd[data[0] - 250];
}

static void
check_read(const PwTicks *ticks, double length)
{
  g_assert(isfinite(length) && isfinite(ticks->a) && isfinite(ticks->c));
  g_assert(ticks->count >= 6 && ticks->count <= length / 2);
  g_assert(ticks->u_count > 0 && ticks->u_count < 0.01 * ticks->count);
  g_assert(isfinite(ticks->dof) && ticks->dof >= 1);
  g_assert(ticks->residual >= 0 && ticks->residual <= 0.1);
  g_assert(isfinite(ticks->drift) && ticks->drift > -1);
  g_assert(fabs(ticks->a * length / (1 + ticks->c * length) - ticks->count) < 1e-6 * length);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  if (size < HEAD + LINE)
    return 0;
  PwPlane plane = {.width = (data[0] | data[1] << 8) % SIDE_MAX - 1, .channels = 1};
  plane.height = (data[2] | data[3] << 8) % SIDE_MAX - 1;
  plane.height = MIN(plane.height, PIXELS_MAX / MAX(plane.width, 1));
  plane.channels = data[6] == 3 ? 3 : 1; /* refused before it is looked at */
  plane.stride = (gsize)MAX(plane.width, 0) + data[4];
  plane.pixels = g_malloc0(plane.stride * (gsize)MAX(plane.height, 0) + 1);
  fill(&plane, data[5] % N_FILLINGS, data[7], data + HEAD + LINE, size - HEAD - LINE);
  const uint8_t *at = data + HEAD;
  PwPx from = {coordinate(at, plane.width), coordinate(at + 3, plane.height)};
  PwPx to = {coordinate(at + 6, plane.width), coordinate(at + 9, plane.height)};
  PwTicks ticks;
  g_autoptr(GError) error = NULL;
  gboolean in_grey = plane.channels == 1 && plane.width >= 1 && plane.height >= 1;
  if (pw_ticks_read(&plane, from, to, &ticks, &error)) {
    g_assert(in_grey);
    check_read(&ticks, hypot(to.x - from.x, to.y - from.y));
  } else {
    g_assert((in_grey && g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC)) ||
             g_error_matches(error, PW_ERROR, PW_ERROR_LIMIT));
  }
  pw_plane_clear(&plane);
  return 0;
}
