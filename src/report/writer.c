/* What the parts of a document share. */
#include "writer.h"

#include <string.h>

#include "keys.h"

/* ---- Who reads --------------------------------------------------------------------- */

static gboolean
may_read(const PwWriter *w, const char *const *texts, gsize n)
{
  for (gsize i = 0; i < n; i++)
    if (!pw_model_words_shown(w->model, texts[i], w->audience))
      return FALSE;
  return TRUE;
}

gboolean
pw_writer_may_tell(PwWriter *w, gconstpointer entry, const char *const *texts, gsize n,
                   char *const *about)
{
  gboolean may = may_read(w, texts, n);
  for (; may && about != NULL && *about != NULL; about++)
    may = pw_model_about_shown(w->model, *about, w->audience);
  if (!may)
    g_hash_table_add(w->kept_back, (gpointer)(gsize)entry);
  return may;
}

gboolean
pw_writer_may_tell_step(PwWriter *w, const PwTreatment *step, const char *const *texts, gsize n)
{
  gboolean may = may_read(w, texts, n);
  for (char **file = step->photos; may && file != NULL && *file != NULL; file++)
    may = pw_model_beside_shown(w->model, *file, w->audience);
  if (!may)
    g_hash_table_add(w->kept_back, (gpointer)(gsize)step);
  return may;
}

const char *
pw_writer_peek_shown(PwWriter *w, const char *text)
{
  return pw_writer_may_tell(w, text, &text, 1, NULL) ? text : NULL;
}

gboolean
pw_writer_shows(const PwWriter *w, const PwModelPhoto *photo)
{
  return pw_model_photo_shown(w->model, photo, w->audience) &&
         (w->only == NULL || g_strv_contains(w->only, photo->file));
}

gboolean
pw_writer_is_of_kind(const PwWriter *w, const PwModelPhoto *photo)
{
  return w->kind == PW_REPORT_TREATMENT || w->kind == PW_REPORT_SUMMARY ||
         photo->stage == PW_STAGE_BEFORE || photo->stage == PW_STAGE_NONE;
}

/* ---- Of which day ------------------------------------------------------------------ */

const GDate *
pw_writer_peek_up_to(const PwWriter *w)
{
  const gboolean looks_ahead = w->kind == PW_REPORT_CONDITION || w->kind == PW_REPORT_PROPOSAL;
  return looks_ahead && g_date_valid(&w->day) ? &w->day : NULL;
}

gboolean
pw_writer_is_by_then(const PwWriter *w, const GDate *date)
{
  const GDate *up_to = pw_writer_peek_up_to(w);
  return up_to == NULL || !g_date_valid(date) || g_date_compare(date, up_to) <= 0;
}

gboolean
pw_writer_asks_to_show(const PwWriter *w)
{
  return pw_model_consent_by(w->model, PW_CONSENT_TO_SHOW, pw_writer_peek_up_to(w)).standing ==
         PW_STANDING_ASKED;
}

/* ---- Words ------------------------------------------------------------------------- */

void
pw_writer_heading(PwWriter *w, int level, const char *key)
{
  pw_doc_heading(w->doc, level, pw_writer_word(w, key), key);
}

void
pw_writer_say(PwWriter *w, PwParagraphRole role, PwVoice voice, const char *key)
{
  pw_doc_say(w->doc, role, voice, pw_writer_word(w, key));
}

char *
pw_writer_dup_date(const PwWriter *w, const GDate *date)
{
  return g_date_valid(date) ? pw_words_dup_gdate(w->words, date) : NULL;
}

char *
pw_writer_dup_size(const PwWriter *w, const PwSize *size, const char *unit)
{
  g_autofree char *plain = pw_size_dup_text(size, unit);
  return pw_words_dup_number(w->words, plain);
}

char *
pw_writer_dup_number(const PwWriter *w, double value)
{
  g_autofree char *plain = pw_format_double(value);
  return pw_words_dup_number(w->words, plain);
}

char *
pw_writer_dup_hours(const PwWriter *w, const char *plain, const char *sum)
{
  const char *point = sum != NULL ? strchr(sum, '.') : NULL;
  const guint decimals = point != NULL ? (guint)strlen(point + 1) : 0;
  g_autofree char *padded = pw_decimal_dup_padded(plain, MAX(1, decimals));
  return pw_words_dup_number(w->words, padded);
}

char *
pw_writer_dup_unstopped(const char *text)
{
  char *words = text != NULL ? g_strchomp(g_strdup(text)) : NULL;
  if (words != NULL && g_str_has_suffix(words, "."))
    words[strlen(words) - 1] = '\0';
  return words;
}

