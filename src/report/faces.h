/* A map of the volume's faces, laid out as unfolded, with how much damage was found on each. */
#ifndef PW_REPORT_FACES_H
#define PW_REPORT_FACES_H

#include <platewright/report.h>

#include "drawing.h"

/* In true proportion where the volume's size is recorded, else as a volume usually is, and then it
 * says so. NULL where no face was photographed. Yours. */
PwDrawing *pw_faces_new(const PwModel *model, const PwModelSummary *summary,
                        const PwReportOptions *options);

#endif
