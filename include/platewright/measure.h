/* Measure: scale, pose, sizes, uncertainty, totals, change. Knows no files, no terms, no pictures.
 *
 * The chain: upright px -> undistorted px (lens) -> homography -> mm in the card's plane -> the
 * measured surface (plane-offset). Uncertainty follows JCGM 100 (GUM): every input has an identity
 * and a scope, and a size carries for each input, signed, sensitivity times standard uncertainty.
 * Sums, differences and shares add the contributions of equal inputs before squaring. The full
 * model, defaults and distributions: docs/measuring.md.
 */
#ifndef PLATEWRIGHT_MEASURE_H
#define PLATEWRIGHT_MEASURE_H

#include <platewright/geometry.h>

PW_BEGIN_DECLS

/* ---- Inputs and their uncertainty -------------------------------------------------- */

typedef enum {
  PW_INPUT_CORNER,
  PW_INPUT_TAG,
  PW_INPUT_TICKS,
  PW_INPUT_OUTLINE,
  PW_INPUT_OUTLINING,
  PW_INPUT_RECTANGLE,
  PW_INPUT_SPAN,
  PW_INPUT_PRINT,
  PW_INPUT_PLANE_OFFSET,
  PW_INPUT_DISTANCE,
  PW_INPUT_TILT,
  PW_INPUT_LENS,
  PW_N_INPUTS
} PwInput;
typedef enum {
  PW_SCOPE_MARK,
  PW_SCOPE_PHOTO,
  PW_SCOPE_CARD,
  PW_SCOPE_LENS, /* camera and lens */
  PW_SCOPE_VOLUME
} PwScope;
const char *pw_input_name(PwInput input); /* as under `uncertainty:`, "plane-offset" */
/* "mark", "photograph", "card", "camera and lens", "volume" */
const char *pw_scope_name(PwScope scope);

/* Settings by input: standard uncertainty of a normal input, half-width of a rectangular one, in
 * px, mm or degrees; print, distance and lens in %. `tag` (px) and `ticks` (mm, of the whole length
 * that was read) are NAN where the fits themselves tell, as they do by default. */
typedef struct {
  double by[PW_N_INPUTS];
} PwUncertainty;
void pw_uncertainty_init_defaults(PwUncertainty *uncertainty);

/* One input's share of one size: `c` = sensitivity x standard uncertainty, signed, in the size's
 * unit. Two contributions are of the same input when all four key fields are equal; `owner` is the
 * thing that the scope names (a mark, photograph, card, lens or the volume, by any number that the
 * caller keeps unique within its scope), `index` tells apart the inputs of one kind within it
 * (corner 3's y, knot 7's x). */
typedef struct {
  PwInput input;
  PwScope scope;
  guint owner;
  guint index;
  double c;
  double dof;
} PwContribution;

/* A size with all its contributions, so that it can be added to another. */
typedef struct {
  double value;
  PwContribution *contributions; /* sorted by input, scope, owner, index; no key twice */
  gsize n;
} PwSize;
void pw_size_clear(PwSize *size);
void pw_size_copy(const PwSize *from, PwSize *to);
/* out = a * x + b * y, contributions added with their signs. `out` is overwritten. */
void pw_size_combine(double a, const PwSize *x, double b, const PwSize *y, PwSize *out);
/* out = factor * x / y with relative contributions subtracted: for shares (factor 100). FALSE when
 * y is 0. */
gboolean pw_size_ratio(double factor, const PwSize *x, const PwSize *y, PwSize *out);
/* u = sqrt(sum c^2), effective degrees of freedom by Welch-Satterthwaite (JCGM 100 G.4). */
PwQuantity pw_size_quantity(const PwSize *size);
/* "412 ± 14 mm²": value, expanded uncertainty and unit; the minus is as wide as a plus. Yours. */
char *pw_size_dup_text(const PwSize *size, const char *unit);
/* Coverage factor for 95.45 % from Student's t with `dof`, never below 2. */
double pw_coverage_factor(double dof);
/* The root sum of squares of all contributions of one input and scope, for the budget. */
double pw_size_share_of(const PwSize *size, PwInput input, PwScope scope);

