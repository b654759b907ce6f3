/* Edits of any text of the record in place: what a sidecar and volume.yaml share.
 */
#ifndef PW_RECORD_EDIT_H
#define PW_RECORD_EDIT_H

#include "table.h"

/* A mark is an entry of the list `marks`. */
typedef PwVolumeEdit PwEdit;

/* A kind of text: its rows, the word of its `format:`, and how all that is wrong with it is found.
 */
typedef struct {
  const PwTable *table;
  const char *format;
  void (*judge)(PwYaml *yaml, const char *about, PwComplaints *complaints);
} PwEditable;

/* ---- edit_apply.c: needs no file */
/* Writes the edits into the text, in memory; on failure the text may hold some of them. */
gboolean pw_edit_apply(PwYaml *yaml, const PwTable *table, const PwEdit *edits, gsize n,
                       GError **error);

/* ---- edit_file.c */
/* As pw_volume_edit. `about` is what `judge` is told; complaints name the file `name`. */
gboolean pw_edit_file(const PwEditable *kind, const char *path, const char *name,
                      const char *about, const char *tag, const PwEdit *edits, gsize n,
                      char **new_tag, PwComplaints *complaints, GError **error);

#endif
