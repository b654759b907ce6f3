/* What lies in the folder just now: one read-only model behind a count of its readers. A change on
 * disk, ours or a text editor's, makes a new one; whoever still reads the old one keeps it alive.
 * Only one thread reads the folder at a time, and who waited for it finds nothing left to do.
 */
#include "desk-private.h"

#include <string.h>
#include <sys/stat.h>

enum { ID_CHARS = 16, TERMS_STAMP = 0 /* the first: of the volume's own terms */ };

struct DeskShelf {
  char *folder;
  GMutex lock; /* of `state`, held for a moment */
  DeskState *state;
  GMutex reading; /* held while the folder is read */
};

/* A file as it was when the model read it. */
typedef struct {
  char *path;
  gboolean there;
  PwFileState state;
} Stamp;

/* ---- Stamps ------------------------------------------------------------------------ */

static void
stamp_clear(gpointer data)
{
  g_free(((Stamp *)data)->path);
}

static void
stamp_file(GArray *stamps, char *path_taken, const PwFileState *as_read)
{
  Stamp stamp = {.path = path_taken};
  stamp.there = as_read ? TRUE : pw_file_state_of(path_taken, &stamp.state, NULL);
  if (as_read)
    stamp.state = *as_read;
  g_array_append_val(stamps, stamp);
}

static gboolean
is_as_stamped(const Stamp *stamp)
{
  PwFileState now;
  gboolean there = pw_file_state_of(stamp->path, &now, NULL);
  return there == stamp->there && (!there || pw_file_state_equal(&now, &stamp->state));
}

static gboolean
is_up_to_date(const DeskState *state)
{
  for (guint i = 0; i < state->stamps->len; i++)
    if (!is_as_stamped(&g_array_index(state->stamps, Stamp, i)))
      return FALSE;
  return TRUE;
}

/* Folders tell of files that come and go. */
static void
stamp_folders(GArray *stamps, const PwModel *model)
{
  for (gsize i = 0; i < pw_model_n_folders(model); i++) {
    const PwModelFolder *folder = pw_model_peek_folder_seen(model, i);
    stamp_file(stamps, g_strdup(folder->path), &folder->state);
  }
}

static void
stamp_photos(GArray *stamps, const PwModel *model)
{
  for (gsize i = 0; i < pw_model_n_photos(model); i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(model, i);
    const PwSidecar *sidecar = photo->sidecar;
    stamp_file(stamps, g_strdup(photo->path), photo->readable ? &photo->facts.state : NULL);
    stamp_file(stamps, g_strconcat(photo->path, PW_SIDECAR_ENDING, NULL),
               sidecar ? pw_yaml_peek_state(sidecar->yaml) : NULL);
  }
}

/* ---- States ------------------------------------------------------------------------ */

char *
desk_photo_dup_id(const char *file)
{
  g_autofree char *sum = pw_sha256_dup_hex(file, strlen(file));
  return g_strndup(sum, ID_CHARS);
}

/* Changes with any file that a page shows something of. */
static char *
dup_tag_of_all(const DeskState *state)
{
  g_autoptr(PwSha256) sum = pw_sha256_new();
  const PwVolume *volume = pw_model_peek_volume(state->model);
  g_autofree char *own = volume ? pw_yaml_dup_tag(volume->yaml) : g_strdup("none");
  pw_sha256_add(sum, own, strlen(own));
  const Stamp *terms = &g_array_index(state->stamps, Stamp, TERMS_STAMP);
  pw_sha256_add(sum, &terms->state, sizeof terms->state);
  for (guint i = 0; i < state->ids->len; i++) {
    const PwModelPhoto *photo = pw_model_peek_photo(state->model, i);
    const char *tag = state->tags->pdata[i] ? state->tags->pdata[i] : "none";
    pw_sha256_add(sum, state->ids->pdata[i], ID_CHARS);
    pw_sha256_add(sum, tag, strlen(tag));
    pw_sha256_add(sum, &photo->facts.state, sizeof photo->facts.state);
  }
  g_autofree char *hex = pw_sha256_take_hex(sum);
  return g_strndup(hex, PW_TAG_DIGITS);
}

static void
index_state(DeskState *state)
{
  for (gsize i = 0; i < pw_model_n_photos(state->model); i++) {
    PwModelPhoto *photo = pw_model_peek_photo(state->model, i);
    char *id = desk_photo_dup_id(photo->file);
    g_ptr_array_add(state->ids, id);
    g_ptr_array_add(state->tags, photo->sidecar ? pw_sidecar_dup_tag(photo->sidecar) : NULL);
    g_hash_table_insert(state->by_id, id, photo);
  }
  state->tag = dup_tag_of_all(state);
}

