/* The lines of a mark as SVG's path data in upright px, for a picture on a screen, where lines keep
 * their width whatever the picture's size. */
#include <platewright/plate.h>

#include <math.h>
#include <string.h>

#include "hatch.h"
#include "lines.h"

static void
clear_line(gpointer data)
{
  g_free(((PwPlateLine *)data)->path);
}

static PwPx
to_px(const PwFrame *frame, PwPaper p)
{
  return (PwPx){frame->crop_x + p.x / frame->scale_x, frame->crop_y + p.y / frame->scale_y};
}

/* A tenth of a pixel of the photograph is finer than any screen shows. */
static void
append_place(GString *data, char command, const PwFrame *frame, PwPaper p)
{
  PwPx px = to_px(frame, p);
  g_autofree char *x = pw_format_fixed(px.x, 1), *y = pw_format_fixed(px.y, 1);
  g_string_append_printf(data, "%c%s %s", command, x, y);
}

static char *
dup_rings(const PwFrame *frame, const PwPaperShape *shape)
{
  GString *data = g_string_new(NULL);
  for (gsize i = 0; i < shape->n_rings; i++) {
    for (gsize k = 0; k < shape->rings[i].n; k++)
      append_place(data, k == 0 ? 'M' : 'L', frame, shape->rings[i].points[k]);
    if (shape->kind == PW_KIND_AREA)
      g_string_append_c(data, 'Z');
  }
  return g_string_free(data, FALSE);
}

/* Hatch lines lie on one raster: line k at k times the gap from the paper's corner. */
static gboolean
is_between(const PwLines *lines, const PwStroke *stroke)
{
  double angle = lines->angle_deg * G_PI / 180;
  double across = stroke->from.x * sin(angle) + stroke->from.y * cos(angle);
  return fmod(fabs(round(across / lines->gap)), 2) > 0.5;
}

static char *
dup_strokes(const PwFrame *frame, const PwLines *lines, gboolean between)
{
  GString *data = g_string_new(NULL);
  for (guint i = 0; i < lines->strokes->len; i++) {
    const PwStroke *stroke = &g_array_index(lines->strokes, PwStroke, i);
    if (is_between(lines, stroke) != between)
      continue;
    append_place(data, 'M', frame, stroke->from);
    append_place(data, 'L', frame, stroke->to);
  }
  return g_string_free(data, FALSE);
}

static void
add_line(GArray *all, const PwLines *lines, const PwFrame *frame, char *path, gboolean between)
{
  PwPlateLine line = {
      .ink = lines->ink,
      .width_mm = lines->width,
      .casing_mm = lines->casing,
      .is_hatch = lines->kind == PW_LINES_HATCH,
      .is_between = between,
      .path = path,
      .middle = to_px(frame, lines->middle),
      .radius_mm = lines->radius,
  };
  memcpy(line.dash_mm, lines->dash, sizeof line.dash_mm);
  memcpy(line.casing_dash_mm, lines->casing_dash, sizeof line.casing_dash_mm);
  g_array_append_val(all, line);
}

static void
add_lines(GArray *all, const PwLines *lines, const PwFrame *frame, const PwPaperShape *shape)
{
  switch (lines->kind) {
  case PW_LINES_HATCH:
    add_line(all, lines, frame, dup_strokes(frame, lines, FALSE), FALSE);
    add_line(all, lines, frame, dup_strokes(frame, lines, TRUE), TRUE);
    return;
  case PW_LINES_PATH:
    add_line(all, lines, frame, dup_rings(frame, shape), FALSE);
    return;
  case PW_LINES_RING:
    add_line(all, lines, frame, NULL, FALSE);
    return;
  }
}

GArray *
pw_plate_mark_lines(const PwStyle *style, const PwSheetPicture *picture, const PwSheetMark *mark,
                    double longest_mm)
{
  double scale = longest_mm / MAX(picture->crop_width, picture->crop_height);
  PwFrame frame = {
      .crop_x = picture->crop_x, .crop_y = picture->crop_y, .scale_x = scale, .scale_y = scale};
  PwPaperShape shape;
  pw_paper_shape_init(&shape, &frame, mark->kind, mark->path, mark->holes, mark->n_holes);
  g_autoptr(GArray) made_of = pw_lines_new(style, &shape, mark->group, mark->was);
  GArray *all = g_array_new(FALSE, FALSE, sizeof(PwPlateLine));
  g_array_set_clear_func(all, clear_line);
  for (guint i = 0; i < made_of->len; i++)
    add_lines(all, &g_array_index(made_of, PwLines, i), &frame, &shape);
  pw_paper_shape_clear(&shape);
  return all;
}
