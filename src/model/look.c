/* Looking at pictures: the cards that lie in a photograph and the graduations along a line, found
 * in its grey plane and kept in the cache, keyed by the file's sha256.
 *
 * The cache holds where corners were seen and which tags they are of, in words and numbers; what
 * follows from them is computed anew, and an entry that cannot be is passed over. What was just
 * found goes through the same words, so that a first run and a later one give the same bytes.
 */
#include "model-private.h"

#include <math.h>
#include <string.h>

enum { LEAST_TAGS = 2, WORDS_OF_CORNER = 4 };
/* An edge that the frame all but cuts may be continued so far beyond it. */
static const double OUTSIDE_PX = 8;
/* Raised whenever the same picture may give other corners, or the words below change. */
static const char FINDER[] = "cards 3", READER[] = "ticks 3";

/* ---- Cards to words ---------------------------------------------------------------- */

/* The tag and the corner that lies at `at`; FALSE for a place where none does. */
static gboolean
corner_at(PwCardSize size, PwMm at, int *tag, int *corner)
{
  for (*tag = 0; *tag < pw_card_design(size)->n_tags; (*tag)++)
    for (*corner = 0; *corner < 4; (*corner)++) {
      PwMm place = pw_card_corner(size, *tag, *corner);
      if (hypot(place.x - at.x, place.y - at.y) < 1e-6)
        return TRUE;
    }
  return FALSE;
}

static void
append_card(GString *text, const PwFoundCard *card)
{
  const PwCardDesign *design = pw_card_design(card->size);
  for (gsize i = 0; i < card->n; i++) {
    int tag, corner;
    if (!corner_at(card->size, card->mm[i], &tag, &corner))
      continue;
    g_autofree char *x = pw_format_double(card->px[i].x), *y = pw_format_double(card->px[i].y);
    g_string_append_printf(text, "%d %d %s %s\n",
                           design->first_id + card->copy * design->n_tags + tag, corner, x, y);
  }
}

/* How many corners are to come, so that a part is no whole; one line a corner: the tag's id, the
 * corner's number, x and y; then what was refused. */
static char *
dup_words(const PwFound *found)
{
  g_autoptr(GString) text = g_string_new(NULL);
  gsize n = 0;
  for (gsize i = 0; i < found->n_cards; i++)
    n += found->cards[i].n;
  g_string_append_printf(text, "corners %" G_GSIZE_FORMAT "\n", n);
  for (gsize i = 0; i < found->n_cards; i++)
    append_card(text, &found->cards[i]);
  for (char **refused = found->refused; *refused; refused++) {
    g_autofree char *line = pw_dup_printable(*refused);
    g_string_append_printf(text, "refused %s\n", line);
  }
  return g_strdup(text->str);
}

/* ---- Words to cards ---------------------------------------------------------------- */

typedef struct {
  PwCardSize size;
  int copy, tag, corner;
  PwPx px;
} Corner;

static gboolean
read_corner(const char *line, const PwPhotoFacts *facts, Corner *corner)
{
  g_auto(GStrv) words = g_strsplit(line, " ", 0);
  gint64 id, at;
  if (g_strv_length(words) != WORDS_OF_CORNER || !pw_parse_int(words[0], &id) ||
      !pw_parse_int(words[1], &at) || !pw_parse_double(words[2], &corner->px.x) ||
      !pw_parse_double(words[3], &corner->px.y))
    return FALSE;
  corner->corner = (int)CLAMP(at, -1, 4);
  return id >= 0 && id < G_MAXINT &&
         pw_card_of_id((int)id, &corner->size, &corner->copy, &corner->tag) && at >= 0 && at < 4 &&
         corner->px.x >= -OUTSIDE_PX && corner->px.x <= facts->width + OUTSIDE_PX &&
         corner->px.y >= -OUTSIDE_PX && corner->px.y <= facts->height + OUTSIDE_PX;
}

/* What follows from a card's corners; FALSE when they give no card. Outliers were left out, so that
 * two tags may have fewer than eight; more than four, as a residual wants. */
