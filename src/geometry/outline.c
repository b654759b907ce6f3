/* Outlines: whether they are simple, and outlines grown for masks. Upright px.
 *
 * An outline that crosses itself has no area to tell (the shoelace counts parts of it twice or
 * negative), so it is refused with the place, never repaired.
 */
#include "geos.h"

#include <math.h>
#include <string.h>

/* Quarter circles of a grown outline are drawn in this many segments. */
enum { QUADRANT_SEGMENTS = 16 };

/* GEOS's reasons (operation/valid/TopologyValidationError) in our words. */
static const struct {
  const char *reason, *what;
} FAULTS[] = {
    {"Self-intersection", "the outline crosses or touches itself"},
    {"Ring Self-intersection", "the outline touches itself"},
    {"Hole lies outside shell", "a hole lies outside the outline"},
    {"Holes are nested", "one hole lies inside another"},
    {"Interior is disconnected", "the holes cut the outline in two"},
    {"Too few points in geometry component", "fewer than three different points"},
    {"Invalid Coordinate", "a coordinate is not finite"},
};
static const char TOO_FEW[] = "fewer than three different points";
static const char NO_AREA[] = "the outline encloses no area";

static const char *
words_for(const char *reason)
{
  for (gsize i = 0; i < G_N_ELEMENTS(FAULTS); i++)
    if (reason && strcmp(reason, FAULTS[i].reason) == 0)
      return FAULTS[i].what;
  return "the outline is not simple";
}

/* For a fault that has no place. */
static PwPx
nowhere(void)
{
  return (PwPx){nan(""), nan("")};
}

static gboolean
same_point(PwPx a, PwPx b)
{
  return !(a.x < b.x) && !(a.x > b.x) && !(a.y < b.y) && !(a.y > b.y);
}

static gboolean
has_three_points(const PwPxPath *ring)
{
  gsize second = 1;
  while (second < ring->n && same_point(ring->points[0], ring->points[second]))
    second++;
  for (gsize i = second + 1; i < ring->n; i++)
    if (!same_point(ring->points[i], ring->points[0]) &&
        !same_point(ring->points[i], ring->points[second]))
      return TRUE;
  return FALSE;
}

static void
fault_from(PwGeos *geos, const char *reason, const GEOSGeometry *place, PwOutlineFault *fault)
{
  if (!fault)
    return;
  *fault = (PwOutlineFault){nowhere(), words_for(reason)};
  if (place) {
    GEOSGeomGetX_r(geos->handle, place, &fault->at.x);
    GEOSGeomGetY_r(geos->handle, place, &fault->at.y);
  }
}

static gboolean
check_polygon(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes, PwOutlineFault *fault)
{
  PwGeos geos;
  pw_geos_init(&geos);
  GEOSGeometry *polygon = pw_geos_polygon(&geos, ring, holes, n_holes), *place = NULL;
  char *reason = NULL;
  gboolean valid = polygon && GEOSisValidDetail_r(geos.handle, polygon, 0, &reason, &place) == 1;
  if (!valid)
    fault_from(&geos, reason, place, fault);
  if (reason)
    GEOSFree_r(geos.handle, reason);
  if (place)
    GEOSGeom_destroy_r(geos.handle, place);
  if (polygon)
    GEOSGeom_destroy_r(geos.handle, polygon);
  pw_geos_clear(&geos);
  return valid;
}

gboolean
pw_outline_check(const PwPxPath *ring, PwOutlineFault *fault)
{
  if (!has_three_points(ring)) {
    if (fault)
      *fault = (PwOutlineFault){ring->n > 0 ? ring->points[0] : nowhere(), TOO_FEW};
    return FALSE;
  }
  if (!check_polygon(ring, NULL, 0, fault))
    return FALSE;
  if (!(fabs(pw_px_signed_area(ring->points, ring->n)) > 0)) {
    if (fault)
      *fault = (PwOutlineFault){ring->points[0], NO_AREA};
    return FALSE;
  }
  return TRUE;
}

gboolean
pw_outline_check_holes(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes,
                       PwOutlineFault *fault)
{
  for (gsize i = 0; i < n_holes; i++)
    if (!pw_outline_check(&holes[i], fault))
      return FALSE;
  return check_polygon(ring, holes, n_holes, fault);
}

static gboolean
take_outer_rings(PwGeos *geos, const GEOSGeometry *grown, PwPxPath **rings, gsize *n_rings)
{
  int n = GEOSGetNumGeometries_r(geos->handle, grown);
  if (n <= 0)
    return FALSE;
  *rings = g_new0(PwPxPath, (gsize)n);
  for (*n_rings = 0; *n_rings < (gsize)n; ++*n_rings) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(geos->handle, grown, (int)*n_rings);
    const GEOSGeometry *outer = part ? GEOSGetExteriorRing_r(geos->handle, part) : NULL;
    if (!outer || !pw_geos_ring_path(geos, outer, &(*rings)[*n_rings]))
      return FALSE;
  }
  return TRUE;
}

static void
free_rings(PwPxPath **rings, gsize *n_rings)
{
  for (gsize i = 0; i < *n_rings; i++)
    pw_px_path_clear(&(*rings)[i]);
  g_free(*rings);
  *rings = NULL;
  *n_rings = 0;
}

gboolean
pw_px_outline_grow(const PwPxPath *ring, double by, PwPxPath **rings, gsize *n_rings,
                   GError **error)
{
  /* Chords run inside their arc. GEOS rounds the number of chords of a corner, so one may span half
   * as much again as its share; reaching out further keeps even that one at the distance asked. */
  double reach = by / cos(1.5 * G_PI / (4 * QUADRANT_SEGMENTS));
  PwGeos geos;
  pw_geos_init(&geos);
  *rings = NULL;
  *n_rings = 0;
  GEOSGeometry *polygon = pw_geos_polygon(&geos, ring, NULL, 0);
  GEOSGeometry *grown =
      polygon ? GEOSBuffer_r(geos.handle, polygon, reach, QUADRANT_SEGMENTS) : NULL;
  gboolean done = grown && take_outer_rings(&geos, grown, rings, n_rings);
  if (!done) {
    free_rings(rings, n_rings);
    pw_geos_fail(&geos, "the outline could not be grown", error);
  }
  if (grown)
    GEOSGeom_destroy_r(geos.handle, grown);
  if (polygon)
    GEOSGeom_destroy_r(geos.handle, polygon);
  pw_geos_clear(&geos);
  return done;
}
