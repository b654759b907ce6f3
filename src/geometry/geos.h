/* GEOS for one call: its reentrant interface, with the last message kept. Private to geometry. */
#ifndef PW_GEOMETRY_GEOS_H
#define PW_GEOMETRY_GEOS_H

#include <platewright/geometry.h>

#include <geos_c.h>

typedef struct {
  GEOSContextHandle_t handle;
  char message[256];
} PwGeos;

void pw_geos_init(PwGeos *geos);
void pw_geos_clear(PwGeos *geos);
/* A polygon of one ring and its holes; NULL when GEOS refuses. Yours. */
GEOSGeometry *pw_geos_polygon(PwGeos *geos, const PwPxPath *ring, const PwPxPath *holes,
                              gsize n_holes);
/* The ring of a linear-ring geometry, without the repeated last point. */
gboolean pw_geos_ring_path(PwGeos *geos, const GEOSGeometry *ring, PwPxPath *path);
/* Sets `error` to what GEOS last said. */
void pw_geos_fail(const PwGeos *geos, const char *what, GError **error);

#endif
