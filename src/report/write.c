/* One table says which parts stand in which document; the documents of one volume hold the same
 * parts in the same words. */
#include "write.h"

#include <math.h>

#include "agreed.h"
#include "parts.h"

/* ---- Which parts stand where ------------------------------------------------------- */

enum {
  RECEIPT = 1 << PW_REPORT_RECEIPT,
  CONDITION = 1 << PW_REPORT_CONDITION,
  PROPOSAL = 1 << PW_REPORT_PROPOSAL,
  TREATMENT = 1 << PW_REPORT_TREATMENT,
  SUMMARY = 1 << PW_REPORT_SUMMARY,
  EXAMINED = CONDITION | PROPOSAL | TREATMENT,
  ALL = RECEIPT | EXAMINED | SUMMARY
};
enum { KNOWN = 1 << PW_FOR_STUDIO | 1 << PW_FOR_OWNER, ANYONE = KNOWN | 1 << PW_FOR_PUBLIC };

static const struct {
  void (*write)(PwWriter *w);
  guint kinds, audiences;
} parts[] = {
    {pw_part_lead, ALL, ANYONE},
    {pw_part_amendment, ALL, ANYONE},
    {pw_part_in_short, PROPOSAL, ANYONE},
    {pw_part_identity, ALL, ANYONE},
    {pw_part_course, RECEIPT | EXAMINED, ANYONE},
    {pw_part_received, RECEIPT, ANYONE},
    {pw_part_summary, SUMMARY, ANYONE},
    {pw_part_condition, EXAMINED, ANYONE},
    {pw_part_charts, EXAMINED, ANYONE},
    {pw_part_observations, EXAMINED, ANYONE},
    {pw_part_measurements, EXAMINED, ANYONE},
    {pw_part_tests, EXAMINED, ANYONE},
    {pw_part_proposal, PROPOSAL | TREATMENT, ANYONE},
    {pw_part_estimate, PROPOSAL | TREATMENT, KNOWN},
    {pw_part_consents, PROPOSAL | TREATMENT, KNOWN},
    {pw_part_agreement, PROPOSAL, KNOWN},
    {pw_part_treatment, TREATMENT, ANYONE},
    {pw_part_differs, TREATMENT, ANYONE},
    {pw_part_matter, TREATMENT, ANYONE},
    {pw_part_decisions, TREATMENT, ANYONE},
    {pw_part_changes, TREATMENT, ANYONE},
    {pw_part_ledger, TREATMENT, ANYONE},
    {pw_part_care, EXAMINED, ANYONE},
    {pw_part_photographs, CONDITION | TREATMENT, ANYONE},
    {pw_part_how_sizes, EXAMINED, ANYONE},
    {pw_part_issued, TREATMENT, KNOWN},
    {pw_part_studio_notes, EXAMINED, 1 << PW_FOR_STUDIO},
    {pw_part_handed_back, RECEIPT, ANYONE},
    {pw_part_left_out, ALL, ANYONE},
    {pw_part_plates, EXAMINED, ANYONE},
};

/* What the record owes by the time of a document. */
static guint
due_by(PwReportKind kind)
{
  static const guint due[] = {
      [PW_REPORT_RECEIPT] = PW_DUE_RECEIVED,
      [PW_REPORT_CONDITION] = PW_DUE_RECEIVED | PW_DUE_EXAMINED,
      [PW_REPORT_PROPOSAL] = PW_DUE_RECEIVED | PW_DUE_EXAMINED | PW_DUE_PROPOSED,
      [PW_REPORT_TREATMENT] = PW_DUE_RECEIVED | PW_DUE_EXAMINED | PW_DUE_PROPOSED | PW_DUE_TREATED,
      [PW_REPORT_SUMMARY] = PW_DUE_RECEIVED | PW_DUE_EXAMINED,
  };
  return due[kind];
}

/* ---- Plates ------------------------------------------------------------------------ */

