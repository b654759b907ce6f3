/* The colour that every page is in: sRGB, as an ICC profile of format 2.1, the newest that PDF/A-1
 * takes (ISO 19005-1, 6.2.2, with PDF 1.4). Made by Little-CMS rather than shipped as a file.
 */
#include "private.h"

#include <lcms2.h>
#include <string.h>

/* Bytes 24-35 of a header: year, month, day, hour, minute, second, each 16 bits, most significant
 * first (ICC.1:2001-04, 6.1). Little-CMS writes the clock there; ours is the day of the second
 * edition of sRGB, IEC 61966-2-1 with amendment 1 of January 2003. */
enum { DATE_AT = 24 };
static const guint8 date[12] = {2003 >> 8, 2003 & 255, 0, 1, 0, 1};

static GBytes *
save(cmsHPROFILE profile)
{
  cmsUInt32Number length = 0;
  if (!cmsSaveProfileToMem(profile, NULL, &length) || length < DATE_AT + sizeof date)
    return NULL;
  g_autofree guint8 *bytes = g_malloc(length);
  if (!cmsSaveProfileToMem(profile, bytes, &length))
    return NULL;
  memcpy(bytes + DATE_AT, date, sizeof date);
  return g_bytes_new_take(g_steal_pointer(&bytes), length);
}

GBytes *
pw_pdf_profile_new(GError **error)
{
  cmsHPROFILE profile = cmsCreate_sRGBProfile();
  GBytes *bytes = NULL;
  if (profile != NULL) {
    cmsSetProfileVersion(profile, 2.1);
    bytes = save(profile);
    cmsCloseProfile(profile);
  }
  if (bytes == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "Little-CMS could not write the sRGB profile");
  return bytes;
}
