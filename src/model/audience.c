/* Who may see what. Nothing goes public without a consent that still holds; a photograph that
 * nobody has looked through stays out; what is private is covered on every photograph that shows
 * it, and a photograph that may show it without saying where is left out. */
#include "model-private.h"

#include <math.h>
#include <string.h>

enum { LEAST_GROWTH_PX = 10, GROWTH_IN_OUTLINE_UNCERTAINTIES = 4 };

gboolean
pw_audience_parse(const char *word, PwAudience *audience)
{
  for (int i = PW_FOR_STUDIO; i <= PW_FOR_PUBLIC; i++)
    if (g_strcmp0(word, pw_audience_name((PwAudience)i)) == 0) {
      *audience = (PwAudience)i;
      return TRUE;
    }
  return FALSE;
}

const char *
pw_audience_name(PwAudience audience)
{
  static const char *const names[] = {"studio", "owner", "public"};
  return names[audience];
}

/* ---- Consent ----------------------------------------------------------------------- */

gboolean
pw_model_may_show(const PwModel *model, PwAudience audience, GError **error)
{
  if (audience != PW_FOR_PUBLIC)
    return TRUE;
  static const char *const why[] = {
      [PW_STANDING_NEVER_ASKED] = "there is no consent to `" PW_CONSENT_TO_SHOW "` in volume.yaml",
      [PW_STANDING_ASKED] = "consent to `" PW_CONSENT_TO_SHOW "` was asked for and not yet given",
      [PW_STANDING_WITHDRAWN] = "consent to `" PW_CONSENT_TO_SHOW "` was withdrawn",
      [PW_STANDING_EXPIRED] = "consent to `" PW_CONSENT_TO_SHOW "` has run out"};
  const PwStanding standing = pw_model_consent_to(model, PW_CONSENT_TO_SHOW).standing;
  if (pw_standing_holds(standing))
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_RECORD, "%s; nothing was made", why[standing]);
  return FALSE;
}

static const char *
skip_spaces(const char *at)
{
  while (g_ascii_isspace(*at))
    at++;
  return at;
}

gboolean
pw_mean_the_same(const char *a, const char *b)
{
  if (a == NULL || b == NULL)
    return a == b;
  for (a = skip_spaces(a), b = skip_spaces(b);; a = pw_next_char(a), b = pw_next_char(b)) {
    const char *p = skip_spaces(a), *q = skip_spaces(b);
    if (*p == '\0' || *q == '\0')
      return *p == *q;
    if ((p == a) != (q == b) ||
        g_unichar_tolower(g_utf8_get_char(p)) != g_unichar_tolower(g_utf8_get_char(q)))
      return FALSE;
    a = p;
    b = q;
  }
}

char **
pw_model_peek_excepted(const PwModel *model)
{
  const PwConsent *consent = pw_model_consent_to(model, PW_CONSENT_TO_SHOW).word;
  return consent ? consent->except : NULL;
}

gboolean
pw_model_is_excepted(const PwModel *model, const char *word)
{
  return pw_consent_excepts(pw_model_consent_to(model, PW_CONSENT_TO_SHOW).word, word);
}

/* ---- Words of consents that name nothing ------------------------------------------ */

static void
add_once(GPtrArray *words, GHashTable *seen, const char *word)
{
  if (word != NULL && g_hash_table_add(seen, (gpointer)(gsize)word))
    g_ptr_array_add(words, (gpointer)(gsize)word);
}

static void
add_parts_of_work(const PwVolume *volume, GPtrArray *words, GHashTable *seen)
{
  for (gsize i = 0; i < volume->n_proposal; i++)
    add_once(words, seen, volume->proposal[i].part);
  for (gsize i = 0; i < volume->n_treatment; i++)
    add_once(words, seen, volume->treatment[i].part);
}

/* The parts of marks, the views and places of photographs, and of a consent to treatment what was
 * proposed and done: what a word may name. NULL at its end. */
static GPtrArray *
known_words(const PwModel *model, gboolean of_work)
{
  GPtrArray *words = g_ptr_array_new();
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    if (photo->sidecar == NULL)
      continue;
    add_once(words, seen, photo->sidecar->view);
    add_once(words, seen, photo->sidecar->place);
    for (gsize j = 0; j < photo->n_marks; j++)
      add_once(words, seen, photo->marks[j].text->part);
  }
  if (of_work)
    add_parts_of_work(model->volume, words, seen);
  g_ptr_array_add(words, NULL);
  return words;
}

/* A word with a number ("leaf 3") is meant as it stands; so is a part that treatment leaves alone,
 * of which there need be no other word. */
