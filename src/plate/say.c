/* Printed words of marks and photographs. */
#include "say.h"

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

/* "-0.5 mm" in the language's figures, of a figure as base writes it. */
static char *
dup_figure(const PwWords *words, char *plain_taken)
{
  char *figure = pw_words_dup_number(words, plain_taken);
  g_free(plain_taken);
  return figure;
}

static char *
dup_own_size(const PwWords *words, const PwModelMark *mark)
{
  g_autofree char *size = pw_model_mark_dup_shown(mark, words);
  if (size == NULL || mark->kind == PW_KIND_POINT)
    return g_steal_pointer(&size);
  return pw_words_dup_phrase(words, mark->kind == PW_KIND_AREA ? "size-area" : "size-line", "size",
                             size, NULL);
}

/* ---- Callouts -------------------------------------------------------------------------------- */

static const char *
severity_word(const PwWords *words, int severity)
{
  static const char *const keys[] = {"severity-1", "severity-2", "severity-3"};
  return severity >= 1 && severity <= 3 ? pw_words_peek(words, keys[severity - 1]) : NULL;
}

/* Why a mark has no size: in short where the whole photograph has none, for then its reason stands
 * under the picture. NULL when it has one or needs none. */
static char *
dup_no_size(const PwWords *words, const PwModelMark *mark)
{
  if (mark->why_not == PW_WHY_NOT_NONE || mark->text->gone || mark->kind == PW_KIND_POINT)
    return NULL;
  if (mark->photo->scale == NULL && mark->why_not == mark->photo->why_not)
    return g_strdup(pw_words_peek(words, "no-size-here"));
  return pw_words_dup_phrase(words, "no-size", "why", pw_why_not_peek(mark->why_not, words), NULL);
}

static char *
dup_share(const PwWords *words, const PwModelMark *mark)
{
  gboolean said = mark->sized && !mark->text->gone && mark->has_share &&
                  mark->share_percent.value >= SHARE_WORTH_SAYING;
  return said ? pw_model_mark_dup_share(mark, words) : NULL;
}

static char *
dup_longest(const PwWords *words, const PwModelMark *mark)
{
  double area = mark->sizes.area_mm2.value, longest = mark->sizes.longest_mm.value;
  return longest * longest > LONG_MARK * area ? pw_model_mark_dup_longest(mark, words) : NULL;
}

/* The size, or what has become of it, on a line of its own; below it what else there is to say in
 * figures. How severe the damage is stands behind its size, wherever that is told; of what is made
 * good nothing is left to be severe. */
static void
add_sizes(PwCallout *callout, const PwWords *words, const PwModelMark *mark)
{
  g_autofree char *change = pw_model_mark_dup_change(mark, words);
  gboolean told = pw_model_mark_change_tells_size(mark);
  g_autofree char *none = dup_no_size(words, mark);
  g_autofree char *own = none != NULL || told ? NULL : dup_own_size(words, mark);
  const char *severity =
      mark->text->gone ? "" : or_empty(severity_word(words, mark->text->severity));
  pw_callout_take_words(callout, PW_ROLE_SIZE,
                        pw_say_join(or_empty(none), or_empty(own), told ? "" : severity, NULL));
  pw_callout_take_words(callout, PW_ROLE_SIZE,
                        pw_say_join(or_empty(change), told ? severity : "", NULL));
  pw_callout_take_words(callout, PW_ROLE_SIZE, dup_longest(words, mark));
  pw_callout_take_words(callout, PW_ROLE_SIZE, dup_share(words, mark));
}

/* The note behind the word that says how it is known. */
static void
add_note(PwCallout *callout, const PwWords *words, const PwModelMark *mark)
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
    pw_callout_take_words(callout, role, g_strdup(pw_words_peek(words, known)));
  else
    pw_callout_take_words(callout, role,
                          pw_words_dup_phrase(words, "note-with-basis", "basis",
                                              pw_words_peek(words, known), "note", note, NULL));
}

void
pw_say_callout(PwCallout *callout, const PwWords *words, const PwModelMark *mark,
               gboolean is_public)
{
  pw_callout_take_words(callout, PW_ROLE_HEAD, pw_model_mark_dup_head(mark, words));
  add_sizes(callout, words, mark);
  add_note(callout, words, mark);
  if (mark->withheld && !is_public)
    pw_callout_take_words(callout, PW_ROLE_NOTE, g_strdup(pw_words_peek(words, "private")));
}

