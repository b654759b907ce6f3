/* From the figures of a scale to a map. Private to measure. */
#ifndef PW_MEASURE_FIT_H
#define PW_MEASURE_FIT_H

#include "scale.h"

/* Without camera-distance or pose, for the uncertainty alone: docs/measuring.md, "Distance not
 * known". */
#define PW_UNKNOWN_DISTANCE_MM 500.0

/* The inputs of a fit, each at its estimate or moved from it. */
typedef struct {
  PwPx points[4];  /* of a rectangle or a span */
  double sides[2]; /* mm: width and height, or the span's length */
  double print[2]; /* printed over drawn length of a card with tags, along and across */
  double tags[8];  /* of its fit: errors of the rows of pw_homography_spread, px */
  double offset_mm;
  double distance; /* factor on the camera or principal distance */
  double lean[2];  /* rad, of the card's plane: spans */
  double lens;     /* displacement at the frame's corner, part of the half diagonal */
} PwFigures;

/* The card's own plane as it is seen. */
typedef struct {
  PwHomography h;    /* undistorted px to mm */
  PwPx middle;       /* of the card, undistorted px */
  double fit_rms_px; /* NAN where the figures leave no residual */
  gboolean distance_known;
  double distance_mm; /* from the projection centre, perpendicular to the plane */
} PwSeenCard;

/* The scale's input, principal point and half diagonal are in place. */
gboolean pw_fit(const PwScale *scale, const PwFigures *figures, PwMap *map, GError **error);
gboolean pw_fit_card(const PwScale *scale, const PwFigures *figures, PwSeenCard *card,
                     GError **error);
/* 0 where neither EXIF nor the lens coefficients tell. */
double pw_principal_distance_px(const PwScale *scale, double mm_per_px);
/* The square root of the Jacobian's determinant. */
double pw_mm_per_px_at(const PwHomography *h, PwPx at);

#endif
