/* The words that are printed. */
#include "command.h"

PwWords *
words_read(const char *language, int *status)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwWords *words = pw_words_read(language, complaints, &error);
  int complained = say_complaints(complaints, PW_SEVERITY_WARNING);
  *status = error != NULL ? say_error(error) : complained;
  return words;
}

void
words_say_missing(const PwWords *words)
{
  g_autofree char *warning = pw_words_dup_warning(words, pw_words_peek_english(words));
  if (warning != NULL)
    say("warning: %s", warning);
}
