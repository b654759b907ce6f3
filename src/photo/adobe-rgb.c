/* A profile of Adobe RGB (1998), for the photographs of cameras that name the colour space in EXIF
 * alone and embed no profile (DCF 2.0, "DCF optional file"). Laid out as ICC.1:2001-04 (version
 * 2.1): header, tag table, tags; all numbers big-endian.
 */
#include "photo-private.h"

#include <string.h>

enum { HEADER = 128, TAGS = 9, TABLE = 4 + 12 * TAGS };

static void
put_u16(GByteArray *bytes, guint value)
{
  const guint8 two[2] = {(guint8)(value >> 8), (guint8)value};
  g_byte_array_append(bytes, two, sizeof two);
}

static void
put_u32(GByteArray *bytes, guint32 value)
{
  put_u16(bytes, value >> 16);
  put_u16(bytes, value & 0xFFFF);
}

static void
put_text(GByteArray *bytes, const char *text, guint length)
{
  g_byte_array_append(bytes, (const guint8 *)text, length);
}

static void
put_zeros(GByteArray *bytes, guint n)
{
  g_byte_array_set_size(bytes, bytes->len + n);
  memset(bytes->data + bytes->len - n, 0, n);
}

/* s15Fixed16. */
static void
put_xyz(GByteArray *bytes, double x, double y, double z)
{
  put_text(bytes, "XYZ \0\0\0\0", 8);
  put_u32(bytes, (guint32)lround(x * 65536));
  put_u32(bytes, (guint32)lround(y * 65536));
  put_u32(bytes, (guint32)lround(z * 65536));
}

/* Size, version, class, spaces; the rest but for the signature and the illuminant D50 stays 0. */
static void
put_header(GByteArray *bytes, guint32 size)
{
  put_u32(bytes, size);
  put_zeros(bytes, 4);
  put_u32(bytes, 0x02100000);
  put_text(bytes, "mntrRGB XYZ ", 12);
  put_zeros(bytes, 12);
  put_text(bytes, "acsp", 4);
  put_zeros(bytes, 28);
  put_u32(bytes, 0xF6D6);
  put_u32(bytes, 0x10000);
  put_u32(bytes, 0xD32D);
  put_zeros(bytes, HEADER - bytes->len);
}

/* Where each tag's data begin and end; the three curves are one. */
typedef struct {
  const char *name;
  guint from, to;
} Tag;

static void
put_table(GByteArray *bytes, const Tag *tags)
{
  put_u32(bytes, TAGS);
  for (int i = 0; i < TAGS; i++) {
    put_text(bytes, tags[i].name, 4);
    put_u32(bytes, HEADER + TABLE + tags[i].from);
    put_u32(bytes, tags[i].to - tags[i].from);
  }
}

/* textDescriptionType, 6.5.17: ASCII, then empty Unicode and ScriptCode. */
static void
put_name(GByteArray *bytes)
{
  static const char name[] = "Adobe RGB (1998)";
  put_text(bytes, "desc\0\0\0\0", 8);
  put_u32(bytes, sizeof name);
  put_text(bytes, name, sizeof name);
  put_zeros(bytes, 8 + 3 + 67);
  put_zeros(bytes, (4 - bytes->len % 4) % 4);
}

/* The primaries adapted to D50 by Bradford and the gamma 563/256, as in Adobe RGB (1998) Color
 * Image Encoding, 2005-05, section 4.3.6 and annex A. */
GBytes *
pw_adobe_rgb_profile(void)
{
  g_autoptr(GByteArray) data = g_byte_array_new();
  GByteArray *whole = g_byte_array_new();
  guint at[7] = {0};
  put_name(data);
  at[1] = data->len;
  put_text(data, "text\0\0\0\0No copyright\0\0\0\0", 24);
  at[2] = data->len;
  put_xyz(data, 0.9505, 1.0, 1.0891);
  at[3] = data->len;
  put_xyz(data, 0.60974, 0.31111, 0.01947);
  at[4] = data->len;
  put_xyz(data, 0.20528, 0.62567, 0.06087);
  at[5] = data->len;
  put_xyz(data, 0.14919, 0.06322, 0.74457);
  at[6] = data->len;
  put_text(data, "curv\0\0\0\0", 8);
  put_u32(data, 1);
  put_u16(data, 0x0233); /* u8Fixed8 */
  put_zeros(data, 2);
  const Tag tags[TAGS] = {
      {"desc", at[0], at[1]},     {"cprt", at[1], at[2]},     {"wtpt", at[2], at[3]},
      {"rXYZ", at[3], at[4]},     {"gXYZ", at[4], at[5]},     {"bXYZ", at[5], at[6]},
      {"rTRC", at[6], data->len}, {"gTRC", at[6], data->len}, {"bTRC", at[6], data->len}};
  put_header(whole, HEADER + TABLE + data->len);
  put_table(whole, tags);
  g_byte_array_append(whole, data->data, data->len);
  return g_byte_array_free_to_bytes(whole);
}
