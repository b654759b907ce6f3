/* A proposal on half a page: what is wrong, what is proposed, what it risks and costs, what to
 * agree to, each leading to where it is told in full. */
#include "parts.h"

enum { MOST_TERMS = 5, STRONG = 3 };

static void
add_way(const PwWriter *w, PwProse *prose, const char *heading)
{
  pw_prose_add(prose, PW_VOICE_PLAIN, "\n");
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "in-short-see", "part", pw_writer_word(w, heading), NULL);
  pw_prose_add_link(prose, says, heading);
}

static char *
dup_strong(const PwWriter *w)
{
  g_autoptr(GPtrArray) terms = g_ptr_array_new_with_free_func(g_free);
  for (gsize i = 0; i < w->summary->n_parts; i++)
    for (gsize j = 0; j < w->summary->parts[i].n_terms && terms->len < MOST_TERMS; j++) {
      const PwModelCondition *condition = &w->summary->parts[i].terms[j];
      if (condition->severity != STRONG || condition->n_before == 0)
        continue;
      const char *part = pw_words_peek_part(w->words, condition->part);
      const char *term = pw_words_peek_term(w->words, condition->term);
      g_ptr_array_add(terms, part == NULL ? g_strdup(term)
                                          : pw_words_dup_phrase(w->words, "in-short-damage", "term",
                                                                term, "part", part, NULL));
    }
  g_ptr_array_add(terms, NULL);
  return g_strjoinv("; ", (char **)terms->pdata);
}

static void
tell_wrong(PwWriter *w, PwBlock *facts)
{
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, "in-short-wrong"));
  guint n_parts = 0;
  for (gsize i = 0; i < w->summary->n_parts; i++)
    n_parts += w->summary->parts[i].n_before > 0 ? 1 : 0;
  g_autofree char *places = pw_words_dup_count(w->words, "places-marked", w->summary->n_before);
  g_autofree char *parts = pw_words_dup_count(w->words, "parts", n_parts);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "in-short-places", "places", places, "parts", parts, NULL);
  g_autofree char *strong = dup_strong(w);
  pw_prose_add(prose, PW_VOICE_PLAIN, says);
  if (*strong != '\0')
    pw_writer_add_labelled(w, prose, "in-short-strong", strong);
  add_way(w, prose, "condition");
}

typedef const char *(*TextOf)(const PwProposal *step);

static const char *
part_of(const PwProposal *step)
{
  return step->part;
}

static const char *
risk_of(const PwProposal *step)
{
  return step->risk;
}

static void
tell_steps(PwWriter *w, PwBlock *facts, const char *label, TextOf text_of, gboolean is_part)
{
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, label));
  for (gsize i = 0; i < w->volume->n_proposal; i++) {
    const PwProposal *step = &w->volume->proposal[i];
    const char *texts[] = {step->part, step->do_, step->risk, step->alternative};
    const char *text = text_of(step);
    if (text == NULL || !pw_writer_may_tell(w, step, texts, G_N_ELEMENTS(texts), NULL))
      continue;
    g_autofree char *said =
        is_part ? pw_writer_dup_capital(pw_words_peek_part(w->words, text)) : g_strdup(text);
    pw_writer_add_line(prose, PW_VOICE_PLAIN, said);
  }
  if (pw_prose_is_empty(prose))
    pw_writer_add_text(w, prose, NULL);
  add_way(w, prose, "proposal");
}

static void
tell_cost(PwWriter *w, PwBlock *facts)
{
  const PwModelEstimate *estimate = pw_model_peek_estimate(w->model, w->audience);
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, "in-short-cost"));
  g_autofree char *total =
      estimate != NULL ? pw_words_dup_money(w->words, estimate->total, estimate->currency) : NULL;
  if (total != NULL)
    pw_prose_add(prose, PW_VOICE_STRONG, total);
  else
    pw_writer_add_text(w, prose, NULL);
  add_way(w, prose, "estimate");
}

void
pw_part_in_short(PwWriter *w)
{
  pw_writer_heading(w, 1, "in-short");
  PwBlock *facts = pw_doc_facts(w->doc);
  tell_wrong(w, facts);
  tell_steps(w, facts, "in-short-proposed", part_of, TRUE);
  tell_steps(w, facts, "in-short-risks", risk_of, FALSE);
  if (pw_writer_is_public(w))
    return;
  tell_cost(w, facts);
  PwProse *asked = pw_facts_add(facts, pw_writer_word(w, "in-short-asked"));
  pw_prose_add(asked, PW_VOICE_PLAIN, pw_writer_word(w, "in-short-asked-says"));
  add_way(w, asked, "agreement");
}
