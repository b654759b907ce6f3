/* Complaints: what is wrong with a text of the record, each at its place, collected until all of a
 * folder's are known.
 *
 * Lines and columns count from 1, columns in characters. A line of a record may be megabytes long
 * (one outline), so only a window of it around the column is kept to be shown. */
#include <platewright/base.h>

#include <string.h>

/* What of a line is shown: enough to recognise the place, little enough for a terminal. */
enum { EXCERPT_BEFORE = 70, EXCERPT_AFTER = 40 };

struct PwComplaints {
  GPtrArray *kept;
  guint n_of[PW_SEVERITY_ERROR + 1]; /* by severity, the dropped ones too */
  guint n_dropped;
};

static void
complaint_free(gpointer data)
{
  PwComplaint *complaint = data;
  g_free(complaint->file);
  g_free(complaint->says);
  g_free(complaint->excerpt);
  g_free(complaint);
}

PwComplaints *
pw_complaints_new(void)
{
  PwComplaints *complaints = g_new0(PwComplaints, 1);
  complaints->kept = g_ptr_array_new_with_free_func(complaint_free);
  return complaints;
}

void
pw_complaints_free(PwComplaints *complaints)
{
  if (!complaints)
    return;
  g_ptr_array_unref(complaints->kept);
  g_free(complaints);
}

/* `n` characters on in a text that may be bad UTF-8 and end before: bytes that continue a character
 * count as part of it. */
static const char *
skip_characters(const char *at, guint n)
{
  while (n > 0 && *at) {
    do
      at++;
    while (((guchar)*at & 0xC0) == 0x80);
    n--;
  }
  return at;
}

/* Keeps of `line` what is near the column. */
static void
keep_excerpt(PwComplaint *complaint, const char *line)
{
  const guint n_before =
      complaint->column > EXCERPT_BEFORE ? complaint->column - EXCERPT_BEFORE : 0;
  const char *from = skip_characters(line, n_before);
  const char *end = skip_characters(from, EXCERPT_BEFORE + EXCERPT_AFTER);
  g_autofree char *bytes = g_strndup(from, (gsize)(end - from));
  complaint->excerpt = g_utf8_make_valid(bytes, -1);
  complaint->excerpt_column = n_before + 1;
  complaint->excerpt_cut = *end != '\0';
}

/* Counts one complaint; TRUE when there is still room to keep it. */
static gboolean
admit(PwComplaints *complaints, PwSeverity severity)
{
  complaints->n_of[severity]++;
  if (complaints->kept->len < PW_LIMIT_COMPLAINTS)
    return TRUE;
  complaints->n_dropped++;
  return FALSE;
}

void
pw_complaints_add(PwComplaints *complaints, const char *file, guint line, guint column,
                  const char *kind, PwSeverity severity, const char *excerpt, const char *format,
                  ...)
{
  if (!admit(complaints, severity))
    return;
  PwComplaint *complaint = g_new0(PwComplaint, 1);
  complaint->file = g_strdup(file);
  complaint->line = line;
  complaint->column = column;
  complaint->kind = kind;
  complaint->severity = severity;
  va_list arguments;
  va_start(arguments, format);
  complaint->says = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  if (excerpt)
    keep_excerpt(complaint, excerpt);
  g_ptr_array_add(complaints->kept, complaint);
}

void
pw_complaints_move(PwComplaints *complaints, PwComplaints *from)
{
  g_autoptr(GPtrArray) moved = from->kept;
  from->kept = g_ptr_array_new_with_free_func(complaint_free);
  g_ptr_array_set_free_func(moved, NULL);
  for (guint i = 0; i < moved->len; i++) {
    PwComplaint *complaint = g_ptr_array_index(moved, i);
    from->n_of[complaint->severity]--;
    if (admit(complaints, complaint->severity))
      g_ptr_array_add(complaints->kept, complaint);
    else
      complaint_free(complaint);
  }
  for (guint severity = 0; severity < G_N_ELEMENTS(from->n_of); severity++)
    complaints->n_of[severity] += from->n_of[severity];
  complaints->n_dropped += from->n_dropped;
  memset(from->n_of, 0, sizeof from->n_of);
  from->n_dropped = 0;
}

