/* Edits as splices of bytes, believed only when the text that comes of them reads as it should. */
#include "splice.h"

typedef struct {
  gsize from, to;
  char *text;
} Splice;

struct PwYamlEdit {
  PwYaml *yaml;
  const char *path;
  PwYamlNode *expected;
  GArray *splices;
};

static void
clear_splice(gpointer data)
{
  g_free(((Splice *)data)->text);
}

PwYamlEdit *
pw_yaml_edit_new(PwYaml *yaml, const char *path)
{
  if (yaml->gathered != NULL) {
    yaml->gathered->path = path;
    return yaml->gathered;
  }
  PwYamlEdit *edit = g_new0(PwYamlEdit, 1);
  edit->yaml = yaml;
  edit->path = path;
  edit->expected = pw_yaml_node_dup(yaml->root);
  edit->splices = g_array_new(FALSE, FALSE, sizeof(Splice));
  g_array_set_clear_func(edit->splices, clear_splice);
  return edit;
}

void
pw_yaml_edit_free(PwYamlEdit *edit)
{
  if (!edit || edit == edit->yaml->gathered)
    return;
  pw_yaml_node_free(edit->expected);
  g_array_unref(edit->splices);
  g_free(edit);
}

PwYamlNode *
pw_yaml_edit_peek_expected(PwYamlEdit *edit)
{
  return edit->expected;
}

void
pw_yaml_edit_splice(PwYamlEdit *edit, gsize from, gsize to, const char *text)
{
  const Splice splice = {.from = from, .to = to, .text = g_strdup(text ? text : "")};
  g_array_append_val(edit->splices, splice);
}

gboolean
pw_yaml_edit_refuse(const PwYamlEdit *edit, GError **error, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *why = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  const char *file = edit->yaml->file ? edit->yaml->file : "text";
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s: cannot change %s: %s", file, edit->path, why);
  return FALSE;
}

static gint
compare_splices(gconstpointer a, gconstpointer b)
{
  const Splice *first = a, *second = b;
  return first->from < second->from ? -1 : first->from > second->from;
}

/* NULL where two splices overlap. */
static GString *
spliced_text(PwYamlEdit *edit)
{
  const PwYaml *yaml = edit->yaml;
  g_array_sort(edit->splices, compare_splices);
  g_autoptr(GString) text = g_string_sized_new(yaml->length);
  gsize done = 0;
  for (guint i = 0; i < edit->splices->len; i++) {
    const Splice *splice = &g_array_index(edit->splices, Splice, i);
    if (splice->from < done)
      return NULL;
    g_string_append_len(text, yaml->text + done, (gssize)(splice->from - done));
    g_string_append(text, splice->text);
    done = splice->to;
  }
  g_string_append_len(text, yaml->text + done, (gssize)(yaml->length - done));
  return g_steal_pointer(&text);
}

/* The PwYaml keeps its identity, file, path and state; text and nodes become those of `fresh`. */
static void
take_over(PwYaml *yaml, PwYaml *fresh)
{
  const PwYaml old = *yaml;
  yaml->text = fresh->text;
  yaml->length = fresh->length;
  yaml->line_starts = fresh->line_starts;
  yaml->root = fresh->root;
  fresh->text = old.text;
  fresh->length = old.length;
  fresh->line_starts = old.line_starts;
  fresh->root = old.root;
}

gboolean
pw_yaml_edit_apply(PwYamlEdit *edit, GError **error)
{
  if (edit == edit->yaml->gathered)
    return TRUE; /* when all are there */
  g_autoptr(GString) text = spliced_text(edit);
  if (!text)
    return pw_yaml_edit_refuse(edit, error, "two changes are of one place");
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwYaml) fresh = pw_yaml_parse(text->str, text->len, edit->yaml->file, complaints);
  if (!fresh)
    return pw_yaml_edit_refuse(edit, error, "%s", pw_complaints_peek(complaints, 0)->says);
  if (!pw_yaml_node_equal(fresh->root, edit->expected))
    return pw_yaml_edit_refuse(edit, error,
                               "the lines around it would read differently; edit it by hand");
  take_over(edit->yaml, fresh);
  return TRUE;
}

void
pw_yaml_gather(PwYaml *yaml)
{
  yaml->gathered = pw_yaml_edit_new(yaml, NULL);
}

gboolean
pw_yaml_settle(PwYaml *yaml, gboolean keep, GError **error)
{
  g_autoptr(PwYamlEdit) edit = g_steal_pointer(&yaml->gathered);
  edit->path = "several items";
  return !keep || pw_yaml_edit_apply(edit, error);
}
