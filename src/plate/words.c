/* Printed words of marks and photographs. */
#include "words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A camera that leans more than this is said to: the picture is not straightened. */
#define TILT_WORTH_SAYING_DEG 3.0
/* A mark is long, and its longest extent worth a line, when the square of that is this many times
 * its area; a disc has 1.3, a square 2. */
#define LONG_MARK 4.0
/* Shares of the face smaller than this say nothing. */
#define SHARE_WORTH_SAYING 0.5
#define CHECKSUM_DIGITS 12

static const char *
or_empty(const char *text)
{
  return text != NULL ? text : "";
}

/* ---- Sizes --------------------------------------------------------------------------------------
 */

static double
expanded(const PwQuantity *quantity)
{
  return pw_coverage_factor(quantity->dof) * quantity->u;
}

/* "52.4 ± 4.1 mm²". */
static char *
dup_with_unit(const PwSize *size, PwKind kind)
{
  return pw_size_dup_text(size, kind == PW_KIND_AREA ? "mm\u00b2" : "mm");
}

/* The value alone, to the digit its uncertainty would show. */
static char *
dup_value(const PwSize *size, PwKind kind)
{
  PwQuantity quantity = pw_size_quantity(size);
  double U = expanded(&quantity);
  g_autofree char *figures = U > 0 ? pw_format_fixed(quantity.value, pw_decimals_for(U))
                                   : pw_format_double(quantity.value);
  return g_strdup_printf("%s %s", figures, kind == PW_KIND_AREA ? "mm\u00b2" : "mm");
}

/* "− 161 ± 22", with a minus as wide as a plus. */
static char *
dup_delta(const PwSize *size)
{
  PwQuantity quantity = pw_size_quantity(size);
  g_autofree char *figures = pw_format_quantity(fabs(quantity.value), expanded(&quantity));
  return g_strdup_printf("%s %s", quantity.value < 0 ? "\u2212" : "+", figures);
}

static const PwSize *
size_of(const PwModelMark *mark)
{
  return mark->kind == PW_KIND_AREA ? &mark->sizes.area_mm2 : &mark->sizes.length_mm;
}

static char *
dup_own_size(const PwStyle *style, const PwModelMark *mark)
{
  if (mark->kind == PW_KIND_POINT)
    return pw_style_dup_count(style, "places", (guint)MAX(0, mark->text->count));
  if (!mark->sized)
    return NULL;
  g_autofree char *size = dup_with_unit(size_of(mark), mark->kind);
  return pw_style_dup_phrase(style, mark->kind == PW_KIND_AREA ? "size-area" : "size-line", "size",
                             size, NULL);
}

/* ---- Changes --------------------------------------------------------------------------------- */

/* Of a tear that is mended one says that it is closed; of other damage, how much of it was made
 * good. */
static char *
dup_gone(const PwStyle *style, const PwModelMark *mark)
{
  const PwModelMark *before = mark->earlier;
  if (mark->kind == PW_KIND_LINE && g_str_equal(mark->group, "parted"))
    return g_strdup(pw_style_word(style, "closed"));
  if (before == NULL || (mark->kind != PW_KIND_POINT && !before->sized))
    return g_strdup(pw_style_word(style, "made-good-all"));
  g_autofree char *was = mark->kind == PW_KIND_POINT ? dup_own_size(style, before)
                                                     : dup_value(size_of(before), mark->kind);
  return pw_style_dup_phrase(style, "made-good", "before", was, NULL);
}

/* A count and how many more or fewer there were before. */
static char *
dup_count_change(const PwStyle *style, const PwModelMark *mark)
{
  int delta = mark->change->count_delta;
  g_autofree char *now = pw_style_dup_count(style, "now", (guint)MAX(0, mark->text->count));
  g_autofree char *change = delta == 0
                                ? g_strdup(pw_style_word(style, "unchanged"))
                                : g_strdup_printf("%s %d", delta < 0 ? "\u2212" : "+", abs(delta));
  return pw_style_dup_phrase(style, "changed", "after", now, "change", change, NULL);
}

