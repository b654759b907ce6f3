/* From the model to the page's words. Rules of what each audience sees are the model's; this file
 * asks it. All plates of the public leave out file names, checksums and that anything is private.
 */
#include "compose.h"

#include <math.h>

#include "difference.h"
#include "lay.h"
#include "number.h"
#include "say.h"

/* Round an enlarged mark: this share of its longer side on each side, and never a smaller crop than
 * this, so that its neighbourhood is recognised. */
#define SURROUNDINGS 0.6
#define LEAST_CROP_PX 840.0
/* An enlargement is at most this many times as wide as high, and at least that many: so it fills a
 * page that lies across. */
#define MOST_ASPECT 1.7
#define LEAST_ASPECT 1.4
/* Of a picture that is as long as a page is high this is half the casing of a mark. */
#define HIDDEN_SHARE 0.0015
/* Plates composed at once: laying a pair holds both of its photographs. */
#define PAIRS_AT_ONCE 2

typedef struct {
  const PwModel *model;
  const PwPlateOptions *options;
  PwSheet *sheet;
  PwLay lay;
  GPtrArray *marks; /* PwModelMark in the order of the plate */
  GArray *pictures; /* guint: whose picture each is on */
} Work;

static gboolean
is_public(const Work *w)
{
  return w->options->audience == PW_FOR_PUBLIC;
}

/* ---- Pictures -------------------------------------------------------------------------------- */

static void
add_picture(Work *w, const PwModelPhoto *photo)
{
  if (photo == NULL || !photo->readable ||
      !pw_model_photo_shown(w->model, photo, w->options->audience))
    return;
  PwSheetPicture *picture = &w->sheet->pictures[w->sheet->n_pictures++];
  picture->source = photo;
  picture->width_px = picture->crop_width = photo->facts.width;
  picture->height_px = picture->crop_height = photo->facts.height;
  if (photo->scale != NULL) {
    PwScaleFacts facts;
    pw_scale_facts(photo->scale, &facts);
    picture->mm_per_px = facts.mm_per_px;
  }
  picture->label = pw_say_dup_stage(w->options->words, photo);
  picture->when = pw_say_dup_when(w->options->words, photo);
  picture->file = is_public(w) ? NULL : pw_say_dup_file(photo);
  picture->camera = pw_say_dup_camera(photo);
}

/* Widens [from, from + length] to `wanted` about its middle, within [0, most]. */
static void
widen(double *from, double *length, double wanted, double most)
{
  wanted = MIN(wanted, most);
  *from = CLAMP(*from + *length / 2 - wanted / 2, 0, most - wanted);
  *length = wanted;
}

static void
crop_to_mark(PwSheetPicture *picture, const PwModelMark *mark)
{
  const PwPxPath *path = &mark->text->path;
  double left = HUGE_VAL, top = HUGE_VAL, right = -HUGE_VAL, bottom = -HUGE_VAL;
  for (gsize i = 0; i < path->n; i++) {
    left = MIN(left, path->points[i].x);
    right = MAX(right, path->points[i].x);
    top = MIN(top, path->points[i].y);
    bottom = MAX(bottom, path->points[i].y);
  }
  double width = right - left, height = bottom - top;
  double round = 2 * SURROUNDINGS * MAX(width, height);
  double x = MAX(LEAST_CROP_PX, width + round), y = MAX(LEAST_CROP_PX, height + round);
  picture->crop_x = left;
  picture->crop_y = top;
  picture->crop_width = width;
  picture->crop_height = height;
  widen(&picture->crop_x, &picture->crop_width, MAX(x, y * LEAST_ASPECT), picture->width_px);
  widen(&picture->crop_y, &picture->crop_height, MAX(y, x / MOST_ASPECT), picture->height_px);
}

/* ---- Marks ----------------------------------------------------------------------------------- */

static gboolean
in_crop(const PwSheetPicture *picture, const PwPxPath *path)
{
  for (gsize i = 0; i < path->n; i++) {
    PwPx p = path->points[i];
    if (p.x >= picture->crop_x && p.x <= picture->crop_x + picture->crop_width &&
        p.y >= picture->crop_y && p.y <= picture->crop_y + picture->crop_height)
      return TRUE;
  }
  return path->n == 0 && !(picture->crop_width < picture->width_px) &&
         !(picture->crop_height < picture->height_px);
}