static gboolean
complete_card(PwFoundCard *card)
{
  PwHomography back;
  const double(*px)[2] = (const double(*)[2])card->px;
  const double(*mm)[2] = (const double(*)[2])card->mm;
  return card->n_tags >= LEAST_TAGS && card->n > 4 &&
         pw_homography_fit(px, mm, card->n, &card->h, NULL, NULL) &&
         pw_homography_fit(mm, px, card->n, &back, &card->rms_px, NULL);
}

/* Takes the run of corners that belong to one card. */
static gboolean
take_card(const Corner *corners, guint n, PwFoundCard *card)
{
  g_autoptr(GHashTable) seen = g_hash_table_new(NULL, NULL), tags = g_hash_table_new(NULL, NULL);
  *card = (PwFoundCard){.size = corners[0].size, .copy = corners[0].copy, .n = n};
  card->px = g_new(PwPx, n);
  card->mm = g_new(PwMm, n);
  for (guint i = 0; i < n; i++) {
    const Corner *at = &corners[i];
    if (!g_hash_table_add(seen, GINT_TO_POINTER(4 * at->tag + at->corner)))
      return FALSE; /* the same corner twice */
    g_hash_table_add(tags, GINT_TO_POINTER(at->tag));
    card->px[i] = at->px;
    card->mm[i] = pw_card_corner(at->size, at->tag, at->corner);
  }
  card->n_tags = (int)g_hash_table_size(tags);
  return complete_card(card);
}

static guint
same_card(const GArray *corners, guint first)
{
  const Corner *a = &g_array_index(corners, Corner, first);
  guint end = first + 1;
  for (; end < corners->len; end++) {
    const Corner *b = &g_array_index(corners, Corner, end);
    if (a->size != b->size || a->copy != b->copy)
      break;
  }
  return end - first;
}

static gboolean
take_cards(const GArray *corners, PwFound *found)
{
  found->cards = g_new0(PwFoundCard, MAX(corners->len, 1));
  for (guint i = 0, n; i < corners->len; i += n) {
    n = same_card(corners, i);
    if (!take_card(&g_array_index(corners, Corner, i), n, &found->cards[found->n_cards++]))
      return FALSE;
  }
  return TRUE;
}

/* FALSE, and nothing to clear, when the words make no sense. */
static gboolean
read_words(const char *text, const PwPhotoFacts *facts, PwFound *found)
{
  g_auto(GStrv) lines = g_strsplit(text, "\n", 0);
  g_autoptr(GArray) corners = g_array_new(FALSE, FALSE, sizeof(Corner));
  g_autoptr(GStrvBuilder) refused = g_strv_builder_new();
  gint64 n = -1;
  gboolean sound = lines[0] && g_str_has_prefix(lines[0], "corners ") &&
                   pw_parse_int(lines[0] + strlen("corners "), &n);
  *found = (PwFound){0};
  for (char **line = lines + 1; sound && *line; line++) {
    Corner corner;
    if (g_str_has_prefix(*line, "refused "))
      g_strv_builder_add(refused, *line + strlen("refused "));
    else if (**line != '\0' && (sound = read_corner(*line, facts, &corner)))
      g_array_append_val(corners, corner);
  }
  found->refused = g_strv_builder_end(refused);
  if (sound && n == corners->len && take_cards(corners, found))
    return TRUE;
  pw_found_clear(found);
  return FALSE;
}

static char *
dup_entry(const char *folder, const char *kind, const char *key)
{
  g_autoptr(GBytes) entry = pw_cache_get(folder, kind, key);
  return entry ? g_strndup(g_bytes_get_data(entry, NULL), g_bytes_get_size(entry)) : NULL;
}

static void
keep_entry(const char *folder, const char *kind, const char *key, const char *text)
{
  g_autoptr(GBytes) entry = g_bytes_new(text, strlen(text));
  pw_cache_put(folder, kind, key, entry);
}

