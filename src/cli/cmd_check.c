/* check: what is missing, wrong, or changed since intake. */
#include "command.h"

#include <platewright/bag.h>

#include <string.h>

static const Option options[] = {
    {"--full", NULL, "hash every photograph again, trusting no times, and lay after over before"},
    {"--json", NULL, "print the findings as JSON"},
    {0}};

static int
print_json(PwComplaints *findings)
{
  g_autoptr(PwJson) json = pw_json_new();
  pw_complaints_sort(findings);
  pw_json_begin_object(json);
  pw_json_key(json, "format");
  pw_json_string(json, "platewright-check 1");
  pw_json_key(json, "findings");
  pw_json_begin_array(json);
  for (guint i = 0; i < pw_complaints_n(findings); i++) {
    pw_json_begin_object(json);
    pw_json_pairs_of_complaint(json, pw_complaints_peek(findings, i));
    pw_json_end(json);
  }
  pw_json_end(json);
  pw_json_end(json);
  g_autofree char *text = pw_json_take_text(json);
  return out_text(text, strlen(text));
}

/* Findings are this command's result, so they go to standard output. */
static int
print_text(PwComplaints *findings)
{
  g_autoptr(GString) text = g_string_new(NULL);
  pw_complaints_sort(findings);
  for (guint i = 0; i < pw_complaints_n(findings); i++) {
    g_autofree char *line = pw_complaint_dup_text(pw_complaints_peek(findings, i));
    g_string_append_printf(text, "%s\n", line);
  }
  guint errors = pw_complaints_count(findings, PW_SEVERITY_ERROR);
  guint warnings = pw_complaints_count(findings, PW_SEVERITY_WARNING) - errors;
  g_string_append_printf(text, "%u %s, %u %s\n", errors, errors == 1 ? "error" : "errors", warnings,
                         warnings == 1 ? "warning" : "warnings");
  return out_text(text->str, text->len);
}

static int
tell(const Invocation *invocation, PwComplaints *findings)
{
  int status = given_flag(invocation, "--json") ? print_json(findings) : print_text(findings);
  if (status == EXIT_DONE && pw_complaints_count(findings, PW_SEVERITY_WARNING) > 0)
    status = EXIT_FINDINGS;
  return status;
}

/* Whether all that was packed is there and unchanged; what the record in it says is for `check` of
 * a copy of its data/. */
static int
check_bag(const Invocation *invocation)
{
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  const PwBagCheckOptions check = {.progress = say_progress()};
  if (!pw_bag_check(invocation->folder, &check, findings, &error))
    return say_error(error);
  return tell(invocation, findings);
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) findings = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  if (pw_bag_is(invocation->folder))
    return check_bag(invocation);
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, findings, &error);
  if (model == NULL)
    return say_error(error);
  PwCheckOptions check = {given_flag(invocation, "--full"), say_progress()};
  pw_check(model, &check, findings);
  return tell(invocation, findings);
}

const Command command_check = {
    "check", "FOLDER", "Tells what is missing, wrong, or changed since intake", options, run};
