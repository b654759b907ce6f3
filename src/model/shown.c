/* Sizes and scales as they are shown beside a mark or a photograph. */
#include "model-private.h"

#include <math.h>
#include <string.h>

/* ---- Terms ------------------------------------------------------------------------- */

const char *
pw_model_mark_peek_term(const PwModelMark *mark, const PwWords *words)
{
  const char *written = mark->text->term;
  if (written == NULL || g_str_equal(written, PW_TERM_UNDECIDED))
    return pw_words_peek(words, "undecided");
  const char *word = pw_words_peek_term(words, written);
  if (word != written || mark->term == NULL || mark->term->is_own)
    return word;
  const char *by_name = pw_words_peek_term(words, mark->term->name);
  return by_name != mark->term->name ? by_name : written;
}

/* Whether the last words of a term are the part's own: "loose sewing" names the sewing. */
static gboolean
names_part(const char *term, const char *part)
{
  g_autofree char *whole = g_utf8_casefold(term, -1), *end = g_utf8_casefold(part, -1);
  const gsize n = strlen(whole), n_end = strlen(end);
  return g_str_has_suffix(whole, end) && (n == n_end || whole[n - n_end - 1] == ' ');
}

char *
pw_model_mark_dup_head(const PwModelMark *mark, const PwWords *words)
{
  const char *part = pw_words_peek_part(words, mark->text->part);
  const char *term = pw_model_mark_peek_term(mark, words);
  return part != NULL && !names_part(term, part)
             ? pw_words_dup_phrase(words, "head", "term", term, "part", part, NULL)
             : g_strdup(term);
}

const char *
pw_model_term_peek_meaning(const PwTerm *term, const PwWords *words)
{
  const char *translated = term->is_own ? NULL : pw_words_peek_meaning(words, term->name);
  return translated != NULL ? translated : term->meaning;
}

static const char *
peek_caution_for_owner(const PwTerm *term, const PwWords *words)
{
  const char *translated = term->is_own ? NULL : pw_words_peek_caution_for_owner(words, term->name);
  return translated != NULL ? translated : term->caution_for_owner;
}

const char *
pw_model_term_peek_caution(const PwTerm *term, const PwWords *words, PwAudience audience)
{
  const char *plain = audience != PW_FOR_STUDIO ? peek_caution_for_owner(term, words) : NULL;
  const char *translated = term->is_own ? NULL : pw_words_peek_caution(words, term->name);
  return plain != NULL ? plain : translated != NULL ? translated : term->caution;
}

/* ---- Sizes ------------------------------------------------------------------------- */

/* "52,4 ± 4,1 mm²". */
static char *
dup_size(const PwSize *size, const char *unit, const PwWords *words)
{
  g_autofree char *plain = pw_size_dup_text(size, unit);
  return pw_words_dup_number(words, plain);
}

static const char *
unit_of(PwKind kind)
{
  return kind == PW_KIND_AREA ? "mm\u00b2" : "mm";
}

static char *
dup_places(int count, const char *key, const PwWords *words)
{
  return pw_words_dup_count(words, key, (guint)MAX(0, count));
}

char *
pw_model_mark_dup_shown(const PwModelMark *mark, const PwWords *words)
{
  if (mark->text->gone)
    return g_strdup(pw_words_peek(words, "made-good-all"));
  if (mark->kind == PW_KIND_POINT)
    return dup_places(mark->text->count, "places", words);
  return mark->sized ? dup_size(pw_model_mark_size(mark), unit_of(mark->kind), words) : NULL;
}

char *
pw_model_mark_dup_longest(const PwModelMark *mark, const PwWords *words)
{
  if (!mark->sized || mark->text->gone || mark->kind != PW_KIND_AREA)
    return NULL;
  g_autofree char *size = dup_size(&mark->sizes.longest_mm, "mm", words);
  return pw_words_dup_phrase(words, "size-longest", "size", size, NULL);
}

char *
pw_model_mark_dup_share(const PwModelMark *mark, const PwWords *words)
{
  if (!mark->has_share)
    return NULL;
  PwQuantity share = pw_size_quantity(&mark->share_percent);
  g_autofree char *plain = pw_format_quantity(share.value, share.u * pw_coverage_factor(share.dof));
  g_autofree char *size = pw_words_dup_number(words, plain);
  return pw_words_dup_phrase(words, "size-share", "size", size, NULL);
}

