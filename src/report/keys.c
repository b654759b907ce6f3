/* Words by the record's own, and who signs. */
#include "keys.h"

const char *
pw_key_peek_word(const PwWords *words, const char *prefix, const char *word)
{
  g_autofree char *key = g_strdup_printf("%s-%s", prefix, word);
  for (char *at = key; *at != '\0'; at++)
    if (*at == ' ')
      *at = '-';
  const char *phrase = pw_words_peek(words, key);
  return phrase == key ? word : phrase;
}

static void
sign_line(const PwWriter *w, PwBlock *sign, const char *key, const char *name)
{
  if (name == NULL) {
    pw_sign_line(sign, pw_writer_word(w, key));
    return;
  }
  g_autofree char *label = pw_words_dup_phrase(w->words, "labelled", "label",
                                               pw_writer_word(w, key), "text", name, NULL);
  pw_sign_line(sign, label);
}

void
pw_writer_sign(PwWriter *w)
{
  const PwVolume *volume = w->volume;
  PwBlock *sign = pw_doc_sign(w->doc);
  pw_sign_line(sign, pw_writer_word(w, "sign-place"));
  sign_line(w, sign, "sign-owner", volume->owner_name);
  pw_sign_line(sign, pw_writer_word(w, "sign-place"));
  sign_line(w, sign, "sign-studio",
            volume->studio_by != NULL ? volume->studio_by : volume->studio_name);
}
