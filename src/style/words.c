/* Words: every word and phrase that is printed, by its key, in one language with English behind it.
 * A phrase holds its blanks as {name}.
 */
#include "private.h"

#include <string.h>

static void
term_words_free(gpointer data)
{
  PwTermWords *term = data;
  g_free(term->word);
  g_free(term->meaning);
  g_free(term->caution);
  g_free(term->caution_for_owner);
  g_free(term->source);
  g_free(term);
}

static PwWords *
words_new(void)
{
  PwWords *words = g_new0(PwWords, 1);
  GHashTable **tables[] = {&words->phrases, &words->parts, &words->views, &words->lights};
  for (gsize i = 0; i < G_N_ELEMENTS(tables); i++)
    *tables[i] = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  words->terms = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, term_words_free);
  words->missing = g_ptr_array_new_with_free_func(g_free);
  g_mutex_init(&words->lock);
  return words;
}

void
pw_words_free(PwWords *words)
{
  if (words == NULL)
    return;
  g_free(words->language);
  g_free(words->decimal);
  g_free(words->groups);
  g_free(words->date);
  g_free(words->moment);
  for (gsize i = 0; i < G_N_ELEMENTS(words->months); i++)
    g_free(words->months[i]);
  g_hash_table_unref(words->phrases);
  g_hash_table_unref(words->terms);
  g_hash_table_unref(words->parts);
  g_hash_table_unref(words->views);
  g_hash_table_unref(words->lights);
  g_ptr_array_unref(words->missing);
  g_mutex_clear(&words->lock);
  pw_words_free(words->english);
  g_free(words);
}

static const PwStyleKind words_kind = {.format = "platewright-words 1",
                                       .what = "language",
                                       .folder = "words",
                                       .read = pw_words_read_sheet,
                                       .check_whole = pw_words_check_whole};

PwWords *
pw_words_read(const char *language, PwComplaints *complaints, GError **error)
{
  static const char english[] = "en";
  g_autoptr(PwWords) words = words_new();
  if (!g_str_equal(language, english)) {
    words->english = pw_words_read(english, complaints, error);
    if (words->english == NULL)
      return NULL;
  }
  return pw_style_read_chain(&words_kind, language, NULL, words, complaints, error)
             ? g_steal_pointer(&words)
             : NULL;
}

char **
pw_words_dup_languages(void)
{
  return pw_style_dup_names(words_kind.folder);
}

const char *
pw_words_peek_language(const PwWords *words)
{
  return words->language;
}

/* ---- Phrases -----------------------------------------------------------------------------------
 */

