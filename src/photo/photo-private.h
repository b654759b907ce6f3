/* What the files of this folder share and nobody else sees.
 *
 * Stored pixels are the picture as it lies in the file, upright pixels after its EXIF
 * orientation; both have their origin at the outer corner of the top-left pixel.
 */
#ifndef PW_PHOTO_PRIVATE_H
#define PW_PHOTO_PRIVATE_H

#include <platewright/photo.h>

#include <math.h>
#include <vips/vips.h>

/* A number that nothing tells. NAN by itself is a float. */
#define UNKNOWN ((double)NAN)

/* Ceilings for what a file may ask of us. */
enum {
  PW_PHOTO_PIXELS_MAX = 1000 * 1000 * 1000,      /* of any photograph */
  PW_PHOTO_WHOLE_PIXELS_MAX = 256 * 1000 * 1000, /* where a decoder must hold all of it at once */
  PW_PHOTO_SCANS_MAX = 500,                      /* of one JPEG */
  PW_PHOTO_EXIF_BYTES_MAX = 1024 * 1024,
  PW_PHOTO_TEXT_MAX = 200 /* characters of one EXIF text */
};
/* Scans times pixels: each scan of a JPEG passes over all of it. */
#define PW_PHOTO_SCANNED_PIXELS_MAX G_GINT64_CONSTANT(10000000000)

typedef enum {
  PW_PHOTO_JPEG,
  PW_PHOTO_PNG,
  PW_PHOTO_TIFF,
  PW_PHOTO_HEIF,
  PW_PHOTO_UNKNOWN
} PwPhotoKind;

/* What is taken for the meaning of the samples. */
typedef enum {
  PW_COLOUR_AS_IT_STANDS,
  PW_COLOUR_BY_PROFILE, /* the embedded one: there, fitting the samples, and working */
  PW_COLOUR_ADOBE_RGB   /* by EXIF's word alone */
} PwColourWay;

struct PwPhoto {
  char *path; /* for messages alone: everything is read from `fd` */
  int fd;
  PwPhotoKind kind;
  PwColourWay colour_way;
  PwPhotoFacts facts;
};

/* ---- source.c ---------------------------------------------------------------------- */

/* A vips source over `fd`, which must outlive it. Each source has its own place in the file, so
 * several may read one descriptor at once. */
VipsSource *pw_photo_source_new(int fd);
/* Reads up to `length` bytes at `offset`; fewer only at the file's end; -1 on failure. */
gssize pw_photo_read_at(int fd, void *to, gsize length, gint64 offset);

/* ---- load.c ------------------------------------------------------------------------ */

/* By the first bytes of the file, whatever its name says. */
PwPhotoKind pw_photo_sniff(int fd);
/* The picture as stored, to be read once from top to bottom. `shrink` (1, 2, 4, 8) lets the JPEG
 * decoder leave pixels out; 1 for every other kind. NULL with an error naming the file. */
VipsImage *pw_photo_load(PwPhoto *photo, int shrink, GError **error);
/* Why a vips operation has just failed; yours. */
char *pw_photo_dup_why(void);
/* And as the error of this photograph. */
void pw_photo_set_error(const PwPhoto *photo, GError **error);
/* FALSE (PW_ERROR_STALE) when the file's size or time of change is no longer that of the facts. */
gboolean pw_photo_is_unchanged(const PwPhoto *photo, GError **error);
/* And that what was loaded and brought to sRGB has the size that the facts tell. */
gboolean pw_photo_is_as_opened(const PwPhoto *photo, const VipsImage *rgb, GError **error);

/* ---- jpeg-scans.c ------------------------------------------------------------------ */

typedef struct {
  gboolean whole; /* the decoder must hold all coefficients: progressive or several scans */
  int scans;
} PwJpegScans;
/* Counts the scans of a JPEG that has more than one; counting stops above `limit`. */
void pw_jpeg_count_scans(int fd, int limit, PwJpegScans *scans);

/* ---- exif.c and tiff-exif.c -------------------------------------------------------- */

/* Sets all that EXIF can tell to "says nothing". */
void pw_photo_facts_init(PwPhotoFacts *facts);
/* Fills in what an EXIF block (with or without its "Exif\0\0") tells. Nonsense is left out. */
void pw_exif_read(const guint8 *data, gsize length, PwPhotoFacts *facts);
/* Whether EXIF names Adobe RGB: an uncalibrated colour space with the interoperability "R03" (Exif
 * 2.32, tag 0x0001), or the 2 that some makers write. */
