/* Which words of volume.yaml the public may read. Nobody has looked through that text for names as
 * somebody has through photographs, so that what holds a name the record knows, or one that stands
 * in what is withheld, is kept back whole. */
#include "model-private.h"

#include <string.h>

/* A shorter name counts only as a whole word, or "Bo" would keep every "Board" back. */
enum { LONG_NAME = 4, LEAST_NAME = 2 };

struct PwDiscretion {
  GPtrArray *phrases; /* char *, folded: kept back wherever they stand */
  GHashTable *names;  /* char *, folded: words that begin with a capital */
};

/* ---- Words ------------------------------------------------------------------------- */

/* In one case, white space of any width as one blank. */
static char *
dup_folded(const char *text)
{
  g_autofree char *folded = g_utf8_casefold(text, -1);
  g_auto(GStrv) words = g_strsplit_set(g_strstrip(folded), " \t\r\n", -1);
  GString *joined = g_string_new(NULL);
  for (char **word = words; *word != NULL; word++)
    if (**word != '\0')
      g_string_append_printf(joined, "%s%s", joined->len > 0 ? " " : "", *word);
  return g_string_free(joined, FALSE);
}

static const char *
skip_to_word(const char *at)
{
  while (*at != '\0' && !g_unichar_isalnum(g_utf8_get_char(at)))
    at = pw_next_char(at);
  return at;
}

static const char *
end_of_word(const char *at)
{
  while (*at != '\0' && g_unichar_isalnum(g_utf8_get_char(at)))
    at = pw_next_char(at);
  return at;
}

typedef void (*EachWord)(void *user, const char *word, gboolean capital);

static void
each_word(const char *text, EachWord what, void *user)
{
  if (text == NULL)
    return;
  for (const char *at = skip_to_word(text); *at != '\0'; at = skip_to_word(at)) {
    const char *end = end_of_word(at);
    g_autofree char *word = g_utf8_casefold(at, end - at);
    what(user, word, g_unichar_isupper(g_utf8_get_char(at)));
    at = end;
  }
}

/* ---- What is kept back ------------------------------------------------------------- */

typedef struct {
  PwDiscretion *kept;
  GHashTable *common; /* words that the record writes small somewhere */
  gboolean sentence;  /* what comes is prose, where any word may begin with a capital */
} Gathering;

static void
gather_common(void *user, const char *word, gboolean capital)
{
  if (!capital)
    g_hash_table_add(user, g_strdup(word));
}

static void
gather_name(void *user, const char *word, gboolean capital)
{
  const Gathering *g = user;
  glong length = g_utf8_strlen(word, -1);
  gboolean may_be_common = g->sentence || length < LONG_NAME;
  if (capital && length >= LEAST_NAME && !(may_be_common && g_hash_table_contains(g->common, word)))
    g_hash_table_add(g->kept->names, g_strdup(word));
}

static void
keep_phrase(PwDiscretion *kept, const char *text)
{
  if (text != NULL && *text != '\0')
    g_ptr_array_add(kept->phrases, dup_folded(text));
}

/* A person, an office, an address: as a whole and word by word. */
static void
keep_name(Gathering *g, const char *text)
{
  g->sentence = FALSE;
  keep_phrase(g->kept, text);
  each_word(text, gather_name, g);
}

static void
keep_sentence(Gathering *g, const char *text)
{
  g->sentence = TRUE;
  each_word(text, gather_name, g);
}

/* A camera's "LF24_0412" names the file as "LF24_0412.jpg" does; the stem of "a.jpg" does not. */
static void
keep_file(PwDiscretion *kept, const char *file)
{
  g_autofree char *name = g_path_get_basename(file);
  keep_phrase(kept, name);
  char *dot = strrchr(name, '.');
  if (dot != NULL)
    *dot = '\0';
  if (g_utf8_strlen(name, -1) >= LONG_NAME && strpbrk(name, "0123456789") != NULL)
    keep_phrase(kept, name);
}

