/* Geometry: points in pixels and in millimetres, pixel planes, paths, homographies, the lens,
 * polygons, and the small systems that fits of these solve.
 *
 * Pixels are upright pixels: the picture after its EXIF orientation, x to the right, y down,
 * origin at the outer corner of the top-left pixel (whose centre is 0.5,0.5). Millimetres are in
 * a plane of the object, x and y as in the picture. The two are different types on purpose.
 * Nothing here reads files or knows of books.
 */
#ifndef PLATEWRIGHT_GEOMETRY_H
#define PLATEWRIGHT_GEOMETRY_H

#include <platewright/base.h>

PW_BEGIN_DECLS

typedef struct {
  double x, y;
} PwPx;
typedef struct {
  double x, y;
} PwMm;

/* What a mark is drawn as: a closed outline, an open line, or one point. */
typedef enum { PW_KIND_AREA, PW_KIND_LINE, PW_KIND_POINT } PwKind;
const char *pw_kind_name(PwKind kind); /* "area", "line", "point" */

/* Runs of points. A closed path does not repeat its first point. */
typedef struct {
  PwPx *points;
  gsize n;
} PwPxPath;
void pw_px_path_clear(PwPxPath *path);

/* Reads "x,y x,y x,y" (blanks between pairs, commas between numbers, any run of blanks). At most
 * PW_LIMIT_POINTS points. On failure `offset` is the byte of `text` where it went wrong and the
 * GError says why; `path` is then empty. */
gboolean pw_px_path_parse(const char *text, PwPxPath *path, gsize *offset, GError **error);
/* The same text back, each number with at most two decimals. Yours. */
char *pw_px_path_format(const PwPxPath *path);

/* ---- Pixels ------------------------------------------------------------------------ */

/* A plain pixel plane: `channels` interleaved 8-bit samples (3: sRGB, 1: grey), rows `stride`
 * bytes apart. */
typedef struct {
  guint8 *pixels;
  int width, height, channels;
  gsize stride;
} PwPlane;
void pw_plane_clear(PwPlane *plane);

/* ---- Homographies ------------------------------------------------------------------ */

/* 3 x 3, row by row, m[8] = 1:
 * (x', y') = (m0 x + m1 y + m2, m3 x + m4 y + m5) / (m6 x + m7 y + 1). */
typedef struct {
  double m[9];
} PwHomography;

/* Least squares over n >= 4 correspondences: normalised DLT (Hartley and Zisserman, Multiple View
 * Geometry, ch. 4), then Gauss-Newton on the distances in `to`. `rms` (may be NULL) gets
 * sqrt(sum of squared distances / n) in the unit of `to`. FALSE (PW_ERROR_NUMERIC) when three of
 * four points lie on a line, points coincide, or the plane's horizon runs between the points. */
gboolean pw_homography_fit(const double (*from)[2], const double (*to)[2], gsize n,
                           PwHomography *h, double *rms, GError **error);
/* How errors of a fit's points reach its result: errors of `to`, independent and of standard
 * deviation 1 in each coordinate, change m[0..7] as eight independent ones of standard deviation 1
 * do that are multiplied by the rows of `changes` and added (the rows' products summed are the
 * covariance (J^T J)^-1). `from` as it was fitted. FALSE when the points determine no fit. */
gboolean pw_homography_spread(const PwHomography *h, const double (*from)[2], gsize n,
                              double changes[8][8]);
void pw_homography_apply(const PwHomography *h, double x, double y, double *out_x, double *out_y);
gboolean pw_homography_invert(const PwHomography *h, PwHomography *inverse);
/* a after b. Normalised to m[8] = 1. */
void pw_homography_multiply(const PwHomography *a, const PwHomography *b, PwHomography *out);
/* [dX/dx dX/dy; dY/dx dY/dy] at (x, y). */
void pw_homography_jacobian(const PwHomography *h, double x, double y, double j[4]);

