/* Fuzz target: any two planes, with or without cards, start and outline into laying one over the
 * other; any two scales, any two outlines, and the planes alone, into a start. What is laid is
 * finite and has its evidence; what is not says why.
 *
 * The first bytes say how large the planes are and what of; then come nine numbers of the start,
 * then pixels. The second plane is a shifted copy of the first, or one of its own. */
#include <platewright/align.h>

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { HEAD = 8, NUMBERS = 9, SIDE_MIN = PW_ALIGN_SIDE_MIN - 8, GRAIN = 5 };

/* One byte a number: near that of the identity, or absurd. */
static double
number(uint8_t byte, double usual, double reach)
{
  const double absurd[] = {(double)NAN, (double)INFINITY, -1e300, 0, 1e9, 1e-9};
  if (byte >= 250)
    return absurd[byte - 250];
  return usual + reach * ((byte - 125) / 125.0);
}

static PwHomography
homography(const uint8_t *data)
{
  PwHomography h;
  for (int i = 0; i < NUMBERS; i++)
    h.m[i] = i == 2 || i == 5 ? number(data[i], 0, 20)
             : i > 5          ? number(data[i], 0, 1e-3)
                              : number(data[i], i == 0 || i == 4, 0.3);
  h.m[8] = 1;
  return h;
}

/* One byte a side; 0 none at all. */
static int
side(uint8_t byte)
{
  return byte == 0 ? 0 : SIDE_MIN + byte;
}

static int
level(int x, int y, int kind, const uint8_t *data, size_t size)
{
  int cell = kind % 3 == 0 ? 1 : kind % 3 == 1 ? GRAIN : 4 * GRAIN;
  return data[(size_t)(x / cell * 31 + y / cell * 17) % size];
}

static PwPlane
plane_new(int width, int height, int shift, int kind, const uint8_t *data, size_t size)
{
  PwPlane plane = {g_malloc((gsize)width * (gsize)height + 1), width, height, 1, (gsize)width};
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      plane.pixels[y * width + x] = (guint8)level(x + shift, y + shift / 2, kind, data, size);
  return plane;
}

static void
check_error(const GError *error)
{
  g_assert(error != NULL && error->domain == PW_ERROR && error->code == PW_ERROR_NUMERIC &&
           error->message[0] != '\0');
}

static void
check_finite(const PwHomography *h)
{
  for (int i = 0; i < NUMBERS; i++)
    g_assert(isfinite(h->m[i]));
}

static void
refine(const PwAlignPair *pair, const PwHomography *start)
{
  PwAlignment alignment;
  g_autoptr(GError) error = NULL;
  if (pw_align_refine(pair, start, &alignment, &error)) {
    check_finite(&alignment.h);
    g_assert(alignment.residual_px >= 0 && isfinite(alignment.residual_px));
    g_assert(alignment.correlation >= -1 && alignment.correlation <= 1.001);
    g_assert(alignment.agreement > 0 && alignment.agreement <= 1);
    g_assert(alignment.overlap > 0 && alignment.overlap <= 1 && alignment.n_cells > 0);
  } else
    check_error(error);
  pw_alignment_clear(&alignment);
}

static void
begin(const PwAlignPair *pair, const PwHomography *a, const PwHomography *b)
{
  PwAlignScaled before = {pair->before, *a, pair->cards_before},
                after = {pair->after, *b, pair->cards_after};
  PwHomography start;
  g_autoptr(GError) error = NULL, other = NULL;
  if (!pw_align_start_scaled(&before, &after, &start, &error))
    check_error(error);
  else
    refine(pair, &start);
  if (pw_align_start_surfaces(&pair->within, &pair->within, &start, &other))
    check_finite(&start);
  else
    check_error(other);
}

static void
search(const PwAlignPair *pair)
{
  PwHomography start;
  g_autoptr(GError) error = NULL;
  if (!pw_align_knows_features())
    return;
  if (pw_align_start_features(pair, &start, &error))
    check_finite(&start);
  else
    check_error(error);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  const uint8_t *pixels = data + HEAD + 2 * NUMBERS;
  if (size < HEAD + 2 * NUMBERS + 4)
    return 0;
  size_t n = size - HEAD - 2 * NUMBERS;
  PwPlane before = plane_new(side(data[0]), side(data[1]), 0, data[2], pixels, n);
  PwPlane after = plane_new(side(data[3]), side(data[4]), data[5] % 24, data[2], pixels,
                            data[5] & 1 ? n : (n + 1) / 2);
  PwPx points[8];
  for (gsize i = 0; i < G_N_ELEMENTS(points); i++)
    points[i] = (PwPx){pixels[i % n], pixels[(i + 5) % n]};
  const PwPxPath cards[] = {{points, 4}, {points + 3, 3}};
  PwAlignPair pair = {.before = &before,
                      .after = &after,
                      .within = {points, data[6] % G_N_ELEMENTS(points)},
                      .cards_before = {cards, data[6] / 8 % 4 % 3},
                      .cards_after = {cards + 1, data[6] / 32 % 2}};
  PwHomography a = homography(data + HEAD), b = homography(data + HEAD + NUMBERS);
  if (data[7] % 4 == 0)
    begin(&pair, &a, &b);
  else if (data[7] % 4 == 1)
    search(&pair);
  else
    refine(&pair, &a);
  pw_plane_clear(&before);
  pw_plane_clear(&after);
  return 0;
}
