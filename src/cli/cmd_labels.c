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

static int
draw(const Invocation *invocation, const PwModel *model, const PwLabelOptions *labels)
{
  g_autoptr(GError) error = NULL;
  PwLabelResult result;
  g_autoptr(GBytes) bytes = pw_labels_draw(model, labels, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_autofree char *path = target_path(invocation, model, NULL, PW_FOR_STUDIO);
  g_auto(GStrv) told = pw_labels_result_dup_told(&result, pw_words_peek_english(labels->words));
  g_free(result.why_not_archival);
  const int status = document_write(model, path, bytes, TARGET_PDF, told);
  words_say_missing(labels->words);
  return status;
}

static char **
dup_ids(const char *only)
{
  char **ids = only != NULL ? g_strsplit(only, ",", -1) : NULL;
  for (char **id = ids; id != NULL && *id != NULL; id++)
    g_strstrip(*id);
  return ids;
}

static int
run(const Invocation *invocation)
{
  int status;
  gint64 start = 1;
  const char *given = given_value(invocation, "--start");
  if (given != NULL && (!pw_parse_int(given, &start) || start < 1 || start > PW_LABELS_A_SHEET)) {
    say("platewright labels: --start takes 1 to %d, not \"%s\"", PW_LABELS_A_SHEET, given);
    return EXIT_USE;
  }
  g_autoptr(PwModel) model = document_open(invocation, "no labels were made", &status);
  if (model == NULL)
    return status;
  g_autoptr(PwStyle) style = NULL;
  g_autoptr(PwWords) words = NULL;
  if (!document_read(invocation, model, &style, &words, &status))
    return status;
  g_auto(GStrv) ids = dup_ids(given_value(invocation, "--only"));
  const PwLabelOptions labels = {style, words, (guint)start, (const char *const *)ids};
  return draw(invocation, model, &labels);
}

const Command command_labels = {
    "labels", "FOLDER", "Prints labels for the envelopes and trays of the pieces", options, run};
