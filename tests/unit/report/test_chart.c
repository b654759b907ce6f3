/* Charts and the map of faces, from figures made up here. */
#include "report/chart.h"
#include "report/faces.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "../model/bench.h"

#define ROUNDING 1e-6 /* of drawn places, mm */

typedef struct {
  PwStyle *style;
  PwWords *words;
} Kit;

static int
begin(void **state)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  Kit *kit = g_new0(Kit, 1);
  kit->style = pw_style_read("plate", complaints, NULL);
  kit->words = pw_words_read("en", complaints, NULL);
  *state = kit;
  return kit->style != NULL && kit->words != NULL ? 0 : 1;
}

static int
end(void **state)
{
  Kit *kit = *state;
  pw_style_free(kit->style);
  pw_words_free(kit->words);
  g_free(kit);
  return 0;
}

static PwReportOptions
options_of(void *const *state, PwReportKind kind)
{
  const Kit *kit = *state;
  return (PwReportOptions){.style = kit->style, .words = kit->words, .kind = kind};
}

/* 100 ± 20 and the like: one input, any number of degrees of freedom, so that U = 2 u. */
static PwContribution ten = {.c = 10, .dof = INFINITY};

static PwModelTotal
area(double value, gboolean is_uncertain)
{
  return (PwModelTotal){.count = 1,
                        .has_area = TRUE,
                        .area_mm2 = {value, is_uncertain ? &ten : NULL, is_uncertain ? 1 : 0}};
}

static PwModelCondition
condition(const char *term, PwModelTotal before, PwModelTotal after)
{
  return (PwModelCondition){.part = "leaf",
                            .term = term,
                            .group = "missing",
                            .before = before,
                            .after = after,
                            .n_followed = before.count};
}

static GPtrArray *
charts_of(PwModelCondition *terms, gsize n, const PwReportOptions *options)
{
  PwModelPart part = {.part = "leaf", .terms = terms, .n_terms = n};
  PwModelSummary summary = {.parts = &part, .n_parts = 1};
  return pw_charts_new(&summary, options);
}

static const PwMadeOf *
shape_at(const PwDrawing *drawing, guint i)
{
  return &g_array_index(drawing->shapes, PwMadeOf, i);
}

/* The bars of a chart, in order: boxes that begin where the largest does, below its key. */
static GArray *
bars_of(const PwDrawing *drawing)
{
  GArray *bars = g_array_new(FALSE, FALSE, sizeof(PwMadeOf));
  for (guint i = 0; i < drawing->shapes->len; i++)
    if (shape_at(drawing, i)->kind == PW_SHAPE_BOX && shape_at(drawing, i)->y > 12)
      g_array_append_val(bars, *shape_at(drawing, i));
  return bars;
}

static gboolean
has_words(const PwDrawing *drawing, const char *words)
{
  for (guint i = 0; i < drawing->shapes->len; i++)
    if (g_strcmp0(shape_at(drawing, i)->text, words) == 0)
      return TRUE;
  return FALSE;
}

