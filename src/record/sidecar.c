/* The sidecar: the text beside one photograph. Its keys, row by row, and how it is read and freed.
 */
#include "sidecar_check.h"
#include "sidecar_edit.h"
#include "values.h"
#include "words.h"

static const PwRange range_severity = {1, 3, FALSE, "1 (slight), 2 (moderate) or 3 (strong)"};
static const PwRange range_count = {1, 1000000, FALSE, "1 or more"};

#define AT(member) offsetof(PwSidecar, member)
static const PwField photo_fields[] = {
    {.key = "taken", .type = &pw_value_time, .at = AT(taken), .is_fixed = TRUE},
    {.key = "sha256", .type = &pw_value_sha256, .at = AT(sha256), .is_fixed = TRUE},
    {.key = "size",
     .type = &pw_value_pixels,
     .at = AT(width),
     .also = AT(height),
     .is_fixed = TRUE},
    {.key = "source", .type = &pw_value_usual, .at = AT(source), .of = pw_words_source},
};
static const PwField chart_fields[] = {
    {.key = "corners", .type = &pw_value_points, .at = AT(chart_corners), .required = TRUE},
    {.key = "lab", .type = &pw_value_path, .at = AT(chart_lab), .required = TRUE},
};
#undef AT
static const PwTable photo_table = {
    .what = "`photo`", .fields = photo_fields, .n_fields = G_N_ELEMENTS(photo_fields)};
static const PwTable chart_table = {
    .what = "`chart`", .fields = chart_fields, .n_fields = G_N_ELEMENTS(chart_fields)};

#define AT(member) offsetof(PwScaleText, member)
static const PwField rectangle_fields[] = {
    {.key = "corners", .type = &pw_value_corners, .at = AT(corners), .required = TRUE},
    {.key = "width",
     .type = &pw_value_number,
     .at = AT(width),
     .range = &pw_range_positive,
     .required = TRUE},
    {.key = "height",
     .type = &pw_value_number,
     .at = AT(height),
     .range = &pw_range_positive,
     .required = TRUE},
    {.key = "tolerance",
     .type = &pw_value_number,
     .at = AT(tolerance),
     .range = &pw_range_positive},
};
static const PwField span_fields[] = {
    {.key = "from", .type = &pw_value_point, .at = AT(from), .required = TRUE},
    {.key = "to", .type = &pw_value_point, .at = AT(to), .required = TRUE},
    {.key = "length",
     .type = &pw_value_number,
     .at = AT(length),
     .range = &pw_range_positive,
     .required = TRUE},
    {.key = "tolerance",
     .type = &pw_value_number,
     .at = AT(tolerance),
     .range = &pw_range_positive},
};
static const PwField ticks_fields[] = {
    {.key = "from", .type = &pw_value_point, .at = AT(from), .required = TRUE},
    {.key = "to", .type = &pw_value_point, .at = AT(to), .required = TRUE},
    {.key = "pitch",
     .type = &pw_value_number,
     .at = AT(pitch),
     .range = &pw_range_positive,
     .required = TRUE},
    {.key = "count", .type = &pw_value_number, .at = AT(count), .range = &pw_range_positive},
};
static const PwTable rectangle_table = {
    .what = "`rectangle`", .fields = rectangle_fields, .n_fields = G_N_ELEMENTS(rectangle_fields)};
static const PwTable span_table = {
    .what = "`span`", .fields = span_fields, .n_fields = G_N_ELEMENTS(span_fields)};
static const PwTable ticks_table = {
    .what = "`ticks`", .fields = ticks_fields, .n_fields = G_N_ELEMENTS(ticks_fields)};

static const PwField scale_fields[] = {
    {.key = "tags", .type = &pw_value_words, .at = AT(tags)},
    {.key = "rectangle", .type = &pw_value_mapping, .of = &rectangle_table},
    {.key = "span", .type = &pw_value_mapping, .of = &span_table},
    {.key = "ticks", .type = &pw_value_mapping, .of = &ticks_table},
    {.key = "plane-offset", .type = &pw_value_offset, .at = AT(plane_offset)},
    {.key = "camera-distance",
     .type = &pw_value_number,
     .at = AT(camera_distance),
     .range = &pw_range_positive},
};
#undef AT
static const PwTable scale_table = {.what = "`scale`",
                                    .fields = scale_fields,
                                    .n_fields = G_N_ELEMENTS(scale_fields),
                                    .keeps_node = TRUE,
                                    .check = pw_check_scale};

