/* Plates one after another onto the pages of a document. A plate is laid out when its pages are
 * first asked for, and forgotten when it is drawn; pictures are made a few plates at a time: enough
 * for every core, not so many that memory grows with the record. */
#include "run.h"

#include "compose.h"
#include "layout.h"
#include "render.h"

/* Pictures made before a run of pages is drawn: enough to keep every core busy. */
#define PICTURES_AT_ONCE 12

typedef struct {
  PwSheet *sheet;   /* NULL: nothing of it is shown */
  PwLayout *layout; /* NULL: not yet, or no longer */
  guint number, n_pages;
  guint pictures[PW_MOST_PICTURES + 1]; /* where they are among those made; plates may share some */
} Plate;

struct PwPlateRun {
  PwPdf *pdf;
  const PwModel *model;
  PwPlateOptions options;
  GPtrArray *sheets;
  Plate *plates;
  guint n;
  PwRenders *renders; /* of plates from..to-1 */
  guint from, to;
  guint done, total; /* pictures */
};

static guint
n_pictures_of(const PwSheet *sheet)
{
  return sheet == NULL ? 0 : sheet->n_pictures + (sheet->locator ? 1 : 0);
}

PwPlateRun *
pw_run_new(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options, GPtrArray *sheets)
{
  PwPlateRun *run = g_new0(PwPlateRun, 1);
  run->pdf = pdf;
  run->model = model;
  run->options = *options;
  run->sheets = sheets;
  run->n = sheets->len;
  run->plates = g_new0(Plate, run->n + 1);
  for (guint i = 0; i < run->n; i++) {
    run->plates[i] = (Plate){.sheet = sheets->pdata[i], .number = i + 1};
    run->total += n_pictures_of(sheets->pdata[i]);
  }
  return run;
}

PwPlateRun *
pw_plate_run_new(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options,
                 const PwModelPlate *const *plates, guint n)
{
  GPtrArray *sheets = pw_plate_sheets_new(model, options, plates, n);
  for (guint i = 0; i < n; i++)
    if (sheets->pdata[i] != NULL)
      pw_compose_number_sheet(sheets->pdata[i], i + 1, options->heading > 0 ? 0 : n);
  return pw_run_new(pdf, model, options, sheets);
}

void
pw_plate_run_free(PwPlateRun *run)
{
  if (run == NULL)
    return;
  for (guint i = 0; i < run->n; i++)
    g_clear_pointer(&run->plates[i].layout, pw_layout_free);
  g_clear_pointer(&run->renders, pw_renders_free);
  g_ptr_array_unref(run->sheets);
  g_free(run->plates);
  g_free(run);
}

/* ---- Pages --------------------------------------------------------------------------- */

static gboolean
lay_out(PwPlateRun *run, Plate *plate, GError **error)
{
  if (plate->sheet == NULL || plate->layout != NULL)
    return TRUE;
  plate->layout = pw_layout_new(run->pdf, run->options.style, plate->sheet, error);
  if (plate->layout == NULL)
    return FALSE;
  plate->n_pages = plate->layout->pages->len;
  return TRUE;
}

guint
pw_plate_run_n_pages(PwPlateRun *run, guint which, GError **error)
{
  g_return_val_if_fail(which < run->n, 0);
  Plate *plate = &run->plates[which];
  return plate->n_pages > 0 || lay_out(run, plate, error) ? plate->n_pages : 0;
}

/* ---- Pictures ------------------------------------------------------------------------ */

static void
ask_for_pictures(PwRenders *renders, Plate *plate)
{
  const PwLayout *layout = plate->layout;
  const PwSheet *sheet = plate->sheet;
  for (guint i = 0; i < sheet->n_pictures; i++)
    plate->pictures[i] = pw_renders_add(renders, &sheet->pictures[i], &layout->arranged.boxes[i]);
  if (sheet->locator) {
    const PwSheetPicture *p = &sheet->pictures[0];
    PwSheetPicture whole = {
        .source = p->source, .crop_width = p->width_px, .crop_height = p->height_px};
    plate->pictures[sheet->n_pictures] = pw_renders_add(renders, &whole, &layout->locator);
  }
}

/* Of this plate and those after it, until there are enough or it is that of `end`. */
static gboolean
make_pictures(PwPlateRun *run, guint which, guint end, GError **error)
{
  if (run->renders != NULL && which >= run->from && which < run->to)
    return TRUE;
  g_clear_pointer(&run->renders, pw_renders_free);
  g_autoptr(PwRenders) renders = pw_renders_new(run->model, &run->options);
  guint next = which;
  for (; next < end && pw_renders_n(renders) < PICTURES_AT_ONCE; next++) {
    Plate *plate = &run->plates[next];
    if (!lay_out(run, plate, error))
      return FALSE;
    if (plate->sheet != NULL)
      ask_for_pictures(renders, plate);
  }
  if (!pw_renders_run(renders, run->done, run->total, error))
    return FALSE;
  run->done += pw_renders_n(renders);
  run->renders = g_steal_pointer(&renders);
  run->from = which;
  run->to = next;
  return TRUE;
}

/* ---- Drawing ------------------------------------------------------------------------- */

static PwElement
heading_of(guint level)
{
  return level >= 3 ? PW_ELEMENT_H3 : level == 2 ? PW_ELEMENT_H2 : PW_ELEMENT_H1;
}

static void
draw_page(PwPlateRun *run, const Plate *plate, guint page)
{
  PwPicture pictures[PW_MOST_PICTURES + 1] = {{NULL, 0, 0}};
  for (guint i = 0; i < n_pictures_of(plate->sheet); i++)
    pictures[i] = *pw_renders_peek(run->renders, plate->pictures[i]);
  guint level = MAX(run->options.heading, 1);
  pw_layout_draw_page(plate->layout, run->pdf, run->options.style, page, pictures,
                      heading_of(level));
  if (page > 0)
    return;
  g_autofree char *name = g_strdup_printf("plate-%u", plate->number);
  pw_pdf_destination(run->pdf, name, 0);
  pw_pdf_bookmark(run->pdf, (int)level - 1, plate->sheet->title, 0);
}

gboolean
pw_plate_run_draw(PwPlateRun *run, guint which, GError **error)
{
  g_return_val_if_fail(which < run->n, FALSE);
  Plate *plate = &run->plates[which];
  if (plate->sheet == NULL)
    return TRUE;
  if (!make_pictures(run, which, run->n, error))
    return FALSE;
  pw_pdf_begin(run->pdf, PW_ELEMENT_SECTION);
  for (guint page = 0; page < plate->n_pages; page++)
    draw_page(run, plate, page);
  pw_pdf_end(run->pdf);
  g_clear_pointer(&plate->layout, pw_layout_free);
  return TRUE;
}

gboolean
pw_plate_run_draw_page(PwPlateRun *run, guint which, guint page, GError **error)
{
  g_return_val_if_fail(which < run->n && page < run->plates[which].n_pages, FALSE);
  if (!make_pictures(run, which, which + 1, error))
    return FALSE;
  draw_page(run, &run->plates[which], page);
  return TRUE;
}
