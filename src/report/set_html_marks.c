/* Marks over a picture as SVG: outlines and thin hatch in the very lines of the plates, each mark a
 * link to its words. Lines keep their width on any screen; nothing is filled, nothing tinted. */
#include "set_html_private.h"

#include <math.h>
#include <string.h>

/* CSS px for one mm of the style: the marks are read at arm's length, as on the marking page. */
#define PX_PER_MM 5.25
/* The longer side of a picture on a usual screen, at which hatch and numbers are laid out. */
#define LONGEST_PX 760.0
/* A number's place, in CSS px: how large it is, and how far from its mark. */
#define DIGIT_PX 9.0
#define NUMBER_HIGH_PX 14.0
#define AWAY_PX 5.0

typedef struct {
  double x, y, width, height; /* CSS px of the picture laid out LONGEST_PX long */
} Area;

static char *
dup_hex(PwInk ink)
{
  return g_strdup_printf("#%02x%02x%02x", (guint)lround(ink.r * 255), (guint)lround(ink.g * 255),
                         (guint)lround(ink.b * 255));
}

static char *
dup_percent(double part, double whole)
{
  g_autofree char *number = pw_markup_dup_number(100 * part / whole);
  return g_strconcat(number, "%", NULL);
}

static char *
dup_px(double mm)
{
  return pw_markup_dup_number(mm * PX_PER_MM);
}

/* NULL: solid. */
static char *
dup_dash(const double dash_mm[4])
{
  GString *dash = g_string_new(NULL);
  for (guint i = 0; i < 4 && dash_mm[i] > 0; i++) {
    g_autofree char *px = dup_px(dash_mm[i]);
    g_string_append_printf(dash, "%s%s", i > 0 ? " " : "", px);
  }
  gboolean is_solid = dash->len == 0;
  return g_string_free(dash, is_solid);
}

/* ---- Lines -------------------------------------------------------------------------------------
 */

static const char *
class_of(const PwPlateLine *line)
{
  if (line->is_between)
    return "hatch between";
  return line->is_hatch ? "hatch" : "line";
}

static void
put_path(PwMarkup *markup, const PwPlateLine *line, PwInk casing)
{
  if (*line->path == '\0')
    return;
  g_autofree char *wide = dup_px(line->casing_mm), *narrow = dup_px(line->width_mm);
  g_autofree char *ink = dup_hex(line->ink), *light = dup_hex(casing);
  g_autofree char *dash = dup_dash(line->dash_mm), *light_dash = dup_dash(line->casing_dash_mm);
  const char *name = class_of(line);
  pw_markup_void(markup, "path", "class", name, "d", line->path, "stroke", light, "stroke-width",
                 wide, "stroke-dasharray", light_dash, NULL);
  pw_markup_void(markup, "path", "class", name, "d", line->path, "stroke", ink, "stroke-width",
                 narrow, "stroke-dasharray", dash, NULL);
}

static void
put_circle(PwMarkup *markup, const PwSheetPicture *picture, const PwPlateLine *line, PwInk ink,
           double width_mm)
{
  g_autofree char *x = dup_percent(line->middle.x - picture->crop_x, picture->crop_width);
  g_autofree char *y = dup_percent(line->middle.y - picture->crop_y, picture->crop_height);
  g_autofree char *radius = dup_px(line->radius_mm), *width = dup_px(width_mm);
  g_autofree char *colour = dup_hex(ink);
  pw_markup_void(markup, "circle", "class", "line", "cx", x, "cy", y, "r", radius, "stroke", colour,
                 "stroke-width", width, NULL);
}

static void
put_rings(PwMarkup *markup, const PwSheetPicture *picture, const GArray *lines, PwInk casing)
{
  for (guint i = 0; i < lines->len; i++) {
    const PwPlateLine *line = &g_array_index(lines, PwPlateLine, i);
    if (line->path != NULL)
      continue;
    put_circle(markup, picture, line, casing, line->casing_mm);
    put_circle(markup, picture, line, line->ink, line->width_mm);
  }
}

/* A line is hard to touch: one that is not seen, as wide as a finger, takes the touch. */
static void
put_touch(PwMarkup *markup, const PwSheetMark *mark, const GArray *lines)
{
  for (guint i = 0; mark->kind == PW_KIND_LINE && i < lines->len; i++) {
    const PwPlateLine *line = &g_array_index(lines, PwPlateLine, i);
    if (line->path != NULL && !line->is_hatch)
      pw_markup_void(markup, "path", "class", "touch", "d", line->path, NULL);
  }
}