char *
pw_model_surface_dup_shown(const PwModelPhoto *photo, const PwWords *words)
{
  return photo->has_surface ? dup_size(&photo->surface_mm2, unit_of(PW_KIND_AREA), words) : NULL;
}

/* ---- Changes ----------------------------------------------------------------------- */

static const char *
sign_of(gboolean is_less)
{
  return is_less ? "\u2212" : "+";
}

char *
pw_model_change_dup_shown(const PwModelChange *change, const PwWords *words)
{
  const int delta = change->count_delta;
  if (change->before->kind == PW_KIND_POINT)
    return g_strdup_printf("%s%d", sign_of(delta < 0), ABS(delta));
  return change->sized ? dup_size(&change->delta, unit_of(change->before->kind), words) : NULL;
}

/* Of a tear that is mended one says that it is closed; of other damage that it was made good. */
static gboolean
is_closed(const PwModelMark *gone)
{
  return gone->kind == PW_KIND_LINE && g_str_equal(gone->group, "parted");
}

char *
pw_model_change_dup_after(const PwModelChange *change, const PwWords *words)
{
  const PwModelMark *before = change->before;
  if (change->gone)
    return g_strdup(pw_words_peek(words, is_closed(before) ? "closed" : "made-good-all"));
  if (before->kind == PW_KIND_POINT)
    return dup_places(before->text->count + change->count_delta, "places", words);
  return change->sized ? dup_size(&change->after_size, unit_of(before->kind), words) : NULL;
}

gboolean
pw_model_change_is_measurable(const PwModelChange *change)
{
  PwQuantity quantity = pw_size_quantity(&change->delta);
  return fabs(quantity.value) > quantity.u * pw_coverage_factor(quantity.dof);
}

/* The value alone, to the digit its uncertainty would show. */
static char *
dup_value(const PwModelMark *mark, const PwWords *words)
{
  PwQuantity quantity = pw_size_quantity(pw_model_mark_size(mark));
  double U = quantity.u * pw_coverage_factor(quantity.dof);
  g_autofree char *figures = U > 0 ? pw_format_fixed(quantity.value, pw_decimals_for(U))
                                   : pw_format_double(quantity.value);
  g_autofree char *plain = g_strdup_printf("%s %s", figures, unit_of(mark->kind));
  return pw_words_dup_number(words, plain);
}

/* What is not closed tells how much of it was made good. */
static char *
dup_gone(const PwModelMark *mark, const PwWords *words)
{
  const PwModelMark *before = mark->earlier;
  if (is_closed(mark))
    return g_strdup(pw_words_peek(words, "closed"));
  if (before == NULL || (mark->kind != PW_KIND_POINT && !before->sized))
    return g_strdup(pw_words_peek(words, "made-good-all"));
  g_autofree char *was = mark->kind == PW_KIND_POINT
                             ? dup_places(before->text->count, "places", words)
                             : dup_value(before, words);
  return pw_words_dup_phrase(words, "made-good", "before", was, NULL);
}

/* A count and how many more or fewer there were before. */
static char *
dup_count_change(const PwModelMark *mark, const PwWords *words)
{
  int delta = mark->change->count_delta;
  g_autofree char *now = dup_places(mark->text->count, "now", words);
  g_autofree char *change = delta == 0 ? g_strdup(pw_words_peek(words, "unchanged"))
                                       : g_strdup_printf("%s %d", sign_of(delta < 0), ABS(delta));
  return pw_words_dup_phrase(words, "changed", "after", now, "change", change, NULL);
}

/* "− 161 ± 22": its unit stands before it. */
static char *
dup_delta(const PwSize *size, const PwWords *words)
{
  PwQuantity quantity = pw_size_quantity(size);
  g_autofree char *plain =
      pw_format_quantity(fabs(quantity.value), quantity.u * pw_coverage_factor(quantity.dof));
  g_autofree char *figures = pw_words_dup_number(words, plain);
  return g_strdup_printf("%s %s", sign_of(quantity.value < 0), figures);
}

