/* lens: coefficients of a lens from photographs of the printed sheet. */
#include "command.h"

#include <math.h>

static const Option options[] = {
    {"--to", "VOLUME", "the volume folder whose volume.yaml gets them, where FOLDER is none"}, {0}};

/* "MAKER MODEL, LENS, 60 mm, 6000 x 4000". */
static char *
dup_title(const PwLensGroup *group)
{
  g_autoptr(GString) title = g_string_new(NULL);
  const char *words[] = {group->make, group->model, group->lens};
  for (gsize i = 0; i < G_N_ELEMENTS(words); i++)
    if (words[i] != NULL)
      g_string_append_printf(title, "%s%s", title->len > 0 ? ", " : "", words[i]);
  if (title->len == 0)
    g_string_append(title, "a camera without a name");
  if (!isnan(group->focal_mm)) {
    g_autofree char *focal = pw_format_double(group->focal_mm);
    g_string_append_printf(title, ", %s mm", focal);
  }
  g_string_append_printf(title, ", %d x %d px", group->width, group->height);
  return g_strdup(title->str);
}

static char *
dup_percent(double part)
{
  return pw_format_fixed(100 * part, 2);
}

static void
tell(const PwLensGroup *group)
{
  const PwCalibration *found = &group->calibration;
  g_autofree char *title = dup_title(group);
  g_autofree char *rms = pw_format_fixed(found->rms_px, 2);
  g_autofree char *residual = pw_format_fixed(found->residual_px, 2);
  g_autofree char *f = pw_format_quantity(found->lens.f_px, 2 * found->u.f_px);
  g_autofree char *k1 = pw_format_quantity(found->lens.k1, 2 * found->u.k1);
  g_autofree char *k2 = pw_format_quantity(found->lens.k2, 2 * found->u.k2);
  g_autofree char *stretch = dup_percent(found->stretch - 1);
  g_autofree char *u_stretch = dup_percent(2 * found->u_stretch);
  say("%s: %s; they fit within %s px (RMS)", title, group->from, rms);
  say("  f %s px, k1 %s, k2 %s; what is left in the frame is at most %s px", f, k1, k2, residual);
  say("  the printer made the sheet longer down the page than across by %s \u00b1 %s %%; that is "
      "allowed for",
      stretch, u_stretch);
}

static int
print_entries(const PwLensResult *result)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (gsize i = 0; i < result->n_groups; i++) {
    if (result->groups[i].entry == NULL)
      continue;
    tell(&result->groups[i]);
    g_string_append_printf(text, "%s  - %s\n", text->len == 0 ? "lenses:\n" : "",
                           result->groups[i].entry);
  }
  return out_text(text->str, text->len);
}

/* The volume that the entries are for: --to, else the folder itself if it is one; else NULL. */
static const char *
target_volume(const Invocation *invocation)
{
  const char *to = given_value(invocation, "--to");
  g_autofree char *own = g_build_filename(invocation->folder, PW_VOLUME_FILE, NULL);
  if (to != NULL)
    return to;
  return g_file_test(own, G_FILE_TEST_EXISTS) ? invocation->folder : NULL;
}

static int
write_entries(const Invocation *invocation, const PwLensResult *result, PwComplaints *complaints)
{
  g_autoptr(GError) error = NULL;
  const char *volume = target_volume(invocation);
  if (volume == NULL) {
    say("not written anywhere: give --to VOLUME, or copy the lines above into the volume.yaml of "
        "each volume photographed with this lens");
    return EXIT_DONE;
  }
  if (!pw_lens_write(volume, result, complaints, &error))
    return say_error(error);
  say("written under `lenses:` of %s/" PW_VOLUME_FILE, volume);
  return EXIT_DONE;
}

static int
run(const Invocation *invocation)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(GError) error = NULL;
  PwLensResult result;
  int written = EXIT_DONE, printed = EXIT_DONE;
  gboolean any = FALSE;
  if (!pw_lens_read(invocation->folder, say_progress(), &result, complaints, &error))
    return say_error(error);
  say("%u photographs read, the sheet found in %u", result.n_photos, result.n_sheets);
  for (gsize i = 0; i < result.n_groups; i++)
    any = any || result.groups[i].entry != NULL;
  if (any) {
    printed = print_entries(&result);
    written = write_entries(invocation, &result, complaints);
  } else if (result.n_sheets == 0) {
    say("print the sheet with `platewright card --size sheet`, lay it flat and photograph it from "
        "several sides; docs/card.md tells how");
  }
  int status = say_complaints(complaints, PW_SEVERITY_NOTE);
  status = any ? status : MAX(status, EXIT_FINDINGS);
  pw_lens_result_clear(&result);
  return MAX(status, MAX(printed, written));
}

const Command command_lens = {"lens", "FOLDER",
                              "Finds a lens's coefficients from photographs of the printed sheet",
                              options, run};
