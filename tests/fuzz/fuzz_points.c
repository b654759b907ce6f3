/* Fuzz target: any text as a list of points. What reads must be finite and read back the same from
 * its own numbers; what does not must say where, and leave nothing behind. */
#include <platewright/geometry.h>

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char *
write_points(const PwPxPath *path)
{
  GString *text = g_string_new(NULL);
  for (gsize i = 0; i < path->n; i++) {
    g_autofree char *x = pw_format_double(path->points[i].x);
    g_autofree char *y = pw_format_double(path->points[i].y);
    g_string_append_printf(text, "%s%s,%s", i > 0 ? " " : "", x, y);
  }
  return g_string_free(text, FALSE);
}

static void
check_read_back(const PwPxPath *path)
{
  g_autofree char *text = write_points(path);
  PwPxPath again = {0};
  gsize offset = 0;
  g_assert(pw_px_path_parse(text, &again, &offset, NULL));
  g_assert(again.n == path->n);
  for (gsize i = 0; i < path->n; i++) {
    g_assert(isfinite(path->points[i].x) && isfinite(path->points[i].y));
    g_assert(!(again.points[i].x < path->points[i].x) && !(again.points[i].x > path->points[i].x));
    g_assert(!(again.points[i].y < path->points[i].y) && !(again.points[i].y > path->points[i].y));
  }
  pw_px_path_clear(&again);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  g_autofree char *text = g_strndup((const char *)data, size);
  PwPxPath path = {0};
  gsize offset = 0;
  g_autoptr(GError) error = NULL;
  if (pw_px_path_parse(text, &path, &offset, &error)) {
    g_assert(!error && path.n > 0 && path.n <= PW_LIMIT_POINTS);
    check_read_back(&path);
  } else {
    g_assert(error && path.n == 0 && !path.points && offset <= strlen(text));
  }
  pw_px_path_clear(&path);
  return 0;
}
