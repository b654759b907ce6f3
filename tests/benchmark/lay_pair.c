/* One synthetic pair laid over each other, for align.py: lay-pair KIND FOLDER START, which
 * is ties, cards or features, writes the pair as FOLDER/before.pgm and after.pgm of 2 MP and prints
 * wall and CPU time in ms and the mean error of the corners in px. */
#include <platewright/align.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "../unit/align/scene.h"

#define TIE_NOISE_PX 3.0

static double
ms_of(clockid_t clock)
{
  struct timespec now;
  clock_gettime(clock, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static void
write_plane(const PwPlane *plane, const char *folder, const char *name)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  FILE *file = fopen(path, "wb");
  if (file == NULL)
    exit(1);
  fprintf(file, "P5\n%d %d\n255\n", plane->width, plane->height);
  fwrite(plane->pixels, 1, (gsize)plane->width * (gsize)plane->height, file);
  fclose(file);
}

static gboolean
lay(Scene *scene, const PwHomography to_mm[2], const char *from, PwAlignment *alignment)
{
  PwAlignPair pair = scene_pair(scene);
  PwAlignScaled before = {pair.before, to_mm[0], pair.cards_before};
  PwAlignScaled after = {pair.after, to_mm[1], pair.cards_after};
  PwHomography start;
  gboolean starts;
  if (strcmp(from, "cards") == 0)
    starts = pw_align_start_scaled(&before, &after, &start, NULL);
  else if (strcmp(from, "features") == 0)
    starts = pw_align_start_features(&pair, &start, NULL);
  else
    starts = scene_start(scene, TIE_NOISE_PX, 1, &start);
  return starts && pw_align_refine(&pair, &start, alignment, NULL);
}

int
main(int argc, char **argv)
{
  guint kind = 0;
  while (argc == 4 && kind < SCENE_KINDS && strcmp(scene_names[kind], argv[1]) != 0)
    kind++;
  if (argc != 4 || kind == SCENE_KINDS)
    return 2;
  Scene scene;
  PwHomography to_mm[2];
  scene_init(&scene, (SceneKind)kind, 1);
  scene_add_cards(&scene, 1, to_mm);
  write_plane(&scene.before, argv[2], "before.pgm");
  write_plane(&scene.after, argv[2], "after.pgm");
  PwAlignment alignment = {0};
  double wall = ms_of(CLOCK_MONOTONIC), cpu = ms_of(CLOCK_PROCESS_CPUTIME_ID);
  gboolean laid = lay(&scene, to_mm, argv[3], &alignment);
  printf("%.1f %.1f %.4f\n", ms_of(CLOCK_MONOTONIC) - wall, ms_of(CLOCK_PROCESS_CPUTIME_ID) - cpu,
         laid ? scene_error(&scene, &alignment.h) : -1);
  pw_alignment_clear(&alignment);
  scene_clear(&scene);
  return 0;
}
