/* Any bytes as EXIF: read as the block of a JPEG and as a TIFF of its own, for one begins like the
 * other. Whatever comes out must be text fit to print and numbers that make sense.
 */
#include "photo/photo-private.h"

#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const guint8 *data, size_t size);

static void
check_text(const char *text)
{
  if (text == NULL)
    return;
  g_assert_true(*text != '\0' && g_utf8_validate(text, -1, NULL));
  g_assert_true(g_utf8_strlen(text, -1) <= PW_PHOTO_TEXT_MAX);
  for (const char *p = text; *p != '\0'; p++)
    g_assert_false(g_ascii_iscntrl(*p));
}

static void
check_number(double value)
{
  g_assert_true(isnan(value) || (isfinite(value) && value > 0));
}

static void
check_facts(PwPhotoFacts *facts)
{
  const char *texts[] = {facts->make, facts->model, facts->lens, facts->taken, facts->zone};
  const double numbers[] = {facts->exposure_s, facts->f_number,      facts->focal_mm,
                            facts->focal_35mm, facts->focal_plane_x, facts->focal_plane_y};
  for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
    check_text(texts[i]);
  for (gsize i = 0; i < G_N_ELEMENTS(numbers); i++)
    check_number(numbers[i]);
  g_assert_true(facts->orientation >= 1 && facts->orientation <= 8);
  g_assert_true(facts->iso >= 0 && facts->pixel_x >= 0 && facts->pixel_y >= 0);
  g_assert_true(facts->taken != NULL || facts->zone == NULL);
  facts->stored_width = facts->width = facts->pixel_x;
  facts->stored_height = facts->height = facts->pixel_y;
  check_number(pw_photo_facts_focal_px(facts));
  g_autofree char *exposure = pw_photo_facts_dup_exposure(facts);
  check_text(exposure);
}

/* One file for all inputs: making one anew each time would be most of the work. */
static void
read_as_tiff(const guint8 *data, size_t size, PwPhotoFacts *facts)
{
  static int fd = -1;
  if (fd < 0)
    fd = memfd_create("exif", 0);
  g_assert_true(fd >= 0 && ftruncate(fd, 0) == 0);
  g_assert_true(pwrite(fd, data, size, 0) == (ssize_t)size);
  pw_tiff_exif_read(fd, (gint64)size, facts);
}

int
LLVMFuzzerTestOneInput(const guint8 *data, size_t size)
{
  PwPhotoFacts facts;
  pw_photo_facts_init(&facts);
  pw_exif_read(data, size, &facts);
  pw_exif_says_adobe_rgb(data, size);
  check_facts(&facts);
  pw_photo_facts_clear(&facts);
  read_as_tiff(data, size, &facts);
  check_facts(&facts);
  pw_photo_facts_clear(&facts);
  return 0;
}
