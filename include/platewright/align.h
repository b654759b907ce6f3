/* Align: one picture of a flat surface laid over another of the same. Knows planes of grey and
 * points, no files.
 *
 * A homography here carries upright px of the picture after to upright px of the picture before.
 * Where a surface is not flat, or the two do not show the same, no homography fits: that is told
 * and never guessed over.
 */
#ifndef PLATEWRIGHT_ALIGN_H
#define PLATEWRIGHT_ALIGN_H

#include <platewright/geometry.h>

PW_BEGIN_DECLS

/* One square of the picture before, and how what lies over it fits. */
typedef struct {
  PwPx from, to;      /* upright px of before */
  double correlation; /* of the grey values at the best place near, -1 to 1 */
  double dx, dy;      /* px of before by which that best place lies from where the fit puts it */
  gboolean has_texture; /* enough to tell one place from another */
  gboolean agrees;      /* has texture, and its best place is where the fit puts it */
} PwAlignCell;

typedef struct {
  PwHomography h;     /* px of after to px of before */
  double residual_px; /* root mean square of the distances of the cells that agree, px of before */
  double correlation; /* mean over them */
  double agreement;   /* share of the cells with texture that agree, 0 to 1 */
  double overlap;     /* share of what is to be covered of before that after covers, 0 to 1 */
  PwAlignCell *cells; /* in rows from the top left; those that after does not cover, or a card
                         hides, are left out */
  gsize n_cells;
} PwAlignment;
void pw_alignment_clear(PwAlignment *alignment);

/* Outlines, in px of a picture, of what was laid beside the surface and lies elsewhere in the next
 * picture, and is looked past, with a rim of an eighth of it on each side: cards. The caller's. */
typedef struct {
  const PwPxPath *outlines;
  gsize n;
} PwAlignCards;

/* Two pictures, and what of them is to lie on each other: inside an outline in px of before, the
 * face that is treated, the table round it lying elsewhere; or all: n = 0. All is the caller's. */
typedef struct {
  const PwPlane *before, *after;
  PwPxPath within;
  PwAlignCards cards_before, cards_after;
} PwAlignPair;

/* Carries `start` (px of after to px of before, some 10 px wrong at 2 MP) to where the two pictures
 * lie best over each other, and looks how well they do. Robust Gauss-Newton on the eight
 * parameters over a pyramid of both, the grey values freed of their local mean and deviation, so
 * that light may differ; what was treated is outweighed by what was not.
 *
 * Both planes have one channel; they are the caller's. `alignment` is yours to clear, also after an
 * error, when it may hold the cells that tell why. PW_ERROR_NUMERIC with the reason, in words for a
 * user, when a picture has less than PW_ALIGN_SIDE_MIN px a side or, large, is some hundred times
 * as long as wide, when there is too little to hold on to, when the two do not overlap, do not show
 * the same, or not a flat surface. */
enum { PW_ALIGN_SIDE_MIN = 64 };
gboolean pw_align_refine(const PwAlignPair *pair, const PwHomography *start,
                         PwAlignment *alignment, GError **error);

/* ---- Starts -------------------------------------------------------------------------- */

/* A picture of a flat surface whose scale is known. */
typedef struct {
  const PwPlane *plane; /* one channel; the caller's */
  PwHomography to_mm;   /* its px to mm on that surface, of any origin and turn */
  PwAlignCards cards;
} PwAlignScaled;
/* A start from two scales: the turn and the shift, in mm, by which after lies best over before.
 * `start` gets px of after to px of before, some 10 px right at 2 MP. PW_ERROR_NUMERIC when none
 * stands out. */
gboolean pw_align_start_scaled(const PwAlignScaled *before, const PwAlignScaled *after,
                               PwHomography *start, GError **error);

/* A start from the outline of the whole face in both pictures, each taken as the largest
 * quadrilateral among its points; of the four ways round, that which turns the picture least.
 * PW_ERROR_NUMERIC when there is none. */
gboolean pw_align_start_surfaces(const PwPxPath *before, const PwPxPath *after, PwHomography *start,
                                 GError **error);

/* A start from the pictures alone: places that are told again by their features (SIFT), and the
 * homography that most of them agree on. `within` holds for the picture before; without it what
 * fills most of the pictures decides, the table as well as the volume. It takes a second or two at
 * 24 MP, and the same pictures give the same start. PW_ERROR_NUMERIC when too few places are found
 * again, PW_ERROR_USE where the library was built without it. */
gboolean pw_align_start_features(const PwAlignPair *pair, PwHomography *start, GError **error);
/* Whether it was built with it. */
gboolean pw_align_knows_features(void);

PW_END_DECLS
#endif
