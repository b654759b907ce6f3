/* Opening a folder: its texts are read, its photographs' headers too, and the steps of resolving
 * are run in their order. Also what a caller asks of the finished model. */
#include "model-private.h"

#include <platewright/style.h>
#include <math.h>
#include <string.h>

/* ---- Where the folder is ----------------------------------------------------------- */

/* The volume folder of one photograph: the nearest folder upwards with a volume.yaml, else its
 * own. */
static char *
folder_of_photo(const char *path, char **relative)
{
  g_autofree char *own = g_path_get_dirname(path);
  g_autofree char *volume = pw_folder_dup_volume(own);
  char *folder = volume != NULL ? g_steal_pointer(&volume) : g_steal_pointer(&own);
  const char *rest = path + strlen(folder);
  *relative = g_strdup(*rest == '/' ? rest + 1 : rest);
  return folder;
}

static gboolean
find_folder(PwModel *model, const char *path, GError **error)
{
  g_autofree char *absolute = g_canonicalize_filename(path, NULL);
  if (g_file_test(absolute, G_FILE_TEST_IS_DIR)) {
    if (!pw_folder_is_whole(absolute, error))
      return FALSE;
    model->folder = g_steal_pointer(&absolute);
  } else if (g_file_test(absolute, G_FILE_TEST_IS_REGULAR) && pw_photo_is_name(absolute)) {
    model->folder = folder_of_photo(absolute, &model->only);
  } else if (g_file_test(absolute, G_FILE_TEST_EXISTS)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s is neither a volume folder nor a photograph",
                path);
    return FALSE;
  } else {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s: there is no such folder", path);
    return FALSE;
  }
  model->fallback_id = g_path_get_basename(model->folder);
  return TRUE;
}

/* ---- Texts ------------------------------------------------------------------------- */

static gboolean
read_volume(PwModel *model, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = g_build_filename(model->folder, PW_VOLUME_FILE, NULL);
  if (!g_file_test(path, G_FILE_TEST_EXISTS))
    return TRUE;
  g_autoptr(GError) cause = NULL;
  model->volume = pw_volume_read(path, complaints, &cause);
  if (cause != NULL) {
    g_propagate_error(error, g_steal_pointer(&cause));
    return FALSE;
  }
  return TRUE;
}

static gboolean
read_terms(PwModel *model, const char *styles, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = g_build_filename(styles, "terms.yaml", NULL);
  g_autofree char *own = g_build_filename(model->folder, "terms.yaml", NULL);
  gboolean has_own = g_file_test(own, G_FILE_TEST_EXISTS);
  model->terms = pw_terms_read(path, has_own ? own : NULL, complaints, error);
  return model->terms != NULL;
}

static gboolean
read_care(PwModel *model, const char *styles, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = g_build_filename(styles, "care.yaml", NULL);
  model->care = pw_care_rules_read(path, complaints, error);
  return model->care != NULL;
}

/* ---- Photographs ------------------------------------------------------------------- */

/* One photograph being read by one thread; complaints are joined in order afterwards. */
typedef struct {
  PwModelPhoto *photo;
  PwComplaints *complaints;
} Reading;
typedef struct {
  const PwModel *model;
  const PwModelOptions *options;
  Reading *readings;
  guint n, done;
  GMutex lock;
} ReadAll;

static void
complain_of_file(PwComplaints *complaints, const char *file, GError *cause)
{
  pw_complaints_add(complaints, file, 0, 0, "unreadable", PW_SEVERITY_ERROR, NULL, "%s",
                    cause->message);
}

static void
read_sidecar(Reading *reading)
{
  PwModelPhoto *photo = reading->photo;
  g_autofree char *path = g_strconcat(photo->path, PW_SIDECAR_ENDING, NULL);
  photo->taken_in = g_file_test(path, G_FILE_TEST_EXISTS);
  if (!photo->taken_in)
    return;
  g_autoptr(GError) cause = NULL;
  photo->sidecar = pw_sidecar_read(path, photo->file, reading->complaints, &cause);
  if (cause != NULL)
    complain_of_file(reading->complaints, photo->file, cause);
  if (photo->sidecar == NULL)
    return;
  photo->stage = photo->sidecar->stage;
  photo->sha256 = g_strdup(photo->sidecar->sha256);
  photo->taken = g_strdup(photo->sidecar->taken);
}

