/* How to house and handle the volume: the conservator's own words first, then what rules propose
 * from the record, each with its reasons and its source; then cautions, which defer to local rules
 * and specialists. */
#include <string.h>

#include "keys.h"
#include "parts.h"

/* Parts in the language's words, figures in its figures. */
static char *
dup_value(const PwWriter *w, const PwReason *reason)
{
  if (reason->kind != PW_REASON_TERM || reason->value == NULL)
    return reason->value != NULL ? pw_words_dup_number(w->words, reason->value) : NULL;
  g_auto(GStrv) parts = g_strsplit(reason->value, ", ", -1);
  g_autoptr(GPtrArray) translated = g_ptr_array_new();
  for (char **part = parts; *part != NULL; part++)
    g_ptr_array_add(translated, (gpointer)(gsize)pw_words_peek_part(w->words, *part));
  g_ptr_array_add(translated, NULL);
  return g_strjoinv(", ", (char **)translated->pdata);
}

static char *
dup_reason(const PwWriter *w, const PwReason *reason)
{
  g_autofree char *key = g_strconcat("care-because-", pw_reason_name(reason->kind), NULL);
  const char *what =
      reason->kind == PW_REASON_TERM ? pw_words_peek_term(w->words, reason->what) : reason->what;
  g_autofree char *value = dup_value(w, reason);
  return pw_words_dup_phrase(w->words, key, "what", what ? what : "", "value", value ? value : "",
                             NULL);
}

/* "found inside: pressed fern (P2); leaf (P7)", of the pieces from reason i on, which moves behind
 * them. */
static char *
dup_reason_of_pieces(const PwWriter *w, const PwModelCare *care, gsize *i)
{
  g_autoptr(GString) all = g_string_new(NULL);
  for (; *i < care->n_reasons && care->reasons[*i].kind == PW_REASON_PIECE; ++*i) {
    const PwReason *reason = &care->reasons[*i];
    const char *between = all->len > 0 ? "; " : "";
    if (reason->value != NULL)
      g_string_append_printf(all, "%s%s\u00a0(%s)", between, reason->value, reason->what);
    else
      g_string_append_printf(all, "%s%s", between, reason->what);
  }
  return pw_words_dup_phrase(w->words, "care-because-piece", "what", all->str, NULL);
}

static char *
dup_reasons(const PwWriter *w, const PwModelCare *care)
{
  GString *all = g_string_new(NULL);
  for (gsize i = 0; i < care->n_reasons;) {
    g_autofree char *reason = care->reasons[i].kind == PW_REASON_PIECE
                                  ? dup_reason_of_pieces(w, care, &i)
                                  : dup_reason(w, &care->reasons[i++]);
    g_string_append_printf(all, "%s%s", all->len > 0 ? "; " : "", reason);
  }
  return g_string_free(all, FALSE);
}

static const char *
advice_of(const PwWriter *w, const PwModelCare *care)
{
  const char *caution =
      care->term != NULL ? pw_model_term_peek_caution(care->term, w->words, w->audience) : NULL;
  return care->rule != NULL ? pw_key_peek_word(w->words, "care", care->rule)
         : caution != NULL  ? caution
                            : care->text;
}

/* A work is cited as it is called; what names none, and the day on which a page was read, is said
 * in the reader's language. */
static char *
dup_source(const PwWriter *w, const char *source)
{
  static const char *const plain[][2] = {{"a precaution", "source-precaution"},
                                         {"trade use", "source-trade-use"},
                                         {"from memory", "source-from-memory"}};
  for (gsize i = 0; i < G_N_ELEMENTS(plain); i++)
    if (g_str_equal(source, plain[i][0]))
      return g_strdup(pw_writer_word(w, plain[i][1]));
  const char *day = strrchr(source, ' ');
  GDate on;
  if (day == NULL || !pw_parse_date(day + 1, &on))
    return g_strdup(source);
  g_autofree char *date = pw_writer_dup_date(w, &on);
  g_auto(GStrv) words = g_strsplit(date, " ", -1);
  g_autofree char *whole = g_strjoinv("\u00a0", words);
  return g_strdup_printf("%.*s %s", (int)(day - source), source, whole);
}

