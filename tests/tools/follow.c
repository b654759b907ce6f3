/* Follows the edges of marks whose outlines are known, for a command test: FILE.jpg, and on
 * standard input a line for each mark: its tolerances, set apart by blanks, a tab, its outline, and
 * after further tabs its holes. Answers with a line for each tolerance: the tolerance, a tab, and
 * the area shared by what was followed and the mark over that of both together, or why there is
 * none.
 *
 * The rule for the touch: the middle of the largest circle that fits into the mark, beside its
 * holes. The plane is a window: the mark's bounds, widened by half of them and 60 px to every side.
 */
#include "../unit/trace/ground.h"

#include <platewright/photo.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MARGIN_PX = 60, STEPS = 120, RINGS_MAX = 16, LINE_BYTES = 65536 };

typedef struct {
  PwPxPath rings[RINGS_MAX];
  gsize n;
} Mark;

static double
distance_to_edges(const Mark *mark, PwPx p)
{
  double least = HUGE_VAL;
  for (gsize r = 0; r < mark->n; r++)
    for (gsize i = 0, j = mark->rings[r].n - 1; i < mark->rings[r].n; j = i++) {
      PwPx a = mark->rings[r].points[j], b = mark->rings[r].points[i];
      double dx = b.x - a.x, dy = b.y - a.y, l = dx * dx + dy * dy;
      double t = l > 0 ? fmin(fmax(((p.x - a.x) * dx + (p.y - a.y) * dy) / l, 0), 1) : 0;
      least = fmin(least, hypot(p.x - a.x - t * dx, p.y - a.y - t * dy));
    }
  return least;
}

/* Inside the outline and outside its holes. */
static gboolean
is_in(const Mark *mark, PwPx p)
{
  gboolean in = FALSE;
  for (gsize r = 0; r < mark->n; r++)
    for (gsize i = 0, j = mark->rings[r].n - 1; i < mark->rings[r].n; j = i++) {
      PwPx a = mark->rings[r].points[i], b = mark->rings[r].points[j];
      if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
        in = !in;
    }
  return in;
}

static void
bounds_of(const PwPxPath *ring, PwPx *low, PwPx *high)
{
  *low = *high = ring->points[0];
  for (gsize i = 1; i < ring->n; i++) {
    *low = (PwPx){fmin(low->x, ring->points[i].x), fmin(low->y, ring->points[i].y)};
    *high = (PwPx){fmax(high->x, ring->points[i].x), fmax(high->y, ring->points[i].y)};
  }
}

static PwPx
inner_point(const Mark *mark, PwPx low, PwPx high)
{
  PwPx best = low;
  double most = 0;
  for (int i = 0; i < STEPS * STEPS; i++) {
    PwPx p = {low.x + (high.x - low.x) * (i % STEPS + 0.5) / STEPS,
              low.y + (high.y - low.y) * (i / STEPS + 0.5) / STEPS};
    double away = is_in(mark, p) ? distance_to_edges(mark, p) : 0;
    if (away > most) {
      most = away;
      best = p;
    }
  }
  return best;
}

static PwPlane
window_of(const PwPlane *plane, PwPx low, PwPx high)
{
  double grow_x = (high.x - low.x) / 2 + MARGIN_PX, grow_y = (high.y - low.y) / 2 + MARGIN_PX;
  int left = (int)fmax(floor(low.x - grow_x), 0), top = (int)fmax(floor(low.y - grow_y), 0);
  PwPlane window = *plane;
  window.width = (int)fmin(ceil(high.x + grow_x), plane->width) - left;
  window.height = (int)fmin(ceil(high.y + grow_y), plane->height) - top;
  window.pixels += (gsize)top * plane->stride + 3 * (gsize)left;
  return window;
}

static void
move(PwPxPath *ring, double x, double y)
{
  for (gsize i = 0; i < ring->n; i++)
    ring->points[i] = (PwPx){ring->points[i].x + x, ring->points[i].y + y};
}

static void
follow(const PwPlane *plane, const Mark *mark, double tolerance)
{
  PwPx low, high;
  bounds_of(&mark->rings[0], &low, &high);
  PwPlane window = window_of(plane, low, high);
  gsize offset = (gsize)(window.pixels - plane->pixels);
  double left = (double)(offset % plane->stride / 3), top = (double)(offset / plane->stride);
  PwPx at = inner_point(mark, low, high);
  const PwTraceOptions options = {.tolerance = tolerance};
  g_autoptr(GError) error = NULL;
  PwTrace trace;
  if (pw_trace_follow(&window, (PwPx){at.x - left, at.y - top}, &options, &trace, &error)) {
    move(&trace.outline, left, top);
    for (gsize i = 0; i < trace.n_holes; i++)
      move(&trace.holes[i], left, top);
    printf("%g\t%.4f\n", tolerance,
           shared_part(&trace.outline, trace.holes, trace.n_holes, &mark->rings[0], mark->rings + 1,
                       mark->n - 1));
  } else
    printf("%g\t%s\n", tolerance, error->message);
  pw_trace_clear(&trace);
}

static gboolean
read_mark(char *const *fields, Mark *mark)
{
  for (mark->n = 0; fields[mark->n + 1] != NULL && mark->n < RINGS_MAX; mark->n++)
    if (!pw_px_path_parse(fields[mark->n + 1], &mark->rings[mark->n], NULL, NULL))
      return FALSE;
  return mark->n > 0;
}

int
main(int n_arguments, char **arguments)
{
  if (n_arguments != 2 || !pw_photo_startup(NULL))
    return 2;
  PwPhoto *photo = pw_photo_open(arguments[1], NULL);
  PwPlane plane;
  const PwRender whole = {0};
  if (photo == NULL || !pw_photo_render(photo, &whole, &plane, NULL))
    return 3;
  static char line[LINE_BYTES];
  while (fgets(line, sizeof line, stdin) != NULL) {
    g_auto(GStrv) fields = g_strsplit(g_strchomp(line), "\t", -1);
    Mark mark = {.n = 0};
    if (!read_mark(fields, &mark))
      return 2;
    g_auto(GStrv) tolerances = g_strsplit(fields[0], " ", -1);
    for (char **t = tolerances; *t != NULL; t++)
      follow(&plane, &mark, g_ascii_strtod(*t, NULL));
    for (gsize i = 0; i < mark.n; i++)
      pw_px_path_clear(&mark.rings[i]);
  }
  pw_plane_clear(&plane);
  pw_photo_free(photo);
  pw_photo_shutdown();
  return 0;
}
