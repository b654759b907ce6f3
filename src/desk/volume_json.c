/* The volume: its photographs in a row, the terms, the looks of marks, and the pulse. */
#include "desk-private.h"

#include <platewright/style.h>
#include <string.h>

/* ---- The looks of marks ------------------------------------------------------------ */

static void
key_ink(PwJson *json, const char *key, PwInk ink)
{
  g_autofree char *hex = g_strdup_printf("#%02x%02x%02x", (guint)(ink.r * 255 + 0.5),
                                         (guint)(ink.g * 255 + 0.5), (guint)(ink.b * 255 + 0.5));
  pw_json_pair_string(json, key, hex);
}

static void
key_dash(PwJson *json, const char *key, const double lengths[4])
{
  pw_json_key(json, key);
  pw_json_begin_array(json);
  for (int i = 0; i < 4 && lengths[i] > 0; i++)
    pw_json_double(json, lengths[i]);
  pw_json_end(json);
}

static void
put_group(PwJson *json, const PwWords *words, const PwGroupLook *look)
{
  pw_json_begin_object(json);
  pw_json_pair_string(json, "label", pw_words_peek_group(words, look->name));
  key_ink(json, "ink", look->ink);
  pw_json_pair_double(json, "angle", look->hatch_angle_deg);
  pw_json_pair_double(json, "gap", look->hatch_gap_mm);
  key_dash(json, "dash", look->hatch_dash_mm);
  key_dash(json, "line-dash", look->line_dash_mm);
  pw_json_end(json);
}

/* Those that the terms name, and "other". */
static void
put_groups(PwJson *json, const DeskState *state, const PwStyle *style)
{
  const PwTerms *terms = pw_model_peek_terms(state->model);
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  pw_json_key(json, "groups");
  pw_json_begin_object(json);
  for (guint i = 0; i <= pw_terms_n(terms); i++) {
    const char *group = i < pw_terms_n(terms) ? pw_terms_peek(terms, i)->group : "other";
    if (!g_hash_table_add(seen, (gpointer)(gsize)group))
      continue;
    pw_json_key(json, group);
    put_group(json, state->words, pw_style_group(style, group));
  }
  pw_json_end(json);
}

/* The plates' own style, in mm on paper: one look for the plate and the screen. */
static void
put_style(PwJson *json, const DeskState *state, const PwStyle *style)
{
  static const char *const lengths[] = {"outline",     "casing", "hatch",   "hatch-casing", "line",
                                        "line-casing", "point",  "earlier", "earlier-dash"};
  static const char *const inks[] = {"casing", "earlier", "private", "ink"};
  pw_json_key(json, "page-style");
  pw_json_begin_object(json);
  put_groups(json, state, style);
  pw_json_key(json, "lengths");
  pw_json_begin_object(json);
  for (gsize i = 0; i < G_N_ELEMENTS(lengths); i++)
    pw_json_pair_double(json, lengths[i], pw_style_length(style, lengths[i]));
  pw_json_end(json);
  pw_json_key(json, "inks");
  pw_json_begin_object(json);
  for (gsize i = 0; i < G_N_ELEMENTS(inks); i++)
    key_ink(json, inks[i], pw_style_ink(style, inks[i]));
  pw_json_end(json);
  pw_json_end(json);
}

/* ---- Words in use ------------------------------------------------------------------ */

typedef struct {
  const char *part;
  guint n;
} PartUse;

static gint
compare_uses(gconstpointer a, gconstpointer b)
{
  const PartUse *x = a, *y = b;
  if (x->n != y->n)
    return x->n > y->n ? -1 : 1;
  return strcmp(x->part, y->part);
}

static void
count_part(GArray *uses, const char *part)
{
  for (guint i = 0; i < uses->len; i++)
    if (strcmp(g_array_index(uses, PartUse, i).part, part) == 0) {
      g_array_index(uses, PartUse, i).n++;
      return;
    }
  PartUse use = {part, 1};
  g_array_append_val(uses, use);
}

static void
put_parts(PwJson *json, const PwModel *model)
{
  g_autoptr(GArray) uses = g_array_new(FALSE, FALSE, sizeof(PartUse));
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    for (gsize j = 0; j < photo->n_marks; j++)
      if (photo->marks[j].text->part != NULL)
        count_part(uses, photo->marks[j].text->part);
  }
  g_array_sort(uses, compare_uses);
  pw_json_key(json, "parts");
  pw_json_begin_array(json);
  for (guint i = 0; i < uses->len; i++)
    pw_json_string(json, g_array_index(uses, PartUse, i).part);
  pw_json_end(json);
}

/* ---- Answers ----------------------------------------------------------------------- */

