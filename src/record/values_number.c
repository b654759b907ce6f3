/* Values that become numbers: yes and no, words of an enumeration, figures, dates, sizes, colours.
 *
 * Numbers are decimal with a point, whatever the locale, and finite. Units are those of
 * docs/formats.md: mm, kg, degrees, pixels.
 */
#include "values.h"

#include <math.h>
#include <string.h>

enum {
  MOST_PIXELS = 1000000, /* along one side */
  MOST_GREYS = 64        /* steps of a card */
};

/* A surface farther than this from its card is a slip of the pen. */
static const PwRange range_offset = {-10000, 10000, FALSE, "between -10000 and 10000 mm"};
static const PwRange range_lightness = {0, 100, FALSE, "between 0 and 100"};
static const PwRange range_chroma = {-200, 200, FALSE, "between -200 and 200"};
const PwRange pw_range_positive = {0, G_MAXDOUBLE, TRUE, "more than 0"};
const PwRange pw_range_not_negative = {0, G_MAXDOUBLE, FALSE, "0 or more"};

/* The text of a scalar that is no list and no mapping, or NULL with a complaint. */
static const char *
take_scalar(const PwReading *reading, const char *key, const PwYamlNode *node)
{
  const char *text = pw_yaml_node_peek_text(node);
  if (text == NULL)
    pw_fault(reading, node, "not a value", "\"%s\" is one value; take away the list or keys", key);
  else if (text[0] == '\0')
    pw_fault(reading, node, "no value", "\"%s\" has no value; write one, or take the key away",
             key);
  else
    return text;
  return NULL;
}

static gboolean
in_range(const PwRange *range, double value)
{
  return range->more_than_least ? value > range->least && value <= range->most
                                : value >= range->least && value <= range->most;
}

static gboolean
take_number(const PwReading *reading, const char *key, const PwYamlNode *node, const PwRange *range,
            double *number)
{
  const char *text = take_scalar(reading, key, node);
  if (text == NULL)
    return FALSE;
  double value;
  g_autofree char *shown = pw_dup_shown(text);
  if (!pw_parse_double(text, &value)) {
    pw_fault(reading, node, "not a number",
             "%s for \"%s\" is no number; write digits, with a point for decimals and no unit",
             shown, key);
    return FALSE;
  }
  if (range != NULL && !in_range(range, value)) {
    pw_fault(reading, node, "out of range", "%s for \"%s\" cannot be; it must be %s", shown, key,
             range->words);
    return FALSE;
  }
  *number = value;
  return TRUE;
}

static void
init_number(const PwField *field, void *record)
{
  G_STRUCT_MEMBER(double, record, field->at) = (double)NAN;
}

static void
read_number(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  take_number(reading, field->key, node, field->range, &G_STRUCT_MEMBER(double, record, field->at));
}

const PwValueType pw_value_number = {.name = "number", .init = init_number, .read = read_number};

/* Enumerations have the size and alignment of int, so that one reader serves all of them. */
G_STATIC_ASSERT(sizeof(PwStage) == sizeof(int) && sizeof(PwOutcome) == sizeof(int));

static void
init_integer(const PwField *field, void *record)
{
  G_STRUCT_MEMBER(int, record, field->at) = field->otherwise;
}

static void
read_integer(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  double value;
  if (!take_number(reading, field->key, node, field->range, &value))
    return;
  gint64 whole;
  if (!pw_parse_int(pw_yaml_node_peek_text(node), &whole) || ABS(whole) > G_MAXINT) {
    pw_fault(reading, node, "not a whole number", "\"%s\" is counted; write a whole number",
             field->key);
    return;
  }
  G_STRUCT_MEMBER(int, record, field->at) = (int)whole;
}

const PwValueType pw_value_integer = {
    .name = "whole number", .init = init_integer, .read = read_integer};

/* ---- Words ------------------------------------------------------------------------- */

