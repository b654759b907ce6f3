/* What has changed between two versions of a document, by their plain texts: simple enough to be
 * done again by hand, thirty years on, with the two files that are kept beside the PDFs. */
#include "amendment.h"

#include <string.h>

#include "doc.h"

typedef struct {
  char *heading, *text;
} Part;

static void
clear_part(gpointer data)
{
  Part *part = data;
  g_free(part->heading);
  g_free(part->text);
}

static void
clear_changed(gpointer data)
{
  PwChangedPart *part = data;
  g_free(part->heading);
  g_ptr_array_unref(part->lines);
}

static void
free_line(gpointer data)
{
  PwChangedLine *line = data;
  g_free(line->label);
  g_free(line->now);
  g_free(line->before);
  g_free(line);
}

void
pw_amendment_clear(PwAmendment *amendment)
{
  g_clear_pointer(&amendment->parts, g_array_unref);
  g_clear_pointer(&amendment->language, g_free);
}

static const char first_level[] = "\n# ", second_level[] = "\n## ";

/* From the first heading of that level on. */
static GArray *
parts_of(const char *text, const char *mark)
{
  GArray *parts = g_array_new(FALSE, FALSE, sizeof(Part));
  g_array_set_clear_func(parts, clear_part);
  const char *at = strstr(text, mark);
  while (at != NULL) {
    const char *heading = at + strlen(mark), *next = strstr(heading, mark);
    const char *end = next != NULL ? next : heading + strlen(heading);
    const char *line = strchr(heading, '\n');
    line = line != NULL && line < end ? line : end;
    Part part = {g_strndup(heading, (gsize)(line - heading)), g_strndup(line, (gsize)(end - line))};
    g_strstrip(part.text);
    g_array_append_val(parts, part);
    at = next;
  }
  return parts;
}

/* Of several under one heading that after the first `n`. */
static const Part *
find(const GArray *parts, const char *heading, guint n)
{
  for (guint i = 0; i < parts->len; i++)
    if (strcmp(g_array_index(parts, Part, i).heading, heading) == 0 && n-- == 0)
      return &g_array_index(parts, Part, i);
  return NULL;
}

static guint
n_alike_before(const GArray *parts, guint at)
{
  guint n = 0;
  for (guint i = 0; i < at; i++)
    n += strcmp(g_array_index(parts, Part, i).heading, g_array_index(parts, Part, at).heading) == 0;
  return n;
}

static const Part *
counterpart(const GArray *parts, const GArray *others, guint i)
{
  return find(others, g_array_index(parts, Part, i).heading, n_alike_before(parts, i));
}

/* ---- Lines of a part --------------------------------------------------------------- */

static const char between_cells[] = " | ";
enum { LONGEST_TOLD = 60 }; /* characters of one value */

/* Lines or words that `others` does not have, each as often as it has it less. Borrowed. */
static GPtrArray *
only_in(char **these, char **others)
{
  GPtrArray *only = g_ptr_array_new();
  g_autoptr(GPtrArray) left = g_ptr_array_new();
  for (char **other = others; *other != NULL; other++)
    g_ptr_array_add(left, *other);
  for (char **one = these; *one != NULL; one++) {
    guint at;
    if (g_ptr_array_find_with_equal_func(left, *one, g_str_equal, &at))
      g_ptr_array_remove_index(left, at);
    else if (**one != '\0')
      g_ptr_array_add(only, *one);
  }
  return only;
}

/* A line of a table is about its first cell, one of facts about what stands before the colon; one
 * of prose is about nothing. */
static char *
dup_label(const char *line, const char **rest)
{
  if (g_str_has_prefix(line, PW_DOC_NO_HEADING))
    line += strlen(PW_DOC_NO_HEADING) - 1;
  else if (line[0] == '#')
    return NULL;
  const char *cell = strstr(line, between_cells), *colon = strstr(line, ": ");
  const char *end = cell != NULL ? cell : colon;
  if (end == NULL || end == line || line[0] == '[' || line[0] == '-')
    return NULL;
  *rest = end + (end == cell ? strlen(between_cells) : strlen(": "));
  return g_strndup(line, (gsize)(end - line));
}

