/* What a bag says of itself: its declaration (RFC 8493, section 2.1.1) and its metadata (2.2.2). */
#include "private.h"

#include <string.h>

#define VERSION_READ "1.0"
#define ENCODING_READ "UTF-8"

/* ---- bagit.txt --------------------------------------------------------------------- */

/* The value after `label` and ": "; NULL, complained of, where the line is another. */
static const char *
value_of(const char *line, const char *label, guint number, PwComplaints *complaints)
{
  const gsize n = strlen(label);
  if (line && g_str_has_prefix(line, label) && line[n] == ':' &&
      (line[n + 1] == ' ' || line[n + 1] == '\t'))
    return line + n + 2;
  g_autofree char *says = g_strdup_printf("this line must be `%s: ...` (RFC 8493, 2.1.1)", label);
  pw_bag_complain(complaints, PW_BAG_DECLARATION, number, line ? line : "", 0, "bag declaration",
                  says);
  return NULL;
}

static gboolean
is_version(const char *text)
{
  const gsize major = strspn(text, "0123456789");
  const gsize minor = text[major] == '.' ? strspn(text + major + 1, "0123456789") : 0;
  return major > 0 && minor > 0 && text[major + 1 + minor] == '\0';
}

static void
check_version(const char *version, const char *line, PwComplaints *complaints)
{
  const gsize at = (gsize)(version - line);
  if (!is_version(version)) {
    pw_bag_complain(complaints, PW_BAG_DECLARATION, 1, line, at, "bag declaration",
                    "the version must be two numbers with a point between (RFC 8493, 2.1.1)");
  } else if (strcmp(version, VERSION_READ) != 0) {
    g_autofree char *says =
        g_strdup_printf("version %s is not read here, only " VERSION_READ " (RFC 8493)", version);
    pw_bag_complain(complaints, PW_BAG_DECLARATION, 1, line, at, "bag version", says);
  }
}

static void
check_encoding(const char *encoding, const char *line, PwComplaints *complaints)
{
  if (g_ascii_strcasecmp(encoding, ENCODING_READ) == 0)
    return;
  g_autofree char *says =
      g_strdup_printf("texts in \"%s\" are not read here, only in " ENCODING_READ, encoding);
  pw_bag_complain(complaints, PW_BAG_DECLARATION, 2, line, (gsize)(encoding - line),
                  "bag encoding", says);
}

void
pw_bag_check_declaration(const char *text, gsize length, PwComplaints *complaints)
{
  if (!pw_bag_text_is_sound(PW_BAG_DECLARATION, text, length, complaints))
    return;
  PwBagLines lines = pw_bag_lines(text, length);
  gboolean cut;
  g_autofree char *first = pw_bag_lines_dup_next(&lines, &cut);
  g_autofree char *second = pw_bag_lines_dup_next(&lines, &cut);
  const char *version = value_of(first, "BagIt-Version", 1, complaints);
  if (version)
    check_version(version, first, complaints);
  const char *encoding = value_of(second, "Tag-File-Character-Encoding", 2, complaints);
  if (encoding)
    check_encoding(encoding, second, complaints);
  g_autofree char *third = pw_bag_lines_dup_next(&lines, &cut);
  if (third)
    pw_bag_complain(complaints, PW_BAG_DECLARATION, 3, third, 0, "bag declaration",
                    "there must be two lines and no more (RFC 8493, 2.1.1)");
}

/* ---- bag-info.txt ------------------------------------------------------------------ */

/* Those that must not be repeated (2.2.2). */
static const char *const once[] = {"Bagging-Date", "Bag-Size", "Payload-Oxum",
                                   "Bag-Group-Identifier", "Bag-Count"};
enum { N_ONCE = G_N_ELEMENTS(once) };

static gboolean
parse_count(const char *text, gsize length, guint64 *value)
{
  g_autofree char *digits = g_strndup(text, length);
  return length > 0 && strspn(digits, "0123456789") == length &&
         g_ascii_string_to_unsigned(digits, 10, 0, G_MAXUINT64, value, NULL);
}

/* "bytes.files" */
static gboolean
parse_oxum(const char *text, PwBagOxum *oxum)
{
  const char *point = strchr(text, '.');
  return point && parse_count(text, (gsize)(point - text), &oxum->bytes) &&
         parse_count(point + 1, strlen(point + 1), &oxum->files);
}

static void
check_value(const char *label, const char *value, const char *line, guint number, PwBagOxum *oxum,
            PwComplaints *complaints)
{
  const gsize at = (gsize)(value - line);
  GDate day;
  PwBagOxum read = {.line = number};
  if (strcmp(label, "Bagging-Date") == 0 && !pw_parse_date(value, &day))
    pw_bag_complain(complaints, PW_BAG_INFO, number, line, at, "bag info",
                    "a date must be written 2026-03-02 (RFC 8493, 2.2.2)");
  if (strcmp(label, "Payload-Oxum") != 0)
    return;
  if (parse_oxum(value, &read))
    *oxum = read;
  else
    pw_bag_complain(complaints, PW_BAG_INFO, number, line, at, "bag info",
                    "the payload's size must be its bytes, a point, and the number of its files "
                    "(RFC 8493, 2.2.2)");
}

/* Labels are told apart whatever their case (2.2.2). */
static void
check_repeated(const char *label, gboolean seen[N_ONCE], const char *line, guint number,
               PwComplaints *complaints)
{
  for (int i = 0; i < N_ONCE; i++)
    if (g_ascii_strcasecmp(once[i], label) == 0) {
      if (seen[i])
        pw_bag_complain(complaints, PW_BAG_INFO, number, line, 0, "bag info",
                        "this label must not be repeated (RFC 8493, 2.2.2)");
      seen[i] = TRUE;
    }
}

void
pw_bag_check_info(const char *text, gsize length, PwBagOxum *oxum, PwComplaints *complaints)
{
  gboolean seen[N_ONCE] = {FALSE}, cut;
  PwBagLines lines = pw_bag_lines(text, length);
  *oxum = (PwBagOxum){0};
  if (!pw_bag_text_is_sound(PW_BAG_INFO, text, length, complaints))
    return;
  for (char *line; (line = pw_bag_lines_dup_next(&lines, &cut)) != NULL; g_free(line)) {
    const char *colon = strchr(line, ':');
    if ((*line == ' ' || *line == '\t') && lines.number > 1)
      continue; /* the value of the line before goes on */
    if (!colon || colon == line || g_ascii_isspace(*line) || g_ascii_isspace(colon[-1]) ||
        (colon[1] != ' ' && colon[1] != '\t')) {
      pw_bag_complain(complaints, PW_BAG_INFO, lines.number, line, 0, "bag info",
                      "a line must be a label, a colon, a blank and a value (RFC 8493, 2.2.2)");
      continue;
    }
    g_autofree char *label = g_strndup(line, (gsize)(colon - line));
    check_repeated(label, seen, line, lines.number, complaints);
    check_value(label, colon + 2, line, lines.number, oxum, complaints);
  }
}
