/* Pages of text drawn: strips part by part, the foot under them. */
#include "set_pdf_setting.h"

/* White between the two ends of the foot. */
#define FOOT_APART 8.0
/* The words over a page that goes on begin so far above it, in steps of the grid. */
#define AGAIN_RISE 1.4

/* ---- Parts ------------------------------------------------------------------------- */

static void
stroke(const PwSetting *s, cairo_t *cr, const PwPart *part, double x2, double y, double y2)
{
  double hairline = pw_style_length(s->style, "hairline");
  PwInk ink = pw_style_ink(s->style, part->width > hairline ? "ink" : "hairline");
  cairo_save(cr);
  cairo_set_source_rgb(cr, ink.r, ink.g, ink.b);
  cairo_set_line_width(cr, part->width);
  cairo_move_to(cr, part->x, y);
  cairo_line_to(cr, x2, y2);
  cairo_stroke(cr);
  cairo_restore(cr);
}

/* `y` is where the part's strip begins. */
static void
draw_part(const PwSetting *s, cairo_t *cr, const PwPart *part, double y)
{
  switch (part->kind) {
  case PW_PART_BEGIN:
    pw_pdf_begin(s->pdf, part->element);
    break;
  case PW_PART_END:
    pw_pdf_end(s->pdf);
    break;
  case PW_PART_TEXT:
    pw_text_draw(part->text, part->x, y + part->y, part->align, part->first, part->n);
    break;
  case PW_PART_RULE:
    stroke(s, cr, part, part->x2, y + part->y, y + part->y);
    break;
  case PW_PART_BAR:
    stroke(s, cr, part, part->x, y + part->y, y + part->y2);
    break;
  case PW_PART_DRAWING:
    pw_set_draw_shapes(s, cr, part->drawing, part->x, y + part->y, part->scale);
    break;
  case PW_PART_PLACE:
    pw_pdf_destination(s->pdf, part->name, y);
    break;
  case PW_PART_BOOKMARK:
    pw_pdf_bookmark(s->pdf, part->level, part->name, y);
    break;
  }
}

static void
draw_strip(const PwSetting *s, cairo_t *cr, const PwStrip *strip, double y)
{
  for (guint i = 0; i < strip->parts->len; i++)
    draw_part(s, cr, &g_array_index(strip->parts, PwPart, i), y);
}

/* A head that is repeated is read once, and nothing leads to it again. */
static void
draw_ornament(const PwSetting *s, cairo_t *cr, const PwStrip *strip, double y)
{
  pw_pdf_begin(s->pdf, PW_ELEMENT_ORNAMENT);
  for (guint i = 0; i < strip->parts->len; i++) {
    const PwPart *part = &g_array_index(strip->parts, PwPart, i);
    if (part->kind == PW_PART_TEXT || part->kind == PW_PART_RULE)
      draw_part(s, cr, part, y);
  }
  pw_pdf_end(s->pdf);
}

/* In the white over a page: what goes on there. */
static void
draw_again(const PwSetting *s, const PwText *again)
{
  double y = s->grid.top - AGAIN_RISE * s->grid.step + pw_text_first_baseline(again);
  pw_pdf_begin(s->pdf, PW_ELEMENT_ORNAMENT);
  pw_text_draw(again, s->grid.left, y, pw_set_align(again), 0, 1);
  pw_pdf_end(s->pdf);
}

void
pw_set_draw_page(const PwSetting *s, const PwSetPage *page)
{
  cairo_t *cr = pw_pdf_begin_page(s->pdf, s->grid.width, s->grid.height);
  if (page->again != NULL)
    draw_again(s, page->again);
  if (page->head >= 0)
    draw_ornament(s, cr, pw_setting_peek_strip(s, (guint)page->head), s->grid.top);
  for (guint i = page->first; i < page->end; i++) {
    const PwStrip *strip = pw_setting_peek_strip(s, i);
    draw_strip(s, cr, strip, strip->y);
  }
}

/* ---- The foot ---------------------------------------------------------------------- */

/* Cut to the line it has: the first words tell which document this is. */
void
pw_set_draw_foot(PwSetting *s, guint page, guint n_pages, double left, double right, double y)
{
  g_autofree char *n = g_strdup_printf("%u", page), *m = g_strdup_printf("%u", n_pages);
  g_autofree char *words = pw_words_dup_phrase(s->words, "foot-page", "n", n, "m", m, NULL);
  PwText *number = pw_set_words(s, PW_ROLE_FOOT, words, 0);
  double room = right - left - FOOT_APART - pw_text_width(number);
  PwText *what = pw_set_words(s, PW_ROLE_FOOT, s->doc->foot != NULL ? s->doc->foot : "", room);
  pw_text_draw(what, left, y, 0, 0, 1);
  pw_text_draw(number, right, y, 1, 0, 0);
}
