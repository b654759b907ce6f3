/* Style: a file read over the style it is based on, and asked.
 */
#include "private.h"

#include <math.h>
#include <string.h>

static const char format[] = "platewright-style 1";
enum { MAX_BASES = 8 }; /* styles based on one another; more is a circle */

static gboolean read_over(PwStyle *style, const char *path, int depth, PwComplaints *complaints,
                          GError **error);

static PwStyle *
style_new(void)
{
  PwStyle *style = g_new0(PwStyle, 1);
  for (int i = 0; i < PW_N_LENGTHS; i++)
    style->lengths[i] = (double)NAN;
  for (int i = 0; i < PW_N_INKS; i++)
    style->inks[i].r = (double)NAN;
  for (int i = 0; i < PW_N_ROLES; i++)
    style->types[i].size_pt = (double)NAN;
  style->words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  return style;
}

void
pw_style_free(PwStyle *style)
{
  if (style == NULL)
    return;
  for (int i = 0; i < PW_N_ROLES; i++)
    g_free(style->types[i].family);
  for (int i = 0; i < PW_N_GROUPS; i++) {
    g_free(style->groups[i].name);
    g_free(style->groups[i].label);
  }
  g_hash_table_unref(style->words);
  g_free(style->name);
  g_free(style);
}

/* A base beside the file comes before one of that name in the folders of styles. */
static char *
dup_base_path(const char *path, const char *base, GError **error)
{
  g_autofree char *folder = g_path_get_dirname(path);
  g_autofree char *file = g_strdup_printf("%s.yaml", base);
  g_autofree char *beside = g_build_filename(folder, file, NULL);
  if (strchr(base, '/') == NULL && g_file_test(beside, G_FILE_TEST_IS_REGULAR))
    return g_steal_pointer(&beside);
  return pw_style_dup_path(base, error);
}

static gboolean
read_base(PwStyleReading *reading, const PwYamlNode *root, const char *path, int depth,
          GError **error)
{
  const PwYamlNode *value = pw_yaml_node_get(root, "based-on");
  const char *base = value != NULL ? pw_style_peek_prose(reading, value) : NULL;
  if (base == NULL)
    return TRUE;
  if (depth == MAX_BASES) {
    pw_style_fault(reading, value, "circle", "these styles are based on one another");
    return TRUE;
  }
  reading->based = TRUE;
  g_autofree char *base_path = dup_base_path(path, base, error);
  return base_path != NULL &&
         read_over(reading->style, base_path, depth + 1, reading->complaints, error);
}

static gboolean
check_format(const PwStyleReading *reading, const PwYamlNode *root)
{
  const PwYamlNode *value =
      pw_yaml_node_kind(root) == PW_YAML_MAPPING ? pw_yaml_node_get(root, "format") : NULL;
  if (value != NULL && g_strcmp0(pw_yaml_node_peek_text(value), format) == 0)
    return TRUE;
  pw_style_fault(reading, value != NULL ? value : root, "format",
                 "a style begins with \"format: %s\"", format);
  return FALSE;
}

/* FALSE only with a GError; what is wrong in the text is complained of. */
static gboolean
read_over(PwStyle *style, const char *path, int depth, PwComplaints *complaints, GError **error)
{
  g_autofree char *name = g_path_get_basename(path);
  g_autoptr(GError) own = NULL;
  g_autoptr(PwYaml) yaml = pw_yaml_open(path, name, complaints, &own);
  if (own != NULL) {
    g_propagate_error(error, g_steal_pointer(&own));
    return FALSE;
  }
  if (yaml == NULL)
    return TRUE;
  PwStyleReading reading = {yaml, complaints, style, FALSE};
  const PwYamlNode *root = pw_yaml_peek_root(yaml);
  if (!check_format(&reading, root))
    return TRUE;
  if (!read_base(&reading, root, path, depth, error))
    return FALSE;
  pw_style_read_sheet(&reading, root);
  if (depth == 0 && pw_complaints_count(complaints, PW_SEVERITY_ERROR) == 0)
    pw_style_check_whole(&reading, root);
  return TRUE;
}

PwStyle *
pw_style_read(const char *name, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = pw_style_dup_path(name, error);
  if (path == NULL)
    return NULL;
  g_autoptr(PwStyle) style = style_new();
  g_autoptr(PwComplaints) found = pw_complaints_new();
  gboolean read = read_over(style, path, 0, found, error);
  gboolean whole = pw_complaints_count(found, PW_SEVERITY_ERROR) == 0;
  pw_complaints_move(complaints, found);
  return read && whole ? g_steal_pointer(&style) : NULL;
}

void
pw_style_page(const PwStyle *style, double *short_mm, double *long_mm)
{
  *short_mm = style->short_mm;
  *long_mm = style->long_mm;
}

/* A name that no style has is a slip of ours. */
static int
place_of(const PwStyleKey *keys, const char *name)
{
  int place = pw_style_key_index(keys, name);
  if (place < 0)
    g_error("a style has no \"%s\"", name);
  return place;
}

double
pw_style_length(const PwStyle *style, const char *name)
{
  return style->lengths[place_of(pw_style_length_keys, name)];
}

PwInk
pw_style_ink(const PwStyle *style, const char *name)
{
  return style->inks[place_of(pw_style_ink_keys, name)];
}

const PwType *
pw_style_type(const PwStyle *style, PwRole role)
{
  g_assert(role < PW_N_ROLES);
  return &style->types[role];
}

const PwGroupLook *
pw_style_group(const PwStyle *style, const char *group)
{
  int place = group != NULL ? pw_style_key_index(pw_style_group_keys, group) : -1;
  return &style->groups[place >= 0 ? place : PW_N_GROUPS - 1];
}

gboolean
pw_style_is_grey(const PwStyle *style)
{
  return style->grey;
}
