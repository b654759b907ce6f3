/* Any bytes as an ICC profile: its name must be fit to print. */
#include "photo/photo-private.h"

int LLVMFuzzerTestOneInput(const guint8 *data, size_t size);

int
LLVMFuzzerTestOneInput(const guint8 *data, size_t size)
{
  g_autofree char *name = pw_profile_dup_name(data, size);
  g_assert_true(name == NULL || (*name != '\0' && g_utf8_validate(name, -1, NULL)));
  g_assert_true(name == NULL || g_utf8_strlen(name, -1) <= PW_PHOTO_TEXT_MAX);
  pw_profile_is_of(data, size, "RGB ");
  return 0;
}
