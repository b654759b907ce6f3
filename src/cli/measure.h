/* The forms in which `measure` prints one model: a table for people, JSON and CSV for programs. */
#ifndef PW_CLI_MEASURE_H
#define PW_CLI_MEASURE_H

#include <platewright/model.h>

/* Whether the caller asked for one photograph and this is another. */
gboolean measure_passes_over(const PwModel *model, const PwModelPhoto *photo);
/* Each: the whole text, yours. `colours` as pw_model_dup_colour_changes; NULL for one photograph,
 * of which no changes are told. */
char *measure_dup_table(const PwModel *model, const PwWords *words, const double *colours,
                        gboolean budget);
char *measure_dup_json(const PwModel *model, const double *colours);
char *measure_dup_csv(const PwModel *model);

#endif