/* ---- Scale ------------------------------------------------------------------------- */

typedef enum {
  PW_SCALE_NONE,
  PW_SCALE_RECTANGLE,
  PW_SCALE_SPAN,
  PW_SCALE_TICKS,
  PW_SCALE_TAGS
} PwScaleMethod;

/* What a photograph says of its scale, and what is known of its camera. NAN: nothing is known. */
typedef struct {
  PwScaleMethod method;
  PwPx corners[4];          /* rectangle: clockwise as seen, the first edge is the width */
  double width_mm, height_mm;
  PwPx from, to;            /* span: its ends; ticks: the line's */
  double length_mm;         /* between them; ticks: the graduations counted times their pitch */
  double length_u_mm;       /* ticks: standard error of the count, times the pitch */
  double length_dof;        /* of that standard error, above 0 */
  const PwPx *tag_px;       /* tags: where corners are seen; copied by pw_scale_new */
  const PwMm *tag_mm;       /* where they lie on the card as it was drawn, x along, y across */
  gsize n_tag_points;
  double card_width_mm, card_height_mm; /* tags: its middle is the origin */
  double print_along, print_across; /* printed over drawn length, by its check lines; NAN: not
                                       measured, taken as 1 */
  double print_tolerance;           /* half-width of these two; NAN: the `print` setting */
  double tolerance_mm;      /* of the stated size; NAN: the `rectangle` or `span` setting, of ticks
                             * 0.1 % of their length */
  double plane_offset_mm;   /* NAN: not stated, then no size */
  double camera_distance_mm; /* straight from the lens to the card's plane; wins over the pose */
  double focal_px;          /* principal distance at infinity, from EXIF, in px; NAN */
  double focal_mm;          /* EXIF's focal length: with focal_px it gives the size of a pixel, and
                               so the magnification; not above 0: none, as for a camera far away */
  double picture_width, picture_height; /* upright px */
  PwLens lens;              /* f_px 0: no coefficients */
  double lens_residual_px;  /* where coefficients are given */
  /* owners for the scopes; card_owner also tells apart the cards of one photograph */
  guint photo_owner, card_owner, lens_owner;
} PwScaleInput;

/* A photograph's scale, resolved: opaque, immutable, shared by its marks. */
typedef struct PwScale PwScale;
/* NULL with PW_ERROR_NUMERIC when the figures give no plane (corners on a line, span of no
 * length, one tag alone, a card seen mirrored), PW_ERROR_RECORD when something is missing: no
 * scale, no card found, no plane-offset, no camera distance for a plane-offset other than 0. The
 * message is the `why` that documents print. */
PwScale *pw_scale_new(const PwScaleInput *input, const PwUncertainty *uncertainty, GError **error);
void pw_scale_free(PwScale *scale);
/* As pw_scale_new for another plane-offset of the same photograph, `owner` being that of the
 * plane-offset input and `scope` MARK for a mark's own, PHOTO for the photograph's. */
PwScale *pw_scale_new_at_offset(const PwScale *scale, double plane_offset_mm, PwScope scope,
                                guint owner, GError **error);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwScale, pw_scale_free)

typedef struct {
  PwScaleMethod method;
  PwHomography homography; /* undistorted upright px to mm on the measured surface; m[8] = 1 */
  double mm_per_px;        /* sqrt of the Jacobian's determinant at the card's centre */
  double fit_rms_px;       /* tags: sqrt(sum of squared distances / n corners); else NAN */
  double fit_rms_mm;       /* the same on the card */
  double plane_offset_mm;
  double tilt_deg;           /* NAN when the pose is not told */
  double camera_distance_mm; /* the same */
  /* Whether a flat card and the pose agree: by how much, in %, a mm of the card is seen longer in
   * one direction than in another once the camera is undone (Zhang 2000, 3.1: both of his
   * constraints in one figure, never below 0), and the standard uncertainty of that. NAN when the
   * pose is not told. */
  double misfit_percent, misfit_u_percent;
  PwLens lens;
} PwScaleFacts;
void pw_scale_facts(const PwScale *scale, PwScaleFacts *facts);
/* TRUE when the misfit is worth telling: above 0.5 % and above three of its standard uncertainties.
 * Then the picture was cropped, the focal length is another, the print is stretched, or what was
 * taken for the card's plane is none. */
