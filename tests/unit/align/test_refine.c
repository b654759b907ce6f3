/* Synthetic pairs whose truth is known: 24 that belong together, 30 that do not, and what is no
 * picture to hold on to. */
#include <math.h>
#include <platewright/align.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "scene.h"

enum { EACH = 6, PLAIN_LEAST = 5, BESIDE_CARDS_LEAST = 4 };
/* Of a kind with texture the median of six; of the bare kind each of five, of four where a card
 * hides a part of it. Mean corner error, px of 2 MP. */
#define TEXTURED_PX 0.1
#define PLAIN_PX 3.0
#define TIE_NOISE_PX 3.0

static int
by_size(gconstpointer a, gconstpointer b)
{
  double left = *(const double *)a, right = *(const double *)b;
  return left < right ? -1 : left > right;
}

typedef gboolean (*Starter)(Scene *scene, guint32 seed, PwHomography *start);

static gboolean
start_from_ties(Scene *scene, guint32 seed, PwHomography *start)
{
  return scene_start(scene, TIE_NOISE_PX, seed, start);
}

static gboolean
start_from_features(Scene *scene, guint32 seed G_GNUC_UNUSED, PwHomography *start)
{
  PwAlignPair pair = scene_pair(scene);
  return pw_align_start_features(&pair, start, NULL);
}

/* A card lies in both, elsewhere, and there is more to see in it than in a bare board. */
static gboolean
start_from_features_beside_cards(Scene *scene, guint32 seed, PwHomography *start)
{
  PwHomography to_mm[2];
  scene_add_cards(scene, seed, to_mm);
  return start_from_features(scene, seed, start);
}

static gboolean
start_from_cards(Scene *scene, guint32 seed, PwHomography *start)
{
  PwHomography to_mm[2];
  scene_add_cards(scene, seed, to_mm);
  PwAlignPair pair = scene_pair(scene);
  PwAlignScaled before = {pair.before, to_mm[0], pair.cards_before};
  PwAlignScaled after = {pair.after, to_mm[1], pair.cards_after};
  return pw_align_start_scaled(&before, &after, start, NULL);
}

static double
align_one(SceneKind kind, guint32 seed, Starter starter)
{
  Scene scene;
  scene_init(&scene, kind, seed);
  PwHomography start;
  gint64 at_first = g_get_monotonic_time();
  if (!starter(&scene, seed, &start)) {
    print_message("# %s %u: no start\n", scene_names[kind], seed);
    scene_clear(&scene);
    return (double)INFINITY;
  }
  double start_ms = (double)(g_get_monotonic_time() - at_first) / 1000;
  PwAlignment alignment;
  PwAlignPair planes = scene_pair(&scene);
  g_autoptr(GError) error = NULL;
  gint64 began = g_get_monotonic_time();
  gboolean ok = pw_align_refine(&planes, &start, &alignment, &error);
  double ms = (double)(g_get_monotonic_time() - began) / 1000;
  double got = scene_error(&scene, &alignment.h);
  print_message("# %s %u: from %.1f to %.3f px, residual %.2f, correlation %.2f, agreement %.2f, "
                "overlap %.2f, "
                "%.0f + %.0f ms%s%s\n",
                scene_names[kind], seed, scene_error(&scene, &start), got, alignment.residual_px,
                alignment.correlation, alignment.agreement, alignment.overlap, start_ms, ms,
                ok ? "" : ": ", ok ? "" : error->message);
  pw_alignment_clear(&alignment);
  scene_clear(&scene);
  return ok ? got : (double)INFINITY;
}

static void
check_least(SceneKind kind, Starter starter, int plain_least)
{
  double errors[EACH];
  for (guint32 i = 0; i < EACH; i++)
    errors[i] = align_one(kind, i + 1, starter);
  qsort(errors, EACH, sizeof *errors, by_size);
  print_message("# %s: median %.3f, worst %.3f px\n", scene_names[kind],
                (errors[EACH / 2 - 1] + errors[EACH / 2]) / 2, errors[EACH - 1]);
  if (kind == SCENE_PLAIN)
    assert_true(errors[plain_least - 1] < PLAIN_PX);
  else
    assert_true(errors[EACH / 2] < TEXTURED_PX);
}

