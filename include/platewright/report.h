/* Report: the documents of a volume, written off a resolved model for one audience in one language,
 * as PDF and as a single file of HTML. Formats what the record and the model hold, computes none.
 */
#ifndef PLATEWRIGHT_REPORT_H
#define PLATEWRIGHT_REPORT_H

#include <platewright/model.h>
#include <platewright/style.h>

PW_BEGIN_DECLS

typedef enum {
  PW_REPORT_RECEIPT,   /* what came in, counted and signed for; once returned, what goes back */
  PW_REPORT_CONDITION, /* the examination alone */
  PW_REPORT_PROPOSAL,  /* what is wrong, proposed, risked, costed; what to agree to */
  PW_REPORT_TREATMENT, /* what was found, done, kept; how to look after the volume */
  PW_REPORT_SUMMARY    /* one page */
} PwReportKind;
/* "receipt", "condition", "proposal", "treatment", "summary" */
gboolean pw_report_parse(const char *word, PwReportKind *kind);
const char *pw_report_name(PwReportKind kind);

typedef struct {
  const PwStyle *style;
  const PwWords *words;
  PwAudience audience;
  PwReportKind kind;
  const char *const *only;    /* files of the photographs to show, NULL at the end; NULL: all */
  const PwProgress *progress; /* or NULL */
} PwReportOptions;

typedef struct {
  guint n_plates;
  guint n_left_out;       /* photographs that this audience may not see */
  gboolean archival;      /* the PDF claims PDF/A-1b */
  char *why_not_archival; /* NULL when it does */
} PwReportResult;
void pw_report_result_clear(PwReportResult *result);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(PwReportResult, pw_report_result_clear)
/* What whoever made it is told, in a line each: first what it holds, then what was left out and
 * what it is not, as far as that is so. NULL-terminated; yours. */
char **pw_report_result_dup_told(const PwReportResult *result, const PwWords *words);

/* The finished file. The same record gives the same bytes. PW_ERROR_RECORD when nothing may be
 * shown to this audience; PW_ERROR_USE when `only` names a photograph that is none. `result` is
 * overwritten; yours to clear. */
GBytes *pw_report_pdf(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
                      GError **error);
GBytes *pw_report_html(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
                       GError **error);
/* One page of the PDF, from 1, as SVG for a screen: drawn by the code that makes the PDF. `n_pages`
 * is how many there are. Of the result `archival` is not known before the whole is made.
 * PW_ERROR_USE: no such page; else as pw_report_pdf. Re-entrant. */
GBytes *pw_report_svg(const PwModel *model, const PwReportOptions *options, guint page,
                      guint *n_pages, PwReportResult *result, GError **error);

/* ---- Documents that leave the studio ----------------------------------------------- */

typedef struct {
  char *file;  /* relative to the volume folder: "issued/ID-proposal-v1-owner.pdf" */
  int version; /* from 1, of this kind for this audience */
  PwReportResult result;
  gboolean is_late; /* a proposal, and the volume has gone back already */
  guint n_open; /* pieces that a treatment report for others than the studio leaves open */
} PwReportIssue;
void pw_report_issue_clear(PwReportIssue *issue);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(PwReportIssue, pw_report_issue_clear)
/* pw_report_result_dup_told, and warnings of what stands against it. */
char **pw_report_issue_dup_told(const PwReportIssue *issue, const PwWords *words);

/* Makes the PDF as the next version of its kind for its audience, keeps it and its plain text under
 * PW_ISSUED_FOLDER and enters it, with its sha256, under `issued:` of volume.yaml. From the second
 * version on it says which of its parts have changed since the one before. `on` is the day it is
 * issued. Nothing is ever overwritten: PW_ERROR_STALE where a file of that name is there already.
 * PW_ERROR_STALE when volume.yaml has changed since the model was opened, PW_ERROR_RECORD when it
 * is not there, when the record has errors, or when nothing has changed since the version before in
 * the same language: text, and the photographs of the plates with their sidecars. PW_ERROR_USE for
 * a day that is still to come, or earlier than that of the version before. */
gboolean pw_report_issue(const PwModel *model, const PwReportOptions *options, const GDate *on,
                         PwReportIssue *issue, PwComplaints *complaints, GError **error);

/* The version that the next one would be. */
int pw_report_next_version(const PwModel *model, PwReportKind kind, PwAudience audience);
/* The very file that was issued with that checksum (64 hex digits), by what it holds and whatever
 * it is called; `name` is that. Both yours. PW_ERROR_RECORD: no file in PW_ISSUED_FOLDER is it. */
GBytes *pw_report_dup_kept(const PwModel *model, const char *sha256, char **name, GError **error);

PW_END_DECLS
#endif