/* ---- The lens ---------------------------------------------------------------------- */

/* Radial distortion: x_d = x_u (1 + k1 r^2 + k2 r^4) about (cx, cy), r in units of f_px. All in
 * upright pixels. A zeroed struct with f_px = 0 is no distortion. */
typedef struct {
  double f_px, cx, cy, k1, k2;
} PwLens;
PwPx pw_lens_distort(const PwLens *lens, PwPx undistorted);
/* [dx_d/dx_u dx_d/dy_u; dy_d/dx_u dy_d/dy_u] at an undistorted point. */
void pw_lens_jacobian(const PwLens *lens, PwPx undistorted, double j[4]);
/* By iteration to 1e-6 px; FALSE where the model folds over and no undistorted point exists. */
gboolean pw_lens_undistort(const PwLens *lens, PwPx distorted, PwPx *undistorted);

/* ---- Polygons ---------------------------------------------------------------------- */

/* Where and why an outline is not simple. `at` in the outline's own px; `what` static words. Filled
 * where FALSE is returned; a caller who does not ask gives NULL. */
typedef struct {
  PwPx at;
  const char *what;
} PwOutlineFault;
/* TRUE when the ring has at least three different points, encloses an area, and does not touch or
 * cross itself. */
gboolean pw_outline_check(const PwPxPath *ring, PwOutlineFault *fault);
/* TRUE when every hole is simple, lies inside the ring and the holes do not overlap. */
gboolean pw_outline_check_holes(const PwPxPath *ring, const PwPxPath *holes, gsize n_holes,
                                PwOutlineFault *fault);

/* Area by coordinates (the shoelace), half the sum of x_i y_i+1 - x_i+1 y_i, in mm2 or px2:
 * positive where the ring runs clockwise as seen on screen (y down). */
double pw_mm_signed_area(const PwMm *ring, gsize n);
double pw_px_signed_area(const PwPx *ring, gsize n);
/* The edges' lengths together; closed: with the one from the last point to the first. */
double pw_px_length(const PwPx *points, gsize n, gboolean closed);
/* From a point to the nearest of an edge, px. */
double pw_px_distance_to_edge(PwPx at, PwPx from, PwPx to);
/* Whether a point lies inside a ring by the even-odd rule; of no ring (n = 0) never. */
gboolean pw_px_is_inside(const PwPxPath *ring, PwPx at);
/* The greatest distance between two points; indices of the two (the first pair of equals). */
double pw_mm_longest(const PwMm *points, gsize n, gsize *i, gsize *j);

/* A set of polygons with holes, in px: rings in order, each polygon an outer ring and its holes.
 * Outlines are united where they were drawn and carried to mm afterwards: a homography maps a
 * union to the union of what it maps, so nothing is lost and every vertex keeps its origin. */
typedef struct {
  PwPxPath *rings;
  gboolean *is_hole; /* one for each ring */
  gsize n_rings;
} PwRegion;
void pw_region_clear(PwRegion *region);
/* Union of n regions (GEOS); vertices that survive keep their very coordinates. Each ring must be
 * simple (pw_outline_check). `out` is overwritten. */
gboolean pw_region_unite(const PwRegion *regions, gsize n, PwRegion *out, GError **error);
/* The outline grown outwards by at least `by` px with round corners (GEOS buffer), for masks: outer
 * rings only, so that what the grown outline encloses is covered too. The array is yours. */
gboolean pw_px_outline_grow(const PwPxPath *ring, double by, PwPxPath **rings, gsize *n_rings,
                            GError **error);

/* ---- Small dense systems, for fits ------------------------------------------------- */

/* Solves a x = b in place (n x n, row by row) by elimination with partial pivoting; b becomes x.
 * FALSE when a pivot falls under `tiny` times the largest entry of a. */
gboolean pw_solve(double *a, double *b, int n, double tiny);

PW_END_DECLS
#endif
