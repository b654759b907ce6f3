/* What marks say of each other, told once for the whole volume: who takes a mark away has to know
 * which marks point at it, on whatever photograph they are.
 */
#include "desk-private.h"

static void
put_name(PwJson *json, const DeskState *state, const PwModelMark *mark)
{
  pw_json_pair_string(json, "photo", desk_state_peek_id(state, mark->photo));
  pw_json_pair_string(json, "mark", mark->text->id);
  pw_json_pair_string(json, "number", mark->family->text->id);
  pw_json_pair_string(json, "term", mark->text->term);
  pw_json_pair_string(json, "part", mark->text->part);
}

/* `stands`: the model has taken it. A link that leads to a mark but does not stand is one of two
 * that do not fit each other. */
static void
put_link(PwJson *json, const DeskState *state, const PwModelMark *mark, const char *key,
         const char *reference, gboolean stands)
{
  if (reference == NULL)
    return;
  const PwModelMark *to = pw_model_find_mark(state->model, reference);
  pw_json_begin_object(json);
  put_name(json, state, mark);
  desk_key_bool(json, "gone", mark->text->gone);
  pw_json_pair_string(json, "key", key);
  pw_json_pair_string(json, "reference", reference);
  desk_key_bool(json, "stands", stands);
  pw_json_key(json, "to");
  pw_json_begin_object(json);
  if (to != NULL)
    put_name(json, state, to);
  pw_json_end(json);
  pw_json_end(json);
}

void
desk_put_links(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "links");
  pw_json_begin_array(json);
  for (gsize i = 0; i < pw_model_n_photos(state->model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(state->model, i);
    for (gsize j = 0; j < photo->n_marks; j++) {
      const PwModelMark *mark = &photo->marks[j];
      put_link(json, state, mark, "same-as", mark->text->same_as, mark->same_as != NULL);
      put_link(json, state, mark, "earlier", mark->text->earlier, mark->earlier != NULL);
    }
  }
  pw_json_end(json);
}

/* What has become of each mark that marks of an after photograph go on. */
void
desk_put_changes(PwJson *json, const DeskState *state)
{
  pw_json_key(json, "changes");
  pw_json_begin_object(json);
  for (gsize i = 0; i < pw_model_n_changes(state->model); i++) {
    const PwModelChange *change = pw_model_peek_change(state->model, i);
    g_autofree char *shown = pw_model_change_dup_shown(change, state->words);
    pw_json_pair_string(json, change->before->reference, shown);
  }
  pw_json_end(json);
}
