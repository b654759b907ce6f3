/* The document of plates: which of the model's plates this audience sees, laid out, their pictures
 * made a few plates at a time so that memory stays bounded, drawn page by page. */
#include <platewright/plate.h>

#include "compose.h"
#include "contact.h"
#include "render.h"

/* Pictures made before a run of pages is drawn: enough to keep every core busy. */
#define PICTURES_AT_ONCE 12

typedef struct {
  const PwModel *model;
  const PwPlateOptions *options;
  PwPlateResult *result;
  GPtrArray *sheets;
  PwPdf *pdf;
  guint done, total; /* pictures */
} Work;

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
  g_autofree char *identity = pw_compose_dup_identity(model, words),
                  *date = pw_model_dup_date(model);
  const char *key = options->contact ? "contact-document" : "plates-document";
  g_autofree char *title = pw_words_dup_phrase(words, key, "volume", identity, NULL);
  const PwVolume *volume = pw_model_peek_volume(model);
  PwPdfInfo info = {.title = title, .language = pw_words_peek_language(words), .date = date};
  if (options->audience != PW_FOR_PUBLIC && volume != NULL)
    info.author = volume->studio_name;
  return new_document(&info, error);
}

/* ---- Plates ---------------------------------------------------------------------------------- */

static void
ask_for_pictures(PwRenders *renders, const PwLayout *layout, GArray *indices)
{
  const PwSheet *sheet = layout->sheet;
  for (guint i = 0; i < sheet->n_pictures; i++) {
    const PwSheetPicture *p = &sheet->pictures[i];
    guint index = pw_renders_add(renders, p->source, p->crop_x, p->crop_y, p->crop_width,
                                 p->crop_height, &layout->arranged.boxes[i]);
    g_array_append_val(indices, index);
  }
  if (sheet->locator) {
    const PwSheetPicture *p = &sheet->pictures[0];
    guint index =
        pw_renders_add(renders, p->source, 0, 0, p->width_px, p->height_px, &layout->locator);
    g_array_append_val(indices, index);
  }
}

static guint
n_pictures_of(const PwSheet *sheet)
{
  return sheet->n_pictures + (sheet->locator ? 1 : 0);
}

static void
take_pictures(const PwLayout *layout, const PwRenders *renders, const guint *indices,
              PwPicture pictures[PW_MOST_PICTURES + 1])
{
  for (guint i = 0; i < n_pictures_of(layout->sheet); i++)
    pictures[i] = *pw_renders_peek(renders, indices[i]);
}

static void
draw_plate(Work *w, const PwLayout *layout, const PwRenders *renders, const guint *indices)
{
  PwPicture pictures[PW_MOST_PICTURES + 1] = {{NULL, 0, 0}};
  take_pictures(layout, renders, indices, pictures);
  for (guint page = 0; page < layout->pages->len; page++) {
    pw_layout_draw_page(layout, w->pdf, w->options->style, page, pictures);
    if (page == 0)
      pw_pdf_bookmark(w->pdf, 0, layout->sheet->title);
    w->result->n_pages++;
  }
  w->result->n_plates++;
}

/* Lays out sheets from `first` on until there are pictures enough, makes these, draws; the sheet to
 * go on with, or 0 on failure. */
static guint
draw_some(Work *w, guint first, GError **error)
{
  g_autoptr(GPtrArray) layouts = g_ptr_array_new_with_free_func((GDestroyNotify)pw_layout_free);
  g_autoptr(GArray) indices = g_array_new(FALSE, FALSE, sizeof(guint));
  g_autoptr(PwRenders) renders = pw_renders_new(w->model, w->options);
  guint next = first;
  for (; next < w->sheets->len && pw_renders_n(renders) < PICTURES_AT_ONCE; next++) {
    PwLayout *layout = pw_layout_new(w->pdf, w->options->style, w->sheets->pdata[next], error);
    if (layout == NULL)
      return 0;
    g_ptr_array_add(layouts, layout);
    ask_for_pictures(renders, layout, indices);
  }
  if (!pw_renders_run(renders, w->done, w->total, error))
    return 0;
  w->done += pw_renders_n(renders);
  const guint *index = (const guint *)(gconstpointer)indices->data;
  for (guint i = 0; i < layouts->len; i++) {
    const PwLayout *layout = layouts->pdata[i];
    draw_plate(w, layout, renders, index);
    index += n_pictures_of(layout->sheet);
  }
  return next;
}

