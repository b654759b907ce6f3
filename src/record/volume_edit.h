/* The part of an edit of volume.yaml that needs no file: a text goes in, a text and what it says
 * come out.
 */
#ifndef PW_RECORD_VOLUME_EDIT_H
#define PW_RECORD_VOLUME_EDIT_H

#include <platewright/record.h>

/* Reads a volume from a text that was parsed; `yaml` becomes the volume's. */
PwVolume *pw_volume_take_yaml(PwYaml *yaml, PwComplaints *complaints);
/* Writes the edits into the text, in memory; on failure the text may hold some of them. */
gboolean pw_volume_apply(PwYaml *yaml, const PwVolumeEdit *edits, gsize n, GError **error);

#endif
