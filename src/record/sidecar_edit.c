/* A sidecar edited where it lies, and a draft of one in memory.
 */
#include "sidecar_edit.h"
#include "edit.h"

#include <string.h>

char *
pw_sidecar_dup_tag(const PwSidecar *sidecar)
{
  return pw_yaml_dup_tag(sidecar->yaml);
}

/* The same edits of the list `marks` and of the photograph's own keys; yours. */
static PwEdit *
dup_edits(const PwSidecarEdit *edits, gsize n)
{
  PwEdit *same = g_new0(PwEdit, n);
  for (gsize i = 0; i < n; i++)
    same[i] =
        (PwEdit){edits[i].mark ? "marks" : NULL, edits[i].mark, edits[i].key, edits[i].values};
  return same;
}

gboolean
pw_sidecar_apply(PwYaml *yaml, const PwSidecarEdit *edits, gsize n, GError **error)
{
  g_autofree PwEdit *same = dup_edits(edits, n);
  return pw_edit_apply(yaml, &pw_sidecar_table, same, n, error);
}

static void
judge(PwYaml *yaml, const char *about, PwComplaints *complaints)
{
  g_autoptr(PwSidecar) sidecar = pw_sidecar_take_yaml(yaml, about, complaints);
  sidecar->yaml = NULL; /* lent */
}

gboolean
pw_sidecar_edit(const char *path, const char *file, const char *tag, const PwSidecarEdit *edits,
                gsize n, char **new_tag, PwComplaints *complaints, GError **error)
{
  static const PwEditable kind = {&pw_sidecar_table, "platewright-photo", judge};
  g_autofree PwEdit *same = dup_edits(edits, n);
  g_autofree char *name = g_strconcat(file, PW_SIDECAR_ENDING, NULL);
  return pw_edit_file(&kind, path, name, file, tag, same, n, new_tag, complaints, error);
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
