/* One card: its tags where design.c has them, and what is for the eye. Lengths in mm from the upper
 * left corner of the card.
 *
 * The white cell round every tag is kept free: id1 and a6 have their graduations on the lower and
 * the left edge, outside the tags, a6 its check lines on the two other edges; strip has its
 * graduations between the tags.
 */
#include "ink.h"
#include "tag.h"

/* Even steps of 20 in L*, from the paper's white to black: the neutral sRGB values whose L* comes
 * next to 100, 80, 60, 40, 20, 0 (IEC 61966-2-1, CIE 15). */
static const double GREYS[] = {255, 198, 145, 94, 48, 0};
enum { N_GREYS = G_N_ELEMENTS(GREYS), MOST_SCALES = 2, MOST_LABELS = 2 };
static const double HAIRLINE = 0.12;

/* Where everything for the eye stands on one size. */
typedef struct {
  PwGraduations scales[MOST_SCALES];
  PwMm unit; /* "mm" */
  PwMm name, under_name;
  double align; /* of both */
  double name_pt, small_pt;
  PwMm greys;
  double step_width, step_height;
  PwMm arrow;               /* where its word begins */
  PwMm labels[MOST_LABELS]; /* where their rules begin; {0, 0}: none */
  double measure;           /* length of the arrow with its word, and of the labels' rules */
  PwMm checks[2];           /* along, across; {0, 0}: none */
} Layout;

/* In id1 and a6 name, greys, arrow and labels stand in one column between the tags, the last rule
 * level with the feet of the tags. */
static const Layout LAYOUTS[] = {
    [PW_CARD_ID1] =
        {
            .scales = {{{7, 53.98}, PW_EDGE_LOWER, 75, 10, 1.4, 2, 2.6, 5.5},
                       {{0, 47}, PW_EDGE_LEFT, 45, 0, 1.4, 2, 2.6, 5.5}},
            .unit = {3.2, 52.6},
            .name = {44.5, 8},
            .under_name = {44.5, 11.8},
            .align = 0.5,
            .name_pt = 13,
            .small_pt = 6.5,
            .greys = {22, 16.5},
            .step_width = 7.5,
            .step_height = 9,
            .arrow = {22, 31.6},
            .labels = {{22, 40}, {22, 47}},
            .measure = 45,
        },
    [PW_CARD_A6] =
        {
            .scales = {{{9, 105}, PW_EDGE_LOWER, 130, 10, 1.7, 2.6, 3.4, 6},
                       {{0, 96}, PW_EDGE_LEFT, 90, 0, 1.7, 2.6, 3.4, 6}},
            .unit = {4.2, 102.4},
            .name = {74, 15.5},
            .under_name = {74, 21.5},
            .align = 0.5,
            .name_pt = 20,
            .small_pt = 8,
            .greys = {35, 34},
            .step_width = 13,
            .step_height = 16,
            .arrow = {35, 63},
            .labels = {{35, 85}, {35, 96}},
            .measure = 78,
            .checks = {{24, 1.8}, {144.75, 2.5}},
        },
    [PW_CARD_STRIP] =
        {
            .scales = {{{15, 22}, PW_EDGE_LOWER, 120, 10, 1.7, 2.6, 3.4, 6},
                       {{15, 0}, PW_EDGE_UPPER, 120, 0, 1.2, 1.8, 2.4, 0}},
            .unit = {11.8, 18},
            .name = {14.5, 9},
            .under_name = {14.7, 12.9},
            .name_pt = 13,
            .small_pt = 6.5,
            .greys = {40, 4.9},
            .step_width = 6.5,
            .step_height = 8,
            .arrow = {84, 9.6},
            .labels = {{111, 12.9}},
            .measure = 24,
        },
};

static PwFace
serif(double size_pt, gboolean italic)
{
  return (PwFace){.family = "Gentium Plus", .size_pt = size_pt, .italic = italic};
}

static void
draw_tags(cairo_t *cr, PwCardSize size, int copy)
{
  const PwCardDesign *design = pw_card_design(size);
  for (int tag = 0; tag < design->n_tags; tag++)
    pw_tag_draw(cr, design->first_id + copy * design->n_tags + tag, pw_card_tag_place(size, tag),
                design->tag_mm);
}

