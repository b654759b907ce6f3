/* Fuzz target: any text as a manifest of a bag, of its payload or its tags, and as what a bag says
 * of itself. Every path that is listed may be followed, stands there once, and reads back the same
 * from how it is written; whatever else the text says is complained of. */
#include "bag/private.h"

#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void
check_entry(const PwBagManifest *manifest, const PwBagEntry *entry)
{
  gboolean clean;
  g_autofree char *written = pw_bag_path_dup_encoded(entry->path);
  g_autofree char *again = pw_bag_path_dup_decoded(written, &clean);
  g_assert(clean && strcmp(again, entry->path) == 0);
  g_assert(strpbrk(written, "\r\n") == NULL);
  g_assert(pw_bag_path_peek_danger(entry->path) == NULL);
  g_assert(pw_bag_path_is_payload(entry->path) == !manifest->is_of_tags);
  g_assert(strlen(entry->hex) == pw_bag_sum_digits(manifest->sum));
}

static void
read_manifest(const char *text, gsize length, gboolean is_of_tags, PwBagSum sum)
{
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  g_autoptr(PwBagManifest) manifest =
      pw_bag_manifest_parse("manifest", is_of_tags, sum, text, length, complaints);
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  g_assert(manifest != NULL || pw_complaints_n(complaints) == 1);
  for (guint i = 0; manifest && i < manifest->entries->len; i++) {
    const PwBagEntry *entry = &g_array_index(manifest->entries, PwBagEntry, i);
    check_entry(manifest, entry);
    g_assert(g_hash_table_add(seen, entry->path));
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  g_autofree char *text = g_strndup((const char *)data, size); /* may end before a NUL in it */
  g_autofree char *whole = g_memdup2(data, size);
  g_autoptr(PwComplaints) complaints = pw_complaints_new();
  PwBagOxum oxum;
  for (int i = 0; i < PW_BAG_N_SUMS; i++)
    read_manifest(text, strlen(text), i % 2 == 1, (PwBagSum)i);
  read_manifest(text, strlen(text), FALSE, PW_BAG_SHA256);
  read_manifest(whole, size, FALSE, PW_BAG_MD5);
  pw_bag_check_declaration(whole, size, complaints);
  pw_bag_check_info(whole, size, &oxum, complaints);
  return 0;
}
