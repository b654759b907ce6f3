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
  if (pw_words_n_missing(words) == 0)
    return;
  g_autoptr(GString) keys = g_string_new(NULL);
  for (gsize i = 0; i < pw_words_n_missing(words); i++)
    g_string_append_printf(keys, "%s%s", i > 0 ? ", " : "", pw_words_peek_missing(words, i));
  say("warning: the language \"%s\" has no words for these, which are printed in English: %s",
      pw_words_peek_language(words), keys->str);
}
