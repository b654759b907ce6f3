/* A text of the record edited where it lies: read, edited, read again, and written over the same
 * state only.
 */
#include "edit.h"

#include <string.h>

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
is_ours(const PwEditable *kind, const PwYaml *yaml, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) why = pw_complaints_new();
  PwReading reading;
  if (pw_reading_begin(&reading, yaml, kind->format, why))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s: %s", pw_yaml_peek_file(yaml),
              pw_complaints_peek(why, 0)->says);
  pw_complaints_move(complaints, why);
  return FALSE;
}

static PwYaml *
open_text(const char *path, const char *name, PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) why = pw_complaints_new();
  g_autoptr(GError) cause = NULL;
  PwYaml *yaml = pw_yaml_open(path, name, why, &cause);
  if (yaml != NULL)
    return yaml;
  if (cause == NULL)
    g_set_error(&cause, PW_ERROR, PW_ERROR_RECORD, "%s", pw_complaints_peek(why, 0)->says);
  pw_complaints_move(complaints, why);
  g_propagate_error(error, g_steal_pointer(&cause));
  return NULL;
}

/* Applied in memory, and what comes of it judged against what was there. */
static gboolean
edit_text(const PwEditable *kind, PwYaml *yaml, const char *about, const PwEdit *edits, gsize n,
          PwComplaints *complaints, GError **error)
{
  g_autoptr(PwComplaints) before = pw_complaints_new(), after = pw_complaints_new();
  kind->judge(yaml, about, before);
  if (!is_ours(kind, yaml, complaints, error) || !pw_edit_apply(yaml, kind->table, edits, n, error))
    return FALSE;
  kind->judge(yaml, about, after);
  return nothing_new(before, after, complaints, error);
}

gboolean
pw_edit_file(const PwEditable *kind, const char *path, const char *name, const char *about,
             const char *tag, const PwEdit *edits, gsize n, char **new_tag,
             PwComplaints *complaints, GError **error)
{
  g_autoptr(PwYaml) yaml = open_text(path, name, complaints, error);
  if (yaml == NULL)
    return FALSE;
  g_autofree char *old_tag = pw_yaml_dup_tag(yaml);
  if (strcmp(old_tag, tag) != 0) {
    g_set_error(error, PW_ERROR, PW_ERROR_STALE,
                "%s has changed since it was read; nothing was written", name);
    return FALSE;
  }
  if (!edit_text(kind, yaml, about, edits, n, complaints, error))
    return FALSE;
  g_autofree char *tag_now = pw_yaml_dup_tag(yaml);
  if (strcmp(tag_now, old_tag) != 0 && !pw_yaml_save(yaml, error))
    return FALSE;
  *new_tag = g_steal_pointer(&tag_now);
  return TRUE;
}
