/* Drawings as figures: on one strip with their caption under them, made smaller where they are
 * wider or higher than the page takes.
 */
#include "set_pdf_setting.h"

/* From a drawing to the words under it. */
#define CAPTION_DROP 1.6
/* A drawing takes at most this share of a page's height. */
#define HIGHEST 0.8

/* ---- On a strip -------------------------------------------------------------------- */

static double
scale_of(const PwSetting *s, const PwDrawing *drawing)
{
  double highest = HIGHEST * (s->grid.bottom - s->grid.top);
  return MIN(1, MIN(s->grid.full / drawing->width_mm, highest / drawing->height_mm));
}

static void
set_caption(PwSetting *s, const PwProse *caption, double x, double width)
{
  PwText *text = pw_set_prose(s, PW_ROLE_DOC_CAPTION, caption, PW_VOICE_PLAIN, width);
  pw_set_keep(s);
  pw_set_begin(s, PW_ELEMENT_CAPTION);
  pw_set_lines(s, PW_ROLE_DOC_CAPTION, text, x, CAPTION_DROP, 0);
  pw_set_end(s);
}

void
pw_set_drawing(PwSetting *s, const PwBlock *block)
{
  const PwDrawing *drawing = block->drawing;
  double scale = scale_of(s, drawing), width = scale * drawing->width_mm;
  gboolean is_narrow = width <= s->grid.measure;
  double x = is_narrow ? s->grid.text : s->grid.left;
  if (!is_narrow)
    pw_set_stand(s);
  double baseline = s->side_head != NULL ? pw_text_first_baseline(s->side_head) : 0;
  PwStrip *strip = pw_set_strip(s, pw_set_space(s), scale * drawing->height_mm, baseline);
  PwPart part = {.kind = PW_PART_DRAWING, .drawing = drawing, .x = x, .scale = scale};
  g_array_append_val(strip->parts, part);
  if (!pw_prose_is_empty(&block->prose))
    set_caption(s, &block->prose, x, is_narrow ? s->grid.measure : s->grid.full);
}

/* ---- On paper ---------------------------------------------------------------------- */

static void
set_ink(cairo_t *cr, PwInk ink)
{
  cairo_set_source_rgb(cr, ink.r, ink.g, ink.b);
}

static void
draw_line(cairo_t *cr, const PwMadeOf *shape)
{
  set_ink(cr, shape->ink);
  cairo_set_line_width(cr, shape->width_mm);
  cairo_set_dash(cr, shape->dash_mm, shape->dash_mm[0] > 0 ? 2 : 0, 0);
  cairo_move_to(cr, shape->x, shape->y);
  cairo_line_to(cr, shape->x2, shape->y2);
  cairo_stroke(cr);
}

static void
draw_box(cairo_t *cr, const PwMadeOf *shape)
{
  cairo_rectangle(cr, shape->x, shape->y, shape->x2 - shape->x, shape->y2 - shape->y);
  if (shape->is_filled) {
    set_ink(cr, shape->fill);
    cairo_fill_preserve(cr);
  }
  if (shape->width_mm > 0) {
    set_ink(cr, shape->ink);
    cairo_set_line_width(cr, shape->width_mm);
    cairo_set_dash(cr, shape->dash_mm, shape->dash_mm[0] > 0 ? 2 : 0, 0);
    cairo_stroke_preserve(cr);
  }
  cairo_new_path(cr);
}

static PwFace
face_of(const PwType *type, PwInk ink, gboolean is_strong)
{
  return (PwFace){.family = type->family,
                  .size_pt = type->size_pt,
                  .leading_pt = type->leading_pt,
                  .bold = type->bold || is_strong,
                  .italic = type->italic,
                  .tabular = type->tabular,
                  .r = ink.r,
                  .g = ink.g,
                  .b = ink.b};
}

static void
draw_words(const PwSetting *s, cairo_t *cr, const PwMadeOf *shape)
{
  const PwType *type = pw_style_type(s->style, PW_ROLE_DOC_DRAWING);
  PwInk soft = pw_style_ink(s->style, "soft-ink");
  const PwSpan spans[] = {
      {.text = shape->text,
       .face = face_of(type, shape->is_soft ? soft : shape->ink, shape->is_strong)},
      {.text = shape->rest, .face = face_of(type, soft, FALSE)}};
  g_autoptr(PwText) text =
      pw_text_new_spans(s->pdf, &spans[0].face, spans, shape->rest != NULL ? 2 : 1, 0);
  pw_text_draw_on(text, cr, shape->x, shape->y, shape->align);
}

static void
draw_shape(const PwSetting *s, cairo_t *cr, const PwMadeOf *shape)
{
  switch (shape->kind) {
  case PW_SHAPE_LINE:
    draw_line(cr, shape);
    break;
  case PW_SHAPE_BOX:
    draw_box(cr, shape);
    break;
  case PW_SHAPE_WORDS:
    draw_words(s, cr, shape);
    break;
  }
}

void
pw_set_draw_shapes(const PwSetting *s, cairo_t *cr, const PwDrawing *drawing, double x, double y,
                   double scale)
{
  const char *says = drawing->says != NULL ? drawing->says : drawing->title;
  pw_pdf_begin_figure(s->pdf, says, x, y, scale * drawing->width_mm, scale * drawing->height_mm);
  cairo_save(cr);
  cairo_translate(cr, x, y);
  cairo_scale(cr, scale, scale);
  for (guint i = 0; i < drawing->shapes->len; i++)
    draw_shape(s, cr, &g_array_index(drawing->shapes, PwMadeOf, i));
  cairo_restore(cr);
  pw_pdf_end(s->pdf);
}
