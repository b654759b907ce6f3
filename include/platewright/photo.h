/* Photo: opens a photograph read-only and gives its facts and its pixels, upright and in sRGB.
 *
 * A photograph is opened once (a regular file, no link) and hashed and decoded from that one
 * descriptor. Only JPEG, PNG, TIFF and HEIF/AVIF are read; a damaged file is an error, never a
 * half-grey picture. Position, serial numbers and owners' names are never read out of EXIF.
 */
#ifndef PLATEWRIGHT_PHOTO_H
#define PLATEWRIGHT_PHOTO_H

#include <platewright/geometry.h>

PW_BEGIN_DECLS

/* Must be called once before any other function here, and pw_photo_shutdown once after the last.
 * Blocks every loader but the four. */
gboolean pw_photo_startup(GError **error);
void pw_photo_shutdown(void);
/* By the name's ending alone: .jpg .jpeg .tif .tiff .png .heic .heif .avif, any case. */
gboolean pw_photo_is_name(const char *name);

typedef struct PwPhoto PwPhoto;
/* Opens and reads the header, not the pixels. */
PwPhoto *pw_photo_open(const char *path, GError **error);
void pw_photo_free(PwPhoto *photo);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwPhoto, pw_photo_free)

/* What EXIF says, as photographers write it. Strings NULL and numbers NAN (or 0 for integers)
 * where it says nothing or nonsense; printable text only. */
typedef struct {
  int width, height;          /* upright px */
  int stored_width, stored_height;
  int orientation;            /* 1..8; 1 where there is none */
  char *make, *model, *lens;
  char *taken;                /* "2026-03-02T10:14:07" of DateTimeOriginal, else Digitized */
  char *zone;                 /* "+01:00" of the offset tag, or NULL */
  double exposure_s, f_number, focal_mm, focal_35mm;
  int iso;
  int flash;                  /* 1 it fired, 0 it did not, -1 where EXIF does not say */
  double focal_plane_x, focal_plane_y; /* px per mm on the sensor */
  int pixel_x, pixel_y;       /* EXIF's own pixel size (stored, not upright) */
  char *colour;               /* "sRGB", "Adobe RGB (1998)", "untagged, taken as sRGB", ... */
  char *format;               /* "JPEG", "TIFF", "PNG", "HEIF" */
  PwFileState state;
} PwPhotoFacts;
const PwPhotoFacts *pw_photo_peek_facts(const PwPhoto *photo);
/* `to` is overwritten, not freed; its strings are copies. */
void pw_photo_facts_copy(const PwPhotoFacts *from, PwPhotoFacts *to);
void pw_photo_facts_clear(PwPhotoFacts *facts);
/* "MAKE MODEL" as EXIF writes them, by which volume.yaml calls a camera; NULL without a model.
 * Yours. */
char *pw_photo_facts_dup_camera(const PwPhotoFacts *facts);
/* "60 mm · f/8 · 1/125 s · ISO 100": what there is of it; NULL when nothing. Yours. */
char *pw_photo_facts_dup_exposure(const PwPhotoFacts *facts);
/* The principal distance at infinity in upright px, from focal length and focal-plane resolution
 * or the 35 mm equivalent (by the diagonal, 43.27 mm); NAN unless EXIF's pixel size is the decoded
 * one and the figures make sense. */
double pw_photo_facts_focal_px(const PwPhotoFacts *facts);
/* Stored px to upright px, by the orientation. */
PwPx pw_photo_facts_upright(const PwPhotoFacts *facts, PwPx stored);
/* And back. */
PwPx pw_photo_facts_stored(const PwPhotoFacts *facts, PwPx upright);
/* SHA-256 of the whole file as 64 hex digits, from the same descriptor. Yours. */
char *pw_photo_dup_sha256(PwPhoto *photo, GError **error);

/* What to make of a photograph. Zeroed fields mean: all of it, unturned, unmasked. */
typedef struct {
  double crop_x, crop_y, crop_width, crop_height; /* upright px; 0 x 0: the whole */
  const PwHomography *to_frame; /* upright px to px of a frame, in which the result then lies; NULL:
                                   the photograph's own. The crop must be given, of the frame, to
                                   whole px; what the photograph does not cover is white */
  int width, height;     /* wanted size in px; never more than the crop has; the caller keeps the
                            crop's aspect */
  const PwPxPath *masks; /* closed outlines in upright px, filled with one flat colour at full
                            resolution before anything is scaled */
  gsize n_masks;
  gboolean grey;     /* no colour, by L* */
  gboolean quick;    /* a first look: a JPEG's decoder scales it, coarsely; it may come out smaller
                        than asked for, but not below four fifths. Nothing in a frame */
  gsize most_bytes;  /* of JPEG bytes; 0: as many as it takes. First the quality gives way, once and
                        a little, then the size */
} PwRender;
/* sRGB pixels, 3 channels. `plane` is yours to clear. PW_ERROR_USE: the crop lies outside the
 * photograph; PW_ERROR_NUMERIC: `to_frame` puts no picture there, or its horizon runs through what
 * is shown. */
