/* What an ICC profile says of itself: the samples it is for, and its name, the text of its 'desc'
 * tag, as ICC.1:2001-04 (6.5.17, textDescriptionType) and ICC.1:2010 (10.13,
 * multiLocalizedUnicodeType) lay it out. Whether the profile is any good is not asked here.
 */
#include "photo-private.h"

#include <string.h>

enum {
  HEADER = 128,   /* bytes; the count of tags follows */
  TAG_ENTRY = 12, /* signature, offset, size */
  TAGS_MAX = 256,
  NAME_MAX_BYTES = 1024
};

static guint32
get_u32(const guint8 *p)
{
  return (guint32)p[0] << 24 | (guint32)p[1] << 16 | (guint32)p[2] << 8 | p[3];
}

static const guint8 *
find_tag(const guint8 *data, gsize length, const char *signature, gsize *size)
{
  if (length < HEADER + 4)
    return NULL;
  guint32 n = MIN(get_u32(data + HEADER), (guint32)TAGS_MAX);
  for (gsize i = 0; i < n && HEADER + 4 + (i + 1) * TAG_ENTRY <= length; i++) {
    const guint8 *entry = data + HEADER + 4 + i * TAG_ENTRY;
    gsize at = get_u32(entry + 4);
    *size = get_u32(entry + 8);
    if (memcmp(entry, signature, 4) == 0)
      return at <= length && *size <= length - at ? data + at : NULL;
  }
  return NULL;
}

/* Type, 4 unused bytes, a count, that many bytes of ASCII. */
static char *
dup_ascii(const guint8 *tag, gsize size)
{
  gsize n = size >= 12 ? MIN((gsize)get_u32(tag + 8), size - 12) : 0;
  return pw_fact_text(tag + 12, MIN(n, (gsize)NAME_MAX_BYTES));
}

/* Type, 4 unused bytes, the count of records and their size; a record is language, country,
 * length and offset of UTF-16 text. The first record is as good as any for a name. */
static char *
dup_localized(const guint8 *tag, gsize size)
{
  if (size < 28 || get_u32(tag + 8) < 1)
    return NULL;
  gsize length = MIN(get_u32(tag + 20), (guint32)NAME_MAX_BYTES), at = get_u32(tag + 24);
  if (at > size || length > size - at)
    return NULL;
  g_autofree char *text = g_convert((const char *)tag + at, (gssize)(length & ~(gsize)1), "UTF-8",
                                    "UTF-16BE", NULL, NULL, NULL);
  return text != NULL ? pw_fact_text(text, strlen(text)) : NULL;
}

/* ICC.1:2010, 7.2.5 and 7.2.6: the class at byte 12, the space of the samples at byte 16. */
gboolean
pw_profile_is_of(const guint8 *data, gsize length, const char *space)
{
  static const char classes[][5] = {"scnr", "mntr", "prtr", "spac"};
  if (length < HEADER || memcmp(data + 16, space, 4) != 0)
    return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS(classes); i++)
    if (memcmp(data + 12, classes[i], 4) == 0)
      return TRUE;
  return FALSE;
}

char *
pw_profile_dup_name(const guint8 *data, gsize length)
{
  gsize size = 0;
  const guint8 *tag = find_tag(data, length, "desc", &size);
  if (tag == NULL || size < 12)
    return NULL;
  if (memcmp(tag, "desc", 4) == 0)
    return dup_ascii(tag, size);
  return memcmp(tag, "mluc", 4) == 0 ? dup_localized(tag, size) : NULL;
}