static void
open_px(PwMarkup *markup, const PwSheetPicture *picture)
{
  g_autofree char *x = pw_markup_dup_number(picture->crop_x);
  g_autofree char *y = pw_markup_dup_number(picture->crop_y);
  g_autofree char *width = pw_markup_dup_number(picture->crop_width);
  g_autofree char *height = pw_markup_dup_number(picture->crop_height);
  g_autofree char *box = g_strdup_printf("%s %s %s %s", x, y, width, height);
  pw_markup_open(markup, "svg", "viewBox", box, "preserveAspectRatio", "none", "width", "100%",
                 "height", "100%", NULL);
}

static void
put_lines(PwHtml *html, const PwSheetPicture *picture, const PwSheetMark *mark)
{
  const PwStyle *style = html->options->style;
  PwInk casing = pw_style_ink(style, "casing");
  g_autoptr(GArray) lines = pw_plate_mark_lines(style, picture, mark, LONGEST_PX / PX_PER_MM);
  open_px(html->markup, picture);
  for (guint i = 0; i < lines->len; i++) {
    const PwPlateLine *line = &g_array_index(lines, PwPlateLine, i);
    if (line->path != NULL)
      put_path(html->markup, line, casing);
  }
  put_touch(html->markup, mark, lines);
  pw_markup_close(html->markup);
  put_rings(html->markup, picture, lines, casing);
}

/* ---- Numbers -----------------------------------------------------------------------------------
 */

static double
px_per_px(const PwSheetPicture *picture)
{
  return LONGEST_PX / MAX(picture->crop_width, picture->crop_height);
}

/* Where a number may stand: right and left of the mark's edge, above and below. */
static Area
place_of(const PwSheetPicture *picture, const PwSheetMark *mark, guint corner, guint digits)
{
  double to_right = corner % 2 == 0 ? 1 : -1, up = corner < 2 ? 1 : -1, best = -HUGE_VAL;
  PwPx edge = {0, 0};
  for (gsize i = 0; i < mark->path->n; i++) {
    PwPx p = mark->path->points[i];
    double far = to_right * p.x - up * p.y;
    if (far <= best)
      continue;
    best = far;
    edge = p;
  }
  double scale = px_per_px(picture), width = digits * DIGIT_PX, away = AWAY_PX;
  double x = (edge.x - picture->crop_x) * scale, y = (edge.y - picture->crop_y) * scale;
  return (Area){to_right > 0 ? x + away : x - away - width,
                up > 0 ? y - away - NUMBER_HIGH_PX : y + away, width, NUMBER_HIGH_PX};
}

static double
overlap(double a, double length_a, double b, double length_b)
{
  return MAX(0, MIN(a + length_a, b + length_b) - MAX(a, b));
}

/* How much of a place is taken: by numbers that stand there, by what lies beyond the picture. */
static double
taken(const PwSheetPicture *picture, const GArray *numbers, Area at)
{
  double wide = picture->crop_width * px_per_px(picture);
  double high = picture->crop_height * px_per_px(picture);
  double inside = overlap(at.x, at.width, 0, wide) * overlap(at.y, at.height, 0, high);
  double sum = 4 * (at.width * at.height - inside);
  for (guint i = 0; i < numbers->len; i++) {
    const Area *other = &g_array_index(numbers, Area, i);
    sum += overlap(at.x, at.width, other->x, other->width) *
           overlap(at.y, at.height, other->y, other->height);
  }
  return sum;
}

static Area
choose_place(const PwSheetPicture *picture, const PwSheetMark *mark, guint digits, GArray *numbers)
{
  Area best = place_of(picture, mark, 0, digits);
  for (guint corner = 1; corner < 4; corner++) {
    Area at = place_of(picture, mark, corner, digits);
    if (taken(picture, numbers, at) < taken(picture, numbers, best))
      best = at;
  }
  double wide = picture->crop_width * px_per_px(picture);
  double high = picture->crop_height * px_per_px(picture);
  best.x = CLAMP(best.x, 0, MAX(0, wide - best.width));
  best.y = CLAMP(best.y, 0, MAX(0, high - best.height));
  g_array_append_val(numbers, best);
  return best;
}