static void
gather_marks(Work *w, guint i)
{
  const PwSheetPicture *picture = &w->sheet->pictures[i];
  const PwModelPhoto *photo = picture->source;
  for (gsize k = 0; k < photo->n_marks; k++) {
    PwModelMark *mark = &photo->marks[k];
    const PwPxPath *path = pw_lay_carry(w->sheet, picture, &mark->text->path, 1);
    if (!pw_model_mark_shown(w->model, mark, w->options->audience) || !in_crop(picture, path))
      continue;
    g_ptr_array_add(w->marks, mark);
    g_array_append_val(w->pictures, i);
  }
}

static PwNumbered *
number_marks(const Work *w)
{
  PwNumbered *numbered = g_new0(PwNumbered, w->marks->len + 1);
  for (guint i = 0; i < w->marks->len; i++) {
    const PwModelMark *mark = w->marks->pdata[i];
    numbered[i] = (PwNumbered){mark->text->id, mark->family, 0, FALSE};
  }
  pw_number_marks(numbered, w->marks->len, is_public(w));
  return numbered;
}

static int
add_mark(Work *w, guint picture, const PwModelMark *mark, gboolean was)
{
  const PwMark *text = mark->text;
  PwSheetPicture *to = &w->sheet->pictures[picture];
  const PwSheetPicture *from = to->source == mark->photo ? to : w->lay.before;
  PwSheetMark drawn = {.kind = mark->kind,
                       .path = pw_lay_carry(w->sheet, from, &text->path, 1),
                       .holes = pw_lay_carry(w->sheet, from, text->holes, text->n_holes),
                       .n_holes = text->n_holes,
                       .group = mark->group,
                       .was = was};
  g_array_append_val(to->marks, drawn);
  return (int)to->marks->len - 1;
}

/* Where the damage was that a mark after treatment follows: known there when its photograph lies
 * over that of the earlier mark, which the audience may see. */
static const PwModelMark *
peek_earlier(const Work *w, guint picture, const PwModelMark *mark)
{
  const PwModelMark *earlier = mark->earlier;
  if (!w->sheet->pictures[picture].laid || earlier == NULL ||
      earlier->photo != w->lay.before->source || earlier->text->path.n == 0 ||
      !pw_model_mark_shown(w->model, earlier, w->options->audience))
    return NULL;
  return earlier;
}

/* Whether every point of one path lies on the line of the other. */
static gboolean
follows(const PwPxPath *path, const PwPxPath *line, gboolean is_area, double within_px)
{
  for (gsize i = 0; i < path->n; i++) {
    gboolean near = FALSE;
    for (gsize k = 0; !near && k + (is_area || line->n == 1 ? 0 : 1) < line->n; k++)
      near = pw_px_distance_to_edge(path->points[i], line->points[k],
                                    line->points[(k + 1) % line->n]) <= within_px;
    if (!near)
      return FALSE;
  }
  return TRUE;
}

/* Whether where it was is where it is: the one would be hidden under the other. */
static gboolean
is_where_it_was(const Work *w, guint picture, const PwModelMark *mark, const PwModelMark *earlier)
{
  const PwSheetPicture *now = &w->sheet->pictures[picture];
  const PwPxPath *path = pw_lay_carry(w->sheet, now, &mark->text->path, 1);
  const PwPxPath *was = pw_lay_carry(w->sheet, w->lay.before, &earlier->text->path, 1);
  gboolean is_area = mark->kind == PW_KIND_AREA;
  double within_px = HIDDEN_SHARE * MAX(now->width_px, now->height_px);
  return mark->kind == earlier->kind && follows(path, was, is_area, within_px) &&
         follows(was, path, is_area, within_px);
}

/* Damage made good that was not outlined again has its place by the earlier mark alone, or none:
 * then nothing is drawn. */