void
pw_say_untold(PwCallout *callout, const PwWords *words, const PwModelMark *mark)
{
  pw_callout_take_words(callout, PW_ROLE_HEAD, pw_model_mark_dup_head(mark, words));
  pw_callout_take_words(callout, PW_ROLE_SIZE, g_strdup(pw_words_peek(words, "untold")));
}

/* ---- Photographs ----------------------------------------------------------------------------- */

char *
pw_say_join(const char *first, ...)
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
pw_say_peek_stage(const PwWords *words, PwStage stage)
{
  static const char *const keys[] = {"stage-none", "stage-before", "stage-during", "stage-after"};
  return pw_words_peek(words, keys[stage]);
}

char *
pw_say_dup_stage(const PwWords *words, const PwModelPhoto *photo)
{
  const char *step = photo->sidecar != NULL ? photo->sidecar->step : NULL;
  if (photo->stage == PW_STAGE_DURING && step != NULL)
    return pw_words_dup_phrase(words, "stage-step", "step", step, NULL);
  return g_strdup(pw_say_peek_stage(words, photo->stage));
}

char *
pw_say_dup_when(const PwWords *words, const PwModelPhoto *photo)
{
  g_autofree char *date = photo->taken != NULL ? pw_words_dup_date(words, photo->taken)
                                               : g_strdup(pw_words_peek(words, "date-none"));
  const char *light = photo->sidecar != NULL ? photo->sidecar->light : NULL;
  return pw_say_join(date, or_empty(pw_words_peek_light(words, light)), NULL);
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
pw_say_dup_file(const PwModelPhoto *photo)
{
  g_autofree char *name = g_path_get_basename(photo->file);
  g_autofree char *checksum =
      photo->sha256 != NULL ? g_strndup(photo->sha256, CHECKSUM_DIGITS) : NULL;
  return pw_say_join(name, or_empty(checksum), NULL);
}

char *
pw_say_dup_camera(const PwModelPhoto *photo)
{
  g_autofree char *camera = dup_camera(&photo->facts);
  g_autofree char *exposure = pw_photo_facts_dup_exposure(&photo->facts);
  return pw_say_join(or_empty(camera), or_empty(exposure), NULL);
}

static char *
dup_colour(const PwWords *words, const PwPhotoFacts *facts)
{
  if (facts->colour == NULL || g_str_has_prefix(facts->colour, "sRGB"))
    return NULL;
  if (g_str_has_prefix(facts->colour, "untagged"))
    return g_strdup(pw_words_peek(words, "pixels-no-profile"));
  return pw_words_dup_phrase(words, "pixels-converted", "profile", facts->colour, NULL);
}

/* The quarter turns, clockwise, of each EXIF orientation (TIFF 6.0 and EXIF 2.32, tag 0x0112). */
static char *
dup_turn(const PwWords *words, int orientation)
{
  static const char *const angles[9] = {
      [3] = "180", [5] = "270", [6] = "90", [7] = "90", [8] = "270"};
  if (orientation < 2 || orientation > 8 || angles[orientation] == NULL)
    return NULL;
  return pw_words_dup_phrase(words, "pixels-turned", "angle", angles[orientation], NULL);
}

static const char *
mirror_word(const PwWords *words, int orientation)
{
  gboolean mirrored = orientation == 2 || orientation == 4 || orientation == 5 || orientation == 7;
  return mirrored ? pw_words_peek(words, "pixels-mirrored") : NULL;
}

char *
pw_say_dup_pixels(const PwPlateOptions *options, const PwModelPhoto *photo, gboolean cropped,
                  gboolean masked)
{
  const PwWords *words = options->words;
  g_autofree char *turned = dup_turn(words, photo->facts.orientation);
  g_autofree char *colour = dup_colour(words, &photo->facts);
  g_autofree char *resized = options->for_screen
                                 ? g_strdup(pw_words_peek(words, "pixels-reduced"))
                                 : pw_words_dup_phrase(words, "pixels-resized", "ppi", "300", NULL);
  const char *done[] = {
      masked ? pw_words_peek(words, "pixels-private") : NULL,
      mirror_word(words, photo->facts.orientation),
      turned,
      cropped ? pw_words_peek(words, "pixels-cropped") : NULL,
      colour,
      pw_style_is_grey(options->style) ? pw_words_peek(words, "pixels-grey") : NULL,
      resized,
  };
  g_autoptr(GString) list = g_string_new(NULL);
  for (gsize i = 0; i < G_N_ELEMENTS(done); i++)
    if (done[i] != NULL)
      g_string_append_printf(list, "%s%s", list->len > 0 ? "; " : "", done[i]);
  return g_strdup(list->str);
}

/* ---- Before and after, one over the other ---------------------------------------------------- */

/* Turns and enlargements that round to none are not told. */
#define LEAST_TURN_DEG 0.05
#define LEAST_ENLARGEMENT 0.005

/* How far the corners of the picture before are from where a turn and an enlargement about its
 * middle alone would put them, at most, in px of it. */
static double
beyond_similarity(const PwSheetPicture *before, const PwHomography *back, const double j[4])
{
  double x = before->width_px / 2, y = before->height_px / 2, a = (j[0] + j[3]) / 2,
         b = (j[2] - j[1]) / 2, worst = 0, middle_x, middle_y;
  pw_homography_apply(back, x, y, &middle_x, &middle_y);
  for (int i = 0; i < 4; i++) {
    double dx = i & 1 ? x : -x, dy = i >> 1 ? y : -y, at_x, at_y;
    pw_homography_apply(back, x + dx, y + dy, &at_x, &at_y);
    worst = fmax(worst,
                 hypot(at_x - middle_x - (a * dx - b * dy), at_y - middle_y - (b * dx + a * dy)));
  }
  return worst / hypot(a, b);
}

static void
append_change(GString *list, char *change)
{
  g_string_append_printf(list, "%s%s", list->len > 0 ? ", " : "", change);
  g_free(change);
}

/* "turned 1.2°, enlarged 1.03 times": of what is not to be said, nothing. */
static char *
dup_laid_changes(const PwWords *words, const PwLay *lay)
{
  const PwSheetPicture *before = lay->before;
  GString *list = g_string_new(NULL);
  PwHomography back;
  double j[4];
  if (!pw_homography_invert(&lay->after->to_frame, &back))
    return g_string_free(list, FALSE);
  pw_homography_jacobian(&back, before->width_px / 2, before->height_px / 2, j);
  double turn = fabs(atan2(j[2] - j[1], j[0] + j[3])) * 180 / G_PI;
  double times = 1 / sqrt(fabs(j[0] * j[3] - j[1] * j[2]));
  g_autofree char *angle = dup_figure(words, pw_format_fixed(turn, 1));
  g_autofree char *factor = dup_figure(words, pw_format_fixed(times, 2));
  if (turn >= LEAST_TURN_DEG)
    append_change(list, pw_words_dup_phrase(words, "laid-turned", "angle", angle, NULL));
  if (fabs(times - 1) >= LEAST_ENLARGEMENT)
    append_change(list, pw_words_dup_phrase(words, times > 1 ? "laid-larger" : "laid-smaller",
                                            "times", factor, NULL));
  if (beyond_similarity(before, &back, j) > lay->pair->alignment.residual_px)
    append_change(list, g_strdup(pw_words_peek(words, "laid-perspective")));
  if (list->len == 0)
    g_string_append(list, pw_words_peek(words, "laid-shifted"));
  return g_string_free(list, FALSE);
}

static char *
dup_laid_off(const PwWords *words, const PwLay *lay)
{
  double px = lay->pair->alignment.residual_px, mm = px * lay->before->mm_per_px;
  gboolean scaled = isfinite(mm);
  g_autofree char *off = dup_figure(words, pw_format_fixed(scaled ? mm : px, scaled ? 2 : 1));
  return pw_words_dup_phrase(words, scaled ? "laid-off-mm" : "laid-off-px", "off", off, NULL);
}

char *
pw_say_dup_laid(const PwPlateOptions *options, const PwLay *lay)
{
  const PwWords *words = options->words;
  if (lay->pair == NULL)
    return NULL;
  if (!lay->laid) {
    const char *why = lay->pair->is_laid                  ? "laid-not-marks"
                      : lay->pair->start == PW_START_NONE ? "laid-not-start"
                                                          : "laid-not-flat";
    return g_strdup(pw_words_peek(words, options->audience == PW_FOR_STUDIO ? why : "laid-not"));
  }
  g_autofree char *changes = dup_laid_changes(words, lay), *off = dup_laid_off(words, lay);
  const char *key = options->audience == PW_FOR_STUDIO ? "laid" : "laid-plain";
  char *said = pw_words_dup_phrase(words, key, "changes", changes, "off", off, NULL);
  if (!pw_lay_leaves_white(lay))
    return said;
  g_autofree char *first = said;
  return g_strconcat(first, " ", pw_words_peek(words, "laid-white"), NULL);
}

/* ---- Scales ---------------------------------------------------------------------------------- */

static const char *
method_word(const PwWords *words, PwScaleMethod method)
{
  static const char *const keys[] = {
      [PW_SCALE_NONE] = "scale-none",
      [PW_SCALE_RECTANGLE] = "scale-rectangle",
      [PW_SCALE_SPAN] = "scale-span",
      [PW_SCALE_TICKS] = "scale-ticks",
  };
  return method < G_N_ELEMENTS(keys) && keys[method] ? pw_words_peek(words, keys[method]) : "";
}

/* The card that gives the scale of a photograph, where what it leaves unsure is known; or NULL. */
static const PwModelCard *
peek_card(const PwModelPhoto *photo)
{
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].scale == photo->scale && !isnan(photo->cards[i].doubt_percent))
      return &photo->cards[i];
  return NULL;
}

