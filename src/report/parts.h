/* The parts of a document, one file each, in the order in which write.c puts them. */
#ifndef PW_REPORT_PARTS_H
#define PW_REPORT_PARTS_H

#include "writer.h"

void pw_part_lead(PwWriter *w);         /* what this document is for */
void pw_part_amendment(PwWriter *w);    /* which version, and what has changed */
void pw_part_identity(PwWriter *w);     /* the volume, its owner, who examined it */
void pw_part_course(PwWriter *w);       /* purpose, who and when */
void pw_part_in_short(PwWriter *w);     /* the document on half a page, leading into it */
void pw_part_condition(PwWriter *w);    /* part by part, in the trade's words and plain ones */
void pw_part_charts(PwWriter *w);       /* the same, drawn */
void pw_part_plates(PwWriter *w);
void pw_part_observations(PwWriter *w); /* what no photograph shows */
void pw_part_measurements(PwWriter *w); /* by hand */
void pw_part_tests(PwWriter *w);
void pw_part_proposal(PwWriter *w);
void pw_part_estimate(PwWriter *w);
void pw_part_consents(PwWriter *w);     /* what was asked and said */
void pw_part_agreement(PwWriter *w);    /* what the owner is asked to agree to, to be signed */
void pw_part_treatment(PwWriter *w);
void pw_part_matter(PwWriter *w);       /* added and removed */
void pw_part_differs(PwWriter *w);      /* from the proposal */
void pw_part_decisions(PwWriter *w);
void pw_part_changes(PwWriter *w);      /* sizes before and after */
void pw_part_summary(PwWriter *w);       /* the body of the one page */
void pw_part_received(PwWriter *w);     /* the count of what came in, to be signed */
void pw_part_handed_back(PwWriter *w);  /* the count of what goes back, to be signed */
void pw_part_ledger(PwWriter *w);
void pw_part_care(PwWriter *w);         /* housing, handling, cautions */
void pw_part_photographs(PwWriter *w);
void pw_part_how_sizes(PwWriter *w);
void pw_part_issued(PwWriter *w);       /* what left the studio before */
void pw_part_studio_notes(PwWriter *w); /* for nobody else */
void pw_part_left_out(PwWriter *w);

#endif
