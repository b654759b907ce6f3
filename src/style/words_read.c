/* Reading words: the mappings of a file of words and what may stand in them. docs/words.md tells
 * users the same.
 */
#include "private.h"

#include <string.h>

/* RFC 5646, 4.4.1: what every reader of a tag must take. */
enum { LONGEST_TAG = 35, N_MONTHS = 12 };

/* ---- Values ------------------------------------------------------------------------------------
 */

/* A tag of BCP 47 as far as its letters go: the primary language, then parts of up to eight. */
static gboolean
is_tag(const char *text)
{
  if (strlen(text) > LONGEST_TAG)
    return FALSE;
  g_auto(GStrv) parts = g_strsplit(text, "-", -1);
  for (gsize i = 0; parts[i] != NULL; i++) {
    gsize n = strlen(parts[i]), letters = 0;
    for (; letters < n && g_ascii_isalnum(parts[i][letters]); letters++)
      if (i == 0 && !g_ascii_isalpha(parts[i][letters]))
        return FALSE;
    if (letters < n || n < (i == 0 ? 2 : 1) || n > 8)
      return FALSE;
  }
  return TRUE;
}

static void
read_language(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
              void *into)
{
  const char *text = pw_yaml_node_peek_text(value);
  if (text != NULL && is_tag(text))
    pw_style_read_prose(reading, value, key, into);
  else
    pw_style_fault(reading, value, "not a language", "a language is a tag as en, de or de-AT");
}

/* One of the signs that figures are written with somewhere. */
static void
read_sign(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key, void *into)
{
  static const char *const signs[] = {".", ",", "", " ", "'", "\u2019", "\u00a0", "\u202f"};
  enum { N_DECIMAL = 2 };
  gboolean is_decimal = g_str_equal(key->name, "decimal");
  gsize n = is_decimal ? N_DECIMAL : G_N_ELEMENTS(signs);
  const char *text = pw_yaml_node_peek_text(value);
  for (gsize i = 0; text != NULL && i < n; i++)
    if (g_str_equal(text, signs[i])) {
      pw_style_read_prose(reading, value, key, into);
      return;
    }
  pw_style_fault(reading, value, "not a sign",
                 is_decimal ? "the decimal sign is \".\" or \",\""
                            : "thousands are parted by \".\", \",\", a space, an apostrophe, or "
                              "nothing");
}

static void
read_months(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
            void *into)
{
  PwWords *words = into;
  (void)key;
  if (pw_yaml_node_kind(value) != PW_YAML_SEQUENCE || pw_yaml_node_n(value) != N_MONTHS) {
    pw_style_fault(reading, value, "not months", "the months are a list of their twelve names");
    return;
  }
  for (guint i = 0; i < N_MONTHS; i++) {
    const char *month = pw_style_peek_prose(reading, pw_yaml_node_item(value, i));
    if (month == NULL)
      return;
    g_free(words->months[i]);
    words->months[i] = pw_dup_printable(month);
  }
}

/* ---- Blanks ------------------------------------------------------------------------------------
 */

/* A blank that the phrase it stands for does not have would be printed with its braces. */
static void
check_blanks(const PwStyleReading *reading, const PwYamlNode *value, const char *phrase,
             const char *original)
{
  const char *end;
  for (const char *blank = pw_words_next_blank(phrase, &end); blank != NULL;
       blank = pw_words_next_blank(end, &end)) {
    g_autofree char *name = g_strndup(blank, (gsize)(end - blank));
    if (strstr(original, name) == NULL)
      pw_style_fault(reading, value, "unknown blank",
                     "%s is no blank of this phrase, which is \"%s\"", name, original);
  }
}

static void
read_date_phrase(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                 void *into)
{
  const char *phrase = pw_style_peek_prose(reading, value);
  if (phrase == NULL)
    return;
  check_blanks(reading, value, phrase,
               g_str_equal(key->name, "date") ? "{day} {month} {year}"
                                              : "{day} {month} {year} {hour}:{minute}");
  pw_style_read_prose(reading, value, key, into);
}

