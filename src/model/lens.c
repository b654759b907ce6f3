/* A lens from a folder of photographs: the printed sheet is looked for in each, what one lens took
 * is put together, and each lens is calibrated. All in stored px, since one lens takes pictures
 * upright and on their side.
 */
#include "lens.h"

#include <platewright/card.h>

#include <math.h>
#include <string.h>

/* One photograph and the sheet in it. */
typedef struct {
  const char *file;
  PwComplaints *complaints;
  PwPhotoFacts facts;
  gboolean readable;
  PwPx *px; /* stored px; NULL: no sheet */
  PwMm *mm;
  gsize n;
} Shot;

typedef struct {
  const char *folder;
  const PwProgress *progress;
  Shot *shots;
  guint n, done;
  GMutex lock;
} Shots;

/* ---- The sheet in one photograph --------------------------------------------------- */

static void
take_sheet(Shot *shot, const PwFoundCard *card)
{
  if (card->n < PW_LEAST_SHEET_POINTS) {
    pw_complaints_add(shot->complaints, shot->file, 0, 0, "sheet", PW_SEVERITY_NOTE, NULL,
                      "only %d tags of the sheet are seen; it is left out", card->n_tags);
    return;
  }
  shot->n = card->n;
  shot->px = g_new(PwPx, card->n);
  shot->mm = g_memdup2(card->mm, card->n * sizeof *card->mm);
  for (gsize i = 0; i < card->n; i++)
    shot->px[i] = pw_photo_facts_stored(&shot->facts, card->px[i]);
}

static gboolean
find_sheet(Shot *shot, PwPhoto *photo, GError **error)
{
  PwPlane grey = {0};
  PwFound found = {0};
  if (!pw_photo_grey(photo, &grey, error))
    return FALSE;
  gboolean done = pw_card_find(&grey, &found, error);
  pw_plane_clear(&grey);
  for (gsize i = 0; i < found.n_cards; i++)
    if (found.cards[i].size == PW_CARD_SHEET)
      take_sheet(shot, &found.cards[i]);
  for (char **refused = found.refused; refused && *refused; refused++)
    pw_complaints_add(shot->complaints, shot->file, 0, 0, "card", PW_SEVERITY_NOTE, NULL, "%s",
                      *refused);
  pw_found_clear(&found);
  return done;
}

static void
read_shot(const Shots *all, Shot *shot)
{
  g_autofree char *path = g_build_filename(all->folder, shot->file, NULL);
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwPhoto) photo = pw_photo_open(path, &cause);
  if (photo != NULL) {
    pw_photo_facts_copy(pw_photo_peek_facts(photo), &shot->facts);
    shot->readable = find_sheet(shot, photo, &cause);
  }
  if (!shot->readable)
    pw_complaints_add(shot->complaints, shot->file, 0, 0, "unreadable", PW_SEVERITY_ERROR, NULL,
                      "%s", cause->message);
}

static void
read_one(void *user, guint i)
{
  Shots *all = user;
  read_shot(all, &all->shots[i]);
  g_mutex_lock(&all->lock);
  pw_progress_step(all->progress, "looking for the sheet", ++all->done, all->n);
  g_mutex_unlock(&all->lock);
}

/* ---- One lens ---------------------------------------------------------------------- */

gboolean
pw_lens_group_is(const PwLensGroup *group, const char *make, const char *model, const char *lens,
                 double focal_mm, int width, int height)
{
  return g_strcmp0(group->make, make) == 0 && g_strcmp0(group->model, model) == 0 &&
         g_strcmp0(group->lens, lens) == 0 &&
         ((isnan(group->focal_mm) && isnan(focal_mm)) ||
          pw_is_same_focal(group->focal_mm, focal_mm)) &&
         group->width == width && group->height == height;
}

static double
focal_of(const PwPhotoFacts *facts)
{
  return facts->focal_mm > 0 ? facts->focal_mm : (double)NAN;
}

static gboolean
is_of_group(const PwLensGroup *group, const PwPhotoFacts *facts)
{
  return pw_lens_group_is(group, facts->make, facts->model, facts->lens, focal_of(facts),
                          facts->stored_width, facts->stored_height);
}

/* "9 photographs of the sheet, 2026-03-01", or "... to 2026-03-02". */
static char *
dup_from(GPtrArray *shots)
{
  g_autofree char *first = NULL, *last = NULL;
  for (guint i = 0; i < shots->len; i++) {
    const Shot *shot = shots->pdata[i];
    GDate date;
    if (shot->facts.taken == NULL || !pw_date_of_time(shot->facts.taken, &date))
      continue;
    char day[sizeof "2026-03-01"];
    g_date_strftime(day, sizeof day, "%Y-%m-%d", &date);
    if (first == NULL || strcmp(day, first) < 0)
      g_free(first), first = g_strdup(day);
    if (last == NULL || strcmp(day, last) > 0)
      g_free(last), last = g_strdup(day);
  }
  gboolean range = first != NULL && strcmp(first, last) != 0;
  return g_strdup_printf("%u photographs of the sheet%s%s%s%s", shots->len, first ? ", " : "",
                         first ? first : "", range ? " to " : "", range ? last : "");
}

static void
warn_of_silence(const PwLensGroup *group, const char *file, PwComplaints *complaints)
{
  if (group->make == NULL && group->model == NULL)
    pw_complaints_add(complaints, file, 0, 0, "no camera", PW_SEVERITY_WARNING, NULL,
                      "the photographs do not name their camera, so that the entry fits every "
                      "picture of %d x %d pixels; write in a model if there are others",
                      group->width, group->height);
}

