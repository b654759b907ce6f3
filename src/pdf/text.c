/* Text: paragraphs broken into lines by Pango, each line placed by us, so that the leading is exact
 * and the baselines of two columns can agree.
 *
 * Pango counts in 1024ths of a point here; what goes in and out is millimetres.
 */
#include "private.h"

/* One span of a text: its bytes, its ink, where it leads. */
typedef struct {
  int start, end;
  double r, g, b;
  char *destination; /* or NULL */
  int link;          /* its element once something of it is drawn; -1 */
} Stretch;

struct PwText {
  PwPdf *pdf;
  PangoLayout *layout;
  double column_mm; /* 0: none */
  double leading_mm, first_baseline_mm;
  GArray *stretches; /* Stretch, one a span */
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

/* Each line of it plain, still on lines of their own. */
static char *
dup_plain_lines(const char *text)
{
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (char **line = lines; *line != NULL; line++) {
    char *plain = dup_plain(*line);
    g_free(*line);
    *line = plain;
  }
  return g_strjoinv("\n", lines);
}

static void
add_attribute(PangoAttrList *attributes, PangoAttribute *attribute, guint start, guint end)
{
  attribute->start_index = start;
  attribute->end_index = end;
  pango_attr_list_insert(attributes, attribute);
}

/* The ink is told to Pango too, which then never lets a run go on from one span into the next. */
static void
add_span(PwText *text, PangoAttrList *attributes, GString *words, const PwSpan *span)
{
  g_autofree char *plain = dup_plain_lines(span->text);
  guint start = (guint)words->len;
  g_string_append(words, plain);
  guint end = (guint)words->len;
  const PwFace *face = &span->face;
  PangoFontDescription *description = description_new(face);
  add_attribute(attributes, pango_attr_font_desc_new(description), start, end);
  add_attribute(attributes,
                pango_attr_foreground_new((guint16)(face->r * G_MAXUINT16),
                                          (guint16)(face->g * G_MAXUINT16),
                                          (guint16)(face->b * G_MAXUINT16)),
                start, end);
  if (face->tabular)
    add_attribute(attributes, pango_attr_font_features_new("tnum=1,lnum=1"), start, end);
  pango_font_description_free(description);
  Stretch stretch = {.start = (int)start,
                     .end = (int)end,
                     .r = face->r,
                     .g = face->g,
                     .b = face->b,
                     .destination = g_strdup(span->destination),
                     .link = -1};
  g_array_append_val(text->stretches, stretch);
}

/* No break between the first character and the last of what stays on one line. */
static void
keep_together(PangoAttrList *attributes, const GString *words)
{
  for (gsize from = 0, start, end; pw_next_joined(words->str, &from, &start, &end);)
    add_attribute(attributes, pango_attr_allow_breaks_new(FALSE), (guint)start, (guint)end);
}

static void
clear_stretch(gpointer stretch)
{
  g_free(((Stretch *)stretch)->destination);
}

PwText *
pw_text_new_spans(PwPdf *pdf, const PwFace *face, const PwSpan *spans, gsize n, double width_mm)
{
  PwText *text = g_new0(PwText, 1);
  text->pdf = pdf;
  text->layout = pango_layout_new(pdf->type);
  text->stretches = g_array_new(FALSE, FALSE, sizeof(Stretch));
  g_array_set_clear_func(text->stretches, clear_stretch);
  PangoFontDescription *description = description_new(face);
  PangoAttrList *attributes = pango_attr_list_new();
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  GString *words = g_string_new(NULL);
  for (gsize i = 0; i < n; i++)
    add_span(text, attributes, words, &spans[i]);
  keep_together(attributes, words);
  pango_layout_set_font_description(text->layout, description);
  pango_layout_set_attributes(text->layout, attributes);
  pango_layout_set_text(text->layout, words->str, (int)words->len);
  pango_layout_set_wrap(text->layout, PANGO_WRAP_WORD_CHAR);
  pw_text_set_width(text, width_mm);
  set_leading(text, description, face->leading_pt);
  g_string_free(words, TRUE);
  pango_attr_list_unref(attributes);
  pango_font_description_free(description);
  return text;
}

PwText *
pw_text_new(PwPdf *pdf, const PwFace *face, const char *words, double width_mm)
{
  g_autofree char *plain = dup_plain(words);
  return pw_text_new_spans(pdf, face, &(PwSpan){plain, *face, NULL}, 1, width_mm);
}

void
pw_text_free(PwText *text)
{
  if (text == NULL)
    return;
  g_object_unref(text->layout);
  g_array_unref(text->stretches);
  g_free(text);
}

void
pw_text_set_width(PwText *text, double width_mm)
{
  text->column_mm = width_mm;
  pango_layout_set_width(text->layout, width_mm > 0 ? units_of(width_mm) : -1);
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

double
pw_text_widest_word(PwText *text)
{
  pango_layout_set_width(text->layout, 0);
  pango_layout_set_wrap(text->layout, PANGO_WRAP_WORD);
  double widest = pw_text_width(text);
  pango_layout_set_wrap(text->layout, PANGO_WRAP_WORD_CHAR);
  pw_text_set_width(text, text->column_mm);
  return widest;
}

gboolean
pw_text_is_leftward(const PwText *text)
{
  return pango_layout_get_line_readonly(text->layout, 0)->resolved_dir == PANGO_DIRECTION_RTL;
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

/* Pango sets a box with a character's number where no font has it. */
static gboolean
note_missing(GArray *missing, const PangoGlyphString *glyphs)
{
  gboolean any = FALSE;
  for (int i = 0; i < glyphs->num_glyphs; i++) {
    gunichar c = glyphs->glyphs[i].glyph & ~PANGO_GLYPH_UNKNOWN_FLAG;
    if ((glyphs->glyphs[i].glyph & PANGO_GLYPH_UNKNOWN_FLAG) == 0)
      continue;
    any = TRUE;
    guint at = 0;
    while (at < missing->len && g_array_index(missing, gunichar, at) != c)
      at++;
    if (at == missing->len)
      g_array_append_val(missing, c);
  }
  return any;
}

/* A run from right to left, its clusters in the order they stand on paper and each with its text.
 * In the order of the text, as Pango would hand them over, the pen jumps back before every glyph,
 * and readers that put words together from positions see gaps inside them. */
static void
show_leftward(cairo_t *cr, const char *words, PangoGlyphItem *run, double x)
{
  const PangoGlyphString *string = run->glyphs;
  cairo_glyph_t *glyphs = cairo_glyph_allocate(string->num_glyphs);
  cairo_text_cluster_t *clusters = cairo_text_cluster_allocate(string->num_glyphs);
  GString *text = g_string_new(NULL);
  PangoGlyphItemIter at;
  int n_glyphs = 0, n_clusters = 0;
  for (gboolean more = pango_glyph_item_iter_init_end(&at, run, words); more;
       more = pango_glyph_item_iter_prev_cluster(&at)) {
    int first = n_glyphs;
    for (int i = at.end_glyph + 1; i <= at.start_glyph; i++) {
      const PangoGlyphInfo *glyph = &string->glyphs[i];
      double left = x + (double)glyph->geometry.x_offset / PANGO_SCALE;
      x += (double)glyph->geometry.width / PANGO_SCALE;
      if (glyph->glyph != PANGO_GLYPH_EMPTY)
        glyphs[n_glyphs++] =
            (cairo_glyph_t){glyph->glyph, left, (double)glyph->geometry.y_offset / PANGO_SCALE};
    }
    clusters[n_clusters++] =
        (cairo_text_cluster_t){at.end_index - at.start_index, n_glyphs - first};
    g_string_append_len(text, words + at.start_index, at.end_index - at.start_index);
  }
  cairo_set_scaled_font(
      cr, pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(run->item->analysis.font)));
  cairo_show_text_glyphs(cr, text->str, (int)text->len, glyphs, n_glyphs, clusters, n_clusters, 0);
  g_string_free(text, TRUE);
  cairo_text_cluster_free(clusters);
  cairo_glyph_free(glyphs);
}

static guint
span_of(const PwText *text, const PangoGlyphItem *run)
{
  guint span = 0;
  while (span + 1 < text->stretches->len &&
         g_array_index(text->stretches, Stretch, span).end <= run->item->offset)
    span++;
  return span;
}

/* One element for all of a span that leads somewhere, on however many lines; clicked from edge to
 * edge of the leading. User space is points from the line's first baseline. */
static void
begin_span_link(const PwText *text, Stretch *stretch, double x, double width)
{
  const char *words = pango_layout_get_text(text->layout);
  g_autofree char *says = g_strndup(words + stretch->start, (gsize)(stretch->end - stretch->start));
  pw_pdf_take_up_link(text->pdf, stretch->destination, says, &stretch->link);
  if (pw_pdf_is_linking(text->pdf))
    pw_pdf_link_box(text->pdf, x, -text->first_baseline_mm / PW_MM_PER_PT, width,
                    text->leading_mm / PW_MM_PER_PT);
}

static void
show_run(const PwText *text, cairo_t *cr, PangoGlyphItem *run, double x)
{
  const char *words = pango_layout_get_text(text->layout);
  gboolean boxes = note_missing(text->pdf->missing, run->glyphs);
  cairo_move_to(cr, x, 0);
  if (run->item->analysis.level % 2 == 1 && !boxes)
    show_leftward(cr, words, run, x);
  else
    pango_cairo_show_glyph_item(cr, words, run);
}

/* Where a line was broken at a space Pango draws none, and who reads the words one after another
 * would run two together (ISO 32000-1, 14.8.2.5). */
static void
show_space(cairo_t *cr, const PangoGlyphItem *run, double x)
{
  cairo_scaled_font_t *font =
      pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(run->item->analysis.font));
  cairo_glyph_t *glyphs = NULL;
  int n = 0;
  if (cairo_scaled_font_text_to_glyphs(font, x, 0, " ", 1, &glyphs, &n, NULL, NULL, NULL) ==
          CAIRO_STATUS_SUCCESS &&
      n == 1) {
    cairo_set_scaled_font(cr, font);
    cairo_show_text_glyphs(cr, " ", 1, glyphs, n, &(cairo_text_cluster_t){1, 1}, 1, 0);
  }
  cairo_glyph_free(glyphs);
}

static gboolean
ends_at_space(const PwText *text, const PangoLayoutLine *line)
{
  const char *words = pango_layout_get_text(text->layout);
  int end = line->start_index + line->length;
  return line->length > 0 && words[end - 1] == ' ' && words[end] != '\0' &&
         line->resolved_dir != PANGO_DIRECTION_RTL;
}

/* Pango keeps the runs of a line in the order they stand on paper. */
static void
show_line(const PwText *text, cairo_t *cr, const PangoLayoutLine *line)
{
  int x = 0;
  gboolean is_read = cr == text->pdf->cr && !text->pdf->is_svg;
  for (const GSList *at = line->runs; at != NULL; at = at->next) {
    PangoGlyphItem *run = at->data;
    Stretch *stretch = &g_array_index(text->stretches, Stretch, span_of(text, run));
    int width = pango_glyph_string_get_width(run->glyphs);
    double x_pt = (double)x / PANGO_SCALE;
    gboolean leads = stretch->destination != NULL && is_read;
    cairo_set_source_rgb(cr, stretch->r, stretch->g, stretch->b);
    if (leads)
      begin_span_link(text, stretch, x_pt, (double)width / PANGO_SCALE);
    show_run(text, cr, run, x_pt);
    if (at->next == NULL && is_read && ends_at_space(text, line))
      show_space(cr, run, x_pt + (double)width / PANGO_SCALE);
    if (leads)
      pw_pdf_end(text->pdf);
    x += width;
  }
}

static void
draw_lines(const PwText *text, cairo_t *cr, double x_mm, double baseline_y_mm, double align,
           guint first, guint end)
{
  cairo_save(cr);
  for (guint i = first; i < end; i++) {
    PangoLayoutLine *line = pango_layout_get_line_readonly(text->layout, (int)i);
    cairo_save(cr);
    cairo_translate(cr, x_mm + (text->column_mm - line_width(line)) * align,
                    baseline_y_mm + (i - first) * text->leading_mm);
    cairo_scale(cr, PW_MM_PER_PT, PW_MM_PER_PT);
    show_line(text, cr, line);
    cairo_restore(cr);
  }
  cairo_restore(cr);
}

/* Each line is clicked from edge to edge of its leading. */
static void
link_lines(const PwText *text, double x_mm, double baseline_y_mm, double align, guint first,
           guint end)
{
  for (guint i = first; i < end; i++) {
    double width = line_width(pango_layout_get_line_readonly(text->layout, (int)i));
    pw_pdf_link_box(text->pdf, x_mm + (text->column_mm - width) * align,
                    baseline_y_mm - text->first_baseline_mm + (i - first) * text->leading_mm, width,
                    text->leading_mm);
  }
}

void
pw_text_draw(const PwText *text, double x_mm, double baseline_y_mm, double align, guint first,
             guint n)
{
  guint n_lines = pw_text_n_lines(text), end = n == 0 ? n_lines : MIN(n_lines, first + n);
  g_return_if_fail(text->pdf->cr != NULL);
  draw_lines(text, text->pdf->cr, x_mm, baseline_y_mm, align, first, end);
  if (pw_pdf_is_linking(text->pdf))
    link_lines(text, x_mm, baseline_y_mm, align, first, end);
}

void
pw_text_draw_on(const PwText *text, cairo_t *cr, double x_mm, double baseline_y_mm, double align)
{
  draw_lines(text, cr, x_mm, baseline_y_mm, align, 0, pw_text_n_lines(text));
}