static void
add_marks(Work *w, PwCallout *callout, const PwModelMark *mark)
{
  const PwModelMark *earlier = peek_earlier(w, callout->picture, mark);
  gboolean outlined = mark->text->path.n > 0;
  if (earlier != NULL && !outlined)
    callout->mark = add_mark(w, callout->picture, earlier, TRUE);
  else if (earlier != NULL && !mark->text->gone &&
           !is_where_it_was(w, callout->picture, mark, earlier))
    callout->earlier = add_mark(w, callout->picture, earlier, TRUE);
  if (outlined)
    callout->mark = add_mark(w, callout->picture, mark, mark->text->gone);
}

static gboolean
shows_after(const PwSheet *sheet)
{
  for (guint i = 0; i < sheet->n_pictures; i++)
    if (sheet->pictures[i].source != NULL && sheet->pictures[i].source->stage == PW_STAGE_AFTER)
      return TRUE;
  return FALSE;
}

/* Of what stands made good beside it a plate calls no longer for what ends with that. */
static gboolean
has_ended(const Work *w, const PwModelMark *mark)
{
  return mark->term->ends_when_gone && shows_after(w->sheet) &&
         pw_model_mark_is_made_good(w->model, mark, w->options->audience);
}

static char *
dup_caution(const Work *w, const PwModelMark *mark)
{
  const PwWords *words = w->options->words;
  const PwTerm *term = mark->term;
  const char *caution =
      term != NULL ? pw_model_term_peek_caution(term, words, w->options->audience) : NULL;
  if (caution == NULL || has_ended(w, mark))
    return NULL;
  const char *name = pw_words_peek_term(words, term->name);
  char upper[7] = {0};
  g_unichar_to_utf8(g_unichar_toupper(g_utf8_get_char(name)), upper);
  g_autofree char *capital = g_strconcat(upper, pw_next_char(name), NULL);
  return pw_words_dup_phrase(words, "caution", "term", capital, "caution", caution, NULL);
}

static void
add_callout(Work *w, guint i, const PwNumbered *numbered)
{
  const PwModelMark *mark = w->marks->pdata[i];
  guint picture = g_array_index(w->pictures, guint, i);
  PwCallout *callout = pw_sheet_add_callout(w->sheet, picture, numbered->number);
  add_marks(w, callout, mark);
  callout->family = numbered->number;
  /* Sidecars are the studio's. */
  if (numbered->differs && w->options->audience == PW_FOR_STUDIO)
    callout->id = g_strdup_printf("#%s", mark->text->id);
  callout->sized = mark->sized && !mark->text->gone;
  callout->caution = dup_caution(w, mark);
  pw_say_callout(callout, w->options->words, mark, is_public(w));
}

/* Of a damage that was marked before treatment, and of which no mark after it tells what became of
 * it, the picture after treatment says that: bare, it would look as if nothing were left. */
static void
add_untold(Work *w, guint picture, guint i, const PwNumbered *numbered)
{
  const PwModelMark *mark = w->marks->pdata[i];
  if (mark->photo->stage != PW_STAGE_BEFORE || mark->followed)
    return;
  for (guint k = 0; k < i; k++) /* one damage may be marked several times */
    if (numbered[k].number == numbered[i].number)
      return;
  PwCallout *callout = pw_sheet_add_callout(w->sheet, picture, numbered[i].number);
  callout->family = numbered[i].number;
  pw_say_untold(callout, w->options->words, mark);
}

static int
compare_callouts(gconstpointer a, gconstpointer b)
{
  const PwCallout *p = *(PwCallout *const *)a, *q = *(PwCallout *const *)b;
  if (p->number != q->number)
    return p->number < q->number ? -1 : 1;
  return p->picture < q->picture ? -1 : p->picture > q->picture;
}

static void
add_callouts(Work *w)
{
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    gather_marks(w, i);
  g_autofree PwNumbered *numbered = number_marks(w);
  for (guint i = 0; i < w->marks->len; i++)
    add_callout(w, i, &numbered[i]);
  for (guint p = 0; p < w->sheet->n_pictures; p++)
    for (guint i = 0; i < w->marks->len; i++)
      if (w->sheet->pictures[p].source->stage == PW_STAGE_AFTER)
        add_untold(w, p, i, numbered);
  g_ptr_array_sort(w->sheet->callouts, compare_callouts);
}