static void
keep_photo(Gathering *g, const PwModel *model, const PwModelPhoto *photo)
{
  keep_file(g->kept, photo->file);
  const PwSidecar *sidecar = photo->sidecar;
  if (sidecar == NULL)
    return;
  if (g_strcmp0(sidecar->source, "studio") != 0 && g_strcmp0(sidecar->source, "owner") != 0)
    keep_name(g, sidecar->source);
  gboolean shown = pw_model_photo_shown(model, photo, PW_FOR_PUBLIC);
  if (!shown) {
    keep_sentence(g, sidecar->caption);
    keep_sentence(g, sidecar->step);
  }
  for (gsize i = 0; i < photo->n_marks; i++)
    if (!shown || photo->marks[i].withheld)
      keep_sentence(g, photo->marks[i].text->note);
}

static void
keep_volume(Gathering *g, const PwVolume *volume)
{
  const char *names[] = {volume->owner_name, volume->owner_contact,  volume->studio_name,
                         volume->studio_by,  volume->studio_contact, volume->maker};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
    keep_name(g, names[i]);
  for (gsize i = 0; i < volume->n_treatment; i++)
    keep_name(g, volume->treatment[i].by);
  for (gsize i = 0; i < volume->n_consents; i++)
    if (g_strcmp0(volume->consents[i].by, "owner") != 0)
      keep_name(g, volume->consents[i].by);
  for (char **note = volume->notes; note != NULL && *note != NULL; note++)
    keep_sentence(g, *note);
}

static void
keep_excepted(PwDiscretion *kept, const PwModel *model)
{
  char **except = pw_model_peek_excepted(model);
  for (; except != NULL && *except != NULL; except++)
    keep_phrase(kept, *except);
}

static gboolean piece_is_withheld(const PwModel *model, const PwPiece *piece);

static void
keep_pieces(Gathering *g, const PwModel *model)
{
  for (gsize i = 0; i < model->volume->n_pieces; i++) {
    const PwPiece *piece = &model->volume->pieces[i];
    if (!piece_is_withheld(model, piece))
      continue;
    keep_sentence(g, piece->what);
    keep_sentence(g, piece->found);
    keep_sentence(g, piece->because);
  }
}

static void
keep_decisions(Gathering *g, const PwModel *model)
{
  for (gsize i = 0; i < model->volume->n_decisions; i++) {
    const PwDecision *decision = &model->volume->decisions[i];
    gboolean withheld = FALSE;
    for (char **about = decision->about; about != NULL && *about != NULL; about++)
      withheld = withheld || !pw_model_about_shown(model, *about, PW_FOR_PUBLIC);
    if (!withheld)
      continue;
    const char *says[] = {decision->question, decision->chosen, decision->because, decision->risk};
    for (gsize j = 0; j < G_N_ELEMENTS(says); j++)
      keep_sentence(g, says[j]);
  }
}

/* Of every text of the record, as it stands in its file. */
static GHashTable *
common_words(const PwModel *model)
{
  GHashTable *common = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  each_word(pw_yaml_peek_text(model->volume->yaml, NULL), gather_common, common);
  for (guint i = 0; i < model->photos->len; i++) {
    const PwModelPhoto *photo = model->photos->pdata[i];
    if (photo->sidecar != NULL)
      each_word(pw_yaml_peek_text(photo->sidecar->yaml, NULL), gather_common, common);
  }
  return common;
}

void
pw_model_resolve_discretion(PwModel *model)
{
  PwDiscretion *kept = model->discretion = g_new0(PwDiscretion, 1);
  kept->phrases = g_ptr_array_new_with_free_func(g_free);
  kept->names = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  if (model->volume == NULL)
    return;
  g_autoptr(GHashTable) common = common_words(model);
  Gathering g = {kept, common, FALSE};
  keep_volume(&g, model->volume);
  keep_excepted(kept, model);
  for (guint i = 0; i < model->photos->len; i++)
    keep_photo(&g, model, model->photos->pdata[i]);
  keep_pieces(&g, model);
  keep_decisions(&g, model);
}

void
pw_discretion_free(PwDiscretion *discretion)
{
  if (discretion == NULL)
    return;
  g_ptr_array_unref(discretion->phrases);
  g_hash_table_unref(discretion->names);
  g_free(discretion);
}

/* ---- What callers ask -------------------------------------------------------------- */

