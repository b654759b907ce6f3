/* SIFT: distinct places of a picture, each with the words by which it is told again. */
#ifndef PW_ALIGN_SIFT_H
#define PW_ALIGN_SIFT_H

#include "grey.h"

enum { PW_SIFT_WORDS = 128, PW_SIFT_UNIT = 4096 };

typedef struct {
  PwPx at; /* px of the copy */
  /* The square roots of a histogram's shares, over their length PW_SIFT_UNIT: the product of two
   * such vectors is their likeness, PW_SIFT_UNIT squared for the same (Arandjelovic and Zisserman
   * 2012). */
  gint16 words[PW_SIFT_WORDS];
} PwFeature;

/* Of two pictures at once, each on a core of its own; arrays of PwFeature, yours. A bounded number
 * of each: of an octave those with most contrast. A small one may be looked at `doubled`, twice as
 * wide and high. `within` holds for the first alone: what lies outside it, in px of the picture, is
 * left out. */
void pw_sift_find(const PwGrey *const of[2], const gboolean doubled[2], const PwPxPath *within,
                  GArray *features[2]);

#endif