/* A difference within its own uncertainty is none that could be measured. */
static gboolean
is_measurable(const PwSize *delta)
{
  PwQuantity quantity = pw_size_quantity(delta);
  return fabs(quantity.value) > expanded(&quantity);
}

/* A size and what it was more or less before; NULL when nothing is known of that. Only the first of
 * several marks that one has become says it, with their common size. */
static char *
dup_change(const PwStyle *style, const PwModelMark *mark)
{
  const PwModelChange *change = mark->change;
  if (change == NULL || mark != change->after[0])
    return NULL;
  if (mark->kind == PW_KIND_POINT)
    return dup_count_change(style, mark);
  if (!change->sized)
    return NULL;
  if (!is_measurable(&change->delta))
    return g_strdup(pw_style_word(style, "no-change"));
  g_autofree char *difference = dup_delta(&change->delta);
  g_autofree char *after = dup_with_unit(&change->after_size, mark->kind);
  const char *key = change->n_after == 1 ? "changed" : "changed-together";
  return pw_style_dup_phrase(style, key, "after", after, "change", difference, NULL);
}

/* ---- Callouts -------------------------------------------------------------------------------- */

static gboolean
is_undecided(const PwModelMark *mark)
{
  return mark->text->term == NULL || g_str_equal(mark->text->term, PW_TERM_UNDECIDED);
}

static char *
dup_head(const PwStyle *style, const PwModelMark *mark)
{
  const char *part = mark->text->part;
  const char *term = is_undecided(mark) ? pw_style_word(style, "undecided") : mark->text->term;
  return part != NULL ? pw_style_dup_phrase(style, "head", "term", term, "part", part, NULL)
                      : g_strdup(term);
}

static const char *
severity_word(const PwStyle *style, int severity)
{
  static const char *const keys[] = {"severity-1", "severity-2", "severity-3"};
  return severity >= 1 && severity <= 3 ? pw_style_word(style, keys[severity - 1]) : NULL;
}

/* Why a mark has no size: in short where the whole photograph has none, for then its reason stands
 * under the picture, and for the public, since reasons name cards. NULL when it has one or needs
 * none. */
static char *
dup_no_size(const PwStyle *style, const PwModelMark *mark, gboolean is_public)
{
  if (mark->why == NULL || mark->text->gone || mark->kind == PW_KIND_POINT)
    return NULL;
  if (is_public || (mark->photo->scale == NULL && g_strcmp0(mark->why, mark->photo->why) == 0))
    return g_strdup(pw_style_word(style, "no-size-here"));
  return pw_style_dup_phrase(style, "no-size", "why", mark->why, NULL);
}

static char *
dup_share(const PwStyle *style, const PwModelMark *mark)
{
  if (!mark->sized || mark->text->gone || !mark->has_share ||
      mark->share_percent.value < SHARE_WORTH_SAYING)
    return NULL;
  PwQuantity share = pw_size_quantity(&mark->share_percent);
  g_autofree char *size = pw_format_quantity(share.value, expanded(&share));
  return pw_style_dup_phrase(style, "size-share", "size", size, NULL);
}

static char *
dup_longest(const PwStyle *style, const PwModelMark *mark)
{
  if (!mark->sized || mark->text->gone || mark->kind != PW_KIND_AREA)
    return NULL;
  double area = mark->sizes.area_mm2.value, longest = mark->sizes.longest_mm.value;
  if (longest * longest <= LONG_MARK * area)
    return NULL;
  g_autofree char *size = dup_with_unit(&mark->sizes.longest_mm, PW_KIND_LINE);
  return pw_style_dup_phrase(style, "size-longest", "size", size, NULL);
}

/* Whether what is said of its change holds its own size too. */
static gboolean
change_tells_size(const PwModelMark *mark)
{
  const PwModelChange *change = mark->change;
  if (mark->text->gone || mark->kind == PW_KIND_POINT)
    return TRUE;
  return change->n_after == 1 && is_measurable(&change->delta);
}

/* The size, or what has become of it, on a line of its own; below it what else there is to say in
 * figures. How severe the damage is stands behind its size, never behind a change, of which it
 * would seem to speak. */
