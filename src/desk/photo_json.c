/* A photograph and its marks, as the page reads them. Words are the sidecar's own, whatever its
 * keys: the page sends them back the same way.
 */
#include "desk-private.h"

#include <math.h>
#include <string.h>

/* ---- Words as the sidecar has them -------------------------------------------------- */

/* Texts, or lists of them as of colours. A list that holds nothing says nothing. */
static gboolean
is_list_of_texts(const PwYamlNode *node)
{
  for (guint i = 0; i < pw_yaml_node_n(node); i++)
    if (pw_yaml_node_kind(pw_yaml_node_item(node, i)) == PW_YAML_MAPPING)
      return FALSE;
  return pw_yaml_node_n(node) > 0;
}

/* "L a b" */
static void
put_colour(PwJson *json, const PwYamlNode *colour)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; i < pw_yaml_node_n(colour); i++) {
    const char *number = pw_yaml_node_peek_text(pw_yaml_node_item(colour, i));
    g_string_append_printf(text, "%s%s", i ? " " : "", number ? number : "");
  }
  pw_json_string(json, text->str);
}

static void
put_tie(PwJson *json, const PwYamlNode *tie)
{
  static const char *const ends[] = {"here", "there"};
  g_autoptr(GString) text = g_string_new(NULL);
  for (gsize i = 0; i < G_N_ELEMENTS(ends); i++) {
    const PwYamlNode *end = pw_yaml_node_get(tie, ends[i]);
    const char *point = end ? pw_yaml_node_peek_text(end) : NULL;
    g_string_append_printf(text, "%s%s", i ? " " : "", point ? point : "");
  }
  pw_json_string(json, text->str);
}

static void
put_list(PwJson *json, const char *key, const PwYamlNode *node)
{
  pw_json_key(json, key);
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_yaml_node_n(node); i++) {
    const PwYamlNode *item = pw_yaml_node_item(node, i);
    if (pw_yaml_node_kind(item) == PW_YAML_MAPPING)
      put_tie(json, item);
    else if (pw_yaml_node_kind(item) == PW_YAML_SEQUENCE)
      put_colour(json, item);
    else
      pw_json_string(json, pw_yaml_node_peek_text(item));
  }
  pw_json_end(json);
}

/* Keys that are no words: what marks and entries are called by, and what holds them. */
static const char *const told_elsewhere[] = {"marks", "format", "id", "cards", "cameras", NULL};

static void
put_words_below(PwJson *json, const char *prefix, const PwYamlNode *mapping)
{
  for (guint i = 0; i < pw_yaml_node_n(mapping); i++) {
    const char *name = pw_yaml_node_peek_text(pw_yaml_node_key(mapping, i));
    const PwYamlNode *value = pw_yaml_node_value(mapping, i);
    g_autofree char *key = g_strconcat(prefix, name, NULL);
    g_autofree char *below = g_strconcat(key, "/", NULL);
    if (g_strv_contains(told_elsewhere, key))
      continue;
    if (pw_yaml_node_kind(value) == PW_YAML_SCALAR)
      pw_json_pair_string(json, key, pw_yaml_node_peek_text(value));
    else if (pw_yaml_node_kind(value) == PW_YAML_MAPPING)
      put_words_below(json, below, value);
    else if (strcmp(key, "ties") == 0 || is_list_of_texts(value))
      put_list(json, key, value);
  }
}

void
desk_put_words(PwJson *json, const PwYamlNode *mapping)
{
  pw_json_key(json, "words");
  pw_json_begin_object(json);
  if (mapping != NULL && pw_yaml_node_kind(mapping) == PW_YAML_MAPPING)
    put_words_below(json, "", mapping);
  pw_json_end(json);
}

/* ---- Marks ------------------------------------------------------------------------- */

const char *
desk_peek_why(const DeskState *state, const char *why, PwWhyNot why_not)
{
  gboolean is_english = g_str_has_prefix(pw_words_peek_language(state->words), "en");
  return why == NULL || is_english ? why : pw_why_not_peek(why_not, state->words);
}