char *
pw_look_dup_cards_key(const char *sha256)
{
  return g_strdup_printf("%s %s %s", sha256, PW_VERSION, FINDER);
}

gboolean
pw_look_for_cards(const char *folder, PwPhoto *photo, const char *sha256, PwFound *found,
                  GError **error)
{
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  g_autofree char *key = pw_look_dup_cards_key(sha256);
  g_autofree char *known = dup_entry(folder, "cards", key);
  if (known != NULL && read_words(known, facts, found))
    return TRUE;
  PwPlane grey = {0};
  PwFound fresh = {0};
  gboolean looked = pw_photo_grey(photo, &grey, error) && pw_card_find(&grey, &fresh, error);
  pw_plane_clear(&grey);
  if (!looked)
    return FALSE;
  g_autofree char *text = dup_words(&fresh);
  pw_found_clear(&fresh);
  if (read_words(text, facts, found)) {
    keep_entry(folder, "cards", key, text);
    return TRUE;
  }
  g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC,
                      "the tags of a card were seen, but they give no plane");
  return FALSE;
}

/* ---- Graduations ------------------------------------------------------------------- */

enum { WORDS_OF_TICKS = 7 };

static char *
dup_ticks_words(const PwTicks *ticks)
{
  const double figures[WORDS_OF_TICKS] = {ticks->a,   ticks->c,        ticks->count, ticks->u_count,
                                          ticks->dof, ticks->residual, ticks->drift};
  g_autoptr(GString) text = g_string_new(NULL);
  for (int i = 0; i < WORDS_OF_TICKS; i++) {
    g_autofree char *word = pw_format_double(figures[i]);
    g_string_append_printf(text, "%s%s", i > 0 ? " " : "", word);
  }
  return g_strdup(text->str);
}

/* FALSE when the words make no sense; a refusal, which starts with a word, is TRUE with `error`. */
static gboolean
read_ticks_words(const char *text, PwTicks *ticks, gboolean *refused, GError **error)
{
  double figures[WORDS_OF_TICKS];
  g_auto(GStrv) words = g_strsplit(text, " ", 0);
  *refused = g_str_has_prefix(text, "refused ");
  if (*refused) {
    g_set_error_literal(error, PW_ERROR, PW_ERROR_NUMERIC, text + strlen("refused "));
    return TRUE;
  }
  if (g_strv_length(words) != WORDS_OF_TICKS)
    return FALSE;
  for (int i = 0; i < WORDS_OF_TICKS; i++)
    if (!pw_parse_double(words[i], &figures[i]))
      return FALSE;
  *ticks =
      (PwTicks){figures[0], figures[1], figures[2], figures[3], figures[4], figures[5], figures[6]};
  return ticks->count > 0 && ticks->u_count >= 0 && ticks->dof > 0;
}

static gboolean
read_ticks(PwPhoto *photo, const PwScaleText *scale, PwTicks *ticks, GError **error)
{
  PwPlane grey = {0};
  gboolean read = pw_photo_grey(photo, &grey, error) &&
                  pw_ticks_read(&grey, scale->from, scale->to, ticks, error);
  pw_plane_clear(&grey);
  return read;
}

/* Every digit of the line's ends counts. */
char *
pw_look_dup_ticks_key(const char *sha256, const PwScaleText *scale)
{
  g_autofree char *x = pw_format_double(scale->from.x), *y = pw_format_double(scale->from.y);
  g_autofree char *to_x = pw_format_double(scale->to.x), *to_y = pw_format_double(scale->to.y);
  return g_strdup_printf("%s %s %s %s,%s %s,%s", sha256, PW_VERSION, READER, x, y, to_x, to_y);
}

