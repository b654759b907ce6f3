/* How long finding a card takes beside decoding the same file to grey, and how much memory it all
 * takes: prints a line of Markdown for docs/benchmark.md. Arguments: JPEG files. Never gates a
 * test.
 */
#include <platewright/card.h>
#include <platewright/photo.h>

#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

enum { ROUNDS = 7 };

static double
cpu_ms(void)
{
  struct timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Decodes and finds once; FALSE when the file cannot be read. */
static gboolean
run(const char *path, double *decode_ms, double *find_ms, gsize *n_cards, double *megapixels)
{
  PwPlane plane;
  PwFound found;
  double start = cpu_ms();
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  if (photo == NULL || !pw_photo_grey(photo, &plane, NULL))
    return FALSE;
  *decode_ms = cpu_ms() - start;
  start = cpu_ms();
  gboolean ok = pw_card_find(&plane, &found, NULL);
  *find_ms = cpu_ms() - start;
  *megapixels = (double)plane.width * plane.height / 1e6;
  *n_cards = found.n_cards;
  pw_found_clear(&found);
  pw_plane_clear(&plane);
  return ok;
}

static gboolean
measure_file(const char *path)
{
  double ratios[ROUNDS], decode = 0, find = 0, megapixels = 0;
  gsize n_cards = 0;
  struct rusage usage;
  for (int i = 0; i < ROUNDS; i++) {
    if (!run(path, &decode, &find, &n_cards, &megapixels))
      return FALSE;
    ratios[i] = find / decode;
  }
  qsort(ratios, ROUNDS, sizeof *ratios, compare_doubles);
  getrusage(RUSAGE_SELF, &usage);
  printf(
      "- %.0f MP, %zu card(s) found: %.2f times decoding it to grey (last: %.0f ms and %.0f ms); "
      "peak memory %ld MB\n",
      megapixels, n_cards, ratios[ROUNDS / 2], find, decode, usage.ru_maxrss / 1024);
  return TRUE;
}

int
main(int n_arguments, char **arguments)
{
  if (n_arguments != 2 || !pw_photo_startup(NULL))
    return 2;
  gboolean ok = measure_file(arguments[1]);
  pw_photo_shutdown();
  return ok ? 0 : 3;
}
