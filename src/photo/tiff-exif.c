/* EXIF of a TIFF, by libtiff, from the photograph's one descriptor: the first directory and the
 * Exif directory that it points to. Only the tags named here are looked at.
 */
#include "photo-private.h"

#include "tiff-open.h"

#include <string.h>

static char *
dup_text(TIFF *tiff, guint32 tag)
{
  const char *text = NULL;
  if (TIFFGetField(tiff, tag, &text) != 1 || text == NULL)
    return NULL;
  return pw_fact_text(text, strlen(text));
}

/* A tag of one number, in whichever C type this libtiff hands it out. */
static double
get_number(TIFF *tiff, guint32 tag)
{
  const TIFFField *field = TIFFFindField(tiff, tag, TIFF_ANY);
  union {
    guint16 u16;
    guint32 u32;
    float f;
    double d;
  } value = {.d = 0};
  if (field == NULL || TIFFFieldPassCount(field) || TIFFGetField(tiff, tag, &value) != 1)
    return UNKNOWN;
  TIFFDataType type = TIFFFieldDataType(field);
  int size = TIFFFieldSetGetSize(field);
  if (type == TIFF_RATIONAL || type == TIFF_SRATIONAL)
    return size == (int)sizeof(double) ? value.d : (double)value.f;
  if (size == (int)sizeof value.u16)
    return value.u16;
  return size == (int)sizeof value.u32 ? (double)value.u32 : UNKNOWN;
}

/* The first of a list of short numbers, which libtiff hands out with its count. */
static double
get_first_short(TIFF *tiff, guint32 tag)
{
  const TIFFField *field = TIFFFindField(tiff, tag, TIFF_ANY);
  const guint16 *list = NULL;
  if (field == NULL || TIFFFieldDataType(field) != TIFF_SHORT || !TIFFFieldPassCount(field))
    return UNKNOWN;
  if (TIFFFieldReadCount(field) == TIFF_VARIABLE2) {
    guint32 n = 0;
    return TIFFGetField(tiff, tag, &n, &list) == 1 && n > 0 && list != NULL ? list[0] : UNKNOWN;
  }
  guint16 n = 0;
  return TIFFGetField(tiff, tag, &n, &list) == 1 && n > 0 && list != NULL ? list[0] : UNKNOWN;
}

static int
get_count(TIFF *tiff, guint32 tag)
{
  double value = get_number(tiff, tag);
  return value >= 0 && value <= G_MAXINT ? (int)value : 0;
}

static void
read_first_directory(TIFF *tiff, PwPhotoFacts *facts)
{
  int orientation = get_count(tiff, TIFFTAG_ORIENTATION);
  facts->orientation = orientation >= 1 && orientation <= 8 ? orientation : 1;
  facts->make = dup_text(tiff, TIFFTAG_MAKE);
  facts->model = dup_text(tiff, TIFFTAG_MODEL);
}

static void
read_moment(TIFF *tiff, PwPhotoFacts *facts)
{
  static const struct {
    guint32 moment, zone;
  } tags[] = {{EXIFTAG_DATETIMEORIGINAL, EXIFTAG_OFFSETTIMEORIGINAL},
              {EXIFTAG_DATETIMEDIGITIZED, EXIFTAG_OFFSETTIMEDIGITIZED}};
  for (gsize i = 0; i < G_N_ELEMENTS(tags) && facts->taken == NULL; i++) {
    g_autofree char *moment = dup_text(tiff, tags[i].moment);
    g_autofree char *zone = dup_text(tiff, tags[i].zone);
    facts->taken = pw_fact_moment(moment);
    facts->zone = facts->taken != NULL ? pw_fact_zone(zone) : NULL;
  }
}

static void
read_exif_directory(TIFF *tiff, PwPhotoFacts *facts)
{
  int unit = get_count(tiff, EXIFTAG_FOCALPLANERESOLUTIONUNIT);
  double speed = get_first_short(tiff, EXIFTAG_ISOSPEEDRATINGS);
  facts->lens = dup_text(tiff, EXIFTAG_LENSMODEL);
  facts->exposure_s = pw_fact_number(get_number(tiff, EXIFTAG_EXPOSURETIME), 1e6);
  facts->f_number = pw_fact_number(get_number(tiff, EXIFTAG_FNUMBER), 1000);
  facts->focal_mm = pw_fact_number(get_number(tiff, EXIFTAG_FOCALLENGTH), 1e5);
  facts->focal_35mm = pw_fact_number(get_number(tiff, EXIFTAG_FOCALLENGTHIN35MMFILM), 1e5);
  facts->focal_plane_x = pw_fact_per_mm(get_number(tiff, EXIFTAG_FOCALPLANEXRESOLUTION), unit);
  facts->focal_plane_y = pw_fact_per_mm(get_number(tiff, EXIFTAG_FOCALPLANEYRESOLUTION), unit);
  facts->pixel_x = get_count(tiff, EXIFTAG_PIXELXDIMENSION);
  facts->pixel_y = get_count(tiff, EXIFTAG_PIXELYDIMENSION);
  facts->iso = speed < 65535 ? pw_fact_iso(speed) : 0;
  if (facts->iso == 0)
    facts->iso = pw_fact_iso(get_number(tiff, EXIFTAG_ISOSPEED));
  facts->flash = pw_fact_flash(get_first_short(tiff, EXIFTAG_FLASH));
  read_moment(tiff, facts);
}

void
pw_tiff_exif_read(int fd, gint64 size, PwPhotoFacts *facts)
{
  PwTiffReader reader = {fd, 0, size};
  TIFF *tiff = pw_tiff_open(&reader);
  if (tiff == NULL)
    return;
  toff_t exif_at = 0;
  read_first_directory(tiff, facts);
  if (TIFFGetField(tiff, TIFFTAG_EXIFIFD, &exif_at) == 1 && TIFFReadEXIFDirectory(tiff, exif_at))
    read_exif_directory(tiff, facts);
  TIFFClose(tiff);
}