/* ---- Words about all pictures ---------------------------------------------------------------- */

static gboolean
is_cropped(const PwSheetPicture *picture)
{
  return picture->crop_width < picture->width_px || picture->crop_height < picture->height_px;
}

static char *
dup_pixels(const Work *w, const PwSheetPicture *picture)
{
  gsize n_masks = 0;
  PwPxPath *masks = pw_model_dup_masks(w->model, picture->source, w->options->audience, &n_masks);
  pw_model_masks_free(masks, n_masks);
  return pw_say_dup_pixels(w->options, picture->source, is_cropped(picture), n_masks > 0);
}

static gboolean
all_equal(char *const *words, guint n)
{
  for (guint i = 1; i < n; i++)
    if (g_strcmp0(words[0], words[i]) != 0)
      return FALSE;
  return TRUE;
}

static const char *
stage_word(const Work *w, guint i)
{
  const PwModelPhoto *photo = w->sheet->pictures[i].source;
  return pw_say_peek_stage(w->options->words, photo->stage);
}

/* One list where it is true of all pictures, else one for each, behind its stage. */
static void
say_pixels(Work *w)
{
  const PwSheet *sheet = w->sheet;
  char *words[PW_MOST_PICTURES] = {NULL};
  g_autoptr(GString) all = g_string_new(NULL);
  for (guint i = 0; i < sheet->n_pictures; i++)
    words[i] = dup_pixels(w, &sheet->pictures[i]);
  gboolean equal = all_equal(words, sheet->n_pictures);
  for (guint i = 0; i < sheet->n_pictures; i++) {
    if (!equal)
      g_string_append_printf(all, "%s%s: %s", i > 0 ? ". " : "", stage_word(w, i), words[i]);
    else if (i == 0)
      g_string_append(all, words[i]);
    g_free(words[i]);
  }
  g_autofree char *pixels =
      pw_words_dup_phrase(w->options->words, "pixels", "changes", all->str, NULL);
  g_autofree char *laid = pw_say_dup_laid(w->options, &w->lay);
  w->sheet->pixels = g_strconcat(pixels, laid != NULL ? " " : NULL, laid, NULL);
}

/* Beside them, where it is asked for and they are to be told apart by colour. */
static void
add_difference(Work *w)
{
  if (!w->options->difference)
    return;
  g_autofree char *said = pw_difference_add(w->sheet, &w->lay), *before = w->sheet->pixels;
  w->sheet->pixels = g_strconcat(before, said != NULL ? " " : NULL, said, NULL);
}

/* Of a picture that has none of its own, but that of the one laid over it, that is told. */
static char *
dup_scale(const Work *w, const PwSheetPicture *picture, const char *doubt)
{
  if (w->lay.laid && picture == w->lay.before && picture->source->scale == NULL &&
      picture->mm_per_px > 0)
    return g_strdup(pw_words_peek(w->options->words, "scale-carried"));
  return pw_say_dup_scale(w->options->words, picture->source, doubt, w->options->audience);
}

/* "0.72", or "0.72 % / ± 0.71" where they differ; NULL where one has none. */
static char *
join_doubts(const Work *w, char *const *doubts, guint n)
{
  char *joined = g_strdup(doubts[0]);
  for (guint i = 1; i < n && joined != NULL && !all_equal(doubts, n); i++) {
    g_autofree char *first = joined;
    joined = doubts[i] == NULL ? NULL
                               : pw_words_dup_phrase(w->options->words, "scale-doubts", "first",
                                                     first, "second", doubts[i], NULL);
  }
  return joined;
}

/* What is said of the scale of n pictures, in `words`, yours; TRUE where it is the same of all, if
 * not how unsure it is, which is then told of each. */