static gint
by_name(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

/* Only the list of what was missed changes, and under its lock: words stay const to who asks. */
static void
remember_missing(const PwWords *words, const char *key)
{
  GMutex *lock = (GMutex *)&words->lock;
  g_mutex_lock(lock);
  if (!g_ptr_array_find_with_equal_func(words->missing, key, g_str_equal, NULL)) {
    g_ptr_array_add(words->missing, g_strdup(key));
    g_ptr_array_sort(words->missing, by_name);
  }
  g_mutex_unlock(lock);
}

const char *
pw_words_peek(const PwWords *words, const char *key)
{
  const char *phrase = g_hash_table_lookup(words->phrases, key);
  if (phrase != NULL)
    return phrase;
  remember_missing(words, key);
  phrase = words->english != NULL ? g_hash_table_lookup(words->english->phrases, key) : NULL;
  return phrase != NULL ? phrase : key;
}

const PwWords *
pw_words_peek_english(const PwWords *words)
{
  return words->english != NULL ? words->english : words;
}

gsize
pw_words_n_missing(const PwWords *words)
{
  return words->missing->len;
}

const char *
pw_words_peek_missing(const PwWords *words, gsize i)
{
  return g_ptr_array_index(words->missing, i);
}

char *
pw_words_dup_warning(const PwWords *words, const PwWords *in)
{
  if (words->missing->len == 0)
    return NULL;
  g_autoptr(GString) keys = g_string_new(NULL);
  for (guint i = 0; i < words->missing->len; i++)
    g_string_append_printf(keys, "%s%s", i > 0 ? ", " : "", pw_words_peek_missing(words, i));
  return pw_words_dup_phrase(in, "told-missing", "language", words->language, "keys", keys->str,
                             NULL);
}

const char *
pw_words_next_blank(const char *phrase, const char **end)
{
  for (const char *open = strchr(phrase, '{'); open != NULL; open = strchr(open + 1, '{')) {
    gsize length = strspn(open + 1, "abcdefghijklmnopqrstuvwxyz-");
    if (length > 0 && open[length + 1] == '}') {
      *end = open + length + 2;
      return open;
    }
  }
  return NULL;
}

/* The value given for the blank that starts at `name` and is `length` long; NULL without one. */
static const char *
value_of(const char *name, gsize length, const GPtrArray *pairs)
{
  for (guint i = 0; i + 1 < pairs->len; i += 2) {
    const char *given = g_ptr_array_index(pairs, i);
    if (strlen(given) == length && strncmp(given, name, length) == 0)
      return g_ptr_array_index(pairs, i + 1);
  }
  return NULL;
}

char *
pw_words_dup_filled(const char *phrase, const GPtrArray *pairs)
{
  GString *filled = g_string_new(NULL);
  const char *from = phrase, *end;
  for (const char *blank = pw_words_next_blank(from, &end); blank != NULL;
       blank = pw_words_next_blank(from, &end)) {
    const char *value = value_of(blank + 1, (gsize)(end - blank) - 2, pairs);
    g_string_append_len(filled, from, blank - from);
    if (value != NULL)
      g_string_append(filled, value);
    else
      g_string_append_len(filled, blank, end - blank);
    from = end;
  }
  g_string_append(filled, from);
  return g_string_free(filled, FALSE);
}

char *
pw_words_dup_phrase(const PwWords *words, const char *key, ...)
{
  g_autoptr(GPtrArray) pairs = g_ptr_array_new();
  va_list more;
  va_start(more, key);
  for (char *text = va_arg(more, char *); text != NULL; text = va_arg(more, char *))
    g_ptr_array_add(pairs, text);
  va_end(more);
  return pw_words_dup_filled(pw_words_peek(words, key), pairs);
}

char *
pw_words_dup_count(const PwWords *words, const char *key, guint n)
{
  g_autofree char *one_or_many = g_strdup_printf("%s-%s", key, n == 1 ? "one" : "many");
  g_autofree char *figure = g_strdup_printf("%u", n);
  return pw_words_dup_phrase(words, one_or_many, "n", figure, NULL);
}

/* ---- Words of the record -----------------------------------------------------------------------
 */

/* What a language lacks English has, where it is worded anew there, as lights are. */
static const char *
word_of(const PwWords *words, GHashTable *table, GHashTable *english_table, const char *english)
{
  if (english == NULL)
    return NULL;
  const char *word = g_hash_table_lookup(table, english);
  if (word == NULL && words->english != NULL)
    word = g_hash_table_lookup(english_table, english);
  return word != NULL ? word : english;
}

const char *
pw_words_peek_part(const PwWords *words, const char *english)
{
  return word_of(words, words->parts, words->english ? words->english->parts : NULL, english);
}

const char *
pw_words_peek_view(const PwWords *words, const char *english)
{
  return word_of(words, words->views, words->english ? words->english->views : NULL, english);
}

const char *
pw_words_peek_light(const PwWords *words, const char *english)
{
  return word_of(words, words->lights, words->english ? words->english->lights : NULL, english);
}

const char *
pw_words_peek_group(const PwWords *words, const char *group)
{
  g_autofree char *key = g_strdup_printf("group-%s", group != NULL ? group : "other");
  const PwWords *english = words->english != NULL ? words->english : words;
  gboolean known = g_hash_table_contains(english->phrases, key);
  return pw_words_peek(words, known ? key : "group-other");
}

static const PwTermWords *
term_of(const PwWords *words, const char *term)
{
  static const PwTermWords none = {0};
  const PwTermWords *found = term != NULL ? g_hash_table_lookup(words->terms, term) : NULL;
  return found != NULL ? found : &none;
}

const char *
pw_words_peek_term(const PwWords *words, const char *english)
{
  const PwTermWords *term = term_of(words, english);
  return term->word != NULL ? term->word : english;
}

const char *
pw_words_peek_meaning(const PwWords *words, const char *term)
{
  return term_of(words, term)->meaning;
}

const char *
pw_words_peek_caution(const PwWords *words, const char *term)
{
  return term_of(words, term)->caution;
}

const char *
pw_words_peek_caution_for_owner(const PwWords *words, const char *term)
{
  return term_of(words, term)->caution_for_owner;
}

/* ---- For another program -----------------------------------------------------------------------
 */

/* The keys of a table that begin with `prefix`, in order; yours, the keys the table's. */
static GPtrArray *
keys_of(GHashTable *table, const char *prefix)
{
  GPtrArray *keys = g_ptr_array_new();
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init(&iter, table);
  while (g_hash_table_iter_next(&iter, &key, NULL))
    if (g_str_has_prefix(key, prefix))
      g_ptr_array_add(keys, key);
  g_ptr_array_sort(keys, by_name);
  return keys;
}

static void
put_phrases(PwJson *json, const PwWords *words, const char *prefix)
{
  GHashTable *known = words->english != NULL ? words->english->phrases : words->phrases;
  g_autoptr(GPtrArray) keys = keys_of(known, prefix);
  pw_json_key(json, "phrases");
  pw_json_begin_object(json);
  for (guint i = 0; i < keys->len; i++) {
    const char *key = keys->pdata[i];
    pw_json_pair_string(json, key + strlen(prefix), pw_words_peek(words, key));
  }
  pw_json_end(json);
  pw_json_key(json, "missing");
  pw_json_begin_array(json);
  for (guint i = 0; i < keys->len; i++)
    if (!g_hash_table_contains(words->phrases, keys->pdata[i]))
      pw_json_string(json, keys->pdata[i]);
  pw_json_end(json);
}

static void
put_terms(PwJson *json, const PwWords *words)
{
  g_autoptr(GPtrArray) terms = keys_of(words->terms, "");
  pw_json_key(json, "terms");
  pw_json_begin_object(json);
  for (guint i = 0; i < terms->len; i++)
    pw_json_pair_string(json, terms->pdata[i], pw_words_peek_term(words, terms->pdata[i]));
  pw_json_end(json);
}

static void
put_table(PwJson *json, const char *name, GHashTable *table)
{
  g_autoptr(GPtrArray) keys = keys_of(table, "");
  pw_json_key(json, name);
  pw_json_begin_object(json);
  for (guint i = 0; i < keys->len; i++)
    pw_json_pair_string(json, keys->pdata[i], g_hash_table_lookup(table, keys->pdata[i]));
  pw_json_end(json);
}

void
pw_words_put_json(const PwWords *words, const char *prefix, PwJson *json)
{
  pw_json_pair_string(json, "language", words->language);
  pw_json_pair_string(json, "decimal", words->decimal);
  pw_json_pair_string(json, "date", words->date);
  pw_json_key(json, "months");
  pw_json_begin_array(json);
  for (gsize i = 0; i < G_N_ELEMENTS(words->months); i++)
    pw_json_string(json, words->months[i]);
  pw_json_end(json);
  put_phrases(json, words, prefix);
  put_terms(json, words);
  put_table(json, "parts", words->parts);
  put_table(json, "views", words->views);
  if (words->english != NULL)
    put_table(json, "lights", words->lights); /* those of English are for what is printed */
}
