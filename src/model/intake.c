/* Intake: every photograph of a folder gets a sidecar, the folder a volume.yaml, and nothing that
 * is there is written over. A photograph that was renamed is known by its sha256. Cards that lie in
 * new photographs become their scale. */
#include "model-private.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  const char *file;
  PwComplaints *complaints;
  gboolean has_sidecar;
  char *sha256;       /* NULL when the photograph could not be read */
  PwPhotoFacts facts; /* of a new one, and the cards that lie in it */
  PwFound found;
  char **cards; /* their names; NULL: no names yet, or none to be found */
} Intake;

typedef struct {
  const char *folder;
  gboolean relink;
  PwVolume *volume; /* NULL: new, or one that cannot be read */
  GHashTable *lost; /* sha256 -> sidecar, of those whose photograph is gone */
  PwCardNames *names;
  gboolean entered; /* the new names stand in volume.yaml */
  const PwProgress *progress;
  PwIntakeResult *result;
  PwComplaints *complaints;
  Intake *intakes;
  guint n, done;
  GMutex lock;
} IntakeAll;

static char *
sidecar_path(const char *folder, const char *file)
{
  g_autofree char *name = g_strconcat(file, PW_SIDECAR_ENDING, NULL);
  return g_build_filename(folder, name, NULL);
}

/* ---- Reading one photograph -------------------------------------------------------- */

static void
complain(Intake *intake, const char *kind, PwSeverity severity, const char *says)
{
  pw_complaints_add(intake->complaints, intake->file, 0, 0, kind, severity, NULL, "%s", says);
}

/* A picture in which nothing can be found is taken in all the same: it is evidence as it is. */
static void
find_cards(const IntakeAll *all, Intake *intake, PwPhoto *photo)
{
  g_autoptr(GError) cause = NULL;
  if (pw_look_for_cards(all->folder, photo, intake->sha256, &intake->found, &cause)) {
    for (char **refused = intake->found.refused; *refused; refused++)
      complain(intake, "tags refused", PW_SEVERITY_WARNING, *refused);
  } else if (!g_error_matches(cause, PW_ERROR, PW_ERROR_LIMIT)) {
    g_autofree char *says = g_strdup_printf("it is taken in as it is, but: %s", cause->message);
    complain(intake, "damaged", PW_SEVERITY_WARNING, says);
  }
}

/* Its file stands before a complaint: the path is not said again. */
static const char *
without_path(const char *says, const char *path)
{
  const gsize n = strlen(path);
  return g_str_has_prefix(says, path) && g_str_has_prefix(says + n, ": ") ? says + n + 2 : says;
}

static void
read_photo(const IntakeAll *all, Intake *intake)
{
  g_autofree char *path = g_build_filename(all->folder, intake->file, NULL);
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &cause);
  if (photo != NULL)
    intake->sha256 = pw_cache_dup_sha256(all->folder, photo, FALSE, &cause);
  if (intake->sha256 == NULL) {
    complain(intake, "unreadable", PW_SEVERITY_ERROR, without_path(cause->message, path));
    return;
  }
  if (intake->has_sidecar)
    return;
  pw_photo_facts_copy(pw_photo_peek_facts(photo), &intake->facts);
  find_cards(all, intake, photo);
}

static void
intake_one(void *user, guint i)
{
  IntakeAll *all = user;
  read_photo(all, &all->intakes[i]);
  g_mutex_lock(&all->lock);
  pw_progress_step(all->progress, "taking in", ++all->done, all->n);
  g_mutex_unlock(&all->lock);
}

/* ---- Renamed photographs ----------------------------------------------------------- */

static gboolean
photo_is_there(const PwFolder *found, const char *sidecar)
{
  g_autofree char *photo = g_strndup(sidecar, strlen(sidecar) - strlen(PW_SIDECAR_ENDING));
  return g_ptr_array_find_with_equal_func(found->photos, photo, g_str_equal, NULL);
}

/* sha256 -> sidecar (relative), of the sidecars whose photograph is gone. */
static GHashTable *
orphans(const char *folder, const PwFolder *found)
{
  GHashTable *table = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < found->sidecars->len; i++) {
    const char *name = found->sidecars->pdata[i];
    if (photo_is_there(found, name))
      continue;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(PwComplaints) unheard = pw_complaints_new(); /* `check` reads it again, and says it */
    g_autoptr(PwSidecar) sidecar = pw_sidecar_read(path, name, unheard, NULL);
    if (sidecar != NULL && sidecar->sha256 != NULL)
      g_hash_table_insert(table, g_strdup(sidecar->sha256), (gpointer)name);
  }
  return table;
}

/* Gives the sidecar its photograph's new name. A link first, so that nothing can be written
 * over. */
