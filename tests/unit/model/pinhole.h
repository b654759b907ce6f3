/* Dice, a pinhole camera with a lens that nobody corrected, and a hand that keeps outside: what
 * tests photograph planes with, of which everything is known. Nothing here is the library's but
 * points.
 *
 * Camera axes: x right, y down, z away from the camera, mm. The plane: x right, y down, mm from a
 * place of its own that is called its middle; heights towards the camera.
 */
#ifndef PINHOLE_H
#define PINHOLE_H

#include <platewright/geometry.h>

/* 64-bit linear congruence (Knuth's multiplier), upper bits. */
typedef guint64 Dice;
double dice_even(Dice *dice); /* above 0, below 1 */
double dice_between(Dice *dice, double half_width);
double dice_normal(Dice *dice, double sigma);

typedef struct {
  double x, y, z;
} Vec;

typedef struct {
  double width, height;            /* of the picture, px */
  Vec middle, right, down, nearer; /* of the plane before the camera */
  double c;                        /* principal distance, px */
  double lens;                     /* displacement at the corner, part of the half diagonal */
} Pinhole;

/* Sets the plane's axes. */
void pinhole_lean(Pinhole *pinhole, double about_x, double about_y, double about_z);
/* What the lens moves: seen px, from the middle of the picture, to where a pinhole would see it. */
PwPx pinhole_straightened(const Pinhole *pinhole, PwPx seen);
/* A place on the plane at a height above it, in upright px. */
PwPx pinhole_seen(const Pinhole *pinhole, double x, double y, double height);

/* Each edge of a ring that runs clockwise as seen goes outwards by so many px, inwards where that
 * is below 0; corners are where the moved edges meet. */
void hand_keeps_outside(const PwPx *ring, int n, double by, PwPx *out);

#endif