char *
pw_model_mark_dup_change(const PwModelMark *mark, const PwWords *words)
{
  const PwModelChange *change = mark->change;
  if (mark->text->gone)
    return dup_gone(mark, words);
  if (change == NULL || mark != change->after[0])
    return NULL;
  if (mark->kind == PW_KIND_POINT)
    return dup_count_change(mark, words);
  if (!change->sized)
    return NULL;
  if (!pw_model_change_is_measurable(change))
    return g_strdup(pw_words_peek(words, "no-change"));
  g_autofree char *difference = dup_delta(&change->delta, words);
  g_autofree char *after = dup_size(&change->after_size, unit_of(mark->kind), words);
  const char *key = change->n_after == 1 ? "changed" : "changed-together";
  return pw_words_dup_phrase(words, key, "after", after, "change", difference, NULL);
}

gboolean
pw_model_mark_change_tells_size(const PwModelMark *mark)
{
  const PwModelChange *change = mark->change;
  if (mark->text->gone)
    return TRUE;
  if (change == NULL || mark != change->after[0])
    return FALSE;
  return mark->kind == PW_KIND_POINT ||
         (change->sized && change->n_after == 1 && pw_model_change_is_measurable(change));
}

/* ---- Scales ------------------------------------------------------------------------ */

const char *
pw_why_not_peek(PwWhyNot why_not, const PwWords *words)
{
  static const char *const keys[] = {
      [PW_WHY_NOT_CURVED] = "why-curved",   [PW_WHY_NOT_GIVEN] = "why-not-given",
      [PW_WHY_NOT_CARD] = "why-no-card",    [PW_WHY_NOT_GRADUATIONS] = "why-no-graduations",
      [PW_WHY_NOT_LEVEL] = "why-no-level",  [PW_WHY_NOT_DISTANCE] = "why-no-distance",
      [PW_WHY_NOT_OUTLINE] = "why-outline", [PW_WHY_NOT_ANSWER] = "why-no-answer",
  };
  return why_not == PW_WHY_NOT_NONE ? "" : pw_words_peek(words, keys[why_not]);
}

char *
pw_model_within_dup_shown(const PwModelPhoto *photo, double px, const PwWords *words)
{
  enum { MOST_DECIMALS = 6 };
  if (photo->scale == NULL) {
    g_autofree char *plain = pw_format_fixed(px, 1), *text = pw_words_dup_number(words, plain);
    return g_strconcat(text, " px", NULL);
  }
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  double mm = px * facts.mm_per_px;
  int decimals = (int)CLAMP(-floor(log10(mm)), -MOST_DECIMALS, MOST_DECIMALS);
  double step = pow(10, -decimals);
  g_autofree char *plain = pw_format_fixed(ceil(mm / step) * step, MAX(decimals, 0));
  g_autofree char *text = pw_words_dup_number(words, plain);
  return g_strconcat(text, " mm", NULL);
}

/* By its name where there are several. */
static char *
dup_method(const PwModelPhoto *photo, PwScaleMethod method, const PwWords *words)
{
  static const char *const keys[] = {"shown-none", "shown-rectangle", "shown-span", "shown-ticks",
                                     "shown-tags"};
  for (gsize i = 0; photo->n_cards > 1 && i < photo->n_cards; i++)
    if (photo->cards[i].scale == photo->scale)
      return pw_words_dup_phrase(words, "shown-card", "card", photo->cards[i].name, NULL);
  return g_strdup(pw_words_peek(words, keys[method]));
}

char *
pw_model_scale_dup_shown(const PwModelPhoto *photo, const PwWords *words)
{
  enum { FIGURES = 3 };
  if (photo->scale == NULL)
    return NULL;
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  const double px_per_mm = 1 / facts.mm_per_px;
  const int decimals = FIGURES - 1 - (int)floor(log10(px_per_mm));
  g_autofree char *plain = pw_format_fixed(px_per_mm, MAX(0, decimals));
  g_autofree char *figure = pw_words_dup_number(words, plain);
  g_autofree char *method = dup_method(photo, facts.method, words);
  if (isnan(facts.tilt_deg))
    return pw_words_dup_phrase(words, "shown-scale", "figure", figure, "method", method, NULL);
  g_autofree char *tilt = pw_format_fixed(facts.tilt_deg, 0);
  return pw_words_dup_phrase(words, "shown-scale-tilt", "figure", figure, "method", method, "tilt",
                             tilt, NULL);
}
