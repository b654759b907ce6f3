/* Pictures larger than what an alignment looks at whole: at full size it keeps to the windows that
 * have most to say, wherever on the face they lie. */
#include <math.h>
#include <platewright/align.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include "scene.h"

enum { LARGER = 2, FACE_TOP = 1408, FACE_FAINT = 1792 /* px; windows of a copy are 128 of them */ };
enum { MOVED_PX = 3, FAINTER = 8 };
/* Who follows what has moved is over 2 px off. */
#define MOST_PX 1.0

static PwPlane
enlarged(const PwPlane *plane)
{
  PwPlane large = {.width = LARGER * plane->width, .height = LARGER * plane->height, .channels = 1};
  large.stride = (gsize)large.width;
  large.pixels = g_malloc(large.stride * (gsize)large.height);
  for (int y = 0; y < large.height; y++)
    for (int x = 0; x < large.width; x++) {
      double at_x = CLAMP((x + 0.5) / LARGER - 0.5, 0, plane->width - 1.001);
      double at_y = CLAMP((y + 0.5) / LARGER - 0.5, 0, plane->height - 1.001);
      const guint8 *at = plane->pixels + (gsize)at_y * plane->stride + (int)at_x;
      double s = at_x - floor(at_x), t = at_y - floor(at_y);
      double value = (1 - t) * ((1 - s) * at[0] + s * at[1]) +
                     t * ((1 - s) * at[plane->stride] + s * at[plane->stride + 1]);
      large.pixels[(gsize)y * large.stride + (gsize)x] = (guint8)lround(value);
    }
  return large;
}

/* A band at the top of the face that is faint, and has moved. */
static void
mislead(PwPlane *plane)
{
  for (int y = FACE_TOP; y < FACE_FAINT; y++) {
    guint8 *row = plane->pixels + (gsize)y * plane->stride;
    for (int x = plane->width - 1; x >= 0; x--)
      row[x] = (guint8)(128 + (row[MAX(x - MOVED_PX, 0)] - 128) / FAINTER);
  }
}

static PwHomography
enlarged_homography(const PwHomography *h)
{
  PwHomography enlarge = {{LARGER, 0, 0, 0, LARGER, 0, 0, 0, 1}}, half, large;
  PwHomography reduce = {{1.0 / LARGER, 0, 0, 0, 1.0 / LARGER, 0, 0, 0, 1}};
  pw_homography_multiply(h, &reduce, &half);
  pw_homography_multiply(&enlarge, &half, &large);
  return large;
}

/* At worst along the middle of what is not faint, px. */
static double
worst_along(const PwHomography *truth, const PwHomography *got, double width, double y)
{
  double worst = 0;
  PwHomography to_after;
  assert_true(pw_homography_invert(truth, &to_after));
  for (int i = 0; i <= 8; i++) {
    double x = width * i / 8.0, there[2], back[2];
    pw_homography_apply(&to_after, x, y, &there[0], &there[1]);
    pw_homography_apply(got, there[0], there[1], &back[0], &back[1]);
    worst = fmax(worst, hypot(back[0] - x, back[1] - y));
  }
  return worst;
}

static double
error_of(const Scene *scene, guint32 seed)
{
  PwPlane before = enlarged(&scene->before), after = enlarged(&scene->after);
  PwPx face[] = {
      {0, FACE_TOP}, {before.width, FACE_TOP}, {before.width, before.height}, {0, before.height}};
  PwAlignPair pair = {.before = &before, .after = &after, .within = {face, G_N_ELEMENTS(face)}};
  PwHomography start, truth = enlarged_homography(&scene->truth);
  PwAlignment alignment;
  mislead(&before);
  assert_true(scene_start(scene, 1, seed, &start));
  start = enlarged_homography(&start);
  assert_true(pw_align_refine(&pair, &start, &alignment, NULL));
  double worst =
      worst_along(&truth, &alignment.h, before.width, (FACE_FAINT + before.height) / 2.0);
  pw_alignment_clear(&alignment);
  pw_plane_clear(&before);
  pw_plane_clear(&after);
  return worst;
}

static void
what_says_most_is_looked_at_wherever_it_lies(void **state)
{
  (void)state;
  for (guint32 seed = 1; seed <= 3; seed++) {
    Scene scene;
    scene_init(&scene, SCENE_COVER, seed);
    double worst = error_of(&scene, seed);
    scene_clear(&scene);
    print_message("# %u: %.3f px at worst\n", seed, worst);
    assert_true(worst < MOST_PX);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_says_most_is_looked_at_wherever_it_lies)};
  return cmocka_run_group_tests_name("align-full", tests, NULL, NULL);
}