void
desk_put_size(PwJson *json, const DeskState *state, const PwModelMark *mark)
{
  g_autofree char *shown = pw_model_mark_dup_shown(mark, state->words);
  g_autofree char *longest = pw_model_mark_dup_longest(mark, state->words);
  g_autofree char *share = pw_model_mark_dup_share(mark, state->words);
  pw_json_key(json, "measure");
  pw_model_put_mark_json(json, mark);
  pw_json_pair_string(json, "shown", shown);
  pw_json_pair_string(json, "shown_more", longest);
  pw_json_pair_string(json, "shown_share", share);
  pw_json_pair_string(json, "why", desk_peek_why(state, mark->why, mark->why_not));
}

static void
put_mark(PwJson *json, const DeskState *state, const PwModelMark *mark)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "id", mark->text->id);
  pw_json_pair_string(json, "kind", pw_kind_name(mark->kind));
  desk_put_words(json, mark->text->node);
  pw_json_pair_string(json, "number", mark->family->text->id);
  pw_json_pair_string(json, "group", mark->group);
  desk_put_size(json, state, mark);
  pw_json_pair_string(
      json, "caution",
      mark->term ? pw_model_term_peek_caution(mark->term, state->words, PW_FOR_STUDIO) : NULL);
  pw_json_end(json);
}

/* ---- The photograph ---------------------------------------------------------------- */

void
desk_put_brief(PwJson *json, const DeskState *state, const PwModelPhoto *photo)
{
  const PwSidecar *sidecar = photo->sidecar;
  gint64 undecided = 0;
  for (gsize i = 0; i < photo->n_marks; i++)
    undecided += g_strcmp0(photo->marks[i].text->term, PW_TERM_UNDECIDED) == 0 ? 1 : 0;
  pw_json_pair_string(json, "id", desk_state_peek_id(state, photo));
  pw_json_pair_string(json, "file", photo->file);
  pw_json_pair_string(json, "tag", desk_state_peek_tag(state, photo));
  pw_json_pair_string(json, "stage", photo->stage ? pw_stage_name(photo->stage) : NULL);
  pw_json_pair_string(json, "view", sidecar ? sidecar->view : NULL);
  pw_json_pair_string(json, "place", sidecar ? sidecar->place : NULL);
  pw_json_pair_string(json, "step", sidecar ? sidecar->step : NULL);
  pw_json_pair_string(json, "taken", photo->taken);
  pw_json_pair_int(json, "width", photo->facts.width);
  pw_json_pair_int(json, "height", photo->facts.height);
  pw_json_pair_int(json, "n_marks", (gint64)photo->n_marks);
  pw_json_pair_int(json, "n_undecided", undecided);
  desk_key_bool(json, "scaled", photo->scale != NULL);
  desk_key_bool(json, "readable", photo->readable);
  desk_key_bool(json, "taken_in", photo->taken_in);
  desk_key_bool(json, "looked_through", sidecar != NULL && g_date_valid(&sidecar->privacy_checked));
}

/* What a camera must be set to, to take the same again. */
static void
put_facts(PwJson *json, const PwModelPhoto *photo)
{
  const PwPhotoFacts *facts = &photo->facts;
  g_autofree char *exposure = photo->readable ? pw_photo_facts_dup_exposure(facts) : NULL;
  g_autofree char *camera = pw_photo_facts_dup_camera(facts);
  PwScaleFacts scale = {.camera_distance_mm = (double)NAN, .tilt_deg = (double)NAN};
  if (photo->scale != NULL)
    pw_scale_facts(photo->scale, &scale);
  pw_json_key(json, "facts");
  pw_json_begin_object(json);
  pw_json_pair_string(json, "camera", camera);
  pw_json_pair_string(json, "lens", facts->lens);
  pw_json_pair_string(json, "exposure", exposure);
  pw_json_pair_string(json, "taken", photo->taken);
  pw_json_pair_double(json, "focal_mm", photo->readable ? facts->focal_mm : (double)NAN);
  pw_json_pair_double(json, "camera_distance_mm", scale.camera_distance_mm);
  pw_json_pair_double(json, "tilt_deg", scale.tilt_deg);
  if (photo->n_cards > 0 && photo->cards[0].design != NULL) {
    const PwPxPath outline = {.points = (PwPx *)photo->cards[0].outline, .n = 4};
    g_autofree char *points = pw_px_path_format(&outline);
    pw_json_pair_string(json, "card_at", points);
  }
  pw_json_end(json);
}