/* Sizes would be wrong, and masks would not cover what they are meant for. */
static void
check_size(const PwModelPhoto *photo, PwComplaints *complaints)
{
  const PwSidecar *sidecar = photo->sidecar;
  if (sidecar == NULL || sidecar->width == 0 ||
      (sidecar->width == photo->facts.width && sidecar->height == photo->facts.height))
    return;
  pw_yaml_complain(sidecar->yaml, pw_yaml_peek_root(sidecar->yaml), complaints, "wrong size",
                   PW_SEVERITY_ERROR,
                   "the points refer to %d x %d px, but the photograph is %d x %d upright; they "
                   "would stand in the wrong place",
                   sidecar->width, sidecar->height, photo->facts.width, photo->facts.height);
}

static void
read_header(const PwModel *model, Reading *reading)
{
  PwModelPhoto *photo = reading->photo;
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwPhoto) file = pw_photo_open(photo->path, &cause);
  if (file == NULL) {
    complain_of_file(reading->complaints, photo->file, cause);
    return;
  }
  pw_photo_facts_copy(pw_photo_peek_facts(file), &photo->facts);
  photo->readable = TRUE;
  check_size(photo, reading->complaints);
  if (photo->taken == NULL)
    photo->taken = pw_taken_of_facts(&photo->facts, model->volume);
  if (photo->sha256 == NULL)
    photo->sha256 = pw_cache_dup_sha256(model->folder, file, FALSE, NULL);
}

static void
read_one(void *user, guint i)
{
  ReadAll *all = user;
  read_sidecar(&all->readings[i]);
  if (all->options->headers)
    read_header(all->model, &all->readings[i]);
  g_mutex_lock(&all->lock);
  pw_progress_step(all->options->progress, "reading", ++all->done, all->n);
  g_mutex_unlock(&all->lock);
}

static gint
compare_photos(gconstpointer a, gconstpointer b)
{
  const PwModelPhoto *x = *(PwModelPhoto *const *)a, *y = *(PwModelPhoto *const *)b;
  if (x->stage != y->stage)
    return x->stage < y->stage ? -1 : 1;
  int by_time = g_strcmp0(x->taken, y->taken);
  return by_time ? by_time : strcmp(x->file, y->file);
}

void
pw_model_mark_init(const PwModel *model, PwModelPhoto *photo, const PwMark *text, guint owner,
                   PwModelMark *mark)
{
  *mark =
      (PwModelMark){.photo = photo,
                    .text = text,
                    .reference = g_strdup_printf("%s#%s", photo->file, text->id ? text->id : ""),
                    .family = mark,
                    .kind = text->kind,
                    .owner = owner,
                    .plane_offset_mm = (double)NAN};
  mark->term = text->term ? pw_terms_find(model->terms, text->term) : NULL;
  mark->group = mark->term && mark->term->group ? mark->term->group : "other";
}

static PwModelMark *
take_marks(const PwModel *model, PwModelPhoto *photo, guint *next_owner)
{
  PwModelMark *marks = g_new0(PwModelMark, photo->sidecar->n_marks);
  for (gsize i = 0; i < photo->sidecar->n_marks; i++)
    pw_model_mark_init(model, photo, &photo->sidecar->marks[i], (*next_owner)++, &marks[i]);
  photo->n_marks = photo->sidecar->n_marks;
  return marks;
}

static void
index_photos(PwModel *model)
{
  guint next_mark = 1;
  g_ptr_array_sort(model->photos, compare_photos);
  for (guint i = 0; i < model->photos->len; i++) {
    PwModelPhoto *photo = model->photos->pdata[i];
    photo->owner = i + 1;
    g_hash_table_insert(model->by_file, photo->file, photo);
    if (photo->sidecar == NULL)
      continue;
    photo->marks = take_marks(model, photo, &next_mark);
    for (gsize j = 0; j < photo->n_marks; j++)
      g_hash_table_insert(model->by_reference, photo->marks[j].reference, &photo->marks[j]);
  }
}

static void
read_photos(PwModel *model, const PwModelOptions *options, PwComplaints *complaints)
{
  ReadAll all = {.model = model, .options = options, .n = model->found.photos->len};
  all.readings = g_new0(Reading, MAX(all.n, 1));
  g_mutex_init(&all.lock);
  for (guint i = 0; i < all.n; i++) {
    PwModelPhoto *photo = g_new0(PwModelPhoto, 1);
    photo->file = g_strdup(model->found.photos->pdata[i]);
    photo->path = g_build_filename(model->folder, photo->file, NULL);
    all.readings[i] = (Reading){photo, pw_complaints_new()};
  }
  pw_each(all.n, 0, read_one, &all);
  for (guint i = 0; i < all.n; i++) {
    g_ptr_array_add(model->photos, all.readings[i].photo);
    pw_complaints_move(complaints, all.readings[i].complaints);
    pw_complaints_free(all.readings[i].complaints);
  }
  g_mutex_clear(&all.lock);
  g_free(all.readings);
  index_photos(model);
}

