/* The one file that owns standard output. A write that fails is an error. */
#include "command.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

int
out_text(const char *text, gsize length)
{
  say_progress_end();
  if (fwrite(text, 1, length, stdout) == length && fflush(stdout) == 0)
    return EXIT_DONE;
  say("platewright: error: standard output could not be written: %s", g_strerror(errno));
  return EXIT_FILE;
}
