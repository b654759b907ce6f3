/* Pairs of pictures of one flat surface, before and after treatment, with the homography between
 * them. */
#ifndef TEST_ALIGN_SCENE_H
#define TEST_ALIGN_SCENE_H

#include <platewright/align.h>

typedef enum { SCENE_COVER, SCENE_LEATHER, SCENE_PRINT, SCENE_PLAIN, SCENE_KINDS } SceneKind;
extern const char *const scene_names[SCENE_KINDS];

enum { SCENE_WIDTH = 1728, SCENE_HEIGHT = 1152, SCENE_TIES = 4 };

typedef struct {
  PwPlane before, after;
  PwHomography truth; /* px of after to px of before */
  double here[SCENE_TIES][2], there[SCENE_TIES][2]; /* ties without noise: after, before */
  PwPx corners[2][4]; /* of the cards, before and after */
  PwPxPath cards[2];  /* their outlines; none until they are laid */
} Scene;

/* Turned within 15 degrees, 0.88 to 1.08 times as large, in perspective, in other light; six losses
 * filled and four stains cleaned. The same seed, the same bytes. */
void scene_init(Scene *scene, SceneKind kind, guint32 seed);
void scene_clear(Scene *scene);
/* Lays a card of 40 x 25 mm, 0.1 mm a px of before, into each picture, elsewhere and turned
 * otherwise; tells both scales as a card does, its middle the origin. */
void scene_add_cards(Scene *scene, guint32 seed, PwHomography to_mm[2]);
/* Both pictures, with the cards that lie in them; the scene's. */
PwAlignPair scene_pair(const Scene *scene);
/* The mean distance by which `h` misplaces the four corners of after, px of before. */
double scene_error(const Scene *scene, const PwHomography *h);
/* A start from ties of which each coordinate in both pictures is `noise_px` off (normal). */
gboolean scene_start(const Scene *scene, double noise_px, guint32 seed, PwHomography *start);

#endif
