/* Fuzz target: any plane as a picture in which cards are sought. Whatever is found must be in
 * order: finite, of two tags at least, with a reason for every refusal.
 *
 * The first bytes say how large the plane is, how far apart its rows are and what it holds: the
 * rest of the bytes as they are, or in blocks; noise; one level; or tags that they place. */
#include <platewright/card.h>

#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { HEAD = 8, SIDE_MAX = 480, CELLS = 8, TAG_BYTES = 7, TAGS_MAX = 12 };
enum { AS_IT_IS, BLOCKS, NOISE, FLAT, TAGS, N_FILLINGS };

static void
put(PwPlane *plane, int x, int y, guint8 level)
{
  if (x >= 0 && y >= 0 && x < plane->width && y < plane->height)
    plane->pixels[(gsize)y * plane->stride + (gsize)x] = level;
}

/* One tag with its white: id, place, cell, and whether it is mirrored. */
static void
put_tag(PwPlane *plane, const apriltag_family_t *family, const uint8_t *at)
{
  guint64 code = family->codes[(at[0] | at[1] << 8) % (int)family->ncodes];
  int x0 = at[2] * 2, y0 = at[3] * 2, cell = 2 + at[4] % 12, mirror = at[5] & 1;
  gboolean white[CELLS + 2][CELLS + 2] = {0};
  for (guint32 bit = 0; bit < family->nbits; bit++)
    white[family->bit_y[bit] + 1][family->bit_x[bit] + 1] = (code >> (family->nbits - 1 - bit)) & 1;
  for (int y = 0; y < (CELLS + 2) * cell; y++)
    for (int x = 0; x < (CELLS + 2) * cell; x++) {
      int u = x / cell, v = y / cell;
      gboolean rim = u == 0 || v == 0 || u == CELLS + 1 || v == CELLS + 1;
      int to_x = mirror ? (CELLS + 2) * cell - 1 - x : x;
      put(plane, x0 + to_x, y0 + y, rim || white[v][u] ? 230 : at[6] / 2);
    }
}

static void
put_tags(PwPlane *plane, const uint8_t *data, size_t size)
{
  apriltag_family_t *family = tag36h11_create();
  for (size_t i = 0; i < TAGS_MAX && (i + 1) * TAG_BYTES <= size; i++)
    put_tag(plane, family, data + i * TAG_BYTES);
  tag36h11_destroy(family);
}

static void
fill(PwPlane *plane, int filling, int block, const uint8_t *data, size_t size)
{
  guint32 state = 1 + (guint32)block;
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width; x++) {
      gsize at = (gsize)y * (gsize)plane->width + (gsize)x;
      gsize cell = (gsize)(y / block) * (gsize)(1 + plane->width / block) + (gsize)(x / block);
      state = state * 1664525u + 1013904223u;
      guint8 level = (guint8)block;
      if (filling == NOISE)
        level = (guint8)(state >> 24);
      else if (filling == AS_IT_IS && size > 0)
        level = data[at % size];
      else if (filling == BLOCKS && size > 0)
        level = data[cell / 8 % size] >> (cell % 8) & 1 ? 220 : 25;
      put(plane, x, y, level);
    }
  if (filling == TAGS)
    put_tags(plane, data, size);
}

static void
check_card(const PwFoundCard *card)
{
  const PwCardDesign *design = pw_card_design(card->size);
  g_assert(card->copy >= 0 && card->copy < design->n_copies);
  g_assert(card->n_tags >= 2 && card->n_tags <= design->n_tags);
  g_assert(card->n >= 6 && card->n <= 4 * (gsize)card->n_tags);
  g_assert(isfinite(card->rms_px) && card->rms_px >= 0);
  for (int i = 0; i < 9; i++)
    g_assert(isfinite(card->h.m[i]));
  for (gsize i = 0; i < card->n; i++)
    g_assert(isfinite(card->px[i].x) && isfinite(card->px[i].y) && isfinite(card->mm[i].x) &&
             isfinite(card->mm[i].y));
}

static gboolean
is_before(const PwFoundCard *a, const PwFoundCard *b)
{
  return a->size < b->size || (a->size == b->size && a->copy < b->copy);
}

static void
check_found(const PwFound *found)
{
  g_assert(found->refused != NULL);
  for (gsize i = 0; i < found->n_cards; i++) {
    check_card(&found->cards[i]);
    g_assert(i == 0 || is_before(&found->cards[i - 1], &found->cards[i]));
  }
  for (char **why = found->refused; *why != NULL; why++)
    g_assert(g_str_has_prefix(*why, "card ") && g_utf8_validate(*why, -1, NULL));
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  if (size < HEAD)
    return 0;
  PwPlane plane = {.width = (data[0] | data[1] << 8) % SIDE_MAX,
                   .height = (data[2] | data[3] << 8) % SIDE_MAX,
                   .channels = data[6] == 3 ? 3 : 1};
  plane.stride = (gsize)plane.width + data[4];
  plane.pixels = g_malloc0(plane.stride * (gsize)plane.height + 1);
  fill(&plane, data[5] % N_FILLINGS, 1 + data[7], data + HEAD, size - HEAD);
  PwFound found;
  g_autoptr(GError) error = NULL;
  if (pw_card_find(&plane, &found, &error)) {
    g_assert(plane.channels == 1);
    check_found(&found);
  } else {
    g_assert(error != NULL && found.cards == NULL && found.refused == NULL);
  }
  pw_found_clear(&found);
  pw_plane_clear(&plane);
  return 0;
}
