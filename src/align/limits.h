/* Limits: how much of a picture is looked at. A fuzzer's pictures are small, for it is to try many;
 * by limits as small they take every path all the same. */
#ifndef PW_ALIGN_LIMITS_H
#define PW_ALIGN_LIMITS_H

#ifdef PW_FUZZING
enum {
  PW_GREY_PIXELS = 160 * 128,
  PW_GREY_WHOLE_PIXELS = 128 * 128,
  PW_WINDOWS_AT_FULL = 2,
  PW_WINDOWS_AT_COPY = 3,
  PW_ROUGH_SIDE = 32,
  PW_FINE_SIDE = 64
};
#else
enum {
  PW_GREY_PIXELS = 2200 * 1000,      /* of the largest copy: where hardly more is to be learned */
  PW_GREY_WHOLE_PIXELS = 700 * 1000, /* of a copy of which every part is looked at */
  /* Of larger copies and of the picture itself only so many windows, of those with most texture. */
  PW_WINDOWS_AT_FULL = 96,
  PW_WINDOWS_AT_COPY = 192,
  /* Cells of a picture laid out in mm; the transform's side is twice that, and nothing wraps. */
  PW_ROUGH_SIDE = 128,
  PW_FINE_SIDE = 256
};
#endif

#endif
