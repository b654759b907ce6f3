/* What `intake` and `check` do, by a button. */
#include "desk-private.h"

#include <string.h>

static void
put_says(PwJson *json, PwComplaints *complaints)
{
  pw_json_key(json, "says");
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    const PwComplaint *complaint = pw_complaints_peek(complaints, i);
    g_autofree char *says = g_strconcat(complaint->file, ": ", complaint->says, NULL);
    pw_json_string(json, says);
  }
  pw_json_end(json);
}

/* No sidecar is edited while intake may rename it. */
DeskAnswer *
desk_post_intake(const DeskCall *call)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_auto(PwIntakeResult) result = {0};
  g_mutex_lock(&call->desk->saving);
  gboolean done = pw_intake(call->desk->folder, FALSE, NULL, &result, complaints, &error);
  g_mutex_unlock(&call->desk->saving);
  if (!done)
    return desk_answer_error(error);
  g_autoptr(DeskState) state = desk_shelf_look(call->desk->shelf, NULL);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_pair_int(json, "new", result.n_new);
  put_says(json, complaints);
  pw_json_end(json);
  return desk_answer_json(json);
}

/* The photograph of a finding, by its own name or its sidecar's; NULL: it is of another file. */
static const PwModelPhoto *
photo_of(const PwModel *model, const char *file)
{
  g_autofree char *name = g_str_has_suffix(file, PW_SIDECAR_ENDING)
                              ? g_strndup(file, strlen(file) - strlen(PW_SIDECAR_ENDING))
                              : g_strdup(file);
  return pw_model_find_photo(model, name);
}

DeskAnswer *
desk_post_check(const DeskCall *call)
{
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModelOptions open = {.headers = TRUE};
  PwCheckOptions check = {.full = FALSE};
  g_autoptr(PwModel) model = pw_model_open(call->desk->folder, &open, findings, &error);
  if (model == NULL)
    return desk_answer_error(error);
  pw_check(model, &check, findings);
  pw_complaints_sort(findings);
  g_autoptr(PwJson) json = pw_json_new();
  pw_json_begin_object(json);
  pw_json_key(json, "findings");
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_complaints_n(findings); i++)
    desk_put_complaint(json, pw_complaints_peek(findings, i),
                       photo_of(model, pw_complaints_peek(findings, i)->file));
  pw_json_end(json);
  pw_json_end(json);
  return desk_answer_json(json);
}
