/* plates: annotated plates as PDF. */
#include "command.h"

#include <platewright/plate.h>

static const Option options[] = {
    {"-o", "FILE", "the PDF; without it, ID-plates.pdf in this folder"},
    {"--style", "NAME", "plate, plate-grey, or a style file of your own"},
    {"--language", "NAME", "en, de, or a file of words of your own; else as volume.yaml says"},
    {"--for", "WHOM", "studio, owner or public: what they may see"},
    {"--contact", NULL, "a contact sheet of all photographs instead"},
    {"--difference", NULL, "beside before and after, how far their colours differ"},
    {0}};

static char **
dup_told(const PwPlateResult *result)
{
  GPtrArray *lines = g_ptr_array_new();
  g_ptr_array_add(lines, g_strdup_printf("%u %s on %u %s%s", result->n_plates,
                                         result->n_plates == 1 ? "plate" : "plates",
                                         result->n_pages, result->n_pages == 1 ? "page" : "pages",
                                         result->archival ? ", PDF/A-1b" : ""));
  if (result->n_left_out > 0)
    g_ptr_array_add(lines, g_strdup_printf("%u %s left out: not looked through, excepted, or "
                                           "showing what is private",
                                           result->n_left_out,
                                           result->n_left_out == 1 ? "photograph" : "photographs"));
  if (!result->archival)
    g_ptr_array_add(lines, g_strdup_printf("not PDF/A: %s", result->why_not_archival));
  g_ptr_array_add(lines, NULL);
  return (char **)g_ptr_array_free(lines, FALSE);
}

static int
draw(const Invocation *invocation, const PwModel *model, const PwPlateOptions *plates)
{
  g_autoptr(GError) error = NULL;
  PwPlateResult result = {0};
  g_autoptr(GBytes) bytes = pw_plates_draw(model, plates, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_autofree char *path = target_path(invocation, model, NULL, plates->audience);
  g_auto(GStrv) told = dup_told(&result);
  g_free(result.why_not_archival);
  const int status = document_write(model, path, bytes, TARGET_PDF, told);
  words_say_missing(plates->words);
  return status;
}

static int
run(const Invocation *invocation)
{
  int status;
  PwAudience audience = PW_FOR_STUDIO;
  const char *whom = given_value(invocation, "--for");
  if (whom != NULL && !pw_audience_parse(whom, &audience)) {
    say("platewright plates: --for takes studio, owner or public, not \"%s\"", whom);
    return EXIT_USE;
  }
  if (given_flag(invocation, "--contact") && given_flag(invocation, "--difference")) {
    say("platewright plates: a contact sheet shows no difference; leave --contact or --difference "
        "out");
    return EXIT_USE;
  }
  g_autoptr(PwModel) model = document_open(invocation, "no plates were made", &status);
  if (model == NULL)
    return status;
  g_autoptr(PwStyle) style = NULL;
  g_autoptr(PwWords) words = NULL;
  if (!document_read(invocation, model, &style, &words, &status))
    return status;
  const PwPlateOptions plates = {.style = style,
                                 .words = words,
                                 .audience = audience,
                                 .contact = given_flag(invocation, "--contact"),
                                 .difference = given_flag(invocation, "--difference"),
                                 .progress = say_progress()};
  return draw(invocation, model, &plates);
}

const Command command_plates = {"plates", "FOLDER", "Draws annotated plates as PDF", options, run};
