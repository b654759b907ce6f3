/* report: the documents of a volume, as PDF and as one file of HTML. */
#include "command.h"

#include <platewright/report.h>

static const Option options[] = {
    {"--kind", "KIND", "receipt, condition, proposal, treatment or summary"},
    {"--for", "WHOM", "studio, owner or public: what they may see"},
    {"--only", "PHOTO,...", "show these photographs alone"},
    {"-o", "FILE", "the PDF; without it, ID-report-KIND[-WHOM].pdf in this folder"},
    {"--html", "FILE", "one file of HTML instead; with -o, besides"},
    {"--issue", NULL, "keep the PDF in the volume folder as the next version"},
    {"--on", "DATE", "the day it is issued, if not today"},
    {"--language", "NAME", "en, de, or a file of words of your own"},
    {"--style", "NAME", "plate, plate-grey, or a style file of your own"},
    {0}};

/* What was asked for, read. */
typedef struct {
  const Invocation *invocation;
  PwReportOptions options;
  const PwModel *model;
} Task;

static const char *
kind_of(const Invocation *invocation)
{
  return given_value(invocation, "--kind");
}

static char **
dup_told(const Task *task, const PwReportResult *result)
{
  return pw_report_result_dup_told(result, pw_words_peek_english(task->options.words));
}

/* ---- Three ways to make one -------------------------------------------------------- */

static int
make_pdf(const Task *task)
{
  g_autoptr(GError) error = NULL;
  g_auto(PwReportResult) result = {0};
  g_autoptr(GBytes) bytes = pw_report_pdf(task->model, &task->options, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_autofree char *path =
      target_path(task->invocation, task->model, kind_of(task->invocation), task->options.audience);
  g_auto(GStrv) told = dup_told(task, &result);
  return document_write(task->model, path, bytes, TARGET_PDF, told);
}

static int
make_html(const Task *task, const char *path)
{
  g_autoptr(GError) error = NULL;
  g_auto(PwReportResult) result = {0};
  g_autoptr(GBytes) bytes = pw_report_html(task->model, &task->options, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_auto(GStrv) told = dup_told(task, &result);
  return document_write(task->model, path, bytes, TARGET_HTML, told);
}

static int
issue(const Task *task)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_auto(PwReportIssue) issued = {0};
  const char *on = given_value(task->invocation, "--on");
  GDate day;
  g_date_clear(&day, 1);
  if (on == NULL)
    pw_date_set_today(&day);
  else if (!pw_parse_date(on, &day)) {
    say("platewright report: --on takes a day as in 2026-03-02, not \"%s\"", on);
    return EXIT_USE;
  }
  gboolean kept = pw_report_issue(task->model, &task->options, &day, &issued, complaints, &error);
  int status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (!kept)
    return error != NULL ? say_error(error) : status;
  g_auto(GStrv) told =
      pw_report_issue_dup_told(&issued, pw_words_peek_english(task->options.words));
  document_say_made(issued.file, told);
  say("version %d, entered under `issued:` of " PW_VOLUME_FILE, issued.version);
  return status;
}

/* A document is made of a record as it is, but whoever makes it knows how it stands. */
static void
say_findings(const PwModel *model)
{
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  const PwCheckOptions check = {.progress = say_progress()};
  pw_check(model, &check, findings);
  const guint n = pw_complaints_count(findings, PW_SEVERITY_ERROR);
  if (n > 0)
    say("the record has %u %s that `platewright check` names", n, n == 1 ? "error" : "errors");
}

/* ---- What is asked for ------------------------------------------------------------- */

static int
make(const Task *task)
{
  const char *html = given_value(task->invocation, "--html");
  int status = EXIT_DONE;
  say_findings(task->model);
  if (given_flag(task->invocation, "--issue"))
    status = issue(task);
  else if (html == NULL || given_value(task->invocation, "-o") != NULL)
    status = make_pdf(task);
  if (status == EXIT_DONE && html != NULL)
    status = make_html(task, html);
  words_say_missing(task->options.words);
  return status;
}

static int
open_and_make(Task *task)
{
  int status;
  const char *only = given_value(task->invocation, "--only");
  g_auto(GStrv) files = only != NULL ? g_strsplit(only, ",", -1) : NULL;
  g_autoptr(PwStyle) style = NULL;
  g_autoptr(PwWords) words = NULL;
  g_autoptr(PwModel) model = document_open(task->invocation, "no document was made", &status);
  if (model == NULL || !document_read(task->invocation, model, &style, &words, &status))
    return status;
  task->model = model;
  task->options.style = style;
  task->options.words = words;
  task->options.only = (const char *const *)files;
  task->options.progress = say_progress();
  return make(task);
}

static int
run(const Invocation *invocation)
{
  Task task = {.invocation = invocation};
  const char *kind = kind_of(invocation), *whom = given_value(invocation, "--for");
  if (kind == NULL || !pw_report_parse(kind, &task.options.kind)) {
    say("platewright report: --kind takes receipt, condition, proposal, treatment or summary%s%s%s",
        kind ? ", not \"" : "", kind ? kind : "", kind ? "\"" : "");
    return EXIT_USE;
  }
  if (whom != NULL && !pw_audience_parse(whom, &task.options.audience)) {
    say("platewright report: --for takes studio, owner or public, not \"%s\"", whom);
    return EXIT_USE;
  }
  if (given_flag(invocation, "--issue") && given_value(invocation, "-o") != NULL) {
    say("platewright report: --issue names the file itself; leave -o out");
    return EXIT_USE;
  }
  if (given_value(invocation, "--on") != NULL && !given_flag(invocation, "--issue")) {
    say("platewright report: --on goes with --issue");
    return EXIT_USE;
  }
  return open_and_make(&task);
}

const Command command_report = {"report", "FOLDER", "Makes the documents of the volume", options,
                                run};
