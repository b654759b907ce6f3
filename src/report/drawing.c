/* Drawing: built up shape by shape. */
#include "drawing.h"

#include <string.h>

#define MM_PER_PT (25.4 / 72)

static void
clear_shape(gpointer data)
{
  PwMadeOf *shape = data;
  g_free(shape->text);
  g_free(shape->rest);
  g_free(shape->anchor);
}

PwDrawing *
pw_drawing_new(double width_mm, double height_mm, const char *title)
{
  PwDrawing *drawing = g_new0(PwDrawing, 1);
  drawing->width_mm = width_mm;
  drawing->height_mm = height_mm;
  drawing->title = g_strdup(title);
  drawing->shapes = g_array_new(FALSE, TRUE, sizeof(PwMadeOf));
  g_array_set_clear_func(drawing->shapes, clear_shape);
  return drawing;
}

void
pw_drawing_free(PwDrawing *drawing)
{
  if (drawing == NULL)
    return;
  g_array_unref(drawing->shapes);
  g_free(drawing->title);
  g_free(drawing->says);
  g_free(drawing);
}

void
pw_drawing_say(PwDrawing *drawing, const char *says)
{
  g_free(drawing->says);
  drawing->says = g_strdup(says);
}

static PwMadeOf *
add(PwDrawing *drawing, PwMadeOf shape)
{
  g_array_append_val(drawing->shapes, shape);
  return &g_array_index(drawing->shapes, PwMadeOf, drawing->shapes->len - 1);
}

void
pw_drawing_line(PwDrawing *drawing, double x, double y, double x2, double y2, double width_mm,
                PwInk ink)
{
  add(drawing, (PwMadeOf){.kind = PW_SHAPE_LINE,
                          .x = x,
                          .y = y,
                          .x2 = x2,
                          .y2 = y2,
                          .width_mm = width_mm,
                          .ink = ink});
}

void
pw_drawing_box(PwDrawing *drawing, double x, double y, double x2, double y2, PwInk fill,
               double width_mm, PwInk ink)
{
  add(drawing, (PwMadeOf){.kind = PW_SHAPE_BOX,
                          .x = x,
                          .y = y,
                          .x2 = x2,
                          .y2 = y2,
                          .is_filled = TRUE,
                          .fill = fill,
                          .width_mm = width_mm,
                          .ink = ink});
}

PwMadeOf *
pw_drawing_words(PwDrawing *drawing, double x, double y, double align, PwInk ink, const char *text)
{
  return add(drawing, (PwMadeOf){.kind = PW_SHAPE_WORDS,
                                 .x = x,
                                 .y = y,
                                 .align = align,
                                 .ink = ink,
                                 .text = g_strdup(text)});
}

/* ---- How wide words are ------------------------------------------------------------------------
 */

/* In em, of a humanist sans in its regular and bold weight; measured off Lato. */
static double
em_of(gunichar c)
{
  if (g_unichar_iswide(c))
    return 1.05;
  if (g_unichar_ismark(c))
    return 0;
  if (c == ' ' || c == 0xA0)
    return 0.22;
  if (c < 128 && strchr("ijl.,:;'|!", (int)c) != NULL)
    return 0.28;
  if (c < 128 && strchr("frt()-/", (int)c) != NULL)
    return 0.41;
  if (c < 128 && strchr("mwMW%@", (int)c) != NULL)
    return 0.92;
  return g_unichar_isupper(c) ? 0.72 : 0.58;
}

double
pw_drawing_width_of(const PwStyle *style, const char *text)
{
  double em = 0;
  for (const char *at = text; *at != '\0'; at = g_utf8_next_char(at))
    em += em_of(g_utf8_get_char(at));
  return em * pw_style_type(style, PW_ROLE_DOC_DRAWING)->size_pt * MM_PER_PT;
}

/* Where the line that begins at `text` ends: before a space where there is one, at least one
 * character on. */
static const char *
end_of_line(const PwStyle *style, const char *text, double width_mm)
{
  const double most = width_mm / (pw_style_type(style, PW_ROLE_DOC_DRAWING)->size_pt * MM_PER_PT);
  const char *space = NULL, *at = text;
  for (double em = 0; *at != '\0'; at = g_utf8_next_char(at)) {
    em += em_of(g_utf8_get_char(at));
    if (*at == ' ')
      space = at;
    else if (em > most)
      break;
  }
  if (*at == '\0')
    return at;
  if (space != NULL && space > text)
    return space;
  return at > text ? at : g_utf8_next_char(text);
}

/* The beginning of the text with an ellipsis, on one line. */
static char *
dup_cut(const PwStyle *style, const char *text, double width_mm)
{
  static const char dots[] = "\u2026";
  const double most = width_mm - pw_drawing_width_of(style, dots);
  g_autofree char *cut = g_strdup(text);
  while (*cut != '\0' && pw_drawing_width_of(style, cut) > most)
    *g_utf8_find_prev_char(cut, cut + strlen(cut)) = '\0';
  return g_strconcat(g_strchomp(cut), dots, NULL);
}

char **
pw_drawing_dup_lines(const PwStyle *style, const char *text, double width_mm, guint most)
{
  GPtrArray *lines = g_ptr_array_new();
  do {
    const char *end = end_of_line(style, text, width_mm);
    gboolean is_cut = *end != '\0' && lines->len + 1 == most;
    g_ptr_array_add(lines,
                    is_cut ? dup_cut(style, text, width_mm) : g_strndup(text, (gsize)(end - text)));
    text = *end == ' ' ? end + 1 : end;
  } while (*text != '\0' && lines->len < most);
  g_ptr_array_add(lines, NULL);
  return (char **)g_ptr_array_free(lines, FALSE);
}
