/* Of which day a document is, by the record alone. One that speaks of the volume as it came is of a
 * day before the work, whatever the record says of later ones. */
#include "model-private.h"

typedef struct {
  const GDate *up_to; /* days after it do not count; an invalid one or NULL: all do */
  GDate *day;
} Latest;

static void
keep_later(const Latest *latest, const GDate *date)
{
  gboolean late = latest->up_to != NULL && g_date_valid(latest->up_to) && g_date_valid(date) &&
                  g_date_compare(date, latest->up_to) > 0;
  if (g_date_valid(date) && !late &&
      (!g_date_valid(latest->day) || g_date_compare(date, latest->day) > 0))
    *latest->day = *date;
}

static void
keep_earlier(GDate *earliest, const GDate *date)
{
  if (g_date_valid(date) && (!g_date_valid(earliest) || g_date_compare(date, earliest) < 0))
    *earliest = *date;
}

/* ---- When the volume was no longer as it came -------------------------------------- */

static GDate
work_began(const PwVolume *volume)
{
  GDate day = {0};
  keep_earlier(&day, &volume->treated_from);
  keep_earlier(&day, &volume->treated_to);
  keep_earlier(&day, &volume->returned);
  for (gsize i = 0; i < volume->n_treatment; i++)
    keep_earlier(&day, &volume->treatment[i].on);
  return day;
}

/* Of the words on treatment the first that answers, or the last that asks. */
static GDate
word_on_treatment(const PwVolume *volume, gboolean asks)
{
  GDate day = {0};
  const Latest latest = {NULL, &day};
  for (gsize i = 0; i < volume->n_consents; i++) {
    const PwConsent *word = &volume->consents[i];
    if (g_strcmp0(word->to, PW_CONSENT_TO_TREATMENT) != 0 || (word->is == PW_CONSENT_ASKED) != asks)
      continue;
    if (asks)
      keep_later(&latest, &word->on);
    else
      keep_earlier(&day, &word->on);
  }
  return day;
}

/* ---- Days of what the record tells ------------------------------------------------- */

static void
keep_examination(const PwModel *model, const Latest *latest)
{
  const PwVolume *volume = model->volume;
  keep_later(latest, &volume->received);
  keep_later(latest, &volume->examined);
  for (gsize i = 0; i < volume->n_observations; i++)
    keep_later(latest, &volume->observations[i].on);
  for (gsize i = 0; i < volume->n_tests; i++)
    keep_later(latest, &volume->tests[i].on);
}

static void
keep_work(const PwVolume *volume, const Latest *latest)
{
  keep_later(latest, &volume->treated_to);
  keep_later(latest, &volume->returned);
  for (gsize i = 0; i < volume->n_treatment; i++)
    keep_later(latest, &volume->treatment[i].on);
  for (gsize i = 0; i < volume->n_pieces; i++)
    keep_later(latest, &volume->pieces[i].on);
  for (gsize i = 0; i < volume->n_decisions; i++)
    keep_later(latest, &volume->decisions[i].on);
  for (gsize i = 0; i < volume->n_consents; i++)
    keep_later(latest, &volume->consents[i].on);
}

static void
keep_photographs(const PwModel *model, gboolean as_it_came, const Latest *latest)
{
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    gboolean later = photo->stage == PW_STAGE_DURING || photo->stage == PW_STAGE_AFTER;
    GDate day;
    if (!(as_it_came && later) && pw_date_of_time(photo->taken, &day))
      keep_later(latest, &day);
  }
}

static void
find_last(const PwModel *model, GDate *day)
{
  const Latest latest = {NULL, day};
  keep_photographs(model, FALSE, &latest);
  if (model->volume == NULL)
    return;
  keep_examination(model, &latest);
  keep_work(model->volume, &latest);
}

static void
find_examined(const PwModel *model, gboolean unanswered, GDate *day)
{
  GDate up_to = work_began(model->volume);
  if (unanswered) {
    GDate answered = word_on_treatment(model->volume, FALSE);
    keep_earlier(&up_to, &answered);
  }
  const Latest latest = {&up_to, day};
  keep_examination(model, &latest);
  keep_photographs(model, TRUE, &latest);
}

/* ---- What callers ask -------------------------------------------------------------- */

gboolean
pw_model_day(const PwModel *model, PwModelDay which, GDate *day)
{
  g_date_clear(day, 1);
  const PwVolume *volume = model->volume;
  if (volume == NULL)
    which = PW_DAY_LAST;
  if (which == PW_DAY_LAST)
    find_last(model, day);
  else if (which == PW_DAY_RECEIVED)
    *day = volume->received;
  else if (which == PW_DAY_PROPOSED)
    *day = word_on_treatment(volume, TRUE);
  if (which == PW_DAY_EXAMINED || (which == PW_DAY_PROPOSED && !g_date_valid(day)))
    find_examined(model, which == PW_DAY_PROPOSED, day);
  return g_date_valid(day);
}

char *
pw_model_dup_date(const PwModel *model)
{
  GDate last;
  char text[sizeof "2026-03-02"];
  if (!pw_model_day(model, PW_DAY_LAST, &last))
    return g_strdup("1970-01-01");
  g_date_strftime(text, sizeof text, "%Y-%m-%d", &last);
  return g_strdup(text);
}

static const PwModelPhoto *
photo_of(const PwModel *model, const PwPiece *piece)
{
  const PwModelMark *mark = piece->photo ? pw_model_find_mark(model, piece->photo) : NULL;
  return mark ? mark->photo : piece->photo ? pw_model_find_photo(model, piece->photo) : NULL;
}

/* A photograph before treatment that is later than the day may show what was there already. */
PwKnown
pw_model_piece_known(const PwModel *model, const PwPiece *piece, const GDate *day)
{
  const PwModelPhoto *photo = photo_of(model, piece);
  GDate taken, last;
  if (!g_date_valid(day))
    return PW_KNOWN_NOT_TOLD;
  if ((photo && pw_date_of_time(photo->taken, &taken) && g_date_compare(&taken, day) <= 0) ||
      (g_date_valid(&piece->on) && g_date_compare(&piece->on, day) <= 0) ||
      (pw_model_day(model, PW_DAY_LAST, &last) && g_date_compare(&last, day) <= 0))
    return PW_KNOWN_BY_THEN;
  return photo && (photo->stage == PW_STAGE_DURING || photo->stage == PW_STAGE_AFTER)
             ? PW_KNOWN_LATER
             : PW_KNOWN_NOT_TOLD;
}