static void
add_sizes(PwCallout *callout, const PwStyle *style, const PwModelMark *mark, gboolean is_public)
{
  char *change = mark->text->gone ? dup_gone(style, mark) : dup_change(style, mark);
  gboolean told = change != NULL && change_tells_size(mark);
  g_autofree char *none = dup_no_size(style, mark, is_public);
  g_autofree char *own = none != NULL || told ? NULL : dup_own_size(style, mark);
  const char *severity = or_empty(severity_word(style, mark->text->severity));
  pw_callout_take_words(callout, PW_ROLE_SIZE,
                        pw_words_join(or_empty(none), or_empty(own), told ? "" : severity, NULL));
  pw_callout_take_words(callout, PW_ROLE_SIZE, change);
  pw_callout_take_words(callout, PW_ROLE_SIZE, g_strdup(told ? severity : ""));
  pw_callout_take_words(callout, PW_ROLE_SIZE, dup_longest(style, mark));
  pw_callout_take_words(callout, PW_ROLE_SIZE, dup_share(style, mark));
}

/* The note behind the word that says how it is known. */
static void
add_note(PwCallout *callout, const PwStyle *style, const PwModelMark *mark)
{
  static const char *const keys[] = {
      [PW_BASIS_OBSERVED] = NULL,
      [PW_BASIS_TESTED] = "basis-tested",
      [PW_BASIS_INFERRED] = "basis-inferred",
      [PW_BASIS_REPORTED] = "basis-reported",
  };
  PwBasis basis = mark->text->basis;
  const char *note = mark->text->note, *known = keys[basis];
  PwRole role =
      basis == PW_BASIS_INFERRED || basis == PW_BASIS_REPORTED ? PW_ROLE_INFERRED : PW_ROLE_NOTE;
  if (known == NULL)
    pw_callout_take_words(callout, role, g_strdup(note));
  else if (note == NULL)
    pw_callout_take_words(callout, role, g_strdup(pw_style_word(style, known)));
  else
    pw_callout_take_words(callout, role,
                          pw_style_dup_phrase(style, "note-with-basis", "basis",
                                              pw_style_word(style, known), "note", note, NULL));
}

void
pw_words_fill_callout(PwCallout *callout, const PwStyle *style, const PwModelMark *mark,
                      gboolean is_public)
{
  pw_callout_take_words(callout, PW_ROLE_HEAD, dup_head(style, mark));
  add_sizes(callout, style, mark, is_public);
  if (is_undecided(mark))
    pw_callout_take_words(callout, PW_ROLE_NOTE, g_strdup(pw_style_word(style, "undecided-note")));
  add_note(callout, style, mark);
  if (mark->withheld && !is_public)
    pw_callout_take_words(callout, PW_ROLE_NOTE, g_strdup(pw_style_word(style, "private")));
}

/* ---- Photographs ----------------------------------------------------------------------------- */

char *
pw_words_join(const char *first, ...)
{
  GString *joined = g_string_new(NULL);
  va_list rest;
  va_start(rest, first);
  for (const char *word = first; word != NULL; word = va_arg(rest, const char *))
    if (*word != '\0')
      g_string_append_printf(joined, "%s%s", joined->len > 0 ? " \u00b7 " : "", word);
  va_end(rest);
  return g_string_free(joined, FALSE);
}

const char *
pw_words_peek_stage(const PwStyle *style, PwStage stage)
{
  static const char *const keys[] = {"stage-none", "stage-before", "stage-during", "stage-after"};
  return pw_style_word(style, keys[stage]);
}

char *
pw_words_dup_stage(const PwStyle *style, const PwModelPhoto *photo)
{
  const char *step = photo->sidecar != NULL ? photo->sidecar->step : NULL;
  if (photo->stage == PW_STAGE_DURING && step != NULL)
    return pw_style_dup_phrase(style, "stage-step", "step", step, NULL);
  return g_strdup(pw_words_peek_stage(style, photo->stage));
}

/* The style's word for one of the record's own ("side-fore-edge" for "fore edge"); the record's
 * where the style has none. */