/* ---- Life -------------------------------------------------------------------------- */

static void
photo_free(gpointer data)
{
  PwModelPhoto *photo = data;
  for (gsize i = 0; i < photo->n_marks; i++)
    pw_model_mark_clear(&photo->marks[i]);
  g_free(photo->marks);
  pw_size_clear(&photo->surface_mm2);
  pw_model_clear_scale(photo);
  pw_photo_facts_clear(&photo->facts);
  pw_sidecar_free((PwSidecar *)photo->sidecar);
  g_free(photo->file);
  g_free(photo->path);
  g_free(photo->sha256);
  g_free(photo->taken);
  g_free(photo->why);
  g_free(photo);
}

static void
clear_owed(gpointer data)
{
  g_free(((PwOwed *)data)->says);
}

static PwModel *
model_new(void)
{
  PwModel *model = g_new0(PwModel, 1);
  model->photos = g_ptr_array_new_with_free_func(photo_free);
  model->by_file = g_hash_table_new(g_str_hash, g_str_equal);
  model->by_reference = g_hash_table_new(g_str_hash, g_str_equal);
  model->totals = g_array_new(FALSE, TRUE, sizeof(PwModelTotal));
  g_array_set_clear_func(model->totals, (GDestroyNotify)pw_model_total_clear);
  model->changes = g_ptr_array_new_with_free_func((GDestroyNotify)pw_model_change_free);
  model->plates = g_ptr_array_new_with_free_func((GDestroyNotify)pw_model_plate_free);
  model->row = g_ptr_array_new();
  model->subjects = g_ptr_array_new();
  model->owed = g_array_new(FALSE, FALSE, sizeof(PwOwed));
  g_array_set_clear_func(model->owed, clear_owed);
  return model;
}

void
pw_model_free(PwModel *model)
{
  if (model == NULL)
    return;
  g_array_unref(model->totals);
  g_ptr_array_unref(model->changes);
  g_ptr_array_unref(model->plates);
  g_array_unref(model->owed);
  g_ptr_array_unref(model->row);
  pw_discretion_free(model->discretion);
  pw_model_estimate_free(model->estimate);
  g_free(model->hours.hours);
  g_ptr_array_unref(model->subjects);
  g_hash_table_unref(model->by_file);
  g_hash_table_unref(model->by_reference);
  for (guint i = 0; model->looks && i < model->photos->len; i++)
    pw_look_clear(&model->looks[i]);
  g_free(model->looks);
  g_ptr_array_unref(model->photos);
  pw_terms_free(model->terms);
  pw_care_rules_free(model->care);
  pw_volume_free(model->volume);
  pw_folder_clear(&model->found);
  g_free(model->folder);
  g_free(model->only);
  g_free(model->fallback_id);
  g_free(model);
}

static void
resolve(PwModel *model, const PwModelOptions *options, PwComplaints *complaints)
{
  pw_model_look(model, options->progress);
  pw_model_resolve_links(model, complaints);
  pw_model_check_consents(model, complaints);
  pw_model_resolve_scales(model, complaints);
  pw_model_resolve_sizes(model);
  pw_model_resolve_totals(model);
  pw_model_resolve_changes(model);
  pw_model_resolve_plates(model, complaints);
  pw_model_resolve_row(model);
  pw_model_resolve_owed(model, complaints);
  pw_model_resolve_discretion(model);
  pw_model_resolve_estimate(model, complaints);
  pw_model_resolve_hours(model);
  pw_model_resolve_consents(model);
}

static gboolean
read_all(PwModel *model, const char *path, const PwModelOptions *options, PwComplaints *complaints,
         GError **error)
{
  g_autofree char *styles = pw_style_dup_folder(error);
  if (styles == NULL || !find_folder(model, path, error) ||
      !pw_folder_scan(model->folder, &model->found, error) ||
      !read_volume(model, complaints, error) || !read_terms(model, styles, complaints, error) ||
      !read_care(model, styles, complaints, error))
    return FALSE;
  if (model->found.photos->len == 0 && model->volume == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE, "%s holds no photographs and no " PW_VOLUME_FILE,
                path);
    return FALSE;
  }
  read_photos(model, options, complaints);
  return TRUE;
}

