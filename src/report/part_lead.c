/* The first words: what this document is for. */
#include <string.h>

#include "parts.h"

/* A document of a day before the record's last may tell what was put right after it. */
static void
tell_goes_on(PwWriter *w)
{
  GDate last;
  char text[sizeof "2026-03-02"];
  if (w->doc->date == NULL || !pw_model_day(w->model, PW_DAY_LAST, &last))
    return;
  g_date_strftime(text, sizeof text, "%Y-%m-%d", &last);
  if (strcmp(text, w->doc->date) <= 0)
    return;
  g_autofree char *date = pw_writer_dup_date(w, &last);
  g_autofree char *says = pw_words_dup_phrase(w->words, "lead-goes-on", "date", date, NULL);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, says);
}

/* The public is told no price, and is asked to agree to nothing. */
static char *
dup_key(const PwWriter *w)
{
  if (w->kind == PW_REPORT_PROPOSAL && pw_writer_is_public(w))
    return g_strdup("lead-proposal-public");
  return g_strconcat("lead-", pw_report_name(w->kind), NULL);
}

void
pw_part_lead(PwWriter *w)
{
  g_autofree char *key = dup_key(w);
  pw_writer_say(w, PW_PARAGRAPH_LEAD, PW_VOICE_PLAIN, key);
  tell_goes_on(w);
  if (pw_writer_is_public(w))
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, "lead-public");
}
