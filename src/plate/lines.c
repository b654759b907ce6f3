/* Every dark line lies on a wider light one, so that it is seen on leather as on paper, in grey as
 * in colour. Nothing is filled, nothing is see-through. */
#include "lines.h"

#include <string.h>

#include "hatch.h"
#include "spacing.h"

static void
clear_lines(gpointer data)
{
  PwLines *lines = data;
  g_clear_pointer(&lines->strokes, g_array_unref);
}

static void
add_hatch(GArray *all, const PwStyle *style, const PwPaperShape *shape, const PwGroupLook *look)
{
  PwLines lines = {
      .kind = PW_LINES_HATCH,
      .ink = look->ink,
      .width = pw_style_length(style, "hatch"),
      .casing = pw_style_length(style, "hatch-casing"),
      .strokes = pw_hatch_new(shape->rings, shape->n_rings, look->hatch_angle_deg,
                              look->hatch_gap_mm, PW_HATCH_REACH),
      .gap = look->hatch_gap_mm,
      .angle_deg = look->hatch_angle_deg,
  };
  memcpy(lines.dash, look->hatch_dash_mm, sizeof lines.dash);
  memcpy(lines.casing_dash, look->hatch_dash_mm, sizeof lines.casing_dash);
  g_array_append_val(all, lines);
}

static void
add_path(GArray *all, const PwStyle *style, gboolean is_area, gboolean was, PwInk ink,
         const double dash[4])
{
  PwLines lines = {
      .kind = PW_LINES_PATH,
      .ink = ink,
      .width = pw_style_length(style, was       ? "earlier"
                                      : is_area ? "outline"
                                                : "line"),
      .casing = pw_style_length(style, is_area || was ? "casing" : "line-casing"),
  };
  memcpy(lines.dash, dash, sizeof lines.dash);
  /* Under what was there before there is a repair to be seen, so that its gaps stay free. */
  if (was)
    memcpy(lines.casing_dash, dash, sizeof lines.casing_dash);
  g_array_append_val(all, lines);
}

static void
add_ring(GArray *all, const PwStyle *style, PwPaper middle, double radius, PwInk ink)
{
  PwLines lines = {
      .kind = PW_LINES_RING,
      .ink = ink,
      .width = pw_style_length(style, "outline"),
      .casing = pw_style_length(style, "casing"),
      .middle = middle,
      .radius = radius,
  };
  g_array_append_val(all, lines);
}

/* What is too small to be seen gets a ring round it. */
static void
add_ring_if_small(GArray *all, const PwStyle *style, const PwPaperShape *shape, PwInk ink)
{
  PwBox bounds = pw_paper_shape_bounds(shape);
  if (MAX(bounds.width, bounds.height) >= PW_SMALLEST_MARK)
    return;
  PwPaper middle = {bounds.x + bounds.width / 2, bounds.y + bounds.height / 2};
  add_ring(all, style, middle, PW_FIND_RING, ink);
}

GArray *
pw_lines_new(const PwStyle *style, const PwPaperShape *shape, const char *group, gboolean was)
{
  GArray *all = g_array_new(FALSE, FALSE, sizeof(PwLines));
  g_array_set_clear_func(all, clear_lines);
  const PwGroupLook *look = pw_style_group(style, group);
  double step = pw_style_length(style, "earlier-dash");
  const double was_dash[4] = {step, step};
  PwInk ink = was ? pw_style_ink(style, "earlier") : look->ink;
  if (shape->kind == PW_KIND_POINT) {
    add_ring(all, style, shape->rings[0].points[0], pw_style_length(style, "point"), ink);
    return all;
  }
  gboolean is_area = shape->kind == PW_KIND_AREA;
  if (is_area && !was)
    add_hatch(all, style, shape, look);
  add_path(all, style, is_area, was, ink, was ? was_dash : look->line_dash_mm);
  add_ring_if_small(all, style, shape, ink);
  return all;
}
