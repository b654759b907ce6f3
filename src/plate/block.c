/* Callouts in type. All lines of all roles stand on one grid, so that the columns of a page agree.
 */
#include "block.h"

#include <math.h>
#include <string.h>

/* A style without a grid gets one fine enough that nothing is seen to be moved. */
#define FINE_STEP_MM 0.25

double
pw_plate_step(const PwStyle *style)
{
  double grid = pw_style_length(style, "grid");
  return grid > 0 ? grid : FINE_STEP_MM;
}

int
pw_plate_leading(const PwStyle *style, PwRole role)
{
  double leading = pw_style_type(style, role)->leading_pt * PW_MM_PER_PT;
  return MAX(1, (int)ceil(leading / pw_plate_step(style) - 0.02));
}

static PwFace
face_of(const PwStyle *style, PwRole role)
{
  const PwType *type = pw_style_type(style, role);
  return (PwFace){
      .family = type->family,
      .size_pt = type->size_pt,
      .leading_pt = type->leading_pt,
      .bold = type->bold,
      .italic = type->italic,
      .tabular = type->tabular,
      .r = type->ink.r,
      .g = type->ink.g,
      .b = type->ink.b,
  };
}

PwText *
pw_plate_text_new(PwPdf *pdf, const PwStyle *style, PwRole role, const char *words, double width_mm)
{
  PwFace face = face_of(style, role);
  return pw_text_new(pdf, &face, words, width_mm);
}

/* ---- Phrases between dots -------------------------------------------------------------------- */

#define DOT " \u00b7 "
/* How much narrower a width is tried next. */
#define NARROWER 0.97

typedef struct {
  char **words;
  double *wide; /* each alone */
  guint n;
  double between;
} Phrases;

static double
width_of(PwPdf *pdf, const PwStyle *style, PwRole role, const char *words)
{
  g_autoptr(PwText) text = pw_plate_text_new(pdf, style, role, words, 0);
  return pw_text_width(text);
}

/* Lines that begin no later than `width` allows; `out` gets them, if it is not NULL. */
static guint
break_lines(const Phrases *p, double width, GString *out)
{
  double x = 0;
  guint lines = 1;
  for (guint i = 0; i < p->n; i++) {
    gboolean first = i == 0, breaks = !first && x + p->between + p->wide[i] > width;
    lines += breaks ? 1 : 0;
    x = first || breaks ? p->wide[i] : x + p->between + p->wide[i];
    if (out != NULL)
      g_string_append_printf(out, "%s%s", first ? "" : breaks ? "\n" : DOT, p->words[i]);
  }
  return lines;
}

static double
widest(const Phrases *p)
{
  double wide = 0;
  for (guint i = 0; i < p->n; i++)
    wide = MAX(wide, p->wide[i]);
  return wide;
}

PwText *
pw_plate_phrases_new(PwPdf *pdf, const PwStyle *style, PwRole role, const char *words,
                     double width_mm)
{
  double whole = width_of(pdf, style, role, words), width = width_mm;
  if (!(width_mm > 0) || whole <= width_mm || strstr(words, DOT) == NULL)
    return pw_plate_text_new(pdf, style, role, words, width_mm);
  g_auto(GStrv) parts = g_strsplit(words, DOT, -1);
  Phrases p = {.words = parts, .n = g_strv_length(parts)};
  g_autofree double *wide = p.wide = g_new(double, p.n);
  p.between = whole;
  for (guint i = 0; i < p.n; i++)
    p.between -= wide[i] = width_of(pdf, style, role, parts[i]);
  p.between /= p.n - 1;
  guint lines = break_lines(&p, width, NULL);
  while (width * NARROWER >= widest(&p) && break_lines(&p, width * NARROWER, NULL) == lines)
    width *= NARROWER;
  g_autoptr(GString) broken = g_string_new(NULL);
  break_lines(&p, width, broken);
  PwFace face = face_of(style, role);
  return pw_text_new_spans(pdf, &face, &(PwSpan){broken->str, face, NULL}, 1, width_mm);
}

void
pw_plate_text_draw(PwPdf *pdf, PwElement element, const PwText *text, double x_mm,
                   double baseline_y_mm, double align)
{
  pw_pdf_begin(pdf, element);
  pw_text_draw(text, x_mm, baseline_y_mm, align, 0, 0);
  pw_pdf_end(pdf);
}

