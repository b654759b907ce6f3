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

/* Those of which something is shown. */
static GPtrArray *
shown_plates(const PwModel *model, const PwPlateOptions *options)
{
  GPtrArray *plates = g_ptr_array_new();
  for (gsize i = 0; i < pw_model_n_plates(model); i++) {
    const PwModelPlate *plate = pw_model_peek_plate(model, i);
    g_autoptr(PwSheet) sheet = pw_compose_sheet(model, options, plate, FALSE);
    if (sheet != NULL)
      g_ptr_array_add(plates, (gpointer)plate);
  }
  return plates;
}

static GPtrArray *
compose_all(const PwModel *model, const PwPlateOptions *options)
{
  g_autoptr(GPtrArray) plates = shown_plates(model, options);
  GPtrArray *sheets =
      pw_plate_sheets_new(model, options, (const PwModelPlate *const *)plates->pdata, plates->len);
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

/* How well a plate serves to see a photograph: 2 whole, 1 in part, 0 not at all. */
static guint
shows(const PwModel *model, const PwPlateOptions *options, const PwModelPlate *plate,
      const PwModelPhoto *photo)
{
  g_autoptr(PwSheet) sheet = pw_compose_sheet(model, options, plate, FALSE);
  for (guint i = 0; i < sheet->n_pictures; i++)
    if (sheet->pictures[i].source == photo)
      return sheet->locator ? 1 : 2;
  return 0;
}

/* The sheet of `file` alone: the first that shows it whole, else the first that shows a part of it.
 * NULL and an error where it is on none. */
static GPtrArray *
compose_one(const PwModel *model, const PwPlateOptions *options, const char *file, GError **error)
{
  const PwModelPhoto *photo = pw_model_find_photo(model, file);
  g_autoptr(GPtrArray) plates = shown_plates(model, options);
  guint which = 0, best = 0;
  for (guint i = 0; i < plates->len && best < 2; i++) {
    guint how_well = shows(model, options, plates->pdata[i], photo);
    if (how_well > best) {
      best = how_well;
      which = i;
    }
  }
  if (best == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s is on no plate for this reader", file);
    return NULL;
  }
  const PwModelPlate *plate = plates->pdata[which];
  GPtrArray *sheets = pw_plate_sheets_new(model, options, &plate, 1);
  pw_compose_number_sheet(sheets->pdata[0], which + 1, plates->len);
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
