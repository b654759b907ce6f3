/* Where the camera stood. Private to measure. */
#ifndef PW_MEASURE_POSE_H
#define PW_MEASURE_POSE_H

#include <platewright/geometry.h>

typedef struct {
  double distance_mm; /* from the projection centre, perpendicular to the plane */
  double tilt_rad;    /* between the plane's normal and the optical axis */
} PwPose;
/* From a homography px to mm, principal distance and principal point in px. FALSE when the
 * homography has no inverse. */
gboolean pw_pose_of(const PwHomography *px_to_mm, double principal_distance_px, PwPx principal,
                    PwPose *pose);

/* How far two axes of a plane, at right angles and of one length, are from being so when they are
 * freed of the camera: as parts, half the difference of their squares over half the sum, and their
 * product over the same. The length of this vector is (a^2 - b^2) / (a^2 + b^2), a and b being the
 * greatest and the least length that 1 mm of the plane has in any direction; for a small misfit
 * (a - b) / a. It does not depend on how the card lies in its plane. */
typedef struct {
  double x, y;
} PwMisfit;
PwMisfit pw_misfit_of(const PwHomography *px_to_mm, double principal_distance_px, PwPx principal);

/* The homography of a plane through what is seen at `middle`, whose normal leans from the optical
 * axis by the angles lean_x and lean_y (rad), up to a scale: px to plane units. */
void pw_leaning_plane(double principal_distance_px, PwPx principal, PwPx middle, double lean_x,
                      double lean_y, PwHomography *h);

#endif
