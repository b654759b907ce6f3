/* Photographs of cards that never were: a card of the design, drawn point by point, seen by a
 * pinhole camera over a textured table, blurred, noisy, through JPEG. What the camera did is known.
 */
#ifndef PW_TEST_SCENE_H
#define PW_TEST_SCENE_H

#include <platewright/card.h>

/* Numbers by chance, the same in every run: xorshift64* (S. Vigna, 2016). */
typedef struct {
  guint64 state;
} Chance;
double chance_between(Chance *chance, double low, double high);
double chance_normal(Chance *chance);

/* A table: soft and fine texture, dark strokes as of print, noise. Clear with pw_plane_clear. */
PwPlane scene_table(int width, int height, guint64 seed);
PwPlane scene_dup_plane(const PwPlane *plane);

typedef struct {
  PwCardSize size;
  int copy;
  double of_width; /* the card's width as a part of the picture's, were it not tilted */
  double tilt_deg, tilt_towards_deg, roll_deg;
  double x, y;     /* where its centre is seen; NAN: by chance, all of it in the picture */
  double focal_px; /* principal distance */
  double black, white, shade; /* grey levels; shade: how much darker, as a part, its right end is */
  double blur_px, noise;
  gboolean mirrored;  /* printed the wrong way round */
  guint without_tags; /* bits of tags that are covered with white */
} Scene;
/* By chance as FINDINGS 3 has it: tilt 0 to 35 degrees, any roll, a 50 mm lens on 36 x 24 mm, blur
 * of 0.6 to 1.3 px, noise of 2 to 6 levels. */
Scene scene_by_chance(Chance *chance, PwCardSize size, int copy, double of_width, int width);
/* Draws the card into the plane; `to_px` gets mm on the card to px. */
void scene_draw(const Scene *scene, Chance *chance, PwPlane *plane, PwHomography *to_px);

/* mm for one px in the middle of the card, by a homography from px to mm. */
double scene_mm_per_px(const PwHomography *to_mm, PwPx at);

#endif
