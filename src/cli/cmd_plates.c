/* plates: annotated plates as PDF. */
#include "command.h"

#include <platewright/plate.h>

static const Option options[] = {
    {"-o", "FILE", "the PDF; without it, ID-plates.pdf in this folder"},
    {"--style", "NAME", "plate, plate-grey, or a style file of your own"},
    {"--language", "NAME", "en, de, or a file of words of your own; else as volume.yaml says"},
    {"--for", "WHOM", "studio, owner or public: what they may see"},
    {"--contact", NULL, "a contact sheet of all photographs instead"},
    {0}};

static void
tell(const PwPlateResult *result, const char *path)
{
  say("%s: %u %s on %u %s%s", path, result->n_plates, result->n_plates == 1 ? "plate" : "plates",
      result->n_pages, result->n_pages == 1 ? "page" : "pages",
      result->archival ? ", PDF/A-1b" : "");
  if (result->n_left_out > 0)
    say("%u %s left out: not looked through, excepted, or showing what is private",
        result->n_left_out, result->n_left_out == 1 ? "photograph" : "photographs");
  if (!result->archival)
    say("not PDF/A: %s", result->why_not_archival);
}

static int
draw(const Invocation *invocation, const PwModel *model, PwAudience audience)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  const char *name = given_value(invocation, "--style");
  g_autoptr(PwStyle) style = pw_style_read(name ? name : "plate", complaints, &error);
  if (error != NULL)
    return say_error(error);
  int status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (style == NULL || status != EXIT_DONE)
    return status;
  const char *language = given_value(invocation, "--language");
  g_autoptr(PwWords) words =
      words_read(language ? language : pw_model_peek_language(model), &status);
  if (words == NULL)
    return status;
  PwPlateOptions plates = {.style = style,
                           .words = words,
                           .audience = audience,
                           .contact = given_flag(invocation, "--contact"),
                           .progress = say_progress()};
  PwPlateResult result = {0};
  g_autoptr(GBytes) bytes = pw_plates_draw(model, &plates, &result, &error);
  if (bytes == NULL)
    return say_error(error);
  g_autofree char *path = target_path(invocation, model, NULL, audience);
  status = target_write(model, path, bytes, TARGET_PDF);
  if (status == EXIT_DONE)
    tell(&result, path);
  words_say_missing(words);
  g_free(result.why_not_archival);
  return status;
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwAudience audience = PW_FOR_STUDIO;
  const char *whom = given_value(invocation, "--for");
  if (whom != NULL && !pw_audience_parse(whom, &audience)) {
    say("platewright plates: --for takes studio, owner or public, not \"%s\"", whom);
    return EXIT_USE;
  }
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL)
    return say_error(error);
  int status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (status != EXIT_DONE) {
    /* a plate that lacks a mark that could not be read would not be honest */
    say("no plates were made: mend the record first");
    return status;
  }
  return draw(invocation, model, audience);
}

const Command command_plates = {"plates", "FOLDER", "Draws annotated plates as PDF", options, run};