static void
check_kind(SceneKind kind, Starter starter)
{
  check_least(kind, starter, PLAIN_LEAST);
}

static void
a_tooled_cover_from_ties(void **state)
{
  (void)state;
  check_kind(SCENE_COVER, start_from_ties);
}

static void
bare_leather_from_ties(void **state)
{
  (void)state;
  check_kind(SCENE_LEATHER, start_from_ties);
}

static void
print_from_ties(void **state)
{
  (void)state;
  check_kind(SCENE_PRINT, start_from_ties);
}

static void
a_near_plain_board_from_ties(void **state)
{
  (void)state;
  check_kind(SCENE_PLAIN, start_from_ties);
}

static void
textured_kinds_from_cards_alone(void **state)
{
  (void)state;
  for (guint kind = SCENE_COVER; kind <= SCENE_PRINT; kind++)
    check_kind((SceneKind)kind, start_from_cards);
}

static void
all_kinds_from_nothing(void **state)
{
  (void)state;
  if (!pw_align_knows_features())
    skip();
  for (guint kind = 0; kind < SCENE_KINDS; kind++)
    check_kind((SceneKind)kind, start_from_features);
}

static void
a_near_plain_board_from_nothing_beside_cards(void **state)
{
  (void)state;
  if (!pw_align_knows_features())
    skip();
  check_least(SCENE_PLAIN, start_from_features_beside_cards, BESIDE_CARDS_LEAST);
}

/* ---- What does not belong together --------------------------------------------------- */

enum { SEEDS = 3 }; /* 36 pairs */

static void
mirror(PwPlane *plane)
{
  for (int y = 0; y < plane->height; y++)
    for (int x = 0; x < plane->width / 2; x++) {
      guint8 *row = plane->pixels + (gsize)y * plane->stride;
      guint8 kept = row[x];
      row[x] = row[plane->width - 1 - x];
      row[plane->width - 1 - x] = kept;
    }
}

/* Half as wide and high, which is enough to be refused by. */
static void
halve(PwPlane *plane, PwHomography *start)
{
  int width = plane->width / 2, height = plane->height / 2;
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++) {
      const guint8 *at = plane->pixels + (gsize)(2 * y) * plane->stride + 2 * x;
      plane->pixels[y * width + x] =
          (guint8)((at[0] + at[1] + at[plane->stride] + at[plane->stride + 1] + 2) / 4);
    }
  *plane = (PwPlane){plane->pixels, width, height, 1, (gsize)width};
  if (start != NULL)
    *start = (PwHomography){{start->m[0], start->m[1], start->m[2] / 2, start->m[3], start->m[4],
                             start->m[5] / 2, start->m[6] * 2, start->m[7] * 2, 1}};
}

static guint
refused_within(const char *what, const PwAlignPair *pair, const PwHomography *start)
{
  PwAlignment alignment;
  g_autoptr(GError) error = NULL;
  gboolean ok = pw_align_refine(pair, start, &alignment, &error);
  print_message("# %s: agreement %.2f, correlation %.2f: %s\n", what, alignment.agreement,
                alignment.correlation, ok ? "TAKEN" : error->message);
  if (!ok)
    assert_true(g_error_matches(error, PW_ERROR, PW_ERROR_NUMERIC));
  pw_alignment_clear(&alignment);
  return !ok;
}

static guint
refused(const char *what, const PwPlane *before, const PwPlane *after, const PwHomography *start)
{
  return refused_within(what, &(PwAlignPair){.before = before, .after = after}, start);
}

/* Only a fifth of the picture speaks, so that chance has more to say. */
static guint
refused_in_part(const char *what, const PwPlane *before, const PwPlane *after,
                const PwHomography *start)
{
  double x = before->width, y = before->height;
  PwPx face[] = {
      {0.3 * x, 0.3 * y}, {0.75 * x, 0.3 * y}, {0.75 * x, 0.75 * y}, {0.3 * x, 0.75 * y}};
  PwAlignPair pair = {.before = before, .after = after, .within = {face, 4}};
  return refused_within(what, &pair, start);
}

