/* A bag verified: complete, in that all that must be there is and nothing else, and valid, in that
 * every checksum is right (RFC 8493, section 3). */
#include "private.h"

#include <string.h>

typedef struct {
  const char *folder;
  const PwBagCheckOptions *options;
  PwComplaints *complaints;
  GPtrArray *files;         /* PwBagFile */
  GHashTable *by_path;      /* path -> PwBagFile */
  GHashTable *by_form;      /* path, its letters composed -> PwBagFile; NULL until it is wanted */
  GPtrArray *manifests;     /* PwBagManifest, of those whose sums are known */
  guint n_of_payload;       /* of them */
  gboolean has_any_of_payload;
} Checking;

static void
complain(Checking *checking, const char *file, guint line, const char *kind, const char *says)
{
  pw_complaints_add(checking->complaints, file, line, 0, kind, PW_SEVERITY_ERROR, NULL, "%s", says);
}

/* A text of the bag, or NULL where it is none or could not be read, which is complained of. */
static char *
dup_text(Checking *checking, const char *name, gsize limit, gsize *length)
{
  g_autoptr(GError) cause = NULL;
  if (!g_hash_table_contains(checking->by_path, name))
    return NULL;
  g_autofree char *path = g_build_filename(checking->folder, name, NULL);
  char *text = pw_file_read(path, limit, length, NULL, &cause);
  if (text == NULL)
    complain(checking, name, 0, "unreadable", cause->message);
  return text;
}

/* ---- Structure --------------------------------------------------------------------- */

static void
check_declaration(Checking *checking)
{
  gsize length;
  g_autofree char *text = dup_text(checking, PW_BAG_DECLARATION, PW_LIMIT_TEXT_BYTES, &length);
  if (text)
    pw_bag_check_declaration(text, length, checking->complaints);
}

/* 2.1.2; an empty one is a folder still. What a fetch.txt names lies elsewhere (2.2.3): whoever
 * made the bag complete may have it fetched, we do not. */
static void
check_parts(Checking *checking)
{
  g_autofree char *payload = g_build_filename(checking->folder, PW_BAG_PAYLOAD, NULL);
  if (!g_file_test(payload, G_FILE_TEST_IS_DIR))
    complain(checking, PW_BAG_PAYLOAD, 0, "no payload",
             "there is no folder " PW_BAG_PAYLOAD " (RFC 8493, 2.1.2)");
  if (g_hash_table_contains(checking->by_path, PW_BAG_FETCH))
    complain(checking, PW_BAG_FETCH, 0, "fetch",
             "parts of this bag lie elsewhere and are not fetched from there: ask whoever made it "
             "for a whole one");
}

static void
take_manifest(Checking *checking, const char *name)
{
  gboolean is_of_tags;
  g_autofree char *algorithm = NULL;
  PwBagSum sum;
  gsize length;
  if (!pw_bag_manifest_is_name(name, &is_of_tags, &algorithm))
    return;
  checking->has_any_of_payload = checking->has_any_of_payload || !is_of_tags;
  if (!pw_bag_sum_parse(algorithm, &sum)) {
    g_autofree char *says =
        g_strdup_printf("checksums by \"%s\" are not computed here, so that they tell nothing; "
                        "md5, sha1, sha256 and sha512 are",
                        algorithm);
    complain(checking, name, 0, "unknown algorithm", says);
    return;
  }
  g_autofree char *text = dup_text(checking, name, PW_BAG_MANIFEST_BYTES_MAX, &length);
  PwBagManifest *manifest = text ? pw_bag_manifest_parse(name, is_of_tags, sum, text, length,
                                                         checking->complaints)
                                 : NULL;
  if (manifest == NULL)
    return;
  g_ptr_array_add(checking->manifests, manifest);
  checking->n_of_payload += !is_of_tags;
}

static void
take_manifests(Checking *checking)
{
  for (guint i = 0; i < checking->files->len; i++)
    take_manifest(checking, ((const PwBagFile *)checking->files->pdata[i])->path);
  if (!checking->has_any_of_payload)
    complain(checking, "manifest-sha256.txt", 0, "no manifest",
             "there is no manifest, so that nothing tells what should be here (RFC 8493, 2.1.3)");
}