static void
tells_the_steps_of_a_small_scale_apart(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[] = {condition("loss", area(0.12, FALSE), area(0.04, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  assert_true(has_words(charts->pdata[0], "0"));
  assert_true(has_words(charts->pdata[0], "0.05"));
  assert_true(has_words(charts->pdata[0], "0.10"));
}

static void
draws_bars_as_long_as_their_values(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[] = {condition("loss", area(400, FALSE), area(100, FALSE)),
                              condition("stain", area(200, FALSE), area(200, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 2, &options);
  assert_int_equal(charts->len, 1);
  g_autoptr(GArray) bars = bars_of(charts->pdata[0]);
  static const double shares[] = {1, 0.25, 0.5, 0.5};
  assert_int_equal(bars->len, G_N_ELEMENTS(shares));
  const PwMadeOf *first = &g_array_index(bars, PwMadeOf, 0);
  for (guint i = 0; i < bars->len; i++) {
    const PwMadeOf *bar = &g_array_index(bars, PwMadeOf, i);
    bench_assert_near(bar->x, first->x, ROUNDING);
    bench_assert_near((bar->x2 - bar->x) / (first->x2 - first->x), shares[i], ROUNDING);
    assert_true((bar->fill.r > 0.9) == (i % 2 == 0)); /* hollow before, full after */
  }
}

/* An uncertainty reaches as far below the value as above it. */
static void
draws_uncertainty_about_the_end_of_a_bar(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_CONDITION);
  PwModelCondition terms[] = {condition("loss", area(100, TRUE), area(0, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  PwDrawing *drawing = charts->pdata[0];
  g_autoptr(GArray) bars = bars_of(drawing);
  const PwMadeOf *bar = &g_array_index(bars, PwMadeOf, 0);
  double mm_of_20 = (bar->x2 - bar->x) / 5;
  guint n = 0;
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *line = shape_at(drawing, i);
    if (line->kind != PW_SHAPE_LINE || fabs(line->y - line->y2) > ROUNDING)
      continue;
    bench_assert_near(line->x, bar->x2 - mm_of_20, ROUNDING);
    bench_assert_near(line->x2, bar->x2 + mm_of_20, ROUNDING);
    n++;
  }
  assert_int_equal(n, 2); /* the line and its casing */
  assert_true(has_words(drawing, "100 ± 20"));
}

static void
tells_nothing_of_after_before_treatment(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_PROPOSAL);
  PwModelCondition terms[] = {condition("loss", area(400, FALSE), area(100, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  g_autoptr(GArray) bars = bars_of(charts->pdata[0]);
  assert_int_equal(bars->len, 1);
  assert_false(has_words(charts->pdata[0], "After treatment"));
  assert_null(strstr(((PwDrawing *)charts->pdata[0])->says, "after"));
}

/* Nothing after treatment is 0 only where somebody said so. */
static void
what_was_not_followed_is_not_nought(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[] = {condition("loss", area(400, FALSE), (PwModelTotal){0}),
                              condition("tear", area(100, FALSE), (PwModelTotal){0})};
  terms[1].n_followed = 0;
  g_autoptr(GPtrArray) charts = charts_of(terms, 2, &options);
  assert_true(has_words(charts->pdata[0], "0"));
  assert_true(has_words(charts->pdata[0], "1 with nothing recorded"));
  assert_non_null(
      strstr(((PwDrawing *)charts->pdata[0])->says, "after treatment 1 with nothing recorded"));
}

/* The words of a chart that go on softly in others. */
static const PwMadeOf *
words_before(const PwDrawing *drawing, const char *rest)
{
  for (guint i = 0; i < drawing->shapes->len; i++)
    if (g_strcmp0(shape_at(drawing, i)->rest, rest) == 0)
      return shape_at(drawing, i);
  return NULL;
}

/* "3, 4 not followed up" would be 3.4 to a reader of German. */
static void
a_figure_is_set_apart_from_what_is_said_of_it(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelTotal before = area(100, TRUE);
  before.unsized = 2;
  PwModelCondition terms[] = {condition("loss", before, area(0, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  const PwMadeOf *figure = words_before(charts->pdata[0], " \302\267 2 without a size");
  assert_non_null(figure);
  assert_string_equal(figure->text, "100 \302\261 20");
  assert_false(figure->is_soft);
  assert_non_null(
      strstr(((PwDrawing *)charts->pdata[0])->says, "100 \302\261 20; 2 without a size"));
}

/* Of a damage that is marked by an outline and by points beside it, the points are no area. */
static void
points_beside_an_area_are_told(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_CONDITION);
  PwModelTotal before = area(100, FALSE);
  before.count = 1 + 3;
  before.points = 3;
  PwModelCondition terms[] = {condition("foxing", before, area(0, FALSE))};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  assert_int_equal(charts->len, 1);
  assert_string_equal(words_before(charts->pdata[0], " \302\267 3 without a size")->text, "100");
}

static const PwModelTotal four_unsized = {.count = 4, .unsized = 4};

/* Of areas and lines where none has a size there is no other chart that they could stand in: also
 * where they are gone and nothing of them is left. */
static void
counts_what_has_no_size_at_all(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelTotal gone = area(0, FALSE);
  gone.count = 0;
  PwModelCondition terms[] = {condition("loss", four_unsized, four_unsized),
                              condition("tear", four_unsized, gone)};
  g_autoptr(GPtrArray) charts = charts_of(terms, 2, &options);
  assert_int_equal(charts->len, 1);
  const PwDrawing *chart = charts->pdata[0];
  assert_true(has_words(chart, "places"));
  assert_true(has_words(chart, "loss") && has_words(chart, "tear"));
  assert_string_equal(words_before(chart, " \302\267 without a size")->text, "4");
  g_autoptr(GArray) bars = bars_of(chart);
  assert_int_equal(bars->len, 3);
  assert_non_null(
      strstr(chart->says, "tear: before treatment 4; without a size, after treatment 0"));
}

/* The lines of the scale reach as far as the longest bar and its uncertainty, and no bar is so much
 * shorter than they that half of them would be for nothing. */
static void
the_scale_reaches_past_every_bar(void **state)
{
  static const double longest[] = {0.12, 4, 45, 100, 362, 1000, 1001, 4140, 13430};
  PwReportOptions options = options_of(state, PW_REPORT_CONDITION);
  for (guint k = 0; k < G_N_ELEMENTS(longest); k++) {
    PwModelCondition terms[] = {condition("loss", area(longest[k], k > 4), area(0, FALSE))};
    g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
    const PwDrawing *chart = charts->pdata[0];
    double from = 0, to = 0, reach = 0;
    for (guint i = 0; i < chart->shapes->len; i++) {
      const PwMadeOf *shape = shape_at(chart, i);
      if (shape->kind == PW_SHAPE_LINE && shape->y2 - shape->y > 4)
        to = MAX(to, shape->x);
      else if (shape->kind != PW_SHAPE_WORDS)
        reach = MAX(reach, shape->x2);
      if (shape->kind == PW_SHAPE_BOX)
        from = shape->x;
    }
    assert_true(reach <= to + ROUNDING);
    assert_true(reach - from > (to - from) / 2);
  }
}

/* Places are whole, and so are the steps of their scale. */
static void
a_scale_of_places_has_whole_steps(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_CONDITION);
  PwModelCondition terms[] = {
      condition("hole", (PwModelTotal){.count = 1}, (PwModelTotal){.count = 1})};
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  assert_true(has_words(charts->pdata[0], "0"));
  assert_true(has_words(charts->pdata[0], "1"));
  assert_false(has_words(charts->pdata[0], "0.5"));
}

static void
long_names_stand_in_full(void **state)
{
  static const char part[] = "the leather over the spine between the third and the fourth band";
  static const char term[] = "a stain that a wet chart weight left on the cloth";
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[] = {condition(term, area(100, FALSE), area(50, FALSE))};
  PwModelPart parts = {.part = part, .terms = terms, .n_terms = 1};
  PwModelSummary summary = {.parts = &parts, .n_parts = 1};
  g_autoptr(GPtrArray) charts = pw_charts_new(&summary, &options);
  const PwDrawing *chart = charts->pdata[0];
  assert_true(has_words(chart, part));
  g_auto(GStrv) lines = pw_drawing_dup_lines(options.style, term, 47.5, 2);
  assert_int_equal(g_strv_length(lines), 2);
  g_autofree char *joined = g_strjoinv(" ", lines);
  assert_string_equal(joined, term);
  assert_true(has_words(chart, lines[0]) && has_words(chart, lines[1]));
}

static void
lines_are_no_wider_than_they_may_be(void **state)
{
  const Kit *kit = *state;
  static const char *const texts[] = {
      "", "one", "words that go on and on and on, as a clerk wrote them",
      "Donaudampfschifffahrtsgesellschaftsoberregistraturvorsteherei",
      "\350\243\205\350\250\202 \350\243\205\350\250\202\350\243\205\350\250\202 of two"};
  for (guint i = 0; i < G_N_ELEMENTS(texts); i++)
    for (guint most = 1; most < 20; most += 6) {
      g_auto(GStrv) lines = pw_drawing_dup_lines(kit->style, texts[i], 20, most);
      assert_true(lines[0] != NULL && g_strv_length(lines) <= most);
      for (guint k = 0; lines[k] != NULL; k++) {
        assert_true(pw_drawing_width_of(kit->style, lines[k]) <= 20);
        assert_true(g_utf8_validate(lines[k], -1, NULL));
      }
    }
  g_auto(GStrv) cut = pw_drawing_dup_lines(kit->style, texts[2], 20, 1);
  assert_true(g_str_has_suffix(cut[0], "\342\200\246"));
}

static void
leaves_out_what_is_no_damage(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[] = {condition("inscription", area(400, FALSE), area(400, FALSE))};
  terms[0].group = "noted";
  g_autoptr(GPtrArray) charts = charts_of(terms, 1, &options);
  assert_int_equal(charts->len, 0);
}

static void
assert_within(const PwDrawing *drawing)
{
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = shape_at(drawing, i);
    assert_true(shape->x >= 0 && shape->x <= drawing->width_mm);
    assert_true(shape->y >= 0 && shape->y <= drawing->height_mm);
    assert_true(shape->x2 <= drawing->width_mm && shape->y2 <= drawing->height_mm);
  }
}

/* A page holds 215 mm; of a hundred kinds of damage each stands in one chart. */
static void
goes_on_over_pages(void **state)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelCondition terms[100];
  char names[100][16];
  for (guint i = 0; i < 100; i++) {
    g_snprintf(names[i], sizeof names[i], "damage %u", i);
    terms[i] = condition(names[i], area(1 + i, TRUE), area(i, FALSE));
  }
  g_autoptr(GPtrArray) charts = charts_of(terms, 100, &options);
  assert_true(charts->len >= 4);
  guint n = 0;
  for (guint i = 0; i < charts->len; i++) {
    const PwDrawing *chart = charts->pdata[i];
    assert_true(chart->height_mm <= 215);
    assert_within(chart);
    for (guint k = 0; k < 100; k++)
      n += has_words(chart, names[k]) ? 1 : 0;
  }
  assert_int_equal(n, 100);
}

/* ---- Faces -------------------------------------------------------------------------------------
 */

static PwModelFace five[] = {
    {.view = "front board",
     .n_photos = 2,
     .n_before = 7,
     .n_after = 2,
     .n_followed = 6,
     .has_before = TRUE,
     .has_after = TRUE},
    {.view = "spine", .n_photos = 1, .n_before = 3, .has_before = TRUE},
    {.view = "tail"},
    {.view = "opening",
     .n_photos = 2,
     .n_before = 4,
     .n_followed = 2,
     .has_before = TRUE,
     .has_after = TRUE},
    {.view = "detail",
     .n_photos = 2,
     .n_before = 5,
     .n_after = 4,
     .n_followed = 5,
     .has_before = TRUE,
     .has_after = TRUE},
};

static PwDrawing *
map_of(void **state, const char *volume, const PwModelSummary *summary, PwReportKind kind)
{
  PwReportOptions options = options_of(state, kind);
  void *folder = NULL;
  bench_begin(&folder);
  bench_volume(folder, volume);
  bench_photo(folder, "a.jpg", "stage: before\nview: front board\n");
  bench_open(folder, 0);
  PwDrawing *drawing = pw_faces_new(((Bench *)folder)->model, summary, &options);
  bench_end(&folder);
  return drawing;
}

static const char sized[] = "volume: {id: V1, title: t, size: 400 x 250 x 60}\n";

static PwDrawing *
faces_of(void **state, const char *volume)
{
  const PwModelSummary summary = {.faces = five, .n_faces = G_N_ELEMENTS(five), .n_before = 19};
  return map_of(state, volume, &summary, PW_REPORT_TREATMENT);
}

/* The boxes of faces, without the small ones that stand for damage. */
static PwMadeOf
nth_face(const PwDrawing *drawing, guint n)
{
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = shape_at(drawing, i);
    if (shape->kind == PW_SHAPE_BOX && shape->x2 - shape->x > 3 && n-- == 0)
      return *shape;
  }
  fail_msg("there is no such face");
  return (PwMadeOf){0};
}

static void
keeps_the_proportions_of_the_volume(void **state)
{
  g_autoptr(PwDrawing) drawing = faces_of(state, sized);
  PwMadeOf front = nth_face(drawing, 0), spine = nth_face(drawing, 1);
  double scale = (front.y2 - front.y) / 400;
  bench_assert_near(front.x2 - front.x, 250 * scale, ROUNDING);
  bench_assert_near(spine.x2 - spine.x, 60 * scale, ROUNDING);
  bench_assert_near(spine.y2 - spine.y, 400 * scale, ROUNDING);
  assert_true(spine.x2 < front.x);
  assert_true(has_words(drawing, "not photographed"));
  assert_false(has_words(drawing, "not in proportion: no size is recorded"));
  assert_within(drawing);
}

static void
says_that_no_size_is_recorded(void **state)
{
  g_autoptr(PwDrawing) drawing = faces_of(state, "volume: {id: V1, title: t}\n");
  assert_true(has_words(drawing, "not in proportion: no size is recorded"));
  const Kit *kit = *state;
  g_autofree char *untold = pw_words_dup_count(kit->words, "chart-untold", 1);
  g_autofree char *says =
      g_strdup_printf("front board: before treatment 7, after treatment 2; %s.", untold);
  assert_non_null(strstr(drawing->says, says));
}

/* What is gone alone may be missing after treatment: that nothing is recorded of a place is no such
 * word. */
static void
figures_say_of_how_many_nothing_is_recorded(void **state)
{
  g_autoptr(PwDrawing) drawing = faces_of(state, sized);
  assert_true(has_words(drawing, "7 / 2 + 1 ?"));
  assert_true(has_words(drawing, "4 / 2 ?"));
  assert_true(has_words(drawing, "5 / 4"));
  assert_true(has_words(drawing, "3 / \342\200\223"));
  assert_true(has_words(drawing, "Nothing recorded after treatment\302\240(?)"));
  assert_true(has_words(drawing, "\342\200\223"));
  assert_true(has_words(drawing, "Not photographed at that stage"));
  const Kit *kit = *state;
  g_autofree char *untold = pw_words_dup_count(kit->words, "chart-untold", 2);
  g_autofree char *says =
      g_strdup_printf("opening: before treatment 4, after treatment %s.", untold);
  assert_non_null(strstr(drawing->says, says));
}

static void
the_key_explains_no_sign_that_is_not_there(void **state)
{
  const PwModelSummary summary = {.faces = (PwModelFace[]){five[0], five[4]}, .n_faces = 2};
  summary.faces[0].n_followed = 7;
  g_autoptr(PwDrawing) drawing = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  assert_true(has_words(drawing, "7 / 2"));
  assert_true(has_words(drawing, "After treatment"));
  assert_false(has_words(drawing, "Nothing recorded after treatment\302\240(?)"));
  assert_false(has_words(drawing, "?"));
  assert_false(has_words(drawing, "Not photographed at that stage"));
}

/* A face that was not photographed after treatment has dotted squares and a dash, and no other
 * sign. */
static void
the_key_of_squares_alone_has_no_sign(void **state)
{
  const PwModelSummary summary = {.faces = (PwModelFace[]){five[0], five[1]}, .n_faces = 2};
  summary.faces[0].n_followed = summary.faces[0].n_before;
  g_autoptr(PwDrawing) drawing = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  assert_true(has_words(drawing, "Nothing recorded after treatment"));
  assert_false(has_words(drawing, "Nothing recorded after treatment\302\240(?)"));
}

/* Of what is no face no square is drawn: the key explains the sign among its figures alone. */
static void
the_key_of_what_is_beside_the_map_is_its_sign(void **state)
{
  PwModelSummary summary = {.faces = (PwModelFace[]){five[0], five[1], five[2], five[3], five[4]},
                            .n_faces = 5};
  for (gsize i = 0; i < summary.n_faces; i++)
    if (g_strcmp0(summary.faces[i].view, "opening") != 0)
      summary.faces[i].n_followed = summary.faces[i].n_before;
  g_autoptr(PwDrawing) drawing = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  assert_true(has_words(drawing, "4 / 2 ?"));
  assert_true(has_words(drawing, "?"));
  assert_true(has_words(drawing, "Nothing recorded after treatment"));
  assert_false(has_words(drawing, "Nothing recorded after treatment\302\240(?)"));
}

static guint
count_boxes(const PwDrawing *drawing, double from, double to)
{
  guint n = 0;
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = shape_at(drawing, i);
    double width = shape->x2 - shape->x;
    n += shape->kind == PW_SHAPE_BOX && width > from && width < to ? 1 : 0;
  }
  return n;
}

/* One small square for each damage: 7 before, then 2 and 1 that nothing is recorded of; 3 of which
 * nothing is; with a dot in what nothing is recorded of. In the key one of each. */
static void
counts_in_squares(void **state)
{
  g_autoptr(PwDrawing) drawing = faces_of(state, sized);
  assert_int_equal(count_boxes(drawing, 1, 3), 7 + 2 + 1 + 3 + 3 + 3);
  assert_int_equal(count_boxes(drawing, 0, 1), 1 + 3 + 1);
}

static void
of_one_stage_the_first_line_says_which(void **state)
{
  const PwModelSummary summary = {.faces = five, .n_faces = G_N_ELEMENTS(five), .n_before = 19};
  g_autoptr(PwDrawing) drawing = map_of(state, sized, &summary, PW_REPORT_CONDITION);
  assert_true(has_words(drawing, "damaged places before treatment, face by face"));
  assert_false(has_words(drawing, "Before treatment"));
  assert_true(has_words(drawing, "7"));
  assert_int_equal(count_boxes(drawing, 1, 3), 7 + 3);
}

static gboolean
says_it(const PwDrawing *drawing, const char *words)
{
  return strstr(drawing->says, words) != NULL;
}

static void
tells_why_faces_do_not_add_up_to_the_volume(void **state)
{
  PwModelSummary summary = {.faces = five, .n_faces = G_N_ELEMENTS(five), .n_before = 17};
  g_autoptr(PwDrawing) twice = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  assert_true(says_it(twice, "the faces add up to 19, and the volume has 17."));
  assert_false(says_it(twice, "noted"));
  summary.n_before = 19;
  summary.n_noted = 2;
  g_autoptr(PwDrawing) noted = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  assert_false(says_it(noted, "add up"));
  assert_true(says_it(noted, "What is noted and is no damage"));
  g_autoptr(PwDrawing) neither = faces_of(state, sized);
  assert_false(says_it(neither, "add up") || says_it(neither, "noted"));
}

/* A spine alone leaves the page to what comes next, unless its squares ask for more. */
static void
a_few_faces_are_no_higher_than_their_squares(void **state)
{
  PwModelSummary summary = {.faces = (PwModelFace[]){five[1]}, .n_faces = 1};
  g_autoptr(PwDrawing) low = map_of(state, sized, &summary, PW_REPORT_CONDITION);
  summary.faces[0].n_before = 40;
  g_autoptr(PwDrawing) high = map_of(state, sized, &summary, PW_REPORT_CONDITION);
  assert_true(low->height_mm < 55);
  assert_true(high->height_mm > low->height_mm + 5);
  assert_int_equal(count_boxes(high, 1, 3), 40);
  assert_within(high);
}

/* Every word ends on the drawing, however long the view's name is. */
static void
long_views_stay_on_the_map(void **state)
{
  const Kit *kit = *state;
  PwModelSummary summary = {.faces = (PwModelFace[]){five[0], five[4]}, .n_faces = 2};
  summary.faces[1].view = "the place where the ropemaker's boy wrote his name on the last endleaf, "
                          "seen under a lamp from the left";
  g_autoptr(PwDrawing) drawing = map_of(state, sized, &summary, PW_REPORT_TREATMENT);
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = shape_at(drawing, i);
    if (shape->kind != PW_SHAPE_WORDS)
      continue;
    double width = pw_drawing_width_of(kit->style, shape->text);
    assert_true(shape->x - shape->align * width >= 0);
    assert_true(shape->x + (1 - shape->align) * width <= drawing->width_mm);
  }
  assert_within(drawing);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(draws_bars_as_long_as_their_values),
      cmocka_unit_test(tells_the_steps_of_a_small_scale_apart),
      cmocka_unit_test(draws_uncertainty_about_the_end_of_a_bar),
      cmocka_unit_test(tells_nothing_of_after_before_treatment),
      cmocka_unit_test(what_was_not_followed_is_not_nought),
      cmocka_unit_test(a_figure_is_set_apart_from_what_is_said_of_it),
      cmocka_unit_test(points_beside_an_area_are_told),
      cmocka_unit_test(counts_what_has_no_size_at_all),
      cmocka_unit_test(the_scale_reaches_past_every_bar),
      cmocka_unit_test(a_scale_of_places_has_whole_steps),
      cmocka_unit_test(long_names_stand_in_full),
      cmocka_unit_test(lines_are_no_wider_than_they_may_be),
      cmocka_unit_test(leaves_out_what_is_no_damage),
      cmocka_unit_test(goes_on_over_pages),
      cmocka_unit_test(keeps_the_proportions_of_the_volume),
      cmocka_unit_test(says_that_no_size_is_recorded),
      cmocka_unit_test(figures_say_of_how_many_nothing_is_recorded),
      cmocka_unit_test(the_key_of_what_is_beside_the_map_is_its_sign),
      cmocka_unit_test(the_key_of_squares_alone_has_no_sign),
      cmocka_unit_test(the_key_explains_no_sign_that_is_not_there),
      cmocka_unit_test(counts_in_squares),
      cmocka_unit_test(of_one_stage_the_first_line_says_which),
      cmocka_unit_test(tells_why_faces_do_not_add_up_to_the_volume),
      cmocka_unit_test(a_few_faces_are_no_higher_than_their_squares),
      cmocka_unit_test(long_views_stay_on_the_map),
  };
  return cmocka_run_group_tests(tests, begin, end);
}
