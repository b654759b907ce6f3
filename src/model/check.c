/* Check: what is missing, wrong or changed since intake, beyond what reading the record complained
 * of. Each finding stands at its place in a text where there is one. */
#include "model-private.h"

#include <math.h>
#include <string.h>

typedef struct {
  const PwModel *model;
  const PwCheckOptions *options;
  PwComplaints *complaints;
} Check;

static void
find_in_folder(Check *check, const char *file, const char *kind, PwSeverity severity,
               const char *says)
{
  pw_complaints_add(check->complaints, file, 0, 0, kind, severity, NULL, "%s", says);
}

static void
find_in_volume(Check *check, const PwYamlNode *node, const char *kind, PwSeverity severity,
               const char *says)
{
  const PwYaml *yaml = check->model->volume->yaml;
  pw_yaml_complain(yaml, node ? node : pw_yaml_peek_root(yaml), check->complaints, kind, severity,
                   "%s", says);
}

static void
find_in_sidecar(Check *check, const PwModelPhoto *photo, const PwYamlNode *node, const char *kind,
                PwSeverity severity, const char *says)
{
  const PwYaml *yaml = photo->sidecar->yaml;
  pw_yaml_complain(yaml, node ? node : pw_yaml_peek_root(yaml), check->complaints, kind, severity,
                   "%s", says);
}

/* ---- Files ------------------------------------------------------------------------- */

static void
check_files(Check *check)
{
  const PwFolder *found = &check->model->found;
  for (guint i = 0; i < found->sidecars->len; i++) {
    const char *sidecar = found->sidecars->pdata[i];
    g_autofree char *photo = g_strndup(sidecar, strlen(sidecar) - strlen(PW_SIDECAR_ENDING));
    if (pw_model_find_photo(check->model, photo) == NULL)
      find_in_folder(check, sidecar, "no photograph", PW_SEVERITY_ERROR,
                     "the photograph of this sidecar is not here; put it back, or run `intake "
                     "--relink` if it was renamed");
  }
  for (guint i = 0; i < found->leftovers->len; i++)
    find_in_folder(check, found->leftovers->pdata[i], "leftover", PW_SEVERITY_WARNING,
                   "left behind by a write that was broken off; the file it was for is whole; "
                   "look at it, then delete it");
  for (guint i = 0; i < found->links->len; i++)
    find_in_folder(check, found->links->pdata[i], "link", PW_SEVERITY_WARNING,
                   "a link is not followed; put the file itself into the folder");
  g_autofree char *volume = g_build_filename(check->model->folder, PW_VOLUME_FILE, NULL);
  if (check->model->volume == NULL && !g_file_test(volume, G_FILE_TEST_EXISTS))
    find_in_folder(check, PW_VOLUME_FILE, "no volume", PW_SEVERITY_ERROR,
                   "there is none here; run `platewright intake`");
}

/* ---- Photographs ------------------------------------------------------------------- */

static void
check_unchanged(Check *check, PwModelPhoto *photo)
{
  if (!photo->readable || photo->sidecar->sha256 == NULL)
    return;
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwPhoto) file = pw_photo_open(photo->path, &cause);
  g_autofree char *now =
      file ? pw_cache_dup_sha256(check->model->folder, file, check->options->full, &cause) : NULL;
  if (now == NULL)
    find_in_folder(check, photo->file, "unreadable", PW_SEVERITY_ERROR, cause->message);
  else if (g_ascii_strcasecmp(now, photo->sidecar->sha256) != 0)
    find_in_folder(check, photo->file, "changed", PW_SEVERITY_ERROR,
                   "this is not the file that was taken in: its sha256 is another; put the "
                   "original back");
}

