/* Which version of an issued document this is, and what has changed since the one before. */
#include "amendment.h"
#include "keys.h"
#include "parts.h"

static void
tell_version(const PwWriter *w, const PwAmendment *amendment)
{
  g_autofree char *version = g_strdup_printf("%d", amendment->version);
  g_autofree char *on = pw_writer_dup_date(w, &amendment->on);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "amendment-version", "version", version, "date", on, "whom",
                          pw_key_peek_word(w->words, "whom", pw_audience_name(w->audience)), NULL);
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
}

static void
tell_replaced(const PwWriter *w, const PwAmendment *amendment)
{
  g_autofree char *version = g_strdup_printf("%d", amendment->replaces);
  g_autofree char *on = pw_words_dup_gdate(w->words, &amendment->replaced_on);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "amendment-replaces", "version", version, "date", on, NULL);
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
}

static void
tell_parts(const PwWriter *w, const GArray *parts)
{
  static const char *const keys[] = {
      [PW_PART_CHANGED] = "amendment-changed",
      [PW_PART_ADDED] = "amendment-added",
      [PW_PART_REMOVED] = "amendment-removed",
  };
  PwBlock *list = pw_doc_list(w->doc, FALSE);
  for (guint i = 0; i < parts->len; i++) {
    const PwChangedPart *part = &g_array_index(parts, PwChangedPart, i);
    g_autofree char *says =
        pw_words_dup_phrase(w->words, keys[part->change], "part", part->heading, NULL);
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
  }
}

void
pw_part_amendment(PwWriter *w)
{
  const PwAmendment *amendment = w->amendment;
  if (amendment == NULL)
    return;
  if (amendment->replaces > 0)
    pw_writer_heading(w, 1, "amendment");
  tell_version(w, amendment);
  if (amendment->replaces == 0)
    return;
  tell_replaced(w, amendment);
  if (amendment->parts == NULL)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_STRONG, "amendment-unknown");
  else if (amendment->parts->len == 0)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "amendment-none");
  else
    tell_parts(w, amendment->parts);
}