#define AT(member) offsetof(PwMark, member)
static const PwField mark_uncertainty_fields[] = {
    {.key = "outline",
     .type = &pw_value_number,
     .at = AT(outline_px),
     .range = &pw_range_positive,
     .required = TRUE},
};
static const PwTable mark_uncertainty_table = {.what = "a mark's `uncertainty`",
                                               .fields = mark_uncertainty_fields,
                                               .n_fields = G_N_ELEMENTS(mark_uncertainty_fields)};

static const PwField mark_fields[] = {
    {.key = "id", .type = &pw_value_id, .at = AT(id), .required = TRUE},
    {.key = "term", .type = &pw_value_word, .at = AT(term), .required = TRUE},
    {.key = "part", .type = &pw_value_prose, .at = AT(part)},
    {.key = "outline", .type = &pw_value_points, .at = AT(path)},
    {.key = "line", .type = &pw_value_points, .at = AT(path)},
    {.key = "point", .type = &pw_value_points, .at = AT(path)},
    {.key = "holes", .type = &pw_value_rings, .at = AT(holes), .also = AT(n_holes)},
    {.key = "severity", .type = &pw_value_integer, .at = AT(severity), .range = &range_severity},
    {.key = "count",
     .type = &pw_value_integer,
     .at = AT(count),
     .range = &range_count,
     .otherwise = 1},
    {.key = "note", .type = &pw_value_prose, .at = AT(note)},
    {.key = "basis", .type = &pw_value_enum, .at = AT(basis), .of = pw_words_basis},
    {.key = "private", .type = &pw_value_flag, .at = AT(private_)},
    {.key = "same-as", .type = &pw_value_reference, .at = AT(same_as)},
    {.key = "earlier", .type = &pw_value_reference, .at = AT(earlier)},
    {.key = "gone", .type = &pw_value_flag, .at = AT(gone)},
    {.key = "card", .type = &pw_value_word, .at = AT(card)},
    {.key = "plane-offset", .type = &pw_value_offset, .at = AT(plane_offset)},
    {.key = "uncertainty", .type = &pw_value_mapping, .of = &mark_uncertainty_table},
};
#undef AT
static const PwTable mark_table = {.what = "a mark",
                                   .fields = mark_fields,
                                   .n_fields = G_N_ELEMENTS(mark_fields),
                                   .size = sizeof(PwMark),
                                   .keeps_node = TRUE,
                                   .unique = "id",
                                   .check = pw_check_mark};

#define AT(member) offsetof(PwTie, member)
static const PwField tie_fields[] = {
    {.key = "here", .type = &pw_value_point, .at = AT(here), .required = TRUE},
    {.key = "there", .type = &pw_value_point, .at = AT(there), .required = TRUE},
};
#undef AT
static const PwTable tie_table = {.what = "a tie",
                                  .fields = tie_fields,
                                  .n_fields = G_N_ELEMENTS(tie_fields),
                                  .size = sizeof(PwTie),
                                  .keeps_node = TRUE};

static const PwWord words_shape[] = {{"flat", FALSE}, {"curved", TRUE}, {NULL, 0}};

