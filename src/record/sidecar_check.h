/* What a sidecar's rows cannot say by themselves: how its keys belong together.
 */
#ifndef PW_RECORD_SIDECAR_CHECK_H
#define PW_RECORD_SIDECAR_CHECK_H

#include "table.h"

/* The `check` of the tables of a mark, a scale and the whole sidecar. */
void pw_check_mark(const PwReading *reading, const PwYamlNode *node, void *mark);
void pw_check_scale(const PwReading *reading, const PwYamlNode *node, void *scale);
void pw_check_sidecar(const PwReading *reading, const PwYamlNode *node, void *sidecar);

#endif