/* A text of the folder itself that is no YAML: what else is told may follow from it. */
static gboolean
is_at_the_root(const PwComplaint *complaint)
{
  return strcmp(complaint->kind, "syntax") == 0 && complaint->severity == PW_SEVERITY_ERROR &&
         strchr(complaint->file, '/') == NULL;
}

static gint
compare_places(gconstpointer a, gconstpointer b)
{
  const PwComplaint *first = *(PwComplaint *const *)a, *second = *(PwComplaint *const *)b;
  if (is_at_the_root(first) != is_at_the_root(second))
    return is_at_the_root(first) ? -1 : 1;
  const int by_file = g_strcmp0(first->file, second->file);
  if (by_file != 0)
    return by_file;
  if (first->line != second->line)
    return first->line < second->line ? -1 : 1;
  if (first->column != second->column)
    return first->column < second->column ? -1 : 1;
  return 0;
}

void
pw_complaints_sort(PwComplaints *complaints)
{
  /* Documented to be stable. */
  g_ptr_array_sort(complaints->kept, compare_places);
}

guint
pw_complaints_n(const PwComplaints *complaints)
{
  return complaints->kept->len;
}

const PwComplaint *
pw_complaints_peek(const PwComplaints *complaints, guint i)
{
  return g_ptr_array_index(complaints->kept, i);
}

guint
pw_complaints_count(const PwComplaints *complaints, PwSeverity at_least)
{
  guint n = 0;
  for (guint severity = at_least; severity < G_N_ELEMENTS(complaints->n_of); severity++)
    n += complaints->n_of[severity];
  return n;
}

guint
pw_complaints_n_dropped(const PwComplaints *complaints)
{
  return complaints->n_dropped;
}

const char *
pw_severity_name(PwSeverity severity)
{
  static const char *const names[] = {"note", "warning", "error"};
  return names[severity];
}

static void
append_place(GString *text, const PwComplaint *complaint)
{
  if (!complaint->file)
    return;
  g_autofree char *file = pw_dup_printable(complaint->file);
  g_string_append_printf(text, "%s:", file);
  if (complaint->line)
    g_string_append_printf(text, "%u:", complaint->line);
  if (complaint->line && complaint->column)
    g_string_append_printf(text, "%u:", complaint->column);
  g_string_append_c(text, ' ');
}

/* Spaces as wide as the first `n` characters of `line` stand on a terminal. */
static void
append_indent(GString *text, const char *line, guint n)
{
  for (const char *at = line; n > 0 && *at; at = pw_next_char(at), n--) {
    const gunichar character = g_utf8_get_char(at);
    if (g_unichar_iszerowidth(character))
      continue;
    g_string_append(text, g_unichar_iswide(character) ? "  " : " ");
  }
}

static void
append_excerpt(GString *text, const PwComplaint *complaint)
{
  g_autofree char *line = pw_dup_printable(complaint->excerpt);
  const char *before = complaint->excerpt_column > 1 ? "…" : "";
  const char *after = complaint->excerpt_cut ? "…" : "";
  g_string_append_printf(text, "\n  %s%s%s", before, line, after);
  if (complaint->column < complaint->excerpt_column || complaint->column == 0)
    return;
  g_string_append(text, *before ? "\n   " : "\n  ");
  append_indent(text, line, complaint->column - complaint->excerpt_column);
  g_string_append_c(text, '^');
}

char *
pw_complaint_dup_text(const PwComplaint *complaint)
{
  g_autofree char *says = pw_dup_printable(complaint->says);
  GString *text = g_string_new(NULL);
  append_place(text, complaint);
  g_string_append_printf(text, "%s: %s", pw_severity_name(complaint->severity), says);
  if (complaint->excerpt)
    append_excerpt(text, complaint);
  return g_string_free(text, FALSE);
}