static void
calibrate(PwLensGroup *group, GPtrArray *shots, PwComplaints *complaints)
{
  g_autofree PwSheetView *views = g_new(PwSheetView, shots->len);
  g_autoptr(GError) cause = NULL;
  const Shot *first = shots->pdata[0];
  for (guint i = 0; i < shots->len; i++) {
    const Shot *shot = shots->pdata[i];
    views[i] = (PwSheetView){shot->file, shot->px, shot->mm, shot->n};
  }
  group->n_photos = shots->len;
  group->from = dup_from(shots);
  if (pw_lens_calibrate(views, shots->len, group->width, group->height, &group->calibration,
                        &cause)) {
    group->entry = pw_lens_dup_entry(group);
    warn_of_silence(group, first->file, complaints);
    return;
  }
  group->why = g_strdup(cause->message);
  pw_complaints_add(complaints, first->file, 0, 0, "lens", PW_SEVERITY_ERROR, NULL,
                    "no lens from this and what the same camera took: %s", group->why);
}

static void
group_init(PwLensGroup *group, const PwPhotoFacts *facts)
{
  *group = (PwLensGroup){.make = g_strdup(facts->make),
                         .model = g_strdup(facts->model),
                         .lens = g_strdup(facts->lens),
                         .focal_mm = focal_of(facts),
                         .width = facts->stored_width,
                         .height = facts->stored_height};
}

/* Each lens with the photographs that it took, in the order of names. */
static void
calibrate_all(const Shots *all, PwLensResult *result, PwComplaints *complaints)
{
  result->groups = g_new0(PwLensGroup, MAX(all->n, 1));
  g_autoptr(GPtrArray) members = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
  for (guint i = 0; i < all->n; i++) {
    Shot *shot = &all->shots[i];
    gsize g = 0;
    result->n_photos += shot->readable ? 1 : 0;
    if (shot->px == NULL)
      continue;
    result->n_sheets++;
    while (g < result->n_groups && !is_of_group(&result->groups[g], &shot->facts))
      g++;
    if (g == result->n_groups) {
      group_init(&result->groups[result->n_groups++], &shot->facts);
      g_ptr_array_add(members, g_ptr_array_new());
    }
    g_ptr_array_add(members->pdata[g], shot);
  }
  for (gsize g = 0; g < result->n_groups; g++)
    calibrate(&result->groups[g], members->pdata[g], complaints);
}

/* ---- The folder -------------------------------------------------------------------- */

static int
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Names of the photographs that lie in the folder itself. NULL and a GError when it cannot be
 * read or holds too many. */
static GPtrArray *
list_photographs(const char *folder, GError **error)
{
  g_autoptr(GError) cause = NULL;
  g_autoptr(GDir) dir = g_dir_open(folder, 0, &cause);
  if (dir == NULL) {
    g_set_error(error, PW_ERROR, PW_ERROR_FILE, "%s", cause->message);
    return NULL;
  }
  g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
  const char *name;
  while ((name = g_dir_read_name(dir)) != NULL)
    if (name[0] != '.' && pw_photo_is_name(name))
      g_ptr_array_add(names, g_strdup(name));
  if (names->len > PW_LIMIT_PHOTOS) {
    g_set_error(error, PW_ERROR, PW_ERROR_LIMIT,
                "more than %d photographs in %s; leave those of the sheet alone in it",
                PW_LIMIT_PHOTOS, folder);
    return NULL;
  }
  g_ptr_array_sort(names, compare_names);
  return g_steal_pointer(&names);
}

static void
shots_clear(Shots *all)
{
  for (guint i = 0; i < all->n; i++) {
    pw_complaints_free(all->shots[i].complaints);
    pw_photo_facts_clear(&all->shots[i].facts);
    g_free(all->shots[i].px);
    g_free(all->shots[i].mm);
  }
  g_free(all->shots);
  g_mutex_clear(&all->lock);
}

gboolean
pw_lens_read(const char *folder, const PwProgress *progress, PwLensResult *result,
             PwComplaints *complaints, GError **error)
{
  *result = (PwLensResult){0};
  g_autoptr(GPtrArray) names = list_photographs(folder, error);
  if (names == NULL)
    return FALSE;
  Shots all = {.folder = folder, .progress = progress, .n = names->len};
  g_mutex_init(&all.lock);
  all.shots = g_new0(Shot, MAX(all.n, 1));
  for (guint i = 0; i < all.n; i++) {
    all.shots[i].file = names->pdata[i];
    all.shots[i].complaints = pw_complaints_new();
  }
  pw_each(all.n, 0, read_one, &all);
  for (guint i = 0; i < all.n; i++)
    pw_complaints_move(complaints, all.shots[i].complaints);
  calibrate_all(&all, result, complaints);
  shots_clear(&all);
  return TRUE;
}

void
pw_lens_result_clear(PwLensResult *result)
{
  for (gsize i = 0; i < result->n_groups; i++) {
    PwLensGroup *group = &result->groups[i];
    g_free(group->make);
    g_free(group->model);
    g_free(group->lens);
    g_free(group->from);
    g_free(group->why);
    g_free(group->entry);
  }
  g_free(result->groups);
  *result = (PwLensResult){0};
}
