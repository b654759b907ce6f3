/* Structure: the elements that a document is read by, gathered while its pages are drawn.
 *
 * Cairo 1.16 writes a tree of its own, but loses an element that stays open over pages and knows
 * no descriptions. So it is only asked to mark content: every stretch of it that belongs to one
 * element is a mark without nesting, and which mark is whose is kept here. From that tree.c makes
 * the document's own tree.
 */
#include "private.h"

#include <string.h>

/* What Cairo calls every mark; marking.c puts the element's own type in its place. */
static const char mark_name[] = "P";

typedef struct {
  const char *type, *attributes;
  gboolean has_words;
} Kind;

static const Kind kinds[] = {
    [PW_ELEMENT_SECTION] = {"/Sect", NULL, FALSE},
    [PW_ELEMENT_H1] = {"/H1", NULL, TRUE},
    [PW_ELEMENT_H2] = {"/H2", NULL, TRUE},
    [PW_ELEMENT_H3] = {"/H3", NULL, TRUE},
    [PW_ELEMENT_P] = {"/P", NULL, TRUE},
    [PW_ELEMENT_LIST] = {"/L", NULL, FALSE},
    [PW_ELEMENT_ITEM] = {"/LI", NULL, FALSE},
    [PW_ELEMENT_LABEL] = {"/Lbl", NULL, TRUE},
    [PW_ELEMENT_BODY] = {"/LBody", NULL, TRUE},
    [PW_ELEMENT_TABLE] = {"/Table", NULL, FALSE},
    [PW_ELEMENT_ROW] = {"/TR", NULL, FALSE},
    [PW_ELEMENT_COLUMN_HEAD] = {"/TH", "<< /O /Table /Scope /Column >>", TRUE},
    [PW_ELEMENT_ROW_HEAD] = {"/TH", "<< /O /Table /Scope /Row >>", TRUE},
    [PW_ELEMENT_CELL] = {"/TD", NULL, TRUE},
    [PW_ELEMENT_CAPTION] = {"/Caption", NULL, TRUE},
    [PW_ELEMENT_SPAN] = {"/Span", NULL, TRUE},
};
static const Kind document = {"/Document", NULL, FALSE};
static const Kind figure = {"/Figure", NULL, TRUE};
static const Kind link_kind = {"/Link", NULL, TRUE};

enum { ORNAMENT = -1 };

/* ---- Life ---------------------------------------------------------------------------- */

static void
clear_element(gpointer element)
{
  PwPdfElement *own = element;
  g_free(own->says);
  g_free(own->destination);
  g_array_unref(own->kids);
}

static void
clear_place(gpointer place)
{
  g_free(((PwPdfPlace *)place)->name);
}

static PwPdfElement *
peek_element(const PwPdfStructure *structure, int which)
{
  return &g_array_index(structure->elements, PwPdfElement, which);
}

/* Its number; it becomes the last child of `parent`. */
static int
add_element(PwPdfStructure *structure, const Kind *kind, int parent)
{
  int number = (int)structure->elements->len;
  PwPdfElement element = {.type = kind->type,
                          .attributes = kind->attributes,
                          .has_words = kind->has_words,
                          .parent = parent,
                          .kids = g_array_new(FALSE, FALSE, sizeof(PwPdfKid))};
  g_array_append_val(structure->elements, element);
  if (parent >= 0) {
    PwPdfKid kid = {.element = number};
    g_array_append_val(peek_element(structure, parent)->kids, kid);
  }
  return number;
}

void
pw_pdf_structure_init(PwPdfStructure *structure)
{
  *structure = (PwPdfStructure){
      .elements = g_array_new(FALSE, FALSE, sizeof(PwPdfElement)),
      .areas = g_array_new(FALSE, FALSE, sizeof(PwPdfArea)),
      .places = g_array_new(FALSE, FALSE, sizeof(PwPdfPlace)),
      .open = g_array_new(FALSE, FALSE, sizeof(int)),
  };
  g_array_set_clear_func(structure->elements, clear_element);
  g_array_set_clear_func(structure->places, clear_place);
  add_element(structure, &document, -1);
}

void
pw_pdf_structure_clear(PwPdfStructure *structure)
{
  g_clear_pointer(&structure->elements, g_array_unref);
  g_clear_pointer(&structure->areas, g_array_unref);
  g_clear_pointer(&structure->places, g_array_unref);
  g_clear_pointer(&structure->open, g_array_unref);
}

/* ---- Marks --------------------------------------------------------------------------- */

static int
innermost(const PwPdfStructure *structure)
{
  guint n = structure->open->len;
  return n > 0 ? g_array_index(structure->open, int, n - 1) : 0;
}

static void
stop_marking(PwPdf *pdf)
{
  if (pdf->structure.is_marking)
    cairo_tag_end(pdf->cr, mark_name);
  pdf->structure.is_marking = FALSE;
}

static void
start_marking(PwPdf *pdf)
{
  PwPdfStructure *structure = &pdf->structure;
  int which = innermost(structure);
  if (pdf->cr == NULL || which == ORNAMENT || !peek_element(structure, which)->has_words)
    return;
  PwPdfKid kid = {-1, (guint)pdf->n_pages - 1, structure->n_marks++};
  g_array_append_val(peek_element(structure, which)->kids, kid);
  cairo_tag_begin(pdf->cr, mark_name, "");
  structure->is_marking = TRUE;
}

static void
open_element(PwPdf *pdf, int which)
{
  stop_marking(pdf);
  g_array_append_val(pdf->structure.open, which);
  start_marking(pdf);
}