static gboolean
stands_alone(const char *text, const char *from, gsize length)
{
  const char *after = from + length;
  gunichar before = from > text ? g_utf8_get_char(g_utf8_prev_char(from)) : ' ';
  return !g_unichar_isalnum(before) &&
         (*after == '\0' || !g_unichar_isalnum(g_utf8_get_char(after)));
}

static gboolean
holds_phrase(const char *folded, const char *phrase)
{
  for (const char *at = strstr(folded, phrase); at != NULL; at = strstr(pw_next_char(at), phrase))
    if (stands_alone(folded, at, strlen(phrase)))
      return TRUE;
  return FALSE;
}

typedef struct {
  const PwDiscretion *kept;
  gboolean found;
} Search;

/* "Merrow's" and "Merrows" are Merrow too. */
static void
look_for_name(void *user, const char *word, gboolean capital)
{
  Search *search = user;
  if (!capital || search->found)
    return;
  GHashTableIter names;
  gpointer name;
  g_hash_table_iter_init(&names, search->kept->names);
  while (!search->found && g_hash_table_iter_next(&names, &name, NULL))
    search->found = g_utf8_strlen(name, -1) >= LONG_NAME ? g_str_has_prefix(word, name)
                                                         : g_str_equal(word, name);
}

gboolean
pw_model_words_shown(const PwModel *model, const char *text, PwAudience audience)
{
  if (audience != PW_FOR_PUBLIC || text == NULL)
    return TRUE;
  g_autofree char *folded = dup_folded(text);
  for (guint i = 0; i < model->discretion->phrases->len; i++)
    if (holds_phrase(folded, model->discretion->phrases->pdata[i]))
      return FALSE;
  Search search = {model->discretion, FALSE};
  each_word(text, look_for_name, &search);
  return !search.found;
}

static gboolean
photo_tells_nothing_private(const PwModel *model, const char *file)
{
  const PwModelPhoto *photo = pw_model_find_photo(model, file);
  if (photo == NULL || !pw_model_photo_shown(model, photo, PW_FOR_PUBLIC))
    return FALSE;
  for (gsize i = 0; i < photo->n_marks; i++)
    if (photo->marks[i].withheld)
      return FALSE;
  return TRUE;
}

static gboolean
mark_may_be_told(const PwModel *model, const PwModelMark *mark)
{
  return !mark->withheld && pw_model_photo_shown(model, mark->photo, PW_FOR_PUBLIC);
}

/* What a photograph shows is not told where the photograph is not shown; nor where a part of it is
 * covered, for that part may be the piece. */
static gboolean
piece_is_withheld(const PwModel *model, const PwPiece *piece)
{
  if (piece->photo == NULL)
    return FALSE;
  const PwModelMark *mark = pw_model_find_mark(model, piece->photo);
  return mark != NULL ? !mark_may_be_told(model, mark)
                      : !photo_tells_nothing_private(model, piece->photo);
}

gboolean
pw_model_piece_shown(const PwModel *model, const PwPiece *piece, PwAudience audience)
{
  if (audience != PW_FOR_PUBLIC)
    return TRUE;
  const char *says[] = {piece->id, piece->what, piece->found, piece->at, piece->because};
  for (gsize i = 0; i < G_N_ELEMENTS(says); i++)
    if (!pw_model_words_shown(model, says[i], audience))
      return FALSE;
  return !piece_is_withheld(model, piece);
}

static const PwPiece *
find_piece(const PwModel *model, const char *id)
{
  for (gsize i = 0; model->volume != NULL && i < model->volume->n_pieces; i++)
    if (g_strcmp0(model->volume->pieces[i].id, id) == 0)
      return &model->volume->pieces[i];
  return NULL;
}

gboolean
pw_model_about_shown(const PwModel *model, const char *about, PwAudience audience)
{
  if (audience != PW_FOR_PUBLIC)
    return TRUE;
  const PwPiece *piece = find_piece(model, about);
  if (piece != NULL)
    return !piece_is_withheld(model, piece);
  const PwModelMark *mark = pw_model_find_mark(model, about);
  if (mark != NULL)
    return mark_may_be_told(model, mark);
  return photo_tells_nothing_private(model, about);
}
