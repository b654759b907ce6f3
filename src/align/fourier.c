/* Fourier: the radix-2 transform of Cooley and Tukey (1965), rows first, then columns. */
#include "fourier.h"

#include <math.h>

static void
put_in_order(PwComplex *values, int n)
{
  for (int i = 1, j = 0; i < n; i++) {
    int bit = n >> 1;
    for (; j & bit; bit >>= 1)
      j ^= bit;
    j |= bit;
    if (i < j) {
      PwComplex kept = values[i];
      values[i] = values[j];
      values[j] = kept;
    }
  }
}

/* `turns[k]`: the k-th of the n-th roots of one, k below n/2. */
static void
transform(PwComplex *values, int n, const PwComplex *turns)
{
  put_in_order(values, n);
  for (int length = 2; length <= n; length *= 2)
    for (int start = 0; start < n; start += length)
      for (int k = 0; k < length / 2; k++) {
        PwComplex turn = turns[k * (n / length)];
        PwComplex *a = &values[start + k], *b = a + length / 2;
        PwComplex turned = {b->re * turn.re - b->im * turn.im, b->re * turn.im + b->im * turn.re};
        *b = (PwComplex){a->re - turned.re, a->im - turned.im};
        *a = (PwComplex){a->re + turned.re, a->im + turned.im};
      }
}

static void
transpose(PwComplex *values, int side)
{
  for (int y = 0; y < side; y++)
    for (int x = 0; x < y; x++) {
      PwComplex kept = values[y * side + x];
      values[y * side + x] = values[x * side + y];
      values[x * side + y] = kept;
    }
}

void
pw_fourier(PwComplex *values, int side, gboolean inverse)
{
  g_autofree PwComplex *turns = g_new(PwComplex, side / 2);
  for (int k = 0; k < side / 2; k++) {
    double angle = (inverse ? 2 : -2) * G_PI * k / side;
    turns[k] = (PwComplex){(float)cos(angle), (float)sin(angle)};
  }
  for (int pass = 0; pass < 2; pass++) {
    for (int y = 0; y < side; y++)
      transform(values + (gsize)y * (gsize)side, side, turns);
    transpose(values, side);
  }
}
