/* Ink: see ink.h. A stroke's middle lies on its millimetre; nothing is rounded to a printer's dots.
 */
#include "ink.h"

/* As fine as a home printer draws without breaking, and wide enough to be seen in a photograph at
 * 5 px per mm. */
static const double STROKE = 0.18, HALF_STROKE = 0.12, CHECK_STROKE = 0.15;
static const double HALF_LENGTH = 0.6; /* of a millimetre's stroke */
static const double NUMBER_GAP = 0.4;
/* Height of Lato's figures, as a part of the type's size. */
static const double FIGURE_HEIGHT = 0.72;

void
pw_card_line(cairo_t *cr, PwMm from, PwMm to, double width)
{
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
  cairo_set_line_width(cr, width);
  cairo_move_to(cr, from.x, from.y);
  cairo_line_to(cr, to.x, to.y);
  cairo_stroke(cr);
}

void
pw_card_words(PwPdf *pdf, cairo_t *cr, const PwFace *face, const char *words, PwMm at, double align)
{
  g_autoptr(PwText) text = pw_text_new(pdf, face, words, 0);
  pw_text_draw_on(text, cr, at.x, at.y, align);
}

/* ---- Graduations ------------------------------------------------------------------- */

/* The point so far along the scale, and so far in from the edge. */
static PwMm
place(const PwGraduations *g, double along, double inward)
{
  switch (g->edge) {
  case PW_EDGE_LEFT:
    return (PwMm){g->zero.x + inward, g->zero.y - along};
  case PW_EDGE_UPPER:
    return (PwMm){g->zero.x + along, g->zero.y + inward};
  case PW_EDGE_LOWER:
    break;
  }
  return (PwMm){g->zero.x + along, g->zero.y - inward};
}

static void
draw_stroke(cairo_t *cr, const PwGraduations *g, double at, double length, double width)
{
  pw_card_line(cr, place(g, at, 0), place(g, at, length), width);
}

/* Beyond its stroke; upright on every edge. */
static void
draw_number(PwPdf *pdf, cairo_t *cr, const PwGraduations *g, int mm)
{
  PwFace face = {.family = "Lato", .size_pt = g->number_pt, .tabular = TRUE};
  double height = FIGURE_HEIGHT * g->number_pt * PW_MM_PER_PT;
  g_autofree char *words = g_strdup_printf("%d", mm);
  PwMm at = place(g, mm, g->ten + NUMBER_GAP);
  if (g->edge != PW_EDGE_LOWER)
    at.y += g->edge == PW_EDGE_LEFT ? height / 2 : height;
  pw_card_words(pdf, cr, &face, words, at, g->edge == PW_EDGE_LEFT ? 0 : 0.5);
}

void
pw_card_graduations(PwPdf *pdf, cairo_t *cr, const PwGraduations *g)
{
  for (int mm = 0; mm <= g->length; mm++) {
    double length = mm % 10 == 0 ? g->ten : mm % 5 == 0 ? g->five : g->mm;
    draw_stroke(cr, g, mm, length, STROKE);
    if (mm < g->halves)
      draw_stroke(cr, g, mm + 0.5, HALF_LENGTH * g->mm, HALF_STROKE);
    if (mm % 10 == 0 && g->number_pt > 0)
      draw_number(pdf, cr, g, mm);
  }
}

/* ---- Check lines ------------------------------------------------------------------- */

static void
draw_check_line(PwPdf *pdf, cairo_t *cr)
{
  const double end = 0.9, gap = 1.5;
  PwFace face = {.family = "Gentium Plus", .size_pt = 7, .italic = TRUE};
  g_autoptr(PwText) words = pw_text_new(pdf, &face, "measure me: 100 mm", 0);
  double half = pw_text_width(words) / 2 + gap, middle = PW_CARD_CHECK_MM / 2;
  pw_card_line(cr, (PwMm){0, 0}, (PwMm){middle - half, 0}, CHECK_STROKE);
  pw_card_line(cr, (PwMm){middle + half, 0}, (PwMm){PW_CARD_CHECK_MM, 0}, CHECK_STROKE);
  pw_card_line(cr, (PwMm){0, -end}, (PwMm){0, end}, CHECK_STROKE);
  pw_card_line(cr, (PwMm){PW_CARD_CHECK_MM, -end}, (PwMm){PW_CARD_CHECK_MM, end}, CHECK_STROKE);
  pw_text_draw_on(words, cr, middle, 0.6, 0.5);
}

void
pw_card_check_line(PwPdf *pdf, cairo_t *cr, PwMm start, gboolean across)
{
  cairo_save(cr);
  cairo_translate(cr, start.x, start.y);
  if (across)
    cairo_rotate(cr, G_PI / 2);
  draw_check_line(pdf, cr);
  cairo_restore(cr);
}