char *
pw_writer_dup_capital(const char *text)
{
  if (text == NULL || *text == '\0')
    return g_strdup(text);
  g_autofree char *first = g_utf8_strup(text, pw_next_char(text) - text);
  return g_strconcat(first, pw_next_char(text), NULL);
}

static gboolean
is_undecided(const char *term)
{
  return term == NULL || strcmp(term, PW_TERM_UNDECIDED) == 0;
}

const char *
pw_writer_peek_term(const PwWriter *w, const char *term)
{
  return is_undecided(term) ? pw_writer_word(w, "undecided") : pw_words_peek_term(w->words, term);
}

char *
pw_writer_dup_term(const PwWriter *w, const char *term)
{
  return pw_writer_dup_capital(pw_writer_peek_term(w, term));
}

char *
pw_writer_dup_part(const PwWriter *w, const char *part, const char *none)
{
  return pw_writer_dup_capital(part != NULL ? pw_words_peek_part(w->words, part)
                                            : pw_writer_word(w, none));
}

const char *
pw_writer_peek_stage(const PwWriter *w, PwStage stage)
{
  static const char *const keys[] = {"stage-none", "stage-before", "stage-during", "stage-after"};
  return pw_writer_word(w, keys[stage]);
}

const char *
pw_writer_peek_basis(const PwWriter *w, PwBasis basis)
{
  static const char *const keys[] = {NULL, "basis-tested", "basis-inferred", "basis-reported"};
  return keys[basis] != NULL ? pw_writer_word(w, keys[basis]) : NULL;
}

const char *
pw_writer_peek_severity(const PwWriter *w, int severity)
{
  static const char *const keys[] = {NULL, "severity-1", "severity-2", "severity-3"};
  return severity >= 1 && severity <= 3 ? pw_writer_word(w, keys[severity]) : NULL;
}

gboolean
pw_writer_is_aside(PwBasis basis)
{
  return basis == PW_BASIS_INFERRED || basis == PW_BASIS_REPORTED;
}

/* ---- Prose ------------------------------------------------------------------------- */

void
pw_writer_add_text(const PwWriter *w, PwProse *prose, const char *text)
{
  if (text != NULL && *text != '\0')
    pw_prose_add(prose, PW_VOICE_PLAIN, text);
  else
    pw_prose_add(prose, PW_VOICE_SOFT, pw_writer_word(w, "not-recorded"));
}

static char *
dup_left_out(const PwWriter *w, guint n)
{
  return pw_words_dup_count(w->words, "left-out-here", n);
}

void
pw_writer_add_none(const PwWriter *w, PwProse *prose, guint n_left_out, const char *none)
{
  g_autofree char *left_out = n_left_out > 0 ? dup_left_out(w, n_left_out) : NULL;
  pw_prose_add(prose, PW_VOICE_SOFT, left_out != NULL ? left_out : pw_writer_word(w, none));
}

void
pw_writer_say_none(PwWriter *w, guint n_left_out, const char *none)
{
  pw_writer_add_none(w, pw_doc_paragraph(w->doc, PW_PARAGRAPH_BODY), n_left_out, none);
}

void
pw_writer_say_left_out(PwWriter *w, guint n_left_out)
{
  if (n_left_out == 0)
    return;
  g_autofree char *left_out = dup_left_out(w, n_left_out);
  pw_doc_say(w->doc, PW_PARAGRAPH_NOTE, PW_VOICE_SOFT, left_out);
}

/* Whether this reader is not told of a damage that a document of this kind would count. */
static gboolean
withholds_damage(const PwWriter *w, const PwModelPhoto *photo)
{
  const gboolean shown = pw_model_photo_shown(w->model, photo, w->audience);
  if (photo->stage != PW_STAGE_BEFORE &&
      (w->kind != PW_REPORT_SUMMARY || photo->stage != PW_STAGE_AFTER))
    return FALSE;
  for (gsize i = 0; i < photo->n_marks; i++)
    if (pw_model_is_damage(photo->marks[i].group) &&
        !(shown && pw_model_mark_shown(w->model, &photo->marks[i], w->audience)))
      return TRUE;
  return FALSE;
}

const char *
pw_writer_peek_no_damage(const PwWriter *w)
{
  for (gsize i = 0; i < pw_model_n_photos(w->model); i++)
    if (withholds_damage(w, pw_model_peek_photo(w->model, i)))
      return pw_writer_word(w, "condition-left-out");
  return pw_writer_word(w, "condition-none");
}

void
pw_writer_add_line(PwProse *prose, PwVoice voice, const char *text)
{
  if (!pw_prose_is_empty(prose))
    pw_prose_add(prose, PW_VOICE_PLAIN, "\n");
  pw_prose_add(prose, voice, text);
}

