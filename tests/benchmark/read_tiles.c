/* One figure of a large photograph's tiles, in a process of its own for its memory: prints it in
 * ms, and the peak memory in MB, for tiles.py. Never gates a test.
 *
 *   read-tiles decode PHOTO             the whole of it to grey
 *   read-tiles sight PHOTO              first sight: opened, a JPEG 1600 px wide
 *   read-tiles build PHOTO TILES        wall and CPU
 *   read-tiles serve TILES CLIENTS      p50 and p95 of single tiles that so many ask for at once
 */
#include <platewright/photo.h>

#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

enum { SIGHT_PX = 1600, SIGHT_QUALITY = 85, TILES_EACH = 400, CLIENTS_MAX = 64 };

static double
now_ms(clockid_t clock)
{
  struct timespec now;
  clock_gettime(clock, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static gboolean
decode(const char *path)
{
  PwPlane plane;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  gboolean ok = photo != NULL && pw_photo_grey(photo, &plane, NULL);
  if (ok)
    pw_plane_clear(&plane);
  return ok;
}

static gboolean
sight(const char *path)
{
  int width, height;
  const PwRender render = {.width = SIGHT_PX, .quick = TRUE};
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  g_autoptr(GBytes) jpeg =
      photo != NULL ? pw_photo_render_jpeg(photo, &render, SIGHT_QUALITY, &width, &height, NULL)
                    : NULL;
  return jpeg != NULL;
}

static gboolean
build(const char *path, const char *to)
{
  g_autoptr(PwPhoto) photo = pw_photo_open(path, NULL);
  return photo != NULL && pw_photo_write_tiles(photo, to, "benchmark", NULL, NULL);
}

typedef struct {
  const PwTiles *tiles;
  guint seed;
  double ms[TILES_EACH];
  gboolean failed;
} Client;

/* Of the three largest levels, as one who looks about from near. */
static gpointer
ask(gpointer user)
{
  Client *client = user;
  const PwTilesInfo *info = pw_tiles_peek_info(client->tiles);
  GRand *chance = g_rand_new_with_seed(client->seed);
  for (int i = 0; i < TILES_EACH; i++) {
    int level = g_rand_int_range(chance, 0, MIN(3, (gint32)info->n_levels));
    int column = g_rand_int_range(chance, 0, info->levels[level].columns);
    int row = g_rand_int_range(chance, 0, info->levels[level].rows);
    double start = now_ms(CLOCK_MONOTONIC);
    g_autoptr(GBytes) jpeg = pw_tiles_dup_jpeg(client->tiles, (guint)level, column, row, NULL);
    client->ms[i] = now_ms(CLOCK_MONOTONIC) - start;
    client->failed = client->failed || jpeg == NULL;
  }
  g_rand_free(chance);
  return NULL;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static gboolean
serve(const char *path, int n)
{
  GThread *threads[CLIENTS_MAX];
  g_autoptr(PwTiles) tiles = pw_tiles_open(path, NULL);
  if (tiles == NULL || n < 1 || n > CLIENTS_MAX)
    return FALSE;
  g_autofree Client *clients = g_new0(Client, n);
  g_autofree double *all = g_new(double, n *TILES_EACH);
  gboolean ok = TRUE;
  for (int i = 0; i < n; i++) {
    clients[i].tiles = tiles;
    clients[i].seed = (guint)i;
    threads[i] = g_thread_new("client", ask, &clients[i]);
  }
  for (int i = 0; i < n; i++) {
    g_thread_join(threads[i]);
    ok = ok && !clients[i].failed;
    memcpy(all + i * TILES_EACH, clients[i].ms, sizeof clients[i].ms);
  }
  qsort(all, (gsize)(n * TILES_EACH), sizeof *all, compare_doubles);
  printf("%.2f %.2f ", all[n * TILES_EACH / 2], all[n * TILES_EACH * 95 / 100]);
  return ok;
}

int
main(int n, char **arguments)
{
  if (n < 3 || !pw_photo_startup(NULL))
    return 2;
  const char *what = arguments[1], *path = arguments[2];
  const double wall = now_ms(CLOCK_MONOTONIC), cpu = now_ms(CLOCK_PROCESS_CPUTIME_ID);
  gboolean ok = FALSE;
  if (strcmp(what, "decode") == 0)
    ok = decode(path);
  else if (strcmp(what, "sight") == 0)
    ok = sight(path);
  else if (strcmp(what, "build") == 0 && n == 4)
    ok = build(path, arguments[3]);
  else if (strcmp(what, "serve") == 0 && n == 4)
    ok = serve(path, atoi(arguments[3]));
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  printf("%.1f %.1f %ld\n", now_ms(CLOCK_MONOTONIC) - wall, now_ms(CLOCK_PROCESS_CPUTIME_ID) - cpu,
         usage.ru_maxrss / 1024);
  pw_photo_shutdown();
  return ok ? 0 : 3;
}
