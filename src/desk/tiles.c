/* Tiles: pyramids are built by one thread in the background, the photograph that is being looked at
 * first, its neighbours in the row next; the last few stay open. A photograph is known here by its
 * ID and the state of its file, so that another file under its name has tiles of its own.
 */
#include "desk-private.h"

#include <string.h>

enum { MOST_OPEN = 8, MOST_WANTED = 3 };

struct DeskTiles {
  gatomicrefcount references;
  PwTiles *tiles;
  char *key;
};

struct DeskTiler {
  DeskShelf *shelf;
  GMutex lock;
  GCond moved;
  GPtrArray *open;     /* DeskTiles *, the one used last at the end */
  GPtrArray *wanted;   /* char *: IDs, the first to be built first */
  GHashTable *checked; /* key, of tiles that were built or looked through since the start */
  GHashTable *doubted; /* key, of tiles that were found damaged: not opened until looked through */
  GHashTable *failed;  /* key -> why */
  gint stopping;       /* atomic: a build that runs looks at it */
  GThread *thread;
};

/* ---- Open tiles -------------------------------------------------------------------- */

static char *
dup_key(const DeskState *state, const PwModelPhoto *photo)
{
  const PwFileState *file = &photo->facts.state;
  return g_strdup_printf("%s %" G_GUINT64_FORMAT " %" G_GUINT64_FORMAT " %" G_GUINT64_FORMAT
                         " %" G_GINT64_FORMAT " %" G_GINT64_FORMAT,
                         desk_state_peek_id(state, photo), file->device, file->inode, file->size,
                         file->modified_ns, file->changed_ns);
}

static DeskTiles *
tiles_ref(DeskTiles *tiles)
{
  g_atomic_ref_count_inc(&tiles->references);
  return tiles;
}

void
desk_tiles_unref(DeskTiles *tiles)
{
  if (tiles == NULL || !g_atomic_ref_count_dec(&tiles->references))
    return;
  pw_tiles_free(tiles->tiles);
  g_free(tiles->key);
  g_free(tiles);
}

const PwTiles *
desk_tiles_peek(const DeskTiles *tiles)
{
  return tiles->tiles;
}

/* Under the lock. Becomes the one used last. */
static DeskTiles *
find_open(DeskTiler *tiler, const char *key)
{
  for (guint i = 0; i < tiler->open->len; i++) {
    DeskTiles *tiles = tiler->open->pdata[i];
    if (strcmp(tiles->key, key) != 0)
      continue;
    g_ptr_array_add(tiler->open, tiles_ref(tiles));
    g_ptr_array_remove_index(tiler->open, i);
    return tiles_ref(tiles);
  }
  return NULL;
}

/* What another thread has kept meanwhile is kept. Yours. */
static DeskTiles *
keep_open(DeskTiler *tiler, const char *key, PwTiles *opened_taken)
{
  g_mutex_lock(&tiler->lock);
  DeskTiles *tiles = find_open(tiler, key);
  if (tiles != NULL) {
    pw_tiles_free(opened_taken);
  } else {
    tiles = g_new0(DeskTiles, 1);
    g_atomic_ref_count_init(&tiles->references);
    tiles->tiles = opened_taken;
    tiles->key = g_strdup(key);
    g_ptr_array_add(tiler->open, tiles_ref(tiles));
    if (tiler->open->len > MOST_OPEN)
      g_ptr_array_remove_index(tiler->open, 0);
  }
  g_mutex_unlock(&tiler->lock);
  return tiles;
}

DeskTiles *
desk_tiler_open(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo)
{
  g_autofree char *key = dup_key(state, photo);
  g_mutex_lock(&tiler->lock);
  DeskTiles *tiles = find_open(tiler, key);
  gboolean doubted = g_hash_table_contains(tiler->doubted, key);
  g_mutex_unlock(&tiler->lock);
  if (tiles != NULL || doubted)
    return tiles;
  PwTiles *opened = pw_model_open_tiles(state->model, photo, FALSE, NULL, NULL);
  if (opened != NULL)
    return keep_open(tiler, key, opened);
  /* Not made yet, or gone since: whoever wishes for them has them made. */
  g_mutex_lock(&tiler->lock);
  g_hash_table_remove(tiler->checked, key);
  g_mutex_unlock(&tiler->lock);
  return NULL;
}

/* ---- What is wanted ---------------------------------------------------------------- */

void
desk_tiler_want(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo)
{
  static const int steps[MOST_WANTED] = {0, 1, -1};
  const int n = (int)pw_model_n_photos(state->model);
  int at = 0;
  while (pw_model_peek_row(state->model, (gsize)at) != photo)
    at++;
  g_mutex_lock(&tiler->lock);
  g_ptr_array_set_size(tiler->wanted, 0);
  for (gsize i = 0; i < G_N_ELEMENTS(steps); i++)
    if (at + steps[i] >= 0 && at + steps[i] < n)
      g_ptr_array_add(tiler->wanted,
                      g_strdup(desk_state_peek_id(
                          state, pw_model_peek_row(state->model, (gsize)(at + steps[i])))));
  g_cond_signal(&tiler->moved);
  g_mutex_unlock(&tiler->lock);
}

