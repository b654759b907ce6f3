/* Intake: every photograph of a folder gets a sidecar, the folder a volume.yaml, and nothing that
 * is there is written over. A photograph that was renamed is known by its sha256. */
#include "model-private.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  const char *file;
  PwComplaints *complaints;
  char *sha256, *text; /* the new sidecar's; NULL when the photograph could not be read */
  gboolean has_sidecar;
} Intake;

typedef struct {
  const char *folder;
  const PwVolume *volume;
  const PwProgress *progress;
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
read_photo(IntakeAll *all, Intake *intake)
{
  g_autofree char *path = g_build_filename(all->folder, intake->file, NULL);
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &cause);
  if (photo != NULL)
    intake->sha256 = pw_cache_dup_sha256(all->folder, photo, FALSE, &cause);
  if (intake->sha256 == NULL) {
    pw_complaints_add(intake->complaints, intake->file, 0, 0, "unreadable", PW_SEVERITY_ERROR, NULL,
                      "%s", cause->message);
    return;
  }
  if (intake->has_sidecar)
    return;
  const PwPhotoFacts *facts = pw_photo_peek_facts(photo);
  g_autofree char *taken = pw_taken_of_facts(facts, all->volume);
  PwStage stage = pw_stage_from_place(intake->file, taken, all->volume);
  intake->text =
      pw_sidecar_dup_new(taken, intake->sha256, facts->width, facts->height, "studio", stage);
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
was_renamed(const char *folder, GHashTable *lost, gboolean relink, Intake *intake,
            PwIntakeResult *result, PwComplaints *complaints)
{
  const char *sidecar = g_hash_table_lookup(lost, intake->sha256);
  if (sidecar == NULL)
    return FALSE;
  g_autoptr(GError) cause = NULL;
  if (!relink)
    pw_complaints_add(complaints, intake->file, 0, 0, "renamed", PW_SEVERITY_ERROR, NULL,
                      "this is the photograph that %s belongs to; `intake --relink` gives the "
                      "sidecar its new name",
                      sidecar);
  else if (rename_sidecar(folder, sidecar, intake->file, &cause))
    result->n_relinked++;
  else
    pw_complaints_add(complaints, intake->file, 0, 0, "renamed", PW_SEVERITY_ERROR, NULL, "%s",
                      cause->message);
  g_hash_table_remove(lost, intake->sha256);
  return TRUE;
}

/* ---- Writing ----------------------------------------------------------------------- */

static gboolean
write_new(const char *path, const char *text, GError **error)
{
  PwWriteGuard guard = {.must_be_new = TRUE};
  return pw_file_write_whole(path, text, strlen(text), &guard, error);
}

static void
settle(const char *folder, GHashTable *lost, gboolean relink, Intake *intake,
       PwIntakeResult *result, PwComplaints *complaints)
{
  pw_complaints_move(complaints, intake->complaints);
  if (intake->has_sidecar) {
    result->n_kept++;
    return;
  }
  if (intake->text == NULL || was_renamed(folder, lost, relink, intake, result, complaints))
    return;
  g_autofree char *path = sidecar_path(folder, intake->file);
  g_autoptr(GError) cause = NULL;
  if (write_new(path, intake->text, &cause))
    result->n_new++;
  else
    pw_complaints_add(complaints, intake->file, 0, 0, "unwritable", PW_SEVERITY_ERROR, NULL, "%s",
                      cause->message);
}

static void
take_in(const char *folder, const PwFolder *found, const PwVolume *volume, gboolean relink,
        const PwProgress *progress, PwIntakeResult *result, PwComplaints *complaints)
{
  IntakeAll all = {folder, volume, progress, NULL, found->photos->len, 0, {0}};
  g_autoptr(GHashTable) lost = orphans(folder, found);
  all.intakes = g_new0(Intake, MAX(all.n, 1));
  g_mutex_init(&all.lock);
  for (guint i = 0; i < all.n; i++) {
    g_autofree char *path = sidecar_path(folder, found->photos->pdata[i]);
    all.intakes[i].file = found->photos->pdata[i];
    all.intakes[i].complaints = pw_complaints_new();
    all.intakes[i].has_sidecar = g_file_test(path, G_FILE_TEST_EXISTS);
  }
  pw_each(all.n, 0, intake_one, &all);
  for (guint i = 0; i < all.n; i++) {
    settle(folder, lost, relink, &all.intakes[i], result, complaints);
    pw_complaints_free(all.intakes[i].complaints);
    g_free(all.intakes[i].sha256);
    g_free(all.intakes[i].text);
  }
  g_mutex_clear(&all.lock);
  g_free(all.intakes);
}

static gboolean
volume_text(const char *folder, PwVolume **volume, PwIntakeResult *result, PwComplaints *complaints,
            GError **error)
{
  g_autofree char *path = g_build_filename(folder, PW_VOLUME_FILE, NULL);
  g_autoptr(GError) cause = NULL;
  if (g_file_test(path, G_FILE_TEST_EXISTS)) {
    *volume = pw_volume_read(path, complaints, &cause);
  } else {
    g_autofree char *absolute = g_canonicalize_filename(folder, NULL);
    g_autofree char *id = g_path_get_basename(absolute);
    g_autofree char *text = pw_volume_dup_new(id);
    result->wrote_volume = write_new(path, text, &cause);
  }
  if (cause == NULL)
    return TRUE;
  g_propagate_error(error, g_steal_pointer(&cause));
  return FALSE;
}

gboolean
pw_intake(const char *folder, gboolean relink, const PwProgress *progress, PwIntakeResult *result,
          PwComplaints *complaints, GError **error)
{
  g_autoptr(PwVolume) volume = NULL;
  PwFolder found = {0};
  g_autofree char *absolute = g_canonicalize_filename(folder, NULL);
  *result = (PwIntakeResult){0};
  if (!pw_folder_is_whole(absolute, error) || !pw_folder_scan(folder, &found, error))
    return FALSE;
  gboolean ok = volume_text(folder, &volume, result, complaints, error);
  if (ok)
    take_in(folder, &found, volume, relink, progress, result, complaints);
  pw_folder_clear(&found);
  return ok;
}
