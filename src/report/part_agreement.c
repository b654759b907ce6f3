/* What the owner is asked to agree to, point by point, and where to sign. */
#include "parts.h"

#include "keys.h"

static void
ask(PwWriter *w, PwBlock *list, const char *key, const char *anchor)
{
  PwProse *item = pw_list_item(list);
  if (anchor == NULL)
    pw_prose_add(item, PW_VOICE_PLAIN, pw_writer_word(w, key));
  else
    pw_prose_add_link(item, pw_writer_word(w, key), anchor);
}

static void
ask_for_estimate(PwWriter *w, PwBlock *list)
{
  const PwModelEstimate *estimate = pw_model_peek_estimate(w->model, w->audience);
  if (estimate == NULL)
    return;
  g_autofree char *total = pw_words_dup_money(w->words, estimate->total, estimate->currency);
  g_autofree char *says = pw_words_dup_phrase(w->words, "agreement-estimate", "total", total, NULL);
  pw_prose_add_link(pw_list_item(list), says, "estimate");
}

/* Matter of the volume that was, or is to be, used up or thrown away without a word of the owner.
 */
static void
ask_for_matter(PwWriter *w, PwBlock *list)
{
  for (gsize i = 0; i < w->volume->n_tests; i++) {
    const PwTest *test = &w->volume->tests[i];
    gboolean agreed = g_date_valid(&test->agreed) && pw_writer_is_by_then(w, &test->agreed);
    if (test->consumed != 1 || agreed || !pw_writer_is_by_then(w, &test->on))
      continue;
    g_autofree char *says = pw_words_dup_phrase(w->words, "agreement-test", "place",
                                                test->place ? test->place : "", NULL);
    pw_prose_add_link(pw_list_item(list), says, "tests");
  }
  for (gsize i = 0; i < w->ledger->n_pieces; i++) {
    const PwModelPiece *piece = &w->ledger->pieces[i];
    if ((piece->lacks & PW_LACKS_CONSENT) == 0 ||
        pw_model_piece_known(w->model, piece->text, &w->day) == PW_KNOWN_LATER)
      continue;
    g_autofree char *says =
        pw_words_dup_phrase(w->words, "agreement-discard", "id", piece->text->id, "what",
                            piece->text->what ? piece->text->what : "", NULL);
    pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
  }
}

/* What goes out of the house is no part of the treatment: a signature under the one must not stand
 * for the other, and what nobody ticks is not agreed to. */
static void
ask_for_showing(PwWriter *w)
{
  if (!pw_writer_asks_to_show(w))
    return;
  pw_writer_heading(w, 2, "agreement-apart");
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-show");
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-yes");
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-no");
  pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_PLAIN, "agreement-no-tick");
}

void
pw_part_agreement(PwWriter *w)
{
  pw_writer_heading(w, 1, "agreement");
  if (w->volume->n_proposal == 0) {
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "agreement-none");
    return;
  }
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-intro");
  PwBlock *list = pw_doc_list(w->doc, TRUE);
  ask(w, list, "agreement-treatment", "proposal");
  ask_for_estimate(w, list);
  ask_for_matter(w, list);
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-strike");
  ask_for_showing(w);
  pw_writer_sign(w);
}
