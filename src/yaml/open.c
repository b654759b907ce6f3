/* A text of the record on disk: opened with its state, saved only over that same state. */
#include "node.h"

PwYaml *
pw_yaml_open(const char *path, const char *name, PwComplaints *complaints, GError **error)
{
  PwFileState state;
  gsize length;
  g_autofree char *text = pw_file_read(path, PW_LIMIT_TEXT_BYTES, &length, &state, error);
  if (!text)
    return NULL;
  PwYaml *yaml = pw_yaml_parse(text, length, name, complaints);
  if (!yaml)
    return NULL;
  yaml->path = g_strdup(path);
  yaml->state = state;
  return yaml;
}

const PwFileState *
pw_yaml_peek_state(const PwYaml *yaml)
{
  return yaml->path ? &yaml->state : NULL;
}

char *
pw_yaml_dup_tag(const PwYaml *yaml)
{
  g_autofree char *sum = pw_sha256_dup_hex(yaml->text, yaml->length);
  return g_strndup(sum, PW_TAG_DIGITS);
}

gboolean
pw_yaml_save(PwYaml *yaml, GError **error)
{
  if (!yaml->path) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s was not opened from a file",
                yaml->file ? yaml->file : "the text");
    return FALSE;
  }
  const PwWriteGuard guard = {.expected = &yaml->state, .written = &yaml->state};
  return pw_file_write_whole(yaml->path, yaml->text, yaml->length, &guard, error);
}
