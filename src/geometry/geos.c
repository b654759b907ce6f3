/* GEOS for one call: its reentrant interface, with the last message kept. */
#include "geos.h"

#include <string.h>

static void
keep_message(const char *message, void *user)
{
  PwGeos *geos = user;
  g_strlcpy(geos->message, message, sizeof geos->message);
}

void
pw_geos_init(PwGeos *geos)
{
  geos->handle = GEOS_init_r();
  geos->message[0] = '\0';
  GEOSContext_setErrorMessageHandler_r(geos->handle, keep_message, geos);
}

void
pw_geos_clear(PwGeos *geos)
{
  GEOS_finish_r(geos->handle);
  geos->handle = NULL;
}

static GEOSGeometry *
linear_ring(PwGeos *geos, const PwPxPath *path)
{
  g_autofree double *buffer = g_new(double, 2 * (path->n + 1));
  for (gsize i = 0; i <= path->n; i++) {
    buffer[2 * i] = path->points[i % path->n].x;
    buffer[2 * i + 1] = path->points[i % path->n].y;
  }
  GEOSCoordSequence *sequence =
      GEOSCoordSeq_copyFromBuffer_r(geos->handle, buffer, (unsigned)path->n + 1, 0, 0);
  return sequence ? GEOSGeom_createLinearRing_r(geos->handle, sequence) : NULL;
}

static void
destroy_all(PwGeos *geos, GEOSGeometry **geometries, gsize n)
{
  for (gsize i = 0; i < n; i++)
    if (geometries[i])
      GEOSGeom_destroy_r(geos->handle, geometries[i]);
}

GEOSGeometry *
pw_geos_polygon(PwGeos *geos, const PwPxPath *ring, const PwPxPath *holes, gsize n_holes)
{
  g_autofree GEOSGeometry **rings = g_new0(GEOSGeometry *, n_holes + 1);
  gboolean whole = TRUE;
  for (gsize i = 0; i <= n_holes && whole; i++) {
    const PwPxPath *path = i == 0 ? ring : &holes[i - 1];
    rings[i] = path->n > 0 ? linear_ring(geos, path) : NULL;
    whole = rings[i] != NULL;
  }
  if (!whole) {
    destroy_all(geos, rings, n_holes + 1);
    return NULL;
  }
  return GEOSGeom_createPolygon_r(geos->handle, rings[0], rings + 1, (unsigned)n_holes);
}

gboolean
pw_geos_ring_path(PwGeos *geos, const GEOSGeometry *ring, PwPxPath *path)
{
  const GEOSCoordSequence *sequence = GEOSGeom_getCoordSeq_r(geos->handle, ring);
  unsigned size = 0;
  *path = (PwPxPath){0};
  if (!sequence || !GEOSCoordSeq_getSize_r(geos->handle, sequence, &size) || size < 4)
    return FALSE;
  g_autofree double *buffer = g_new(double, 2 * (gsize)size);
  if (!GEOSCoordSeq_copyToBuffer_r(geos->handle, sequence, buffer, 0, 0))
    return FALSE;
  *path = (PwPxPath){g_new(PwPx, size - 1), size - 1};
  for (gsize i = 0; i < path->n; i++)
    path->points[i] = (PwPx){buffer[2 * i], buffer[2 * i + 1]};
  return TRUE;
}

void
pw_geos_fail(const PwGeos *geos, const char *what, GError **error)
{
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC, "%s%s%s", what, geos->message[0] ? ": " : "",
              geos->message);
}
