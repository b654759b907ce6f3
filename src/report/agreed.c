/* Which version of the proposal the owner has agreed to, and what this one proposes otherwise: its
 * steps and its estimate are held against the text that is kept with that version. */
#include "agreed.h"

#include <string.h>

#include "parts.h"

static const PwIssued *
find_answered(const PwWriter *w, const GDate *on)
{
  const PwIssued *last = NULL;
  for (gsize i = 0; i < w->volume->n_issued; i++) {
    const PwIssued *issued = &w->volume->issued[i];
    if (g_strcmp0(issued->document, pw_report_name(PW_REPORT_PROPOSAL)) == 0 &&
        g_strcmp0(issued->to, pw_audience_name(PW_FOR_OWNER)) == 0 && g_date_valid(&issued->on) &&
        g_date_compare(&issued->on, on) <= 0 && (last == NULL || issued->version > last->version))
      last = issued;
  }
  return last;
}

/* What one agrees to, as a document of its own. */
static char *
dup_asked(const PwWriter *w)
{
  PwWriter aside = *w;
  g_autoptr(PwDoc) doc = pw_doc_new("", pw_words_peek_language(w->words), w->audience);
  aside.doc = doc;
  pw_part_proposal(&aside);
  pw_part_estimate(&aside);
  return pw_doc_dup_text(doc);
}

static void
keep_only(GArray *parts, const char *heading)
{
  for (guint i = parts->len; i-- > 0;)
    if (strcmp(g_array_index(parts, PwChangedPart, i).heading, heading) != 0)
      g_array_remove_index(parts, i);
}

static void
compare(const PwWriter *w, PwAgreed *agreed)
{
  g_autofree char *then = pw_issued_dup_text(w->model, agreed->proposal);
  g_autofree char *language = then != NULL ? pw_amendment_dup_language(then) : NULL;
  if (g_strcmp0(language, pw_words_peek_language(w->words)) != 0)
    return;
  g_autofree char *now = dup_asked(w);
  agreed->steps = pw_amendment_compare_within(then, now, pw_writer_word(w, "proposal"));
  agreed->others = pw_amendment_compare(then, now);
  keep_only(agreed->others, pw_writer_word(w, "estimate"));
}

PwAgreed *
pw_agreed_new(const PwWriter *w)
{
  const PwModelConsent answer =
      pw_model_answer_by(w->model, PW_CONSENT_TO_TREATMENT, pw_writer_peek_up_to(w));
  if (w->kind != PW_REPORT_PROPOSAL || pw_writer_is_public(w) ||
      !pw_standing_holds(answer.standing) || !g_date_valid(&answer.word->on))
    return NULL;
  const PwIssued *proposal = find_answered(w, &answer.word->on);
  if (proposal == NULL)
    return NULL;
  PwAgreed *agreed = g_new0(PwAgreed, 1);
  agreed->word = answer.word;
  agreed->proposal = proposal;
  compare(w, agreed);
  return agreed;
}

void
pw_agreed_free(PwAgreed *agreed)
{
  if (agreed == NULL)
    return;
  g_clear_pointer(&agreed->steps, g_array_unref);
  g_clear_pointer(&agreed->others, g_array_unref);
  g_free(agreed);
}