static gboolean
look_for_ticks(const char *folder, PwPhoto *photo, const char *sha256, const PwScaleText *scale,
               PwTicks *ticks, GError **error)
{
  g_autofree char *key = pw_look_dup_ticks_key(sha256, scale);
  g_autofree char *known = dup_entry(folder, "ticks", key);
  g_autoptr(GError) cause = NULL;
  gboolean refused = FALSE;
  if (known != NULL && read_ticks_words(known, ticks, &refused, error))
    return !refused;
  gboolean read = read_ticks(photo, scale, ticks, &cause);
  g_autofree char *words =
      read ? dup_ticks_words(ticks) : g_strconcat("refused ", cause->message, NULL);
  if (read || g_error_matches(cause, PW_ERROR, PW_ERROR_NUMERIC))
    keep_entry(folder, "ticks", key, words);
  if (!read)
    g_propagate_error(error, g_steal_pointer(&cause));
  return read;
}

/* ---- All photographs --------------------------------------------------------------- */

typedef struct {
  PwModel *model;
  const PwProgress *progress;
  GPtrArray *wanted; /* PwModelPhoto *, borrowed */
  guint done;
  GMutex lock;
} LookAll;

/* Half a graduation, for a line that begins between two, and this part of them all. */
static const double MISCOUNTED = 0.01;

/* What stands between coarse graduations may be too fine to be seen, and lines of type are as even
 * as a ruler: the eye knows. */
static gboolean
agrees_with_count(PwTicks *ticks, double count, GError **error)
{
  if (isnan(count) || fabs(ticks->count - count) <= 0.5 + MISCOUNTED * count)
    return TRUE;
  g_autofree char *read = pw_format_fixed(ticks->count, 1), *counted = pw_format_double(count);
  g_set_error(error, PW_ERROR, PW_ERROR_NUMERIC,
              "%s graduations are read along the line, %s were counted: draw it where every "
              "graduation crosses it, or count again",
              read, counted);
  *ticks = (PwTicks){0};
  return FALSE;
}

static gboolean
look_into(const PwModel *model, const PwModelPhoto *photo, PwLook *look, GError **error)
{
  g_autofree char *sha256 = NULL;
  g_autoptr(PwPhoto) file = pw_model_open_original(model, photo, &sha256, error);
  if (file == NULL)
    return FALSE;
  const PwScaleText *scale = &photo->sidecar->scale;
  return scale->given == PW_GIVEN_TAGS
             ? pw_look_for_cards(model->folder, file, sha256, &look->found, error)
             : look_for_ticks(model->folder, file, sha256, scale, &look->ticks, error) &&
                   agrees_with_count(&look->ticks, scale->count, error);
}

static void
look_at_one(void *user, guint i)
{
  LookAll *all = user;
  const PwModelPhoto *photo = all->wanted->pdata[i];
  PwLook *look = &all->model->looks[photo->owner - 1];
  look_into(all->model, photo, look, &look->error);
  g_mutex_lock(&all->lock);
  pw_progress_step(all->progress, "looking for the scale", ++all->done, all->wanted->len);
  g_mutex_unlock(&all->lock);
}

/* Only what is in the picture itself wants it decoded. */
static gboolean
wants_look(const PwModelPhoto *photo)
{
  if (!photo->readable || photo->sidecar == NULL || photo->sidecar->curved)
    return FALSE;
  PwGiven given = photo->sidecar->scale.given;
  return given == PW_GIVEN_TAGS || given == PW_GIVEN_TICKS;
}

void
pw_model_look_at(const PwModel *model, const PwModelPhoto *photo, PwLook *look)
{
  if (wants_look(photo))
    look_into(model, photo, look, &look->error);
}

void
pw_model_look(PwModel *model, const PwProgress *progress)
{
  g_autoptr(GPtrArray) wanted = g_ptr_array_new();
  model->looks = g_new0(PwLook, MAX(model->photos->len, 1));
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    photo->look = &model->looks[photo->owner - 1];
    if (wants_look(photo))
      g_ptr_array_add(wanted, photo);
  }
  LookAll all = {.model = model, .progress = progress, .wanted = wanted};
  g_mutex_init(&all.lock);
  pw_each(wanted->len, 0, look_at_one, &all);
  g_mutex_clear(&all.lock);
}

void
pw_look_clear(PwLook *look)
{
  pw_found_clear(&look->found);
  g_clear_error(&look->error);
}
