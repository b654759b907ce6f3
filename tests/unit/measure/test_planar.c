/* Real photographs of printed boards: what four corners give by hand, held against the printed size
 * and against what OpenCV's homography gives. The cases and their truth are ../shared/cases/planar
 * (see its SOURCE.txt); without that folder there is nothing to check.
 *
 * The truth counts from the centre of the first pixel, we from its outer corner: half a pixel more.
 */
#include <platewright/measure.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>
#include <yaml.h>

/* The truth is JSON, which libyaml reads as flow YAML. */
typedef struct {
  yaml_document_t document;
  gboolean loaded;
} Truth;

static const char *
text_of(yaml_node_t *node)
{
  return (const char *)node->data.scalar.value;
}

static double
number_of(yaml_node_t *node)
{
  return g_ascii_strtod(text_of(node), NULL);
}

static yaml_node_t *
get(Truth *truth, yaml_node_t *node, const char *key)
{
  if (!node || node->type != YAML_MAPPING_NODE)
    return NULL;
  for (yaml_node_pair_t *pair = node->data.mapping.pairs.start; pair < node->data.mapping.pairs.top;
       pair++)
    if (strcmp(text_of(yaml_document_get_node(&truth->document, pair->key)), key) == 0)
      return yaml_document_get_node(&truth->document, pair->value);
  return NULL;
}

static gsize
count_of(yaml_node_t *node)
{
  return (gsize)(node->data.sequence.items.top - node->data.sequence.items.start);
}

static yaml_node_t *
at(Truth *truth, yaml_node_t *node, gsize i)
{
  return yaml_document_get_node(&truth->document, node->data.sequence.items.start[i]);
}

static PwPx
point_at(Truth *truth, yaml_node_t *points, gsize i)
{
  yaml_node_t *pair = at(truth, points, i);
  return (PwPx){number_of(at(truth, pair, 0)), number_of(at(truth, pair, 1))};
}

static gboolean
load(Truth *truth)
{
  g_autofree char *path = g_build_filename(g_getenv("PW_SHARED") ? g_getenv("PW_SHARED") : "",
                                           "cases", "planar", "truth.json", NULL);
  FILE *file = fopen(path, "rb");
  yaml_parser_t parser;
  *truth = (Truth){.loaded = FALSE};
  if (!file)
    return FALSE;
  yaml_parser_initialize(&parser);
  yaml_parser_set_input_file(&parser, file);
  truth->loaded = yaml_parser_load(&parser, &truth->document) != 0;
  yaml_parser_delete(&parser);
  fclose(file);
  return truth->loaded;
}

static PwScale *
scale_from(Truth *truth, yaml_node_t *photo, yaml_node_t *reference)
{
  yaml_node_t *px = get(truth, reference, "reference_px");
  yaml_node_t *mm = get(truth, reference, "reference_mm");
  PwPx a = point_at(truth, mm, 0), c = point_at(truth, mm, 2);
  PwScaleInput input = {.method = PW_SCALE_RECTANGLE,
                        .width_mm = c.x - a.x,
                        .height_mm = c.y - a.y,
                        .tolerance_mm = 0,
                        .camera_distance_mm = nan(""),
                        .focal_px = nan(""),
                        .picture_width = number_of(get(truth, photo, "width")),
                        .picture_height = number_of(get(truth, photo, "height"))};
  for (gsize i = 0; i < 4; i++) {
    PwPx corner = point_at(truth, px, i);
    input.corners[i] = (PwPx){corner.x + .5, corner.y + .5};
  }
  PwUncertainty uncertainty;
  g_autoptr(GError) error = NULL;
  pw_uncertainty_init_defaults(&uncertainty);
  PwScale *scale = pw_scale_new(&input, &uncertainty, &error);
  if (!scale)
    fail_msg("%s", error->message);
  return scale;
}

static double
measured(Truth *truth, const PwScale *scale, yaml_node_t *points, gboolean area)
{
  gsize n = count_of(points);
  PwShapeSizes sizes;
  PwShape shape = {.kind = area ? PW_KIND_AREA : PW_KIND_LINE, .path = {g_new(PwPx, n), n}};
  for (gsize i = 0; i < n; i++) {
    PwPx p = point_at(truth, points, i);
    shape.path.points[i] = (PwPx){p.x + .5, p.y + .5};
  }
  assert_true(pw_measure_shape(scale, &shape, &sizes, NULL));
  double value = area ? sizes.area_mm2.value : sizes.length_mm.value;
  pw_shape_sizes_clear(&sizes);
  pw_px_path_clear(&shape.path);
  return value;
}

/* No further from the printed size than OpenCV's homography, and 0.1 % of it. */
static void
check_measure(Truth *truth, const PwScale *scale, yaml_node_t *measure, double *worst)
{
  gboolean area = strcmp(text_of(get(truth, measure, "kind")), "area") == 0;
  double value = measured(truth, scale, get(truth, measure, "px"), area);
  double printed = number_of(get(truth, measure, area ? "true_mm2" : "true_mm"));
  double theirs =
      number_of(get(truth, measure, area ? "by_cv2_homography_mm2" : "by_cv2_homography_mm"));
  *worst = fmax(*worst, fabs(value - theirs) / printed);
  if (!(fabs(value - printed) <= fabs(theirs - printed) + .001 * printed))
    fail_msg("%s: %g, printed %g, OpenCV %g", text_of(get(truth, measure, "name")), value, printed,
             theirs);
}

static gsize
check_photo(Truth *truth, yaml_node_t *photo, double *worst)
{
  static const char *const references[] = {"outer", "card3x2"};
  gsize checked = 0;
  for (gsize r = 0; r < G_N_ELEMENTS(references); r++) {
    yaml_node_t *reference = get(truth, get(truth, photo, "from_reference"), references[r]);
    if (!reference)
      continue;
    g_autoptr(PwScale) scale = scale_from(truth, photo, reference);
    yaml_node_t *measures = get(truth, reference, "measures");
    for (gsize i = 0; i < count_of(measures); i++)
      check_measure(truth, scale, at(truth, measures, i), worst);
    checked += count_of(measures);
  }
  return checked;
}

static void
printed_boards(void **state)
{
  (void)state;
  Truth truth;
  if (!load(&truth)) {
    print_message("# ../shared/cases/planar is not there: nothing checked\n");
    skip();
  }
  yaml_node_t *cases = get(&truth, yaml_document_get_root_node(&truth.document), "cases");
  double worst = 0;
  gsize checked = 0;
  for (gsize i = 0; i < count_of(cases); i++)
    checked += check_photo(&truth, at(&truth, cases, i), &worst);
  print_message("# %zu sizes on printed boards; largest difference from OpenCV %.4f %%\n", checked,
                100 * worst);
  assert_true(checked > 250);
  yaml_document_delete(&truth.document);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(printed_boards),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