void
pw_pdf_leave_page(PwPdf *pdf)
{
  stop_marking(pdf);
  if (pdf->furnish == NULL)
    return;
  pw_pdf_begin(pdf, PW_ELEMENT_ORNAMENT);
  pdf->furnish(pdf, (guint)pdf->n_pages, pdf->page_width_mm, pdf->page_height_mm,
               pdf->furnish_data);
  if (!pdf->is_svg)
    g_array_set_size(pdf->structure.open, pdf->structure.open->len - 1);
}

void
pw_pdf_enter_page(PwPdf *pdf)
{
  pdf->structure.n_marks = 0;
  if (!pdf->is_svg)
    start_marking(pdf);
}

/* ---- Elements ------------------------------------------------------------------------ */

/* The new element, open; NULL where it is not kept: in ornament, in an SVG. */
static PwPdfElement *
begin_kind(PwPdf *pdf, const Kind *kind)
{
  int parent = innermost(&pdf->structure);
  if (pdf->is_svg)
    return NULL;
  if (kind == NULL || parent == ORNAMENT) {
    open_element(pdf, ORNAMENT);
    return NULL;
  }
  int which = add_element(&pdf->structure, kind, parent);
  open_element(pdf, which);
  return peek_element(&pdf->structure, which);
}

void
pw_pdf_begin(PwPdf *pdf, PwElement element)
{
  begin_kind(pdf, element == PW_ELEMENT_ORNAMENT ? NULL : &kinds[element]);
}

void
pw_pdf_end(PwPdf *pdf)
{
  if (pdf->is_svg)
    return;
  g_return_if_fail(pdf->structure.open->len > 0);
  stop_marking(pdf);
  g_array_set_size(pdf->structure.open, pdf->structure.open->len - 1);
  start_marking(pdf);
}

/* A box of user space in points of the page, y up. */
static void
set_box(const PwPdf *pdf, double x_mm, double y_mm, double width_mm, double height_mm,
        double box[4])
{
  double left = x_mm, top = y_mm, right = x_mm + width_mm, bottom = y_mm + height_mm;
  double page = pdf->page_height_mm / PW_MM_PER_PT;
  cairo_user_to_device(pdf->cr, &left, &top);
  cairo_user_to_device(pdf->cr, &right, &bottom);
  box[0] = MIN(left, right);
  box[1] = page - MAX(top, bottom);
  box[2] = MAX(left, right);
  box[3] = page - MIN(top, bottom);
}

void
pw_pdf_begin_figure(PwPdf *pdf, const char *description, double x_mm, double y_mm, double width_mm,
                    double height_mm)
{
  g_return_if_fail(pdf->cr != NULL);
  PwPdfElement *element = begin_kind(pdf, &figure);
  if (element == NULL)
    return;
  element->says = pw_dup_printable(description);
  set_box(pdf, x_mm, y_mm, width_mm, height_mm, element->box);
}

/* ---- Links --------------------------------------------------------------------------- */

static gint
compare_place(gconstpointer a, gconstpointer b)
{
  return strcmp(((const PwPdfPlace *)a)->name, ((const PwPdfPlace *)b)->name);
}

void
pw_pdf_destination(PwPdf *pdf, const char *name, double y_mm)
{
  g_return_if_fail(pdf->cr != NULL);
  GArray *places = pdf->structure.places;
  double box[4];
  set_box(pdf, 0, y_mm, 0, 0, box);
  PwPdfPlace place = {pw_dup_printable(name), (guint)pdf->n_pages - 1, box[3]};
  guint at = 0;
  while (at < places->len && compare_place(&g_array_index(places, PwPdfPlace, at), &place) < 0)
    at++;
  if (at < places->len && compare_place(&g_array_index(places, PwPdfPlace, at), &place) == 0)
    g_free(place.name);
  else
    g_array_insert_val(places, at, place);
}

void
pw_pdf_begin_link(PwPdf *pdf, const char *destination, const char *says)
{
  int element = -1;
  pw_pdf_take_up_link(pdf, destination, says, &element);
}

void
pw_pdf_take_up_link(PwPdf *pdf, const char *destination, const char *says, int *element)
{
  if (*element >= 0 && innermost(&pdf->structure) != ORNAMENT) {
    open_element(pdf, *element);
    return;
  }
  PwPdfElement *link = begin_kind(pdf, &link_kind);
  if (link == NULL)
    return;
  *element = innermost(&pdf->structure);
  link->destination = pw_dup_printable(destination);
  link->says = pw_dup_printable(says);
}

/* The innermost link that is open, or -1; ornament in a link is no part of it. */
static int
open_link(const PwPdfStructure *structure)
{
  for (guint i = structure->open->len; i > 0; i--) {
    int which = g_array_index(structure->open, int, i - 1);
    if (which == ORNAMENT)
      return -1;
    if (peek_element(structure, which)->destination != NULL)
      return which;
  }
  return -1;
}

gboolean
pw_pdf_is_linking(const PwPdf *pdf)
{
  return open_link(&pdf->structure) >= 0;
}

void
pw_pdf_link_box(PwPdf *pdf, double x_mm, double y_mm, double width_mm, double height_mm)
{
  if (pdf->is_svg)
    return;
  PwPdfArea area = {.element = open_link(&pdf->structure), .page = (guint)pdf->n_pages - 1};
  g_return_if_fail(pdf->cr != NULL && area.element >= 0);
  set_box(pdf, x_mm, y_mm, width_mm, height_mm, area.box);
  g_array_append_val(pdf->structure.areas, area);
}
