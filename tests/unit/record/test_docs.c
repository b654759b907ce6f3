/* docs/formats.md against the reader's own tables: each mapping has a section named as messages
 * name it, each key a row there, and no row is about a key that is not read; "required" stands
 * where the reader requires.
 */
#include "fixtures.h"

#include "record/values.h"

#include <string.h>

/* Rows of the page by chapter, section and key: "The sidecar|a mark|id" to the rest of the row. */
static GHashTable *
read_rows(const char *page)
{
  GHashTable *rows = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  g_auto(GStrv) lines = g_strsplit(page, "\n", -1);
  const char *chapter = "", *section = "";
  for (gsize i = 0; lines[i] != NULL; i++) {
    const char *line = lines[i];
    if (g_str_has_prefix(line, "## ")) {
      chapter = line + 3;
      section = "";
    } else if (g_str_has_prefix(line, "### ")) {
      section = line + 4;
    } else if (g_str_has_prefix(line, "| `")) {
      const char *end = strchr(line + 3, '`');
      char *key = g_strdup_printf("%s|%s|%.*s", chapter, section, (int)(end - line - 3), line + 3);
      if (!g_hash_table_insert(rows, key, g_strdup(end)))
        fail_msg("two rows: %s", key);
    }
  }
  return rows;
}

static void
check_table(GHashTable *rows, const char *chapter, const char *section, const PwTable *table)
{
  for (gsize i = 0; i < table->n_fields; i++) {
    const PwField *field = &table->fields[i];
    g_autofree char *key = g_strdup_printf("%s|%s|%s", chapter, section, field->key);
    const char *row = g_hash_table_lookup(rows, key);
    if (row == NULL)
      fail_msg("docs/formats.md has no row: %s", key);
    gboolean is_format = field->type == &pw_value_format; /* asked for before the rows are read */
    if (g_str_has_suffix(row, "| required |") != (field->required || is_format))
      fail_msg("docs/formats.md and the reader differ on what is required: %s", key);
    g_hash_table_remove(rows, key);
    gboolean is_table = field->type == &pw_value_mapping || field->type == &pw_value_list ||
                        field->type == &pw_value_named;
    if (is_table)
      check_table(rows, chapter, ((const PwTable *)field->of)->what, field->of);
  }
}

static void
test_every_key_is_documented(void **state)
{
  (void)state;
  g_autofree char *path = g_build_filename(g_getenv("PW_SOURCE"), "docs", "formats.md", NULL);
  g_autofree char *page = NULL;
  assert_true(g_file_get_contents(path, &page, NULL, NULL));
  g_autoptr(GHashTable) rows = read_rows(page);
  guint n = g_hash_table_size(rows);
  check_table(rows, "The sidecar", "", &pw_sidecar_table);
  check_table(rows, "volume.yaml", "", &pw_volume_table);
  check_table(rows, "terms.yaml", "", &pw_terms_table);
  check_table(rows, "care.yaml", "", &pw_care_table);
  print_message("# %u keys\n", n);
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init(&iter, rows);
  while (g_hash_table_iter_next(&iter, &key, NULL))
    if (g_str_has_prefix(key, "The sidecar|") || g_str_has_prefix(key, "volume.yaml|") ||
        g_str_has_prefix(key, "terms.yaml|") || g_str_has_prefix(key, "care.yaml|"))
      fail_msg("docs/formats.md has a row that no text can have: %s", (char *)key);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_every_key_is_documented)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