char *
desk_tiler_dup_why(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo)
{
  g_autofree char *key = dup_key(state, photo);
  g_mutex_lock(&tiler->lock);
  char *why = g_strdup(g_hash_table_lookup(tiler->failed, key));
  g_mutex_unlock(&tiler->lock);
  return why;
}

void
desk_tiler_doubt(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo)
{
  g_autofree char *key = dup_key(state, photo);
  g_mutex_lock(&tiler->lock);
  desk_tiles_unref(find_open(tiler, key));
  if (tiler->open->len > 0 &&
      strcmp(((DeskTiles *)tiler->open->pdata[tiler->open->len - 1])->key, key) == 0)
    g_ptr_array_remove_index(tiler->open, tiler->open->len - 1);
  g_hash_table_remove(tiler->checked, key);
  g_hash_table_add(tiler->doubted, g_strdup(key));
  g_mutex_unlock(&tiler->lock);
  desk_tiler_want(tiler, state, photo);
}

/* ---- The background ---------------------------------------------------------------- */

static gboolean
is_done(DeskTiler *tiler, const char *key)
{
  g_mutex_lock(&tiler->lock);
  gboolean done =
      g_hash_table_contains(tiler->checked, key) || g_hash_table_contains(tiler->failed, key);
  g_mutex_unlock(&tiler->lock);
  return done;
}

/* The cache may go at any time, under a build too: once more then. */
static PwTiles *
build_tiles(DeskTiler *tiler, const DeskState *state, const PwModelPhoto *photo, GError **error)
{
  g_autoptr(GError) cause = NULL;
  PwTiles *tiles = pw_model_open_tiles(state->model, photo, TRUE, &tiler->stopping, &cause);
  if (tiles == NULL && g_error_matches(cause, PW_ERROR, PW_ERROR_FILE))
    return pw_model_open_tiles(state->model, photo, TRUE, &tiler->stopping, error);
  if (tiles == NULL)
    g_propagate_error(error, g_steal_pointer(&cause));
  return tiles;
}

static void
build(DeskTiler *tiler, const char *id)
{
  g_autoptr(DeskState) state = desk_shelf_now(tiler->shelf);
  g_autoptr(GError) error = NULL;
  const PwModelPhoto *photo = g_hash_table_lookup(state->by_id, id);
  if (photo == NULL || !photo->readable)
    return;
  g_autofree char *key = dup_key(state, photo);
  if (is_done(tiler, key))
    return;
  PwTiles *tiles = build_tiles(tiler, state, photo, &error);
  if (tiles != NULL)
    desk_tiles_unref(keep_open(tiler, key, tiles));
  g_mutex_lock(&tiler->lock);
  if (tiles != NULL) {
    g_hash_table_remove(tiler->doubted, key);
    g_hash_table_add(tiler->checked, g_strdup(key));
  } else {
    g_hash_table_insert(tiler->failed, g_strdup(key), g_strdup(error->message));
  }
  g_mutex_unlock(&tiler->lock);
}

static gpointer
build_what_is_wanted(gpointer user)
{
  DeskTiler *tiler = user;
  g_mutex_lock(&tiler->lock);
  while (!g_atomic_int_get(&tiler->stopping)) {
    if (tiler->wanted->len == 0) {
      g_cond_wait(&tiler->moved, &tiler->lock);
      continue;
    }
    g_autofree char *id = g_ptr_array_steal_index(tiler->wanted, 0);
    g_mutex_unlock(&tiler->lock);
    build(tiler, id);
    g_mutex_lock(&tiler->lock);
  }
  g_mutex_unlock(&tiler->lock);
  return NULL;
}

/* ---- Life -------------------------------------------------------------------------- */

DeskTiler *
desk_tiler_new(DeskShelf *shelf)
{
  DeskTiler *tiler = g_new0(DeskTiler, 1);
  tiler->shelf = shelf;
  g_mutex_init(&tiler->lock);
  g_cond_init(&tiler->moved);
  tiler->open = g_ptr_array_new_with_free_func((GDestroyNotify)desk_tiles_unref);
  tiler->wanted = g_ptr_array_new_with_free_func(g_free);
  tiler->checked = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  tiler->doubted = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  tiler->failed = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  tiler->thread = g_thread_new("desk-tiles", build_what_is_wanted, tiler);
  return tiler;
}

void
desk_tiler_free(DeskTiler *tiler)
{
  if (tiler == NULL)
    return;
  g_mutex_lock(&tiler->lock);
  g_atomic_int_set(&tiler->stopping, TRUE);
  g_cond_signal(&tiler->moved);
  g_mutex_unlock(&tiler->lock);
  g_thread_join(tiler->thread);
  g_ptr_array_unref(tiler->open);
  g_ptr_array_unref(tiler->wanted);
  g_hash_table_unref(tiler->checked);
  g_hash_table_unref(tiler->doubted);
  g_hash_table_unref(tiler->failed);
  g_mutex_clear(&tiler->lock);
  g_cond_clear(&tiler->moved);
  g_free(tiler);
}