#define AT(member) offsetof(PwSidecar, member)
static const PwField sidecar_fields[] = {
    {.key = "format", .type = &pw_value_format, .required = TRUE, .is_fixed = TRUE},
    {.key = "photo", .type = &pw_value_mapping, .of = &photo_table},
    {.key = "stage", .type = &pw_value_enum, .at = AT(stage), .of = pw_words_stage},
    {.key = "step", .type = &pw_value_prose, .at = AT(step)},
    {.key = "view", .type = &pw_value_usual, .at = AT(view), .of = pw_words_face},
    {.key = "place", .type = &pw_value_prose, .at = AT(place)},
    {.key = "light", .type = &pw_value_choice, .at = AT(light), .of = pw_words_light},
    {.key = "caption", .type = &pw_value_prose, .at = AT(caption)},
    {.key = "privacy-checked", .type = &pw_value_date, .at = AT(privacy_checked)},
    {.key = "scale", .type = &pw_value_mapping, .at = AT(scale), .of = &scale_table},
    {.key = "surface", .type = &pw_value_points, .at = AT(surface)},
    {.key = "shape", .type = &pw_value_enum, .at = AT(curved), .of = words_shape},
    {.key = "neutral", .type = &pw_value_points, .at = AT(neutral)},
    {.key = "chart", .type = &pw_value_mapping, .of = &chart_table},
    {.key = "uncertainty",
     .type = &pw_value_figures,
     .at = AT(uncertainty),
     .also = AT(n_uncertainty),
     .range = &pw_range_positive},
    {.key = "ties", .type = &pw_value_list, .at = AT(ties), .also = AT(n_ties), .of = &tie_table},
    {.key = "marks",
     .type = &pw_value_list,
     .at = AT(marks),
     .also = AT(n_marks),
     .of = &mark_table},
};
#undef AT
const PwTable pw_sidecar_table = {.what = "a sidecar",
                                  .fields = sidecar_fields,
                                  .n_fields = G_N_ELEMENTS(sidecar_fields),
                                  .size = sizeof(PwSidecar),
                                  .check = pw_check_sidecar};

PwSidecar *
pw_sidecar_take_yaml(PwYaml *yaml, const char *file, PwComplaints *complaints)
{
  PwSidecar *sidecar = g_new0(PwSidecar, 1);
  sidecar->yaml = yaml;
  sidecar->file = g_strdup(file);
  sidecar->name = g_strconcat(file, PW_SIDECAR_ENDING, NULL);
  pw_table_init(&pw_sidecar_table, sidecar);
  PwReading reading;
  if (pw_reading_begin(&reading, yaml, "platewright-photo", complaints))
    pw_table_read(&reading, &pw_sidecar_table, pw_yaml_peek_root(yaml), sidecar);
  return sidecar;
}

PwSidecar *
pw_sidecar_read(const char *path, const char *file, PwComplaints *complaints, GError **error)
{
  g_autofree char *name = g_strconcat(file, PW_SIDECAR_ENDING, NULL);
  PwYaml *yaml = pw_yaml_open(path, name, complaints, error);
  return yaml == NULL ? NULL : pw_sidecar_take_yaml(yaml, file, complaints);
}

static gboolean
begins_by(const PwYaml *yaml, const PwYamlNode *node, guint line, guint column)
{
  guint node_line, node_column;
  pw_yaml_node_place(yaml, node, &node_line, &node_column);
  return node_line < line || (node_line == line && node_column <= column);
}

/* Whatever is said of a mark stands behind where it begins and before what comes next: another
 * mark, or another key of the photograph. */
const PwMark *
pw_sidecar_mark_at(const PwSidecar *sidecar, guint line, guint column)
{
  const PwYamlNode *root = pw_yaml_peek_root(sidecar->yaml);
  const PwYamlNode *key = NULL;
  const PwMark *mark = NULL;
  for (guint i = 0; i < pw_yaml_node_n(root); i++)
    if (begins_by(sidecar->yaml, pw_yaml_node_key(root, i), line, column))
      key = pw_yaml_node_key(root, i);
  if (key == NULL || g_strcmp0(pw_yaml_node_peek_text(key), "marks") != 0)
    return NULL;
  for (gsize i = 0; i < sidecar->n_marks; i++)
    if (begins_by(sidecar->yaml, sidecar->marks[i].node, line, column))
      mark = &sidecar->marks[i];
  return mark;
}

void
pw_sidecar_free(PwSidecar *sidecar)
{
  if (sidecar == NULL)
    return;
  pw_table_clear(&pw_sidecar_table, sidecar);
  g_free(sidecar->file);
  g_free(sidecar->name);
  pw_yaml_free(sidecar->yaml);
  g_free(sidecar);
}
