/* Compose: a plate of the model becomes a sheet for one audience: who may see what, numbers, words.
 */
#ifndef PW_PLATE_COMPOSE_H
#define PW_PLATE_COMPOSE_H

#include <platewright/plate.h>

#include "sheet.h"

/* As pw_plate_sheet_new; `lays` FALSE: no photograph is read, for who asks what a plate shows. */
PwSheet *pw_compose_sheet(const PwModel *model, const PwPlateOptions *options,
                          const PwModelPlate *plate, gboolean lays);
/* "Plate 3 of 11"; n 0: "Plate 3". */
void pw_compose_number_sheet(PwSheet *sheet, guint which, guint n);
/* Id, title and date of the volume, as far as the options' audience may read them. Yours. */
char *pw_compose_dup_identity(const PwModel *model, const PwPlateOptions *options);

#endif
