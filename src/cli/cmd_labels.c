/* labels: for the envelopes and trays that pieces are kept in. */
#include "command.h"

#include <platewright/labels.h>

static const Option options[] = {
    {"-o", "FILE", "the PDF; without it, ID-labels.pdf in this folder"},
    {"--start", "N", "begin at the N-th label of the sheet, across, then down: 1 to 14"},
    {"--only", "PIECES", "ids of pieces with commas between; else all of which anything is kept"},
    {"--language", "NAME", "en, de, or a file of words of your own; else as volume.yaml says"},
    {"--style", "NAME", "plate, plate-grey, or a style file of your own"},
    {0}};

static void
tell(const PwLabelResult *result, const PwWords *words, const char *path)
{
  g_auto(GStrv) told = pw_labels_result_dup_told(result, pw_words_peek_english(words));
  say("%s: %s", path, told[0]);
  for (char **line = told + 1; *line; line++)
    say("%s", *line);
}

static PwStyle *
read_style(const char *name, int *status)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwStyle *style = pw_style_read(name ? name : "plate", complaints, &error);
  const int complained = say_complaints(complaints, PW_SEVERITY_WARNING);
  *status = error != NULL ? say_error(error) : complained;
  return style;
}

static int
draw(const Invocation *invocation, const PwModel *model, guint start, const PwWords *words)
{
  int status;
  g_autoptr(GError) error = NULL;
  g_autoptr(PwStyle) style = read_style(given_value(invocation, "--style"), &status);
  if (style == NULL)
    return status;
  const char *only = given_value(invocation, "--only");
  g_auto(GStrv) ids = only ? g_strsplit(only, ",", -1) : NULL;
  for (char **id = ids; id && *id; id++)
    g_strstrip(*id);
  PwLabelOptions labels = {style, words, start, (const char *const *)ids};
  PwLabelResult result;
  g_autoptr(GBytes) bytes = pw_labels_draw(model, &labels, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_autofree char *path = target_path(invocation, model, NULL, PW_FOR_STUDIO);
  status = target_write(model, path, bytes, TARGET_PDF);
  if (status == EXIT_DONE)
    tell(&result, words, path);
  words_say_missing(words);
  g_free(result.why_not_archival);
  return status;
}

static int
run(const Invocation *invocation)
{
  int status;
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  gint64 start = 1;
  const char *given = given_value(invocation, "--start");
  if (given != NULL && (!pw_parse_int(given, &start) || start < 1 || start > PW_LABELS_A_SHEET)) {
    say("platewright labels: --start takes 1 to %d, not \"%s\"", PW_LABELS_A_SHEET, given);
    return EXIT_USE;
  }
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL)
    return say_error(error);
  status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (status != EXIT_DONE) {
    say("no labels were made: mend the record first");
    return status;
  }
  const char *language = given_value(invocation, "--language");
  g_autoptr(PwWords) words =
      words_read(language ? language : pw_model_peek_language(model), &status);
  return words ? draw(invocation, model, (guint)start, words) : status;
}

const Command command_labels = {
    "labels", "FOLDER", "Prints labels for the envelopes and trays of the pieces", options, run};
