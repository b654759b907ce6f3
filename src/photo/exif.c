/* EXIF of JPEG, PNG and HEIF, by libexif: only the tags named here are ever looked at, so that no
 * position, serial number or owner's name can come out.
 */
#include "photo-private.h"

#include <libexif/exif-data.h>
#include <libexif/exif-utils.h>
#include <math.h>
#include <string.h>

static const guint8 exif_mark[6] = {'E', 'x', 'i', 'f', 0, 0};

/* The camera's own picture is told in the first directory and the Exif directory; the thumbnail's
 * directory must not answer for it. */
static ExifEntry *
peek_entry(ExifData *data, ExifTag tag)
{
  ExifEntry *entry = exif_content_get_entry(data->ifd[EXIF_IFD_EXIF], tag);
  return entry != NULL ? entry : exif_content_get_entry(data->ifd[EXIF_IFD_0], tag);
}

static char *
dup_text(ExifData *data, ExifTag tag)
{
  ExifEntry *entry = peek_entry(data, tag);
  if (entry == NULL || entry->data == NULL || entry->format != EXIF_FORMAT_ASCII)
    return NULL;
  return pw_fact_text(entry->data, entry->size);
}

static double
quotient(double above, double below)
{
  return fpclassify(below) == FP_ZERO ? UNKNOWN : above / below;
}

/* The entry's first number whatever its type; NAN where there is none. */
static double
get_number(ExifData *data, ExifTag tag)
{
  ExifEntry *entry = peek_entry(data, tag);
  if (entry == NULL || entry->data == NULL || entry->components < 1 ||
      entry->size < exif_format_get_size(entry->format))
    return UNKNOWN;
  ExifByteOrder order = exif_data_get_byte_order(data);
  switch (entry->format) {
  case EXIF_FORMAT_BYTE:
    return entry->data[0];
  case EXIF_FORMAT_SHORT:
    return exif_get_short(entry->data, order);
  case EXIF_FORMAT_SSHORT:
    return exif_get_sshort(entry->data, order);
  case EXIF_FORMAT_LONG:
    return exif_get_long(entry->data, order);
  case EXIF_FORMAT_SLONG:
    return exif_get_slong(entry->data, order);
  case EXIF_FORMAT_RATIONAL: {
    ExifRational ratio = exif_get_rational(entry->data, order);
    return quotient(ratio.numerator, ratio.denominator);
  }
  case EXIF_FORMAT_SRATIONAL: {
    ExifSRational ratio = exif_get_srational(entry->data, order);
    return quotient(ratio.numerator, ratio.denominator);
  }
  default:
    return UNKNOWN;
  }
}

/* A whole number of [0, most], else 0. */
static int
get_count(ExifData *data, ExifTag tag, int most)
{
  double value = get_number(data, tag);
  return value >= 0 && value <= most ? (int)value : 0;
}

static void
read_moment(ExifData *data, PwPhotoFacts *facts)
{
  static const struct {
    ExifTag moment, zone;
  } tags[] = {{EXIF_TAG_DATE_TIME_ORIGINAL, EXIF_TAG_OFFSET_TIME_ORIGINAL},
              {EXIF_TAG_DATE_TIME_DIGITIZED, EXIF_TAG_OFFSET_TIME_DIGITIZED}};
  for (gsize i = 0; i < G_N_ELEMENTS(tags) && facts->taken == NULL; i++) {
    g_autofree char *moment = dup_text(data, tags[i].moment);
    g_autofree char *zone = dup_text(data, tags[i].zone);
    facts->taken = pw_fact_moment(moment);
    facts->zone = facts->taken != NULL ? pw_fact_zone(zone) : NULL;
  }
}

/* Exif 2.32, tag 0x8827: 65535 says that the speed is larger and stands in another tag. */
static int
read_iso(ExifData *data)
{
  static const ExifTag longer[] = {EXIF_TAG_ISO_SPEED, EXIF_TAG_RECOMMENDED_EXPOSURE_INDEX,
                                   EXIF_TAG_STANDARD_OUTPUT_SENSITIVITY};
  double speed = get_number(data, EXIF_TAG_ISO_SPEED_RATINGS);
  int iso = speed < 65535 ? pw_fact_iso(speed) : 0;
  for (gsize i = 0; i < G_N_ELEMENTS(longer) && iso == 0; i++)
    iso = pw_fact_iso(get_number(data, longer[i]));
  return iso;
}