static gboolean
say_scales(const Work *w, guint n, char **words)
{
  char *doubts[PW_MOST_PICTURES] = {NULL}, *together[PW_MOST_PICTURES] = {NULL};
  for (guint i = 0; i < n; i++) {
    doubts[i] = pw_say_dup_doubt(w->options->words, w->sheet->pictures[i].source);
    words[i] = dup_scale(w, &w->sheet->pictures[i], doubts[i]);
  }
  g_autofree char *joined = join_doubts(w, doubts, n);
  for (guint i = 0; i < n; i++)
    together[i] = dup_scale(w, &w->sheet->pictures[i], joined != NULL ? joined : doubts[i]);
  gboolean common = all_equal(together, n);
  for (guint i = 0; i < n; i++) {
    g_free(common ? words[i] : together[i]);
    words[i] = common ? together[i] : words[i];
    g_free(doubts[i]);
  }
  return common;
}

/* Under the bar where all pictures have a scale, got in one way or several; else under each, and
 * beneath them that they are not at one scale. */
static void
say_scale(Work *w)
{
  PwSheet *sheet = w->sheet;
  char *words[PW_MOST_PICTURES] = {NULL};
  guint scaled = 0, n = pw_sheet_n_photographs(sheet);
  for (guint i = 0; i < sheet->n_pictures; i++)
    scaled += sheet->pictures[i].mm_per_px > 0 ? 1 : 0;
  gboolean common = say_scales(w, n, words);
  const char *both = scaled < sheet->n_pictures || sheet->n_pictures == 1
                         ? ""
                         : pw_words_peek(w->options->words,
                                         sheet->n_pictures == 2 ? "scale-same" : "scale-same-all");
  if (scaled > 0 && scaled < sheet->n_pictures)
    both = pw_words_peek(w->options->words, "not-to-scale");
  sheet->scale = pw_say_join(both, common ? words[0] : "", NULL);
  for (guint i = 0; i < n; i++) {
    if (common)
      g_free(words[i]);
    else
      sheet->pictures[i].scale = words[i];
  }
}

/* NULL where they may not read it. */
static const char *
peek_told(const PwModel *model, const PwPlateOptions *options, const char *text)
{
  return pw_model_words_shown(model, text, options->audience) ? text : NULL;
}

char *
pw_compose_dup_identity(const PwModel *model, const PwPlateOptions *options)
{
  const PwVolume *volume = pw_model_peek_volume(model);
  const PwWords *words = options->words;
  const char *id = peek_told(model, options, pw_model_peek_id(model));
  const char *title = volume ? peek_told(model, options, volume->title) : NULL;
  const char *date = volume ? peek_told(model, options, volume->date) : NULL;
  if (id == NULL)
    return g_strdup(title ? title : pw_words_peek(words, "subject-none"));
  if (title == NULL)
    return g_strdup(id);
  if (date == NULL)
    return pw_words_dup_phrase(words, "volume-undated", "id", id, "title", title, NULL);
  return pw_words_dup_phrase(words, "volume", "id", id, "title", title, "date", date, NULL);
}

/* The volume without its number, which stands at the foot of a document's pages already; with it
 * where it has no other name. */
static char *
dup_title(const PwModel *model, const PwPlateOptions *options)
{
  const PwVolume *volume = pw_model_peek_volume(model);
  const char *title = volume ? peek_told(model, options, volume->title) : NULL;
  const char *date = volume ? peek_told(model, options, volume->date) : NULL;
  if (title == NULL)
    return pw_compose_dup_identity(model, options);
  return date == NULL ? g_strdup(title)
                      : pw_words_dup_phrase(options->words, "volume-titled", "title", title, "date",
                                            date, NULL);
}

static void
add_pictures(Work *w, const PwModelPlate *plate)
{
  if (plate->detail == NULL) {
    add_picture(w, plate->before);
    add_picture(w, plate->during);
    add_picture(w, plate->after);
    return;
  }
  const PwModelMark *mark = plate->detail_mark;
  if (mark != NULL && !pw_model_mark_shown(w->model, mark, w->options->audience))
    return;
  add_picture(w, plate->detail);
  if (w->sheet->n_pictures == 0 || mark == NULL || mark->text->path.n == 0)
    return;
  crop_to_mark(&w->sheet->pictures[0], mark);
  w->sheet->locator = is_cropped(&w->sheet->pictures[0]);
}