static void
check_stage(Check *check, const PwModelPhoto *photo)
{
  const PwVolume *volume = check->model->volume;
  GDate day;
  if (photo->stage == PW_STAGE_NONE || volume == NULL || !g_date_valid(&volume->treated_from) ||
      !pw_date_of_time(photo->taken, &day))
    return;
  gboolean early = g_date_compare(&day, &volume->treated_from) < 0;
  gboolean late =
      g_date_valid(&volume->treated_to) && g_date_compare(&day, &volume->treated_to) > 0;
  if ((photo->stage == PW_STAGE_BEFORE && late) || (photo->stage == PW_STAGE_AFTER && early) ||
      (photo->stage == PW_STAGE_DURING && (early || late)))
    find_in_sidecar(check, photo, NULL, "stage against date", PW_SEVERITY_WARNING,
                    "the stage does not fit the day on which it was taken and `treated:` in "
                    "volume.yaml; correct one of them, or the camera's clock-offset");
}

/* A size that may as well be half or twice as much tells a reader nothing. */
static void
check_surety(Check *check, const PwModelMark *mark)
{
  const PwSize *size = pw_model_mark_size(mark);
  if (size == NULL || mark->text->gone)
    return;
  PwQuantity quantity = pw_size_quantity(size);
  double U = quantity.u * pw_coverage_factor(quantity.dof);
  if (U < quantity.value / 2)
    return;
  g_autofree char *shown = pw_size_dup_text(size, mark->kind == PW_KIND_AREA ? "mm\u00b2" : "mm");
  g_autofree char *says =
      g_strdup_printf("its size, %s, is hardly known; `measure --budget` tells why", shown);
  find_in_sidecar(check, mark->photo, mark->text->node, "weak size", PW_SEVERITY_WARNING, says);
}

static gboolean
may_be_drawn_as(const PwTerm *term, PwKind kind)
{
  return kind == PW_KIND_AREA   ? term->as_area
         : kind == PW_KIND_LINE ? term->as_line
                                : term->as_point;
}

static void
check_term(Check *check, const PwModelMark *mark)
{
  const char *word = mark->text->term;
  if (word == NULL)
    return;
  if (strcmp(word, PW_TERM_UNDECIDED) == 0) {
    find_in_sidecar(check, mark->photo, mark->text->node, "undecided", PW_SEVERITY_WARNING,
                    "what this is has not been decided yet");
  } else if (mark->term == NULL) {
    const char *near = pw_terms_nearest(check->model->terms, word);
    g_autofree char *says =
        g_strdup_printf("the term \"%s\" is not known%s%s; terms.yaml in the volume folder may "
                        "add it",
                        word, near ? "; did you mean " : "", near ? near : "");
    find_in_sidecar(check, mark->photo, mark->text->node, "unknown term", PW_SEVERITY_ERROR, says);
  } else if (!mark->text->gone && !may_be_drawn_as(mark->term, mark->kind)) {
    g_autofree char *says = g_strdup_printf("\"%s\" is usually not drawn like this", word);
    find_in_sidecar(check, mark->photo, mark->text->node, "unusual drawing", PW_SEVERITY_WARNING,
                    says);
  }
}

static void
check_photo(Check *check, PwModelPhoto *photo)
{
  if (photo->sidecar == NULL) {
    if (!photo->taken_in)
      find_in_folder(check, photo->file, "no sidecar", PW_SEVERITY_ERROR,
                     "this photograph has no sidecar; run `platewright intake`");
    return;
  }
  check_unchanged(check, photo);
  check_stage(check, photo);
  for (gsize i = 0; i < photo->n_marks; i++) {
    check_term(check, &photo->marks[i]);
    check_surety(check, &photo->marks[i]);
  }
}

static void
check_pairs(Check *check)
{
  for (guint i = 0; i < check->model->plates->len; i++) {
    const PwModelPlate *plate = check->model->plates->pdata[i];
    if (plate->before != NULL && plate->after != NULL)
      pw_check_pair(check->model, plate->before, plate->after, check->options->full,
                    check->complaints);
  }
}

