/* Values that are points: "x,y x,y x,y" in upright pixels of the picture.
 */
#include "values.h"

#include <string.h>

enum { MOST_HOLES = 1000 }; /* of one outline */

gsize
pw_point_offset(const char *text, gsize i)
{
  gsize at = strspn(text, " \t\n");
  for (; i > 0; i--) {
    at += strcspn(text + at, " \t\n");
    at += strspn(text + at, " \t\n");
  }
  return at;
}

/* Reads a scalar's points into an empty path; FALSE with a complaint at the byte that is wrong. */
static gboolean
take_points(const PwReading *reading, const char *key, const PwYamlNode *node, PwPxPath *path)
{
  const char *text = pw_yaml_node_peek_text(node);
  if (text == NULL) {
    pw_fault(reading, node, "not points", "\"%s\" is one text of points; write \"x,y x,y\"", key);
    return FALSE;
  }
  if (pw_yaml_node_is_cut(node)) {
    pw_fault(reading, node, "cut text", "the points of \"%s\" are cut off; put them in quotes",
             key);
    return FALSE;
  }
  gsize offset = 0;
  g_autoptr(GError) error = NULL;
  if (pw_px_path_parse(text, path, &offset, &error))
    return TRUE;
  pw_yaml_complain_at(reading->yaml, node, offset, reading->complaints, "not points",
                      PW_SEVERITY_ERROR, "%s", error->message);
  return FALSE;
}

/* As take_points, for exactly n points. */
static void
read_exactly(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record,
             gsize n)
{
  PwPxPath path = {NULL, 0};
  if (!take_points(reading, field->key, node, &path))
    return;
  if (path.n == n)
    memcpy(G_STRUCT_MEMBER_P(record, field->at), path.points, n * sizeof *path.points);
  else
    pw_fault(reading, node, "wrong number of points",
             "\"%s\" has %" G_GSIZE_FORMAT " points; write %" G_GSIZE_FORMAT ", as in \"%s\"",
             field->key, path.n, n, n == 1 ? "1500,3890" : "10,10 90,12 88,60 11,58");
  pw_px_path_clear(&path);
}

static void
read_point(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  read_exactly(reading, field, node, record, 1);
}

static void
read_corners(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  read_exactly(reading, field, node, record, 4);
}

const PwValueType pw_value_point = {.name = "point", .is_prose = TRUE, .read = read_point};
const PwValueType pw_value_corners = {
    .name = "four points", .is_prose = TRUE, .read = read_corners};

static void
clear_points(const PwField *field, void *record)
{
  pw_px_path_clear(G_STRUCT_MEMBER_P(record, field->at));
}

static void
read_points(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  PwPxPath path = {NULL, 0};
  if (!take_points(reading, field->key, node, &path))
    return;
  clear_points(field, record); /* two drawings of one mark: the check says so */
  G_STRUCT_MEMBER(PwPxPath, record, field->at) = path;
}

const PwValueType pw_value_points = {
    .name = "points", .is_prose = TRUE, .read = read_points, .clear = clear_points};

static void
clear_rings(const PwField *field, void *record)
{
  PwPxPath **rings = &G_STRUCT_MEMBER(PwPxPath *, record, field->at);
  gsize *n = &G_STRUCT_MEMBER(gsize, record, field->also);
  for (gsize i = 0; i < *n; i++)
    pw_px_path_clear(&(*rings)[i]);
  g_clear_pointer(rings, g_free);
  *n = 0;
}

static void
read_rings(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  guint n = pw_yaml_node_n(node);
  if (pw_yaml_node_kind(node) != PW_YAML_SEQUENCE || n > MOST_HOLES) {
    pw_fault(reading, node, "not a list",
             "\"%s\" is a list of at most %d outlines; write [\"x,y ...\"]", field->key,
             MOST_HOLES);
    return;
  }
  PwPxPath *rings = g_new0(PwPxPath, n);
  for (guint i = 0; i < n; i++)
    take_points(reading, field->key, pw_yaml_node_item(node, i), &rings[i]);
  clear_rings(field, record);
  G_STRUCT_MEMBER(PwPxPath *, record, field->at) = rings;
  G_STRUCT_MEMBER(gsize, record, field->also) = n;
}

const PwValueType pw_value_rings = {.name = "list of points",
                                    .shape = PW_SHAPE_LIST,
                                    .is_prose = TRUE,
                                    .read = read_rings,
                                    .clear = clear_rings};
