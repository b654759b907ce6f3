/* Care: the conservator's own advice first, then what the rules of styles/care.yaml propose from
 * the record with the reason found in it, then the cautions of the terms that were found. */
#include "model-private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What a source says of itself where nobody has read one. */
#define NOT_SEEN "from memory"

const char *
pw_reason_name(PwReasonKind kind)
{
  static const char *const names[] = {"term",    "term-alone", "height", "thickness",
                                      "binding", "date",       "piece"};
  return names[kind];
}

typedef struct {
  const PwModel *model;
  PwAudience audience;
  gboolean as_it_came; /* photographs during and after treatment tell nothing */
  const GDate *day;    /* what is known to be later tells nothing; NULL: there is no later */
  GArray *reasons;     /* PwReason, of the rule under way */
} Asking;

static void
give_reason(Asking *asking, PwReasonKind kind, const char *what, char *value)
{
  for (guint i = 0; i < asking->reasons->len; i++) {
    const PwReason *other = &g_array_index(asking->reasons, PwReason, i);
    if (other->kind == kind && g_strcmp0(other->what, what) == 0 &&
        g_strcmp0(other->value, value) == 0) {
      g_free(value);
      return;
    }
  }
  const PwReason reason = {kind, g_strdup(what), value};
  g_array_append_val(asking->reasons, reason);
}

/* ---- Terms ------------------------------------------------------------------------- */

/* Where a term was found: parts, as often as they come. */
typedef struct {
  gboolean found;
  GPtrArray *parts;
} Finding;

static void
find_on(Finding *finding, char *part)
{
  finding->found = TRUE;
  if (part && !g_ptr_array_find_with_equal_func(finding->parts, part, g_str_equal, NULL))
    g_ptr_array_add(finding->parts, part);
}

static gboolean
is_term(const PwModel *model, const char *word, const char *name)
{
  const PwTerm *term = word ? pw_terms_find(model->terms, word) : NULL;
  return term != NULL && strcmp(term->name, name) == 0;
}

static gboolean
is_too_late(const Asking *asking, const PwModelPhoto *photo)
{
  return asking->as_it_came && (photo->stage == PW_STAGE_DURING || photo->stage == PW_STAGE_AFTER);
}

static gboolean
is_later(const Asking *asking, const GDate *on)
{
  return asking->day && g_date_valid(asking->day) && g_date_valid(on) &&
         g_date_compare(on, asking->day) > 0;
}

static gboolean
is_told(const PwModel *model, const PwModelMark *mark, PwAudience audience)
{
  return pw_model_mark_shown(model, mark, audience) &&
         pw_model_photo_shown(model, mark->photo, audience);
}

gboolean
pw_model_mark_is_made_good(const PwModel *model, const PwModelMark *mark, PwAudience audience)
{
  gboolean gone = FALSE;
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; photo->stage == PW_STAGE_AFTER && j < photo->n_marks; j++) {
      const PwModelMark *after = &photo->marks[j];
      if (after->family != mark->family || !is_told(model, after, audience))
        continue;
      if (!after->text->gone)
        return FALSE;
      gone = TRUE;
    }
  }
  return gone;
}

/* What may harm whoever touches it stands whatever was done: only of a term that says so does that
 * which it calls for end. */
static gboolean
has_ended(const Asking *asking, const PwModelMark *mark)
{
  return !asking->as_it_came && mark->term->ends_when_gone &&
         pw_model_mark_is_made_good(asking->model, mark, asking->audience);
}

static void
find_term(const Asking *asking, const char *name, Finding *finding)
{
  const PwModel *model = asking->model;
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    for (gsize j = 0; !is_too_late(asking, photo) && j < photo->n_marks; j++) {
      const PwModelMark *mark = &photo->marks[j];
      if (mark->term && strcmp(mark->term->name, name) == 0 &&
          is_told(model, mark, asking->audience) && !has_ended(asking, mark))
        find_on(finding, mark->text->part);
    }
  }
  for (gsize i = 0; model->volume && i < model->volume->n_observations; i++) {
    const PwObservation *observation = &model->volume->observations[i];
    if (is_term(model, observation->term, name) && !is_later(asking, &observation->on) &&
        pw_model_words_shown(model, observation->part, asking->audience))
      find_on(finding, observation->part);
  }
}

/* Gives the term as a reason, with its parts, where it was found. */
static gboolean
holds_term(Asking *asking, const char *name)
{
  Finding finding = {FALSE, g_ptr_array_new()};
  find_term(asking, name, &finding);
  const PwReasonKind kind = finding.parts->len > 0 ? PW_REASON_TERM : PW_REASON_TERM_ALONE;
  g_ptr_array_add(finding.parts, NULL);
  if (finding.found)
    give_reason(asking, kind, name, g_strjoinv(", ", (char **)finding.parts->pdata));
  g_ptr_array_unref(finding.parts);
  return finding.found;
}