static DeskState *
state_new(void)
{
  DeskState *state = g_new0(DeskState, 1);
  g_atomic_ref_count_init(&state->references);
  state->complaints = pw_complaints_new();
  state->by_id = g_hash_table_new(g_str_hash, g_str_equal);
  state->ids = g_ptr_array_new_with_free_func(g_free);
  state->tags = g_ptr_array_new_with_free_func(g_free);
  state->stamps = g_array_new(FALSE, TRUE, sizeof(Stamp));
  g_array_set_clear_func(state->stamps, stamp_clear);
  return state;
}

/* The words of the volume's language; English where those cannot be had, and then why is kept. */
static gboolean
read_words(DeskState *state, GError **error)
{
  const char *language = pw_model_peek_language(state->model);
  g_autoptr(GError) why = NULL;
  state->words = pw_words_read(language, state->complaints, &why);
  if (state->words != NULL)
    return TRUE;
  state->no_words =
      why ? g_strdup(why->message)
          : g_strdup_printf("the words of the language \"%s\" cannot be used", language);
  state->words = pw_words_read("en", state->complaints, error);
  if (state->words == NULL && error != NULL && *error == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "the file of English words cannot be used");
  return state->words != NULL;
}

static DeskState *
state_read(const char *folder, GError **error)
{
  g_autoptr(DeskState) state = state_new();
  PwModelOptions options = {.headers = TRUE};
  stamp_file(state->stamps, g_build_filename(folder, "terms.yaml", NULL), NULL);
  stamp_file(state->stamps, g_build_filename(folder, PW_VOLUME_FILE, NULL), NULL);
  state->model = pw_model_open(folder, &options, state->complaints, error);
  if (state->model == NULL)
    return NULL;
  if (!read_words(state, error))
    return NULL;
  stamp_folders(state->stamps, state->model);
  stamp_photos(state->stamps, state->model);
  index_state(state);
  return g_steal_pointer(&state);
}

static DeskState *
state_ref(DeskState *state)
{
  g_atomic_ref_count_inc(&state->references);
  return state;
}

void
desk_state_unref(DeskState *state)
{
  if (state == NULL || !g_atomic_ref_count_dec(&state->references))
    return;
  g_clear_pointer(&state->model, pw_model_free);
  pw_words_free(state->words);
  g_free(state->no_words);
  pw_complaints_free(state->complaints);
  g_hash_table_unref(state->by_id);
  g_ptr_array_unref(state->ids);
  g_ptr_array_unref(state->tags);
  g_array_unref(state->stamps);
  g_free(state->tag);
  g_free(state);
}

const char *
desk_state_peek_id(const DeskState *state, const PwModelPhoto *photo)
{
  return state->ids->pdata[photo->owner - 1];
}

const char *
desk_state_peek_tag(const DeskState *state, const PwModelPhoto *photo)
{
  return state->tags->pdata[photo->owner - 1];
}

/* ---- The shelf --------------------------------------------------------------------- */

DeskShelf *
desk_shelf_new(const char *folder, GError **error)
{
  DeskState *state = state_read(folder, error);
  if (state == NULL)
    return NULL;
  DeskShelf *shelf = g_new0(DeskShelf, 1);
  shelf->folder = g_strdup(folder);
  shelf->state = state;
  g_mutex_init(&shelf->lock);
  g_mutex_init(&shelf->reading);
  return shelf;
}

void
desk_shelf_free(DeskShelf *shelf)
{
  if (shelf == NULL)
    return;
  desk_state_unref(shelf->state);
  g_mutex_clear(&shelf->lock);
  g_mutex_clear(&shelf->reading);
  g_free(shelf->folder);
  g_free(shelf);
}

DeskState *
desk_shelf_now(DeskShelf *shelf)
{
  g_mutex_lock(&shelf->lock);
  DeskState *state = state_ref(shelf->state);
  g_mutex_unlock(&shelf->lock);
  return state;
}

DeskState *
desk_shelf_look(DeskShelf *shelf, GError **error)
{
  g_mutex_lock(&shelf->reading);
  DeskState *state = desk_shelf_now(shelf);
  if (!is_up_to_date(state)) {
    DeskState *fresh = state_read(shelf->folder, error);
    desk_state_unref(state);
    state = fresh;
    if (fresh != NULL) {
      g_mutex_lock(&shelf->lock);
      DeskState *old = shelf->state;
      shelf->state = state_ref(fresh);
      g_mutex_unlock(&shelf->lock);
      desk_state_unref(old);
    }
  }
  g_mutex_unlock(&shelf->reading);
  return state;
}