char *
pw_say_dup_doubt(const PwWords *words, const PwModelPhoto *photo)
{
  const PwModelCard *card = photo->scale != NULL ? peek_card(photo) : NULL;
  return card != NULL ? dup_figure(words, pw_format_uncertainty(card->doubt_percent)) : NULL;
}

/* How a scale was got; a card with what it leaves unsure, in the studio by the name it has there.
 */
static char *
dup_method(const PwWords *words, const PwModelPhoto *photo, PwScaleMethod method, const char *doubt,
           PwAudience audience)
{
  const PwModelCard *card = peek_card(photo);
  if (card == NULL)
    return g_strdup(method_word(words, method));
  return audience == PW_FOR_STUDIO
             ? pw_words_dup_phrase(words, "scale-tags", "card", card->name, "design", card->design,
                                   "percent", doubt, NULL)
             : pw_words_dup_phrase(words, "scale-tags-plain", "percent", doubt, NULL);
}

/* "sizes near card second by that card": where a photograph has several planes. NULL with one. */
static char *
dup_other_cards(const PwWords *words, const PwModelPhoto *photo, PwAudience audience)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (gsize i = 0; i < photo->n_cards; i++)
    if (photo->cards[i].scale != NULL && photo->cards[i].scale != photo->scale)
      g_ptr_array_add(names, (gpointer)photo->cards[i].name);
  if (names->len == 0)
    return NULL;
  if (audience != PW_FOR_STUDIO)
    return g_strdup(pw_words_peek(words, "scale-tags-others-plain"));
  g_ptr_array_add(names, NULL);
  g_autofree char *list = g_strjoinv(", ", (char **)names->pdata);
  return pw_words_dup_phrase(words, "scale-tags-others", "cards", list, NULL);
}

