/* Paths: runs of points in upright px or in mm, read from text and measured.
 *
 * Areas are by coordinates (the shoelace), taken about the first point so that a small ring far
 * from the origin loses no digits. y runs down, so a ring that is clockwise on screen is positive.
 */
#include <platewright/geometry.h>

#include <math.h>
#include <string.h>

/* The longest number we read: more digits than this carry nothing. */
enum { NUMBER_BYTES = 64 };

const char *
pw_kind_name(PwKind kind)
{
  static const char *const names[] = {"area", "line", "point"};
  return names[kind];
}

void
pw_px_path_clear(PwPxPath *path)
{
  g_free(path->points);
  *path = (PwPxPath){0};
}

static gboolean
is_blank(char c)
{
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* One number at *at, which moves past it. */
static gboolean
read_number(const char **at, double *value, GError **error)
{
  gsize length = strcspn(*at, ", \t\n\r");
  if (length == 0) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_RECORD,
                        "a number is missing; points are written x,y x,y x,y");
    return FALSE;
  }
  char text[NUMBER_BYTES];
  if (length < sizeof text) {
    memcpy(text, *at, length);
    text[length] = '\0';
    if (pw_parse_double(text, value)) {
      *at += length;
      return TRUE;
    }
  }
  g_autofree char *shown = g_strndup(*at, MIN(length, 20));
  g_autofree char *clean = pw_dup_printable(shown);
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "not a number: %s; points are written x,y x,y x,y",
              clean);
  return FALSE;
}

static gboolean
read_point(const char **at, PwPx *point, GError **error)
{
  if (!read_number(at, &point->x, error))
    return FALSE;
  if (**at != ',') {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_RECORD,
                        "a comma is missing between x and y; points are written x,y x,y x,y");
    return FALSE;
  }
  ++*at;
  if (!read_number(at, &point->y, error))
    return FALSE;
  if (**at == ',') {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_RECORD,
                        "a point has two numbers, and a blank after them");
    return FALSE;
  }
  return TRUE;
}

static gboolean
read_points(const char **at, GArray *points, GError **error)
{
  for (;;) {
    while (is_blank(**at))
      ++*at;
    if (**at == '\0')
      break;
    if (points->len == PW_LIMIT_POINTS) {
      g_set_error(error, PW_ERROR, PW_ERROR_LIMIT, "more than %d points in one outline",
                  (int)PW_LIMIT_POINTS);
      return FALSE;
    }
    const char *start = *at;
    PwPx point;
    if (!read_point(&start, &point, error)) {
      *at = start;
      return FALSE;
    }
    *at = start;
    g_array_append_val(points, point);
  }
  if (points->len == 0) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_RECORD,
                        "no points; points are written x,y x,y x,y");
    return FALSE;
  }
  return TRUE;
}

gboolean
pw_px_path_parse(const char *text, PwPxPath *path, gsize *offset, GError **error)
{
  g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(PwPx));
  const char *at = text;
  *path = (PwPxPath){0};
  if (!read_points(&at, points, error)) {
    if (offset)
      *offset = (gsize)(at - text);
    return FALSE;
  }
  path->n = points->len;
  path->points = (PwPx *)(void *)g_array_free(g_steal_pointer(&points), FALSE);
  return TRUE;
}

static void
append_number(GString *text, double value)
{
  /* Adding 0 turns -0 into 0. */
  g_autofree char *number = pw_format_double(round(value * 100) / 100 + 0.0);
  g_string_append(text, number);
}

char *
pw_px_path_format(const PwPxPath *path)
{
  GString *text = g_string_new(NULL);
  for (gsize i = 0; i < path->n; i++) {
    if (i > 0)
      g_string_append_c(text, ' ');
    append_number(text, path->points[i].x);
    g_string_append_c(text, ',');
    append_number(text, path->points[i].y);
  }
  return g_string_free(text, FALSE);
}

double
pw_mm_signed_area(const PwMm *ring, gsize n)
{
  double twice = 0;
  for (gsize i = 1; i + 1 < n; i++)
    twice += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) -
             (ring[i + 1].x - ring[0].x) * (ring[i].y - ring[0].y);
  return twice / 2;
}

double
pw_px_signed_area(const PwPx *ring, gsize n)
{
  double twice = 0;
  for (gsize i = 1; i + 1 < n; i++)
    twice += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) -
             (ring[i + 1].x - ring[0].x) * (ring[i].y - ring[0].y);
  return twice / 2;
}

double
pw_px_length(const PwPx *points, gsize n, gboolean closed)
{
  double length = 0;
  for (gsize i = 0; i + 1 < n; i++)
    length += hypot(points[i + 1].x - points[i].x, points[i + 1].y - points[i].y);
  if (closed && n > 1)
    length += hypot(points[0].x - points[n - 1].x, points[0].y - points[n - 1].y);
  return length;
}

double
pw_px_distance_to_edge(PwPx at, PwPx from, PwPx to)
{
  double x = to.x - from.x, y = to.y - from.y, length2 = x * x + y * y;
  double along = length2 > 0 ? ((at.x - from.x) * x + (at.y - from.y) * y) / length2 : 0;
  along = fmin(fmax(along, 0), 1);
  return hypot(at.x - from.x - along * x, at.y - from.y - along * y);
}

gboolean
pw_px_is_inside(const PwPxPath *ring, PwPx at)
{
  gboolean inside = FALSE;
  for (gsize i = 0; i < ring->n; i++) {
    const PwPx *a = &ring->points[i], *b = &ring->points[(i + 1) % ring->n];
    if ((a->y > at.y) != (b->y > at.y) &&
        at.x < (b->x - a->x) * (at.y - a->y) / (b->y - a->y) + a->x)
      inside = !inside;
  }
  return inside;
}