static gboolean
rename_sidecar(const char *folder, const char *from, const char *file, GError **error)
{
  g_autofree char *old = g_build_filename(folder, from, NULL);
  g_autofree char *new = sidecar_path(folder, file);
  if (renameat2(AT_FDCWD, old, AT_FDCWD, new, RENAME_NOREPLACE) == 0)
    return TRUE;
  g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s could not be renamed to %s: %s", old, new,
              g_strerror(errno));
  return FALSE;
}

/* TRUE when the photograph is one that a sidecar of another name belongs to: nothing more to
 * write. */
static gboolean
was_renamed(IntakeAll *all, Intake *intake)
{
  const char *sidecar = g_hash_table_lookup(all->lost, intake->sha256);
  if (sidecar == NULL)
    return FALSE;
  g_autoptr(GError) cause = NULL;
  g_autofree char *says = g_strdup_printf("this is the photograph that %s belongs to; `intake "
                                          "--relink` gives the sidecar its new name",
                                          sidecar);
  if (!all->relink)
    complain(intake, "renamed", PW_SEVERITY_ERROR, says);
  else if (rename_sidecar(all->folder, sidecar, intake->file, &cause))
    all->result->n_relinked++;
  else
    complain(intake, "renamed", PW_SEVERITY_ERROR, cause->message);
  g_hash_table_remove(all->lost, intake->sha256);
  return TRUE;
}

/* ---- Writing ----------------------------------------------------------------------- */

static gboolean
write_new(const char *path, const char *text, GError **error)
{
  PwWriteGuard guard = {.must_be_new = TRUE};
  return pw_file_write_whole(path, text, strlen(text), &guard, error);
}

static char *
dup_sidecar(const IntakeAll *all, const Intake *intake)
{
  const PwPhotoFacts *facts = &intake->facts;
  g_autofree char *taken = pw_taken_of_facts(facts, all->volume);
  PwStage stage = pw_stage_from_place(intake->file, taken, all->volume);
  return pw_sidecar_dup_new(taken, intake->sha256, facts->width, facts->height, "studio", stage,
                            (const char *const *)intake->cards);
}

/* What was said of one photograph keeps none of the others out; a folder that another keeps locked
 * would do so to all of them. FALSE then. */
static gboolean
bears_with(const GError *cause, GError **error)
{
  if (!g_error_matches(cause, PW_ERROR, PW_ERROR_BUSY))
    return TRUE;
  g_propagate_error(error, g_error_copy(cause));
  return FALSE;
}

static gboolean
write_sidecar(IntakeAll *all, Intake *intake, GError **error)
{
  g_autofree char *path = sidecar_path(all->folder, intake->file);
  g_autofree char *text = dup_sidecar(all, intake);
  g_autoptr(GError) cause = NULL;
  if (!write_new(path, text, &cause)) {
    if (!bears_with(cause, error))
      return FALSE;
    complain(intake, "unwritable", PW_SEVERITY_ERROR, cause->message);
    return TRUE;
  }
  all->result->n_new++;
  if (intake->cards == NULL || intake->cards[0] == NULL)
    g_ptr_array_add(all->result->without_card, g_strdup(intake->file));
  return TRUE;
}

static gboolean
settle(IntakeAll *all, Intake *intake, GError **error)
{
  if (intake->has_sidecar)
    all->result->n_kept++;
  else if (intake->sha256 == NULL || was_renamed(all, intake))
    return TRUE;
  else if (!all->entered && intake->cards != NULL &&
           pw_card_names_has_new(all->names, intake->cards))
    complain(intake, "not taken in", PW_SEVERITY_ERROR,
             "a card lies in it that could not be entered in " PW_VOLUME_FILE
             "; mend that, then run intake again");
  else
    return write_sidecar(all, intake, error);
  return TRUE;
}

/* ---- All photographs --------------------------------------------------------------- */

static void
intakes_init(IntakeAll *all, const PwFolder *found)
{
  all->n = found->photos->len;
  all->intakes = g_new0(Intake, MAX(all->n, 1));
  for (guint i = 0; i < all->n; i++) {
    g_autofree char *path = sidecar_path(all->folder, found->photos->pdata[i]);
    all->intakes[i].file = found->photos->pdata[i];
    all->intakes[i].complaints = pw_complaints_new();
    all->intakes[i].has_sidecar = g_file_test(path, G_FILE_TEST_EXISTS);
  }
}

static void
intakes_clear(IntakeAll *all)
{
  for (guint i = 0; i < all->n; i++) {
    Intake *intake = &all->intakes[i];
    pw_complaints_move(all->complaints, intake->complaints);
    pw_complaints_free(intake->complaints);
    pw_found_clear(&intake->found);
    pw_photo_facts_clear(&intake->facts);
    g_strfreev(intake->cards);
    g_free(intake->sha256);
  }
  g_free(all->intakes);
}

