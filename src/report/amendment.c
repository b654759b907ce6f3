/* What has changed between two versions of a document, by their plain texts: simple enough to be
 * done again by hand, thirty years on, with the two files that are kept beside the PDFs. */
#include "amendment.h"

#include <string.h>

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

/* Lines of `text` that `other` does not have, each as often as it has it less. Borrowed. */
static GPtrArray *
lines_only_in(char **text, char **other)
{
  GPtrArray *only = g_ptr_array_new();
  g_autoptr(GPtrArray) left = g_ptr_array_new();
  for (char **line = other; *line != NULL; line++)
    g_ptr_array_add(left, *line);
  for (char **line = text; *line != NULL; line++) {
    guint at;
    if (g_ptr_array_find_with_equal_func(left, *line, g_str_equal, &at))
      g_ptr_array_remove_index(left, at);
    else if (**line != '\0')
      g_ptr_array_add(only, *line);
  }
  return only;
}

/* A line of a table is about its first cell, one of facts about what stands before the colon; one
 * of prose is about nothing. */
static char *
dup_label(const char *line, const char **rest)
{
  const char *cell = strstr(line, between_cells), *colon = strstr(line, ": ");
  const char *end = cell != NULL ? cell : colon;
  if (end == NULL || end == line || line[0] == '#' || line[0] == '[' || line[0] == '-')
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

/* The line of `lines` about the same, taken out of them; NULL. */
static const char *
take_about(GPtrArray *lines, const char *label)
{
  for (guint i = 0; i < lines->len; i++) {
    const char *rest = NULL, *line = lines->pdata[i];
    g_autofree char *its = dup_label(line, &rest);
    if (g_strcmp0(its, label) != 0)
      continue;
    g_ptr_array_remove_index(lines, i);
    return rest;
  }
  return NULL;
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

static void
tell_lines(PwChangedPart *part, const char *before, const char *after)
{
  g_auto(GStrv) old = g_strsplit(before, "\n", -1), new = g_strsplit(after, "\n", -1);
  g_autoptr(GPtrArray) gone = lines_only_in(old, new), come = lines_only_in(new, old);
  for (guint i = 0; i < come->len; i++) {
    const char *now = NULL;
    g_autofree char *label = dup_label(come->pdata[i], &now);
    tell_line(part, label, now, label != NULL ? take_about(gone, label) : NULL);
  }
  for (guint i = 0; i < gone->len; i++) {
    const char *was = NULL;
    g_autofree char *label = dup_label(gone->pdata[i], &was);
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
