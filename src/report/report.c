/* Report: the kinds of document by name, and each made as PDF and as HTML. */
#include "set_html.h"
#include "set_pdf.h"
#include "told.h"
#include "write.h"

static const char *const names[] = {
    [PW_REPORT_RECEIPT] = "receipt",   [PW_REPORT_CONDITION] = "condition",
    [PW_REPORT_PROPOSAL] = "proposal", [PW_REPORT_TREATMENT] = "treatment",
    [PW_REPORT_SUMMARY] = "summary",
};

gboolean
pw_report_parse(const char *word, PwReportKind *kind)
{
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
    if (g_str_equal(names[i], word)) {
      *kind = (PwReportKind)i;
      return TRUE;
    }
  return FALSE;
}

const char *
pw_report_name(PwReportKind kind)
{
  return names[kind];
}

void
pw_report_result_clear(PwReportResult *result)
{
  g_clear_pointer(&result->why_not_archival, g_free);
}

static GPtrArray *
told_of_result(const PwReportResult *result, const PwWords *words)
{
  GPtrArray *told = g_ptr_array_new();
  pw_told_made(told, words, pw_words_dup_count(words, "told-plates", result->n_plates),
               result->archival);
  if (result->n_left_out > 0)
    g_ptr_array_add(told, pw_words_dup_count(words, "told-left-out", result->n_left_out));
  return told;
}

char **
pw_report_result_dup_told(const PwReportResult *result, const PwWords *words)
{
  return pw_told_end(told_of_result(result, words), words, result->why_not_archival);
}

char **
pw_report_issue_dup_told(const PwReportIssue *issue, const PwWords *words)
{
  GPtrArray *told = told_of_result(&issue->result, words);
  if (issue->is_late)
    g_ptr_array_add(told, g_strdup(pw_words_peek(words, "told-issued-late")));
  if (issue->n_open > 0)
    g_ptr_array_add(told, pw_words_dup_count(words, "told-issued-open", issue->n_open));
  return pw_told_end(told, words, issue->result.why_not_archival);
}

/* The document, and of it what the caller is told. */
static PwDoc *
write_for(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
          GError **error)
{
  *result = (PwReportResult){0};
  PwDoc *doc = pw_report_write(model, options, error);
  if (doc != NULL) {
    result->n_plates = doc->n_plates;
    result->n_left_out = doc->n_left_out;
  }
  return doc;
}

GBytes *
pw_report_pdf(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
              GError **error)
{
  g_autoptr(PwDoc) doc = write_for(model, options, result, error);
  return doc != NULL
             ? pw_set_pdf(model, doc, options, &result->archival, &result->why_not_archival, error)
             : NULL;
}

GBytes *
pw_report_svg(const PwModel *model, const PwReportOptions *options, guint page, guint *n_pages,
              PwReportResult *result, GError **error)
{
  *n_pages = 0;
  g_autoptr(PwDoc) doc = write_for(model, options, result, error);
  return doc != NULL ? pw_set_svg(model, doc, options, page, n_pages, error) : NULL;
}

GBytes *
pw_report_html(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
               GError **error)
{
  g_autoptr(PwDoc) doc = write_for(model, options, result, error);
  return doc != NULL ? pw_set_html(model, doc, options, error) : NULL;
}