/* A figure is not cut from its uncertainty and unit, nor what a dot joins from what it joins. */
static char *
dup_unbroken(const char *size)
{
  static const char *const joints[] = {" \u00b1 ", "\u2212 ", " mm", " %", DOT};
  GString *whole = g_string_new(size);
  for (gsize i = 0; i < G_N_ELEMENTS(joints); i++) {
    g_autoptr(GString) joint = g_string_new(joints[i]);
    g_string_replace(joint, " ", "\u00a0", 0);
    g_string_replace(whole, joints[i], joint->str, 0);
  }
  return g_string_free(whole, FALSE);
}

static void
add_words(PwBlock *block, PwPdf *pdf, const PwStyle *style, const PwSaid *words, double width_mm)
{
  g_autofree char *said =
      words->role == PW_ROLE_SIZE ? dup_unbroken(words->text) : g_strdup(words->text);
  PwText *text = pw_plate_text_new(pdf, style, words->role, said, width_mm);
  int leading = pw_plate_leading(style, words->role);
  g_ptr_array_add(block->texts, text);
  for (guint i = 0; i < pw_text_n_lines(text); i++) {
    int above = block->lines->len > 0
                    ? g_array_index(block->lines, PwBlockLine, block->lines->len - 1).step + leading
                    : 0;
    PwBlockLine line = {text, i, above};
    g_array_append_val(block->lines, line);
  }
}

PwBlock *
pw_block_new(PwPdf *pdf, const PwStyle *style, const PwCallout *callout, double width_mm)
{
  PwBlock *block = g_new0(PwBlock, 1);
  block->callout = callout;
  block->texts = g_ptr_array_new_with_free_func((GDestroyNotify)pw_text_free);
  block->lines = g_array_new(FALSE, FALSE, sizeof(PwBlockLine));
  block->indent = pw_style_length(style, "number-column");
  g_autofree char *number = g_strdup_printf("%u", callout->number);
  block->number = pw_plate_text_new(pdf, style, PW_ROLE_NUMBER, number, 0);
  if (callout->id != NULL)
    block->id = pw_plate_text_new(pdf, style, PW_ROLE_FILE, callout->id, 0);
  for (guint i = 0; i < callout->words->len; i++)
    add_words(block, pdf, style, callout->words->pdata[i], width_mm - block->indent);
  PwText *head = block->texts->len > 0 ? block->texts->pdata[0] : NULL;
  block->head_width = block->indent + (head != NULL ? pw_text_width(head) : 0);
  return block;
}

void
pw_block_free(PwBlock *block)
{
  pw_text_free(block->number);
  pw_text_free(block->id);
  g_ptr_array_unref(block->texts);
  g_array_unref(block->lines);
  g_free(block);
}

static int
step_of(const PwBlock *block, guint line)
{
  return g_array_index(block->lines, PwBlockLine, line).step;
}

int
pw_block_steps(const PwBlock *block, guint first, guint end)
{
  return end > first + 1 ? step_of(block, end - 1) - step_of(block, first) : 0;
}

static void
draw_label(const PwBlock *block, PwPdf *pdf, double x_mm, double y_mm, double step_mm, guint first,
           guint end)
{
  pw_pdf_begin(pdf, PW_ELEMENT_LABEL);
  pw_text_draw(block->number, x_mm, y_mm, 0, 0, 0);
  if (block->id != NULL && end > first + 1)
    pw_text_draw(block->id, x_mm, y_mm + pw_block_steps(block, first, first + 2) * step_mm, 0, 0,
                 0);
  pw_pdf_end(pdf);
}

/* Each text of it is a paragraph. */
static void
draw_body(const PwBlock *block, PwPdf *pdf, double x_mm, double y_mm, double step_mm, guint first,
          guint end)
{
  const PwText *under_way = NULL;
  pw_pdf_begin(pdf, PW_ELEMENT_BODY);
  for (guint i = first; i < end; i++) {
    const PwBlockLine *line = &g_array_index(block->lines, PwBlockLine, i);
    double below = (line->step - step_of(block, first)) * step_mm;
    if (under_way != NULL && under_way != line->text)
      pw_pdf_end(pdf);
    if (under_way != line->text)
      pw_pdf_begin(pdf, PW_ELEMENT_P);
    under_way = line->text;
    pw_text_draw(line->text, x_mm + block->indent, y_mm + below, 0, line->line, 1);
  }
  if (under_way != NULL)
    pw_pdf_end(pdf);
  pw_pdf_end(pdf);
}

void
pw_block_draw(const PwBlock *block, PwPdf *pdf, double x_mm, double y_mm, double step_mm,
              guint first, guint end)
{
  pw_pdf_begin(pdf, PW_ELEMENT_ITEM);
  draw_label(block, pdf, x_mm, y_mm, step_mm, first, end);
  draw_body(block, pdf, x_mm, y_mm, step_mm, first, end);
  pw_pdf_end(pdf);
}
