/* What the owner is asked to agree to, point by point, and where to sign. */
#include "agreed.h"

#include <string.h>

#include "keys.h"
#include "parts.h"

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
  g_autofree char *percent =
      estimate->tax != NULL ? pw_words_dup_number(w->words, w->volume->tax) : NULL;
  g_autofree char *says =
      percent != NULL ? pw_words_dup_phrase(w->words, "agreement-estimate-taxed", "total", total,
                                            "percent", percent, NULL)
                      : pw_words_dup_phrase(w->words, "agreement-estimate", "total", total, NULL);
  pw_prose_add_link(pw_list_item(list), says, "estimate");
}

/* One that has a day, of which the document speaks, or a result was done already. */
static void
ask_for_test(const PwWriter *w, PwBlock *list, const PwTest *test)
{
  g_autofree char *on = pw_writer_dup_date(w, &test->on);
  g_autofree char *place = pw_writer_dup_unstopped(
      test->place != NULL ? test->place : pw_writer_word(w, "tests-no-place"));
  const char *key = on != NULL             ? "agreement-tested-on"
                    : test->result != NULL ? "agreement-tested"
                                           : "agreement-test";
  g_autofree char *says =
      pw_words_dup_phrase(w->words, key, "place", place, "date", on != NULL ? on : "", NULL);
  pw_prose_add_link(pw_list_item(list), says, "tests");
}

static void
ask_for_piece(const PwWriter *w, PwBlock *list, const PwPiece *piece)
{
  g_autofree char *what = pw_writer_dup_unstopped(piece->what);
  g_autofree char *says = pw_words_dup_phrase(w->words, "agreement-discard", "id", piece->id,
                                              "what", what != NULL ? what : "", NULL);
  pw_prose_add(pw_list_item(list), PW_VOICE_PLAIN, says);
}

/* Matter of the volume that was, or is to be, used up or thrown away without a word of the owner:
 * how much there is, and each put on the list, which may be NULL. */
static guint
ask_for_matter(const PwWriter *w, PwBlock *list)
{
  guint n = 0;
  for (gsize i = 0; i < w->volume->n_tests; i++) {
    const PwTest *test = &w->volume->tests[i];
    gboolean agreed = g_date_valid(&test->agreed) && pw_writer_is_by_then(w, &test->agreed);
    if (test->consumed != 1 || agreed || !pw_writer_is_by_then(w, &test->on))
      continue;
    n++;
    if (list != NULL)
      ask_for_test(w, list, test);
  }
  for (gsize i = 0; i < w->ledger->n_pieces; i++) {
    const PwModelPiece *piece = &w->ledger->pieces[i];
    if ((piece->lacks & PW_LACKS_CONSENT) == 0 ||
        pw_model_piece_known(w->model, piece->text, &w->day) == PW_KNOWN_LATER)
      continue;
    n++;
    if (list != NULL)
      ask_for_piece(w, list, piece->text);
  }
  return n;
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

static void
ask_for_all(PwWriter *w)
{
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-intro");
  PwBlock *list = pw_doc_list(w->doc, TRUE);
  ask(w, list, "agreement-treatment", "proposal");
  ask_for_estimate(w, list);
  ask_for_matter(w, list);
}

/* ---- Where an earlier version was agreed to ---------------------------------------- */

static void
tell_agreed(PwWriter *w, const PwAgreed *agreed)
{
  g_autofree char *date = pw_writer_dup_date(w, &agreed->word->on);
  g_autofree char *version = g_strdup_printf("%d", agreed->proposal->version);
  g_autofree char *issued = pw_writer_dup_date(w, &agreed->proposal->on);
  g_autofree char *says = pw_words_dup_phrase(w->words, "agreement-agreed", "date", date, "version",
                                              version, "issued", issued, NULL);
  PwProse *prose = pw_doc_paragraph(w->doc, PW_PARAGRAPH_BODY);
  pw_prose_add(prose, PW_VOICE_PLAIN, says);
  pw_writer_add_limits(w, prose, agreed->word);
}

/* FALSE: there is nothing to ask for. */
static gboolean
ask_for_rest(PwWriter *w, const PwAgreed *agreed)
{
  const gboolean changed = agreed->steps->len > 0 || agreed->others->len > 0;
  const gboolean open = ask_for_matter(w, NULL) > 0;
  pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN,
                changed ? "agreement-changes"
                : open  ? "agreement-still-open"
                        : "agreement-nothing-new");
  if (!changed && !open)
    return FALSE;
  PwBlock *list = pw_doc_list(w->doc, TRUE);
  pw_writer_list_changes(w, list, agreed->steps, "proposal");
  pw_writer_list_changes(w, list, agreed->others, "estimate");
  ask_for_matter(w, list);
  return TRUE;
}

/* ---- The part ---------------------------------------------------------------------- */

void
pw_part_agreement(PwWriter *w)
{
  const PwAgreed *agreed = w->agreed;
  pw_writer_heading(w, 1, "agreement");
  if (w->volume->n_proposal == 0) {
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_SOFT, "agreement-none");
    return;
  }
  gboolean asks = TRUE;
  if (agreed != NULL)
    tell_agreed(w, agreed);
  if (agreed != NULL && agreed->steps != NULL) {
    asks = ask_for_rest(w, agreed);
  } else {
    if (agreed != NULL)
      pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-unknown");
    ask_for_all(w);
  }
  if (asks)
    pw_writer_say(w, PW_PARAGRAPH_BODY, PW_VOICE_PLAIN, "agreement-strike");
  ask_for_showing(w);
  if (asks || pw_writer_asks_to_show(w))
    pw_writer_sign(w);
}
