/* Regions: polygons with holes in upright px, united by GEOS. */
#include "geos.h"

void
pw_region_clear(PwRegion *region)
{
  for (gsize i = 0; i < region->n_rings; i++)
    pw_px_path_clear(&region->rings[i]);
  g_free(region->rings);
  g_free(region->is_hole);
  *region = (PwRegion){0};
}

/* Adds the polygons of one region to `polygons`; an outer ring is followed by its holes. */
static gboolean
add_polygons(PwGeos *geos, const PwRegion *region, GPtrArray *polygons)
{
  for (gsize i = 0; i < region->n_rings;) {
    gsize end = i + 1;
    while (end < region->n_rings && region->is_hole[end])
      end++;
    GEOSGeometry *polygon =
        pw_geos_polygon(geos, &region->rings[i], &region->rings[i + 1], end - i - 1);
    if (!polygon)
      return FALSE;
    g_ptr_array_add(polygons, polygon);
    i = end;
  }
  return TRUE;
}

/* The collection takes the polygons over, so the array is emptied. */
static GEOSGeometry *
collect(PwGeos *geos, GPtrArray *polygons)
{
  GEOSGeometry *all = GEOSGeom_createCollection_r(geos->handle, GEOS_MULTIPOLYGON,
                                                  (GEOSGeometry **)polygons->pdata, polygons->len);
  g_ptr_array_set_size(polygons, 0);
  return all;
}

static gboolean
take_ring(PwGeos *geos, const GEOSGeometry *ring, gboolean is_hole, GArray *rings, GArray *holes)
{
  PwPxPath path;
  if (!ring || !pw_geos_ring_path(geos, ring, &path))
    return FALSE;
  g_array_append_val(rings, path);
  g_array_append_val(holes, is_hole);
  return TRUE;
}

static gboolean
take_polygon(PwGeos *geos, const GEOSGeometry *polygon, GArray *rings, GArray *holes)
{
  if (!take_ring(geos, GEOSGetExteriorRing_r(geos->handle, polygon), FALSE, rings, holes))
    return FALSE;
  int n = GEOSGetNumInteriorRings_r(geos->handle, polygon);
  for (int i = 0; i < n; i++)
    if (!take_ring(geos, GEOSGetInteriorRingN_r(geos->handle, polygon, i), TRUE, rings, holes))
      return FALSE;
  return n >= 0;
}

static gboolean
take_region(PwGeos *geos, const GEOSGeometry *united, PwRegion *out)
{
  GArray *rings = g_array_new(FALSE, FALSE, sizeof(PwPxPath));
  GArray *holes = g_array_new(FALSE, FALSE, sizeof(gboolean));
  int n = GEOSGetNumGeometries_r(geos->handle, united);
  gboolean whole = n >= 0;
  for (int i = 0; i < n && whole; i++)
    whole = take_polygon(geos, GEOSGetGeometryN_r(geos->handle, united, i), rings, holes);
  out->n_rings = rings->len;
  out->rings = (PwPxPath *)(void *)g_array_free(rings, FALSE);
  out->is_hole = (gboolean *)(void *)g_array_free(holes, FALSE);
  return whole;
}

gboolean
pw_region_unite(const PwRegion *regions, gsize n, PwRegion *out, GError **error)
{
  PwGeos geos;
  pw_geos_init(&geos);
  *out = (PwRegion){0};
  g_autoptr(GPtrArray) polygons = g_ptr_array_new();
  gboolean built = TRUE;
  for (gsize i = 0; i < n && built; i++)
    built = add_polygons(&geos, &regions[i], polygons);
  GEOSGeometry *all = collect(&geos, polygons);
  GEOSGeometry *united = built && all ? GEOSUnaryUnion_r(geos.handle, all) : NULL;
  gboolean done = united && take_region(&geos, united, out);
  if (!done) {
    pw_region_clear(out);
    pw_geos_fail(&geos, "the outlines could not be united", error);
  }
  if (united)
    GEOSGeom_destroy_r(geos.handle, united);
  if (all)
    GEOSGeom_destroy_r(geos.handle, all);
  pw_geos_clear(&geos);
  return done;
}
