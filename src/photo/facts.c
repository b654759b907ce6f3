/* Facts: what an EXIF figure must be to be believed, and how photographers write it. Times in
 * seconds, lengths in mm, resolutions in px per mm, the principal distance in upright px.
 */
#include "photo-private.h"

#include <math.h>
#include <string.h>

/* A 35 mm frame, 36 x 24 mm, by its diagonal. */
#define FRAME_35MM_DIAGONAL_MM 43.27
/* From a phone's sensor to a scanning back on 4 x 5 inches. */
#define SENSOR_DIAGONAL_LEAST_MM 2.0
#define SENSOR_DIAGONAL_MOST_MM 170.0
/* How far the two ways to a principal distance may differ; the 35 mm equivalent is a rounded
 * number, and some makers take it by the frame's width. */
#define FOCAL_DISAGREEMENT 0.15
/* From here on a time is written as a decimal, as cameras show it: 0.3 s, but 1/4 s. */
#define LONG_EXPOSURE_S 0.295

void
pw_photo_facts_init(PwPhotoFacts *facts)
{
  *facts = (PwPhotoFacts){.orientation = 1,
                          .exposure_s = UNKNOWN,
                          .f_number = UNKNOWN,
                          .focal_mm = UNKNOWN,
                          .focal_35mm = UNKNOWN,
                          .focal_plane_x = UNKNOWN,
                          .focal_plane_y = UNKNOWN,
                          .flash = -1};
}

void
pw_photo_facts_clear(PwPhotoFacts *facts)
{
  g_free(facts->make);
  g_free(facts->model);
  g_free(facts->lens);
  g_free(facts->taken);
  g_free(facts->zone);
  g_free(facts->colour);
  g_free(facts->format);
  pw_photo_facts_init(facts);
}

void
pw_photo_facts_copy(const PwPhotoFacts *from, PwPhotoFacts *to)
{
  *to = *from;
  to->make = g_strdup(from->make);
  to->model = g_strdup(from->model);
  to->lens = g_strdup(from->lens);
  to->taken = g_strdup(from->taken);
  to->zone = g_strdup(from->zone);
  to->colour = g_strdup(from->colour);
  to->format = g_strdup(from->format);
}

char *
pw_fact_text(const void *bytes, gsize length)
{
  /* A character of UTF-8 is at most four bytes, one that cannot be printed becomes one. */
  g_autofree char *raw = g_strndup(bytes, MIN(length, (gsize)PW_PHOTO_TEXT_MAX * 4));
  g_autofree char *printable = pw_dup_printable(raw);
  g_strstrip(printable);
  char *text = g_utf8_substring(printable, 0, MIN(g_utf8_strlen(printable, -1), PW_PHOTO_TEXT_MAX));
  if (*g_strstrip(text) == '\0')
    g_clear_pointer(&text, g_free);
  return text;
}

static int
digits(const char *text, int n)
{
  int value = 0;
  for (int i = 0; i < n; i++) {
    if (!g_ascii_isdigit(text[i]))
      return -1;
    value = value * 10 + (text[i] - '0');
  }
  return value;
}

/* Exif 2.32, 4.6.5: "YYYY:MM:DD HH:MM:SS". Some writers separate the date otherwise. */
char *
pw_fact_moment(const char *text)
{
  if (text == NULL || strlen(text) < 19)
    return NULL;
  int year = digits(text, 4), month = digits(text + 5, 2), day = digits(text + 8, 2);
  int hour = digits(text + 11, 2), minute = digits(text + 14, 2), second = digits(text + 17, 2);
  gboolean separated = strchr(":-/.", text[4]) != NULL && text[4] == text[7] &&
                       (text[10] == ' ' || text[10] == 'T') && text[13] == ':' && text[16] == ':';
  if (!separated || year < 1 || month < 1 || day < 1 ||
      !g_date_valid_dmy((GDateDay)day, (GDateMonth)month, (GDateYear)year))
    return NULL;
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59)
    return NULL;
  return g_strdup_printf("%04d-%02d-%02dT%02d:%02d:%02d", year, month, day, hour, minute, second);
}

/* Exif 2.32, 4.6.5: "+HH:MM" or "-HH:MM". Zones reach from -12:00 to +14:00. */
char *
pw_fact_zone(const char *text)
{
  if (text == NULL)
    return NULL;
  if (strcmp(text, "Z") == 0)
    return g_strdup("+00:00");
  if (strlen(text) != 6 || (text[0] != '+' && text[0] != '-') || text[3] != ':')
    return NULL;
  int hours = digits(text + 1, 2), minutes = digits(text + 4, 2);
  if (hours < 0 || minutes < 0 || minutes > 59 || hours * 60 + minutes > 14 * 60)
    return NULL;
  return g_strdup(text);
}

