/* The contact sheet: a grid of equal cells on pages across. Pictures stand on the bottom of their
 * cells, so that words of a row begin level. First everything gets its place, then page by page the
 * pictures are made and drawn. */
#include "contact.h"

#include <math.h>

#include "compose.h"
#include "ink.h"
#include "say.h"
#include "spacing.h"

#define ABREAST 5

typedef struct {
  guint page;
  const PwModelPhoto *photo; /* NULL: a stage's heading */
  char *says;                /* what the picture is, for who does not see it */
  GPtrArray *texts;          /* PwText, one below the other */
  double x, y;               /* of the cell; of a heading its first baseline */
  PwBox box;                 /* of the picture */
} Cell;

typedef struct {
  const PwModel *model;
  const PwPlateOptions *options;
  PwPdf *pdf;
  PwSheet *sheet;
  PwHead *head;
  PwFoot *foot;
  double page_width, page_height, margin, gap, cell_width, picture_height;
  GPtrArray *cells;
  guint page;
  double y, bottom; /* of the next row; of the last */
} Work;

static void
cell_free(Cell *cell)
{
  g_ptr_array_unref(cell->texts);
  g_free(cell->says);
  g_free(cell);
}

static Cell *
cell_new(const Work *w, const PwModelPhoto *photo)
{
  Cell *cell = g_new0(Cell, 1);
  cell->photo = photo;
  cell->texts = g_ptr_array_new_with_free_func((GDestroyNotify)pw_text_free);
  cell->page = w->page;
  return cell;
}

static void
add_text(const Work *w, Cell *cell, PwRole role, const char *words, double width)
{
  if (words != NULL && *words != '\0')
    g_ptr_array_add(cell->texts, pw_plate_text_new(w->pdf, w->options->style, role, words, width));
}

static double
texts_height(const Cell *cell)
{
  double height = 0;
  for (guint i = 0; i < cell->texts->len; i++)
    height += pw_text_height(cell->texts->pdata[i]);
  return height;
}

static char *
dup_marks(const Work *w, const PwModelPhoto *photo)
{
  guint n = 0;
  for (gsize i = 0; i < photo->n_marks; i++)
    n += pw_model_mark_shown(w->model, &photo->marks[i], w->options->audience) ? 1 : 0;
  if (n == 0)
    return NULL;
  return pw_words_dup_count(w->options->words, "marks", n);
}

static void
fill_words(const Work *w, Cell *cell)
{
  const PwModelPhoto *photo = cell->photo;
  const PwSidecar *sidecar = photo->sidecar;
  const char *view = sidecar != NULL && sidecar->view != NULL
                         ? pw_words_peek_view(w->options->words, sidecar->view)
                         : "";
  g_autofree char *what =
      pw_say_join(view, sidecar != NULL && sidecar->place != NULL ? sidecar->place : "", NULL);
  g_autofree char *when = pw_say_dup_when(w->options->words, photo);
  g_autofree char *marks = dup_marks(w, photo);
  g_autofree char *name =
      w->options->audience == PW_FOR_PUBLIC ? g_strdup("") : g_path_get_basename(photo->file);
  g_autofree char *all = pw_say_join(what, pw_say_peek_stage(w->options->words, photo->stage),
                                     when != NULL ? when : "", NULL);
  cell->says = pw_words_dup_phrase(w->options->words, "figure", "what", all, NULL);
  g_autofree char *last = pw_say_join(name, marks != NULL ? marks : "", NULL);
  add_text(w, cell, PW_ROLE_CAPTION, what, w->cell_width);
  add_text(w, cell, PW_ROLE_FILE, when, w->cell_width);
  add_text(w, cell, PW_ROLE_FILE, last, w->cell_width);
}

static void
set_picture(const Work *w, Cell *cell)
{
  double wide = cell->photo->facts.width, high = cell->photo->facts.height;
  double scale = MIN(w->cell_width / wide, w->picture_height / high);
  cell->box =
      (PwBox){cell->x, cell->y + w->picture_height - high * scale, wide * scale, high * scale};
}

