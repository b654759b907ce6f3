/* A scale from within: the map from undistorted px to mm, and that map with every input moved by
 * its standard uncertainty up and down. Private to measure.
 */
#ifndef PW_MEASURE_SCALE_H
#define PW_MEASURE_SCALE_H

#include <platewright/measure.h>

/* An undistorted px point goes outwards from the principal point by `radial` r^2 of its distance r,
 * then through the homography. `side` is the sign of the denominator on the card's side of the
 * horizon. */
typedef struct {
  PwHomography h;
  double radial;
  double side;
} PwMap;

/* One input of the scale: the contribution it makes (c aside), and the maps with it moved. */
typedef struct {
  PwContribution key;
  PwMap up, down;
} PwEffect;

/* An input known so badly that its product with another matters (JCGM 100 5.1.2, note): makes
 * `factor` of what effect `of` makes. */
typedef struct {
  PwContribution key;
  guint of;
  double factor;
} PwProduct;

enum { PW_MAX_EFFECTS = 16, PW_MAX_PRODUCTS = 3 };

struct PwScale {
  PwScaleInput input; /* its tags are the two arrays below */
  PwPx *tag_px;
  PwMm *tag_mm;
  PwUncertainty uncertainty;
  PwScope offset_scope;
  guint offset_owner;
  PwPx principal;       /* the principal point */
  double half_diagonal; /* px */
  PwScaleFacts facts;
  PwMap map;
  PwEffect effects[PW_MAX_EFFECTS];
  guint n_effects;
  PwProduct products[PW_MAX_PRODUCTS];
  guint n_products;
};

/* Scales that are one length along a line: no tilt. */
gboolean pw_scale_is_line(const PwScale *scale);
/* An undistorted px point to mm; FALSE beyond the horizon. */
gboolean pw_map_apply(const PwMap *map, PwPx principal, PwPx at, PwMm *mm);
/* [dX/dx dX/dy; dY/dx dY/dy] of the scale's own map at an upright px point whose undistorted place
 * is `undistorted`. */
void pw_scale_jacobian(const PwScale *scale, PwPx undistorted, double j[4]);

#endif