/* What the record lacks while its volume.yaml cannot be read is no fault of the other texts. */
static gboolean
is_broken(const PwModel *model)
{
  g_autofree char *path = g_build_filename(model->folder, PW_VOLUME_FILE, NULL);
  return model->volume == NULL && g_file_test(path, G_FILE_TEST_EXISTS);
}

PwModel *
pw_model_open(const char *path, const PwModelOptions *options, PwComplaints *complaints,
              GError **error)
{
  g_autoptr(PwModel) model = model_new();
  const guint before = pw_complaints_count(complaints, PW_SEVERITY_ERROR);
  if (!read_all(model, path, options, complaints, error))
    return NULL;
  g_autoptr(PwComplaints) follows = pw_complaints_new();
  resolve(model, options, is_broken(model) ? follows : complaints);
  model->n_errors = pw_complaints_count(complaints, PW_SEVERITY_ERROR) - before;
  return g_steal_pointer(&model);
}

/* ---- What callers ask -------------------------------------------------------------- */

const char *
pw_model_peek_language(const PwModel *model)
{
  const PwVolume *volume = model->volume;
  return volume != NULL && volume->language != NULL ? volume->language : "en";
}

const char *
pw_model_peek_folder(const PwModel *model)
{
  return model->folder;
}

guint
pw_model_n_errors(const PwModel *model)
{
  return model->n_errors;
}

gsize
pw_model_n_folders(const PwModel *model)
{
  return model->found.folders->len;
}

const PwModelFolder *
pw_model_peek_folder_seen(const PwModel *model, gsize i)
{
  return &g_array_index(model->found.folders, PwModelFolder, i);
}

const PwTerms *
pw_model_peek_terms(const PwModel *model)
{
  return model->terms;
}

const PwVolume *
pw_model_peek_volume(const PwModel *model)
{
  return model->volume;
}

const char *
pw_model_peek_id(const PwModel *model)
{
  return model->volume && model->volume->id ? model->volume->id : model->fallback_id;
}

char *
pw_model_dup_file_name(const PwModel *model, const char *made, const char *kind,
                       PwAudience audience, const char *ending)
{
  const gboolean for_studio = audience == PW_FOR_STUDIO;
  char *name = g_strconcat(pw_model_peek_id(model), "-", made, kind ? "-" : "", kind ? kind : "",
                           for_studio ? "" : "-", for_studio ? "" : pw_audience_name(audience),
                           ending ? "." : "", ending, NULL);
  g_strdelimit(name, "/\\", '-'); /* an id may hold what a file's name may not */
  if (name[0] == '.' || name[0] == '-')
    name[0] = '_';
  return name;
}

const char *
pw_model_peek_only(const PwModel *model)
{
  return model->only;
}

gsize
pw_model_n_apart(const PwModel *model)
{
  gsize n = 0, paired = 0;
  for (guint i = 0; i < model->photos->len; i++) {
    g_autofree char *sidecar =
        g_strconcat(((PwModelPhoto *)model->photos->pdata[i])->file, PW_SIDECAR_ENDING, NULL);
    gboolean found =
        g_ptr_array_find_with_equal_func(model->found.sidecars, sidecar, g_str_equal, NULL);
    paired += found ? 1 : 0;
    n += found ? 0 : 1;
  }
  return n + model->found.sidecars->len - paired;
}

gsize
pw_model_n_photos(const PwModel *model)
{
  return model->photos->len;
}

PwModelPhoto *
pw_model_peek_photo(const PwModel *model, gsize i)
{
  return g_ptr_array_index(model->photos, i);
}

PwModelPhoto *
pw_model_find_photo(const PwModel *model, const char *file)
{
  return g_hash_table_lookup(model->by_file, file);
}

PwModelMark *
pw_model_find_mark(const PwModel *model, const char *reference)
{
  return g_hash_table_lookup(model->by_reference, reference);
}

gsize
pw_model_n_totals(const PwModel *model)
{
  return model->totals->len;
}

const PwModelTotal *
pw_model_peek_total(const PwModel *model, gsize i)
{
  return &g_array_index(model->totals, PwModelTotal, i);
}

gsize
pw_model_n_changes(const PwModel *model)
{
  return model->changes->len;
}

const PwModelChange *
pw_model_peek_change(const PwModel *model, gsize i)
{
  return g_ptr_array_index(model->changes, i);
}

gsize
pw_model_n_plates(const PwModel *model)
{
  return model->plates->len;
}

const PwModelPlate *
pw_model_peek_plate(const PwModel *model, gsize i)
{
  return g_ptr_array_index(model->plates, i);
}
