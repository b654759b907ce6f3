/* Pictures with a known truth for the tests of trace: shapes on a ground, blurred by a lens, with
 * texture, shade and noise. Light is linear, 0 to 1, until it is photographed. */
#ifndef PW_TEST_GROUND_H
#define PW_TEST_GROUND_H

#include <platewright/trace.h>

typedef struct {
  int width, height;
  double *light; /* red, green, blue of every px */
} Ground;

extern const double CLOTH[3], PAPER[3], LEATHER[3];

Ground ground_new(int width, int height, const double light[3]);
void ground_clear(Ground *ground);
/* Lays a shape over it, with the part of every px that it covers (64 samples). */
void ground_lay(Ground *ground, const PwPxPath *ring, const double light[3]);
/* Threads along and across, `period` px apart, that make the light up to `part` more and less. */
void ground_weave(Ground *ground, double period, double part);
/* The light falls off to 1 - part at the right. */
void ground_shade(Ground *ground, double part);
void ground_blur(Ground *ground, double sigma);
/* As 8-bit sRGB (3 channels) or the level of its green (1), with noise of that many levels. */
PwPlane ground_photograph(const Ground *ground, int channels, double noise, guint seed);

/* Rings. Yours to clear. */
PwPxPath ring_disc(double x, double y, double radius);
/* A star-like ring with bays, `part` of its radius deep. */
PwPxPath ring_ragged(double x, double y, double radius, double part, guint seed);
PwPxPath ring_of(const PwPx *points, gsize n);

/* The area shared by two outlines with holes over that of both together. */
double shared_part(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes,
                   const PwPxPath *other, const PwPxPath *other_holes, gsize n_other_holes);

#endif