static char *
dup_sources(const PwWriter *w, const char *sources)
{
  g_auto(GStrv) each = g_strsplit(sources, "; ", -1);
  g_autoptr(GPtrArray) said = g_ptr_array_new_with_free_func(g_free);
  for (char **source = each; *source != NULL; source++)
    g_ptr_array_add(said, dup_source(w, *source));
  g_ptr_array_add(said, NULL);
  return g_strjoinv("; ", (char **)said->pdata);
}

static void
add_grounds(const PwWriter *w, PwProse *prose, const PwModelCare *care)
{
  g_autofree char *reasons = dup_reasons(w, care);
  if (care->n_reasons > 0) {
    g_autofree char *capital = pw_writer_dup_capital(reasons);
    pw_writer_add_line(prose, PW_VOICE_SOFT, capital);
  }
  if (care->source == NULL)
    return;
  g_autofree char *sources = dup_sources(w, care->source);
  g_autofree char *says = pw_words_dup_phrase(w->words, "care-source", "source", sources, NULL);
  pw_writer_add_line(prose, PW_VOICE_SOFT, says);
}

static void
tell_advice(const PwWriter *w, PwProse *prose, const PwModelCare *care)
{
  pw_prose_add(prose, PW_VOICE_PLAIN, advice_of(w, care));
  add_grounds(w, prose, care);
}

/* The conservator's own words that are not for this reader; the model gives only the others. */
static guint
count_left_out(PwWriter *w)
{
  guint n = 0;
  for (char **own = w->volume->care; own != NULL && *own != NULL; own++)
    n += pw_writer_peek_shown(w, *own) == NULL ? 1 : 0;
  return n;
}

static gboolean
tell_kind(PwWriter *w, const PwModelCare *care, gsize n, PwCareKind kind, const char *key)
{
  PwBlock *list = NULL;
  for (gsize i = 0; i < n; i++) {
    if (care[i].kind != kind)
      continue;
    if (list == NULL) {
      pw_writer_heading(w, 2, key);
      list = pw_doc_list(w->doc, FALSE);
    }
    tell_advice(w, pw_list_item(list), &care[i]);
  }
  return list != NULL;
}

/* Behind the term that calls for it, or by itself. */
static void
tell_caution(PwWriter *w, const PwModelCare *care)
{
  PwProse *prose = pw_doc_paragraph(w->doc, PW_PARAGRAPH_CAUTION);
  const char *advice = advice_of(w, care);
  if (care->term != NULL) {
    g_autofree char *term = pw_writer_dup_capital(pw_words_peek_term(w->words, care->term->name));
    g_autofree char *says =
        pw_words_dup_phrase(w->words, "caution", "term", term, "caution", advice, NULL);
    pw_prose_add(prose, PW_VOICE_PLAIN, says);
  } else {
    pw_prose_add(prose, PW_VOICE_PLAIN, advice);
  }
  add_grounds(w, prose, care);
}

static void
tell_cautions(PwWriter *w, const PwModelCare *care, gsize n)
{
  gboolean begun = FALSE;
  for (gsize i = 0; i < n; i++) {
    if (care[i].kind != PW_CARE_CAUTION)
      continue;
    if (!begun)
      pw_writer_heading(w, 1, "cautions");
    begun = TRUE;
    tell_caution(w, &care[i]);
  }
  if (begun)
    pw_writer_say(w, PW_PARAGRAPH_NOTE, PW_VOICE_STRONG, "cautions-defer");
}

void
pw_part_care(PwWriter *w)
{
  gsize n = 0;
  PwModelCare *care = pw_model_dup_care(w->model, w->audience, w->kind != PW_REPORT_TREATMENT,
                                        pw_writer_peek_up_to(w), &n);
  if (w->kind == PW_REPORT_TREATMENT) {
    const guint n_left_out = count_left_out(w);
    pw_writer_heading(w, 1, "care");
    gboolean own = tell_kind(w, care, n, PW_CARE_OWN, "care-own");
    gboolean housing = tell_kind(w, care, n, PW_CARE_HOUSING, "care-housing");
    gboolean handling = tell_kind(w, care, n, PW_CARE_HANDLING, "care-handling");
    if (!own && !housing && !handling)
      pw_writer_say_none(w, n_left_out, "care-none");
  }
  tell_cautions(w, care, n);
  pw_model_care_free(care, n);
}
