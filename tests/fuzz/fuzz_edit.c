/* Fuzz target: edits of any text of a sidecar or of volume.yaml. The bytes are edits, one a line,
 * "MARK|KEY|VALUE" with "^" between several values, none for what goes; a line "%%"; and the text.
 * After a first line "%" they are of volume.yaml: "LIST/ENTRY|KEY|VALUE", the list being what
 * stands before the last "/". An edited text must read, say what was set, and be left alone by the
 * same edit made again. */
#include "record/sidecar_edit.h"
#include "record/volume_edit.h"

#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_EDITS = 8 };

typedef struct {
  gboolean of_volume;
  PwSidecarEdit edits[MOST_EDITS];
  PwVolumeEdit of_lists[MOST_EDITS];
  char **parts[MOST_EDITS], **values[MOST_EDITS], *lists[MOST_EDITS];
  gsize n;
} Edits;

static void
read_edit(Edits *edits, const char *line)
{
  char **parts = g_strsplit(line, "|", 3);
  const gsize n = edits->n++, n_parts = g_strv_length(parts);
  const char *called = n_parts > 0 && *parts[0] ? parts[0] : NULL;
  const char *key = n_parts > 1 && *parts[1] ? parts[1] : NULL;
  const char *entry = called ? strrchr(called, '/') : NULL;
  char **values = n_parts > 2 ? g_strsplit(parts[2], "^", -1) : NULL;
  edits->parts[n] = parts;
  edits->values[n] = values;
  edits->lists[n] = entry ? g_strndup(called, (gsize)(entry - called)) : g_strdup(called);
  edits->edits[n] = (PwSidecarEdit){called, key, (const char *const *)values};
  edits->of_lists[n] =
      (PwVolumeEdit){edits->lists[n], entry ? entry + 1 : NULL, key, (const char *const *)values};
}

static void
clear_edits(Edits *edits)
{
  for (gsize i = 0; i < edits->n; i++) {
    g_strfreev(edits->parts[i]);
    g_strfreev(edits->values[i]);
    g_free(edits->lists[i]);
  }
}

/* Reads the lines up to the one of "%%"; the text behind it. */
static const char *
read_edits(Edits *edits, const char *at)
{
  edits->of_volume = g_str_has_prefix(at, "%\n");
  at += edits->of_volume ? 2 : 0;
  while (*at != '\0') {
    const gsize length = strcspn(at, "\n");
    g_autofree char *line = g_strndup(at, length);
    at += length + (at[length] != '\0');
    if (strcmp(line, "%%") == 0)
      break;
    if (edits->n < MOST_EDITS)
      read_edit(edits, line);
  }
  return at;
}

static gboolean
apply(PwYaml *yaml, const Edits *edits, gsize first, gsize n)
{
  return edits->of_volume ? pw_volume_apply(yaml, edits->of_lists + first, n, NULL)
                          : pw_sidecar_apply(yaml, edits->edits + first, n, NULL);
}

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  return pw_yaml_parse(text, strlen(text), "fuzz.jpg.yaml", complaints);
}

static void
read_record(const Edits *edits, const char *text)
{
  PwYaml *yaml = parse(text);
  g_assert(yaml);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwVolume) volume = edits->of_volume ? pw_volume_take_yaml(yaml, complaints) : NULL;
  g_autoptr(PwSidecar) sidecar =
      edits->of_volume ? NULL : pw_sidecar_take_yaml(yaml, "fuzz.jpg", complaints);
  g_autofree char *tag = volume ? pw_volume_dup_tag(volume) : pw_sidecar_dup_tag(sidecar);
  g_assert(strlen(tag) == PW_TAG_DIGITS);
}

/* A caption, and what a volume came for, is kept as it was given, whatever it holds. */
static void
check_prose(const PwYaml *yaml, const Edits *edits, gsize i)
{
  const char *key = edits->of_volume ? "purpose" : "caption";
  const PwSidecarEdit *edit = &edits->edits[i];
  if (edit->mark || g_strcmp0(edit->key, key) != 0 || !edit->values)
    return;
  const PwYamlNode *node = pw_yaml_node_get(pw_yaml_peek_root(yaml), key);
  g_assert(node);
  g_assert_cmpstr(pw_yaml_node_peek_text(node), ==, edit->values[0]);
}

/* Whether the edit is of another entry the second time: one that got a new id, one that is added
 * by its place, one that went from its place. */
static gboolean
is_another_then(const Edits *edits, gsize i)
{
  const PwSidecarEdit *edit = &edits->edits[i];
  const char *entry = edits->of_lists[i].entry;
  if (edit->mark && g_strcmp0(edit->key, "id") == 0)
    return TRUE;
  return edits->of_volume && entry && (*entry == '+' || edit->key == NULL);
}

static void
edit_one_by_one(PwYaml *yaml, const Edits *edits)
{
  for (gsize i = 0; i < edits->n; i++) {
    if (!apply(yaml, edits, i, 1))
      continue;
    check_prose(yaml, edits, i);
    g_autofree char *once = g_strdup(pw_yaml_peek_text(yaml, NULL));
    if (!is_another_then(edits, i) && apply(yaml, edits, i, 1))
      g_assert_cmpstr(pw_yaml_peek_text(yaml, NULL), ==, once);
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  g_autofree char *bytes = g_strndup((const char *)data, size);
  Edits edits = {.n = 0};
  const char *text = read_edits(&edits, bytes);
  g_autoptr(PwYaml) together = parse(text), singly = parse(text);
  if (together) {
    if (apply(together, &edits, 0, edits.n))
      read_record(&edits, pw_yaml_peek_text(together, NULL));
    edit_one_by_one(singly, &edits);
    read_record(&edits, pw_yaml_peek_text(singly, NULL));
  }
  clear_edits(&edits);
  return 0;
}
