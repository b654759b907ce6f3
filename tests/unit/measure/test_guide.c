/* docs/measuring.md: the worked example is what the library gives, figure for figure. */
#include <platewright/measure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

/* The example's photograph, as the guide describes it: the card close to the mark, or in the corner
 * of the picture, so many px left and down. */
static PwScale *
example_scale(double left, double down)
{
  PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                        .corners = {{2612, 1810}, {3468, 1822}, {3460, 2363}, {2606, 2349}},
                        .width_mm = 85.60,
                        .height_mm = 53.98,
                        .tolerance_mm = .1,
                        .plane_offset_mm = 0,
                        .camera_distance_mm = nan(""),
                        .focal_px = 10000,
                        .focal_mm = 60,
                        .picture_width = 6000,
                        .picture_height = 4000};
  for (int i = 0; i < 4; i++)
    input.corners[i] = (PwPx){input.corners[i].x - left, input.corners[i].y + down};
  PwUncertainty uncertainty;
  pw_uncertainty_init_defaults(&uncertainty);
  return pw_scale_new(&input, &uncertainty, NULL);
}

static void
append_input(GString *text, const PwShapeSizes *sizes, PwInput input, PwScope scope)
{
  double area = pw_size_share_of(&sizes->area_mm2, input, scope);
  double perimeter = pw_size_share_of(&sizes->perimeter_mm, input, scope);
  double longest = pw_size_share_of(&sizes->longest_mm, input, scope);
  if (!(area > 0))
    return;
  g_autofree char *a = pw_format_fixed(area, 2);
  g_autofree char *p = pw_format_fixed(perimeter, 3);
  g_autofree char *l = pw_format_fixed(longest, 3);
  g_string_append_printf(text, "| %s | %s | %s | %s | %s |\n", pw_input_name(input),
                         pw_scope_name(scope), a, p, l);
}

static void
append_quantity(GString *text, const char *what, const PwSize *size, const char *unit)
{
  PwQuantity q = pw_size_quantity(size);
  g_autofree char *u = pw_format_fixed(q.u, pw_decimals_for(q.u) + 1);
  g_autofree char *shown = pw_format_quantity(q.value, pw_coverage_factor(q.dof) * q.u);
  g_string_append_printf(text, "| %s | %s %s | %s %s |\n", what, u, unit, shown, unit);
}

/* Asserts that the guide holds every line of `text`. */
static void
assert_in_guide(const char *text)
{
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "docs", "measuring.md", NULL);
  g_autofree char *guide = NULL;
  assert_true(g_file_get_contents(path, &guide, NULL, NULL));
  g_auto(GStrv) rows = g_strsplit(text, "\n", -1);
  for (guint i = 0; rows[i]; i++)
    if (!strstr(guide, rows[i]))
      fail_msg("docs/measuring.md does not say: %s", rows[i]);
}

static PwShapeSizes
example_sizes(const PwScale *scale)
{
  PwShape shape = {.kind = PW_KIND_AREA};
  PwShapeSizes sizes;
  assert_true(
      pw_px_path_parse("2904,1380 3110,1352 3284,1398 3301,1560 3120,1612 2951,1585 2868,1490",
                       &shape.path, NULL, NULL));
  assert_true(pw_measure_shape(scale, &shape, &sizes, NULL));
  pw_px_path_clear(&shape.path);
  return sizes;
}

static void
the_budget_is_true(void **state)
{
  (void)state;
  g_autoptr(PwScale) scale = example_scale(0, 0);
  g_autoptr(GString) text = g_string_new(NULL);
  PwShapeSizes sizes = example_sizes(scale);
  for (guint input = 0; input < PW_N_INPUTS; input++)
    for (guint scope = 0; scope <= PW_SCOPE_VOLUME; scope++)
      append_input(text, &sizes, (PwInput)input, (PwScope)scope);
  append_quantity(text, "area", &sizes.area_mm2, "mm²");
  append_quantity(text, "perimeter", &sizes.perimeter_mm, "mm");
  append_quantity(text, "longest extent", &sizes.longest_mm, "mm");
  assert_in_guide(text->str);
  pw_shape_sizes_clear(&sizes);
}

static void
the_scale_is_true(void **state)
{
  (void)state;
  g_autoptr(PwScale) scale = example_scale(0, 0);
  PwScaleFacts facts;
  pw_scale_facts(scale, &facts);
  g_autofree char *mm_per_px = pw_format_fixed(facts.mm_per_px, 4);
  g_autofree char *distance = pw_format_fixed(facts.camera_distance_mm, 0);
  g_autofree char *tilt = pw_format_fixed(facts.tilt_deg, 1);
  g_autofree char *text = g_strdup_printf("%s mm per pixel, the camera %s mm away, a tilt of %s°",
                                          mm_per_px, distance, tilt);
  assert_in_guide(text);
}

static void
a_card_in_the_corner_is_worse(void **state)
{
  (void)state;
  g_autoptr(PwScale) scale = example_scale(1800, 1200);
  PwShapeSizes sizes = example_sizes(scale);
  PwQuantity q = pw_size_quantity(&sizes.area_mm2);
  g_autofree char *shown = pw_format_quantity(q.value, 2 * q.u);
  g_autofree char *text = g_strdup_printf("the same mark is %s mm²", shown);
  assert_in_guide(text);
  pw_shape_sizes_clear(&sizes);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_budget_is_true),
      cmocka_unit_test(the_scale_is_true),
      cmocka_unit_test(a_card_in_the_corner_is_worse),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
