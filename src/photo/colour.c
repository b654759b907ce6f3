/* Colour: what the samples of a photograph mean, and how they become 8-bit sRGB.
 *
 * Samples that carry a working profile go through it. Samples without one are taken as they
 * stand: an untagged RGB picture must come out with the very values it went in with, and a grey
 * one without a tint. A Lab picture never goes through a profile.
 */
#include "photo-private.h"

#include <math.h>
#include <string.h>

/* White for the alpha to be laid on, by the samples' type. */
#define WHITE_8 255.0
#define WHITE_16 65535.0

typedef enum { KIND_RGB, KIND_GREY, KIND_CMYK, KIND_LAB } SampleKind;

static SampleKind
kind_of(const VipsImage *image)
{
  switch (vips_image_guess_interpretation(image)) {
  case VIPS_INTERPRETATION_LAB:
  case VIPS_INTERPRETATION_LABS:
  case VIPS_INTERPRETATION_LABQ:
    return KIND_LAB;
  case VIPS_INTERPRETATION_CMYK:
    return KIND_CMYK;
  case VIPS_INTERPRETATION_B_W:
  case VIPS_INTERPRETATION_GREY16:
    return KIND_GREY;
  default:
    return KIND_RGB;
  }
}

static int
bands_of(SampleKind kind)
{
  return kind == KIND_GREY ? 1 : kind == KIND_CMYK ? 4 : 3;
}

/* The four letters of ICC.1:2010, table 19. */
static const char *
space_of(SampleKind kind)
{
  return kind == KIND_GREY ? "GRAY" : kind == KIND_CMYK ? "CMYK" : "RGB ";
}

gboolean
pw_colour_is_readable(const VipsImage *image)
{
  SampleKind kind = kind_of(image);
  VipsBandFormat format = vips_image_get_format(image);
  if (vips_image_get_coding(image) == VIPS_CODING_LABQ)
    return TRUE;
  if (vips_image_get_coding(image) != VIPS_CODING_NONE || vips_image_get_bands(image) > 5 ||
      vips_image_get_bands(image) < bands_of(kind))
    return FALSE;
  if (kind == KIND_LAB)
    return format == VIPS_FORMAT_FLOAT || format == VIPS_FORMAT_SHORT;
  return format == VIPS_FORMAT_UCHAR || format == VIPS_FORMAT_USHORT;
}

/* ---- Profiles ---------------------------------------------------------------------- */

typedef enum { PROFILE_USELESS = 1, PROFILE_WORKS, PROFILE_CHANGES_NOTHING } ProfileVerdict;

/* A cube of colours, every sixteenth level of each channel and the last, one row. */
enum { CUBE_SIDE = 17, CUBE = CUBE_SIDE * CUBE_SIDE * CUBE_SIDE, ROUNDING_LEVELS = 1 };

/* Sends one black pixel of the image's kind through its profile. Only doing it shows whether it
 * can be done: damaged profiles open well and fail late. vips (8.14) then takes a profile of its
 * own and says nothing, but the result carries the one that was used. */
static gboolean
profile_works(VipsImage *image, const void *profile, gsize length)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 4);
  const void *used = NULL;
  gsize used_length = 0;
  double mean;
  gboolean works =
      vips_black(&t[0], 1, 1, "bands", bands_of(kind_of(image)), NULL) == 0 &&
      vips_cast(t[0], &t[1], vips_image_get_format(image), NULL) == 0 &&
      vips_copy(t[1], &t[2], "interpretation", vips_image_guess_interpretation(image), NULL) == 0;
  if (works) {
    vips_image_set_blob_copy(t[2], VIPS_META_ICC_NAME, profile, length);
    works =
        vips_icc_import(t[2], &t[3], "embedded", TRUE, "intent", VIPS_INTENT_RELATIVE, NULL) == 0 &&
        vips_avg(t[3], &mean, NULL) == 0 &&
        vips_image_get_blob(t[3], VIPS_META_ICC_NAME, &used, &used_length) == 0 &&
        used_length == length && memcmp(used, profile, length) == 0;
  }
  g_object_unref(scope);
  vips_error_clear();
  return works;
}

