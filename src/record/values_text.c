/* Values that are kept as text: words, prose, paths, references, times, money, and lists of them.
 *
 * YAML drops in silence what follows " #" in unquoted text, so prose, paths and references must be
 * quoted there; after a single word of a list a comment is welcome.
 */
#include "values.h"

#include <string.h>

enum {
  MONEY_DIGITS = 12,  /* before the point */
  MONEY_DECIMALS = 4, /* after it */
  ID_CHARACTERS = 100
};

/* A test of a text: NULL, or what is wrong with it, "; what to do" included. */
typedef const char *(*TextFault)(const char *text);

/* The scalar's text, or NULL with a complaint. `is_prose`: nothing may have been cut from it. */
static const char *
take_text(const PwReading *reading, const char *key, const PwYamlNode *node, gboolean is_prose)
{
  const char *text = pw_yaml_node_peek_text(node);
  if (text == NULL) {
    pw_fault(reading, node, "not a text",
             "\"%s\" is one text, not a list or keys; put it in quotes", key);
    return NULL;
  }
  if (pw_is_empty(node)) {
    pw_fault(reading, node, "cut text", "\"%s\" has no value; put it in quotes", key);
    return NULL;
  }
  if (is_prose && pw_yaml_node_is_cut(node)) {
    pw_fault(reading, node, "cut text",
             "what follows \"#\" would be lost from \"%s\"; put it in quotes", key);
    return NULL;
  }
  return text;
}

static void
keep_text(const PwField *field, void *record, const char *text)
{
  char **member = &G_STRUCT_MEMBER(char *, record, field->at);
  g_free(*member);
  *member = text[0] == '\0' ? NULL : g_strdup(text);
}

static void
clear_text(const PwField *field, void *record)
{
  g_clear_pointer(&G_STRUCT_MEMBER(char *, record, field->at), g_free);
}

static void
read_tested(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record,
            gboolean is_prose, const char *kind, TextFault fault_of)
{
  const char *text = take_text(reading, field->key, node, is_prose);
  if (text == NULL)
    return;
  const char *fault = fault_of(text);
  if (fault != NULL) {
    g_autofree char *shown = pw_dup_shown(text);
    pw_fault(reading, node, kind, "%s for \"%s\" %s", shown, field->key, fault);
    return;
  }
  keep_text(field, record, text);
}

/* ---- Tests of a text --------------------------------------------------------------- */

static const char *
word_fault(const char *text)
{
  if (text[0] == '\0')
    return "has no value; write a word";
  return strchr(text, '\n') != NULL ? "runs over several lines; write it on one" : NULL;
}

static const char *
no_fault(const char *text)
{
  (void)text;
  return NULL;
}

const char *
pw_path_fault(const char *path)
{
  if (path[0] == '\0')
    return "names no file; write a path relative to the volume folder";
  if (g_path_is_absolute(path))
    return "is an absolute path; write it relative to the volume folder";
  if (strchr(path, '\\') != NULL)
    return "has a backslash; write / between folder and file";
  g_auto(GStrv) parts = g_strsplit(path, "/", -1);
  for (gsize i = 0; parts[i] != NULL; i++)
    if (parts[i][0] == '\0' || strcmp(parts[i], ".") == 0 || strcmp(parts[i], "..") == 0)
      return "leaves the volume folder or has an empty part; write it relative to the folder";
  return NULL;
}

const char *
pw_id_fault(const char *id)
{
  if (id[0] == '\0')
    return "is empty; give a number or a short name";
  if (id[0] == '.' || id[0] == '-' || g_ascii_isspace(id[0]))
    return "begins with a point, dash or blank; begin with a letter or digit";
  if (g_utf8_strlen(id, -1) > ID_CHARACTERS)
    return "is too long; give a short name";
  for (const char *c = id; *c != '\0'; c++)
    if (strchr("#/\\", *c) != NULL || g_ascii_iscntrl(*c))
      return "has a character that no id may have (#, /, \\, a line end); use letters and digits";
  return NULL;
}

static const char *
reference_fault(const char *text)
{
  g_autofree char *file = NULL, *id = NULL;
  if (!pw_reference_split(text, &file, &id))
    return "names no mark; write PHOTO#ID, as in \"IMG_2042.jpg#3\"";
  const char *fault = pw_path_fault(file);
  return fault != NULL ? fault : pw_id_fault(id);
}

static const char *
photo_fault(const char *text)
{
  return strchr(text, '#') != NULL ? reference_fault(text) : pw_path_fault(text);
}

static const char *
subject_fault(const char *text)
{
  return strchr(text, '#') != NULL ? reference_fault(text) : word_fault(text);
}

static const char *
sha256_fault(const char *text)
{
  if (strlen(text) != 64 || strspn(text, "0123456789abcdef") != 64)
    return "is no SHA-256; write its 64 digits 0-9 a-f, or leave the key out";
  return NULL;
}