static void
put_number(PwHtml *html, const PwSheetPicture *picture, const PwSheetMark *mark, const char *number,
           GArray *numbers)
{
  Area at = choose_place(picture, mark, (guint)strlen(number), numbers);
  double scale = px_per_px(picture);
  g_autofree char *x = dup_percent((at.x + at.width / 2) / scale, picture->crop_width);
  g_autofree char *y = dup_percent((at.y + at.height / 2) / scale, picture->crop_height);
  pw_markup_void(html->markup, "circle", "class", "touch", "cx", x, "cy", y, "r", "13", NULL);
  pw_markup_element(html->markup, "text", number, "x", x, "y", y, "dy", "5", NULL);
}

/* ---- A picture's marks -------------------------------------------------------------------------
 */

/* All that is said of a mark, in a line: its name for who does not see it. */
static char *
dup_name(const PwCallout *callout)
{
  GString *name = g_string_new(NULL);
  g_string_append_printf(name, "%u", callout->number);
  for (guint i = 0; i < callout->words->len; i++)
    g_string_append_printf(name, ", %s", ((const PwSaid *)callout->words->pdata[i])->text);
  return g_string_free(name, FALSE);
}

static void
put_mark(PwHtml *html, const PwHtmlPlate *plate, guint which, GArray *numbers)
{
  const PwCallout *callout = plate->sheet->callouts->pdata[which];
  const PwSheetPicture *picture = &plate->sheet->pictures[callout->picture];
  const PwSheetMark *mark = &g_array_index(picture->marks, PwSheetMark, callout->mark);
  g_autofree char *id = pw_html_dup_mark_id(plate, which);
  g_autofree char *words = pw_html_dup_words_id(plate, callout->number);
  g_autofree char *target = g_strconcat("#", words, NULL), *name = dup_name(callout);
  g_autofree char *number = g_strdup_printf("%u", callout->number);
  pw_markup_open(html->markup, "a", "id", id, "href", target, "aria-label", name, NULL);
  if (callout->earlier >= 0)
    put_lines(html, picture, &g_array_index(picture->marks, PwSheetMark, callout->earlier));
  put_lines(html, picture, mark);
  put_number(html, picture, mark, number, numbers);
  pw_markup_close(html->markup);
}

void
pw_html_marks(PwHtml *html, const PwHtmlPlate *plate, guint picture)
{
  const PwSheet *sheet = plate->sheet;
  if (sheet->pictures[picture].marks->len == 0)
    return;
  g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(Area));
  pw_markup_open(html->markup, "svg", "class", "marks", "role", "group", "aria-label",
                 sheet->pictures[picture].label, NULL);
  for (guint i = 0; i < sheet->callouts->len; i++) {
    const PwCallout *callout = sheet->callouts->pdata[i];
    if (callout->picture == picture && callout->mark >= 0)
      put_mark(html, plate, i, numbers);
  }
  pw_markup_close(html->markup);
}

/* ---- The key -----------------------------------------------------------------------------------
 */

/* A small mark of a group, as on a piece of paper of its own. */
void
pw_html_swatch(PwHtml *html, const PwSheetMark *like)
{
  static PwPx area[] = {{2, 2}, {30, 2}, {30, 18}, {2, 18}}, line[] = {{2, 10}, {30, 10}},
              point[] = {{16, 10}};
  PwPxPath paths[] = {
      [PW_KIND_AREA] = {area, 4}, [PW_KIND_LINE] = {line, 2}, [PW_KIND_POINT] = {point, 1}};
  PwSheetMark mark = *like;
  mark.path = &paths[like->kind];
  mark.n_holes = 0;
  PwSheetPicture picture = {.crop_width = 32, .crop_height = 20};
  PwInk casing = pw_style_ink(html->options->style, "casing");
  g_autoptr(GArray) lines =
      pw_plate_mark_lines(html->options->style, &picture, &mark, picture.crop_width / PX_PER_MM);
  pw_markup_open(html->markup, "svg", "class", "swatch", "viewBox", "0 0 32 20", "width", "32",
                 "height", "20", "aria-hidden", "true", NULL);
  for (guint i = 0; i < lines->len; i++)
    if (g_array_index(lines, PwPlateLine, i).path != NULL)
      put_path(html->markup, &g_array_index(lines, PwPlateLine, i), casing);
  put_rings(html->markup, &picture, lines, casing);
  pw_markup_close(html->markup);
}
