/* volume.yaml as JSON: its words, its entries by the names that edits call them by, and what the
 * model makes of them: sums, pieces that are open; and what is known that they may speak of.
 */
#include "desk-private.h"

#include <platewright/measure.h>
#include <string.h>

/* Lists whose entries are called by their place, but pieces by id; and mappings by name. */
static const char *const lists[] = {
    "plates",    "observations",   "measurements", "tests",  "pieces", "decisions", "proposal",
    "treatment", "estimate/lines", "consents",     "issued", "lenses", NULL};
static const char *const named[] = {"cards", "cameras", NULL};

/* ---- Entries ----------------------------------------------------------------------- */

static const PwYamlNode *
peek_below(const PwYamlNode *root, const char *list)
{
  g_auto(GStrv) steps = g_strsplit(list, "/", -1);
  for (gsize i = 0; root && steps[i]; i++)
    root = pw_yaml_node_kind(root) == PW_YAML_MAPPING ? pw_yaml_node_get(root, steps[i]) : NULL;
  return root;
}

static void
put_entry(PwJson *json, const char *list, const char *name, const PwYamlNode *entry)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "list", list);
  pw_json_pair_string(json, "entry", name);
  desk_put_words(json, entry);
  pw_json_end(json);
}

/* A piece without an id can be named by nobody. */
static void
put_list(PwJson *json, const char *list, const PwYamlNode *node)
{
  const gboolean has_ids = strcmp(list, "pieces") == 0;
  const guint n = pw_yaml_node_kind(node) == PW_YAML_SEQUENCE ? pw_yaml_node_n(node) : 0;
  for (guint i = 0; i < n; i++) {
    const PwYamlNode *entry = pw_yaml_node_item(node, i);
    g_autofree char *place = g_strdup_printf("%u", i);
    const PwYamlNode *id =
        pw_yaml_node_kind(entry) == PW_YAML_MAPPING ? pw_yaml_node_get(entry, "id") : NULL;
    const char *name = has_ids ? (id ? pw_yaml_node_peek_text(id) : NULL) : place;
    if (name != NULL)
      put_entry(json, list, name, entry);
  }
}

static void
put_entries(PwJson *json, const PwYamlNode *root)
{
  pw_json_key(json, "entries");
  pw_json_begin_array(json);
  for (gsize i = 0; lists[i]; i++) {
    const PwYamlNode *node = peek_below(root, lists[i]);
    if (node != NULL)
      put_list(json, lists[i], node);
  }
  for (gsize i = 0; named[i]; i++) {
    const PwYamlNode *node = peek_below(root, named[i]);
    const guint n = node && pw_yaml_node_kind(node) == PW_YAML_MAPPING ? pw_yaml_node_n(node) : 0;
    for (guint j = 0; j < n; j++)
      put_entry(json, named[i], pw_yaml_node_peek_text(pw_yaml_node_key(node, j)),
                pw_yaml_node_value(node, j));
  }
  pw_json_end(json);
}

/* ---- What is made of them ---------------------------------------------------------- */

static void
put_estimate(PwJson *json, const PwModel *model)
{
  const PwModelEstimate *estimate = pw_model_peek_estimate(model, PW_FOR_STUDIO);
  pw_json_key(json, "estimate");
  pw_json_begin_object(json);
  pw_json_key(json, "sums");
  pw_json_begin_array(json);
  for (gsize i = 0; estimate && i < estimate->n_lines; i++)
    pw_json_string(json, estimate->lines[i].sum);
  pw_json_end(json);
  pw_json_pair_string(json, "currency", estimate ? estimate->currency : NULL);
  pw_json_pair_string(json, "hours", estimate ? estimate->hours : NULL);
  pw_json_pair_string(json, "subtotal", estimate ? estimate->subtotal : NULL);
  pw_json_pair_string(json, "tax", estimate ? estimate->tax : NULL);
  pw_json_pair_string(json, "total", estimate ? estimate->total : NULL);
  pw_json_end(json);
}

void
desk_put_lacks(PwJson *json, guint lacks)
{
  pw_json_key(json, "lacks");
  pw_json_begin_array(json);
  for (guint i = 0; i < PW_N_LACKS; i++)
    if (lacks & (1u << i))
      pw_json_string(json, pw_lacks_name((PwLacks)(1u << i)));
  pw_json_end(json);
}

static void
put_ledger(PwJson *json, const PwModel *model)
{
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, PW_FOR_STUDIO);
  pw_json_key(json, "ledger");
  pw_json_begin_array(json);
  for (gsize i = 0; i < ledger->n_pieces; i++) {
    const PwModelPiece *piece = &ledger->pieces[i];
    pw_json_begin_object(json);
    pw_json_pair_string(json, "id", piece->text->id);
    desk_key_bool(json, "open", piece->is_open);
    desk_put_lacks(json, piece->lacks);
    pw_json_end(json);
  }
  pw_json_end(json);
}

/* Cameras that the photographs were taken with, as entries of `cameras` are called. */
static void
put_seen_cameras(PwJson *json, const PwModel *model)
{
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  pw_json_key(json, "seen_cameras");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    char *camera = pw_photo_facts_dup_camera(&pw_model_peek_photo(model, i)->facts);
    if (camera != NULL && !g_hash_table_contains(seen, camera))
      pw_json_string(json, camera);
    if (camera != NULL)
      g_hash_table_add(seen, camera);
  }
  pw_json_end(json);
}

/* What `uncertainty` may name, each with what is taken where nothing is said: null where the fit
 * tells. */
static void
put_inputs(PwJson *json)
{
  PwUncertainty defaults;
  pw_uncertainty_init_defaults(&defaults);
  pw_json_key(json, "inputs");
  pw_json_begin_object(json);
  for (guint i = 0; i < PW_N_INPUTS; i++)
    pw_json_pair_double(json, pw_input_name((PwInput)i), defaults.by[i]);
  pw_json_end(json);
}

static void
put_complaints(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "complaints");
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_complaints_n(state->complaints); i++) {
    const PwComplaint *complaint = pw_complaints_peek(state->complaints, i);
    if (g_strcmp0(complaint->file, PW_VOLUME_FILE) == 0)
      desk_put_complaint(json, complaint, NULL);
  }
  pw_json_end(json);
}

void
desk_put_record(PwJson *json, const DeskState *state)
{
  const PwVolume *volume = pw_model_peek_volume(state->model);
  const PwYamlNode *root = volume ? pw_yaml_peek_root(volume->yaml) : NULL;
  g_autofree char *tag = volume ? pw_volume_dup_tag(volume) : NULL;
  pw_json_begin_object(json);
  pw_json_pair_string(json, "tag", tag);
  desk_put_words(json, root);
  put_entries(json, root);
  put_estimate(json, state->model);
  put_ledger(json, state->model);
  put_seen_cameras(json, state->model);
  put_inputs(json);
  put_complaints(json, state);
  pw_json_end(json);
}

DeskAnswer *
desk_get_record(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  g_autoptr(PwJson) json = pw_json_new();
  desk_put_record(json, state);
  return desk_answer_json(json);
}
