/* One edit under way: what is to be cut and put in, and the tree that must come of it. */
#ifndef PW_YAML_SPLICE_H
#define PW_YAML_SPLICE_H

#include "node.h"

typedef struct PwYamlEdit PwYamlEdit;

/* `path` is for messages and kept, not copied. */
PwYamlEdit *pw_yaml_edit_new(PwYaml *yaml, const char *path);
void pw_yaml_edit_free(PwYamlEdit *edit);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(PwYamlEdit, pw_yaml_edit_free)
/* The tree that the edited text must read as: at first a copy of the present one, to be changed. */
PwYamlNode *pw_yaml_edit_peek_expected(PwYamlEdit *edit);
/* Cuts [from, to) out and puts `text` (may be NULL) in its place. Splices must not overlap. */
void pw_yaml_edit_splice(PwYamlEdit *edit, gsize from, gsize to, const char *text);
/* Makes the new text, reads it, and takes it over if it says just what is expected; else the
 * PwYaml stays as it is. */
gboolean pw_yaml_edit_apply(PwYamlEdit *edit, GError **error);
/* FALSE always: "FILE: cannot change PATH: WHY". */
gboolean pw_yaml_edit_refuse(const PwYamlEdit *edit, GError **error, const char *format, ...)
    G_GNUC_PRINTF(3, 4);

#endif