static void
read_word_of(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record,
             const PwWord *words)
{
  const char *text = take_scalar(reading, field->key, node);
  if (text == NULL)
    return;
  gsize n = 0;
  for (; words[n].word != NULL; n++)
    if (strcmp(words[n].word, text) == 0) {
      G_STRUCT_MEMBER(int, record, field->at) = words[n].value;
      return;
    }
  g_autofree const char **known = g_new0(const char *, n + 1);
  for (gsize i = 0; i < n; i++)
    known[i] = words[i].word;
  g_autofree char *shown = pw_dup_shown(text), *advice = pw_dup_advice(text, known);
  pw_fault(reading, node, "unknown word", "%s is no word for \"%s\"%s", shown, field->key, advice);
}

static void
read_enum(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  read_word_of(reading, field, node, record, field->of);
}

static void
read_yes_no(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  static const PwWord words[] = {{"yes", 1}, {"no", 0}, {"true", 1}, {"false", 0}, {NULL, 0}};
  read_word_of(reading, field, node, record, words);
}

const PwValueType pw_value_enum = {
    .name = "one of the words", .init = init_integer, .read = read_enum};
const PwValueType pw_value_flag = {.name = "yes or no", .read = read_yes_no};
const PwValueType pw_value_yes_no = {
    .name = "yes or no", .init = init_integer, .read = read_yes_no};

/* ---- Dates ------------------------------------------------------------------------- */

static void
read_date(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *text = take_scalar(reading, field->key, node);
  if (text == NULL || pw_parse_date(text, &G_STRUCT_MEMBER(GDate, record, field->at)))
    return;
  g_autofree char *shown = pw_dup_shown(text);
  pw_fault(reading, node, "not a date", "%s for \"%s\" is no day; write it as in 2026-03-02", shown,
           field->key);
}

const PwValueType pw_value_date = {.name = "date", .read = read_date};

/* ---- Sizes: numbers with an x between them ----------------------------------------- */

/* Reads "412 x 276 x 61", also with the sign of multiplication; all more than 0. */
static gboolean
parse_times(const char *text, double *values, guint n)
{
  g_auto(GStrv) signs = g_strsplit(text, "×", -1);
  g_autofree char *plain = g_strjoinv("x", signs);
  g_auto(GStrv) parts = g_strsplit(plain, "x", -1);
  if (g_strv_length(parts) != n)
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (!pw_parse_double(g_strstrip(parts[i]), &values[i]) || !(values[i] > 0))
      return FALSE;
  return TRUE;
}

static void
read_pixels(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *text = take_scalar(reading, field->key, node);
  if (text == NULL)
    return;
  double sides[2];
  if (!parse_times(text, sides, 2) || fmod(sides[0], 1) > 0 || fmod(sides[1], 1) > 0 ||
      sides[0] > MOST_PIXELS || sides[1] > MOST_PIXELS) {
    g_autofree char *shown = pw_dup_shown(text);
    pw_fault(reading, node, "not a size",
             "%s is no size in pixels; write width x height, as in 6000 x 4000", shown);
    return;
  }
  G_STRUCT_MEMBER(int, record, field->at) = (int)sides[0];
  G_STRUCT_MEMBER(int, record, field->also) = (int)sides[1];
}

static void
init_extent(const PwField *field, void *record)
{
  double *extent = G_STRUCT_MEMBER_P(record, field->at);
  extent[0] = extent[1] = extent[2] = (double)NAN;
}

static void
read_extent(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *text = take_scalar(reading, field->key, node);
  if (text == NULL)
    return;
  double sides[3];
  if (parse_times(text, sides, 3)) {
    memcpy(G_STRUCT_MEMBER_P(record, field->at), sides, sizeof sides);
    return;
  }
  g_autofree char *shown = pw_dup_shown(text);
  pw_fault(reading, node, "not a size",
           "%s is no size in mm; write height x width x thickness, as in 412 x 276 x 61", shown);
}

const PwValueType pw_value_pixels = {.name = "width x height", .read = read_pixels};
const PwValueType pw_value_extent = {
    .name = "height x width x thickness", .init = init_extent, .read = read_extent};

static void
init_offset(const PwField *field, void *record)
{
  G_STRUCT_MEMBER(PwPlaneOffset, record, field->at).mm = (double)NAN;
}

