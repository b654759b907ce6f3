/* The steps of following a colour edge, from pixels to rings. Private to trace.
 *
 * Planes here are packed: one byte (or guint16) a px, or three, rows without a gap.
 */
#ifndef PW_TRACE_PATCH_H
#define PW_TRACE_PATCH_H

#include <platewright/trace.h>

/* ---- Smoothing (smooth.c) ---------------------------------------------------------- */

/* So often at most is a plane smoothed, each time twice as wide; steps of the standard deviations
 * below have then been gone. */
enum { PW_SMOOTH_STEPS = 3 };
extern const double pw_smooth_px[PW_SMOOTH_STEPS + 1];
/* `plane` smoothed by the first `steps` steps, 1 at least. Packed, yours. */
guint8 *pw_smooth(const PwPlane *plane, int steps);

/* ---- Likeness (likeness.c) --------------------------------------------------------- */

/* CIEDE2000 differences are kept as whole numbers of this part, up to 65535 of them. */
#define PW_LIKENESS_PARTS 512.0

typedef struct PwLikeness PwLikeness;
/* Of colours to one colour. Every 8-bit colour is reckoned once, when it is first met. */
PwLikeness *pw_likeness_new(const guint8 rgb[3]);
void pw_likeness_free(PwLikeness *likeness);
void pw_likeness_of(PwLikeness *likeness, const guint8 *rgb, gsize n, guint16 *difference);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwLikeness, pw_likeness_free)

/* ---- The place touched (touch.c) --------------------------------------------------- */

typedef struct {
  int x, y;
  int steps;     /* of smoothing, that the texture asks for */
  guint8 rgb[3]; /* the middle colour there */
} PwTouch;
void pw_touch_look(const PwPlane *rgb, PwPx at, double tolerance, PwTouch *touch);

/* ---- The patch (patch.c) ----------------------------------------------------------- */

typedef struct {
  int width, height;
  guint8 *in;                   /* 1 in the patch, 0 outside */
  int left, top, right, bottom; /* its bounds; right and bottom are past the last px */
  double growth;                /* d ln n / d ln tolerance: how fast it grows with the tolerance */
  gsize n_edge;                 /* px of it on the plane's edge */
} PwPatch;
void pw_patch_clear(PwPatch *patch);
/* The patch round the touch. `difference`: of every px; it is spent. FALSE when there is none. */
gboolean pw_patch_grow(guint16 *difference, int width, int height, const PwTouch *touch,
                       double tolerance, PwPatch *patch);

/* ---- Its edge (edge.c) ------------------------------------------------------------- */

/* How much of each px of a window lies in the patch: nothing is PW_SHARE_OUT, all is PW_SHARE_IN,
 * half way between is on the edge; near the patch's edge by the light of the picture, else one or
 * the other. Beyond the window nothing is. The patch is changed on the way. */
enum { PW_SHARE_OUT = 64, PW_SHARE_IN = 191 };
typedef struct {
  int left, top; /* of the window, in the plane */
  int width, height;
  guint8 *at; /* packed */
} PwShares;
void pw_shares_clear(PwShares *shares);
void pw_edge_find(const PwPlane *rgb, PwPatch *patch, int steps, PwShares *shares);

/* ---- Rings (rings.c) --------------------------------------------------------------- */

/* The lines on which the share is one half, as closed rings of PwPxPath in px of the plane,
 * clockwise as seen round what is in the patch and the other way round what is not. None touches or
 * crosses itself or another, even when coordinates are rounded to hundredths. FALSE
 * when they have more than `n_max` points together. */
gboolean pw_rings_find(const PwShares *shares, gsize n_max, GArray *rings);

#endif
