/* The document of plates: which of the model's plates this audience sees, one after another. */
#include <platewright/plate.h>

#include "compose.h"
#include "contact.h"
#include "run.h"

/* ---- What there is to show ------------------------------------------------------------------- */

static guint
count_left_out(const PwModel *model, PwAudience audience)
{
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_photos(model); i++)
    n += pw_model_photo_shown(model, pw_model_peek_photo(model, i), audience) ? 0 : 1;
  return n;
}

static GPtrArray *
compose_all(const PwModel *model, const PwPlateOptions *options)
{
  GPtrArray *sheets = g_ptr_array_new_with_free_func((GDestroyNotify)pw_sheet_free);
  for (gsize i = 0; i < pw_model_n_plates(model); i++) {
    PwSheet *sheet = pw_plate_sheet_new(model, options, pw_model_peek_plate(model, i));
    if (sheet != NULL)
      g_ptr_array_add(sheets, sheet);
  }
  for (guint i = 0; i < sheets->len; i++)
    pw_compose_number_sheet(sheets->pdata[i], i + 1, sheets->len);
  return sheets;
}

static GPtrArray *
shown_photos(const PwModel *model, PwAudience audience)
{
  GPtrArray *photos = g_ptr_array_new();
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    PwModelPhoto *photo = pw_model_peek_photo(model, i);
    if (photo->readable && pw_model_photo_shown(model, photo, audience))
      g_ptr_array_add(photos, photo);
  }
  return photos;
}

/* ---- The document ---------------------------------------------------------------------------- */

typedef PwPdf *(*NewDocument)(const PwPdfInfo *info, GError **error);

static PwPdf *
open_document(NewDocument new_document, const PwModel *model, const PwPlateOptions *options,
              GError **error)
{
  const PwWords *words = options->words;
  g_autofree char *identity = pw_compose_dup_identity(model, options),
                  *date = pw_model_dup_date(model);
  const char *key = options->contact ? "contact-document" : "plates-document";
  g_autofree char *title = pw_words_dup_phrase(words, key, "volume", identity, NULL);
  const PwVolume *volume = pw_model_peek_volume(model);
  PwPdfInfo info = {.title = title, .language = pw_words_peek_language(words), .date = date};
  if (options->audience != PW_FOR_PUBLIC && volume != NULL)
    info.author = volume->studio_name;
  return new_document(&info, error);
}

static gboolean
draw_plates(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options, PwPlateResult *result,
            GError **error)
{
  GPtrArray *sheets = compose_all(model, options);
  guint n = sheets->len;
  g_autoptr(PwPlateRun) run = pw_run_new(pdf, model, options, sheets);
  if (n == 0)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "there is no plate to draw for this reader");
  while (result->n_plates < n && pw_plate_run_draw(run, result->n_plates, error))
    result->n_plates++;
  result->n_pages = pw_pdf_n_pages(pdf);
  return n > 0 && result->n_plates == n;
}

static gboolean
draw_contact(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options, PwPlateResult *result,
             GError **error)
{
  g_autoptr(GPtrArray) photos = shown_photos(model, options->audience);
  if (photos->len == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "there is no photograph to show to this reader");
    return FALSE;
  }
  result->n_plates = 1;
  return pw_contact_draw(model, options, photos, pdf, &result->n_pages, error);
}

GBytes *
pw_plates_draw(const PwModel *model, const PwPlateOptions *options, PwPlateResult *result,
               GError **error)
{
  *result = (PwPlateResult){.n_left_out = count_left_out(model, options->audience)};
  if (!pw_model_may_show(model, options->audience, error))
    return NULL;
  g_autoptr(PwPdf) pdf = open_document(pw_pdf_new, model, options, error);
  if (pdf == NULL)
    return NULL;
  if (options->contact ? !draw_contact(pdf, model, options, result, error)
                       : !draw_plates(pdf, model, options, result, error))
    return NULL;
  return pw_pdf_finish(pdf, &result->archival, &result->why_not_archival, error);
}

/* ---- One page for a screen ------------------------------------------------------------------- */

/* The first that shows it whole, else the first that shows a part of it; FALSE: none does. */
static gboolean
find_sheet(const GPtrArray *sheets, const PwModelPhoto *photo, guint *which)
{
  gboolean partly = FALSE;
  for (guint k = 0; k < sheets->len; k++) {
    const PwSheet *sheet = sheets->pdata[k];
    for (guint i = 0; i < sheet->n_pictures; i++) {
      if (sheet->pictures[i].source != photo || (sheet->locator && partly))
        continue;
      *which = k;
      if (!sheet->locator)
        return TRUE;
      partly = TRUE;
    }
  }
  return partly;
}

/* The sheet of `file` alone; NULL and an error where it is on none. */
static GPtrArray *
compose_one(const PwModel *model, const PwPlateOptions *options, const char *file, GError **error)
{
  guint which = 0;
  GPtrArray *sheets = compose_all(model, options);
  if (!find_sheet(sheets, pw_model_find_photo(model, file), &which)) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s is on no plate for this reader", file);
    g_ptr_array_unref(sheets);
    return NULL;
  }
  g_ptr_array_remove_range(sheets, which + 1, sheets->len - which - 1);
  g_ptr_array_remove_range(sheets, 0, which);
  return sheets;
}

static gboolean
draw_page(PwPlateRun *run, guint page, guint *n_pages, GError **error)
{
  *n_pages = pw_plate_run_n_pages(run, 0, error);
  if (*n_pages == 0)
    return FALSE;
  if (page < 1 || page > *n_pages) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the plate has %u pages; there is no page %u",
                *n_pages, page);
    return FALSE;
  }
  return pw_plate_run_draw_page(run, 0, page - 1, error);
}

GBytes *
pw_plates_draw_svg(const PwModel *model, const PwPlateOptions *options, const char *file,
                   guint page, guint *n_pages, GError **error)
{
  *n_pages = 0;
  if (pw_model_find_photo(model, file) == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s is no photograph of this record", file);
    return NULL;
  }
  if (!pw_model_may_show(model, options->audience, error))
    return NULL;
  g_autoptr(PwPdf) svg = open_document(pw_pdf_new_svg, model, options, error);
  if (svg == NULL)
    return NULL;
  GPtrArray *sheets = compose_one(model, options, file, error);
  if (sheets == NULL)
    return NULL;
  g_autoptr(PwPlateRun) run = pw_run_new(svg, model, options, sheets);
  return draw_page(run, page, n_pages, error) ? pw_pdf_finish_svg(svg, error) : NULL;
}