void
pw_writer_add_known(const PwWriter *w, PwProse *prose, PwBasis basis, const char *text)
{
  PwVoice voice = pw_writer_is_aside(basis) ? PW_VOICE_ASIDE : PW_VOICE_PLAIN;
  const char *known = pw_writer_peek_basis(w, basis);
  if (known == NULL) {
    pw_writer_add_line(prose, voice, text);
    return;
  }
  g_autofree char *both =
      pw_words_dup_phrase(w->words, "note-with-basis", "basis", known, "note", text, NULL);
  pw_writer_add_line(prose, voice, both);
}

void
pw_writer_add_labelled(const PwWriter *w, PwProse *prose, const char *key, const char *text)
{
  if (text == NULL)
    return;
  g_autofree char *both = pw_words_dup_phrase(w->words, "labelled", "label", pw_writer_word(w, key),
                                              "text", text, NULL);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, both);
}

char *
pw_writer_dup_first_sentence(const char *text)
{
  const char *end = strstr(text, ". ");
  return end != NULL ? g_strndup(text, (gsize)(end - text) + 1) : g_strdup(text);
}

char *
pw_writer_dup_meaning(const PwWriter *w, const char *term)
{
  if (is_undecided(term))
    return g_strdup(pw_writer_word(w, "undecided-means"));
  const PwTerm *known = pw_terms_find(pw_model_peek_terms(w->model), term);
  const char *meaning = known != NULL ? pw_model_term_peek_meaning(known, w->words) : NULL;
  return meaning != NULL ? pw_writer_dup_first_sentence(meaning) : NULL;
}

static gboolean
is_first(PwWriter *w, const char *name)
{
  return g_hash_table_add(w->explained, (gpointer)(gsize)g_intern_string(name));
}

void
pw_writer_explain(PwWriter *w, PwProse *prose, const char *term)
{
  g_autofree char *meaning = pw_writer_dup_meaning(w, term);
  if (meaning != NULL && is_first(w, is_undecided(term) ? PW_TERM_UNDECIDED : term))
    pw_writer_add_line(prose, PW_VOICE_SOFT, meaning);
}

/* Those that a reader may not know; others speak for themselves. */
static const char *const explained_parts[] = {
    "board",        "boards",        "board corner",  "board edge", "cloth side", "covering",
    "endband",      "endleaf",       "fore edge",     "furniture",  "gathering",  "gutter",
    "head edge",    "head of spine", "inner joint",   "joint",      "pastedown",  "sewing",
    "spine lining", "tail edge",     "tail of spine", "text block", NULL};

void
pw_writer_explain_part(PwWriter *w, PwProse *prose, const char *part)
{
  if (part != NULL && g_strv_contains(explained_parts, part) && is_first(w, part))
    pw_writer_add_line(prose, PW_VOICE_SOFT, pw_key_peek_word(w->words, "part-means", part));
}

static gboolean
is_owed(const PwWriter *w, const char *key)
{
  return key != NULL && g_strv_contains(w->owed, key);
}

void
pw_writer_fact(PwWriter *w, PwBlock *facts, const char *label, const char *key, const char *text)
{
  gboolean recorded = text != NULL && *text != '\0';
  const char *shown = recorded ? pw_writer_peek_shown(w, text) : NULL;
  if (shown != NULL || (!recorded && is_owed(w, key)))
    pw_writer_add_text(w, pw_facts_add(facts, pw_writer_word(w, label)), shown);
}

void
pw_writer_fact_date(PwWriter *w, PwBlock *facts, const char *label, const char *key,
                    const GDate *date)
{
  g_autofree char *text = pw_writer_dup_date(w, date);
  pw_writer_fact(w, facts, label, key, text);
}

/* ---- Plates ------------------------------------------------------------------------ */

static gboolean
shows_whole(const PwModelPlate *plate, const PwModelPhoto *photo)
{
  return plate->before == photo || plate->during == photo || plate->after == photo ||
         (plate->detail == photo && plate->detail_mark == NULL);
}

guint
pw_writer_plate_of(const PwWriter *w, const PwModelPhoto *photo)
{
  guint partly = 0;
  for (guint i = 0; photo != NULL && i < w->plates->len; i++) {
    const PwModelPlate *plate = &g_array_index(w->plates, PwModelPlate, i);
    if (shows_whole(plate, photo))
      return i + 1;
    if (partly == 0 && plate->detail == photo)
      partly = i + 1;
  }
  return partly;
}