/* From nothing: no start, or one that leads nowhere. */
static guint
refused_from_nothing(const char *what, const PwPlane *before, const PwPlane *after)
{
  PwHomography start;
  g_autoptr(GError) error = NULL;
  PwAlignPair pair = {.before = before, .after = after};
  if (pw_align_start_features(&pair, &start, &error))
    return refused(what, before, after, &start);
  print_message("# %s: no start: %s\n", what, error->message);
  return 1;
}

/* From ties where two belong together, and from nothing. */
static guint
refused_both(const char *what, const PwPlane *before, const PwPlane *after,
             const PwHomography *start)
{
  return refused(what, before, after, start) &&
         (!pw_align_knows_features() || refused_from_nothing(what, before, after));
}

static void
other_pages_other_volumes_and_mirror_pictures_are_refused(void **state)
{
  (void)state;
  Scene scenes[SCENE_KINDS][SEEDS];
  PwHomography starts[SCENE_KINDS][SEEDS];
  guint n = 0, in_part = 0;
  for (guint k = 0; k < SCENE_KINDS; k++)
    for (guint32 i = 0; i < SEEDS; i++) {
      scene_init(&scenes[k][i], (SceneKind)k, 100 + i);
      assert_true(scene_start(&scenes[k][i], TIE_NOISE_PX, i, &starts[k][i]));
      halve(&scenes[k][i].before, &starts[k][i]);
      halve(&scenes[k][i].after, NULL);
    }
  for (guint k = 0; k < SCENE_KINDS; k++)
    for (guint i = 0; i < SEEDS; i++) {
      const Scene *scene = &scenes[k][i];
      guint next = (i + 1) % SEEDS, other = (k + 1) % SCENE_KINDS;
      n += refused_both("other page", &scene->before, &scenes[k][next].after, &starts[k][i]);
      n += refused_both("other volume", &scene->before, &scenes[other][i].after, &starts[k][i]);
      in_part += refused_in_part("part of another page", &scene->before, &scenes[k][next].after,
                                 &starts[k][i]);
    }
  for (guint k = 0; k < SCENE_KINDS; k++)
    for (guint i = 0; i < SEEDS; i++) {
      mirror(&scenes[k][i].after);
      n += refused_both("mirror picture", &scenes[k][i].before, &scenes[k][i].after, &starts[k][i]);
      scene_clear(&scenes[k][i]);
    }
  assert_int_equal(n, 3 * SCENE_KINDS * SEEDS);
  assert_int_equal(in_part, SCENE_KINDS * SEEDS);
}

/* ---- What is no picture to hold on to ------------------------------------------------ */

static const PwHomography same = {{1, 0, 0, 0, 1, 0, 0, 0, 1}};

static PwPlane
plane_of(int width, int height, int (*value)(int x, int y))
{
  PwPlane plane = {g_malloc((gsize)width * (gsize)height), width, height, 1, (gsize)width};
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      plane.pixels[y * width + x] = (guint8)value(x, y);
  return plane;
}

static int
one_value(int x, int y)
{
  (void)x;
  (void)y;
  return 128;
}

static int
ramp(int x, int y)
{
  return (x + y) / 4 % 256;
}

static int
stripes(int x, int y)
{
  (void)y;
  return x / 8 % 2 ? 200 : 50;
}

static void
planes_with_nothing_to_hold_on_to_are_refused(void **state)
{
  (void)state;
  int (*const values[])(int, int) = {one_value, ramp, stripes};
  for (guint i = 0; i < G_N_ELEMENTS(values); i++) {
    PwPlane plane = plane_of(400, 300, values[i]), flat = plane_of(400, 300, one_value);
    if (values[i] != ramp) /* a ramp lies on itself in one place, like any picture */
      assert_true(refused("a plane on itself", &plane, &plane, &same));
    assert_true(refused("a plane on one value", &plane, &flat, &same));
    assert_true(refused("one value on a plane", &flat, &plane, &same));
    pw_plane_clear(&plane);
    pw_plane_clear(&flat);
  }
  for (guint i = 0; pw_align_knows_features() && i < G_N_ELEMENTS(values); i++) {
    PwPlane plane = plane_of(400, 300, values[i]), flat = plane_of(400, 300, one_value);
    assert_true(refused_from_nothing("a plane on one value", &plane, &flat));
    assert_true(refused_from_nothing("one value on a plane", &flat, &plane));
    pw_plane_clear(&plane);
    pw_plane_clear(&flat);
  }
}

