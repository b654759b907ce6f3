/* Synthetic rulers with their truth: drawn from a formula, seen through a small perspective,
 * blurred, noisy. Nothing here is shared with what reads them. */
#ifndef PW_TEST_STRIP_H
#define PW_TEST_STRIP_H

#include <platewright/geometry.h>

typedef struct {
  double px_per_mm;    /* at the line's middle */
  double noise;        /* standard deviation, grey levels */
  double turn_deg;     /* of the line against the ruler */
  double drift;        /* by what part the pitch widens from the line's start to its end */
  double contrast;     /* of the graduations */
  double half_mm;      /* strength of the half-millimetre graduations: 0 none, 1 as the others */
  double length_mm;    /* of the line */
  double from_edge_mm; /* of the line's middle: graduations are 3 mm long, half ones 2.5 */
  double blank_mm;     /* the graduations end so much before the line does */
  double bow_px;       /* a bent tape: along the ruler, half way, as a sine over the line */
  double accent;       /* width of every fifth graduation over the others' */
  double tick_mm;      /* width of a graduation */
  double blur_px;      /* standard deviation */
  gboolean light;      /* light graduations on a dark ruler */
  guint32 seed;        /* of the noise, the picture's turn and what is printed beside */
} Strip;

typedef struct {
  PwPlane plane;
  PwPx from, to;
  double length_mm; /* between the line's ends */
} StripPicture;

void strip_init(Strip *strip);
void strip_draw(const Strip *strip, StripPicture *picture);

#endif