static void
next_page(Work *w)
{
  w->page++;
  w->y = w->head->height;
}

/* A stage's heading over its first row, and over the first of a page that it goes on to. */
static void
add_heading(Work *w, const PwModelPhoto *photo, double row_height, gboolean again)
{
  const PwWords *words = w->options->words;
  const char *stage = pw_say_peek_stage(words, photo->stage);
  g_autofree char *more =
      again ? pw_words_dup_phrase(words, "continued", "what", stage, NULL) : NULL;
  Cell *cell = cell_new(w, NULL);
  add_text(w, cell, PW_ROLE_STAGE, again ? more : stage, 0);
  double height = texts_height(cell) + w->gap;
  if (w->y > w->head->height)
    w->y += w->gap;
  if (w->y + height + row_height > w->bottom)
    next_page(w);
  cell->page = w->page;
  cell->x = w->margin;
  cell->y = w->y + pw_text_first_baseline(cell->texts->pdata[0]);
  w->y += height;
  g_ptr_array_add(w->cells, cell);
}

/* The photographs from `first` on that make one row: of one stage, at most ABREAST. */
static guint
row_length(const GPtrArray *photos, guint first)
{
  const PwModelPhoto *photo = photos->pdata[first];
  guint n = 1;
  while (n < ABREAST && first + n < photos->len &&
         ((const PwModelPhoto *)photos->pdata[first + n])->stage == photo->stage)
    n++;
  return n;
}

static void
add_row(Work *w, const GPtrArray *photos, guint first, guint n, gboolean heading)
{
  Cell *cells[ABREAST] = {NULL};
  double words = 0;
  for (guint i = 0; i < n; i++) {
    cells[i] = cell_new(w, photos->pdata[first + i]);
    fill_words(w, cells[i]);
    words = MAX(words, texts_height(cells[i]));
  }
  double space = pw_style_length(w->options->style, "caption-gap");
  double height = w->picture_height + space + words;
  gboolean goes_on = !heading && w->y + height > w->bottom;
  if (goes_on)
    next_page(w);
  if (heading || goes_on)
    add_heading(w, photos->pdata[first], height, goes_on);
  for (guint i = 0; i < n; i++) {
    cells[i]->page = w->page;
    cells[i]->x = w->margin + i * (w->cell_width + w->gap);
    cells[i]->y = w->y;
    set_picture(w, cells[i]);
    g_ptr_array_add(w->cells, cells[i]);
  }
  w->y += height + w->gap;
}

static void
place_all(Work *w, const GPtrArray *photos)
{
  w->y = w->head->height;
  w->bottom = w->page_height - w->margin - w->foot->height - w->gap;
  for (guint i = 0; i < photos->len;) {
    guint n = row_length(photos, i);
    const PwModelPhoto *photo = photos->pdata[i];
    gboolean heading =
        i == 0 || ((const PwModelPhoto *)photos->pdata[i - 1])->stage != photo->stage;
    add_row(w, photos, i, n, heading);
    i += n;
  }
}

static void
draw_cell(const Work *w, const Cell *cell, const PwPicture *picture)
{
  double y = cell->y;
  if (cell->photo != NULL) {
    const PwBox *box = &cell->box;
    pw_pdf_begin_figure(w->pdf, cell->says, box->x, box->y, box->width, box->height);
    pw_pdf_draw_jpeg(w->pdf, picture->jpeg, picture->width, picture->height, box->x, box->y,
                     box->width, box->height);
    pw_pdf_end(w->pdf);
    y += w->picture_height + pw_style_length(w->options->style, "caption-gap");
  }
  pw_pdf_begin(w->pdf, cell->photo != NULL ? PW_ELEMENT_P : PW_ELEMENT_H2);
  for (guint i = 0; i < cell->texts->len; i++) {
    const PwText *text = cell->texts->pdata[i];
    pw_text_draw(text, cell->x, cell->photo != NULL ? y + pw_text_first_baseline(text) : y, 0, 0,
                 0);
    y += pw_text_height(text);
  }
  pw_pdf_end(w->pdf);
}