static void
draw_name(PwPdf *pdf, cairo_t *cr, const Layout *layout, PwCardSize size, int copy)
{
  PwFace name_face = serif(layout->name_pt, FALSE), small = serif(layout->small_pt, TRUE);
  g_autofree char *name = pw_card_dup_name(size, copy);
  g_autofree char *words = g_strconcat("card ", name, NULL);
  pw_card_words(pdf, cr, &name_face, words, layout->name, layout->align);
  pw_card_words(pdf, cr, &small, "platewright", layout->under_name, layout->align);
}

/* The lightest step is the paper itself within a hairline. Each is drawn to the end of the row and
 * covered by the next, so that no white shows between two. */
static void
draw_greys(cairo_t *cr, const Layout *layout)
{
  for (int i = 0; i < N_GREYS; i++) {
    double grey = GREYS[i] / 255;
    cairo_set_source_rgb(cr, grey, grey, grey);
    cairo_rectangle(cr, layout->greys.x + i * layout->step_width, layout->greys.y,
                    (N_GREYS - i) * layout->step_width, layout->step_height);
    cairo_fill(cr);
  }
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_set_line_width(cr, HAIRLINE);
  cairo_rectangle(cr, layout->greys.x, layout->greys.y, N_GREYS * layout->step_width,
                  layout->step_height);
  cairo_stroke(cr);
}

static void
draw_arrow(PwPdf *pdf, cairo_t *cr, const Layout *layout)
{
  const double gap = 1.6, head = 3.2, half_head = 0.7, rise = 0.75;
  PwFace face = serif(layout->small_pt + 0.5, TRUE);
  g_autoptr(PwText) word = pw_text_new(pdf, &face, "light", 0);
  pw_text_draw_on(word, cr, layout->arrow.x, layout->arrow.y, 0);
  PwMm tail = {layout->arrow.x + pw_text_width(word) + gap, layout->arrow.y - rise};
  PwMm tip = {layout->arrow.x + layout->measure, tail.y};
  pw_card_line(cr, tail, (PwMm){tip.x - head / 2, tip.y}, 0.18);
  cairo_move_to(cr, tip.x, tip.y);
  cairo_line_to(cr, tip.x - head, tip.y - half_head);
  cairo_line_to(cr, tip.x - head, tip.y + half_head);
  cairo_fill(cr);
}

/* Rules to write on, each begun by what belongs there. */
static void
draw_labels(PwPdf *pdf, cairo_t *cr, const Layout *layout)
{
  static const char *const captions[MOST_LABELS] = {"volume", "date"};
  PwFace face = serif(layout->small_pt, TRUE);
  for (int i = 0; i < MOST_LABELS && layout->labels[i].x > 0; i++) {
    PwMm at = layout->labels[i];
    pw_card_line(cr, at, (PwMm){at.x + layout->measure, at.y}, HAIRLINE);
    pw_card_words(pdf, cr, &face, captions[i], (PwMm){at.x, at.y - 0.9}, 0);
  }
}

static void
draw_for_the_eye(PwPdf *pdf, cairo_t *cr, PwCardSize size, int copy)
{
  const Layout *layout = &LAYOUTS[size];
  for (int i = 0; i < MOST_SCALES; i++)
    pw_card_graduations(pdf, cr, &layout->scales[i]);
  PwFace unit = {.family = "Lato", .size_pt = layout->scales[0].number_pt};
  if (layout->unit.x > 0)
    pw_card_words(pdf, cr, &unit, "mm", layout->unit, 0.5);
  draw_name(pdf, cr, layout, size, copy);
  draw_greys(cr, layout);
  draw_arrow(pdf, cr, layout);
  draw_labels(pdf, cr, layout);
  for (int i = 0; i < 2; i++)
    if (layout->checks[i].x > 0)
      pw_card_check_line(pdf, cr, layout->checks[i], i == 1);
}

void
pw_card_draw(PwPdf *pdf, cairo_t *cr, PwCardSize size, int copy)
{
  const PwCardDesign *design = pw_card_design(size);
  cairo_save(cr);
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_rectangle(cr, 0, 0, design->width_mm, design->height_mm);
  cairo_fill(cr);
  draw_tags(cr, size, copy);
  if (size != PW_CARD_SHEET)
    draw_for_the_eye(pdf, cr, size, copy);
  cairo_restore(cr);
}
