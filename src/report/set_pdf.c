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

GBytes *
pw_set_pdf(const PwModel *model, const PwDoc *doc, const PwReportOptions *options,
           gboolean *archival, char **why, GError **error)
{
  g_autofree char *last = pw_model_dup_date(model);
  const PwPdfInfo info = {.title = doc->title,
                          .author = doc->author,
                          .subject = doc->subject,
                          .language = doc->language,
                          .date = doc->date != NULL ? doc->date : last};
  g_autoptr(PwPdf) pdf = pw_pdf_new(&info, error);
  if (pdf == NULL)
    return NULL;
  g_autoptr(PwSetting) s = pw_setting_new(pdf, doc, options->style, options->words);
  g_autoptr(PwPlateRun) run = run_new(pdf, model, doc, options);
  g_autoptr(GByteArray) is_plate = g_byte_array_new();
  Work w = {s, run, is_plate};
  if (!count_pages(&w, error))
    return NULL;
  pw_pdf_set_furnish(pdf, furnish, &w);
  return draw_pages(&w, error) ? pw_pdf_finish(pdf, archival, why, error) : NULL;
}
