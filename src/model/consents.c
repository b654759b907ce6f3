/* The log of consents: what the last word on a thing is, whether it still holds, what was done and
 * what left the studio under it. The clock decides expiry alone. */
#include "model-private.h"

#include <string.h>

const char *
pw_standing_name(PwStanding standing)
{
  static const char *const names[] = {"never-asked", "asked",     "given",
                                      "limited",     "withdrawn", "expired"};
  return names[standing];
}

const char *
pw_issued_standing_name(PwIssuedStanding standing)
{
  static const char *const names[] = {"stands",   "without", "withdrawn",
                                      "narrowed", "expired", "replaced"};
  return names[standing];
}

/* ---- The log ----------------------------------------------------------------------- */

/* A word without a date counts as said when it stands in the log. */
static gboolean
is_after(const GDate *day, const GDate *other)
{
  return g_date_valid(day) && g_date_valid(other) && g_date_compare(day, other) > 0;
}

/* Which words of the log are asked for. */
typedef struct {
  const char *to;
  const GDate *up_to;    /* said on that day or earlier; NULL: at any time */
  gboolean only_answers; /* no question is one */
} Wanted;

static gboolean
is_wanted(const Wanted *wanted, const PwConsent *word)
{
  return g_strcmp0(word->to, wanted->to) == 0 &&
         !(wanted->up_to && is_after(&word->on, wanted->up_to)) &&
         !(wanted->only_answers && word->is == PW_CONSENT_ASKED);
}

static gboolean
is_no_earlier(const PwConsent *word, const PwConsent *than)
{
  return than == NULL || !is_after(&than->on, &word->on);
}

/* The last word and, in `before`, the last but one. */
static const PwConsent *
last_words(const PwVolume *volume, const Wanted *wanted, const PwConsent **before)
{
  const PwConsent *last = NULL;
  *before = NULL;
  for (gsize i = 0; volume && i < volume->n_consents; i++) {
    const PwConsent *word = &volume->consents[i];
    if (!is_wanted(wanted, word))
      continue;
    if (is_no_earlier(word, last)) {
      *before = last;
      last = word;
    } else if (is_no_earlier(word, *before)) {
      *before = word;
    }
  }
  return last;
}

static const PwConsent *
last_word(const PwVolume *volume, const char *to, const GDate *up_to, gboolean only_answers)
{
  const PwConsent *before;
  const Wanted wanted = {to, up_to, only_answers};
  return last_words(volume, &wanted, &before);
}

const PwConsent *
pw_consent_last_answer(const PwVolume *volume, const char *to, const GDate *up_to)
{
  return last_word(volume, to, up_to, TRUE);
}

/* Whether it had run out on that day; NULL: today. */
static gboolean
has_expired(const PwConsent *consent, const GDate *on)
{
  if (!g_date_valid(&consent->until))
    return FALSE;
  GDate day;
  if (on != NULL && g_date_valid(on))
    day = *on;
  else
    pw_date_set_today(&day);
  return g_date_compare(&day, &consent->until) > 0;
}

PwStanding
pw_consent_standing(const PwConsent *consent, const GDate *on)
{
  if (consent == NULL)
    return PW_STANDING_NEVER_ASKED;
  if (consent->is == PW_CONSENT_ASKED)
    return PW_STANDING_ASKED;
  if (consent->is == PW_CONSENT_WITHDRAWN)
    return PW_STANDING_WITHDRAWN;
  if (has_expired(consent, on))
    return PW_STANDING_EXPIRED;
  const gboolean excepts = consent->except != NULL && consent->except[0] != NULL;
  return consent->is == PW_CONSENT_LIMITED || excepts ? PW_STANDING_LIMITED : PW_STANDING_GIVEN;
}

gboolean
pw_standing_holds(PwStanding standing)
{
  return standing == PW_STANDING_GIVEN || standing == PW_STANDING_LIMITED;
}

gboolean
pw_consent_excepts(const PwConsent *consent, const char *word)
{
  for (char **except = consent ? consent->except : NULL; word && except && *except; except++)
    if (pw_mean_the_same(*except, word))
      return TRUE;
  return FALSE;
}

static PwModelConsent
consent_of(const PwModel *model, const Wanted *wanted)
{
  PwModelConsent consent = {.to = wanted->to};
  consent.word = last_words(model->volume, wanted, &consent.before);
  consent.standing = pw_consent_standing(consent.word, wanted->up_to);
  return consent;
}

PwModelConsent
pw_model_consent_by(const PwModel *model, const char *to, const GDate *day)
{
  const Wanted wanted = {.to = to, .up_to = day};
  return consent_of(model, &wanted);
}