static gboolean
holds_terms(Asking *asking, char **names)
{
  gboolean any = FALSE;
  for (; names && *names; names++)
    any = holds_term(asking, *names) || any;
  return any;
}

/* ---- Sizes, binding, date, pieces -------------------------------------------------- */

/* `over` and `up_to` may be NAN, as may what was measured: then a size that is asked for is none.
 */
static gboolean
holds_size(Asking *asking, PwReasonKind kind, double mm, double over, double up_to)
{
  if (isnan(over) && isnan(up_to))
    return TRUE;
  if (isnan(mm) || (!isnan(over) && mm <= over) || (!isnan(up_to) && mm > up_to))
    return FALSE;
  give_reason(asking, kind, NULL, pw_format_double(mm));
  return TRUE;
}

/* The first of the words that stands in the text, in any case and within others: a German word is
 * made of several. */
static const char *
word_in(const char *text, char **words)
{
  g_autofree char *folded = text ? g_utf8_casefold(text, -1) : NULL;
  for (; folded && words && *words; words++) {
    g_autofree char *word = g_utf8_casefold(*words, -1);
    if (strstr(folded, word) != NULL)
      return *words;
  }
  return NULL;
}

static gboolean
holds_binding(Asking *asking, char **words)
{
  const char *binding = asking->model->volume->binding;
  const char *found = word_in(binding, words);
  if (found == NULL || !pw_model_words_shown(asking->model, binding, asking->audience))
    return FALSE;
  give_reason(asking, PW_REASON_BINDING, found, g_strdup(binding));
  return TRUE;
}

static gboolean
holds_piece(Asking *asking, char **words)
{
  gboolean any = FALSE;
  const PwVolume *volume = asking->model->volume;
  for (gsize i = 0; i < volume->n_pieces; i++) {
    const PwPiece *piece = &volume->pieces[i];
    if (piece->kind != PW_PIECE_FOUND_INSIDE || word_in(piece->what, words) == NULL ||
        !pw_model_piece_shown(asking->model, piece, asking->audience) ||
        (asking->day && pw_model_piece_known(asking->model, piece, asking->day) == PW_KNOWN_LATER))
      continue;
    give_reason(asking, PW_REASON_PIECE, piece->id, g_strdup(piece->what));
    any = TRUE;
  }
  return any;
}

/* The years that a text tells: four digits each, or "19th century", "19. Jh.". FALSE: none. */
static gboolean
years_of(const char *text, int *first, int *last)
{
  gboolean any = FALSE;
  for (const char *at = text; at != NULL && *at != '\0';) {
    char *after;
    if (!g_ascii_isdigit(*at)) {
      at++;
      continue;
    }
    const long number = strtol(at, &after, 10);
    const gboolean is_year = after - at == 4;
    const gboolean is_century = after - at <= 2 && number >= 1 && number <= 30 &&
                                (strstr(after, "cent") || strstr(after, "Jh") ||
                                 strstr(after, "Jahrhundert") || *after == 't' || *after == 's');
    at = after;
    if (!is_year && !is_century)
      continue;
    const int from = is_year ? (int)number : (int)(number - 1) * 100;
    const int to = is_year ? (int)number : (int)number * 100 - 1;
    *first = any ? MIN(*first, from) : from;
    *last = any ? MAX(*last, to) : to;
    any = TRUE;
  }
  return any;
}

static gboolean
holds_date(Asking *asking, const PwCareWhen *when)
{
  const char *date = asking->model->volume->date;
  int first, last;
  if (when->made_from == 0 && when->made_to == 0)
    return TRUE;
  if (!years_of(date, &first, &last))
    return TRUE;
  if ((when->made_from != 0 && last < when->made_from) ||
      (when->made_to != 0 && first > when->made_to))
    return FALSE;
  if (pw_model_words_shown(asking->model, date, asking->audience))
    give_reason(asking, PW_REASON_DATE, NULL, g_strdup(date));
  return TRUE;
}

/* ---- Rules ------------------------------------------------------------------------- */

static void
clear_reason(gpointer data)
{
  PwReason *reason = data;
  g_free(reason->what);
  g_free(reason->value);
}

/* What was given as a reason before one of the keys failed is none. */
static gboolean
holds(Asking *asking, const PwCareWhen *when)
{
  const guint before = asking->reasons->len;
  const double *size = asking->model->volume->size_mm;
  if (holds_size(asking, PW_REASON_HEIGHT, size[0], when->height_over, when->height_up_to) &&
      holds_size(asking, PW_REASON_THICKNESS, size[2], when->thickness_over,
                 when->thickness_up_to) &&
      (when->terms == NULL || holds_terms(asking, when->terms)) &&
      (when->binding == NULL || holds_binding(asking, when->binding)) &&
      (when->pieces == NULL || holds_piece(asking, when->pieces)) && holds_date(asking, when))
    return TRUE;
  g_array_set_size(asking->reasons, before);
  return FALSE;
}

