/* Which version of an issued document this is, and what has changed since the one before. */
#include "amendment.h"
#include "keys.h"
#include "parts.h"

#include <string.h>

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

/* A language of which we have no name goes by its tag. */
static char *
dup_language(const PwWords *words, const char *tag)
{
  g_autofree char *key = g_strconcat("amendment-in-", tag, NULL);
  const char *name = pw_words_peek(words, key);
  return g_strdup(strcmp(name, key) == 0 ? tag : name);
}

static void
tell_replaced(const PwWriter *w, const PwAmendment *amendment)
{
  g_autofree char *version = g_strdup_printf("%d", amendment->replaces);
  g_autofree char *on = pw_words_dup_gdate(w->words, &amendment->replaced_on);
  g_autofree char *language =
      amendment->language != NULL ? dup_language(w->words, amendment->language) : NULL;
  g_autofree char *says = pw_words_dup_phrase(
      w->words, language != NULL ? "amendment-replaces-language" : "amendment-replaces", "version",
      version, "date", on, "language", language != NULL ? language : "", NULL);
  pw_doc_say(w->doc, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, says);
}

static char *
dup_line(const PwWriter *w, const PwChangedLine *line)
{
  if (line->now != NULL && line->before != NULL)
    return pw_words_dup_phrase(w->words, "amendment-line", "what", line->label, "now", line->now,
                               "before", line->before, NULL);
  return pw_words_dup_phrase(
      w->words, line->now != NULL ? "amendment-line-new" : "amendment-line-gone", "what",
      line->label, "value", line->now != NULL ? line->now : line->before, NULL);
}

/* "Estimate: changed; total 2,853.79 EUR, before 2,700.00 EUR" */
static char *
dup_part(const PwWriter *w, const char *key, const PwChangedPart *part)
{
  g_autofree char *head = pw_words_dup_phrase(w->words, key, "part", part->heading, NULL);
  GString *says = g_string_new(head);
  for (guint i = 0; i < part->lines->len; i++) {
    g_autofree char *line = dup_line(w, part->lines->pdata[i]);
    g_string_append_printf(says, "; %s", line);
  }
  if (part->lines->len > 0 && part->is_more)
    g_string_append_printf(says, "; %s", pw_writer_word(w, "amendment-more"));
  return g_string_free(says, FALSE);
}

void
pw_writer_list_changes(const PwWriter *w, PwBlock *list, const GArray *parts, const char *anchor)
{
  static const char *const keys[] = {
      [PW_PART_CHANGED] = "amendment-changed",
      [PW_PART_ADDED] = "amendment-added",
      [PW_PART_REMOVED] = "amendment-removed",
  };
  for (guint i = 0; i < parts->len; i++) {
    const PwChangedPart *part = &g_array_index(parts, PwChangedPart, i);
    g_autofree char *says = dup_part(w, keys[part->change], part);
    if (anchor != NULL)
      pw_prose_add_link(pw_list_item(list), says, anchor);
    else
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
  if (amendment->language != NULL)
    return;
  if (amendment->parts == NULL)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_STRONG, "amendment-unknown");
  else if (amendment->parts->len == 0)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "amendment-none");
  else
    pw_writer_list_changes(w, pw_doc_list(w->doc, FALSE), amendment->parts, NULL);
}