static void
put_photos(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "photos");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_photos(state->model); i++) {
    pw_json_begin_object(json);
    desk_put_brief(json, state, pw_model_peek_row(state->model, i));
    pw_json_end(json);
  }
  pw_json_end(json);
}

static void
put_piece(PwJson *json, const PwOwed *owed)
{
  pw_json_key(json, "piece");
  pw_json_begin_object(json);
  pw_json_pair_string(json, "id", owed->piece->id);
  pw_json_pair_string(json, "what", owed->piece->what);
  desk_put_lacks(json, owed->lacks);
  pw_json_end(json);
}

static void
put_owed(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "owed");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_owed(state->model); i++) {
    const PwOwed *owed = pw_model_peek_owed(state->model, i);
    pw_json_begin_object(json);
    pw_json_pair_string(json, "view", owed->view);
    pw_json_pair_string(json, "place", owed->place);
    pw_json_pair_string(json, "stage", owed->stage ? pw_stage_name(owed->stage) : NULL);
    pw_json_pair_string(json, "photo", owed->photo ? desk_state_peek_id(state, owed->photo) : NULL);
    pw_json_pair_string(json, "what", pw_owed_name(owed->what));
    pw_json_pair_int(json, "n", owed->n);
    pw_json_pair_string(json, "why", desk_peek_why(state, owed->why, owed->why_not));
    pw_json_pair_string(json, "says", owed->says);
    if (owed->piece != NULL)
      put_piece(json, owed);
    pw_json_end(json);
  }
  pw_json_end(json);
}

static void
put_cards(PwJson *json, const PwVolume *volume)
{
  pw_json_key(json, "cards");
  pw_json_begin_array(json);
  for (gsize i = 0; volume && i < volume->n_cards; i++)
    pw_json_string(json, volume->cards[i].name);
  pw_json_end(json);
}

DeskAnswer *
desk_get_volume(const DeskCall *call)
{
  static const char *const stages[] = {"before", "during", "after", NULL};
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  const PwVolume *volume = pw_model_peek_volume(state->model);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwStyle) style = pw_style_read("plate", complaints, NULL);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_string(json, "id", pw_model_peek_id(state->model));
  pw_json_pair_string(json, "tag", state->tag);
  pw_json_pair_string(json, "title", volume ? volume->title : NULL);
  pw_json_pair_string(json, "language", pw_words_peek_language(state->words));
  desk_key_texts(json, "views", volume ? (const char *const *)volume->views : NULL);
  put_cards(json, volume);
  desk_key_texts(json, "stages", stages);
  put_photos(json, state);
  put_owed(json, state);
  put_parts(json, state->model);
  desk_put_links(json, state);
  desk_put_changes(json, state);
  desk_key_bool(json, "lan", call->desk->lan);
  pw_json_pair_int(json, "n_apart", (gint64)pw_model_n_apart(state->model));
  if (style != NULL)
    put_style(json, state, style);
  pw_json_end(json);
  return desk_answer_json(json);
}

static void
put_term(PwJson *json, const PwTerm *term, const PwWords *words)
{
  const char *as[4] = {NULL};
  gsize n = 0;
  if (term->as_area)
    as[n++] = "area";
  if (term->as_line)
    as[n++] = "line";
  if (term->as_point)
    as[n++] = "point";
  pw_json_begin_object(json);
  pw_json_pair_string(json, "name", term->name);
  desk_key_texts(json, "synonyms", (const char *const *)term->synonyms);
  desk_key_texts(json, "parts", (const char *const *)term->parts);
  desk_key_texts(json, "as", as);
  pw_json_pair_string(json, "group", term->group);
  pw_json_pair_string(json, "meaning", pw_model_term_peek_meaning(term, words));
  pw_json_pair_string(json, "caution", pw_model_term_peek_caution(term, words, PW_FOR_STUDIO));
  pw_json_end(json);
}

DeskAnswer *
desk_get_terms(const DeskCall *call)
{
  const PwTerms *terms = pw_model_peek_terms(call->state->model);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_terms_n(terms); i++)
    put_term(json, pw_terms_peek(terms, i), call->state->words);
  pw_json_end(json);
  return desk_answer_json(json);
}

DeskAnswer *
desk_get_pulse(const DeskCall *call)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, &error);
  if (state == NULL)
    return desk_answer_error(error);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  const PwVolume *volume = pw_model_peek_volume(state->model);
  g_autofree char *record = volume ? pw_volume_dup_tag(volume) : NULL;
  pw_json_pair_string(json, "volume", state->tag);
  pw_json_pair_string(json, "record", record);
  pw_json_key(json, "photos");
  pw_json_begin_object(json);
  for (guint i = 0; i < state->ids->len; i++)
    pw_json_pair_string(json, state->ids->pdata[i], state->tags->pdata[i]);
  pw_json_end(json);
  pw_json_end(json);
  return desk_answer_json(json);
}