/* "Page 2 of 3". */
static void
number_page(Work *w, guint page, guint n)
{
  g_autofree char *number = g_strdup_printf("%u", page), *all = g_strdup_printf("%u", n);
  g_free(w->sheet->place);
  w->sheet->place =
      pw_words_dup_phrase(w->options->words, "page-number", "n", number, "m", all, NULL);
}

static gboolean
draw_page(Work *w, guint page, guint *made, guint total, GError **error)
{
  const PwStyle *style = w->options->style;
  g_autoptr(PwRenders) renders = pw_renders_new(w->model, w->options);
  for (guint i = 0; i < w->cells->len; i++) {
    const Cell *cell = w->cells->pdata[i];
    if (cell->page != page || cell->photo == NULL)
      continue;
    PwSheetPicture whole = {.source = cell->photo,
                            .crop_width = cell->photo->facts.width,
                            .crop_height = cell->photo->facts.height};
    pw_renders_add(renders, &whole, &cell->box);
  }
  if (!pw_renders_run(renders, *made, total, error))
    return FALSE;
  *made += pw_renders_n(renders);
  number_page(w, page + 1, w->page + 1);
  PwHead *head = pw_head_new(w->pdf, style, w->sheet, w->page_width);
  cairo_t *cr = pw_pdf_begin_page(w->pdf, w->page_width, w->page_height);
  if (page == 0)
    pw_pdf_bookmark(w->pdf, 0, w->sheet->title, 0);
  pw_head_draw(head, w->pdf, cr, style, w->page_width,
               page == 0 ? PW_ELEMENT_H1 : PW_ELEMENT_ORNAMENT);
  pw_head_free(head);
  guint next = 0;
  for (guint i = 0; i < w->cells->len; i++) {
    const Cell *cell = w->cells->pdata[i];
    if (cell->page == page)
      draw_cell(w, cell, cell->photo != NULL ? pw_renders_peek(renders, next++) : NULL);
  }
  pw_foot_draw(w->foot, w->pdf, cr, style, w->page_width, w->page_height);
  return TRUE;
}

static void
prepare(Work *w)
{
  const PwStyle *style = w->options->style;
  const PwWords *words = w->options->words;
  double short_mm, long_mm;
  pw_style_page(style, words, &short_mm, &long_mm);
  w->page_width = long_mm;
  w->page_height = short_mm;
  w->margin = pw_style_length(style, "margin");
  w->gap = PW_CONTACT_GAP;
  w->picture_height = PW_CONTACT_HEIGHT;
  w->cell_width = (w->page_width - 2 * w->margin - (ABREAST - 1) * w->gap) / ABREAST;
  w->sheet->title = g_strdup(pw_words_peek(words, "contact-sheet"));
  w->sheet->identity = pw_compose_dup_identity(w->model, w->options);
  w->sheet->pixels = g_strdup(pw_words_peek(words, "contact-pixels"));
  number_page(w, 1, 1);
  w->head = pw_head_new(w->pdf, style, w->sheet, w->page_width);
  w->foot = pw_foot_new(w->pdf, style, w->sheet, w->sheet->callouts, w->page_width);
}

gboolean
pw_contact_draw(const PwModel *model, const PwPlateOptions *options, GPtrArray *photos, PwPdf *pdf,
                guint *n_pages, GError **error)
{
  g_autoptr(PwSheet) sheet = pw_sheet_new(options->words);
  Work w = {.model = model, .options = options, .pdf = pdf, .sheet = sheet};
  w.cells = g_ptr_array_new_with_free_func((GDestroyNotify)cell_free);
  prepare(&w);
  place_all(&w, photos);
  gboolean ok = TRUE;
  guint made = 0;
  for (guint page = 0; ok && page <= w.page; page++)
    ok = draw_page(&w, page, &made, photos->len, error);
  *n_pages = w.page + 1;
  g_ptr_array_unref(w.cells);
  pw_head_free(w.head);
  pw_foot_free(w.foot);
  return ok;
}
