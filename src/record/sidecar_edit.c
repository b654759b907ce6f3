/* A sidecar edited where it lies: read, edited, read again, and written over the same state only.
 */
#include "sidecar_edit.h"
#include "table.h"

#include <string.h>

char *
pw_sidecar_dup_tag(const PwSidecar *sidecar)
{
  return pw_yaml_dup_tag(sidecar->yaml);
}

/* ---- What an edit makes wrong ------------------------------------------------------ */

/* Lines move: an error is the same when it says the same, or says it of the same line of text. */
static gboolean
is_same_error(const PwComplaint *a, const PwComplaint *b)
{
  return strcmp(a->kind, b->kind) == 0 &&
         (strcmp(a->says, b->says) == 0 || g_strcmp0(a->excerpt, b->excerpt) == 0);
}

/* Takes one like it out of those that were there before. */
static gboolean
was_there(GPtrArray *before, const PwComplaint *complaint)
{
  for (guint i = 0; i < before->len; i++)
    if (is_same_error(before->pdata[i], complaint)) {
      g_ptr_array_remove_index(before, i);
      return TRUE;
    }
  return FALSE;
}

static GPtrArray *
list_errors(const PwComplaints *complaints)
{
  GPtrArray *errors = g_ptr_array_new();
  for (guint i = 0; i < pw_complaints_n(complaints); i++)
    if (pw_complaints_peek(complaints, i)->severity == PW_SEVERITY_ERROR)
      g_ptr_array_add(errors, (gpointer)pw_complaints_peek(complaints, i));
  return errors;
}

/* Copies the errors that were not there before to `complaints`; FALSE, and the first of them as the
 * error, when there are any. */
static gboolean
nothing_new(const PwComplaints *before, const PwComplaints *after, PwComplaints *complaints,
            GError **error)
{
  g_autoptr(GPtrArray) old = list_errors(before), now = list_errors(after);
  const PwComplaint *first = NULL;
  for (guint i = 0; i < now->len; i++) {
    const PwComplaint *complaint = now->pdata[i];
    if (was_there(old, complaint))
      continue;
    first = first ? first : complaint;
    pw_complaints_add(complaints, complaint->file, complaint->line, complaint->column,
                      complaint->kind, complaint->severity, complaint->excerpt, "%s",
                      complaint->says);
  }
  const gboolean more = pw_complaints_count(after, PW_SEVERITY_ERROR) >
                        pw_complaints_count(before, PW_SEVERITY_ERROR);
  if (first == NULL && !more)
    return TRUE;
  g_set_error_literal(error, PW_ERROR, PW_ERROR_RECORD,
                      first ? first->says : "there would be more errors than can be listed");
  return FALSE;
}

/* ---- The edit ---------------------------------------------------------------------- */

/* A text of another format is nobody's to edit. */
static gboolean
is_ours(const PwSidecar *sidecar, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) why = pw_complaints_new();
  PwReading reading;
  if (pw_reading_begin(&reading, sidecar->yaml, "platewright-photo", why))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s: %s", sidecar->name,
              pw_complaints_peek(why, 0)->says);
  pw_complaints_move(complaints, why);
  return FALSE;
}

/* Of a sidecar already read; `before` are the complaints of that. */
static PwSidecar *
edited(PwSidecar *sidecar, const PwComplaints *before, const PwSidecarEdit *edits, gsize n,
       PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) after = pw_complaints_new();
  if (!is_ours(sidecar, complaints, error) || !pw_sidecar_apply(sidecar->yaml, edits, n, error))
    return NULL;
  g_autoptr(PwSidecar) fresh =
      pw_sidecar_take_yaml(g_steal_pointer(&sidecar->yaml), sidecar->file, after);
  return nothing_new(before, after, complaints, error) ? g_steal_pointer(&fresh) : NULL;
}

gboolean
pw_sidecar_edit(const char *path, const char *file, const char *tag, const PwSidecarEdit *edits,
                gsize n, char **new_tag, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) before = pw_complaints_new();
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwSidecar) sidecar = pw_sidecar_read(path, file, before, &cause);
  if (sidecar == NULL) {
    if (cause == NULL)
      g_set_error(&cause, PW_ERROR, PW_ERROR_RECORD, "%s", pw_complaints_peek(before, 0)->says);
    pw_complaints_move(complaints, before);
    g_propagate_error(error, g_steal_pointer(&cause));
    return FALSE;
  }
  g_autofree char *old_tag = pw_sidecar_dup_tag(sidecar);
  if (strcmp(old_tag, tag) != 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_STALE,
                "%s has changed since it was read; nothing was written", sidecar->name);
    return FALSE;
  }
  g_autoptr(PwSidecar) fresh = edited(sidecar, before, edits, n, complaints, error);
  g_autofree char *tag_now = fresh ? pw_sidecar_dup_tag(fresh) : NULL;
  if (fresh == NULL || (strcmp(tag_now, old_tag) != 0 && !pw_yaml_save(fresh->yaml, error)))
    return FALSE;
  *new_tag = g_steal_pointer(&tag_now);
  return TRUE;
}

PwSidecar *
pw_sidecar_new_draft(const PwSidecar *sidecar, const PwSidecarEdit *edits, gsize n,
                     PwComplaints *complaints, GError **error)
{
  g_autofree char *size = sidecar->width > 0 ? g_strdup_printf("photo: {size: %d x %d}\n",
                                                               sidecar->width, sidecar->height)
                                             : g_strdup("");
  g_autofree char *text = g_strconcat("format: platewright-photo 1\n", size, NULL);
  g_autoptr(PwYaml) yaml = pw_yaml_parse(text, strlen(text), sidecar->name, complaints);
  if (yaml == NULL || !pw_sidecar_apply(yaml, edits, n, error))
    return NULL;
  return pw_sidecar_take_yaml(g_steal_pointer(&yaml), sidecar->file, complaints);
}
