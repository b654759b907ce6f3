/* export: the record for other programs, and for keeping. */
#include "command.h"

#include <platewright/export.h>

#include <signal.h>
#include <string.h>

static const Option options[] = {
    {"--to", "FORM", "csv: tables for a spreadsheet; bag: everything, packed for keeping"},
    {"-o", "FOLDER", "the new folder; without it, ID-csv or ID-bag in this folder"},
    {"--for", "WHOM", "studio, owner or public: what they may see"},
    {"--language", "NAME", "en, de, or a file of words of your own; else as volume.yaml says"},
    {0}};

/* Ctrl-C while gigabytes are copied: what was made so far is taken away again. */
static gint stop;

static void
note_signal(int signal)
{
  (void)signal;
  g_atomic_int_set(&stop, 1);
}

static void
heed_signals(void)
{
  struct sigaction action = {.sa_handler = note_signal};
  sigemptyset(&action.sa_mask);
  sigaction(SIGINT, &action, NULL);
  sigaction(SIGTERM, &action, NULL);
}

/* -o, else ID-FORM[-WHOM] here. */
static char *
dup_folder(const Invocation *invocation, const PwModel *model, const char *form,
           PwAudience audience)
{
  const char *asked = given_value(invocation, "-o");
  return asked != NULL ? g_strdup(asked)
                       : pw_model_dup_file_name(model, form, NULL, audience, NULL);
}

static int
export_csv(const PwModel *model, PwAudience audience, const char *path)
{
  g_autoptr(GError) error = NULL;
  if (!pw_export_csv(model, audience, path, &error))
    return say_error(error);
  say("%s: tables of marks, pieces%s and photographs", path,
      audience == PW_FOR_PUBLIC ? "" : ", hours");
  return EXIT_DONE;
}

static void
tell_of_bag(const PwExportBagResult *result, PwAudience audience, const char *path)
{
  g_autofree char *size = g_format_size(result->n_bytes);
  say("%s: a bag of %u %s, %s", path, result->n_files, result->n_files == 1 ? "file" : "files",
      size);
  if (result->n_hidden > 0)
    say("%u %s not packed: the name begins with a point", result->n_hidden,
        result->n_hidden == 1 ? "file or folder was" : "files or folders were");
  if (audience == PW_FOR_STUDIO)
    say("it holds positions, serial numbers and private things, and is not for handing out");
}

static int
export_bag(const Invocation *invocation, const PwModel *model, PwAudience audience,
           const char *path)
{
  int status;
  const char *language = given_value(invocation, "--language");
  g_autoptr(PwWords) words =
      words_read(language ? language : pw_model_peek_language(model), &status);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  if (words == NULL)
    return status;
  heed_signals();
  const PwExportBag bag = {words, audience, say_progress(), &stop};
  PwExportBagResult result;
  const gboolean made = pw_export_bag(model, &bag, path, &result, complaints, &error);
  status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (error != NULL)
    return say_error(error);
  if (made)
    tell_of_bag(&result, audience, path);
  words_say_missing(words);
  if (!made)
    say("no bag was made");
  return made && pw_complaints_count(complaints, PW_SEVERITY_WARNING) == 0 ? EXIT_DONE
                                                                           : EXIT_FINDINGS;
}

static int
export_model(const Invocation *invocation, const PwModel *model, const char *form,
             PwAudience audience)
{
  const gboolean csv = strcmp(form, "csv") == 0;
  g_autofree char *path = dup_folder(invocation, model, form, audience);
  if (pw_model_peek_only(model) != NULL) {
    say("platewright export: a whole volume is exported, not one photograph; name its folder");
    return EXIT_USE;
  }
  if (pw_model_holds(model, path)) {
    say("platewright: error: %s belongs to the record and is never replaced; name another folder",
        path);
    return EXIT_USE;
  }
  return csv ? export_csv(model, audience, path) : export_bag(invocation, model, audience, path);
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwAudience audience = PW_FOR_STUDIO;
  const char *whom = given_value(invocation, "--for"), *form = given_value(invocation, "--to");
  if (whom != NULL && !pw_audience_parse(whom, &audience)) {
    say("platewright export: --for takes studio, owner or public, not \"%s\"", whom);
    return EXIT_USE;
  }
  if (form == NULL || (strcmp(form, "csv") != 0 && strcmp(form, "bag") != 0)) {
    say("platewright export: --to takes csv or bag%s%s%s", form ? ", not \"" : "", form ? form : "",
        form ? "\"" : "");
    return EXIT_USE;
  }
  const gboolean as_it_is = strcmp(form, "bag") == 0 && audience == PW_FOR_STUDIO;
  PwModelOptions open = {.headers = !as_it_is, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL)
    return say_error(error);
  const int status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (status == EXIT_DONE)
    return export_model(invocation, model, form, audience);
  if (!as_it_is) {
    /* a table that lacks a row that could not be read would not be honest */
    say("nothing was exported: mend the record first");
    return status;
  }
  /* what is packed byte for byte is whole all the same */
  const int exported = export_model(invocation, model, form, audience);
  return MAX(status, exported);
}

const Command command_export = {"export", "FOLDER",
                                "Exports tables for spreadsheets, or packs all of it for keeping",
                                options, run};
