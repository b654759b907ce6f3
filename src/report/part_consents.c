/* What the owner was asked and said, as a log, and how it stands by the last word. */
#include "parts.h"

#include "keys.h"

/* What a consent may be about, and who may say it, is not bounded: a word of the record that is
 * none of these stands as it is written. */
static const char *
name_of(const PwWriter *w, const char *word)
{
  static const struct {
    const char *word, *key;
  } known[] = {{PW_CONSENT_TO_TREATMENT, "consent-to-treatment"},
               {PW_CONSENT_TO_SHOW, "consent-to-show-publicly"},
               {"owner", "by-owner"},
               {"studio", "by-studio"}};
  for (gsize i = 0; word != NULL && i < G_N_ELEMENTS(known); i++)
    if (g_str_equal(known[i].word, word))
      return pw_writer_word(w, known[i].key);
  return word;
}

/* A mark and a photograph by what they are, and by their file. */
static char *
dup_excepted(const PwWriter *w, const char *word)
{
  const PwModelMark *mark = pw_model_find_mark(w->model, word);
  const PwModelPhoto *photo = mark == NULL ? pw_model_find_photo(w->model, word) : NULL;
  g_autofree char *what = mark != NULL    ? pw_writer_dup_mark(w, mark)
                          : photo != NULL ? pw_writer_dup_view(w, photo)
                                          : NULL;
  return what != NULL ? g_strdup_printf("%s (%s)", what, word) : g_strdup(word);
}

static char *
dup_exceptions(const PwWriter *w, const PwConsent *consent)
{
  GString *all = g_string_new(NULL);
  for (char **word = consent->except; word != NULL && *word != NULL; word++) {
    g_autofree char *one = dup_excepted(w, *word);
    g_string_append_printf(all, "%s%s", all->len > 0 ? "; " : "", one);
  }
  return g_string_free(all, all->len == 0);
}

/* "on 8 March 2026" on a new line; nothing without a date. */
static void
add_dated(const PwWriter *w, PwProse *prose, const char *key, const GDate *day)
{
  g_autofree char *date = pw_writer_dup_date(w, day);
  if (date == NULL)
    return;
  g_autofree char *says = pw_words_dup_phrase(w->words, key, "date", date, NULL);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, says);
}

/* What a word holds for is as much of it as the word itself. */
void
pw_writer_add_limits(const PwWriter *w, PwProse *prose, const PwConsent *consent)
{
  g_autofree char *except = dup_exceptions(w, consent);
  pw_writer_add_labelled(w, prose, "consents-scope", consent->scope);
  pw_writer_add_labelled(w, prose, "consents-except", except);
  add_dated(w, prose, "consents-until", &consent->until);
}

/* The record is silent up to the document's day: that nobody asked it does not say. */
static void
tell_none(const PwWriter *w, PwProse *prose)
{
  g_autofree char *date = pw_writer_dup_date(w, &w->day);
  g_autofree char *says =
      date != NULL ? pw_words_dup_phrase(w->words, "standing-none-by", "date", date, NULL)
                   : g_strdup(pw_writer_word(w, "standing-never-asked"));
  pw_prose_add(prose, PW_VOICE_SOFT, says);
}

static void
tell_standing(const PwWriter *w, PwBlock *facts, const PwModelConsent *consent)
{
  PwProse *prose = pw_facts_add(facts, name_of(w, consent->to));
  if (consent->standing == PW_STANDING_NEVER_ASKED) {
    tell_none(w, prose);
    return;
  }
  pw_prose_add(prose, pw_standing_holds(consent->standing) ? PW_VOICE_PLAIN : PW_VOICE_STRONG,
               pw_key_peek_word(w->words, "standing", pw_standing_name(consent->standing)));
  add_dated(w, prose, "consents-on", &consent->word->on);
  pw_writer_add_limits(w, prose, consent->word);
}

static const char *
word_for(const PwWriter *w, PwConsentIs is)
{
  static const char *const keys[] = {
      [PW_CONSENT_ASKED] = "consent-asked",
      [PW_CONSENT_GIVEN] = "consent-given",
      [PW_CONSENT_LIMITED] = "consent-limited",
      [PW_CONSENT_WITHDRAWN] = "consent-withdrawn",
  };
  return pw_writer_word(w, keys[is]);
}

static void
tell_word(const PwWriter *w, PwBlock *table, const PwConsent *consent)
{
  PwRow *row = pw_table_row(table);
  g_autofree char *on = pw_writer_dup_date(w, &consent->on);
  pw_writer_add_text(w, pw_row_cell(row, 0), on);
  pw_writer_add_text(w, pw_row_cell(row, 1), name_of(w, consent->to));
  PwProse *said = pw_row_cell(row, 2);
  pw_prose_add(said, PW_VOICE_PLAIN, word_for(w, consent->is));
  pw_writer_add_limits(w, said, consent);
  pw_writer_add_text(w, pw_row_cell(row, 3), name_of(w, consent->by));
  if (consent->how != NULL)
    pw_writer_add_line(pw_row_cell(row, 3), PW_VOICE_SOFT, consent->how);
}

/* What a studio asks in any case; of another thing nothing is told before it comes up. */
static gboolean
is_always_told(const char *to)
{
  return g_str_equal(to, PW_CONSENT_TO_TREATMENT) || g_str_equal(to, PW_CONSENT_TO_SHOW);
}

void
pw_part_consents(PwWriter *w)
{
  const PwColumn columns[] = {
      {pw_writer_word(w, "date"), PW_COLUMN_NARROW, 0},
      {pw_writer_word(w, "consents-to"), PW_COLUMN_WORDS, 1},
      {pw_writer_word(w, "consents-said"), PW_COLUMN_WORDS, 2},
      {pw_writer_word(w, "consents-by"), PW_COLUMN_WORDS, 1},
  };
  pw_writer_heading(w, 1, "consents");
  PwBlock *facts = pw_doc_facts(w->doc);
  for (gsize i = 0; i < pw_model_n_consents(w->model); i++) {
    const char *to = pw_model_consent(w->model, i).to;
    PwModelConsent consent = pw_model_consent_by(w->model, to, pw_writer_peek_up_to(w));
    if (consent.word != NULL || is_always_told(to))
      tell_standing(w, facts, &consent);
  }
  PwBlock *table = NULL;
  for (gsize i = 0; i < w->volume->n_consents; i++) {
    if (!pw_writer_is_by_then(w, &w->volume->consents[i].on))
      continue;
    if (table == NULL)
      table =
          pw_doc_table(w->doc, pw_writer_word(w, "consents-log"), columns, G_N_ELEMENTS(columns));
    tell_word(w, table, &w->volume->consents[i]);
  }
}