/* ---- Complete ---------------------------------------------------------------------- */

static char *
dup_form(const char *path)
{
  return g_utf8_normalize(path, -1, G_NORMALIZE_DEFAULT_COMPOSE);
}

/* The file whose name is the same but for how its letters are written, which a copy by way of
 * another machine may have done (6.1, from memory); NULL: none. */
static const PwBagFile *
find_by_form(Checking *checking, const char *path)
{
  if (checking->by_form == NULL) {
    checking->by_form = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < checking->files->len; i++) {
      PwBagFile *file = checking->files->pdata[i];
      g_hash_table_insert(checking->by_form, dup_form(file->path), file);
    }
  }
  g_autofree char *form = dup_form(path);
  return g_hash_table_lookup(checking->by_form, form);
}

static void
match_entry(Checking *checking, const PwBagManifest *manifest, const PwBagEntry *entry)
{
  PwBagFile *file = g_hash_table_lookup(checking->by_path, entry->path);
  if (file != NULL) {
    file->wanted[manifest->sum] = TRUE;
    file->n_manifests += !manifest->is_of_tags;
    return;
  }
  const PwBagFile *alike = find_by_form(checking, entry->path);
  g_autofree char *says =
      alike ? g_strdup_printf("%s is not here; %s is, whose name is the same but for how its "
                              "letters are written: give it the name of the manifest",
                              entry->path, alike->path)
            : g_strdup_printf("%s is not here", entry->path);
  complain(checking, manifest->name, entry->line, "missing file", says);
}

/* Every file of the payload must stand in every manifest of it (3); a tag manifest must list those
 * manifests (2.2.1). */
static void
check_listed(Checking *checking)
{
  for (guint i = 0; i < checking->files->len; i++) {
    const PwBagFile *file = checking->files->pdata[i];
    if (pw_bag_path_is_payload(file->path) && file->n_manifests < checking->n_of_payload)
      complain(checking, file->path, 0, "not listed",
               checking->n_of_payload == 1 ? "the manifest does not list this file"
                                           : "not every manifest lists this file");
  }
}

static gboolean
lists(const PwBagManifest *manifest, const char *path)
{
  for (guint i = 0; i < manifest->entries->len; i++)
    if (strcmp(g_array_index(manifest->entries, PwBagEntry, i).path, path) == 0)
      return TRUE;
  return FALSE;
}

static void
check_tag_manifest(Checking *checking, const PwBagManifest *manifest)
{
  for (guint i = 0; i < checking->manifests->len; i++) {
    const PwBagManifest *other = checking->manifests->pdata[i];
    if (other->is_of_tags || lists(manifest, other->name))
      continue;
    g_autofree char *says =
        g_strdup_printf("it must list %s and does not (RFC 8493, 2.2.1)", other->name);
    complain(checking, manifest->name, 0, "not listed", says);
  }
}

static void
check_complete(Checking *checking)
{
  for (guint i = 0; i < checking->manifests->len; i++) {
    const PwBagManifest *manifest = checking->manifests->pdata[i];
    for (guint j = 0; j < manifest->entries->len; j++)
      match_entry(checking, manifest, &g_array_index(manifest->entries, PwBagEntry, j));
    if (manifest->is_of_tags)
      check_tag_manifest(checking, manifest);
  }
  check_listed(checking);
}

/* ---- Valid ------------------------------------------------------------------------- */

static gboolean
wants_any(const PwBagFile *file)
{
  gboolean any = FALSE;
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    any = any || file->wanted[i];
  return any;
}