static void
fill_cube(guint8 *cube)
{
  for (int i = 0; i < CUBE; i++) {
    int steps[3] = {i % CUBE_SIDE, i / CUBE_SIDE % CUBE_SIDE, i / CUBE_SIDE / CUBE_SIDE};
    for (int band = 0; band < 3; band++)
      cube[3 * i + band] = (guint8)MIN(steps[band] * 16, 255);
  }
}

static int convert_by_profile(VipsImage *image, VipsImage **out);

/* Whether a profile is sRGB but in name: no colour of the cube moves by more than rounding does.
 * Many cameras tag their pictures so, and a conversion then only costs time. */
static gboolean
changes_nothing(const void *profile, gsize length)
{
  guint8 cube[3 * CUBE];
  size_t n = 0;
  guint8 *moved = NULL;
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 3);
  fill_cube(cube);
  t[0] = vips_image_new_from_memory(cube, sizeof cube, CUBE, 1, 3, VIPS_FORMAT_UCHAR);
  if (t[0] != NULL &&
      vips_copy(t[0], &t[1], "interpretation", VIPS_INTERPRETATION_sRGB, NULL) == 0) {
    vips_image_set_blob_copy(t[1], VIPS_META_ICC_NAME, profile, length);
    if (convert_by_profile(t[1], &t[2]) == 0)
      moved = vips_image_write_to_memory(t[2], &n);
  }
  gboolean same = moved != NULL && n == sizeof cube;
  for (gsize i = 0; same && i < sizeof cube; i++)
    same = ABS((int)moved[i] - (int)cube[i]) <= ROUNDING_LEVELS;
  g_free(moved);
  g_object_unref(scope);
  vips_error_clear();
  return same;
}

static ProfileVerdict
judge(VipsImage *image, const void *profile, gsize length)
{
  if (!profile_works(image, profile, length))
    return PROFILE_USELESS;
  return kind_of(image) == KIND_RGB && changes_nothing(profile, length) ? PROFILE_CHANGES_NOTHING
                                                                        : PROFILE_WORKS;
}

/* Judging a profile costs as much as opening a hundred headers, and a camera writes the same one
 * into every picture: verdicts are remembered, for as many profiles as a studio has cameras. */
static ProfileVerdict
remembered_verdict(VipsImage *image, const void *profile, gsize length)
{
  enum { MOST_REMEMBERED = 64 };
  static GMutex lock;
  static GHashTable *verdicts;
  g_autofree char *digest = pw_sha256_dup_hex(profile, length);
  g_autofree char *key = g_strdup_printf("%d %d %s", (int)vips_image_guess_interpretation(image),
                                         (int)vips_image_get_format(image), digest);
  g_mutex_lock(&lock);
  if (verdicts == NULL)
    verdicts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  ProfileVerdict verdict = (ProfileVerdict)GPOINTER_TO_INT(g_hash_table_lookup(verdicts, key));
  if (verdict == 0) {
    verdict = judge(image, profile, length);
    if (g_hash_table_size(verdicts) < MOST_REMEMBERED)
      g_hash_table_insert(verdicts, g_steal_pointer(&key), GINT_TO_POINTER((int)verdict));
  }
  g_mutex_unlock(&lock);
  return verdict;
}

static const char *
words_without_profile(SampleKind kind, gboolean has_profile)
{
  if (kind == KIND_LAB)
    return "CIELAB";
  if (kind == KIND_CMYK)
    return has_profile ? "CMYK with a profile that cannot be used, taken as common offset print"
                       : "untagged CMYK, taken as common offset print";
  if (kind == KIND_GREY)
    return has_profile ? "grey with a profile that cannot be used, taken as sRGB grey"
                       : "untagged grey, taken as sRGB grey";
  return has_profile ? "a profile that cannot be used, taken as sRGB" : "untagged, taken as sRGB";
}

