/* Drawing: built up shape by shape. */
#include "drawing.h"

static void
clear_shape(gpointer data)
{
  PwMadeOf *shape = data;
  g_free(shape->text);
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
