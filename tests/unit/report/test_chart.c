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
  assert_true(has_words(charts->pdata[0], "of 1 nothing recorded"));
  assert_non_null(
      strstr(((PwDrawing *)charts->pdata[0])->says, "after treatment of 1 nothing recorded"));
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

static PwDrawing *
faces_of(void **state, const char *volume)
{
  PwReportOptions options = options_of(state, PW_REPORT_TREATMENT);
  PwModelFace faces[] = {
      {.view = "front board",
       .n_photos = 2,
       .n_before = 7,
       .n_after = 2,
       .has_before = TRUE,
       .has_after = TRUE},
      {.view = "spine", .n_photos = 1, .n_before = 3, .has_before = TRUE},
      {.view = "tail"},
      {.view = "opening", .n_photos = 1, .n_before = 4, .has_before = TRUE},
  };
  PwModelSummary summary = {.faces = faces, .n_faces = G_N_ELEMENTS(faces)};
  void *folder = NULL;
  bench_begin(&folder);
  bench_volume(folder, volume);
  bench_photo(folder, "a.jpg", "stage: before\nview: front board\n");
  bench_open(folder, 0);
  PwDrawing *drawing = pw_faces_new(((Bench *)folder)->model, &summary, &options);
  bench_end(&folder);
  return drawing;
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
  g_autoptr(PwDrawing) drawing =
      faces_of(state, "volume: {id: V1, title: t, size: 400 x 250 x 60}\n");
  PwMadeOf front = nth_face(drawing, 0), spine = nth_face(drawing, 1);
  double scale = (front.y2 - front.y) / 400;
  bench_assert_near(front.x2 - front.x, 250 * scale, ROUNDING);
  bench_assert_near(spine.x2 - spine.x, 60 * scale, ROUNDING);
  bench_assert_near(spine.y2 - spine.y, 400 * scale, ROUNDING);
  assert_true(spine.x2 < front.x);
  assert_true(has_words(drawing, "7 / 2"));
  assert_true(has_words(drawing, "3 / \342\200\223"));
  assert_true(has_words(drawing, "not photographed"));
  assert_false(has_words(drawing, "not in proportion: no size is recorded"));
  assert_within(drawing);
}

static void
says_that_no_size_is_recorded(void **state)
{
  g_autoptr(PwDrawing) drawing = faces_of(state, "volume: {id: V1, title: t}\n");
  assert_true(has_words(drawing, "not in proportion: no size is recorded"));
  assert_non_null(strstr(drawing->says, "front board: before treatment 7, after treatment 2."));
}

/* One small square for each damage: 7 + 2 and 3. */
static void
counts_in_squares(void **state)
{
  g_autoptr(PwDrawing) drawing =
      faces_of(state, "volume: {id: V1, title: t, size: 400 x 250 x 60}\n");
  guint n = 0;
  for (guint i = 0; i < drawing->shapes->len; i++) {
    const PwMadeOf *shape = shape_at(drawing, i);
    n += shape->kind == PW_SHAPE_BOX && shape->x2 - shape->x < 3 ? 1 : 0;
  }
  assert_int_equal(n, 12 + 2); /* and the two of the key */
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
      cmocka_unit_test(leaves_out_what_is_no_damage),
      cmocka_unit_test(goes_on_over_pages),
      cmocka_unit_test(keeps_the_proportions_of_the_volume),
      cmocka_unit_test(says_that_no_size_is_recorded),
      cmocka_unit_test(counts_in_squares),
  };
  return cmocka_run_group_tests(tests, begin, end);
}