static guint
count_pictures(const GPtrArray *sheets)
{
  guint n = 0;
  for (guint i = 0; i < sheets->len; i++)
    n += n_pictures_of(sheets->pdata[i]);
  return n;
}

static gboolean
draw_plates(Work *w, GError **error)
{
  w->sheets = compose_all(w->model, w->options);
  w->total = count_pictures(w->sheets);
  gboolean ok = w->sheets->len > 0;
  if (!ok)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "there is no plate to draw for this reader");
  for (guint next = 0; ok && next < w->sheets->len;) {
    next = draw_some(w, next, error);
    ok = next > 0;
  }
  g_ptr_array_unref(w->sheets);
  return ok;
}

static gboolean
draw_contact(Work *w, GError **error)
{
  g_autoptr(GPtrArray) photos = shown_photos(w->model, w->options->audience);
  if (photos->len == 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "there is no photograph to show to this reader");
    return FALSE;
  }
  w->result->n_plates = 1;
  return pw_contact_draw(w->model, w->options, photos, w->pdf, &w->result->n_pages, error);
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
  Work w = {.model = model, .options = options, .result = result, .pdf = pdf};
  if (options->contact ? !draw_contact(&w, error) : !draw_plates(&w, error))
    return NULL;
  return pw_pdf_finish(pdf, &result->archival, &result->why_not_archival, error);
}

/* ---- One page for a screen ------------------------------------------------------------------- */

/* The first that shows it whole, else the first that shows a part of it. */
static const PwSheet *
find_sheet(const GPtrArray *sheets, const PwModelPhoto *photo)
{
  const PwSheet *partly = NULL;
  for (guint k = 0; k < sheets->len; k++) {
    const PwSheet *sheet = sheets->pdata[k];
    for (guint i = 0; i < sheet->n_pictures; i++) {
      if (sheet->pictures[i].source != photo)
        continue;
      if (!sheet->locator)
        return sheet;
      if (partly == NULL)
        partly = sheet;
    }
  }
  return partly;
}

static gboolean
draw_page(Work *w, const PwSheet *sheet, guint page, guint *n_pages, GError **error)
{
  PwPicture pictures[PW_MOST_PICTURES + 1] = {{NULL, 0, 0}};
  g_autoptr(GArray) indices = g_array_new(FALSE, FALSE, sizeof(guint));
  g_autoptr(PwRenders) renders = pw_renders_new(w->model, w->options);
  g_autoptr(PwLayout) layout = pw_layout_new(w->pdf, w->options->style, sheet, error);
  if (layout == NULL)
    return FALSE;
  *n_pages = layout->pages->len;
  if (page < 1 || page > layout->pages->len) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the plate has %u pages; there is no page %u",
                layout->pages->len, page);
    return FALSE;
  }
  ask_for_pictures(renders, layout, indices);
  if (!pw_renders_run(renders, 0, n_pictures_of(sheet), error))
    return FALSE;
  take_pictures(layout, renders, (const guint *)(gconstpointer)indices->data, pictures);
  pw_layout_draw_page(layout, w->pdf, w->options->style, page - 1, pictures);
  return TRUE;
}

GBytes *
pw_plates_draw_svg(const PwModel *model, const PwPlateOptions *options, const char *file,
                   guint page, guint *n_pages, GError **error)
{
  *n_pages = 0;
  const PwModelPhoto *photo = pw_model_find_photo(model, file);
  if (photo == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s is no photograph of this record", file);
    return NULL;
  }
  if (!pw_model_may_show(model, options->audience, error))
    return NULL;
  g_autoptr(PwPdf) svg = open_document(pw_pdf_new_svg, model, options, error);
  if (svg == NULL)
    return NULL;
  g_autoptr(GPtrArray) sheets = compose_all(model, options);
  const PwSheet *sheet = find_sheet(sheets, photo);
  if (sheet == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s is on no plate for this reader", file);
    return NULL;
  }
  Work w = {.model = model, .options = options, .pdf = svg};
  if (!draw_page(&w, sheet, page, n_pages, error))
    return NULL;
  return pw_pdf_finish_svg(svg, error);
}