static gboolean
shows_all(const Work *w, const PwModelPlate *plate)
{
  const PwModelPhoto *photos[] = {plate->before, plate->during, plate->after, plate->detail};
  for (gsize i = 0; i < G_N_ELEMENTS(photos); i++)
    if (photos[i] != NULL && !pw_model_photo_shown(w->model, photos[i], w->options->audience))
      return FALSE;
  return TRUE;
}

/* Title and caption. A photograph that is left out takes its words with it, and the title of a
 * plate that was to show it; and a title is never a file's name, nor holds another name, where that
 * must not be seen. */
static void
say_what(Work *w, const PwModelPlate *plate)
{
  const PwModelPhoto *first = w->sheet->pictures[0].source;
  gboolean told = shows_all(w, plate) && plate->is_named &&
                  pw_model_words_shown(w->model, plate->title, w->options->audience);
  if (told || !is_public(w))
    w->sheet->title = pw_model_plate_dup_title(plate, w->options->words);
  else
    w->sheet->title = pw_model_plate_dup_view(plate, first, w->options->words);
  if (w->sheet->title == NULL)
    w->sheet->title = pw_say_dup_stage(w->options->words, first);
  if (w->sheet->n_pictures == 1)
    w->sheet->subtitle = g_strdup(first->sidecar->caption); /* it speaks of that picture alone */
}

PwSheet *
pw_compose_sheet(const PwModel *model, const PwPlateOptions *options, const PwModelPlate *plate,
                 gboolean lays)
{
  g_autoptr(PwSheet) sheet = pw_sheet_new(options->words);
  Work w = {.model = model, .options = options, .sheet = sheet};
  add_pictures(&w, plate);
  if (sheet->n_pictures == 0)
    return NULL;
  w.marks = g_ptr_array_new();
  w.pictures = g_array_new(FALSE, FALSE, sizeof(guint));
  if (lays)
    pw_lay_init(&w.lay, sheet, model, options->audience);
  say_what(&w, plate);
  sheet->identity =
      options->heading > 0 ? dup_title(model, options) : pw_compose_dup_identity(model, options);
  add_callouts(&w);
  pw_lay_crop(&w.lay);
  pw_lay_even(sheet);
  say_pixels(&w);
  add_difference(&w);
  say_scale(&w);
  pw_lay_clear(&w.lay);
  g_ptr_array_unref(w.marks);
  g_array_unref(w.pictures);
  return g_steal_pointer(&sheet);
}

PwSheet *
pw_plate_sheet_new(const PwModel *model, const PwPlateOptions *options, const PwModelPlate *plate)
{
  return pw_compose_sheet(model, options, plate, TRUE);
}

/* ---- Several --------------------------------------------------------------------------------- */

typedef struct {
  const PwModel *model;
  const PwPlateOptions *options;
  const PwModelPlate *const *plates;
  PwSheet **sheets;
} Several;

static void
compose_one(void *user, guint i)
{
  Several *several = user;
  several->sheets[i] = pw_plate_sheet_new(several->model, several->options, several->plates[i]);
}

GPtrArray *
pw_plate_sheets_new(const PwModel *model, const PwPlateOptions *options,
                    const PwModelPlate *const *plates, guint n)
{
  g_autofree PwSheet **sheets = g_new0(PwSheet *, n + 1);
  Several several = {model, options, plates, sheets};
  pw_each(n, PAIRS_AT_ONCE, compose_one, &several);
  GPtrArray *all = g_ptr_array_new_with_free_func((GDestroyNotify)pw_sheet_free);
  for (guint i = 0; i < n; i++)
    g_ptr_array_add(all, sheets[i]);
  return all;
}

void
pw_compose_number_sheet(PwSheet *sheet, guint which, guint n)
{
  g_autofree char *number = g_strdup_printf("%u", which);
  g_autofree char *all = g_strdup_printf("%u", n);
  g_free(sheet->place);
  sheet->place = pw_words_dup_phrase(sheet->words, n > 0 ? "plate-number" : "plate-alone", "n",
                                     number, "m", all, NULL);
}