/* How many words two lines of `n` and `m` words end in alike; one alone is their unit. */
static guint
n_alike_at_end(char **words, guint n, char **others, guint m)
{
  guint alike = 0;
  while (alike + 1 < MIN(n, m) && strcmp(words[n - 1 - alike], others[m - 1 - alike]) == 0)
    alike++;
  return alike > 1 ? alike : 0;
}

/* Within the sentence that tells it a value ends in no full stop of its own. */
static char *
without_stop(char *value)
{
  const gsize length = strlen(value);
  if (length > 1 && value[length - 1] == '.')
    value[length - 1] = '\0';
  return value;
}

/* Of a line that is no row: without the words at its end that the other line ends in too. */
static char *
dup_words(const char *line, const char *other)
{
  g_auto(GStrv) words = g_strsplit(line, " ", -1);
  g_auto(GStrv) others = g_strsplit(other != NULL ? other : "", " ", -1);
  const guint n = g_strv_length(words);
  const guint kept = n - n_alike_at_end(words, n, others, g_strv_length(others));
  for (guint i = kept; i < n; i++)
    g_clear_pointer(&words[i], g_free);
  return without_stop(g_strjoinv(" ", words));
}

/* The cells of `line` that are not those of `other`; all where they cannot be held together. */
static char *
dup_value(const char *line, const char *other)
{
  if (strstr(line, between_cells) == NULL)
    return dup_words(line, other);
  g_auto(GStrv) cells = g_strsplit(line, between_cells, -1);
  g_auto(GStrv) others = g_strsplit(other != NULL ? other : "", between_cells, -1);
  const gboolean alike = other != NULL && g_strv_length(cells) == g_strv_length(others);
  GString *value = g_string_new(NULL);
  for (guint i = 0; cells[i] != NULL; i++)
    if (cells[i][0] != '\0' && !(alike && strcmp(cells[i], others[i]) == 0))
      g_string_append_printf(value, "%s%s", value->len > 0 ? ", " : "", cells[i]);
  return g_string_free(value, FALSE);
}

static gboolean
is_short(const char *value)
{
  return value == NULL || (*value != '\0' && g_utf8_strlen(value, -1) <= LONGEST_TOLD);
}

static void
tell_line(PwChangedPart *part, const char *label, const char *now, const char *before)
{
  PwChangedLine *line = g_new0(PwChangedLine, 1);
  line->label = g_strdup(label);
  line->now = now != NULL ? dup_value(now, before) : NULL;
  line->before = before != NULL ? dup_value(before, now) : NULL;
  if (label != NULL && is_short(label) && is_short(line->now) && is_short(line->before) &&
      part->lines->len < PW_MOST_LINES_TOLD) {
    g_ptr_array_add(part->lines, line);
    return;
  }
  part->is_more = TRUE;
  free_line(line);
}

/* ---- Which line has become which --------------------------------------------------- */

/* The lines of a part as it was and is, and those of them that differ. */
typedef struct {
  char **old, **new;
  GPtrArray *gone, *come;
} Differing;

static guint
n_about(char **lines, const char *label)
{
  guint n = 0;
  for (char **line = lines; *line != NULL; line++) {
    const char *rest;
    g_autofree char *its = dup_label(*line, &rest);
    n += g_strcmp0(its, label) == 0 ? 1 : 0;
  }
  return n;
}

static guint
n_words(char **words)
{
  guint n = 0;
  for (char **word = words; *word != NULL; word++)
    n += **word != '\0' ? 1 : 0;
  return n;
}

/* Of the words of both the share that both have. */
static double
likeness(const char *a, const char *b)
{
  g_auto(GStrv) words = g_strsplit_set(a, " |", -1), others = g_strsplit_set(b, " |", -1);
  g_autoptr(GPtrArray) only = only_in(words, others);
  const guint n = n_words(words), all = n + n_words(others);
  return all > 0 ? 2.0 * (n - only->len) / all : 0;
}

/* What the one of `lines` about that says that is more than `least` like it, and more than any
 * other; NULL. */