gboolean
pw_is_money(const char *text)
{
  const char *digits = text[0] == '-' ? text + 1 : text;
  gsize before = strspn(digits, "0123456789");
  if (before == 0 || before > MONEY_DIGITS)
    return FALSE;
  if (digits[before] == '\0')
    return TRUE;
  if (digits[before] != '.')
    return FALSE;
  gsize after = strspn(digits + before + 1, "0123456789");
  return after > 0 && after <= MONEY_DECIMALS && digits[before + 1 + after] == '\0';
}

static const char *
money_fault(const char *text)
{
  return pw_is_money(text) ? NULL : "is no decimal number; write it as in 24.50, without currency";
}

static const char *
currency_fault(const char *text)
{
  if (strlen(text) != 3 || strspn(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != 3)
    return "is no currency; write its three letters, as in EUR (ISO 4217)";
  return NULL;
}

/* ---- Times ------------------------------------------------------------------------- */

/* TRUE when `text` begins in the shape of `shape`, in which 9 stands for any digit. */
static gboolean
has_shape(const char *text, const char *shape)
{
  for (gsize i = 0; shape[i] != '\0'; i++)
    if (shape[i] == '9' ? !g_ascii_isdigit(text[i]) : text[i] != shape[i])
      return FALSE;
  return TRUE;
}

static int
two_digits(const char *text)
{
  return 10 * g_ascii_digit_value(text[0]) + g_ascii_digit_value(text[1]);
}

gboolean
pw_parse_zone(const char *text, int *seconds)
{
  if (strcmp(text, "Z") == 0) {
    *seconds = 0;
    return TRUE;
  }
  if ((text[0] != '+' && text[0] != '-') || !has_shape(text + 1, "99:99") || text[6] != '\0')
    return FALSE;
  int hours = two_digits(text + 1), minutes = two_digits(text + 4);
  if (hours > 14 || minutes > 59)
    return FALSE;
  *seconds = (text[0] == '-' ? -1 : 1) * (hours * 3600 + minutes * 60);
  return TRUE;
}

/* The time of day and what follows it: `zone` gets the rest behind the seconds. */
static gboolean
parse_clock(const char *text, const char **zone)
{
  if (!has_shape(text, "99:99:99") || two_digits(text) > 23 || two_digits(text + 3) > 59 ||
      two_digits(text + 6) > 59)
    return FALSE;
  const char *rest = text + 8;
  if (rest[0] == '.') {
    gsize digits = strspn(rest + 1, "0123456789");
    if (digits == 0)
      return FALSE;
    rest += 1 + digits;
  }
  *zone = rest;
  return TRUE;
}

/* A camera that knew no zone is a fact, and to invent one would be worse: a warning. */
static void
read_time(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *text = take_text(reading, field->key, node, FALSE);
  if (text == NULL)
    return;
  GDate date;
  int seconds;
  const char *zone = NULL;
  g_autofree char *day = g_strndup(text, 10);
  if (!pw_parse_date(day, &date) || text[10] != 'T' || !parse_clock(text + 11, &zone) ||
      (zone[0] != '\0' && !pw_parse_zone(zone, &seconds))) {
    g_autofree char *shown = pw_dup_shown(text);
    pw_fault(reading, node, "not a time",
             "%s is no date and time; write it as in 2026-03-02T10:14:07+00:00", shown);
    return;
  }
  if (zone[0] == '\0')
    pw_warn(reading, node, "no zone",
            "\"%s\" tells no zone; add it, as in +01:00, or give the camera's clock-offset",
            field->key);
  keep_text(field, record, text);
}

static const char *
zone_fault(const char *text)
{
  int seconds;
  return pw_parse_zone(text, &seconds) ? NULL : "is no zone; write it as in \"+01:00\"";
}

/* The name of a file of words: never a path, which a volume folder from elsewhere could lead
 * anywhere. */
static const char *
language_fault(const char *text)
{
  enum { LONGEST = 35 };
  gsize n = strlen(text);
  gboolean is_name = n > 0 && n <= LONGEST && g_ascii_isalpha(text[0]);
  for (gsize i = 0; is_name && i < n; i++)
    is_name = g_ascii_isalnum(text[i]) || text[i] == '-';
  return is_name ? NULL : "is no language; write it as en, de or the name of a file of words";
}

/* ---- The single texts -------------------------------------------------------------- */

/* Each kind of text is its test, its kind of fault and whether a comment may cut it. */
#define TEXT_VALUE(id, says, cut_by_comment, kind, fault)                                       \
  static void read_##id(const PwReading *reading, const PwField *field, const PwYamlNode *node, \
                        void *record)                                                           \
  {                                                                                             \
    read_tested(reading, field, node, record, cut_by_comment, kind, fault);                     \
  }                                                                                             \
  const PwValueType pw_value_##id = {                                                           \
      .name = says, .is_prose = cut_by_comment, .read = read_##id, .clear = clear_text}