static void
check_word(const PwModel *model, const PwConsent *consent, gboolean of_work, const char *word,
           PwComplaints *complaints)
{
  g_autoptr(GPtrArray) words = known_words(model, of_work);
  for (guint i = 0; i + 1 < words->len; i++)
    if (pw_mean_the_same(words->pdata[i], word))
      return;
  const char *near = strpbrk(word, "0123456789") == NULL
                         ? pw_nearest_word(word, (const char *const *)words->pdata)
                         : NULL;
  if (of_work && near == NULL)
    return;
  pw_yaml_complain(model->volume->yaml, consent->node, complaints, "excepts nothing",
                   near ? PW_SEVERITY_ERROR : PW_SEVERITY_WARNING,
                   "except: \"%s\" is no %s here, so it keeps nothing back%s%s", word,
                   of_work ? "part that was proposed, treated or marked"
                           : "mark's part and no photograph's view or place",
                   near ? "; did you mean " : "", near ? near : "");
}

/* Of that name in another folder, else of nearly that name. Borrowed; NULL. */
static const char *
photo_meant(const PwModel *model, const char *file)
{
  g_autoptr(GPtrArray) files = g_ptr_array_new();
  g_autofree char *name = g_path_get_basename(file);
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    g_autofree char *its = g_path_get_basename(photo->file);
    if (g_ascii_strcasecmp(its, name) == 0)
      return photo->file;
    g_ptr_array_add(files, photo->file);
  }
  g_ptr_array_add(files, NULL);
  return pw_nearest_word(file, (const char *const *)files->pdata);
}

/* What was looked for, and where. */
static void
complain_of_lost(const PwModel *model, const PwConsent *consent, const char *word,
                 PwComplaints *complaints)
{
  g_autofree char *file = NULL, *id = NULL;
  const gboolean is_mark = pw_reference_split(word, &file, &id);
  const PwModelPhoto *photo = pw_model_find_photo(model, is_mark ? file : word);
  if (photo != NULL) {
    pw_yaml_complain(model->volume->yaml, consent->node, complaints, "dangling link",
                     PW_SEVERITY_ERROR,
                     "except: the photograph %s is there, but no mark %s in %s" PW_SIDECAR_ENDING
                     ", so nothing would be kept back; write the mark's `id`",
                     file, id, file);
    return;
  }
  const char *near = photo_meant(model, is_mark ? file : word);
  pw_yaml_complain(
      model->volume->yaml, consent->node, complaints, "dangling link", PW_SEVERITY_ERROR,
      "except: no photograph %s was found among the %u of the volume folder, so "
      "nothing would be kept back; write its path in the folder%s%s",
      is_mark ? file : word, model->photos->len, near ? "; did you mean " : "", near ? near : "");
}

static void
check_except(const PwModel *model, const PwConsent *consent, const char *word,
             PwComplaints *complaints)
{
  if (strchr(word, '#') != NULL || pw_photo_is_name(word)) {
    gboolean known =
        pw_model_find_mark(model, word) != NULL || g_hash_table_contains(model->by_file, word);
    if (!known)
      complain_of_lost(model, consent, word, complaints);
  } else if (consent == pw_model_consent_to(model, PW_CONSENT_TO_SHOW).word) {
    check_word(model, consent, FALSE, word, complaints);
  } else if (consent == pw_model_consent_to(model, PW_CONSENT_TO_TREATMENT).word) {
    check_word(model, consent, TRUE, word, complaints);
  }
}

void
pw_model_check_consents(const PwModel *model, PwComplaints *complaints)
{
  for (gsize i = 0; model->volume && i < model->volume->n_consents; i++) {
    const PwConsent *consent = &model->volume->consents[i];
    for (char **word = consent->except; word && *word; word++)
      check_except(model, consent, *word, complaints);
  }
}

gboolean
pw_model_mark_shown(const PwModel *model, const PwModelMark *mark, PwAudience audience)
{
  (void)model;
  return audience != PW_FOR_PUBLIC || !mark->withheld;
}

/* ---- Photographs ------------------------------------------------------------------- */

/* Only an outline says where something ends: what a line runs along may reach beyond it. */
static gboolean
is_outlined(const PwModelMark *mark)
{
  return mark->text->kind == PW_KIND_AREA && mark->text->path.n >= 3;
}

static gboolean
has_outline_of(const PwModelPhoto *photo, const PwModelMark *family)
{
  for (gsize i = 0; i < photo->n_marks; i++)
    if (photo->marks[i].family == family && is_outlined(&photo->marks[i]))
      return TRUE;
  return FALSE;
}

