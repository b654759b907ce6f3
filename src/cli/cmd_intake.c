/* intake: photographs become part of the record. */
#include "command.h"

static const Option options[] = {
    {"--relink", NULL, "give the sidecar of a renamed photograph its new name"}, {0}};

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwIntakeResult result;
  if (!pw_intake(invocation->folder, given_flag(invocation, "--relink"), say_progress(), &result,
                 complaints, &error))
    return say_error(error);
  int status = say_complaints(complaints, PW_SEVERITY_NOTE);
  g_autoptr(GString) text = g_string_new(NULL);
  if (result.wrote_volume)
    g_string_append(text, PW_VOLUME_FILE " is new: open it and fill in what you know\n");
  g_string_append_printf(text, "%u new, %u as they were, %u given a new name\n", result.n_new,
                         result.n_kept, result.n_relinked);
  if (result.n_new + result.n_kept + result.n_relinked == 0)
    say("there is no photograph in %s that could be taken in (JPEG, TIFF, PNG, HEIC or AVIF)",
        invocation->folder);
  int written = out_text(text->str, text->len);
  return MAX(status, written);
}

const Command command_intake = {"intake", "FOLDER",
                                "Reads the photographs; writes volume.yaml and a sidecar where "
                                "there is none",
                                options, run};