/* FALSE only when it was stopped. */
static gboolean
compute_sums(Checking *checking, GError **error)
{
  const gint *stop = checking->options->stop;
  for (guint i = 0; i < checking->files->len; i++) {
    PwBagFile *file = checking->files->pdata[i];
    g_autoptr(GError) cause = NULL;
    g_autofree char *path = g_build_filename(checking->folder, file->path, NULL);
    if (wants_any(file) && !pw_bag_sum_file(path, file->wanted, stop, file->hex, &cause)) {
      if (stop && g_atomic_int_get(stop) != 0) {
        g_propagate_error(error, g_steal_pointer(&cause));
        return FALSE;
      }
      complain(checking, file->path, 0, "unreadable", cause->message);
    }
    pw_progress_step(checking->options->progress, "verifying", i + 1, checking->files->len);
  }
  return TRUE;
}

static void
compare_sums(Checking *checking, const PwBagManifest *manifest)
{
  for (guint i = 0; i < manifest->entries->len; i++) {
    const PwBagEntry *entry = &g_array_index(manifest->entries, PwBagEntry, i);
    const PwBagFile *file = g_hash_table_lookup(checking->by_path, entry->path);
    const char *is = file ? file->hex[manifest->sum] : NULL;
    if (is == NULL || strcmp(is, entry->hex) == 0)
      continue; /* missing, or unreadable: complained of */
    g_autofree char *says = g_strdup_printf("its content has changed: its %s is not that of %s",
                                            pw_bag_sum_name(manifest->sum), manifest->name);
    complain(checking, entry->path, 0, "checksum", says);
  }
}

/* What can be told without reading the payload (2.2.2). */
static void
check_info(Checking *checking)
{
  gsize length;
  PwBagOxum oxum;
  g_autofree char *text = dup_text(checking, PW_BAG_INFO, PW_LIMIT_TEXT_BYTES, &length);
  if (text == NULL)
    return;
  pw_bag_check_info(text, length, &oxum, checking->complaints);
  guint64 bytes = 0, n = 0;
  for (guint i = 0; i < checking->files->len; i++) {
    const PwBagFile *file = checking->files->pdata[i];
    if (pw_bag_path_is_payload(file->path)) {
      bytes += file->bytes;
      n++;
    }
  }
  if (oxum.line == 0 || (oxum.bytes == bytes && oxum.files == n))
    return;
  g_autofree char *says = g_strdup_printf(
      "the payload should have %" G_GUINT64_FORMAT " bytes in %" G_GUINT64_FORMAT
      " files, and has %" G_GUINT64_FORMAT " in %" G_GUINT64_FORMAT,
      oxum.bytes, oxum.files, bytes, n);
  complain(checking, PW_BAG_INFO, oxum.line, "payload size", says);
}

static gboolean
check_all(Checking *checking, GError **error)
{
  check_declaration(checking);
  check_parts(checking);
  take_manifests(checking);
  check_complete(checking);
  check_info(checking);
  pw_bag_check_clashes(checking->files, checking->complaints);
  if (!compute_sums(checking, error))
    return FALSE;
  for (guint i = 0; i < checking->manifests->len; i++)
    compare_sums(checking, checking->manifests->pdata[i]);
  return TRUE;
}

gboolean
pw_bag_is(const char *folder)
{
  g_autofree char *path = g_build_filename(folder, PW_BAG_DECLARATION, NULL);
  return g_file_test(path, G_FILE_TEST_IS_REGULAR);
}

gboolean
pw_bag_check(const char *folder, const PwBagCheckOptions *options, PwComplaints *complaints,
             GError **error)
{
  Checking checking = {.folder = folder, .options = options, .complaints = complaints};
  checking.files = pw_bag_walk(folder, NULL, complaints, error);
  if (checking.files == NULL)
    return FALSE;
  checking.by_path = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < checking.files->len; i++) {
    PwBagFile *file = checking.files->pdata[i];
    g_hash_table_insert(checking.by_path, file->path, file);
  }
  checking.manifests = g_ptr_array_new_with_free_func((GDestroyNotify)pw_bag_manifest_free);
  const gboolean checked = check_all(&checking, error);
  g_ptr_array_unref(checking.manifests);
  if (checking.by_form)
    g_hash_table_unref(checking.by_form);
  g_hash_table_unref(checking.by_path);
  g_ptr_array_unref(checking.files);
  return checked;
}