/* `whole` is cleared where it is not. */
static PwModelPhoto *
kept(const PwWriter *w, PwModelPhoto *photo, gboolean *whole)
{
  if (photo == NULL)
    return NULL;
  if (photo->readable && pw_writer_is_of_kind(w, photo) && pw_writer_shows(w, photo))
    return photo;
  *whole = FALSE;
  return NULL;
}

static PwModelPhoto *
first_of(const PwModelPlate *plate)
{
  return plate->before   ? plate->before
         : plate->during ? plate->during
         : plate->after  ? plate->after
                         : plate->detail;
}

/* A title goes with the photographs that it was given to; one that nobody gave may be a file's
 * name, which the public does not see. Of what is left of a plate it is said afresh. */
static char *
dup_title(const PwWriter *w, const PwModelPlate *plate, const PwModelPlate *from, gboolean whole)
{
  const gboolean is_public = pw_writer_is_public(w);
  PwModelPlate rest = *plate;
  rest.is_named = from->is_named && whole &&
                  (!is_public || pw_model_words_shown(w->model, from->title, w->audience));
  if (rest.is_named || !is_public)
    return pw_model_plate_dup_title(&rest, w->words);
  char *title = pw_model_plate_dup_view(&rest, first_of(&rest), w->words);
  return title != NULL ? title : g_strdup(pw_writer_peek_stage(w, first_of(&rest)->stage));
}

static void
plan_plate(PwWriter *w, const PwModelPlate *from)
{
  gboolean whole = TRUE;
  PwModelPlate plate = *from;
  if (from->detail_mark != NULL && !pw_model_mark_shown(w->model, from->detail_mark, w->audience))
    return;
  plate.before = kept(w, from->before, &whole);
  plate.during = kept(w, from->during, &whole);
  plate.after = kept(w, from->after, &whole);
  plate.detail = kept(w, from->detail, &whole);
  if (first_of(&plate) == NULL)
    return;
  plate.title = dup_title(w, &plate, from, whole);
  plate.is_named = TRUE;
  g_array_append_val(w->plates, plate);
}

static void
clear_plate(gpointer data)
{
  g_free(((PwModelPlate *)data)->title);
}

static void
plan_plates(PwWriter *w)
{
  gboolean has_plates = w->kind != PW_REPORT_RECEIPT && w->kind != PW_REPORT_SUMMARY;
  for (gsize i = 0; has_plates && i < pw_model_n_plates(w->model); i++)
    plan_plate(w, pw_model_peek_plate(w->model, i));
}

/* ---- The document ------------------------------------------------------------------ */

static const char *
subject_of(const PwWriter *w)
{
  const char *id = pw_model_peek_id(w->model), *title = w->volume->title;
  if (title != NULL && pw_model_words_shown(w->model, title, w->audience))
    return title;
  return pw_model_words_shown(w->model, id, w->audience) ? id : pw_writer_word(w, "subject-none");
}