TEXT_VALUE(word, "word", FALSE, "not a word", word_fault);
TEXT_VALUE(prose, "text", TRUE, "not a text", no_fault);
TEXT_VALUE(id, "id", FALSE, "bad id", pw_id_fault);
TEXT_VALUE(path, "path", TRUE, "bad path", pw_path_fault);
TEXT_VALUE(reference, "PHOTO#ID", TRUE, "bad reference", reference_fault);
TEXT_VALUE(photo, "PHOTO or PHOTO#ID", TRUE, "bad reference", photo_fault);
TEXT_VALUE(sha256, "64 digits 0-9 a-f", FALSE, "not a checksum", sha256_fault);
TEXT_VALUE(zone, "zone", FALSE, "not a zone", zone_fault);
TEXT_VALUE(money, "decimal", FALSE, "not money", money_fault);
TEXT_VALUE(language, "language", FALSE, "not a language", language_fault);
TEXT_VALUE(currency, "three letters", FALSE, "not a currency", currency_fault);
const PwValueType pw_value_time = {.name = "date and time", .read = read_time, .clear = clear_text};

/* A comment after one of the usual words takes nothing from it. */
static void
read_usual(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *const *usual = field->of;
  const char *text = pw_yaml_node_peek_text(node);
  gboolean is_prose = text == NULL || !g_strv_contains(usual, text);
  read_tested(reading, field, node, record, is_prose, "not a text", no_fault);
}

const PwValueType pw_value_usual = {
    .name = "text", .is_prose = TRUE, .read = read_usual, .clear = clear_text};

static void
read_choice(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  const char *const *words = field->of;
  const char *text = take_text(reading, field->key, node, FALSE);
  if (text == NULL)
    return;
  if (g_strv_contains(words, text)) {
    keep_text(field, record, text);
    return;
  }
  g_autofree char *shown = pw_dup_shown(text), *advice = pw_dup_advice(text, words);
  pw_fault(reading, node, "unknown word", "%s is no word for \"%s\"%s", shown, field->key, advice);
}

static void
read_format(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record)
{
  (void)reading, (void)field, (void)node, (void)record; /* judged before the rows are read */
}

const PwValueType pw_value_choice = {
    .name = "one of the words", .read = read_choice, .clear = clear_text};
const PwValueType pw_value_format = {.name = "format", .read = read_format};

/* ---- Lists of texts ---------------------------------------------------------------- */

static void
add_text(const PwReading *reading, const PwField *field, const PwYamlNode *item, gboolean is_prose,
         const char *kind, TextFault fault_of, GPtrArray *texts)
{
  const char *text = take_text(reading, field->key, item, is_prose);
  if (text == NULL)
    return;
  const char *fault = text[0] == '\0' ? "is empty; take it away" : fault_of(text);
  if (fault == NULL) {
    g_ptr_array_add(texts, g_strdup(text));
    return;
  }
  g_autofree char *shown = pw_dup_shown(text);
  pw_fault(reading, item, kind, "%s in \"%s\" %s", shown, field->key, fault);
}

static void
read_texts(const PwReading *reading, const PwField *field, const PwYamlNode *node, void *record,
           gboolean is_prose, const char *kind, TextFault fault_of)
{
  g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
  if (pw_yaml_node_kind(node) == PW_YAML_SEQUENCE)
    for (guint i = 0; i < pw_yaml_node_n(node); i++)
      add_text(reading, field, pw_yaml_node_item(node, i), is_prose, kind, fault_of, texts);
  else
    add_text(reading, field, node, is_prose, kind, fault_of, texts);
  if (texts->len == 0)
    return;
  g_ptr_array_add(texts, NULL);
  char ***member = &G_STRUCT_MEMBER(char **, record, field->at);
  g_strfreev(*member);
  *member = (char **)g_ptr_array_free(g_steal_pointer(&texts), FALSE);
}

static void
clear_texts(const PwField *field, void *record)
{
  g_clear_pointer(&G_STRUCT_MEMBER(char **, record, field->at), g_strfreev);
}

#define TEXT_LIST(id, says, cut_by_comment, kind, fault)                                        \
  static void read_##id(const PwReading *reading, const PwField *field, const PwYamlNode *node, \
                        void *record)                                                           \
  {                                                                                             \
    read_texts(reading, field, node, record, cut_by_comment, kind, fault);                      \
  }                                                                                             \
  const PwValueType pw_value_##id = {.name = says,                                              \
                                     .shape = PW_SHAPE_TEXTS,                                   \
                                     .is_prose = cut_by_comment,                                \
                                     .read = read_##id,                                         \
                                     .clear = clear_texts}

TEXT_LIST(words, "list of words", FALSE, "not a word", word_fault);
TEXT_LIST(proses, "list of texts", TRUE, "not a text", no_fault);
TEXT_LIST(paths, "list of paths", TRUE, "bad path", pw_path_fault);
TEXT_LIST(subjects, "list of words or PHOTO#ID", TRUE, "bad reference", subject_fault);
