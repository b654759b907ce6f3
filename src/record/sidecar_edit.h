/* The part of an edit that needs no file: a text goes in, a text and what it says come out.
 */
#ifndef PW_RECORD_SIDECAR_EDIT_H
#define PW_RECORD_SIDECAR_EDIT_H

#include <platewright/record.h>

/* Reads a sidecar from a text that was parsed; `yaml` becomes the sidecar's. */
PwSidecar *pw_sidecar_take_yaml(PwYaml *yaml, const char *file, PwComplaints *complaints);
/* Writes the edits into the text, in memory; on failure the text may hold some of them. */
gboolean pw_sidecar_apply(PwYaml *yaml, const PwSidecarEdit *edits, gsize n, GError **error);

#endif
