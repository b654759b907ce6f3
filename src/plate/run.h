/* Run: what draws plates, for a document of them, for one under way, and for a screen. */
#ifndef PW_PLATE_RUN_H
#define PW_PLATE_RUN_H

#include <platewright/plate.h>

/* The sheets are taken; one may be NULL. */
PwPlateRun *pw_run_new(PwPdf *pdf, const PwModel *model, const PwPlateOptions *options,
                       GPtrArray *sheets);

#endif