static const char *
word_for(const PwStyle *style, const char *prefix, const char *text)
{
  g_autofree char *key = g_strdup_printf("%s-%s", prefix, text);
  for (char *at = key; *at != '\0'; at++)
    if (*at == ' ')
      *at = '-';
  const char *word = pw_style_word(style, key);
  return word == key ? text : word;
}

static char *
dup_light(const PwStyle *style, const char *light)
{
  static const char raking[] = "raking from ";
  if (light == NULL)
    return NULL;
  if (g_str_has_prefix(light, raking))
    return pw_style_dup_phrase(style, "light-raking", "side",
                               word_for(style, "side", light + strlen(raking)), NULL);
  return g_strdup(word_for(style, "light", light));
}

char *
pw_words_dup_when(const PwStyle *style, const PwModelPhoto *photo)
{
  g_autofree char *date = photo->taken != NULL ? pw_style_dup_date(style, photo->taken)
                                               : g_strdup(pw_style_word(style, "date-none"));
  g_autofree char *light = dup_light(style, photo->sidecar != NULL ? photo->sidecar->light : NULL);
  return pw_words_join(date, or_empty(light), NULL);
}

/* The model's name alone where it begins with the maker's. */
static char *
dup_camera(const PwPhotoFacts *facts)
{
  if (facts->make == NULL || facts->model == NULL || g_str_has_prefix(facts->model, facts->make))
    return g_strdup(facts->model != NULL ? facts->model : facts->make);
  return g_strdup_printf("%s %s", facts->make, facts->model);
}

char *
pw_words_dup_file(const PwModelPhoto *photo)
{
  g_autofree char *name = g_path_get_basename(photo->file);
  g_autofree char *checksum =
      photo->sha256 != NULL ? g_strndup(photo->sha256, CHECKSUM_DIGITS) : NULL;
  return pw_words_join(name, or_empty(checksum), NULL);
}

char *
pw_words_dup_camera(const PwModelPhoto *photo)
{
  g_autofree char *camera = dup_camera(&photo->facts);
  g_autofree char *exposure = pw_photo_facts_dup_exposure(&photo->facts);
  return pw_words_join(or_empty(camera), or_empty(exposure), NULL);
}

static char *
dup_colour(const PwStyle *style, const PwPhotoFacts *facts)
{
  if (facts->colour == NULL || g_str_has_prefix(facts->colour, "sRGB"))
    return NULL;
  if (g_str_has_prefix(facts->colour, "untagged"))
    return g_strdup(pw_style_word(style, "pixels-no-profile"));
  return pw_style_dup_phrase(style, "pixels-converted", "profile", facts->colour, NULL);
}

/* The quarter turns, clockwise, of each EXIF orientation (TIFF 6.0 and EXIF 2.32, tag 0x0112). */
static char *
dup_turn(const PwStyle *style, int orientation)
{
  static const char *const angles[9] = {
      [3] = "180", [5] = "270", [6] = "90", [7] = "90", [8] = "270"};
  if (orientation < 2 || orientation > 8 || angles[orientation] == NULL)
    return NULL;
  return pw_style_dup_phrase(style, "pixels-turned", "angle", angles[orientation], NULL);
}

static const char *
mirror_word(const PwStyle *style, int orientation)
{
  gboolean mirrored = orientation == 2 || orientation == 4 || orientation == 5 || orientation == 7;
  return mirrored ? pw_style_word(style, "pixels-mirrored") : NULL;
}

char *
pw_words_dup_pixels(const PwStyle *style, const PwModelPhoto *photo, gboolean cropped,
                    gboolean masked, gboolean for_screen)
{
  g_autofree char *turned = dup_turn(style, photo->facts.orientation);
  g_autofree char *colour = dup_colour(style, &photo->facts);
  g_autofree char *resized =
      for_screen ? g_strdup(pw_style_word(style, "pixels-reduced"))
                 : pw_style_dup_phrase(style, "pixels-resized", "ppi", "300", NULL);
  const char *done[] = {
      masked ? pw_style_word(style, "pixels-private") : NULL,
      mirror_word(style, photo->facts.orientation),
      turned,
      cropped ? pw_style_word(style, "pixels-cropped") : NULL,
      colour,
      pw_style_is_grey(style) ? pw_style_word(style, "pixels-grey") : NULL,
      resized,
  };
  g_autoptr(GString) list = g_string_new(NULL);
  for (gsize i = 0; i < G_N_ELEMENTS(done); i++)
    if (done[i] != NULL)
      g_string_append_printf(list, "%s%s", list->len > 0 ? ", " : "", done[i]);
  return g_strdup(list->str);
}