gboolean pw_scale_disagrees(const PwScaleFacts *facts);
/* TRUE when the corners of the tags miss one plane by more than blur and noise make them, 0.5 px:
 * the card is bent, or the lens bends the picture. */
gboolean pw_scale_is_bent(const PwScaleFacts *facts);
/* Upright px to mm on the measured surface. */
gboolean pw_scale_map(const PwScale *scale, PwPx at, PwMm *mm);

/* ---- A lens from photographs of a flat sheet --------------------------------------- */

/* One photograph of the sheet: where its corners are seen, all views in one frame, and where they
 * lie on it. `name` is for messages. */
typedef struct {
  const char *name;
  const PwPx *px;
  const PwMm *mm;
  gsize n;
} PwSheetView;
enum { PW_LEAST_SHEET_VIEWS = 6, PW_LEAST_SHEET_POINTS = 16 };

typedef struct {
  PwLens lens;
  PwLens u;           /* standard errors of f_px, cx, cy, k1, k2, from the normal equations */
  double stretch, u_stretch; /* how much longer the sheet was printed in y than in x, as a factor */
  double rms_px;      /* sqrt(sum of squared distances / number of corners) */
  /* Half-width (rectangular) of what the lens leaves anywhere in the frame: 3.5 times rms_px, for
   * a sheet that is not quite flat, and sqrt 3 times the standard uncertainty of the undistorted
   * corner if views err each as a whole; root of the squares' sum. */
  double residual_px;
} PwCalibration;
/* Focal length, centre and distortion of the lens in a frame of width x height px from n views,
 * square pixels without skew (Z. Zhang, A Flexible New Technique for Camera Calibration, IEEE PAMI
 * 22, 2000). A print stretched one way is found with them. f_px is that of the focus at which the
 * sheet was photographed. PW_ERROR_NUMERIC with what to do: too few views or corners, views that
 * lean the same way, a sheet that does not reach out into the frame, a fit that is too bad. */
gboolean pw_lens_calibrate(const PwSheetView *views, gsize n, double width, double height,
                           PwCalibration *calibration, GError **error);

/* ---- Sizes ------------------------------------------------------------------------- */

/* A mark's geometry in upright px. */
typedef struct {
  PwKind kind;
  PwPxPath path;   /* the outline (closed), the line (open), or one point */
  PwPxPath *holes;
  gsize n_holes;
  guint mark_owner;
  double outline_px;   /* where its own knots were placed worse or better: standard uncertainty of
                          each coordinate, px; 0 or NAN: the scale's `outline` */
  gboolean is_surface; /* an outline of the face: knots scoped by photograph */
} PwShape;

typedef struct {
  PwSize area_mm2, perimeter_mm, longest_mm; /* area */
  PwSize length_mm;                          /* line */
} PwShapeSizes;
void pw_shape_sizes_clear(PwShapeSizes *sizes);
/* Sizes of one shape. Only those of its kind are filled. */
gboolean pw_measure_shape(const PwScale *scale, const PwShape *shape, PwShapeSizes *sizes,
                          GError **error);
/* Area of the union of n areas on one photograph and one scale (sensitivities on the union's
 * boundary), or the sum of lengths for lines. `size` is overwritten. */
gboolean pw_measure_union(const PwScale *scale, const PwShape *const *shapes, gsize n, PwSize *size,
                          GError **error);
/* In px, where there is no scale: area less holes, or length. */
double pw_shape_area_px(const PwShape *shape);
double pw_shape_length_px(const PwShape *shape);

PW_END_DECLS
#endif
