/* Fourier: the discrete transform of square pictures, and what it is used for here, the place where
 * one picture lies best in another. */
#ifndef PW_ALIGN_FOURIER_H
#define PW_ALIGN_FOURIER_H

#include <glib.h>

typedef struct {
  float re, im;
} PwComplex;

/* In place, `side` x `side`, a power of two; the inverse is not divided by the number of values. */
void pw_fourier(PwComplex *values, int side, gboolean inverse);

#endif
