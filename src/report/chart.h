/* Charts of condition by part: for every damage that has a size or is counted, how much there was
 * before treatment and, where the document tells of it, after. */
#ifndef PW_REPORT_CHART_H
#define PW_REPORT_CHART_H

#include <platewright/report.h>

#include "drawing.h"

/* One chart for areas, one for lengths, one for places, each with a scale of its own from zero;
 * more where one would not stand on a page. An array of PwDrawing, empty where nothing has a size;
 * yours, and what is in it is freed with it unless it is taken out (g_ptr_array_steal_index). */
GPtrArray *pw_charts_new(const PwModelSummary *summary, const PwReportOptions *options);

#endif