static int
compare_numbers(const void *a, const void *b)
{
  guint one = *(const guint *)a, other = *(const guint *)b;
  return (one > other) - (one < other);
}

/* Each number once, 0 never; they are sorted for it. */
static void
add_numbered(const PwWriter *w, PwProse *prose, GArray *numbers)
{
  const char *before = NULL;
  g_array_sort(numbers, compare_numbers);
  for (guint i = 0; i < numbers->len; i++) {
    const guint number = g_array_index(numbers, guint, i);
    if (number == 0 || (i > 0 && number == g_array_index(numbers, guint, i - 1)))
      continue;
    g_autofree char *figure = g_strdup_printf("%u", number);
    g_autofree char *words = pw_words_dup_phrase(w->words, "plate-n", "n", figure, NULL);
    g_autofree char *anchor = g_strdup_printf("plate-%u", number);
    if (before != NULL)
      pw_prose_add(prose, PW_VOICE_PLAIN, before);
    pw_prose_add_link(prose, words, anchor);
    before = ", ";
  }
}

void
pw_writer_add_plates(const PwWriter *w, PwProse *prose, const PwModelPhoto *const *photos, gsize n)
{
  g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(guint));
  for (gsize i = 0; i < n; i++) {
    const guint number = pw_writer_plate_of(w, photos[i]);
    g_array_append_val(numbers, number);
  }
  add_numbered(w, prose, numbers);
}

void
pw_writer_add_plates_of_marks(const PwWriter *w, PwProse *prose, const PwModelMark *const *marks,
                              gsize n)
{
  g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(guint));
  for (gsize i = 0; i < n; i++) {
    guint number = pw_writer_plate_of(w, marks[i]->photo);
    g_array_append_val(numbers, number);
    for (number = 1; number <= w->plates->len; number++)
      if (g_array_index(w->plates, PwModelPlate, number - 1).detail_mark == marks[i])
        g_array_append_val(numbers, number);
  }
  add_numbered(w, prose, numbers);
}

typedef struct {
  gconstpointer entry;
  const GDate *on;
  gsize place; /* in the record */
} OnDay;

static int
compare_days(const void *a, const void *b)
{
  const OnDay *one = a, *other = b;
  const gboolean dated = g_date_valid(one->on), other_dated = g_date_valid(other->on);
  const int order = dated && other_dated ? g_date_compare(one->on, other->on) : other_dated - dated;
  return order != 0 ? order : (one->place > other->place) - (one->place < other->place);
}

GPtrArray *
pw_entries_by_day(gconstpointer entries, gsize n, gsize size, gsize on)
{
  g_autofree OnDay *days = g_new0(OnDay, n + 1);
  GPtrArray *sorted = g_ptr_array_new();
  for (gsize i = 0; i < n; i++) {
    const char *entry = (const char *)entries + i * size;
    days[i] = (OnDay){entry, (const GDate *)(gconstpointer)(entry + on), i};
  }
  qsort(days, n, sizeof *days, compare_days);
  for (gsize i = 0; i < n; i++)
    g_ptr_array_add(sorted, (gpointer)days[i].entry);
  return sorted;
}

GPtrArray *
pw_writer_steps_by_day(const PwWriter *w)
{
  return pw_entries_by_day(w->volume->treatment, w->volume->n_treatment, sizeof(PwTreatment),
                           offsetof(PwTreatment, on));
}

char *
pw_writer_dup_mark(const PwWriter *w, const PwModelMark *mark)
{
  g_autofree char *head = pw_model_mark_dup_head(mark, w->words);
  return pw_writer_dup_capital(head);
}

char *
pw_writer_dup_view(const PwWriter *w, const PwModelPhoto *photo)
{
  const PwSidecar *sidecar = photo->sidecar;
  const char *view = sidecar != NULL ? pw_words_peek_view(w->words, sidecar->view) : NULL;
  const char *place = sidecar != NULL ? sidecar->place : NULL;
  g_autofree char *both = view && place ? g_strdup_printf("%s, %s", view, place) : NULL;
  return pw_writer_dup_capital(both != NULL ? both : view != NULL ? view : place);
}

void
pw_writer_add_mark(const PwWriter *w, PwProse *prose, const PwModelMark *mark)
{
  const PwModelPhoto *photo = mark->photo;
  g_autofree char *head = pw_writer_dup_mark(w, mark);
  pw_writer_add_line(prose, PW_VOICE_PLAIN, head);
  if (pw_writer_plate_of(w, photo) == 0)
    return;
  pw_prose_add(prose, PW_VOICE_PLAIN, " \u00b7 ");
  pw_writer_add_plates(w, prose, &photo, 1);
}
