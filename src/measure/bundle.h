/* The joint fit of one lens, the poses of a flat sheet and how it was printed. Private to measure.
 */
#ifndef PW_MEASURE_BUNDLE_H
#define PW_MEASURE_BUNDLE_H

#include <platewright/measure.h>

/* The sheet's mm to camera mm (x and y as the picture's, z away from the camera): X' = r X + t. */
typedef struct {
  double r[9], t[3];
} PwSheetPose;

enum { PW_LENS_UNKNOWNS = 6, PW_POSE_UNKNOWNS = 6 };

typedef struct {
  const PwSheetView *views;
  gsize n;
  PwLens lens;
  double stretch;     /* the sheet's y as it was printed, over its x */
  PwSheetPose *poses; /* one for each view */
  double sum;         /* of squared distances, px2 */
  /* Covariances of f, cx, cy, k1, k2, stretch. The first from the normal equations, for corners
   * that err each for itself by 1 px in each coordinate. The second, px2 included, for corners that
   * err together within a view, as on a sheet that is not flat: from what each view adds to the
   * gradient (Liang and Zeger 1986, Longitudinal data analysis using generalized linear models). */
  double covariance[PW_LENS_UNKNOWNS * PW_LENS_UNKNOWNS];
  double by_view[PW_LENS_UNKNOWNS * PW_LENS_UNKNOWNS];
} PwBundle;

/* A lens without distortion and the poses that go with it, into `poses`; f_px 0 where the views do
 * not tell it. FALSE (PW_ERROR_NUMERIC, naming the view) when a view is not the picture of a flat
 * sheet. */
gboolean pw_bundle_begin(PwBundle *bundle, double width, double height, GError **error);
/* Least squares over the lens and all poses, from those in the bundle, by Levenberg and Marquardt's
 * way. Fills `sum` and the covariances. FALSE when the views do not determine the unknowns. */
gboolean pw_bundle_fit(PwBundle *bundle);
/* Sum of squared distances in one view, px2; infinite where a point lies behind the camera. */
double pw_bundle_view_sum(const PwBundle *bundle, gsize view);

#endif
