/* How unlike every px is to the colour touched.
 *
 * A photograph of millions of px has some ten thousand colours of 24 bits. Each is reckoned once,
 * in full, and remembered; so nothing is estimated, and no bound has to be proven. */
#include "patch.h"

#include <math.h>

enum { N_COLOURS = 1 << 24 };

struct PwLikeness {
  PwLab to;
  double light[256];
  guint16 *known; /* for every colour one more than its difference; 0: not met yet */
};

static PwLab
lab_of(const PwLikeness *likeness, const guint8 rgb[3])
{
  double light[3] = {likeness->light[rgb[0]], likeness->light[rgb[1]], likeness->light[rgb[2]]};
  return pw_lab_from_light(light);
}

PwLikeness *
pw_likeness_new(const guint8 rgb[3])
{
  PwLikeness *likeness = g_new0(PwLikeness, 1);
  for (int v = 0; v < 256; v++)
    likeness->light[v] = pw_srgb_light((guint8)v);
  likeness->to = lab_of(likeness, rgb);
  likeness->known = g_new0(guint16, N_COLOURS);
  return likeness;
}

void
pw_likeness_free(PwLikeness *likeness)
{
  if (likeness != NULL)
    g_free(likeness->known);
  g_free(likeness);
}

static guint16
reckon(const PwLikeness *likeness, const guint8 rgb[3])
{
  double difference = pw_lab_difference(likeness->to, lab_of(likeness, rgb));
  return (guint16)fmin(round(difference * PW_LIKENESS_PARTS) + 1, G_MAXUINT16);
}

void
pw_likeness_of(PwLikeness *likeness, const guint8 *rgb, gsize n, guint16 *difference)
{
  for (gsize i = 0; i < n; i++, rgb += 3) {
    guint16 *known = &likeness->known[rgb[0] << 16 | rgb[1] << 8 | rgb[2]];
    if (*known == 0)
      *known = reckon(likeness, rgb);
    difference[i] = (guint16)(*known - 1);
  }
}