static gboolean
is_alike(const PwModelPhoto *a, const PwModelPhoto *b)
{
  return a->sidecar && b->sidecar && pw_mean_the_same(a->sidecar->view, b->sidecar->view) &&
         pw_mean_the_same(a->sidecar->place, b->sidecar->place);
}

/* Whether something withheld may stand in this photograph without an outline to cover it. */
static gboolean
may_show_the_withheld(const PwModel *model, const PwModelPhoto *photo)
{
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *other = model->photos->pdata[i];
    if (other != photo && !is_alike(photo, other))
      continue;
    for (gsize j = 0; j < other->n_marks; j++) {
      const PwModelMark *mark = &other->marks[j];
      if (mark->withheld && !has_outline_of(photo, mark->family))
        return TRUE;
    }
  }
  return FALSE;
}

/* All that keeps a photograph back but that nobody has looked through it. */
static gboolean
may_be_looked_through(const PwModel *model, const PwModelPhoto *photo)
{
  return photo->sidecar != NULL && !pw_model_is_excepted(model, photo->file) &&
         !pw_model_is_excepted(model, photo->sidecar->view) &&
         !pw_model_is_excepted(model, photo->sidecar->place) &&
         !may_show_the_withheld(model, photo);
}

gboolean
pw_model_beside_shown(const PwModel *model, const char *file, PwAudience audience)
{
  const PwModelPhoto *photo = pw_model_find_photo(model, file);
  if (audience != PW_FOR_PUBLIC)
    return TRUE;
  if (photo == NULL || !may_be_looked_through(model, photo))
    return FALSE;
  for (gsize i = 0; i < photo->n_marks; i++)
    if (photo->marks[i].withheld)
      return FALSE;
  return TRUE;
}

gboolean
pw_model_photo_shown(const PwModel *model, const PwModelPhoto *photo, PwAudience audience)
{
  if (audience != PW_FOR_PUBLIC)
    return photo->sidecar != NULL;
  return may_be_looked_through(model, photo) && g_date_valid(&photo->sidecar->privacy_checked);
}

/* ---- Masks ------------------------------------------------------------------------- */

/* The upright box round an outline, grown: what covers it when the outline itself cannot be
 * grown. */
static PwPxPath
box_round(const PwPxPath *outline, double by)
{
  double left = G_MAXDOUBLE, top = G_MAXDOUBLE, right = -G_MAXDOUBLE, bottom = -G_MAXDOUBLE;
  for (gsize i = 0; i < outline->n; i++) {
    left = fmin(left, outline->points[i].x - by);
    right = fmax(right, outline->points[i].x + by);
    top = fmin(top, outline->points[i].y - by);
    bottom = fmax(bottom, outline->points[i].y + by);
  }
  PwPx corners[] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
  return (PwPxPath){g_memdup2(corners, sizeof corners), G_N_ELEMENTS(corners)};
}

static void
add_grown(GArray *masks, const PwPxPath *outline, double by)
{
  PwPxPath *rings = NULL;
  gsize n = 0;
  if (pw_px_outline_grow(outline, by, &rings, &n, NULL)) {
    g_array_append_vals(masks, rings, (guint)n);
    g_free(rings);
  } else {
    PwPxPath box = box_round(outline, by);
    g_array_append_val(masks, box);
  }
}

PwPxPath *
pw_model_dup_masks(const PwModel *model, const PwModelPhoto *photo, PwAudience audience, gsize *n)
{
  GArray *masks = g_array_new(FALSE, FALSE, sizeof(PwPxPath));
  double usual = photo->sidecar ? pw_model_outline_px(model, photo) : 0;
  for (gsize i = 0; i < photo->n_marks; i++) {
    const PwModelMark *mark = &photo->marks[i];
    if (pw_model_mark_shown(model, mark, audience) || !is_outlined(mark))
      continue;
    /* fmax passes over what is not stated; a hand that was surer here covers no less */
    double outline = fmax(usual, mark->text->outline_px);
    add_grown(masks, &mark->text->path,
              fmax(LEAST_GROWTH_PX, GROWTH_IN_OUTLINE_UNCERTAINTIES * outline));
  }
  *n = masks->len;
  return (PwPxPath *)(void *)g_array_free(masks, FALSE);
}

void
pw_model_masks_free(PwPxPath *masks, gsize n)
{
  for (gsize i = 0; i < n; i++)
    pw_px_path_clear(&masks[i]);
  g_free(masks);
}
