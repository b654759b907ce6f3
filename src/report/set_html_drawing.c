/* Drawings as SVG, shape by shape, in millimetres. Their darkest and lightest inks are those of the
 * page, so that they turn with it where the reader's screen is dark. */
#include "set_html_private.h"

#include <math.h>

#define MM_PER_PT (25.4 / 72)

static gboolean
same_ink(PwInk a, PwInk b)
{
  const double nothing = 1.0 / 512; /* less than an 8-bit step */
  return fabs(a.r - b.r) < nothing && fabs(a.g - b.g) < nothing && fabs(a.b - b.b) < nothing;
}

/* The page's name for an ink: a value of fill or stroke. Yours. */
static char *
dup_paint(const PwHtml *html, PwInk ink)
{
  const PwStyle *style = html->options->style;
  static const struct {
    const char *ink, *paint;
  } named[] = {{"ink", "var(--ink)"},
               {"soft-ink", "var(--soft)"},
               {"hairline", "var(--soft)"},
               {"casing", "var(--paper)"}};
  for (gsize i = 0; i < G_N_ELEMENTS(named); i++)
    if (same_ink(ink, pw_style_ink(style, named[i].ink)))
      return g_strdup(named[i].paint);
  return g_strdup_printf("#%02x%02x%02x", (guint)lround(ink.r * 255), (guint)lround(ink.g * 255),
                         (guint)lround(ink.b * 255));
}

static void
put_line(PwHtml *html, const PwMadeOf *shape)
{
  g_autofree char *x = pw_markup_dup_number(shape->x), *y = pw_markup_dup_number(shape->y);
  g_autofree char *x2 = pw_markup_dup_number(shape->x2), *y2 = pw_markup_dup_number(shape->y2);
  g_autofree char *width = pw_markup_dup_number(shape->width_mm);
  g_autofree char *paint = dup_paint(html, shape->ink);
  g_autofree char *dash = NULL;
  if (shape->dash_mm[0] > 0) {
    g_autofree char *on = pw_markup_dup_number(shape->dash_mm[0]);
    g_autofree char *off = pw_markup_dup_number(shape->dash_mm[1]);
    dash = g_strdup_printf("%s %s", on, off);
  }
  pw_markup_void(html->markup, "line", "x1", x, "y1", y, "x2", x2, "y2", y2, "stroke", paint,
                 "stroke-width", width, "stroke-dasharray", dash, NULL);
}

static void
put_box(PwHtml *html, const PwMadeOf *shape)
{
  g_autofree char *x = pw_markup_dup_number(MIN(shape->x, shape->x2));
  g_autofree char *y = pw_markup_dup_number(MIN(shape->y, shape->y2));
  g_autofree char *width = pw_markup_dup_number(fabs(shape->x2 - shape->x));
  g_autofree char *height = pw_markup_dup_number(fabs(shape->y2 - shape->y));
  g_autofree char *fill = shape->is_filled ? dup_paint(html, shape->fill) : g_strdup("none");
  g_autofree char *rim = shape->width_mm > 0 ? dup_paint(html, shape->ink) : NULL;
  g_autofree char *rim_width = rim != NULL ? pw_markup_dup_number(shape->width_mm) : NULL;
  pw_markup_void(html->markup, "rect", "x", x, "y", y, "width", width, "height", height, "fill",
                 fill, "stroke", rim, "stroke-width", rim_width, NULL);
}

static void
put_words(PwHtml *html, const PwMadeOf *shape)
{
  static const char *const anchors[] = {"start", "middle", "end"};
  g_autofree char *x = pw_markup_dup_number(shape->x), *y = pw_markup_dup_number(shape->y);
  g_autofree char *paint = dup_paint(html, shape->ink);
  pw_markup_open(html->markup, "text", "x", x, "y", y, "text-anchor",
                 anchors[(int)lround(2 * CLAMP(shape->align, 0, 1))], "fill",
                 shape->is_soft ? "var(--soft)" : paint, "class",
                 shape->is_strong ? "strong" : NULL, NULL);
  pw_markup_text(html->markup, shape->text);
  if (shape->rest != NULL)
    pw_markup_element(html->markup, "tspan", shape->rest, "fill", "var(--soft)", NULL);
  pw_markup_close(html->markup);
}

static void
put_shape(PwHtml *html, const PwMadeOf *shape)
{
  static void (*const put[])(PwHtml *, const PwMadeOf *) = {
      [PW_SHAPE_LINE] = put_line, [PW_SHAPE_BOX] = put_box, [PW_SHAPE_WORDS] = put_words};
  g_autofree char *target = pw_html_dup_target(html, shape->anchor);
  if (target != NULL)
    pw_markup_open(html->markup, "a", "href", target, NULL);
  put[shape->kind](html, shape);
  if (target != NULL)
    pw_markup_close(html->markup);
}

/* A drawing with links in it is a group of them, one without a picture. */
static gboolean
has_links(const PwHtml *html, const PwDrawing *drawing)
{
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = &g_array_index(drawing->shapes, PwMadeOf, i);
    g_autofree char *target = pw_html_dup_target(html, shape->anchor);
    if (target != NULL)
      return TRUE;
  }
  return FALSE;
}

void
pw_html_drawing(PwHtml *html, const PwBlock *block)
{
  const PwDrawing *drawing = block->drawing;
  g_autofree char *id = pw_html_claim_id(html, block->anchor);
  g_autofree char *width = pw_markup_dup_number(drawing->width_mm);
  g_autofree char *height = pw_markup_dup_number(drawing->height_mm);
  g_autofree char *box = g_strdup_printf("0 0 %s %s", width, height);
  double size_pt = pw_style_type(html->options->style, PW_ROLE_DOC_DRAWING)->size_pt;
  g_autofree char *type = pw_markup_dup_number(size_pt * MM_PER_PT);
  pw_markup_open(html->markup, "figure", "class", "drawing", "id", id, NULL);
  pw_markup_open(html->markup, "div", "class", "wide", NULL);
  pw_markup_open(html->markup, "svg", "viewBox", box, "font-size", type, "role",
                 has_links(html, drawing) ? "group" : "img", "aria-label", drawing->title, NULL);
  if (drawing->says != NULL)
    pw_markup_element(html->markup, "desc", drawing->says, NULL);
  for (guint i = 0; i < drawing->shapes->len; i++)
    put_shape(html, &g_array_index(drawing->shapes, PwMadeOf, i));
  pw_markup_close(html->markup);
  pw_markup_close(html->markup);
  if (!pw_prose_is_empty(&block->prose)) {
    pw_markup_open(html->markup, "figcaption", NULL);
    pw_html_prose(html, &block->prose);
    pw_markup_close(html->markup);
  }
  pw_markup_close(html->markup);
}
