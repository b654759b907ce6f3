/* What every command that makes a document begins and ends with. */
#include "command.h"

/* A document that lacks what could not be read would not be honest. */
PwModel *
document_open(const Invocation *invocation, const char *none, int *status)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwModelOptions open = {.headers = TRUE, .progress = say_progress()};
  g_autoptr(PwModel) model = pw_model_open(invocation->folder, &open, complaints, &error);
  if (model == NULL) {
    *status = say_error(error);
    return NULL;
  }
  *status = say_complaints(complaints, PW_SEVERITY_WARNING);
  if (*status == EXIT_DONE)
    return g_steal_pointer(&model);
  say("%s: mend the record first", none);
  return NULL;
}

static PwStyle *
read_style(const char *name, int *status)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  g_autoptr(PwStyle) style = pw_style_read(name != NULL ? name : "plate", complaints, &error);
  const int complained = say_complaints(complaints, PW_SEVERITY_WARNING);
  *status = error != NULL ? say_error(error) : complained;
  return *status == EXIT_DONE ? g_steal_pointer(&style) : NULL;
}

gboolean
document_read(const Invocation *invocation, const PwModel *model, PwStyle **style, PwWords **words,
              int *status)
{
  const char *language = given_value(invocation, "--language");
  *words = NULL;
  *style = read_style(given_value(invocation, "--style"), status);
  if (*style != NULL)
    *words = words_read(language != NULL ? language : pw_model_peek_language(model), status);
  return *words != NULL;
}

void
document_say_made(const char *path, char *const *told)
{
  say("%s: %s", path, told[0]);
  for (char *const *line = told + 1; *line != NULL; line++)
    say("%s", *line);
}

int
document_write(const PwModel *model, const char *path, GBytes *bytes, TargetFormat format,
               char *const *told)
{
  const int status = target_write(model, path, bytes, format);
  if (status == EXIT_DONE)
    document_say_made(path, told);
  return status;
}
