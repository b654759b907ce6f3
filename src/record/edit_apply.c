/* Edits written into a text of the record.
 *
 * Every change is read back before it is believed, and reading takes as long as the text is: so one
 * change of each of many entries is read back with the others'.
 *
 * What is put in is put in first, in the order given; keys go after it, so that a mapping in which
 * one key takes the place of another never stands empty between, and a mapping that has lost its
 * last key goes too. Entries that are called by their places go last of all.
 */
#include "edit_plan.h"

#include <string.h>

/* ---- Taking away ------------------------------------------------------------------- */

/* Whether the key stands in the text, with a value or without. */
static gboolean
is_written(const PwYamlNode *mapping, const char *key)
{
  const char *last = strrchr(key, '/');
  g_autofree char *above = last ? g_strndup(key, (gsize)(last - key)) : NULL;
  const PwYamlNode *holder = above ? pw_node_below(mapping, above) : mapping;
  return holder && pw_yaml_node_kind(holder) == PW_YAML_MAPPING &&
         pw_yaml_node_get(holder, last ? last + 1 : key) != NULL;
}

/* Cuts the last step off a path of keys. */
static void
cut_last_step(char *path)
{
  *strrchr(path, '/') = '\0';
}

/* A key goes, and then the mappings that hold nothing more, not its entry; one by one, so that
 * comments inside stay. */
static gboolean
remove_key(const PwPlan *plan, const PwPlanned *planned, const char *entry_path, GError **error)
{
  g_autofree char *key = g_strdup(planned->edit->key);
  g_autofree char *path =
      entry_path ? g_strconcat(entry_path, "/", planned->path, NULL) : g_strdup(planned->path);
  if (!is_written(pw_plan_peek_mapping(plan, planned), key))
    return TRUE;
  if (!pw_yaml_remove(plan->yaml, path, error))
    return FALSE;
  while (strchr(key, '/') != NULL) {
    cut_last_step(key);
    cut_last_step(path);
    const PwYamlNode *holder = pw_node_below(pw_plan_peek_mapping(plan, planned), key);
    if (holder == NULL || pw_yaml_node_n(holder) > 0 || !pw_yaml_remove(plan->yaml, path, NULL))
      break;
  }
  return TRUE;
}

static gboolean
is_below(const char *key, const char *above)
{
  const gsize n = strlen(above);
  return strncmp(key, above, n) == 0 && key[n] == '/';
}

/* Whether a key must go at once, because something is put below it later. */
static gboolean
must_go_first(const PwPlan *plan, guint i)
{
  const PwPlanned *planned = pw_plan_at(plan, i);
  for (guint j = i + 1; j < plan->all->len; j++) {
    const PwPlanned *other = pw_plan_at(plan, j);
    if (pw_planned_is_same_entry(planned, other) && other->edit->key &&
        !pw_planned_takes_away(other) && is_below(other->edit->key, planned->edit->key))
      return TRUE;
  }
  return FALSE;
}

/* Whether a later edit says the last word on the same key, or takes the whole entry away. */
static gboolean
is_overtaken(const PwPlan *plan, guint i)
{
  const PwPlanned *planned = pw_plan_at(plan, i);
  for (guint j = i + 1; j < plan->all->len; j++) {
    const PwPlanned *other = pw_plan_at(plan, j);
    if (pw_planned_is_same_entry(planned, other) &&
        (other->edit->key == NULL || g_strcmp0(other->edit->key, planned->edit->key) == 0))
      return TRUE;
  }
  return FALSE;
}

static gint
compare_places(gconstpointer a, gconstpointer b)
{
  gint64 first = 0, second = 0;
  pw_parse_int((*(const PwPlanned *const *)a)->edit->entry, &first);
  pw_parse_int((*(const PwPlanned *const *)b)->edit->entry, &second);
  return first > second ? -1 : first < second;
}

/* The entries that are called by their places, from the last place to the first. */
static gboolean
remove_by_place(const PwPlan *plan, GError **error)
{
  g_autoptr(GPtrArray) gone = g_ptr_array_new();
  for (guint i = 0; i < plan->all->len; i++) {
    PwPlanned *planned = pw_plan_at(plan, i);
    if (planned->edit->key == NULL && pw_planned_is_by_place(planned) && !is_overtaken(plan, i))
      g_ptr_array_add(gone, planned);
  }
  g_ptr_array_sort(gone, compare_places);
  for (guint i = 0; i < gone->len; i++) {
    g_autofree char *path = NULL;
    const PwYamlNode *entry;
    if (!pw_plan_find_entry(plan, gone->pdata[i], &path, &entry, error) ||
        (path != NULL && !pw_yaml_remove(plan->yaml, path, error)))
      return FALSE;
  }
  return TRUE;
}

/* ---- All of them ------------------------------------------------------------------- */