double
pw_fact_number(double value, double most)
{
  return isfinite(value) && value > 0 && value <= most ? value : UNKNOWN;
}

/* Units of Exif 2.32, tag 0xA210 (2 inch, 3 cm), and of TIFF/EP besides (4 mm, 5 um). */
double
pw_fact_per_mm(double resolution, int unit)
{
  double mm = unit == 3 ? 10 : unit == 4 ? 1 : unit == 5 ? 0.001 : 25.4;
  return pw_fact_number(resolution / mm, 1e5);
}

/* Exif 2.32, tag 0x9209: bit 0 says whether it fired, bit 5 that there is none. */
int
pw_fact_flash(double value)
{
  return value >= 0 && value <= 65535 ? (int)value & 1 : -1;
}

int
pw_fact_iso(double value)
{
  return value >= 1 && value <= 1e8 ? (int)lround(value) : 0;
}

/* At most one decimal, and none where it would be a nought. */
static char *
dup_short(double value)
{
  char *text = pw_format_fixed(value, 1);
  if (g_str_has_suffix(text, ".0"))
    text[strlen(text) - 2] = '\0';
  return text;
}

static char *
dup_time(double seconds)
{
  if (seconds >= LONG_EXPOSURE_S)
    return dup_short(seconds);
  g_autofree char *part = pw_format_fixed(1 / seconds, 0);
  return g_strconcat("1/", part, NULL);
}

static void
append_figure(GString *line, const char *before, char *figure, const char *after)
{
  g_string_append_printf(line, "%s%s%s%s", line->len > 0 ? " · " : "", before, figure, after);
  g_free(figure);
}

char *
pw_photo_facts_dup_camera(const PwPhotoFacts *facts)
{
  if (facts->make == NULL || facts->model == NULL)
    return g_strdup(facts->model);
  return g_strconcat(facts->make, " ", facts->model, NULL);
}

char *
pw_photo_facts_dup_exposure(const PwPhotoFacts *facts)
{
  GString *line = g_string_new(NULL);
  if (!isnan(facts->focal_mm))
    append_figure(line, "", dup_short(facts->focal_mm), " mm");
  if (!isnan(facts->f_number))
    append_figure(line, "f/", dup_short(facts->f_number), "");
  if (!isnan(facts->exposure_s))
    append_figure(line, "", dup_time(facts->exposure_s), " s");
  if (facts->iso > 0)
    append_figure(line, "ISO ", g_strdup_printf("%d", facts->iso), "");
  return g_string_free(line, line->len == 0);
}

/* A copy scaled or cropped after the camera keeps EXIF's focal plane but not its pixels. HEIF is
 * turned by its decoder, so its stored size may come back with the sides exchanged. */
static gboolean
is_camera_size(const PwPhotoFacts *facts)
{
  int w = facts->stored_width, h = facts->stored_height;
  gboolean turned = g_strcmp0(facts->format, "HEIF") == 0;
  if (w <= 0 || h <= 0)
    return FALSE;
  return (facts->pixel_x == w && facts->pixel_y == h) ||
         (turned && facts->pixel_x == h && facts->pixel_y == w);
}

static double
focal_px_by_plane(const PwPhotoFacts *facts, double diagonal_px)
{
  double x = facts->focal_plane_x, y = facts->focal_plane_y;
  if (isnan(x) || isnan(y) || fabs(x - y) > 0.05 * MAX(x, y))
    return UNKNOWN;
  double per_mm = (x + y) / 2, sensor_mm = diagonal_px / per_mm;
  if (sensor_mm < SENSOR_DIAGONAL_LEAST_MM || sensor_mm > SENSOR_DIAGONAL_MOST_MM)
    return UNKNOWN;
  return facts->focal_mm * per_mm;
}

double
pw_photo_facts_focal_px(const PwPhotoFacts *facts)
{
  if (!is_camera_size(facts))
    return UNKNOWN;
  double diagonal_px = hypot(facts->stored_width, facts->stored_height);
  double by_plane = focal_px_by_plane(facts, diagonal_px);
  double by_35mm = facts->focal_35mm * diagonal_px / FRAME_35MM_DIAGONAL_MM;
  if (isnan(by_plane))
    return by_35mm;
  if (!isnan(by_35mm) && fabs(by_plane / by_35mm - 1) > FOCAL_DISAGREEMENT)
    return UNKNOWN;
  return by_plane;
}