static void
put_ties(PwJson *json, const PwSidecar *sidecar)
{
  pw_json_key(json, "ties");
  pw_json_begin_array(json);
  for (gsize i = 0; sidecar && i < sidecar->n_ties; i++) {
    const PwPxPath here = {.points = &sidecar->ties[i].here, .n = 1};
    const PwPxPath there = {.points = &sidecar->ties[i].there, .n = 1};
    g_autofree char *a = pw_px_path_format(&here), *b = pw_px_path_format(&there);
    pw_json_begin_object(json);
    pw_json_pair_string(json, "here", a);
    pw_json_pair_string(json, "there", b);
    pw_json_end(json);
  }
  pw_json_end(json);
}

static void
put_complaints(PwJson *json, const DeskState *state, const PwModelPhoto *photo)
{
  g_autofree char *sidecar = g_strconcat(photo->file, PW_SIDECAR_ENDING, NULL);
  pw_json_key(json, "complaints");
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_complaints_n(state->complaints); i++) {
    const PwComplaint *complaint = pw_complaints_peek(state->complaints, i);
    if (g_strcmp0(complaint->file, photo->file) == 0 || g_strcmp0(complaint->file, sidecar) == 0)
      desk_put_complaint(json, complaint, photo);
  }
  pw_json_end(json);
}

/* The photograph of the other stage that a plate shows with this one. */
static const PwModelPhoto *
pair_of(const PwModel *model, const PwModelPhoto *photo)
{
  for (gsize i = 0; i < pw_model_n_plates(model); i++) {
    const PwModelPlate *plate = pw_model_peek_plate(model, i);
    if (plate->before == photo)
      return plate->after ? plate->after : plate->during;
    if (plate->after == photo || plate->during == photo)
      return plate->before;
  }
  return NULL;
}

void
desk_put_photo(PwJson *json, const DeskState *state, const PwModelPhoto *photo)
{
  const PwSidecar *sidecar = photo->sidecar;
  const PwModelPhoto *pair = pair_of(state->model, photo);
  g_autofree char *shown = pw_model_scale_dup_shown(photo, state->words);
  g_autofree char *surface = pw_model_surface_dup_shown(photo, state->words);
  pw_json_begin_object(json);
  desk_put_brief(json, state, photo);
  desk_put_words(json, sidecar ? pw_yaml_peek_root(sidecar->yaml) : NULL);
  pw_model_put_scale_json(json, photo);
  pw_json_pair_string(json, "scale_shown", shown);
  pw_json_pair_string(json, "why_shown", desk_peek_why(state, photo->why, photo->why_not));
  pw_json_pair_string(json, "surface_shown", surface);
  pw_json_pair_double(json, "outline_px",
                      sidecar ? pw_model_outline_px(state->model, photo) : (double)NAN);
  put_facts(json, photo);
  pw_json_key(json, "marks");
  pw_json_begin_array(json);
  for (gsize i = 0; i < photo->n_marks; i++)
    put_mark(json, state, &photo->marks[i]);
  pw_json_end(json);
  put_ties(json, sidecar);
  pw_json_pair_string(json, "pair", pair ? desk_state_peek_id(state, pair) : NULL);
  put_complaints(json, state, photo);
  pw_json_end(json);
}

DeskAnswer *
desk_get_photo(const DeskCall *call)
{
  g_autoptr(PwJson) json = pw_json_new();
  desk_put_photo(json, call->state, call->photo);
  return desk_answer_json(json);
}
