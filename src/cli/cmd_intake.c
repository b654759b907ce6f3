/* intake: photographs become part of the record. */
#include "command.h"

static const Option options[] = {
    {"--relink", NULL, "give the sidecar of a renamed photograph its new name"}, {0}};

enum { NAMES_SHOWN = 10 };

/* In how many of the new photographs a card was found, and in which none was. */
static void
append_cards(GString *text, const PwIntakeResult *result)
{
  guint without = result->without_card->len, shown = MIN(without, NAMES_SHOWN);
  if (result->n_new == 0)
    return;
  if (without == 0 || without == result->n_new) {
    g_string_append_printf(text, "%s card was found in %s\n", without ? "no" : "a",
                           result->n_new == 1 ? "it"
                           : without          ? "any of them"
                                              : "each of them");
    return;
  }
  g_string_append_printf(text, "a card was found in %u of them, and none in",
                         result->n_new - without);
  for (guint i = 0; i < shown; i++)
    g_string_append_printf(text, "%s %s", i > 0 ? "," : "",
                           (const char *)result->without_card->pdata[i]);
  if (without > shown)
    g_string_append_printf(text, " and %u more", without - shown);
  g_string_append_c(text, '\n');
}

static void
append_summary(GString *text, const PwIntakeResult *result)
{
  if (result->wrote_volume)
    g_string_append(text, PW_VOLUME_FILE " is new: open it and fill in what you know\n");
  g_string_append_printf(text, "%u new, %u as they were, %u given a new name\n", result->n_new,
                         result->n_kept, result->n_relinked);
  append_cards(text, result);
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_auto(PwIntakeResult) result = {0};
  if (!pw_intake(invocation->folder, given_flag(invocation, "--relink"), say_progress(), &result,
                 complaints, &error))
    return say_error(error);
  int status = say_complaints(complaints, PW_SEVERITY_NOTE);
  g_autoptr(GString) text = g_string_new(NULL);
  append_summary(text, &result);
  /* Where there was an error, it has been said what is in the way. */
  if (status == 0 && result.n_new + result.n_kept + result.n_relinked == 0)
    say("there is no photograph in %s that could be taken in (JPEG, TIFF, PNG, HEIC or AVIF)",
        invocation->folder);
  int written = out_text(text->str, text->len);
  return MAX(status, written);
}

const Command command_intake = {"intake", "FOLDER",
                                "Reads the photographs; writes volume.yaml and a sidecar where "
                                "there is none",
                                options, run};
