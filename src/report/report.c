/* Report: the kinds of document by name, and each made as PDF and as HTML. */
#include "set_html.h"
#include "set_pdf.h"
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
pw_report_html(const PwModel *model, const PwReportOptions *options, PwReportResult *result,
               GError **error)
{
  g_autoptr(PwDoc) doc = write_for(model, options, result, error);
  return doc != NULL ? pw_set_html(model, doc, options, error) : NULL;
}