gboolean pw_exif_says_adobe_rgb(const guint8 *data, gsize length);
/* The same from a TIFF's own directory. */
void pw_tiff_exif_read(int fd, gint64 size, PwPhotoFacts *facts);

/* ---- facts.c: what both readers of EXIF take for sense ----------------------------- */

/* `length` bytes, up to the first NUL, as printable trimmed text; NULL when nothing is left. */
char *pw_fact_text(const void *bytes, gsize length);
/* "2026:03-02 10:14:07" and its like as ISO 8601 without zone; NULL when it is no moment. */
char *pw_fact_moment(const char *text);
/* "+01:00", or NULL. */
char *pw_fact_zone(const char *text);
/* The value where it lies in (0, most], else NAN. */
double pw_fact_number(double value, double most);
/* Pixels per mm from a focal-plane resolution and its unit; NAN for nonsense. */
double pw_fact_per_mm(double resolution, int unit);
/* An ISO speed in its range, else 0. */
int pw_fact_iso(double value);
int pw_fact_flash(double value);

/* ---- profile.c --------------------------------------------------------------------- */

/* Whether an ICC profile is for a device whose samples are of `space` ("RGB ", "GRAY", "CMYK"). */
gboolean pw_profile_is_of(const guint8 *data, gsize length, const char *space);
/* The name an ICC profile gives itself, or NULL. Yours. */
char *pw_profile_dup_name(const guint8 *data, gsize length);

/* ---- adobe-rgb.c ------------------------------------------------------------------- */

GBytes *pw_adobe_rgb_profile(void);

/* ---- colour.c ---------------------------------------------------------------------- */

/* FALSE for samples that we have no true way to show (floating point, more than five bands ...). */
gboolean pw_colour_is_readable(const VipsImage *image);
/* Which way the samples go, and in words what the colours are taken for. A profile is tried before
 * it is trusted; without one, `says_adobe_rgb` is EXIF's word. The words are yours. */
char *pw_colour_describe(VipsImage *image, gboolean says_adobe_rgb, PwColourWay *way);
/* Plain samples: no alpha (laid on white), no packed coding. */
int pw_colour_flatten(VipsImage *image, VipsImage **out);
/* 8-bit sRGB of three bands. */
int pw_colour_to_srgb(VipsImage *image, PwColourWay way, VipsImage **out);
/* Takes the colour out of an sRGB plane, every pixel keeping its CIE L*. */
void pw_colour_make_grey(PwPlane *plane);

/* ---- orient.c ---------------------------------------------------------------------- */

/* Upright px to stored px, for a picture of `width` x `height` stored px. */
PwPx pw_orient_to_stored(int orientation, int width, int height, PwPx upright);
/* Turns a plane of stored pixels upright. */
void pw_orient_plane(PwPlane *plane, int orientation);
gboolean pw_orient_swaps(int orientation);

/* ---- warp.c ------------------------------------------------------------------------ */

/* Where a result lies in its source. */
typedef struct {
  const PwPlane *source;           /* 3 channels */
  PwHomography to_source;          /* px of the result to px of the source */
  double left, top, right, bottom; /* px of the source that are shown; white beyond */
} PwWarp;
/* A new plane of `width` x `height` px, 3 channels; yours to clear. On all cores. */
void pw_warp_plane(const PwWarp *warp, int width, int height, PwPlane *to);

/* What a result of some size asks of its source. */
typedef struct {
  double left, top, right, bottom; /* px of the source, the kernel's width included */
  double least, most;              /* px of the source to one of the result */
} PwWarpReach;
void pw_warp_reach(const PwHomography *to_source, int width, int height, PwWarpReach *reach);
/* Whether all of a rectangle is on this side of the plane's horizon, and not close to it; never
 * with NAN. */
gboolean pw_warp_horizon_is_clear(const PwHomography *h, double x, double y, double width,
                                  double height);

/* ---- mask.c ------------------------------------------------------------------------ */

/* The image with every pixel that an outline touches or encloses filled with one flat mid grey.
 * Outlines in px of this image; copied. Streams: no more of the image is held than is asked for. */
int pw_mask_image(VipsImage *image, const PwPxPath *outlines, gsize n, VipsImage **out);

#endif