static void
read_exposure(ExifData *data, PwPhotoFacts *facts)
{
  int unit = get_count(data, EXIF_TAG_FOCAL_PLANE_RESOLUTION_UNIT, 5);
  double x = get_number(data, EXIF_TAG_FOCAL_PLANE_X_RESOLUTION);
  double y = get_number(data, EXIF_TAG_FOCAL_PLANE_Y_RESOLUTION);
  facts->exposure_s = pw_fact_number(get_number(data, EXIF_TAG_EXPOSURE_TIME), 1e6);
  facts->f_number = pw_fact_number(get_number(data, EXIF_TAG_FNUMBER), 1000);
  facts->focal_mm = pw_fact_number(get_number(data, EXIF_TAG_FOCAL_LENGTH), 1e5);
  facts->focal_35mm = pw_fact_number(get_number(data, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM), 1e5);
  facts->focal_plane_x = pw_fact_per_mm(x, unit);
  facts->focal_plane_y = pw_fact_per_mm(y, unit);
  facts->iso = read_iso(data);
  facts->flash = pw_fact_flash(get_number(data, EXIF_TAG_FLASH));
}

/* libexif 0.6.24 must not "follow the specification" here: it would add what the specification
 * asks for and the camera did not write. */
static ExifData *
parse(const guint8 *data, gsize length)
{
  ExifData *exif = exif_data_new();
  if (exif == NULL)
    return NULL;
  exif_data_unset_option(exif, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_unset_option(exif, EXIF_DATA_OPTION_IGNORE_UNKNOWN_TAGS);
  exif_data_load_data(exif, data, (unsigned int)length);
  return exif;
}

/* What libexif makes of a block with or without its mark, or NULL. */
static ExifData *
parse_block(const guint8 *data, gsize length)
{
  g_autofree guint8 *marked = NULL;
  if (length < 8 || length > PW_PHOTO_EXIF_BYTES_MAX)
    return NULL;
  if (memcmp(data, exif_mark, sizeof exif_mark) == 0)
    return parse(data, length);
  marked = g_malloc(length + sizeof exif_mark);
  memcpy(marked, exif_mark, sizeof exif_mark);
  memcpy(marked + sizeof exif_mark, data, length);
  return parse(marked, length + sizeof exif_mark);
}

void
pw_exif_read(const guint8 *data, gsize length, PwPhotoFacts *facts)
{
  ExifData *exif = parse_block(data, length);
  if (exif == NULL)
    return;
  int orientation = get_count(exif, EXIF_TAG_ORIENTATION, 8);
  facts->orientation = orientation > 0 ? orientation : 1;
  facts->make = dup_text(exif, EXIF_TAG_MAKE);
  facts->model = dup_text(exif, EXIF_TAG_MODEL);
  facts->lens = dup_text(exif, EXIF_TAG_LENS_MODEL);
  facts->pixel_x = get_count(exif, EXIF_TAG_PIXEL_X_DIMENSION, G_MAXINT);
  facts->pixel_y = get_count(exif, EXIF_TAG_PIXEL_Y_DIMENSION, G_MAXINT);
  read_moment(exif, facts);
  read_exposure(exif, facts);
  exif_data_unref(exif);
}

gboolean
pw_exif_says_adobe_rgb(const guint8 *data, gsize length)
{
  enum { UNCALIBRATED = 65535, MAKERS_ADOBE_RGB = 2 };
  ExifData *exif = parse_block(data, length);
  if (exif == NULL)
    return FALSE;
  int space = get_count(exif, EXIF_TAG_COLOR_SPACE, UNCALIBRATED);
  ExifEntry *index =
      exif_content_get_entry(exif->ifd[EXIF_IFD_INTEROPERABILITY], EXIF_TAG_INTEROPERABILITY_INDEX);
  gboolean r03 = index != NULL && index->data != NULL && index->size >= 3 &&
                 memcmp(index->data, "R03", 3) == 0;
  exif_data_unref(exif);
  return space == MAKERS_ADOBE_RGB || (space == UNCALIBRATED && r03);
}
