/* A proposal on half a page: what is wrong, what is proposed, what it risks and costs, what to
 * agree to, each leading to where it is told in full. */
#include "agreed.h"
#include "parts.h"

enum { MOST_TERMS = 5, STRONG = 3 };

/* Where it is told in full, if anything is: on a line of its own, or behind what is one line. What
 * is proposed and what it risks is told under the same words, and wants no way there. */
static void
add_way(const PwWriter *w, PwProse *prose, const char *before, const char *heading)
{
  pw_prose_add(prose, PW_VOICE_PLAIN, before);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "in-short-see", "part", pw_writer_word(w, heading), NULL);
  pw_prose_add_link(prose, says, heading);
}

/* What is recorded as strong, in the words of the trade and in plain ones. */
static void
tell_damage(const PwWriter *w, PwProse *prose, const PwModelCondition *condition)
{
  const char *part = pw_words_peek_part(w->words, condition->part);
  g_autofree char *term = pw_writer_dup_term(w, condition->term);
  g_autofree char *meaning = pw_writer_dup_meaning(w, condition->term);
  g_autofree char *both = part != NULL ? pw_words_dup_phrase(w->words, "in-short-damage", "term",
                                                             term, "part", part, NULL)
                                       : g_strdup(term);
  if (meaning == NULL) {
    pw_writer_add_line(prose, PW_VOICE_PLAIN, both);
    return;
  }
  g_autofree char *label =
      pw_words_dup_phrase(w->words, "labelled", "label", both, "text", "", NULL);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, label);
  pw_prose_add(prose, PW_VOICE_SOFT, meaning);
}

static void
tell_strong(const PwWriter *w, PwProse *prose)
{
  guint n = 0;
  for (gsize i = 0; i < w->summary->n_parts; i++)
    for (gsize j = 0; j < w->summary->parts[i].n_terms; j++) {
      const PwModelCondition *condition = &w->summary->parts[i].terms[j];
      if (!pw_model_is_damage(condition->group) || condition->severity != STRONG ||
          condition->before.count == 0 || ++n > MOST_TERMS)
        continue;
      if (n == 1)
        pw_writer_add_line(prose, PW_VOICE_PLAIN, pw_writer_word(w, "in-short-strong"));
      tell_damage(w, prose, condition);
    }
  if (n <= MOST_TERMS)
    return;
  g_autofree char *more = pw_words_dup_count(w->words, "in-short-more", n - MOST_TERMS);
  pw_writer_add_line(prose, PW_VOICE_SOFT, more);
}

/* What stands in the table too, so that its rows are understood. */
static void
tell_noted(const PwWriter *w, PwProse *prose)
{
  if (w->summary->n_noted == 0)
    return;
  g_autofree char *noted = pw_words_dup_count(w->words, "in-short-noted", w->summary->n_noted);
  pw_writer_add_line(prose, PW_VOICE_SOFT, noted);
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
  if (w->summary->n_before > 0)
    pw_prose_add(prose, PW_VOICE_PLAIN, says);
  else
    pw_prose_add(prose, PW_VOICE_SOFT, pw_writer_peek_no_damage(w));
  tell_noted(w, prose);
  tell_strong(w, prose);
  if (w->summary->n_before + w->summary->n_noted > 0)
    add_way(w, prose, "\n", "condition");
}

/* "Spine: The old leather may break." What is to be done in its first sentence, for
 * it is told in full below; a risk is told whole. */
static void
tell_step(const PwWriter *w, PwProse *prose, const PwProposal *step, gboolean risk)
{
  const char *text = risk ? step->risk : step->do_;
  if (text == NULL)
    return;
  g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
  g_autofree char *said = risk ? g_strdup(text) : pw_writer_dup_first_sentence(text);
  g_autofree char *both =
      pw_words_dup_phrase(w->words, "labelled", "label", part, "text", said, NULL);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, both);
}

static void
tell_steps(PwWriter *w, PwBlock *facts, const char *label, gboolean risk)
{
  guint n_left_out = 0;
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, label));
  for (gsize i = 0; i < w->volume->n_proposal; i++) {
    const PwProposal *step = &w->volume->proposal[i];
    const char *texts[] = {step->part, step->do_, step->risk, step->alternative};
    if (pw_writer_may_tell(w, step, texts, G_N_ELEMENTS(texts), NULL))
      tell_step(w, prose, step, risk);
    else if ((risk ? step->risk : step->do_) != NULL)
      n_left_out++;
  }
  if (pw_prose_is_empty(prose))
    pw_writer_add_none(w, prose, n_left_out, "not-recorded");
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
  if (estimate != NULL && estimate->tax != NULL) {
    g_autofree char *percent = pw_words_dup_number(w->words, w->volume->tax);
    g_autofree char *with = pw_words_dup_phrase(w->words, "in-short-tax", "percent", percent, NULL);
    pw_prose_add(prose, PW_VOICE_PLAIN, " ");
    pw_prose_add(prose, PW_VOICE_PLAIN, with);
  }
  if (estimate != NULL)
    add_way(w, prose, " \u00b7 ", "estimate");
}

/* What was agreed to already is not asked for again. */
static void
tell_agreed(const PwWriter *w, PwProse *prose)
{
  g_autofree char *date = pw_writer_dup_date(w, &w->agreed->word->on);
  g_autofree char *version = g_strdup_printf("%d", w->agreed->proposal->version);
  g_autofree char *says =
      pw_words_dup_phrase(w->words, "in-short-agreed", "date", date, "version", version, NULL);
  pw_prose_add(prose, PW_VOICE_PLAIN, says);
}

static void
tell_asked(PwWriter *w, PwBlock *facts)
{
  PwProse *prose = pw_facts_add(facts, pw_writer_word(w, "in-short-asked"));
  const gboolean nothing = w->volume->n_proposal == 0;
  if (nothing)
    pw_prose_add(prose, PW_VOICE_SOFT, pw_writer_word(w, "agreement-none"));
  else if (w->agreed != NULL && w->agreed->steps != NULL)
    tell_agreed(w, prose);
  else
    pw_prose_add(prose, PW_VOICE_PLAIN,
                 pw_writer_word(w, pw_model_peek_estimate(w->model, w->audience) != NULL
                                       ? "in-short-asked-says"
                                       : "in-short-asked-says-unpriced"));
  if (!nothing && pw_writer_asks_to_show(w))
    pw_writer_add_line(prose, PW_VOICE_PLAIN, pw_writer_word(w, "in-short-asked-apart"));
  if (!nothing)
    add_way(w, prose, "\n", "agreement");
}

void
pw_part_in_short(PwWriter *w)
{
  pw_writer_heading(w, 1, "in-short");
  PwBlock *facts = pw_doc_facts(w->doc);
  tell_wrong(w, facts);
  tell_steps(w, facts, "in-short-proposed", FALSE);
  tell_steps(w, facts, "in-short-risks", TRUE);
  if (pw_writer_is_public(w))
    return;
  tell_cost(w, facts);
  tell_asked(w, facts);
}
