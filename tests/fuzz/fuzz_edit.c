/* Fuzz target: edits of any text of a sidecar. The bytes are edits, one a line, "MARK|KEY|VALUE"
 * with "^" between several values, none for what goes; a line "%%"; and the text. An edited text
 * must read, say what was set, and be left alone by the same edit made again. */
#include "record/sidecar_edit.h"

#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_EDITS = 8 };

typedef struct {
  PwSidecarEdit edits[MOST_EDITS];
  char **parts[MOST_EDITS], **values[MOST_EDITS];
  gsize n;
} Edits;

static void
read_edit(Edits *edits, const char *line)
{
  char **parts = g_strsplit(line, "|", 3);
  const gsize n = edits->n++, n_parts = g_strv_length(parts);
  edits->parts[n] = parts;
  edits->values[n] = n_parts > 2 ? g_strsplit(parts[2], "^", -1) : NULL;
  edits->edits[n] = (PwSidecarEdit){n_parts > 0 && *parts[0] ? parts[0] : NULL,
                                    n_parts > 1 && *parts[1] ? parts[1] : NULL,
                                    (const char *const *)edits->values[n]};
}

static void
clear_edits(Edits *edits)
{
  for (gsize i = 0; i < edits->n; i++) {
    g_strfreev(edits->parts[i]);
    g_strfreev(edits->values[i]);
  }
}

/* Reads the lines up to the one of "%%"; the text behind it. */
static const char *
read_edits(Edits *edits, const char *at)
{
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

static PwYaml *
parse(const char *text)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  return pw_yaml_parse(text, strlen(text), "fuzz.jpg.yaml", complaints);
}

static void
read_record(const char *text)
{
  PwYaml *yaml = parse(text);
  g_assert(yaml);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwSidecar) sidecar = pw_sidecar_take_yaml(yaml, "fuzz.jpg", complaints);
  g_autofree char *tag = pw_sidecar_dup_tag(sidecar);
  g_assert(strlen(tag) == 32);
}

/* A caption is kept as it was given, whatever it holds. */
static void
check_caption(const PwYaml *yaml, const PwSidecarEdit *edit)
{
  if (edit->mark || g_strcmp0(edit->key, "caption") != 0 || !edit->values)
    return;
  const PwYamlNode *node = pw_yaml_node_get(pw_yaml_peek_root(yaml), "caption");
  g_assert(node);
  g_assert_cmpstr(pw_yaml_node_peek_text(node), ==, edit->values[0]);
}

static void
edit_one_by_one(PwYaml *yaml, const Edits *edits)
{
  for (gsize i = 0; i < edits->n; i++) {
    const PwSidecarEdit *edit = &edits->edits[i];
    if (!pw_sidecar_apply(yaml, edit, 1, NULL))
      continue;
    check_caption(yaml, edit);
    g_autofree char *once = g_strdup(pw_yaml_peek_text(yaml, NULL));
    const gboolean renames = edit->mark && g_strcmp0(edit->key, "id") == 0;
    if (!renames && pw_sidecar_apply(yaml, edit, 1, NULL))
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
    if (pw_sidecar_apply(together, edits.edits, edits.n, NULL))
      read_record(pw_yaml_peek_text(together, NULL));
    edit_one_by_one(singly, &edits);
    read_record(pw_yaml_peek_text(singly, NULL));
  }
  clear_edits(&edits);
  return 0;
}
