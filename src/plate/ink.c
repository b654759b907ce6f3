/* Lines onto the page; of which lines a mark is made says lines.c. */
#include "ink.h"

#include <math.h>

#include "difference.h"
#include "hatch.h"
#include "lines.h"

static void
set_ink(cairo_t *cr, PwInk ink)
{
  cairo_set_source_rgb(cr, ink.r, ink.g, ink.b);
}

static void
set_dash(cairo_t *cr, const double dash[4])
{
  int n = 0;
  while (n < 4 && dash[n] > 0)
    n++;
  cairo_set_dash(cr, dash, n, 0);
}

void
pw_ink_rule(cairo_t *cr, const PwStyle *style, double from_x, double to_x, double y)
{
  cairo_save(cr);
  set_ink(cr, pw_style_ink(style, "hairline"));
  cairo_set_line_width(cr, pw_style_length(style, "hairline"));
  cairo_move_to(cr, from_x, y);
  cairo_line_to(cr, to_x, y);
  cairo_stroke(cr);
  cairo_restore(cr);
}

/* Strokes what `cr` holds as its path: the casing in one dash, the line on it in another. */
static void
stroke_cased(cairo_t *cr, const PwStyle *style, double casing, double line, PwInk ink,
             const double casing_dash[4], const double dash[4])
{
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
  set_dash(cr, casing_dash);
  set_ink(cr, pw_style_ink(style, "casing"));
  cairo_set_line_width(cr, casing);
  cairo_stroke_preserve(cr);
  set_ink(cr, ink);
  set_dash(cr, dash);
  cairo_set_line_width(cr, line);
  cairo_stroke(cr);
}

static const double solid[4] = {0};

static void
trace(cairo_t *cr, const PwPaperPath *path, gboolean closed)
{
  for (gsize i = 0; i < path->n; i++)
    (i == 0 ? cairo_move_to : cairo_line_to)(cr, path->points[i].x, path->points[i].y);
  if (closed)
    cairo_close_path(cr);
}

static void
trace_strokes(cairo_t *cr, const GArray *strokes)
{
  for (guint i = 0; i < strokes->len; i++) {
    const PwStroke *stroke = &g_array_index(strokes, PwStroke, i);
    cairo_move_to(cr, stroke->from.x, stroke->from.y);
    cairo_line_to(cr, stroke->to.x, stroke->to.y);
  }
}

/* Leaves the path of lines in `cr`. */
static void
trace_lines(cairo_t *cr, const PwLines *lines, const PwPaperShape *shape)
{
  switch (lines->kind) {
  case PW_LINES_HATCH:
    trace_strokes(cr, lines->strokes);
    return;
  case PW_LINES_PATH:
    for (gsize i = 0; i < shape->n_rings; i++)
      trace(cr, &shape->rings[i], shape->kind == PW_KIND_AREA);
    return;
  case PW_LINES_RING:
    cairo_new_sub_path(cr);
    cairo_arc(cr, lines->middle.x, lines->middle.y, lines->radius, 0, 2 * G_PI);
    return;
  }
}

void
pw_ink_mark(cairo_t *cr, const PwStyle *style, const PwPaperShape *shape, const char *group,
            gboolean was)
{
  g_autoptr(GArray) all = pw_lines_new(style, shape, group, was);
  cairo_save(cr);
  for (guint i = 0; i < all->len; i++) {
    const PwLines *lines = &g_array_index(all, PwLines, i);
    trace_lines(cr, lines, shape);
    stroke_cased(cr, style, lines->casing, lines->width, lines->ink, lines->casing_dash,
                 lines->dash);
  }
  cairo_restore(cr);
}

void
pw_ink_swatch(cairo_t *cr, const PwStyle *style, const PwGroupLook *look, PwKind kind,
              const PwBox *box)
{
  double middle = box->y + box->height / 2;
  PwPaper area[4] = {{box->x, box->y},
                     {box->x + box->width, box->y},
                     {box->x + box->width, box->y + box->height},
                     {box->x, box->y + box->height}};
  PwPaper line[2] = {{box->x, middle}, {box->x + box->width, middle}};
  PwPaper point = {box->x + box->width / 2, middle};
  PwPaperPath rings[] = {
      [PW_KIND_AREA] = {area, 4}, [PW_KIND_LINE] = {line, 2}, [PW_KIND_POINT] = {&point, 1}};
  PwPaperShape shape = {kind, &rings[kind], 1};
  pw_ink_mark(cr, style, &shape, look != NULL ? look->name : "other", look == NULL);
}

void
pw_ink_border(cairo_t *cr, const PwStyle *style, const PwBox *box)
{
  cairo_save(cr);
  cairo_rectangle(cr, box->x, box->y, box->width, box->height);
  set_ink(cr, pw_style_ink(style, "hairline"));
  cairo_set_line_width(cr, pw_style_length(style, "hairline"));
  cairo_stroke(cr);
  cairo_restore(cr);
}

void
pw_ink_steps(cairo_t *cr, const PwStyle *style, const PwBox *box)
{
  double wide = box->width / PW_DIFFERENCE_STEPS;
  cairo_save(cr);
  for (guint i = 0; i < PW_DIFFERENCE_STEPS; i++) {
    cairo_rectangle(cr, box->x + i * wide, box->y, wide, box->height);
    set_ink(cr, pw_difference_ink(style, i));
    cairo_fill(cr);
  }
  cairo_restore(cr);
  pw_ink_border(cr, style, box);
}

void
pw_ink_leader(cairo_t *cr, const PwStyle *style, PwPaper start, PwPaper bend, PwPaper end)
{
  PwInk ink = pw_style_ink(style, "leader");
  double dot = pw_style_length(style, "leader-dot"),
         casing = pw_style_length(style, "leader-casing");
  double line = pw_style_length(style, "leader");
  cairo_save(cr);
  cairo_move_to(cr, start.x, start.y);
  cairo_line_to(cr, bend.x, bend.y);
  cairo_line_to(cr, end.x, end.y);
  stroke_cased(cr, style, casing, line, ink, solid, solid);
  cairo_arc(cr, end.x, end.y, dot + (casing - line) / 2, 0, 2 * G_PI);
  set_ink(cr, pw_style_ink(style, "casing"));
  cairo_fill(cr);
  cairo_arc(cr, end.x, end.y, dot, 0, 2 * G_PI);
  set_ink(cr, ink);
  cairo_fill(cr);
  cairo_restore(cr);
}

void
pw_ink_bar(cairo_t *cr, const PwStyle *style, const PwBox *box, guint parts)
{
  double part = box->width / parts;
  cairo_save(cr);
  set_ink(cr, pw_style_ink(style, "ink"));
  cairo_set_line_width(cr, pw_style_length(style, "hairline"));
  for (guint i = 0; i < parts; i += 2)
    cairo_rectangle(cr, box->x + i * part, box->y, part, box->height);
  cairo_fill(cr);
  cairo_rectangle(cr, box->x, box->y, box->width, box->height);
  cairo_stroke(cr);
  cairo_restore(cr);
}

void
pw_ink_frame(cairo_t *cr, const PwStyle *style, const PwBox *box)
{
  cairo_save(cr);
  cairo_rectangle(cr, box->x, box->y, box->width, box->height);
  stroke_cased(cr, style, pw_style_length(style, "casing"), pw_style_length(style, "outline"),
               pw_style_ink(style, "ink"), solid, solid);
  cairo_restore(cr);
}