gboolean pw_photo_render(PwPhoto *photo, const PwRender *render, PwPlane *plane, GError **error);
/* The same as baseline JPEG bytes without any metadata; `width` and `height` are those made.
 * PW_ERROR_LIMIT when not even a tiny one keeps within `most_bytes`. */
GBytes *pw_photo_render_jpeg(PwPhoto *photo, const PwRender *render, int quality, int *width,
                             int *height, GError **error);
/* sRGB pixels, 3 channels, as such bytes. PW_ERROR_FILE when there is no room for them. */
GBytes *pw_photo_encode_jpeg(const PwPlane *plane, int quality, GError **error);
/* The whole photograph at full resolution, upright, one channel: luma of its 8-bit samples as they
 * stand, without any profile, for finding what was printed in black on white. `plane` is yours to
 * clear. */
gboolean pw_photo_grey(PwPhoto *photo, PwPlane *plane, GError **error);

/* ---- Tiles: a large photograph, looked at anywhere in milliseconds ------------------ */

enum {
  PW_TILE_PX = 512,                           /* a side of a tile */
  PW_TILES_LEVELS_MAX = 10,                   /* the last is one tile */
  PW_TILES_SIDE_MAX = PW_TILE_PX << 9,        /* px of a photograph that tiles are made of */
  PW_TILES_READ_PIXELS_MAX = 64 * 1000 * 1000 /* of one pw_tiles_read */
};

/* Writes the whole photograph, upright and with the very colours of pw_photo_render, as a pyramid
 * of JPEG tiles in a TIFF (BigTIFF; any program that reads tiled TIFF opens it). Whole or not at
 * all; streams, so that memory grows with the picture's width and not with its size, and uses all
 * cores. `label` says what it was made of and is found again in the info: printable ASCII.
 * Given up, an error, once `*stop` (atomic; or NULL) is not 0. */
gboolean pw_photo_write_tiles(PwPhoto *photo, const char *path, const char *label, const gint *stop,
                              GError **error);

/* Level 0 is the photograph at full resolution; each further level has half the sides of the one
 * before, rounded up. A pixel of level k is the mean of the 2^k x 2^k px under it, so that level
 * px times 2^k are upright px, exactly; the last column and row may stand for less than a whole
 * one. */
typedef struct {
  int width, height;  /* px */
  int columns, rows;  /* tiles */
} PwTilesLevel;
typedef struct {
  const char *label;
  guint n_levels;
  PwTilesLevel levels[PW_TILES_LEVELS_MAX];
} PwTilesInfo;

/* A file of tiles, kept open. Everything below is safe from several threads at once. The file may
 * hold anything: what pw_photo_write_tiles would not have written is an error, here or where the
 * tile is read. */
typedef struct PwTiles PwTiles;
PwTiles *pw_tiles_open(const char *path, GError **error);
void pw_tiles_free(PwTiles *tiles);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwTiles, pw_tiles_free)
const PwTilesInfo *pw_tiles_peek_info(const PwTiles *tiles);
/* One tile as a whole baseline JPEG without metadata, PW_TILE_PX a side or what is left of the
 * picture at its right and lower edge; never decoded on the way. PW_ERROR_USE: there is no such
 * tile. */
GBytes *pw_tiles_dup_jpeg(const PwTiles *tiles, guint level, int column, int row, GError **error);
/* Reads every tile: FALSE when one is damaged. */
gboolean pw_tiles_check(const PwTiles *tiles, GError **error);
/* Any part of a level (px of that level, at most PW_TILES_READ_PIXELS_MAX) as sRGB pixels, 3
 * channels. It must lie within the level (PW_ERROR_USE). `plane` is yours to clear. */
gboolean pw_tiles_read(const PwTiles *tiles, guint level, int x, int y, int width, int height,
                       PwPlane *plane, GError **error);

PW_END_DECLS
#endif
