/* Manifests: which files a bag holds, each with its checksum (RFC 8493, sections 2.1.3, 2.2.1). */
#include "private.h"

#include <string.h>

#define ENDING ".txt"

static void
clear_entry(gpointer data)
{
  PwBagEntry *entry = data;
  g_free(entry->path);
  g_free(entry->hex);
}

gboolean
pw_bag_manifest_is_name(const char *name, gboolean *is_of_tags, char **algorithm)
{
  static const char *const beginnings[] = {"manifest-", "tagmanifest-"};
  for (gsize i = 0; i < G_N_ELEMENTS(beginnings); i++)
    if (g_str_has_prefix(name, beginnings[i]) && g_str_has_suffix(name, ENDING) &&
        strlen(name) > strlen(beginnings[i]) + strlen(ENDING)) {
      const char *from = name + strlen(beginnings[i]);
      *is_of_tags = i == 1;
      *algorithm = g_strndup(from, strlen(from) - strlen(ENDING));
      return TRUE;
    }
  return FALSE;
}

/* The start of the path in a line "checksum path", or 0 with the reason. What programs of md5sum's
 * family write for a file read as binary, a blank and an asterisk, is taken for two blanks (6.1,
 * from memory). */
static gsize
find_path(const char *line, PwBagSum sum, const char **why)
{
  const gsize digits = strspn(line, "0123456789abcdefABCDEF");
  gsize at = digits;
  *why = NULL;
  if (digits != pw_bag_sum_digits(sum))
    *why = "the checksum is not one: it has another number of hexadecimal digits";
  else if (line[at] != ' ' && line[at] != '\t')
    *why = "a blank must part checksum and path";
  if (*why)
    return 0;
  if (line[at] == ' ' && line[at + 1] == '*')
    return at + 2;
  at += strspn(line + at, " \t");
  return at;
}

/* Where a path may lead, by what the manifest is of (2.1.3, 2.2.1). */
static const char *
why_not_here(const PwBagManifest *manifest, const char *path)
{
  gboolean is_of_tags;
  g_autofree char *algorithm = NULL;
  if (!manifest->is_of_tags)
    return pw_bag_path_is_payload(path) ? NULL : "does not begin with " PW_BAG_PAYLOAD "/";
  if (pw_bag_path_is_payload(path))
    return "lies in the payload, which the tag manifest must not list";
  if (pw_bag_manifest_is_name(path, &is_of_tags, &algorithm) && is_of_tags)
    return "is a tag manifest, which none may list";
  return NULL;
}

/* An entry of a line, or the reason why there is none. */
static gboolean
read_line(PwBagManifest *manifest, const char *line, guint number, GHashTable *seen,
          PwComplaints *complaints)
{
  const char *why;
  const gsize at = find_path(line, manifest->sum, &why);
  if (why) {
    pw_bag_complain(complaints, manifest->name, number, line, 0, "manifest line", why);
    return FALSE;
  }
  gboolean clean;
  g_autofree char *path = pw_bag_path_dup_decoded(line + at, &clean);
  const char *danger = pw_bag_path_peek_danger(path);
  const char *elsewhere = danger ? NULL : why_not_here(manifest, path);
  const char *kind = danger ? "unsafe path" : elsewhere ? "manifest line" : NULL;
  if (kind) {
    g_autofree char *says = g_strdup_printf("this path %s", danger ? danger : elsewhere);
    pw_bag_complain(complaints, manifest->name, number, line, at, kind, says);
    return FALSE;
  }
  if (!clean)
    pw_complaints_add(complaints, manifest->name, number, 0, "manifest line", PW_SEVERITY_WARNING,
                      line, "%% must be written %%25 in a path; it was taken as it stands");
  if (!g_hash_table_add(seen, g_strdup(path))) {
    pw_bag_complain(complaints, manifest->name, number, line, at, "listed twice",
                    "this file is listed already");
    return FALSE;
  }
  PwBagEntry entry = {number, g_steal_pointer(&path),
                      g_ascii_strdown(line, (gssize)pw_bag_sum_digits(manifest->sum))};
  g_array_append_val(manifest->entries, entry);
  return TRUE;
}

PwBagManifest *
pw_bag_manifest_parse(const char *name, gboolean is_of_tags, PwBagSum sum, const char *text,
                      gsize length, PwComplaints *complaints)
{
  if (!pw_bag_text_is_sound(name, text, length, complaints))
    return NULL;
  PwBagManifest *manifest = g_new0(PwBagManifest, 1);
  manifest->name = g_strdup(name);
  manifest->is_of_tags = is_of_tags;
  manifest->sum = sum;
  manifest->entries = g_array_new(FALSE, FALSE, sizeof(PwBagEntry));
  g_array_set_clear_func(manifest->entries, clear_entry);
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  PwBagLines lines = pw_bag_lines(text, length);
  gboolean cut;
  for (char *line; (line = pw_bag_lines_dup_next(&lines, &cut)) != NULL; g_free(line))
    if (cut)
      pw_complaints_add(complaints, name, lines.number, 0, "limit", PW_SEVERITY_ERROR, NULL,
                        "this line has more than %d bytes, which are not read", PW_BAG_LINE_MAX);
    else
      read_line(manifest, line, lines.number, seen, complaints);
  return manifest;
}

void
pw_bag_manifest_free(PwBagManifest *manifest)
{
  if (manifest == NULL)
    return;
  g_array_unref(manifest->entries);
  g_free(manifest->name);
  g_free(manifest);
}
