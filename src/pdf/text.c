/* Text: paragraphs broken into lines by Pango, each line placed by us, so that the leading is exact
 * and the baselines of two columns can agree.
 *
 * Pango counts in 1024ths of a point here; what goes in and out is millimetres.
 */
#include "private.h"

struct PwText {
  PwPdf *pdf;
  PangoLayout *layout;
  double column_mm; /* 0: none */
  double leading_mm, first_baseline_mm;
  double r, g, b;
};

static double
mm_of(int units)
{
  return (double)units / PANGO_SCALE * PW_MM_PER_PT;
}

static int
units_of(double mm)
{
  return (int)(mm / PW_MM_PER_PT * PANGO_SCALE);
}

static PangoFontDescription *
description_new(const PwFace *face)
{
  g_autofree char *families = pw_pdf_dup_families(face->family);
  PangoFontDescription *description = pango_font_description_new();
  pango_font_description_set_family(description, families);
  pango_font_description_set_size(description, (int)(face->size_pt * PANGO_SCALE + 0.5));
  pango_font_description_set_weight(description,
                                    face->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_style(description,
                                   face->italic ? PANGO_STYLE_ITALIC : PANGO_STYLE_NORMAL);
  return description;
}

static PangoAttrList *
attributes_new(const PwFace *face)
{
  PangoAttrList *attributes = pango_attr_list_new();
  /* A checksum or a file name broken inside must not gain a hyphen that is not in it. */
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  if (face->tabular)
    pango_attr_list_insert(attributes, pango_attr_font_features_new("tnum=1,lnum=1"));
  return attributes;
}

/* The separators of lines and paragraphs are no control characters, but would break a line. */
static char *
dup_plain(const char *text)
{
  g_autofree char *printable = pw_dup_printable(text);
  GString *plain = g_string_new(printable);
  g_string_replace(plain, "\xE2\x80\xA8", " ", 0);
  g_string_replace(plain, "\xE2\x80\xA9", " ", 0);
  return g_string_free(plain, FALSE);
}

/* The first baseline stands so that ascent and descent of the face itself, not of a fallback, lie
 * in the middle of the leading. */
static void
set_leading(PwText *text, const PangoFontDescription *description, double leading_pt)
{
  PangoFont *font = pango_context_load_font(text->pdf->type, description);
  PangoFontMetrics *metrics = pango_font_get_metrics(font, NULL);
  double ascent = mm_of(pango_font_metrics_get_ascent(metrics));
  double descent = mm_of(pango_font_metrics_get_descent(metrics));
  double own = mm_of(pango_font_metrics_get_height(metrics));
  pango_font_metrics_unref(metrics);
  g_clear_object(&font);
  text->leading_mm = leading_pt > 0 ? leading_pt * PW_MM_PER_PT : own;
  text->first_baseline_mm = (text->leading_mm - ascent - descent) / 2 + ascent;
}

PwText *
pw_text_new(PwPdf *pdf, const PwFace *face, const char *words, double width_mm)
{
  PwText *text = g_new0(PwText, 1);
  text->pdf = pdf;
  text->column_mm = width_mm;
  text->r = face->r;
  text->g = face->g;
  text->b = face->b;
  text->layout = pango_layout_new(pdf->type);
  PangoFontDescription *description = description_new(face);
  PangoAttrList *attributes = attributes_new(face);
  g_autofree char *plain = dup_plain(words);
  pango_layout_set_font_description(text->layout, description);
  pango_layout_set_attributes(text->layout, attributes);
  pango_layout_set_text(text->layout, plain, -1);
  if (width_mm > 0) {
    pango_layout_set_width(text->layout, units_of(width_mm));
    pango_layout_set_wrap(text->layout, PANGO_WRAP_WORD_CHAR);
  }
  set_leading(text, description, face->leading_pt);
  pango_attr_list_unref(attributes);
  pango_font_description_free(description);
  return text;
}

void
pw_text_free(PwText *text)
{
  if (text == NULL)
    return;
  g_object_unref(text->layout);
  g_free(text);
}

static double
line_width(PangoLayoutLine *line)
{
  PangoRectangle logical;
  pango_layout_line_get_extents(line, NULL, &logical);
  return mm_of(logical.width);
}

double
pw_text_width(const PwText *text)
{
  double widest = 0;
  for (guint i = 0; i < pw_text_n_lines(text); i++)
    widest = MAX(widest, line_width(pango_layout_get_line_readonly(text->layout, (int)i)));
  return widest;
}

double
pw_text_height(const PwText *text)
{
  return pw_text_n_lines(text) * text->leading_mm;
}

guint
pw_text_n_lines(const PwText *text)
{
  return (guint)pango_layout_get_line_count(text->layout);
}

double
pw_text_first_baseline(const PwText *text)
{
  return text->first_baseline_mm;
}

static void
note_missing(GArray *missing, gunichar c)
{
  for (guint i = 0; i < missing->len; i++)
    if (g_array_index(missing, gunichar, i) == c)
      return;
  g_array_append_val(missing, c);
}

/* Pango sets the box with a character's number where no font has it. */
static void
note_line(PwPdf *pdf, const PangoLayoutLine *line)
{
  for (const GSList *at = line->runs; at != NULL; at = at->next) {
    const PangoGlyphString *glyphs = ((const PangoGlyphItem *)at->data)->glyphs;
    for (int i = 0; i < glyphs->num_glyphs; i++)
      if ((glyphs->glyphs[i].glyph & PANGO_GLYPH_UNKNOWN_FLAG) != 0)
        note_missing(pdf->missing, glyphs->glyphs[i].glyph & ~PANGO_GLYPH_UNKNOWN_FLAG);
  }
}

void
pw_text_draw(const PwText *text, double x_mm, double baseline_y_mm, double align, guint first,
             guint n)
{
  cairo_t *cr = text->pdf->cr;
  g_return_if_fail(cr != NULL);
  guint n_lines = pw_text_n_lines(text);
  guint end = n == 0 ? n_lines : MIN(n_lines, first + n);
  cairo_save(cr);
  cairo_set_source_rgb(cr, text->r, text->g, text->b);
  for (guint i = first; i < end; i++) {
    PangoLayoutLine *line = pango_layout_get_line_readonly(text->layout, (int)i);
    cairo_save(cr);
    cairo_translate(cr, x_mm + (text->column_mm - line_width(line)) * align,
                    baseline_y_mm + (i - first) * text->leading_mm);
    cairo_scale(cr, PW_MM_PER_PT, PW_MM_PER_PT);
    cairo_move_to(cr, 0, 0);
    pango_cairo_show_layout_line(cr, line);
    cairo_restore(cr);
    note_line(text->pdf, line);
  }
  cairo_restore(cr);
}
