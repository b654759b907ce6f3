/* Whether what was issued is still kept as it left the studio: each entry under `issued:` has its
 * file, found by its checksum whatever it is called, and each file has its entry. */
#include "model-private.h"

#include <string.h>

typedef struct {
  char *name;    /* in the folder */
  char *sha256;  /* NULL: it could not be read */
  char *why_not; /* read */
  gboolean is_on_record;
} Kept;

static void
clear_kept(gpointer data)
{
  Kept *kept = data;
  g_free(kept->name);
  g_free(kept->sha256);
  g_free(kept->why_not);
}

static gboolean
take(void *user, const PwKept *kept)
{
  const Kept one = {.name = g_strdup(kept->name),
                    .sha256 = g_strdup(kept->sha256),
                    .why_not = g_strdup(kept->why_not)};
  g_array_append_val((GArray *)user, one);
  return TRUE;
}

static Kept *
find_by_sum(const GArray *all, const char *sha256)
{
  for (guint i = 0; i < all->len; i++) {
    Kept *kept = &g_array_index(all, Kept, i);
    if (pw_kept_is(&(PwKept){.sha256 = kept->sha256}, sha256))
      return kept;
  }
  return NULL;
}

/* `file` relative to the volume folder. */
static Kept *
find_by_name(const GArray *all, const char *file)
{
  const char *name = file + strlen(PW_ISSUED_FOLDER G_DIR_SEPARATOR_S);
  for (guint i = 0; i < all->len; i++)
    if (strcmp(g_array_index(all, Kept, i).name, name) == 0)
      return &g_array_index(all, Kept, i);
  return NULL;
}

/* ---- What the record says ---------------------------------------------------------- */

static void
find_in_folder(const char *file, const char *kind, PwSeverity severity, const char *says,
               PwComplaints *complaints)
{
  pw_complaints_add(complaints, file, 0, 0, kind, severity, NULL, "%s", says);
}

/* The plain text beside it has no checksum; it goes by its name. */
static void
enter_text(GArray *all, const char *pdf)
{
  g_autofree char *text = g_strdup(pdf);
  if (g_str_has_suffix(text, ".pdf"))
    memcpy(text + strlen(text) - strlen("pdf"), "txt", strlen("txt"));
  Kept *kept = find_by_name(all, text);
  if (kept != NULL)
    kept->is_on_record = TRUE;
}

static void
check_entry(const PwModel *model, const PwIssued *issued, GArray *all, PwComplaints *complaints)
{
  if (issued->sha256 == NULL || issued->document == NULL || issued->to == NULL)
    return; /* complained of where it was read */
  g_autofree char *file =
      pw_model_dup_issued_file(model, issued->document, issued->version, issued->to, "pdf");
  Kept *kept = find_by_sum(all, issued->sha256);
  enter_text(all, file);
  if (kept != NULL) {
    g_autofree char *its = g_build_filename(PW_ISSUED_FOLDER, kept->name, NULL);
    kept->is_on_record = TRUE;
    enter_text(all, its);
    return;
  }
  kept = find_by_name(all, file);
  if (kept == NULL) {
    pw_yaml_complain(model->volume->yaml, issued->node, complaints, "not kept", PW_SEVERITY_ERROR,
                     "the file that was issued is not there: nothing in " PW_ISSUED_FOLDER
                     "/ has this sha256; put %s back",
                     file);
    return;
  }
  kept->is_on_record = TRUE;
  find_in_folder(file, kept->sha256 != NULL ? "changed" : "unreadable", PW_SEVERITY_ERROR,
                 kept->sha256 != NULL
                     ? "this is not the file that was issued: its sha256 is another; put back the "
                       "one that left the studio"
                     : kept->why_not,
                 complaints);
}

void
pw_check_issued_files(const PwModel *model, PwComplaints *complaints)
{
  g_autoptr(GArray) all = g_array_new(FALSE, FALSE, sizeof(Kept));
  g_array_set_clear_func(all, clear_kept);
  pw_model_each_kept(model, take, all);
  for (gsize i = 0; i < model->volume->n_issued; i++)
    check_entry(model, &model->volume->issued[i], all, complaints);
  for (guint i = 0; i < all->len; i++) {
    const Kept *kept = &g_array_index(all, Kept, i);
    if (kept->is_on_record)
      continue;
    g_autofree char *file = g_build_filename(PW_ISSUED_FOLDER, kept->name, NULL);
    find_in_folder(file, "not on record", PW_SEVERITY_WARNING,
                   "no entry under `issued:` in " PW_VOLUME_FILE
                   " has this file; enter it, or put it elsewhere",
                   complaints);
  }
}