char *
pw_colour_describe(VipsImage *image, gboolean says_adobe_rgb, PwColourWay *way)
{
  SampleKind kind = kind_of(image);
  const void *profile = NULL;
  gsize length = 0;
  gboolean has_profile = vips_image_get_typeof(image, VIPS_META_ICC_NAME) != 0 &&
                         vips_image_get_blob(image, VIPS_META_ICC_NAME, &profile, &length) == 0;
  *way = PW_COLOUR_AS_IT_STANDS;
  if (kind == KIND_RGB && !has_profile && says_adobe_rgb) {
    *way = PW_COLOUR_ADOBE_RGB;
    return g_strdup("Adobe RGB (1998), by EXIF alone");
  }
  if (kind == KIND_LAB || !has_profile || !pw_profile_is_of(profile, length, space_of(kind)))
    return g_strdup(words_without_profile(kind, has_profile));
  ProfileVerdict verdict = remembered_verdict(image, profile, length);
  if (verdict == PROFILE_USELESS)
    return g_strdup(words_without_profile(kind, has_profile));
  if (verdict == PROFILE_WORKS)
    *way = PW_COLOUR_BY_PROFILE;
  char *name = pw_profile_dup_name(profile, length);
  return name != NULL ? name : g_strdup("a profile without a name");
}

static int
lay_on_white(VipsImage *image, VipsImage **out)
{
  gboolean wide = vips_image_get_format(image) == VIPS_FORMAT_USHORT;
  double most = wide ? WHITE_16 : WHITE_8;
  /* No ink is white. */
  double white = kind_of(image) == KIND_CMYK ? 0 : most;
  VipsArrayDouble *background = vips_array_double_newv(1, white);
  int result = vips_flatten(image, out, "background", background, "max_alpha", most, NULL);
  vips_area_unref(VIPS_AREA(background));
  return result;
}

int
pw_colour_flatten(VipsImage *image, VipsImage **out)
{
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 3);
  SampleKind kind = kind_of(image);
  VipsImage *now = image;
  int result = 0;
  if (vips_image_get_coding(now) == VIPS_CODING_LABQ) {
    result = vips_LabQ2Lab(now, &t[0], NULL);
    now = t[0];
  }
  if (result == 0 && kind != KIND_LAB && vips_image_hasalpha(now)) {
    result = lay_on_white(now, &t[1]);
    now = t[1];
  }
  if (result == 0 && now->Bands > bands_of(kind)) {
    result = vips_extract_band(now, &t[2], 0, "n", bands_of(kind), NULL);
    now = t[2];
  }
  if (result == 0)
    *out = g_object_ref(now);
  g_object_unref(scope);
  return result;
}

/* Without the profile, so that no operation on the way tries it. */
static int
convert_as_it_stands(VipsImage *image, VipsImage **out)
{
  VipsImage *plain = NULL;
  if (vips_copy(image, &plain, "interpretation", vips_image_guess_interpretation(image), NULL) != 0)
    return -1;
  vips_image_remove(plain, VIPS_META_ICC_NAME);
  int result = vips_colourspace(plain, out, VIPS_INTERPRETATION_sRGB, NULL);
  g_object_unref(plain);
  return result;
}

/* vips keeps Lab under D65, a TIFF holds it under D50 (Adobe Photoshop TIFF Technical Note 3;
 * libtiff takes the same default). To XYZ under D50, then by the Bradford matrix (Lindbloom,
 * "Chromatic Adaptation") to D65. */
