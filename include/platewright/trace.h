/* Trace: outlines proposed from pixels. The edge of a patch of colour, a stroke with fewer points,
 * corners and ends set on the edge under them. A proposal is for a person to look at and to mend.
 *
 * Works on planes of upright px (see geometry.h): a whole picture or a window of one, whose upper
 * left corner the caller then adds. Reads no files, keeps nothing between calls, and may be called
 * from several threads at once. Where there is no answer the error (PW_ERROR_NUMERIC) says why in
 * words for the person at the page.
 */
#ifndef PLATEWRIGHT_TRACE_H
#define PLATEWRIGHT_TRACE_H

#include <platewright/geometry.h>

PW_BEGIN_DECLS

/* Larger planes are refused (PW_ERROR_LIMIT): one of n px takes some 10 n bytes and 32 MB. */
#define PW_LIMIT_TRACE_PX (32 * 1000 * 1000)
#define PW_TRACE_TOLERANCE_MIN 1.5
#define PW_TRACE_TOLERANCE_MAX 60.0
#define PW_TRACE_SIMPLIFY_PX 0.75
#define PW_TRACE_SPECK_PX2 200.0

/* ---- Following a colour edge ------------------------------------------------------- */

/* Zeroed fields, but for the tolerance, mean the values above. */
typedef struct {
  double tolerance;   /* greatest CIEDE2000 difference from the colour at the place touched, between
                         PW_TRACE_TOLERANCE_MIN and _MAX */
  double simplify_px; /* how far the outline may lie from the edge that was found; 0.1 to 20 */
  double speck_px2;   /* specks of another colour up to this size are closed over, larger ones
                         become holes */
  gboolean within;    /* a patch that meets the plane's edge is not drawn but refused: for a caller
                         that has a larger plane to look at */
  const gint *stop;   /* once it is not 0 (atomic): given up, PW_ERROR_USE; or NULL */
} PwTraceOptions;

typedef struct {
  PwPxPath outline; /* clockwise as seen */
  PwPxPath *holes;
  gsize n_holes;
  gboolean meets_edge; /* of the plane: a larger window would show more. Told on failure too */
  double simplify_px;  /* what the outline was simplified to */
  double smooth_px;    /* standard deviation of the smoothing that the texture asked for */
} PwTrace;
void pw_trace_clear(PwTrace *trace);

/* The patch round `at` (px in the plane) whose colour differs from that at `at` by no more than the
 * tolerance (CIEDE2000, ISO/CIE 11664-6, between the smoothed picture and the middle colour of a
 * disc of 9 px), in one piece and without passing necks narrower than 3 px; its edge then is set to
 * where the light is half of one side, half of the other, to a part of a px. Outline and holes pass
 * pw_outline_check and pw_outline_check_holes as they are and as pw_px_path_format writes them.
 * `rgb`: 3 channels, sRGB. `trace` is overwritten, yours to clear; on failure it is empty but for
 * meets_edge.
 *
 * Refused, PW_ERROR_NUMERIC: the place touched is an edge itself; it is noise; nothing stops the
 * patch before the plane's edges; there is no edge, only a slow change, so that a little more
 * tolerance would make the patch larger in the same measure; the edge is too ragged (more than
 * PW_LIMIT_POINTS, or a thousand holes). PW_ERROR_USE: touched outside the plane, a tolerance or
 * distance out of bounds. PW_ERROR_LIMIT: a plane too large or not of 3 channels. */
gboolean pw_trace_follow(const PwPlane *rgb, PwPx at, const PwTraceOptions *options,
                         PwTrace *trace, GError **error);
/* Whether anything holds the patch there back: FALSE, and pw_trace_follow's refusal, where it takes
 * in more than half of the plane's edge, or the options are out of bounds or say stop. It takes
 * half as long as following, for nothing is drawn. */
gboolean pw_trace_is_held(const PwPlane *rgb, PwPx at, const PwTraceOptions *options,
                          GError **error);

#define PW_TRACE_FURTHEST_PX 1e6 /* a coordinate of a stroke */

/* ---- Strokes ----------------------------------------------------------------------- */

/* The stroke with as few of its own points as keep every point left out within `tolerance_px` of
 * the line (Douglas and Peucker, The Canadian Cartographer 10, 1973), and more where the line
 * would else cross or touch itself though the stroke does not. An open stroke keeps its ends.
 * `out` is overwritten, yours to clear. FALSE for a stroke that has no points or more than
 * PW_LIMIT_POINTS, a coordinate that is not finite, or a tolerance that is not above 0. */
gboolean pw_trace_simplify(const PwPxPath *path, gboolean closed, double tolerance_px,
                           PwPxPath *out, GError **error);

/* ---- Corners and ends -------------------------------------------------------------- */

/* The four corners of a straight-sided shape (a rectangle in perspective), given in order round
 * it, set on the edges under them: along each side the places where the picture is steepest across
 * it are sought within `reach_px` (2 to 100), a straight line is fitted through those that agree,
 * and neighbouring lines meet in the corners. `grey`: 1 channel. `doubt_px` (may be NULL): the
 * standard uncertainty of the worst corner, each coordinate, by the scatter along the lines.
 * `improved` and `doubt_px` are filled on success only. Refused, PW_ERROR_NUMERIC, naming the side:
 * no edge there, two edges equally strong, a corner that would move further than `reach_px`.
 * PW_ERROR_USE: a reach out of bounds, corners outside the plane or hardly apart. */
gboolean pw_trace_corners(const PwPlane *grey, const PwPx corners[4], double reach_px,
                          PwPx improved[4], double *doubt_px, GError **error);

/* The end `to` of a line from `from`, moved along that line, at most `reach_px`, to the edge that
 * crosses it there, or to the middle of a thin line (a graduation) that does. As above. */
gboolean pw_trace_end(const PwPlane *grey, PwPx from, PwPx to, double reach_px, PwPx *improved,
                      double *doubt_px, GError **error);

PW_END_DECLS
#endif
