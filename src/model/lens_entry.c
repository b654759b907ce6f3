/* A calibration as an entry under `lenses:`, and into volume.yaml. */
#include "lens.h"

#include <math.h>
#include <string.h>

/* A hundredth of a px; of k1 and k2 so much that they make no more of one in the corner. */
enum { PX_DECIMALS = 2, RADIAL_DECIMALS = 7 };

static void
append_text(GString *entry, const char *key, const char *text)
{
  if (text == NULL)
    return;
  g_autofree char *quoted = pw_yaml_dup_quoted(text);
  g_string_append_printf(entry, "%s: %s, ", key, quoted);
}

static void
append_number(GString *entry, const char *key, double value, int decimals)
{
  g_autofree char *text = pw_format_fixed(value, decimals);
  g_string_append_printf(entry, "%s: %s, ", key, text);
}

char *
pw_lens_dup_entry(const PwLensGroup *group)
{
  const PwLens *lens = &group->calibration.lens;
  g_autoptr(GString) entry = g_string_new("{");
  append_text(entry, "make", group->make);
  append_text(entry, "model", group->model);
  append_text(entry, "lens", group->lens);
  if (!isnan(group->focal_mm)) {
    g_autofree char *focal = pw_format_double(group->focal_mm);
    g_string_append_printf(entry, "focal: %s, ", focal);
  }
  g_string_append_printf(entry, "size: %d x %d, ", group->width, group->height);
  append_number(entry, "f-px", lens->f_px, PX_DECIMALS);
  append_number(entry, "cx", lens->cx, PX_DECIMALS);
  append_number(entry, "cy", lens->cy, PX_DECIMALS);
  append_number(entry, "k1", lens->k1, RADIAL_DECIMALS);
  append_number(entry, "k2", lens->k2, RADIAL_DECIMALS);
  append_number(entry, "residual-px", group->calibration.residual_px, PX_DECIMALS);
  g_autofree char *from = pw_yaml_dup_quoted(group->from);
  g_string_append_printf(entry, "from: %s}", from);
  return g_strdup(entry->str);
}

/* ---- Into volume.yaml -------------------------------------------------------------- */

static gboolean
is_entry_of(const PwLensText *text, const PwLensGroup *group)
{
  return pw_lens_group_is(group, text->make, text->model, text->lens, text->focal, text->width,
                          text->height);
}

/* Of several entries that fit a photograph the first counts. */
static void
warn_of_shadow(const PwVolume *volume, gsize before, const PwLensGroup *group,
               PwComplaints *complaints)
{
  const PwPhotoFacts facts = {.make = group->make,
                              .model = group->model,
                              .lens = group->lens,
                              .focal_mm = group->focal_mm,
                              .stored_width = group->width,
                              .stored_height = group->height};
  for (gsize i = 0; i < before; i++)
    if (pw_lens_text_fits(&volume->lenses[i], &facts))
      pw_yaml_complain(volume->yaml, volume->lenses[i].node, complaints, "lens",
                       PW_SEVERITY_WARNING,
                       "this entry fits the same photographs and stands further up, so that it is "
                       "used and not the new one; take it out, or say which camera it is of");
}

/* Where each group's entry goes: the place of the one that it replaces, or the number of entries.
 */
static gsize *
find_places(const PwVolume *volume, const PwLensResult *result, PwComplaints *complaints)
{
  gsize *places = g_new(gsize, MAX(result->n_groups, 1));
  for (gsize g = 0; g < result->n_groups; g++) {
    gsize i = 0;
    while (i < volume->n_lenses && !is_entry_of(&volume->lenses[i], &result->groups[g]))
      i++;
    places[g] = i;
    if (result->groups[g].entry != NULL)
      warn_of_shadow(volume, i, &result->groups[g], complaints);
  }
  return places;
}

static gboolean
put_entry(PwYaml *yaml, gboolean replace, gsize place, const char *entry, GError **error)
{
  if (!replace)
    return pw_yaml_append(yaml, "lenses", entry, error);
  g_autofree char *path = g_strdup_printf("lenses/[%" G_GSIZE_FORMAT "]", place);
  return pw_yaml_set_flow(yaml, path, entry, error);
}

static PwVolume *
read_volume(const char *folder, PwComplaints *complaints, GError **error)
{
  g_autofree char *path = g_build_filename(folder, PW_VOLUME_FILE, NULL);
  if (!g_file_test(path, G_FILE_TEST_EXISTS)) {
    g_set_error(error, PW_ERROR, PW_ERROR_USE,
                "there is no " PW_VOLUME_FILE " in %s; name the folder of a volume", folder);
    return NULL;
  }
  guint before = pw_complaints_count(complaints, PW_SEVERITY_ERROR);
  g_autoptr(GError) cause = NULL;
  g_autoptr(PwVolume) volume = pw_volume_read(path, complaints, &cause);
  if (cause != NULL) {
    g_propagate_error(error, g_steal_pointer(&cause));
    return NULL;
  }
  if (volume == NULL || pw_complaints_count(complaints, PW_SEVERITY_ERROR) > before) {
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "%s has errors and was left as it is; mend it first", path);
    return NULL;
  }
  return g_steal_pointer(&volume);
}

gboolean
pw_lens_write(const char *folder, const PwLensResult *result, PwComplaints *complaints,
              GError **error)
{
  g_autoptr(PwVolume) volume = read_volume(folder, complaints, error);
  if (volume == NULL)
    return FALSE;
  g_autofree gsize *places = find_places(volume, result, complaints);
  gsize n = volume->n_lenses;
  gboolean changed = FALSE;
  for (gsize g = 0; g < result->n_groups; g++) {
    if (result->groups[g].entry == NULL)
      continue;
    if (!put_entry(volume->yaml, places[g] < n, places[g], result->groups[g].entry, error))
      return FALSE;
    changed = TRUE;
  }
  return !changed || pw_yaml_save(volume->yaml, error);
}