static void
read_photos(IntakeAll *all)
{
  g_mutex_init(&all->lock);
  pw_each(all->n, 0, intake_one, all);
  g_mutex_clear(&all->lock);
  for (guint i = 0; i < all->n; i++) {
    Intake *intake = &all->intakes[i];
    gboolean is_new = intake->sha256 != NULL && !intake->has_sidecar &&
                      !g_hash_table_contains(all->lost, intake->sha256);
    if (is_new && intake->found.n_cards > 0)
      intake->cards = pw_card_names_dup_of(all->names, &intake->found);
  }
}

/* ---- volume.yaml ------------------------------------------------------------------- */

static gboolean
write_volume(IntakeAll *all, const char *path, GError **error)
{
  g_autofree char *absolute = g_canonicalize_filename(all->folder, NULL);
  g_autofree char *id = g_path_get_basename(absolute);
  g_autofree char *text = pw_volume_dup_new(id);
  g_autoptr(PwYaml) yaml = pw_yaml_parse(text, strlen(text), PW_VOLUME_FILE, all->complaints);
  gsize length;
  if (!pw_card_names_enter(all->names, yaml, error) ||
      !write_new(path, pw_yaml_peek_text(yaml, &length), error))
    return FALSE;
  all->result->wrote_volume = all->entered = TRUE;
  return TRUE;
}

/* What cannot be entered, because the text cannot be read or has changed meanwhile, keeps its
 * photographs waiting, but no others. */
static gboolean
enter_cards(IntakeAll *all, GError **error)
{
  g_autoptr(GError) cause = NULL;
  if (all->volume == NULL)
    return TRUE; /* complained of when it was read */
  all->entered = pw_card_names_enter(all->names, all->volume->yaml, &cause) &&
                 pw_yaml_save(all->volume->yaml, &cause);
  if (!all->entered && !bears_with(cause, error))
    return FALSE;
  if (!all->entered)
    pw_complaints_add(all->complaints, PW_VOLUME_FILE, 0, 0, "unwritable", PW_SEVERITY_ERROR, NULL,
                      "%s", cause->message);
  return TRUE;
}

/* A card alone gives no size: that it lies level is for the one who laid it to say. */
static void
tell_of_offset(IntakeAll *all)
{
  for (guint i = 0; i < all->n; i++) {
    if (all->intakes[i].cards == NULL ||
        !pw_card_names_lack_offset(all->names, all->intakes[i].cards))
      continue;
    pw_complaints_add(all->complaints, PW_VOLUME_FILE, 0, 0, "no plane-offset", PW_SEVERITY_NOTE,
                      NULL,
                      "a card gives sizes once it is known how far above it the surface stands: "
                      "lay the card level with what you measure and write `plane-offset: 0` here");
    return;
  }
}

static gboolean
settle_volume(IntakeAll *all, gboolean is_there, const char *path, GError **error)
{
  if (!is_there) {
    if (!write_volume(all, path, error))
      return FALSE;
  } else if (pw_card_names_n_new(all->names) > 0 && !enter_cards(all, error)) {
    return FALSE;
  }
  if (all->entered)
    pw_card_names_tell(all->names, all->complaints);
  tell_of_offset(all);
  return TRUE;
}

static gboolean
take_in(IntakeAll *all, const PwFolder *found, GError **error)
{
  g_autofree char *path = g_build_filename(all->folder, PW_VOLUME_FILE, NULL);
  g_autoptr(GError) cause = NULL;
  gboolean is_there = g_file_test(path, G_FILE_TEST_EXISTS);
  all->volume = is_there ? pw_volume_read(path, all->complaints, &cause) : NULL;
  if (cause != NULL) {
    g_propagate_error(error, g_steal_pointer(&cause));
    return FALSE;
  }
  all->lost = orphans(all->folder, found);
  all->names = pw_card_names_new(all->volume);
  intakes_init(all, found);
  read_photos(all);
  gboolean settled = settle_volume(all, is_there, path, error);
  for (guint i = 0; settled && i < all->n; i++)
    settled = settle(all, &all->intakes[i], error);
  intakes_clear(all);
  pw_card_names_free(all->names);
  g_hash_table_unref(all->lost);
  pw_volume_free(all->volume);
  return settled;
}

gboolean
pw_intake(const char *folder, gboolean relink, const PwProgress *progress, PwIntakeResult *result,
          PwComplaints *complaints, GError **error)
{
  PwFolder found = {0};
  g_autofree char *absolute = g_canonicalize_filename(folder, NULL);
  *result = (PwIntakeResult){.without_card = g_ptr_array_new_with_free_func(g_free)};
  if (!pw_folder_is_whole(absolute, error) || !pw_folder_scan(folder, &found, error))
    return FALSE;
  IntakeAll all = {.folder = folder,
                   .relink = relink,
                   .progress = progress,
                   .result = result,
                   .complaints = complaints};
  gboolean ok = take_in(&all, &found, error);
  pw_folder_clear(&found);
  return ok;
}

void
pw_intake_result_clear(PwIntakeResult *result)
{
  g_clear_pointer(&result->without_card, g_ptr_array_unref);
}