static const char *
most_like(const GPtrArray *lines, const char *label, const char *says, double least)
{
  const char *most = NULL;
  for (guint i = 0; i < lines->len; i++) {
    const char *rest = NULL;
    g_autofree char *its = dup_label(lines->pdata[i], &rest);
    if (g_strcmp0(its, label) != 0)
      continue;
    const double alike = likeness(rest, says);
    if (alike < least)
      continue;
    most = alike > least ? rest : NULL;
    least = alike;
  }
  return most;
}

/* What a line said before. Where several are about one thing, as two steps of one day are, only the
 * words tell which has become which; where they do not, each is told by itself. */
static const char *
said_before(const Differing *differing, const char *label, const char *now)
{
  static const double half = 0.5, nothing = -1;
  if (n_about(differing->old, label) <= 1 && n_about(differing->new, label) <= 1)
    return most_like(differing->gone, label, now, nothing);
  const char *was = most_like(differing->gone, label, now, half);
  return was != NULL && most_like(differing->come, label, was, half) == now ? was : NULL;
}

static void
tell_come(PwChangedPart *part, const Differing *differing, GHashTable *told)
{
  for (guint i = 0; i < differing->come->len; i++) {
    const char *now = NULL;
    g_autofree char *label = dup_label(differing->come->pdata[i], &now);
    const char *was = label != NULL ? said_before(differing, label, now) : NULL;
    g_hash_table_add(told, (gpointer)(gsize)was);
    tell_line(part, label, now, was);
  }
}

static void
tell_lines(PwChangedPart *part, const char *before, const char *after)
{
  g_auto(GStrv) old = g_strsplit(before, "\n", -1), new = g_strsplit(after, "\n", -1);
  g_autoptr(GPtrArray) gone = only_in(old, new), come = only_in(new, old);
  g_autoptr(GHashTable) told = g_hash_table_new(NULL, NULL);
  const Differing differing = {old, new, gone, come};
  tell_come(part, &differing, told);
  for (guint i = 0; i < gone->len; i++) {
    const char *was = NULL;
    g_autofree char *label = dup_label(gone->pdata[i], &was);
    if (was == NULL || !g_hash_table_contains(told, was))
      tell_line(part, label, NULL, was);
  }
}

/* ---- Parts ------------------------------------------------------------------------- */

static PwChangedPart *
add(GArray *changed, PwPartChange change, const Part *part)
{
  PwChangedPart one = {change, g_strdup(part->heading), g_ptr_array_new_with_free_func(free_line),
                       FALSE};
  g_array_append_val(changed, one);
  return &g_array_index(changed, PwChangedPart, changed->len - 1);
}

static GArray *
compare(const char *before, const char *after, const char *mark)
{
  g_autoptr(GArray) old = parts_of(before, mark), new = parts_of(after, mark);
  GArray *changed = g_array_new(FALSE, FALSE, sizeof(PwChangedPart));
  g_array_set_clear_func(changed, clear_changed);
  for (guint i = 0; i < new->len; i++) {
    const Part *part = &g_array_index(new, Part, i), *was = counterpart(new, old, i);
    if (was == NULL)
      add(changed, PW_PART_ADDED, part);
    else if (strcmp(was->text, part->text) != 0)
      tell_lines(add(changed, PW_PART_CHANGED, part), was->text, part->text);
  }
  for (guint i = 0; i < old->len; i++)
    if (counterpart(old, new, i) == NULL)
      add(changed, PW_PART_REMOVED, &g_array_index(old, Part, i));
  return changed;
}

GArray *
pw_amendment_compare(const char *before, const char *after)
{
  return compare(before, after, first_level);
}

static char *
dup_part(const char *text, const char *heading)
{
  g_autoptr(GArray) parts = parts_of(text, first_level);
  const Part *part = find(parts, heading, 0);
  return g_strconcat("\n", part != NULL ? part->text : "", NULL);
}

GArray *
pw_amendment_compare_within(const char *before, const char *after, const char *heading)
{
  g_autofree char *old = dup_part(before, heading), *new = dup_part(after, heading);
  return compare(old, new, second_level);
}

char *
pw_amendment_dup_language(const char *text)
{
  static const char mark[] = "\nlanguage: ";
  const char *at = strstr(text, mark), *body = strstr(text, "\n# ");
  if (at == NULL || (body != NULL && body < at))
    return NULL;
  at += strlen(mark);
  return g_strndup(at, strcspn(at, "\n"));
}
