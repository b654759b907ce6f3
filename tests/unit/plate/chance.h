/* Chance: the same random figures in every run (splitmix64, Steele, Lea and Flood 2014). */
#ifndef PW_TEST_CHANCE_H
#define PW_TEST_CHANCE_H

#include <glib.h>

typedef struct {
  guint64 state;
} Chance;

static inline guint64
chance_next(Chance *chance)
{
  guint64 z = chance->state += 0x9e3779b97f4a7c15u;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

/* From `low` up to, but not including, `high`. */
static inline double
chance_double(Chance *chance, double low, double high)
{
  return low + (high - low) * ((double)(chance_next(chance) >> 11) / 9007199254740992.0);
}

static inline int
chance_int(Chance *chance, int low, int high)
{
  return low + (int)(chance_next(chance) % (guint64)(high - low));
}

#endif
