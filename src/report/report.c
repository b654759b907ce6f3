/* Report: the kinds of document by name. */
#include <platewright/report.h>

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