/* What a document of this kind would not show to anybody is not left out of it. */
static guint
count_left_out(const PwWriter *w)
{
  guint n = 0;
  for (gsize i = 0; i < pw_model_n_photos(w->model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(w->model, i);
    n += pw_writer_is_of_kind(w, photo) && !pw_model_photo_shown(w->model, photo, w->audience) ? 1
                                                                                               : 0;
  }
  return n;
}

/* Id and document; of an issued one the version too. */
static char *
dup_foot(const PwWriter *w, const char *title)
{
  const char *id = pw_model_peek_id(w->model);
  g_autofree char *foot = pw_model_words_shown(w->model, id, w->audience)
                              ? g_strdup_printf("%s \u00b7 %s", id, title)
                              : g_strdup(title);
  if (w->amendment == NULL)
    return g_steal_pointer(&foot);
  g_autofree char *version = g_strdup_printf("%d", w->amendment->version);
  return pw_words_dup_phrase(w->words, "foot-version", "foot", foot, "version", version, NULL);
}

/* The day it was issued, else that of what it tells; an invalid one where the record does not say.
 */
static GDate
day_of(const PwWriter *w)
{
  static const PwModelDay days[] = {
      [PW_REPORT_RECEIPT] = PW_DAY_RECEIVED,  [PW_REPORT_CONDITION] = PW_DAY_EXAMINED,
      [PW_REPORT_PROPOSAL] = PW_DAY_PROPOSED, [PW_REPORT_TREATMENT] = PW_DAY_LAST,
      [PW_REPORT_SUMMARY] = PW_DAY_LAST,
  };
  GDate day;
  if (w->amendment != NULL)
    return w->amendment->on;
  pw_model_day(w->model, days[w->kind], &day);
  return day;
}

static char *
dup_day(const GDate *day)
{
  char text[sizeof "2026-03-02"];
  if (!g_date_valid(day))
    return NULL;
  g_date_strftime(text, sizeof text, "%Y-%m-%d", day);
  return g_strdup(text);
}

static PwDoc *
begin_doc(const PwWriter *w)
{
  g_autofree char *key = g_strconcat("title-", pw_report_name(w->kind), NULL);
  PwDoc *doc = pw_doc_new(pw_writer_word(w, key), pw_words_peek_language(w->words), w->audience);
  doc->subject = g_strdup(subject_of(w));
  doc->foot = dup_foot(w, doc->title);
  doc->author = pw_writer_is_public(w) ? NULL : g_strdup(w->volume->studio_name);
  doc->date = dup_day(&w->day);
  doc->n_left_out = count_left_out(w);
  return doc;
}

static gboolean
check_only(const PwModel *model, const char *const *only, GError **error)
{
  for (; only != NULL && *only != NULL; only++)
    if (pw_model_find_photo(model, *only) == NULL) {
      g_set_error(error, PW_ERROR, PW_ERROR_USE,
                  "there is no photograph %s; write its path in the volume folder", *only);
      return FALSE;
    }
  return TRUE;
}

static void
write_parts(PwWriter *w)
{
  plan_plates(w);
  w->day = day_of(w);
  g_autoptr(PwAgreed) agreed = pw_agreed_new(w);
  w->agreed = agreed;
  w->doc = begin_doc(w);
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
    if ((parts[i].kinds & 1u << w->kind) != 0 && (parts[i].audiences & 1u << w->audience) != 0)
      parts[i].write(w);
}

PwDoc *
pw_report_write_version(const PwModel *model, const PwReportOptions *options,
                        const PwAmendment *amendment, GError **error)
{
  static const PwVolume none = {.size_mm = {(double)NAN, (double)NAN, (double)NAN},
                                .mass_kg = (double)NAN};
  const PwVolume *volume = pw_model_peek_volume(model);
  if (!pw_model_may_show(model, options->audience, error) ||
      !check_only(model, options->only, error))
    return NULL;
  g_autoptr(PwModelSummary) summary = pw_model_summary_new(model, options->audience);
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(model, options->audience);
  g_autofree const char **owed = pw_model_dup_unrecorded(model, due_by(options->kind));
  g_autoptr(GHashTable) explained = g_hash_table_new(NULL, NULL);
  g_autoptr(GHashTable) kept_back = g_hash_table_new(NULL, NULL);
  g_autoptr(GArray) plates = g_array_new(FALSE, FALSE, sizeof(PwModelPlate));
  g_array_set_clear_func(plates, clear_plate);
  PwWriter w = {.model = model,
                .volume = volume != NULL ? volume : &none,
                .words = options->words,
                .audience = options->audience,
                .kind = options->kind,
                .options = options,
                .only = options->only,
                .amendment = amendment,
                .summary = summary,
                .ledger = ledger,
                .plates = plates,
                .owed = owed,
                .explained = explained,
                .kept_back = kept_back};
  write_parts(&w);
  return w.doc;
}

PwDoc *
pw_report_write(const PwModel *model, const PwReportOptions *options, GError **error)
{
  return pw_report_write_version(model, options, NULL, error);
}
