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

char *
pw_model_dup_issued_file(const PwModel *model, const char *document, int version, const char *to,
                         const char *ending)
{
  g_autofree char *name =
      g_strdup_printf("%s-%s-v%d-%s.%s", pw_model_peek_id(model), document, version, to, ending);
  g_strdelimit(name, "/\\", '-'); /* an id may hold what a file's name may not */
  if (name[0] == '.' || name[0] == '-')
    name[0] = '_';
  return g_build_filename(PW_ISSUED_FOLDER, name, NULL);
}

/* ---- What lies there --------------------------------------------------------------- */

static gint
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(((const Kept *)a)->name, ((const Kept *)b)->name);
}

static Kept
look_at(const char *folder, const char *name)
{
  gsize length;
  g_autoptr(GError) cause = NULL;
  g_autofree char *path = g_build_filename(folder, name, NULL);
  g_autofree char *data = pw_file_read(path, PW_LIMIT_ISSUED_BYTES, &length, NULL, &cause);
  return (Kept){.name = g_strdup(name),
                .sha256 = data != NULL ? pw_sha256_dup_hex(data, length) : NULL,
                .why_not = data != NULL ? NULL : g_strdup(cause->message)};
}

/* A folder that is a link is not followed, and so keeps nothing. */
static GArray *
all_kept(const PwModel *model)
{
  g_autofree char *folder = g_build_filename(model->folder, PW_ISSUED_FOLDER, NULL);
  GArray *all = g_array_new(FALSE, FALSE, sizeof(Kept));
  g_array_set_clear_func(all, clear_kept);
  if (g_file_test(folder, G_FILE_TEST_IS_SYMLINK))
    return all;
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
    if (name[0] == '.' && !g_str_has_prefix(name, PW_TEMP_PREFIX))
      continue;
    const Kept kept = look_at(folder, name);
    g_array_append_val(all, kept);
  }
  g_array_sort(all, compare_names);
  return all;
}

static Kept *
find_by_sum(const GArray *all, const char *sha256)
{
  for (guint i = 0; i < all->len; i++) {
    Kept *kept = &g_array_index(all, Kept, i);
    if (kept->sha256 != NULL && g_ascii_strcasecmp(kept->sha256, sha256) == 0)
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
  g_autoptr(GArray) all = all_kept(model);
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