/* Where sizes hold: a card is named, a rule or a rectangle has been a word before. */
static char *
dup_plane(const PwWords *words, double offset_mm, gboolean of_card)
{
  if (fabs(offset_mm) < 0.005)
    return g_strdup(pw_words_peek(words, of_card ? "plane-card" : "plane-same"));
  const char *above = of_card ? "plane-above" : "plane-over";
  const char *below = of_card ? "plane-below" : "plane-under";
  double tenths = round(fabs(offset_mm) * 10) / 10;
  g_autofree char *mm = dup_figure(words, pw_format_double(tenths));
  return pw_words_dup_phrase(words, offset_mm > 0 ? above : below, "mm", mm, NULL);
}

/* What is lacking are sizes where a rule or card may well lie in view. */
static const char *
none_key(PwWhyNot why_not)
{
  gboolean in_view =
      why_not == PW_WHY_NOT_CURVED || why_not == PW_WHY_NOT_LEVEL || why_not == PW_WHY_NOT_DISTANCE;
  return in_view ? "sizes-none" : "scale-none";
}

char *
pw_say_dup_scale(const PwWords *words, const PwModelPhoto *photo, const char *doubt,
                 PwAudience audience)
{
  if (photo->scale == NULL)
    return pw_words_dup_phrase(words, none_key(photo->why_not), "why",
                               pw_why_not_peek(photo->why_not, words), NULL);
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  g_autofree char *plane = dup_plane(words, facts.plane_offset_mm, facts.method == PW_SCALE_TAGS);
  g_autofree char *tilt = NULL;
  if (facts.tilt_deg > TILT_WORTH_SAYING_DEG) {
    g_autofree char *degrees = pw_format_fixed(facts.tilt_deg, 0);
    tilt = pw_words_dup_phrase(words, "tilt", "deg", degrees, NULL);
  }
  g_autofree char *method = dup_method(words, photo, facts.method, doubt, audience);
  g_autofree char *others = dup_other_cards(words, photo, audience);
  const char *lens = facts.lens.f_px > 0 ? pw_words_peek(words, "lens-known") : NULL;
  return pw_say_join(method, plane, or_empty(tilt), or_empty(others), or_empty(lens), NULL);
}