static void
read_offset(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  PwPlaneOffset *offset = G_STRUCT_MEMBER_P(record, field->at);
  offset->node = node;
  if (g_strcmp0(pw_yaml_node_peek_text(node), "thickness") == 0)
    offset->thickness = TRUE;
  else if (!take_number(reading, field->key, node, &range_offset, &offset->mm))
    offset->mm = (double)NAN;
}

const PwValueType pw_value_offset = {
    .name = "number or `thickness`", .init = init_offset, .read = read_offset};

/* ---- Colours ----------------------------------------------------------------------- */

static gboolean
take_lab(const PwReading *reading, const PwField *field, const PwYamlNode *node, double lab[3])
{
  if (pw_yaml_node_kind(node) != PW_YAML_SEQUENCE || pw_yaml_node_n(node) != 3) {
    pw_fault(reading, node, "not a colour",
             "a step of \"%s\" is three numbers; write [L, a, b], as in [95.1, -0.4, 1.2]",
             field->key);
    return FALSE;
  }
  for (guint i = 0; i < 3; i++)
    if (!take_number(reading, field->key, pw_yaml_node_item(node, i),
                     i == 0 ? &range_lightness : &range_chroma, &lab[i]))
      return FALSE;
  return TRUE;
}

static void
clear_labs(const PwField *field, void *record)
{
  double(**labs)[3] = G_STRUCT_MEMBER_P(record, field->at);
  g_clear_pointer(labs, g_free);
}

static void
read_labs(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  guint n = pw_yaml_node_n(node);
  if (pw_yaml_node_kind(node) != PW_YAML_SEQUENCE || n > MOST_GREYS) {
    pw_fault(reading, node, "not a list", "\"%s\" is a list of at most %d steps [L, a, b]",
             field->key, MOST_GREYS);
    return;
  }
  double(*labs)[3] = g_malloc_n(n, sizeof *labs);
  gsize taken = 0;
  for (guint i = 0; i < n; i++)
    if (take_lab(reading, field, pw_yaml_node_item(node, i), labs[taken]))
      taken++;
  clear_labs(field, record);
  *(double(**)[3])G_STRUCT_MEMBER_P(record, field->at) = labs;
  G_STRUCT_MEMBER(gsize, record, field->also) = taken;
}

const PwValueType pw_value_labs = {
    .name = "list of [L, a, b]", .shape = PW_SHAPE_LIST, .read = read_labs, .clear = clear_labs};

/* ---- Names to numbers -------------------------------------------------------------- */

static void
clear_figures(const PwField *field, void *record)
{
  PwNamed **figures = &G_STRUCT_MEMBER(PwNamed *, record, field->at);
  gsize *n = &G_STRUCT_MEMBER(gsize, record, field->also);
  for (gsize i = 0; i < *n; i++)
    g_free((*figures)[i].name);
  g_clear_pointer(figures, g_free);
  *n = 0;
}

static void
read_figures(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  if (pw_yaml_node_kind(node) != PW_YAML_MAPPING) {
    pw_fault(reading, node, "not a mapping", "\"%s\" is names and numbers; write {outline: 3}",
             field->key);
    return;
  }
  guint n = pw_yaml_node_n(node);
  PwNamed *figures = g_new0(PwNamed, n);
  gsize taken = 0;
  for (guint i = 0; i < n; i++) {
    const char *name = pw_yaml_node_peek_text(pw_yaml_node_key(node, i));
    const PwYamlNode *value = pw_yaml_node_value(node, i);
    double number;
    if (name == NULL || !take_number(reading, name, value, field->range, &number))
      continue;
    figures[taken++] = (PwNamed){.node = value, .name = g_strdup(name), .value = number};
  }
  clear_figures(field, record);
  G_STRUCT_MEMBER(PwNamed *, record, field->at) = figures;
  G_STRUCT_MEMBER(gsize, record, field->also) = taken;
}

const PwValueType pw_value_figures = {.name = "names and numbers",
                                      .shape = PW_SHAPE_NAMED,
                                      .read = read_figures,
                                      .clear = clear_figures};