static gboolean
find_entry(const PwPlan *plan, const PwPlanned *planned, char **path, GError **error)
{
  const PwYamlNode *entry;
  *path = NULL;
  return planned->list == NULL || pw_plan_find_entry(plan, planned, path, &entry, error);
}

/* `last` is the second time round, when keys go. */
static gboolean
apply_one(const PwPlan *plan, guint i, gboolean last, GError **error)
{
  PwPlanned *planned = pw_plan_at(plan, i);
  const gboolean is_whole = planned->edit->key == NULL;
  g_autofree char *entry_path = NULL;
  if (planned->is_done || (is_whole ? pw_planned_is_by_place(planned) : is_overtaken(plan, i)))
    return TRUE;
  if (!find_entry(plan, planned, &entry_path, error))
    return FALSE;
  if (is_whole) {
    planned->is_done = TRUE;
    return entry_path == NULL || pw_yaml_remove(plan->yaml, entry_path, error);
  }
  if (planned->list && entry_path == NULL)
    return pw_planned_takes_away(planned) || pw_plan_add_entry(plan, i, error);
  if (!pw_planned_takes_away(planned))
    return pw_plan_set_key(plan, i, entry_path, error);
  if (!last && !must_go_first(plan, i))
    return TRUE;
  planned->is_done = TRUE;
  return remove_key(plan, planned, entry_path, error);
}

/* Whether an edit changes one key of an entry that is there, and nothing else. */
static gboolean
stands_alone(const PwPlan *plan, guint i, const char *entry_path)
{
  const PwPlanned *planned = pw_plan_at(plan, i);
  const char *key = planned->edit->key;
  if (entry_path == NULL || key == NULL || strchr(key, '/') != NULL)
    return FALSE;
  if (pw_planned_takes_away(planned))
    return !must_go_first(plan, i);
  const PwShapeOfValue shape = planned->field->type->shape;
  return shape == PW_SHAPE_TEXT ||
         (shape == PW_SHAPE_TEXTS &&
          pw_node_below(pw_plan_peek_mapping(plan, planned), key) == NULL);
}

/* Whether an edit is to be made in this round at all. */
static gboolean
is_to_be_made(const PwPlan *plan, guint i, gboolean last)
{
  const PwPlanned *planned = pw_plan_at(plan, i);
  if (planned->is_done || planned->list == NULL)
    return FALSE;
  if (planned->edit->key == NULL)
    return TRUE;
  return (last || !pw_planned_takes_away(planned) || must_go_first(plan, i)) &&
         !is_overtaken(plan, i);
}

static char *
dup_entry_name(const PwPlanned *planned)
{
  return g_strconcat(planned->list_path, "/", planned->edit->entry, NULL);
}

/* Of every entry the edit that comes next, where it stands alone. How many there were, or -1 where
 * one could not be made. */
static int
make_next(const PwPlan *plan, gboolean last)
{
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  int n = 0;
  for (guint i = 0; i < plan->all->len; i++) {
    const PwPlanned *planned = pw_plan_at(plan, i);
    g_autofree char *path = NULL;
    if (!is_to_be_made(plan, i, last) || !g_hash_table_add(seen, dup_entry_name(planned)))
      continue;
    if (!find_entry(plan, planned, &path, NULL))
      return -1;
    if (!stands_alone(plan, i, path))
      continue;
    if (!apply_one(plan, i, last, NULL))
      return -1;
    n++;
  }
  return n;
}

/* As long as several entries have an edit that comes next. What cannot be made so is left for one
 * by one, which says why. */
static void
apply_side_by_side(const PwPlan *plan, gboolean last)
{
  const guint n = plan->all->len;
  g_autofree gboolean *was_done = g_new(gboolean, n);
  for (;;) {
    for (guint i = 0; i < n; i++)
      was_done[i] = pw_plan_at(plan, i)->is_done;
    pw_yaml_gather(plan->yaml);
    const gboolean several = make_next(plan, last) > 1;
    if (pw_yaml_settle(plan->yaml, several, NULL) && several)
      continue;
    for (guint i = 0; i < n; i++)
      pw_plan_at(plan, i)->is_done = was_done[i];
    return;
  }
}

static gboolean
apply_all(const PwPlan *plan, GError **error)
{
  for (int round = 0; round < 2; round++) {
    apply_side_by_side(plan, round == 1);
    for (guint i = 0; i < plan->all->len; i++)
      if (!apply_one(plan, i, round == 1, error))
        return FALSE;
  }
  return remove_by_place(plan, error);
}

gboolean
pw_edit_apply(PwYaml *yaml, const PwTable *table, const PwEdit *edits, gsize n, GError **error)
{
  PwPlan plan;
  const gboolean is_done =
      pw_plan_init(&plan, yaml, table, edits, n, error) && apply_all(&plan, error);
  pw_plan_clear(&plan);
  return is_done;
}
