/* measure: sizes with their uncertainty. */
#include "command.h"
#include "measure.h"

#include <platewright/pair.h>

#include <string.h>

static const Option options[] = {{"--budget", NULL, "show what each uncertainty is made of"},
                                 {"--csv", NULL, "print as CSV, for a spreadsheet"},
                                 {"--json", NULL, "print as JSON, for a program"},
                                 {0}};

gboolean
measure_passes_over(const PwModel *model, const PwModelPhoto *photo)
{
  const char *only = pw_model_peek_only(model);
  return photo->sidecar == NULL || (only != NULL && strcmp(only, photo->file) != 0);
}

/* What has no partner cannot be measured, and must not be missing in silence. */
static int
tell_of_the_rest(const PwModel *model)
{
  gsize n = pw_model_peek_only(model) ? 0 : pw_model_n_apart(model);
  if (n == 0)
    return EXIT_DONE;
  say("not measured: %" G_GSIZE_FORMAT " without a sidecar, or without the photograph of one; "
      "`platewright check` names them",
      n);
  return EXIT_FINDINGS;
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  gboolean csv = given_flag(invocation, "--csv"), json = given_flag(invocation, "--json");
  if (csv && json) {
    say("platewright measure: --csv or --json, not both");
    return EXIT_USE;
  }
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL)
    return say_error(error);
  int status = say_complaints(complaints, PW_SEVERITY_WARNING);
  int spoken = EXIT_DONE;
  g_autoptr(PwWords) words = words_read("en", &spoken);
  if (words == NULL)
    return spoken;
  gboolean budget = given_flag(invocation, "--budget");
  gboolean changes = !csv && pw_model_peek_only(model) == NULL;
  g_autofree double *colours = changes ? pw_model_dup_colour_changes(model, say_progress()) : NULL;
  say_progress_end();
  g_autofree char *text = csv    ? measure_dup_csv(model)
                          : json ? measure_dup_json(model, colours)
                                 : measure_dup_table(model, words, colours, budget);
  int rest = tell_of_the_rest(model);
  int written = out_text(text, strlen(text));
  status = MAX(status, rest);
  return MAX(status, written);
}

const Command command_measure = {"measure", "FOLDER", "Prints sizes with their uncertainty",
                                 options, run};
