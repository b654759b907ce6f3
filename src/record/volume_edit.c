/* volume.yaml edited where it lies.
 */
#include "volume_edit.h"
#include "edit.h"

char *
pw_volume_dup_tag(const PwVolume *volume)
{
  return pw_yaml_dup_tag(volume->yaml);
}

gboolean
pw_volume_apply(PwYaml *yaml, const PwVolumeEdit *edits, gsize n, GError **error)
{
  return pw_edit_apply(yaml, &pw_volume_table, edits, n, error);
}

static void
judge(PwYaml *yaml, const char *about, PwComplaints *complaints)
{
  (void)about;
  g_autoptr(PwVolume) volume = pw_volume_take_yaml(yaml, complaints);
  volume->yaml = NULL; /* lent */
}

gboolean
pw_volume_edit(const char *path, const char *tag, const PwVolumeEdit *edits, gsize n,
               char **new_tag, PwComplaints *complaints, GError **error)
{
  static const PwEditable kind = {&pw_volume_table, "platewright-volume", judge};
  return pw_edit_file(&kind, path, PW_VOLUME_FILE, PW_VOLUME_FILE, tag, edits, n, new_tag,
                      complaints, error);
}