static void
take_reasons(Asking *asking, PwModelCare *care)
{
  care->n_reasons = asking->reasons->len;
  care->reasons = g_memdup2(asking->reasons->data, care->n_reasons * sizeof(PwReason));
  g_array_set_clear_func(asking->reasons, NULL);
  g_array_set_size(asking->reasons, 0);
  g_array_set_clear_func(asking->reasons, clear_reason);
}

static void
ask_rule(Asking *asking, const PwCareRule *rule, GArray *all)
{
  gboolean any = FALSE;
  for (gsize i = 0; i < rule->n_when; i++)
    any = holds(asking, &rule->when[i]) || any;
  if (!any)
    return;
  PwModelCare care = {.kind = rule->kind, .rule = rule->id, .source = rule->source};
  take_reasons(asking, &care);
  g_array_append_val(all, care);
}

static void
ask_rules(Asking *asking, GArray *all)
{
  const PwCareRules *rules = asking->model->care;
  for (int kind = PW_CARE_HOUSING; kind <= PW_CARE_CAUTION; kind++)
    for (gsize i = 0; i < pw_care_rules_n(rules); i++)
      if ((int)pw_care_rules_peek(rules, i)->kind == kind)
        ask_rule(asking, pw_care_rules_peek(rules, i), all);
}

/* ---- Terms' own cautions ----------------------------------------------------------- */

/* A term without a source is the volume's own: the conservator's words. */
static gboolean
may_be_told(const PwTerm *term, PwAudience audience)
{
  return audience == PW_FOR_STUDIO || term->source == NULL ||
         strstr(term->source, NOT_SEEN) == NULL;
}

/* Whether a rule's caution was given for it: of one thing there is one, and the rule's, of whom to
 * ask, is the wider. The conservator's own words stand beside it. */
static gboolean
is_cautioned(const GArray *all, const PwTerm *term)
{
  for (guint i = 0; term->source != NULL && i < all->len; i++) {
    const PwModelCare *care = &g_array_index(all, PwModelCare, i);
    for (gsize j = 0; care->kind == PW_CARE_CAUTION && j < care->n_reasons; j++)
      if (g_strcmp0(care->reasons[j].what, term->name) == 0 &&
          care->reasons[j].kind <= PW_REASON_TERM_ALONE)
        return TRUE;
  }
  return FALSE;
}

static void
ask_terms(Asking *asking, GArray *all)
{
  for (guint i = 0; i < pw_terms_n(asking->model->terms); i++) {
    const PwTerm *term = pw_terms_peek(asking->model->terms, i);
    if (term->caution == NULL || !may_be_told(term, asking->audience) || is_cautioned(all, term) ||
        !holds_term(asking, term->name))
      continue;
    PwModelCare care = {
        .kind = PW_CARE_CAUTION, .text = term->caution, .term = term, .source = term->source};
    take_reasons(asking, &care);
    g_array_append_val(all, care);
  }
}

/* ---- All of it --------------------------------------------------------------------- */

static void
take_own(const Asking *asking, GArray *all)
{
  char **own = asking->model->volume->care;
  for (; own && *own; own++) {
    const PwModelCare care = {.kind = PW_CARE_OWN, .text = *own};
    if (pw_model_words_shown(asking->model, *own, asking->audience))
      g_array_append_val(all, care);
  }
}

PwModelCare *
pw_model_dup_care(const PwModel *model, PwAudience audience, gboolean as_it_came, const GDate *day,
                  gsize *n)
{
  GArray *all = g_array_new(FALSE, FALSE, sizeof(PwModelCare));
  Asking asking = {model, audience, as_it_came, day, g_array_new(FALSE, FALSE, sizeof(PwReason))};
  g_array_set_clear_func(asking.reasons, clear_reason);
  if (model->volume != NULL) {
    take_own(&asking, all);
    ask_rules(&asking, all);
  }
  ask_terms(&asking, all);
  g_array_unref(asking.reasons);
  *n = all->len;
  return (PwModelCare *)(void *)g_array_free(all, FALSE);
}

void
pw_model_care_free(PwModelCare *care, gsize n)
{
  for (gsize i = 0; care && i < n; i++) {
    for (gsize j = 0; j < care[i].n_reasons; j++)
      clear_reason(&care[i].reasons[j]);
    g_free(care[i].reasons);
  }
  g_free(care);
}
