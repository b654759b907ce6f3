/* Features: a start from nothing but the pictures. Distinct places of both are compared by their
 * words; those that are each other's nearest, and much nearer than the next (Lowe 2004, section
 * 7.1), are taken for the same, and a homography is fitted to what most of them agree on.
 */
#include <platewright/align.h>

#include <math.h>

#include "robust.h"
#include "sift.h"

/* Distance to the nearest over that to the next (Lowe 2004). */
#define MOST_RATIO 0.8
/* px of the copy before; refined later. */
#define WITHIN_PX 3.0
/* Matches that fit in small copies, so that no larger ones are searched. */
enum { ENOUGH = 40 };
/* Of a part of the picture before only so many matches count, the surest: what is small and full of
 * detail, as a card that nobody named, shall not outweigh the rest. */
enum { PARTS_ACROSS = 24, PARTS_DOWN = 16, OF_PART = 8 };

/* ---- Matches --------------------------------------------------------------------------- */

typedef struct {
  guint nearest;
  double ratio; /* of distances, to the nearest over to the next */
} Nearest;

typedef struct {
  const GArray *from, *to; /* PwFeature */
  Nearest *nearest;        /* one for each of `from` */
} Comparing;

static gint32
likeness(const PwFeature *a, const PwFeature *b)
{
  gint32 sum = 0;
  for (int i = 0; i < PW_SIFT_WORDS; i++)
    sum += a->words[i] * b->words[i];
  return sum;
}

static void
find_nearest(void *user, guint i)
{
  const Comparing *comparing = user;
  const PwFeature *feature = &g_array_index(comparing->from, PwFeature, i);
  gint32 best = -1, next = -1;
  guint at = 0;
  for (guint k = 0; k < comparing->to->len; k++) {
    gint32 alike = likeness(feature, &g_array_index(comparing->to, PwFeature, k));
    if (alike > best) {
      next = best;
      best = alike;
      at = k;
    } else if (alike > next) {
      next = alike;
    }
  }
  const double whole = (double)PW_SIFT_UNIT * PW_SIFT_UNIT; /* distance^2 = 2 (whole - likeness) */
  double far = whole - next;
  comparing->nearest[i] =
      (Nearest){at, next >= 0 && far > 0 ? sqrt(MAX(whole - best, 0) / far) : 1};
}

static Nearest *
nearest_of(const GArray *from, const GArray *to)
{
  Comparing comparing = {from, to, g_new(Nearest, from->len)};
  pw_each(from->len, 0, find_nearest, &comparing);
  return comparing.nearest;
}

/* ---- Evenly over the picture ------------------------------------------------------------ */

static void
thin(GArray *matches, const PwGrey *before)
{
  guint in_part[PARTS_ACROSS * PARTS_DOWN] = {0}, kept = 0;
  g_array_sort(matches, pw_match_compare);
  for (guint i = 0; i < matches->len; i++) {
    const PwMatch *match = &g_array_index(matches, PwMatch, i);
    int x = (int)(match->before.x * PARTS_ACROSS / before->width);
    int y = (int)(match->before.y * PARTS_DOWN / before->height);
    guint *n = &in_part[CLAMP(y, 0, PARTS_DOWN - 1) * PARTS_ACROSS + CLAMP(x, 0, PARTS_ACROSS - 1)];
    if ((*n)++ < OF_PART)
      g_array_index(matches, PwMatch, kept++) = *match;
  }
  g_array_set_size(matches, kept);
}

static GArray *
match(const GArray *before, const GArray *after)
{
  GArray *matches = g_array_new(FALSE, FALSE, sizeof(PwMatch));
  g_autofree Nearest *of_before = nearest_of(before, after), *of_after = nearest_of(after, before);
  for (guint i = 0; i < before->len; i++) {
    guint k = of_before[i].nearest;
    if (of_before[i].ratio > MOST_RATIO || of_after[k].nearest != i)
      continue;
    PwMatch both = {g_array_index(after, PwFeature, k).at, g_array_index(before, PwFeature, i).at,
                    of_before[i].ratio};
    g_array_append_val(matches, both);
  }
  return matches;
}

/* ---- The whole ------------------------------------------------------------------------- */

static const PwGrey *
copy_of(const PwGreys *greys, double most_pixels)
{
  guint i = 0;
  while (i + 1 < greys->n && (double)greys->of[i].width * greys->of[i].height > most_pixels)
    i++;
  return &greys->of[i];
}

/* `n_fit` gets how many matches speak for the start. */
static gboolean
search(const PwGreys greys[2], const PwPxPath *within, gboolean finely, PwHomography *start,
       gsize *n_fit, GError **error)
{
  double most_pixels = finely ? PW_GREY_PIXELS : PW_GREY_WHOLE_PIXELS;
  const PwGrey *of[2] = {copy_of(&greys[0], most_pixels), copy_of(&greys[1], most_pixels)};
  gboolean doubled[2];
  GArray *features[2];
  PwHomography h;
  for (int i = 0; i < 2; i++)
    doubled[i] = finely && (double)of[i]->width * of[i]->height <= PW_GREY_WHOLE_PIXELS;
  pw_sift_find(of, doubled, within, features);
  g_autoptr(GArray) matches = match(features[0], features[1]);
  thin(matches, of[0]);
  gboolean ok = pw_matches_fit((const PwMatch *)(void *)matches->data, matches->len, WITHIN_PX, &h,
                               n_fit, error);
  if (ok)
    *start = pw_homography_of_copies(&h, 1 / of[1]->scale, 1 / of[0]->scale);
  for (int i = 0; i < 2; i++)
    g_array_unref(features[i]);
  return ok;
}

gboolean
pw_align_start_features(const PwAlignPair *pair, PwHomography *start, GError **error)
{
  const PwPlane *before = pair->before, *after = pair->after;
  PwGreys greys[2];
  gsize n_fit = 0;
  g_return_val_if_fail(before->channels == 1 && after->channels == 1, FALSE);
  if (!pw_grey_check(before, error) || !pw_grey_check(after, error))
    return FALSE;
  pw_greys_init(&greys[0], before, &pair->cards_before);
  pw_greys_init(&greys[1], after, &pair->cards_after);
  gboolean ok = search(greys, &pair->within, FALSE, start, &n_fit, NULL) && n_fit >= ENOUGH;
  if (!ok)
    ok = search(greys, &pair->within, TRUE, start, &n_fit, error);
  for (int i = 0; i < 2; i++)
    pw_greys_clear(&greys[i]);
  return ok;
}

gboolean
pw_align_knows_features(void)
{
  return TRUE;
}