static const char *
method_word(const PwStyle *style, PwScaleMethod method)
{
  static const char *const keys[] = {
      [PW_SCALE_NONE] = "scale-none",
      [PW_SCALE_RECTANGLE] = "scale-rectangle",
      [PW_SCALE_SPAN] = "scale-span",
      [PW_SCALE_TICKS] = "scale-ticks",
  };
  return method < G_N_ELEMENTS(keys) && keys[method] ? pw_style_word(style, keys[method]) : "";
}

/* How a scale was got; a card with what it leaves unsure, by the name that the studio gave it,
 * which the public does not see. */
static char *
dup_method(const PwStyle *style, const PwModelPhoto *photo, PwScaleMethod method,
           gboolean is_public)
{
  for (gsize i = 0; i < photo->n_cards; i++) {
    const PwModelCard *card = &photo->cards[i];
    if (card->scale != photo->scale || isnan(card->doubt_percent))
      continue;
    g_autofree char *doubt = pw_format_uncertainty(card->doubt_percent);
    return is_public ? pw_style_dup_phrase(style, "scale-tags-public", "design", card->design,
                                           "percent", doubt, NULL)
                     : pw_style_dup_phrase(style, "scale-tags", "card", card->name, "design",
                                           card->design, "percent", doubt, NULL);
  }
  return g_strdup(method_word(style, method));
}

/* "sizes near card second by that card": where a photograph has several planes. NULL with one. */
static char *
dup_other_cards(const PwStyle *style, const PwModelPhoto *photo, gboolean is_public)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].scale != NULL && photo->cards[i].scale != photo->scale)
      g_ptr_array_add(names, is_public ? photo->cards[i].design : (gpointer)photo->cards[i].name);
  if (names->len == 0)
    return NULL;
  g_ptr_array_add(names, NULL);
  g_autofree char *list = g_strjoinv(", ", (char **)names->pdata);
  return pw_style_dup_phrase(style, "scale-tags-others", "cards", list, NULL);
}

static char *
dup_plane(const PwStyle *style, double offset_mm)
{
  if (fabs(offset_mm) < 0.005)
    return g_strdup(pw_style_word(style, "plane-card"));
  double tenths = round(fabs(offset_mm) * 10) / 10;
  g_autofree char *mm = pw_format_double(tenths);
  return pw_style_dup_phrase(style, offset_mm > 0 ? "plane-above" : "plane-below", "mm", mm, NULL);
}

char *
pw_words_dup_scale(const PwStyle *style, const PwModelPhoto *photo, gboolean is_public)
{
  if (photo->scale == NULL) {
    const char *why = is_public && photo->n_cards > 0 ? pw_style_word(style, "no-card-public")
                                                      : or_empty(photo->why);
    return pw_style_dup_phrase(style, "scale-none", "why", why, NULL);
  }
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  g_autofree char *plane = dup_plane(style, facts.plane_offset_mm);
  g_autofree char *tilt = NULL;
  if (facts.tilt_deg > TILT_WORTH_SAYING_DEG) {
    g_autofree char *degrees = pw_format_fixed(facts.tilt_deg, 0);
    tilt = pw_style_dup_phrase(style, "tilt", "deg", degrees, NULL);
  }
  g_autofree char *method = dup_method(style, photo, facts.method, is_public);
  g_autofree char *others = dup_other_cards(style, photo, is_public);
  const char *lens = facts.lens.f_px > 0 ? pw_style_word(style, "lens-known") : NULL;
  return pw_words_join(method, plane, or_empty(tilt), or_empty(others), or_empty(lens), NULL);
}