static const PwStyleKey date_keys[] = {
    {"months", read_months, 0, 0, 0},
    {"date", read_date_phrase, G_STRUCT_OFFSET(PwWords, date), 0, 0},
    {"moment", read_date_phrase, G_STRUCT_OFFSET(PwWords, moment), 0, 0},
    {0}};

static void
read_dates(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
           void *into)
{
  (void)key;
  pw_style_read_keys(reading, value, date_keys, "the dates", into);
}

/* ---- Phrases -----------------------------------------------------------------------------------
 */

static gint
by_name(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static void
complain_of_phrase(const PwStyleReading *reading, const PwYamlNode *key, GHashTable *english)
{
  g_autoptr(GPtrArray) known = g_ptr_array_new();
  GHashTableIter iter;
  gpointer name;
  g_hash_table_iter_init(&iter, english);
  while (g_hash_table_iter_next(&iter, &name, NULL))
    g_ptr_array_add(known, name);
  g_ptr_array_sort(known, by_name); /* of two equally near ones always the same */
  g_ptr_array_add(known, NULL);
  g_autofree char *shown = pw_dup_printable(pw_yaml_node_peek_text(key));
  const char *nearest = pw_nearest_word(shown, (const char *const *)known->pdata);
  if (nearest != NULL)
    pw_style_fault(reading, key, "unknown key", "no word \"%s\" is printed; did you mean \"%s\"?",
                   shown, nearest);
  else
    pw_style_fault(reading, key, "unknown key", "no word \"%s\" is printed; take it away", shown);
}

/* English as it comes with Platewright says which phrases there are; every other file words some
 * of them anew. */
static void
read_phrase(const PwStyleReading *reading, const PwYamlNode *key, const PwYamlNode *value)
{
  PwWords *words = reading->words;
  gboolean is_first = words->english == NULL && !reading->based;
  GHashTable *english = words->english != NULL ? words->english->phrases : words->phrases;
  const char *name = pw_yaml_node_peek_text(key), *phrase = pw_style_peek_prose(reading, value);
  if (name == NULL || phrase == NULL)
    return;
  const char *original = g_hash_table_lookup(english, name);
  if (original == NULL && !is_first) {
    complain_of_phrase(reading, key, english);
    return;
  }
  if (original != NULL)
    check_blanks(reading, value, phrase, original);
  g_hash_table_insert(words->phrases, g_strdup(name), pw_dup_printable(phrase));
}

/* Whether `value` is a mapping; complained of if not. */
static gboolean
is_mapping(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key)
{
  if (pw_yaml_node_kind(value) == PW_YAML_MAPPING)
    return TRUE;
  pw_style_fault(reading, value, "not a mapping", "%s are written as \"key: words\" lines",
                 key->name);
  return FALSE;
}

static void
read_phrases(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
             void *into)
{
  (void)into;
  if (is_mapping(reading, value, key))
    for (guint i = 0; i < pw_yaml_node_n(value); i++)
      read_phrase(reading, pw_yaml_node_key(value, i), pw_yaml_node_value(value, i));
}

/* ---- Words of the record -----------------------------------------------------------------------
 */

/* "front board: Vorderdeckel" lines. */
static void
read_table(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
           void *into)
{
  GHashTable *table = *(GHashTable **)((char *)into + key->offset);
  for (guint i = 0; is_mapping(reading, value, key) && i < pw_yaml_node_n(value); i++) {
    const char *english = pw_yaml_node_peek_text(pw_yaml_node_key(value, i));
    const char *word = pw_style_peek_prose(reading, pw_yaml_node_value(value, i));
    if (english != NULL && word != NULL)
      g_hash_table_insert(table, g_strdup(english), pw_dup_printable(word));
  }
}

static const PwStyleKey term_keys[] = {
    {"word", pw_style_read_prose, G_STRUCT_OFFSET(PwTermWords, word), 0, 0},
    {"meaning", pw_style_read_prose, G_STRUCT_OFFSET(PwTermWords, meaning), 0, 0},
    {"caution", pw_style_read_prose, G_STRUCT_OFFSET(PwTermWords, caution), 0, 0},
    {"caution-for-owner", pw_style_read_prose, G_STRUCT_OFFSET(PwTermWords, caution_for_owner), 0,
     0},
    {"source", pw_style_read_prose, G_STRUCT_OFFSET(PwTermWords, source), 0, 0},
    {0}};

/* A translation without a source would be taken for one that was looked up. */
static void
read_term(const PwStyleReading *reading, const PwYamlNode *key, const PwYamlNode *value)
{
  const char *english = pw_yaml_node_peek_text(key);
  if (english == NULL)
    return;
  GHashTable *terms = reading->words->terms;
  PwTermWords *term = g_hash_table_lookup(terms, english);
  if (term == NULL) {
    term = g_new0(PwTermWords, 1);
    g_hash_table_insert(terms, g_strdup(english), term);
  }
  pw_style_read_keys(reading, value, term_keys, "a term's words", term);
  if (term->word == NULL || term->source == NULL)
    pw_style_fault(reading, value, "missing key",
                   "the word of a term is told with its source: {word: \"...\", source: \"...\"}");
}

static void
read_terms(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
           void *into)
{
  (void)into;
  if (is_mapping(reading, value, key))
    for (guint i = 0; i < pw_yaml_node_n(value); i++)
      read_term(reading, pw_yaml_node_key(value, i), pw_yaml_node_value(value, i));
}

/* ---- The whole ---------------------------------------------------------------------------------
 */

static const PwStyleKey sheet_keys[] = {
    {"format", pw_style_read_already, 0, 0, 0},
    {"based-on", pw_style_read_already, 0, 0, 0},
    {"language", read_language, G_STRUCT_OFFSET(PwWords, language), 0, 0},
    {"paper", pw_style_read_page, G_STRUCT_OFFSET(PwWords, paper), 0, 0},
    {"decimal", read_sign, G_STRUCT_OFFSET(PwWords, decimal), 0, 0},
    {"groups", read_sign, G_STRUCT_OFFSET(PwWords, groups), 0, 0},
    {"dates", read_dates, 0, 0, 0},
    {"words", read_phrases, 0, 0, 0},
    {"terms", read_terms, 0, 0, 0},
    {"parts", read_table, G_STRUCT_OFFSET(PwWords, parts), 0, 0},
    {"views", read_table, G_STRUCT_OFFSET(PwWords, views), 0, 0},
    {"lights", read_table, G_STRUCT_OFFSET(PwWords, lights), 0, 0},
    {0}};

void
pw_words_read_sheet(const PwStyleReading *reading, const PwYamlNode *root)
{
  pw_style_read_keys(reading, root, sheet_keys, "words", reading->words);
}

static void
check_told(const PwStyleReading *reading, const PwYamlNode *root, gboolean told, const char *name)
{
  if (!told)
    pw_style_fault(reading, root, "missing key", "these words do not tell \"%s\"", name);
}

void
pw_words_check_whole(const PwStyleReading *reading, const PwYamlNode *root)
{
  const PwWords *words = reading->words;
  check_told(reading, root, words->language != NULL, "language");
  check_told(reading, root, words->paper.short_mm > 0, "paper");
  check_told(reading, root, words->decimal != NULL, "decimal");
  check_told(reading, root, words->groups != NULL, "groups");
  check_told(reading, root,
             words->date != NULL && words->moment != NULL && words->months[0] != NULL, "dates");
  if (words->decimal != NULL && g_strcmp0(words->decimal, words->groups) == 0)
    pw_style_fault(reading, root, "not a sign",
                   "\"groups\" is the decimal sign too; 1.234.50 is no sum");
}