/* ---- The volume -------------------------------------------------------------------- */

/* Until they are, nobody knows what the printer did to the card. */
static void
check_cards(Check *check)
{
  const PwVolume *volume = check->model->volume;
  for (gsize i = 0; i < volume->n_cards; i++) {
    const PwCard *card = &volume->cards[i];
    gboolean along = !isnan(card->check_along), across = !isnan(card->check_across);
    if (along && across) {
      if (isnan(card->tolerance))
        find_in_volume(check, card->node, "card not measured", PW_SEVERITY_WARNING,
                       "how well its check lines were measured is not said, so that they count as "
                       "not measured; add a tolerance in mm");
      continue;
    }
    g_autofree char *says = g_strdup_printf(
        "the check %s of card %s %s not measured: lengths carry 0.5 %% of doubt for what the "
        "printer did; measure the 100 mm printed with it and say %s",
        along || across ? "line" : "lines", card->name, along || across ? "is" : "are",
        along    ? "check-across"
        : across ? "check-along"
                 : "check-along and check-across");
    find_in_volume(check, card->node, "card not measured", PW_SEVERITY_WARNING, says);
  }
}

static void
check_reference(Check *check, const PwYamlNode *node, const char *reference)
{
  const PwModel *model = check->model;
  gboolean known = strchr(reference, '#') ? pw_model_find_mark(model, reference) != NULL
                                          : pw_model_find_photo(model, reference) != NULL;
  if (known)
    return;
  g_autofree char *says = g_strdup_printf("no piece, photograph or mark is called %s", reference);
  find_in_volume(check, node, "dangling link", PW_SEVERITY_ERROR, says);
}

static gboolean
is_piece(const PwVolume *volume, const char *word)
{
  for (gsize i = 0; i < volume->n_pieces; i++)
    if (g_strcmp0(volume->pieces[i].id, word) == 0)
      return TRUE;
  return FALSE;
}

static void
check_references(Check *check)
{
  const PwVolume *volume = check->model->volume;
  for (gsize i = 0; i < volume->n_pieces; i++)
    if (volume->pieces[i].photo)
      check_reference(check, volume->pieces[i].node, volume->pieces[i].photo);
  for (gsize i = 0; i < volume->n_decisions; i++) {
    const PwDecision *decision = &volume->decisions[i];
    for (char **about = decision->about; about && *about; about++)
      if (!is_piece(volume, *about))
        check_reference(check, decision->node, *about);
  }
  for (gsize i = 0; i < volume->n_treatment; i++)
    for (char **photo = volume->treatment[i].photos; photo && *photo; photo++)
      check_reference(check, volume->treatment[i].node, *photo);
}

/* ---- What is agreed, done, accounted for: volume.yaml ------------------------------- */

/* What is lacking is told as each piece stands; `kind` and `says` by PwLacks. */
static void
check_piece(Check *check, const PwModelPiece *piece)
{
  static const struct {
    PwLacks lack;
    const char *kind, *says;
  } lacking[] = {
      {PW_LACKS_REASON, "no reason", "was discarded, and it is not told why: say `because:`"},
      {PW_LACKS_CONSENT, "no consent",
       "was discarded, and no consent to that is on record that held then: `agreed:` takes the "
       "date of one that was given"},
      {PW_LACKS_PLACE, "no place", "is housed, and it is not told where: say `kept:`"},
      {PW_LACKS_DATE, "no date", "has an outcome, and it is not told of which day: say `on:`"}};
  static const char undated[] =
      "was discarded on a day that is not told (say `on:`), and no consent to that is on record "
      "that holds: `agreed:` takes the date of one that was given";
  const PwPiece *text = piece->text;
  g_autofree char *what = g_strdup_printf("%s (%s)", text->id ? text->id : "a piece",
                                          text->what ? text->what : "not named");
  for (gsize i = 0; i < G_N_ELEMENTS(lacking); i++) {
    if ((piece->lacks & (guint)lacking[i].lack) == 0)
      continue;
    const gboolean then = lacking[i].lack != PW_LACKS_CONSENT || g_date_valid(&text->on);
    g_autofree char *says = g_strdup_printf("%s %s", what, then ? lacking[i].says : undated);
    find_in_volume(check, text->node, lacking[i].kind,
                   lacking[i].lack == PW_LACKS_DATE ? PW_SEVERITY_WARNING : PW_SEVERITY_ERROR,
                   says);
  }
}

