/* Words: every word and phrase that is printed, by its key. A phrase holds its blanks as {name}.
 */
#include "private.h"

#include <string.h>

/* The next blank of `phrase`, from its '{' to behind its '}'; NULL when there is none. */
static const char *
next_blank(const char *phrase, const char **end)
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

/* A blank that the phrase it stands for does not have would be printed as it is, with its braces.
 */
static void
check_blanks(const PwStyleReading *reading, const PwYamlNode *value, const char *phrase,
             const char *original)
{
  const char *end;
  for (const char *blank = next_blank(phrase, &end); blank != NULL; blank = next_blank(end, &end)) {
    g_autofree char *name = g_strndup(blank, (gsize)(end - blank));
    if (strstr(original, name) == NULL)
      pw_style_fault(reading, value, "unknown blank",
                     "%s is no blank of this phrase, which is \"%s\"", name, original);
  }
}

static gint
by_name(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static void
complain_of_word(const PwStyleReading *reading, const PwYamlNode *key, const char *word)
{
  g_autoptr(GPtrArray) known = g_ptr_array_new();
  GHashTableIter iter;
  gpointer name;
  g_hash_table_iter_init(&iter, reading->style->words);
  while (g_hash_table_iter_next(&iter, &name, NULL))
    g_ptr_array_add(known, name);
  g_ptr_array_sort(known, by_name); /* of two equally near ones always the same */
  g_ptr_array_add(known, NULL);
  g_autofree char *shown = pw_dup_printable(word);
  const char *nearest = pw_nearest_word(word, (const char *const *)known->pdata);
  if (nearest != NULL)
    pw_style_fault(reading, key, "unknown key", "no word \"%s\" is printed; did you mean \"%s\"?",
                   shown, nearest);
  else
    pw_style_fault(reading, key, "unknown key", "no word \"%s\" is printed; take it away", shown);
}

static void
read_word(const PwStyleReading *reading, const PwYamlNode *key, const PwYamlNode *value)
{
  const char *word = pw_yaml_node_peek_text(key);
  const char *phrase = pw_style_peek_prose(reading, value);
  if (word == NULL || phrase == NULL)
    return;
  const char *original = g_hash_table_lookup(reading->style->words, word);
  if (original == NULL && reading->based) {
    complain_of_word(reading, key, word);
    return;
  }
  if (original != NULL)
    check_blanks(reading, value, phrase, original);
  g_hash_table_insert(reading->style->words, g_strdup(word), pw_dup_printable(phrase));
}

void
pw_style_read_words(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                    void *into)
{
  (void)key;
  (void)into;
  if (pw_yaml_node_kind(value) != PW_YAML_MAPPING) {
    pw_style_fault(reading, value, "not a mapping", "words are written as \"key: words\" lines");
    return;
  }
  for (guint i = 0; i < pw_yaml_node_n(value); i++)
    read_word(reading, pw_yaml_node_key(value, i), pw_yaml_node_value(value, i));
}

const char *
pw_style_word(const PwStyle *style, const char *key)
{
  const char *phrase = g_hash_table_lookup(style->words, key);
  return phrase != NULL ? phrase : key;
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

static char *
dup_filled(const char *phrase, const GPtrArray *pairs)
{
  GString *filled = g_string_new(NULL);
  const char *from = phrase, *end;
  for (const char *blank = next_blank(from, &end); blank != NULL; blank = next_blank(from, &end)) {
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
pw_style_dup_phrase(const PwStyle *style, const char *key, ...)
{
  g_autoptr(GPtrArray) pairs = g_ptr_array_new();
  va_list more;
  va_start(more, key);
  for (char *text = va_arg(more, char *); text != NULL; text = va_arg(more, char *))
    g_ptr_array_add(pairs, text);
  va_end(more);
  return dup_filled(pw_style_word(style, key), pairs);
}

char *
pw_style_dup_count(const PwStyle *style, const char *key, guint n)
{
  g_autofree char *one_or_many = g_strdup_printf("%s-%s", key, n == 1 ? "one" : "many");
  g_autofree char *figure = g_strdup_printf("%u", n);
  return pw_style_dup_phrase(style, one_or_many, "n", figure, NULL);
}

/* "2026-03-02T10:14..." by its digits: the hour is the one on the clock where it was taken. */
char *
pw_style_dup_date(const PwStyle *style, const char *iso)
{
  g_autofree char *day_of = g_strndup(iso, MIN(strlen(iso), 10));
  GDate day;
  if (!pw_parse_date(day_of, &day))
    return pw_dup_printable(iso);
  g_autofree char *number = g_strdup_printf("%d", g_date_get_day(&day));
  g_autofree char *month_key = g_strdup_printf("month-%d", (int)g_date_get_month(&day));
  g_autofree char *year = g_strdup_printf("%d", g_date_get_year(&day));
  const char *month = pw_style_word(style, month_key), *time = iso + strlen(day_of);
  gboolean has_time = strlen(time) >= 6 && time[0] == 'T' && time[3] == ':';
  g_autofree char *hour = has_time ? g_strndup(time + 1, 2) : NULL;
  g_autofree char *minute = has_time ? g_strndup(time + 4, 2) : NULL;
  if (!has_time)
    return pw_style_dup_phrase(style, "date", "day", number, "month", month, "year", year, NULL);
  return pw_style_dup_phrase(style, "date-time", "day", number, "month", month, "year", year,
                             "hour", hour, "minute", minute, NULL);
}
