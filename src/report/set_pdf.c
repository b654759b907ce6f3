/* The document as PDF: laid out whole, its plates counted, then drawn page by page. */
#include "set_pdf.h"

#include <platewright/plate.h>

#include "set_pdf_setting.h"

/* The running foot's baseline above the paper's edge: on pages of text as a share of the white
 * there, on plates, which have words of their own down to their margin, likewise of that. */
#define FOOT_RISE 0.5
/* Plates stand under the heading of their part. */
#define PLATE_LEVEL 2

typedef struct {
  PwSetting *s;
  PwPlateRun *run;
  GByteArray *is_plate; /* of each page of the whole */
  guint n_before;       /* pages of the whole that are not drawn, before the first that is */
} Work;

static guint
number_of(const PwSetPage *page)
{
  return page->plate->number - 1;
}

/* ---- Pages counted ----------------------------------------------------------------- */

static PwPlateRun *
run_new(PwPdf *pdf, const PwModel *model, const PwDoc *doc, const PwReportOptions *options)
{
  const PwPlateOptions how = {.style = options->style,
                              .words = options->words,
                              .audience = options->audience,
                              .progress = options->progress,
                              .heading = PLATE_LEVEL};
  g_autoptr(GPtrArray) plates = g_ptr_array_new();
  for (guint i = 0; i < doc->blocks->len; i++) {
    const PwBlock *block = doc->blocks->pdata[i];
    if (block->kind == PW_BLOCK_PLATE)
      g_ptr_array_add(plates, block->plate);
  }
  return pw_plate_run_new(pdf, model, &how, (const PwModelPlate *const *)plates->pdata,
                          plates->len);
}

static gboolean
count_pages(Work *w, GError **error)
{
  const guint8 text = FALSE, plate = TRUE;
  for (guint i = 0; i < w->s->pages->len; i++) {
    const PwSetPage *page = &g_array_index(w->s->pages, PwSetPage, i);
    if (page->plate == NULL) {
      g_byte_array_append(w->is_plate, &text, 1);
      continue;
    }
    g_autoptr(GError) own = NULL;
    guint n = pw_plate_run_n_pages(w->run, number_of(page), &own);
    if (own != NULL) {
      g_propagate_error(error, g_steal_pointer(&own));
      return FALSE;
    }
    for (guint j = 0; j < n; j++)
      g_byte_array_append(w->is_plate, &plate, 1);
  }
  return TRUE;
}

/* ---- Pages drawn ------------------------------------------------------------------- */

static void
furnish(PwPdf *pdf, guint page, double width, double height, gpointer data)
{
  const Work *w = data;
  const PwStyle *style = w->s->style;
  const PwSetGrid *grid = &w->s->grid;
  double margin = pw_style_length(style, "margin");
  double foot = pw_style_length(style, "document-foot");
  (void)pdf;
  page += w->n_before;
  if (w->is_plate->data[page - 1])
    pw_set_draw_foot(w->s, page, w->is_plate->len, margin, width - margin,
                     height - FOOT_RISE * margin);
  else
    pw_set_draw_foot(w->s, page, w->is_plate->len, grid->left, grid->left + grid->full,
                     height - FOOT_RISE * foot);
}

static gboolean
draw_pages(const Work *w, GError **error)
{
  for (guint i = 0; i < w->s->pages->len; i++) {
    const PwSetPage *page = &g_array_index(w->s->pages, PwSetPage, i);
    if (page->plate == NULL)
      pw_set_draw_page(w->s, page);
    else if (!pw_plate_run_draw(w->run, number_of(page), error))
      return FALSE;
  }
  return TRUE;
}

/* Page `n` of the whole, from 0, and no other. */
static gboolean
draw_one(const Work *w, guint n, GError **error)
{
  for (guint i = 0, begun = 0;; i++) {
    const PwSetPage *page = &g_array_index(w->s->pages, PwSetPage, i);
    guint pages = page->plate ? pw_plate_run_n_pages(w->run, number_of(page), NULL) : 1;
    if (n >= begun + pages) {
      begun += pages;
      continue;
    }
    if (page->plate != NULL)
      return pw_plate_run_draw_page(w->run, number_of(page), n - begun, error);
    pw_set_draw_page(w->s, page);
    return TRUE;
  }
}

/* ---- The document ------------------------------------------------------------------ */

static PwPdf *
open_document(PwPdf *(*new_document)(const PwPdfInfo *info, GError **error), const PwModel *model,
              const PwDoc *doc, GError **error)
{
  g_autofree char *last = pw_model_dup_date(model);
  const PwPdfInfo info = {.title = doc->title,
                          .author = doc->author,
                          .subject = doc->subject,
                          .language = doc->language,
                          .date = doc->date != NULL ? doc->date : last};
  return new_document(&info, error);
}

static void
clear_work(Work *w)
{
  g_clear_pointer(&w->run, pw_plate_run_free);
  g_clear_pointer(&w->s, pw_setting_free);
  g_clear_pointer(&w->is_plate, g_byte_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Work, clear_work)

/* Lays the whole out and counts its pages. */
static gboolean
lay_out(Work *w, PwPdf *pdf, const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
        GError **error)
{
  w->s = pw_setting_new(pdf, doc, options->style, options->words);
  w->run = run_new(pdf, model, doc, options);
  w->is_plate = g_byte_array_new();
  pw_pdf_set_furnish(pdf, furnish, w);
  return count_pages(w, error);
}

GBytes *
pw_set_pdf(const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
           gboolean *archival, char **why, GError **error)
{
  g_autoptr(PwPdf) pdf = open_document(pw_pdf_new, model, doc, error);
  g_auto(Work) w = {0};
  if (pdf == NULL || !lay_out(&w, pdf, model, doc, options, error) || !draw_pages(&w, error))
    return NULL;
  return pw_pdf_finish(pdf, archival, why, error);
}

GBytes *
pw_set_svg(const PwModel *model, const PwDoc *doc, const PwReportOptions *options, guint page,
           guint *n_pages, GError **error)
{
  g_autoptr(PwPdf) svg = open_document(pw_pdf_new_svg, model, doc, error);
  g_auto(Work) w = {.n_before = page - 1};
  if (svg == NULL || !lay_out(&w, svg, model, doc, options, error))
    return NULL;
  *n_pages = w.is_plate->len;
  if (page < 1 || page > *n_pages) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "the document has %u %s; there is no page %u",
                *n_pages, *n_pages == 1 ? "page" : "pages", page);
    return NULL;
  }
  return draw_one(&w, page - 1, error) ? pw_pdf_finish_svg(svg, error) : NULL;
}