static void
check_pieces(Check *check)
{
  const PwVolume *volume = check->model->volume;
  g_autoptr(PwModelLedger) ledger = pw_model_ledger_new(check->model, PW_FOR_STUDIO);
  for (gsize i = 0; i < ledger->n_pieces; i++)
    check_piece(check, &ledger->pieces[i]);
  if (ledger->n_open == 0 || !g_date_valid(&volume->returned))
    return;
  g_autofree char *says =
      g_strdup_printf("%u of %" G_GSIZE_FORMAT " pieces open: the record is not complete",
                      ledger->n_open, ledger->n_pieces);
  find_in_volume(check, pw_yaml_node_get(pw_yaml_peek_root(volume->yaml), "returned"),
                 "not complete", PW_SEVERITY_ERROR, says);
}

static void
check_issued(Check *check)
{
  static const char *const why[] = {
      [PW_ISSUED_WITHOUT] = "no consent to `" PW_CONSENT_TO_SHOW "` held when it left",
      [PW_ISSUED_WITHDRAWN] = "the consent that it left under was withdrawn since",
      [PW_ISSUED_NARROWED] = "the consent that it left under excepts more since",
      [PW_ISSUED_EXPIRED] = "the consent that it left under has run out since",
      [PW_ISSUED_REPLACED] = NULL};
  for (gsize i = 0; i < pw_model_n_issued(check->model); i++) {
    const PwModelIssued issued = pw_model_issued(check->model, i);
    if (why[issued.standing] == NULL)
      continue;
    g_autofree char *says = g_strdup_printf(
        "%s, version %d, went to %s: %s; ask for it back, and put on record what came of that",
        issued.text->document ? issued.text->document : "a document", issued.text->version,
        issued.text->to ? issued.text->to : "nobody named", why[issued.standing]);
    find_in_volume(check, issued.text->node, "issued without consent", PW_SEVERITY_WARNING, says);
  }
}

static void
check_treatment(Check *check)
{
  const PwVolume *volume = check->model->volume;
  for (gsize i = 0; i < volume->n_treatment; i++) {
    const PwTreatment *step = &volume->treatment[i];
    switch (pw_model_step_agreed(check->model, step)) {
    case PW_STEP_AGREED:
      break;
    case PW_STEP_NOT_AGREED:
      find_in_volume(check, step->node, "no consent", PW_SEVERITY_ERROR,
                     g_date_valid(&step->on)
                         ? "treated, and no consent to treatment that held on that day is on record"
                         : "treated on a day that is not told (say `on:`), and by the last word on "
                           "record no consent to treatment holds");
      break;
    case PW_STEP_EXCEPTED:
      find_in_volume(check, step->node, "excepted part", PW_SEVERITY_ERROR,
                     "treated, and the consent to treatment excepts this part; put on record what "
                     "was agreed since");
      break;
    }
  }
}