static int
convert_lab(VipsImage *image, VipsImage **out)
{
  static const double d50[3] = {96.422, 100.0, 82.521};
  VipsImage *scope = vips_image_new();
  VipsImage **t = (VipsImage **)vips_object_local_array(VIPS_OBJECT(scope), 5);
  VipsArrayDouble *white = vips_array_double_new(d50, 3);
  t[0] = vips_image_new_matrixv(3, 3, 0.9555766, -0.0230393, 0.0631636, -0.0282895, 1.0099416,
                                0.0210077, 0.0122982, -0.0204830, 1.3299098);
  gboolean ok = vips_colourspace(image, &t[1], VIPS_INTERPRETATION_LAB, NULL) == 0 &&
                vips_Lab2XYZ(t[1], &t[2], "temp", white, NULL) == 0 &&
                vips_recomb(t[2], &t[3], t[0], NULL) == 0 &&
                vips_copy(t[3], &t[4], "interpretation", VIPS_INTERPRETATION_XYZ, NULL) == 0 &&
                vips_colourspace(t[4], out, VIPS_INTERPRETATION_sRGB, NULL) == 0;
  vips_area_unref(VIPS_AREA(white));
  g_object_unref(scope);
  return ok ? 0 : -1;
}

static int
convert_by_profile(VipsImage *image, VipsImage **out)
{
  return vips_icc_transform(image, out, "srgb", "embedded", TRUE, "depth", 8, "intent",
                            VIPS_INTENT_RELATIVE, NULL);
}

static int
convert_adobe_rgb(VipsImage *image, VipsImage **out)
{
  VipsImage *tagged = NULL;
  gsize length = 0;
  if (vips_copy(image, &tagged, NULL) != 0)
    return -1;
  g_autoptr(GBytes) profile = pw_adobe_rgb_profile();
  const void *bytes = g_bytes_get_data(profile, &length);
  vips_image_set_blob_copy(tagged, VIPS_META_ICC_NAME, bytes, length);
  int result = convert_by_profile(tagged, out);
  g_object_unref(tagged);
  return result;
}

int
pw_colour_to_srgb(VipsImage *image, PwColourWay way, VipsImage **out)
{
  VipsImage *srgb = NULL;
  int result = kind_of(image) == KIND_LAB    ? convert_lab(image, &srgb)
               : way == PW_COLOUR_BY_PROFILE ? convert_by_profile(image, &srgb)
               : way == PW_COLOUR_ADOBE_RGB  ? convert_adobe_rgb(image, &srgb)
                                             : convert_as_it_stands(image, &srgb);
  if (result == 0)
    result = vips_cast_uchar(srgb, out, NULL);
  VIPS_UNREF(srgb);
  return result;
}

/* IEC 61966-2-1. */
static double
srgb_to_linear(double v)
{
  return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static double
linear_to_srgb(double v)
{
  return v <= 0.0031308 ? 12.92 * v : 1.055 * pow(v, 1 / 2.4) - 0.055;
}

/* L* is a function of Y alone, and a grey's sRGB value one of its Y: the grey of equal L* is the
 * grey of equal Y. Y by the sRGB primaries (IEC 61966-2-1), looked up in 12 bits. */
void
pw_colour_make_grey(PwPlane *plane)
{
  enum { STEPS = 4095 };
  double linear[256];
  g_autofree guint8 *grey_of = g_malloc(STEPS + 1);
  for (int i = 0; i < 256; i++)
    linear[i] = srgb_to_linear(i / 255.0);
  for (int i = 0; i <= STEPS; i++)
    grey_of[i] = (guint8)lround(255 * linear_to_srgb((double)i / STEPS));
  for (int y = 0; y < plane->height; y++) {
    guint8 *p = plane->pixels + (gsize)y * plane->stride;
    for (int x = 0; x < plane->width; x++, p += 3) {
      double Y = 0.2126 * linear[p[0]] + 0.7152 * linear[p[1]] + 0.0722 * linear[p[2]];
      p[0] = p[1] = p[2] = grey_of[lround(Y * STEPS)];
    }
  }
}
