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

char **
pw_report_result_dup_told(const PwReportResult *result, const PwWords *words)
{
  g_autoptr(GPtrArray) told = g_ptr_array_new();
  pw_told_made(told, words, pw_words_dup_count(words, "told-plates", result->n_plates),
               result->archival);
  if (result->n_left_out > 0)
    g_ptr_array_add(told, pw_words_dup_count(words, "told-left-out", result->n_left_out));
  return pw_told_end(g_steal_pointer(&told), words, result->why_not_archival);
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