/* What a later reader would ask after, and find nothing. */
static void
check_answers(Check *check)
{
  const PwVolume *volume = check->model->volume;
  for (gsize i = 0; i < volume->n_decisions; i++)
    if (volume->decisions[i].chosen == NULL)
      find_in_volume(check, volume->decisions[i].node, "nothing chosen", PW_SEVERITY_WARNING,
                     "what was decided is not told: say `chosen:`");
  for (gsize i = 0; i < volume->n_treatment; i++) {
    const PwTreatment *step = &volume->treatment[i];
    if (g_date_valid(&step->on) && g_date_valid(&volume->returned) &&
        g_date_compare(&step->on, &volume->returned) > 0)
      find_in_volume(check, step->node, "after return", PW_SEVERITY_WARNING,
                     "treated after the volume had gone back; correct `on:`, or `returned:`");
  }
  for (gsize i = 0; i < volume->n_tests; i++) {
    const PwTest *test = &volume->tests[i];
    const gboolean agreed = g_date_valid(&test->agreed);
    if (test->consumed == 1 &&
        (!agreed || (g_date_valid(&test->on) && g_date_compare(&test->agreed, &test->on) > 0)))
      find_in_volume(check, test->node, "no consent", PW_SEVERITY_WARNING,
                     agreed ? "it used up material before that was agreed"
                            : "it used up material, and it is not told when that was agreed: say "
                              "`agreed:`");
  }
}

/* ---- What is owed ------------------------------------------------------------------ */

/* The first mark without a size, where such marks are told of. */
static const PwYamlNode *
first_unsized(const PwModelPhoto *photo)
{
  for (gsize i = 0; i < photo->n_marks; i++)
    if (photo->marks[i].why != NULL)
      return photo->marks[i].text->node;
  return NULL;
}

/* What is owed is told here with how it is written; marks that are undecided one by one. */
static void
check_owed(Check *check, const PwOwed *owed)
{
  switch (owed->what) {
  case PW_OWED_PHOTOGRAPH:
    find_in_volume(check, pw_yaml_node_get(pw_yaml_peek_root(check->model->volume->yaml), "views"),
                   "view missing", PW_SEVERITY_WARNING, owed->says);
    return;
  case PW_OWED_STAGE:
    find_in_sidecar(check, owed->photo, NULL, "no stage", PW_SEVERITY_ERROR,
                    "say `stage: before`, `during` or `after` treatment");
    return;
  case PW_OWED_VIEW:
    find_in_sidecar(check, owed->photo, NULL, "no view", PW_SEVERITY_WARNING,
                    "say what it shows: `view: front board`");
    return;
  case PW_OWED_LOOKING_THROUGH:
    find_in_sidecar(check, owed->photo, NULL, "not looked through", PW_SEVERITY_WARNING,
                    "nobody has looked it through for names and faces; public outputs leave it "
                    "out until `privacy-checked:` has a date");
    return;
  case PW_OWED_SCALE:
  case PW_OWED_SIZE:
    find_in_sidecar(check, owed->photo, first_unsized(owed->photo), "no size", PW_SEVERITY_WARNING,
                    owed->says);
    return;
  case PW_OWED_PIECE:
    find_in_volume(check, owed->piece->node, "piece open", PW_SEVERITY_ERROR, owed->says);
    return;
  default: /* complained of where the record was read, mark by mark, or no fault of the record */
    return;
  }
}

void
pw_check(const PwModel *model, const PwCheckOptions *options, PwComplaints *complaints)
{
  Check check = {model, options, complaints};
  check_files(&check);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    if (model->only == NULL || strcmp(model->only, photo->file) == 0)
      check_photo(&check, photo);
    pw_progress_step(options->progress, "checking", i + 1, model->photos->len);
  }
  check_pairs(&check);
  for (guint i = 0; i < model->owed->len; i++) {
    const PwOwed *owed = pw_model_peek_owed(model, i);
    if (model->only == NULL || (owed->photo && strcmp(model->only, owed->photo->file) == 0))
      check_owed(&check, owed);
  }
  if (model->volume == NULL || model->only != NULL)
    return;
  check_cards(&check);
  check_pieces(&check);
  check_treatment(&check);
  check_issued(&check);
  pw_check_issued_files(model, complaints);
  pw_check_words(model, complaints);
  check_references(&check);
  check_answers(&check);
}