PwModelConsent
pw_model_answer_by(const PwModel *model, const char *to, const GDate *day)
{
  const Wanted wanted = {.to = to, .up_to = day, .only_answers = TRUE};
  return consent_of(model, &wanted);
}

PwModelConsent
pw_model_consent_to(const PwModel *model, const char *to)
{
  return pw_model_consent_by(model, to, NULL);
}

/* ---- What the log is about --------------------------------------------------------- */

static void
add_subject(GPtrArray *subjects, char *to)
{
  if (!g_ptr_array_find_with_equal_func(subjects, to, g_str_equal, NULL))
    g_ptr_array_add(subjects, to);
}

void
pw_model_resolve_consents(PwModel *model)
{
  static char treatment[] = PW_CONSENT_TO_TREATMENT, show[] = PW_CONSENT_TO_SHOW;
  add_subject(model->subjects, treatment);
  add_subject(model->subjects, show);
  for (gsize i = 0; model->volume && i < model->volume->n_consents; i++)
    if (model->volume->consents[i].to != NULL)
      add_subject(model->subjects, model->volume->consents[i].to);
}

gsize
pw_model_n_consents(const PwModel *model)
{
  return model->subjects->len;
}

PwModelConsent
pw_model_consent(const PwModel *model, gsize i)
{
  return pw_model_consent_to(model, model->subjects->pdata[i]);
}

/* ---- What was done under it -------------------------------------------------------- */

PwStepAgreed
pw_model_step_agreed(const PwModel *model, const PwTreatment *step)
{
  const PwConsent *word = last_word(model->volume, PW_CONSENT_TO_TREATMENT, &step->on, FALSE);
  /* a step without a day cannot be held against the day on which a consent ran out */
  const GDate *day = g_date_valid(&step->on) ? &step->on : word ? &word->on : NULL;
  if (!pw_standing_holds(pw_consent_standing(word, day)))
    return PW_STEP_NOT_AGREED;
  return pw_consent_excepts(word, step->part) ? PW_STEP_EXCEPTED : PW_STEP_AGREED;
}

/* ---- What left the studio under it ------------------------------------------------- */

/* Whether `now` excepts what `then` did not. */
static gboolean
excepts_more(const PwConsent *now, const PwConsent *then)
{
  for (char **word = now->except; word && *word; word++)
    if (!pw_consent_excepts(then, *word))
      return TRUE;
  return FALSE;
}

static gboolean
is_asked_for(const PwIssued *issued)
{
  return !pw_mean_the_same(issued->to, pw_audience_name(PW_FOR_OWNER)) &&
         !pw_mean_the_same(issued->to, pw_audience_name(PW_FOR_STUDIO));
}

gsize
pw_model_n_issued(const PwModel *model)
{
  return model->volume ? model->volume->n_issued : 0;
}

/* By a later version for the same reader. */
static gboolean
is_replaced(const PwVolume *volume, const PwIssued *issued)
{
  for (gsize i = 0; i < volume->n_issued; i++) {
    const PwIssued *other = &volume->issued[i];
    if (g_strcmp0(other->document, issued->document) == 0 &&
        g_strcmp0(other->to, issued->to) == 0 && other->version > issued->version)
      return TRUE;
  }
  return FALSE;
}

/* As far as consent goes. */
static PwModelIssued
issued_under(const PwModel *model, gsize i)
{
  PwModelIssued issued = {.text = &model->volume->issued[i]};
  if (!is_asked_for(issued.text))
    return issued;
  const GDate *on = &issued.text->on;
  const PwConsent *then = last_word(model->volume, PW_CONSENT_TO_SHOW, on, FALSE);
  const PwConsent *now = pw_consent_last_answer(model->volume, PW_CONSENT_TO_SHOW, NULL);
  const PwStanding standing = pw_consent_standing(now, NULL);
  if (!pw_standing_holds(pw_consent_standing(then, on))) {
    issued.standing = PW_ISSUED_WITHOUT;
    return issued;
  }
  issued.under = then;
  issued.since = now != then ? now : NULL;
  if (standing == PW_STANDING_EXPIRED)
    issued.standing = PW_ISSUED_EXPIRED;
  else if (standing == PW_STANDING_WITHDRAWN)
    issued.standing = PW_ISSUED_WITHDRAWN;
  else if (excepts_more(now, then))
    issued.standing = PW_ISSUED_NARROWED;
  return issued;
}

PwModelIssued
pw_model_issued(const PwModel *model, gsize i)
{
  PwModelIssued issued = issued_under(model, i);
  if (issued.standing == PW_ISSUED_STANDS && is_replaced(model->volume, issued.text))
    issued.standing = PW_ISSUED_REPLACED;
  return issued;
}