static int
speckles(int x, int y)
{
  guint32 n = (guint32)(x / 4) * 73856093u ^ (guint32)(y / 4) * 19349663u;
  n = (n ^ n >> 13) * 1274126177u;
  return (int)((n ^ n >> 16) & 127);
}

/* Of every way to lay a picture over itself. */
static void
refused_for(const char *why, int width, int height)
{
  PwPlane plane = plane_of(width, height, speckles);
  PwAlignPair pair = {.before = &plane, .after = &plane};
  PwAlignScaled scaled = {.plane = &plane, .to_mm = same};
  GError *errors[3] = {NULL, NULL, NULL};
  PwAlignment alignment;
  PwHomography start;
  assert_false(pw_align_refine(&pair, &same, &alignment, &errors[0]));
  assert_false(pw_align_start_scaled(&scaled, &scaled, &start, &errors[1]));
  assert_false(pw_align_knows_features() && pw_align_start_features(&pair, &start, &errors[2]));
  for (guint i = 0; i < (pw_align_knows_features() ? 3 : 2); i++)
    assert_non_null(strstr(errors[i]->message, why));
  for (guint i = 0; i < G_N_ELEMENTS(errors); i++)
    g_clear_error(&errors[i]);
  pw_plane_clear(&plane);
}

static void
strips_are_laid_unless_too_narrow_to_be_looked_at_whole(void **state)
{
  (void)state;
  refused_for("too small", 4000, 12);
  refused_for("too small", 300, PW_ALIGN_SIDE_MIN - 1);
  refused_for("long and narrow", 70 * 1000, 90);
  PwPlane plane = plane_of(15 * 1000, 160, speckles);
  PwAlignPair pair = {.before = &plane, .after = &plane};
  PwAlignment alignment;
  const PwHomography start = {{1, 0, 0.7, 0, 1, -0.4, 0, 0, 1}};
  assert_true(pw_align_refine(&pair, &start, &alignment, NULL));
  assert_true(fabs(alignment.h.m[2]) < 0.1 && fabs(alignment.h.m[5]) < 0.1);
  pw_alignment_clear(&alignment);
  pw_plane_clear(&plane);
}

static void
starts_that_are_none_are_refused(void **state)
{
  (void)state;
  Scene scene;
  scene_init(&scene, SCENE_LEATHER, 1);
  const PwHomography starts[] = {
      {{NAN, 0, 0, 0, 1, 0, 0, 0, 1}},
      {{INFINITY, 0, 0, 0, 1, 0, 0, 0, 1}},
      {{0, 0, 0, 0, 0, 0, 0, 0, 1}},
      {{1, 0, 0, 1, 0, 0, 0, 0, 1}},
      {{1, 0, 1e9, 0, 1, 1e9, 0, 0, 1}},
      {{1, 0, 0, 0, 1, 0, -1e-2, 0, 1}},
      {{1e-9, 0, 0, 0, 1e-9, 0, 0, 0, 1}},
      {{1e9, 0, 0, 0, 1e9, 0, 0, 0, 1}},
      {{1.5e-154, 0, 1e200, 0, 1.5e-154, 1e200, 0, 0, 1}}, /* its inverse is not finite */
  };
  for (guint i = 0; i < G_N_ELEMENTS(starts); i++)
    assert_true(refused("no start", &scene.before, &scene.after, &starts[i]));
  scene_clear(&scene);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(textured_kinds_from_cards_alone),
      cmocka_unit_test(a_tooled_cover_from_ties),
      cmocka_unit_test(bare_leather_from_ties),
      cmocka_unit_test(print_from_ties),
      cmocka_unit_test(a_near_plain_board_from_ties),
      cmocka_unit_test(all_kinds_from_nothing),
      cmocka_unit_test(a_near_plain_board_from_nothing_beside_cards),
      cmocka_unit_test(other_pages_other_volumes_and_mirror_pictures_are_refused),
      cmocka_unit_test(planes_with_nothing_to_hold_on_to_are_refused),
      cmocka_unit_test(strips_are_laid_unless_too_narrow_to_be_looked_at_whole),
      cmocka_unit_test(starts_that_are_none_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
