/* The one file that owns standard error. */
#include "command.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static gboolean progress_on_screen;

void
say_progress_end(void)
{
  if (progress_on_screen)
    fputs("\r\033[K", stderr);
  progress_on_screen = FALSE;
}

void
say(const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *text = g_strdup_vprintf(format, arguments);
  g_autofree char *printable = pw_dup_printable(text);
  va_end(arguments);
  say_progress_end();
  fprintf(stderr, "%s\n", printable);
}

int
say_error(const GError *error)
{
  say("platewright: error: %s", error->message);
  if (error->domain != PW_ERROR)
    return EXIT_FILE;
  switch ((PwErrorCode)error->code) {
  case PW_ERROR_USE:
    return EXIT_USE;
  case PW_ERROR_RECORD:
  case PW_ERROR_NUMERIC:
    return EXIT_FINDINGS;
  default:
    return EXIT_FILE;
  }
}

int
say_complaints(PwComplaints *complaints, PwSeverity at_least)
{
  /* Counted, not looked for among those kept: an error may be one of the dropped. */
  int status = pw_complaints_count(complaints, PW_SEVERITY_ERROR) > 0 ? EXIT_FINDINGS : EXIT_DONE;
  pw_complaints_sort(complaints);
  say_progress_end();
  for (guint i = 0; i < pw_complaints_n(complaints); i++) {
    const PwComplaint *complaint = pw_complaints_peek(complaints, i);
    if (complaint->severity < at_least)
      continue;
    g_autofree char *text = pw_complaint_dup_text(complaint);
    fprintf(stderr, "%s\n", text);
    if (complaint->severity == PW_SEVERITY_ERROR && strcmp(complaint->kind, "unreadable") == 0)
      status = EXIT_FILE;
  }
  if (pw_complaints_n_dropped(complaints) > 0)
    say("and %u more", pw_complaints_n_dropped(complaints));
  return status;
}

static void
show_progress(void *user, const char *what, guint done, guint total)
{
  (void)user;
  fprintf(stderr, "\r%s %u of %u\033[K", what, done, total);
  progress_on_screen = TRUE;
}

const PwProgress *
say_progress(void)
{
  static const PwProgress progress = {show_progress, NULL};
  return isatty(STDERR_FILENO) ? &progress : NULL;
}
