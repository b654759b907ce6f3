/* The first words: what this document is for. */
#include "parts.h"

void
pw_part_lead(PwWriter *w)
{
  g_autofree char *key = g_strconcat("lead-", pw_report_name(w->kind), NULL);
  pw_writer_say(w, PW_PARAGRAPH_LEAD, PW_VOICE_PLAIN, key);
  if (pw_writer_is_public(w))
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "lead-public");
}
