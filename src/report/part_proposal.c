/* What is proposed, step by step, what each risks and what else could be done. */
#include "parts.h"

static void
tell_step(PwWriter *w, const PwProposal *step)
{
  g_autofree char *part = pw_writer_dup_part(w, step->part, "whole-volume");
  pw_doc_heading(w->doc, 2, part, NULL);
  PwBlock *facts = pw_doc_facts(w->doc);
  pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, "proposal-do")), step->do_);
  pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, "proposal-risk")), step->risk);
  pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, "proposal-alternative")),
                     step->alternative);
}

void
pw_part_proposal(PwWriter *w)
{
  guint n_told = 0, n_left_out = 0;
  pw_doc_heading(w->doc, 1,
                 pw_writer_word(w, w->kind == PW_REPORT_TREATMENT ? "proposal-was" : "proposal"),
                 "proposal");
  for (gsize i = 0; i < w->volume->n_proposal; i++) {
    const PwProposal *step = &w->volume->proposal[i];
    const char *texts[] = {step->part, step->do_, step->risk, step->alternative};
    if (!pw_writer_may_tell(w, step, texts, G_N_ELEMENTS(texts), NULL)) {
      n_left_out++;
      continue;
    }
    n_told++;
    tell_step(w, step);
  }
  if (n_told == 0)
    pw_writer_say_none(w, n_left_out, "proposal-none");
}
