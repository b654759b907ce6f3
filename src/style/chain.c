/* Chain: a file read over the one it is based on, and that over its own.
 */
#include "private.h"

#include <string.h>

enum { MAX_BASES = 8 }; /* files based on one another; more is a circle */

/* One file after another into the same style or words. */
typedef struct {
  const PwStyleKind *kind;
  PwStyle *style;
  PwWords *words;
  PwComplaints *complaints;
} Chain;

static gboolean read_over(const Chain *chain, const char *path, int depth, GError **error);

/* A base beside the file comes before one of that name in the folders of styles; no file is based
 * on itself, so that one's own "de" may be based on ours. */
static char *
dup_base_path(const PwStyleKind *kind, const char *path, const char *base, GError **error)
{
  g_autofree char *folder = g_path_get_dirname(path);
  g_autofree char *file = g_strdup_printf("%s.yaml", base);
  g_autofree char *beside = g_build_filename(folder, file, NULL);
  if (strchr(base, '/') == NULL && !g_str_equal(beside, path) &&
      g_file_test(beside, G_FILE_TEST_IS_REGULAR))
    return g_steal_pointer(&beside);
  return pw_style_dup_path(kind, base, path, error);
}

static gboolean
read_base(const Chain *chain, const PwStyleReading *reading, const PwYamlNode *root,
          const char *path, int depth, GError **error)
{
  const PwYamlNode *value = pw_yaml_node_get(root, "based-on");
  const char *base = value != NULL ? pw_style_peek_prose(reading, value) : NULL;
  if (base == NULL)
    return TRUE;
  if (depth == MAX_BASES) {
    pw_style_fault(reading, value, "circle", "these files are based on one another");
    return TRUE;
  }
  g_autofree char *base_path = dup_base_path(chain->kind, path, base, error);
  return base_path != NULL && read_over(chain, base_path, depth + 1, error);
}

static gboolean
check_format(const PwStyleKind *kind, const PwStyleReading *reading, const PwYamlNode *root)
{
  const PwYamlNode *value =
      pw_yaml_node_kind(root) == PW_YAML_MAPPING ? pw_yaml_node_get(root, "format") : NULL;
  if (value != NULL && g_strcmp0(pw_yaml_node_peek_text(value), kind->format) == 0)
    return TRUE;
  pw_style_fault(reading, value != NULL ? value : root, "format",
                 "the first line of this file is \"format: %s\"", kind->format);
  return FALSE;
}

/* FALSE only with a GError; what is wrong in the text is complained of. */
static gboolean
read_over(const Chain *chain, const char *path, int depth, GError **error)
{
  g_autofree char *name = g_path_get_basename(path);
  g_autoptr(GError) own = NULL;
  g_autoptr(PwYaml) yaml = pw_yaml_open(path, name, chain->complaints, &own);
  if (own != NULL) {
    g_propagate_error(error, g_steal_pointer(&own));
    return FALSE;
  }
  if (yaml == NULL)
    return TRUE;
  const PwYamlNode *root = pw_yaml_peek_root(yaml);
  const PwStyleReading reading = {yaml, chain->complaints, chain->style, chain->words,
                                  pw_yaml_node_get(root, "based-on") != NULL};
  if (!check_format(chain->kind, &reading, root))
    return TRUE;
  if (!read_base(chain, &reading, root, path, depth, error))
    return FALSE;
  chain->kind->read(&reading, root);
  if (depth == 0 && pw_complaints_count(chain->complaints, PW_SEVERITY_ERROR) == 0)
    chain->kind->check_whole(&reading, root);
  return TRUE;
}

gboolean
pw_style_read_chain(const PwStyleKind *kind, const char *name, PwStyle *style, PwWords *words,
                    PwComplaints *complaints, GError **error)
{
  g_autofree char *path = pw_style_dup_path(kind, name, NULL, error);
  if (path == NULL)
    return FALSE;
  g_autoptr(PwComplaints) found = pw_complaints_new();
  const Chain chain = {kind, style, words, found};
  gboolean read = read_over(&chain, path, 0, error);
  gboolean whole = pw_complaints_count(found, PW_SEVERITY_ERROR) == 0;
  pw_complaints_move(complaints, found);
  return read && whole;
}
