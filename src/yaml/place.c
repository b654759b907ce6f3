/* Places in a text: from bytes to lines and columns, and the complaints that name them.
 *
 * A line ends at LF, CR LF or CR. Columns count characters; a byte order mark counts as none. */
#include "node.h"

#include <string.h>

static gboolean
is_break(char byte)
{
  return byte == '\n' || byte == '\r';
}

static gboolean
is_blank(char byte)
{
  return byte == ' ' || byte == '\t';
}

GArray *
pw_yaml_find_lines(const char *text, gsize length)
{
  GArray *starts = g_array_new(FALSE, FALSE, sizeof(guint32));
  guint32 start = 0;
  g_array_append_val(starts, start);
  for (gsize i = 0; i < length; i++) {
    if (!is_break(text[i]) || (text[i] == '\r' && i + 1 < length && text[i + 1] == '\n'))
      continue;
    start = (guint32)(i + 1);
    g_array_append_val(starts, start);
  }
  return starts;
}

/* The line, from 0, that holds byte `at`. */
static guint
line_of(const PwYaml *yaml, gsize at)
{
  guint low = 0, high = yaml->line_starts->len;
  while (high - low > 1) {
    const guint middle = low + (high - low) / 2;
    if (g_array_index(yaml->line_starts, guint32, middle) <= at)
      low = middle;
    else
      high = middle;
  }
  return low;
}

gsize
pw_yaml_bom(const PwYaml *yaml)
{
  return yaml->length >= 3 && memcmp(yaml->text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

gsize
pw_yaml_line_start(const PwYaml *yaml, gsize at)
{
  const gsize start = g_array_index(yaml->line_starts, guint32, line_of(yaml, at));
  return MAX(start, MIN(pw_yaml_bom(yaml), at));
}

gsize
pw_yaml_line_end(const PwYaml *yaml, gsize at)
{
  while (at < yaml->length && !is_break(yaml->text[at]))
    at++;
  return at;
}

gsize
pw_yaml_next_line(const PwYaml *yaml, gsize at)
{
  at = pw_yaml_line_end(yaml, at);
  if (at + 1 < yaml->length && yaml->text[at] == '\r' && yaml->text[at + 1] == '\n')
    return at + 2;
  return MIN(at + 1, yaml->length);
}

gsize
pw_yaml_skip_blanks(const PwYaml *yaml, gsize at)
{
  while (at < yaml->length && is_blank(yaml->text[at]))
    at++;
  return at;
}

gsize
pw_yaml_skip_to_token(const PwYaml *yaml, gsize at)
{
  for (;;) {
    at = pw_yaml_skip_blanks(yaml, at);
    if (at < yaml->length && yaml->text[at] == '#')
      at = pw_yaml_line_end(yaml, at);
    if (at >= yaml->length || !is_break(yaml->text[at]))
      return at;
    at++;
  }
}

/* Characters in [from, to): bytes that do not continue one, so that bad UTF-8 counts too. */
static guint
count_characters(const char *from, const char *to)
{
  guint n = 0;
  for (; from < to; from++) {
    if (((guchar)*from & 0xC0) != 0x80)
      n++;
  }
  return n;
}

static void
place_of(const PwYaml *yaml, gsize at, guint *line, guint *column)
{
  at = MIN(at, yaml->length);
  *line = line_of(yaml, at) + 1;
  *column = 1 + count_characters(yaml->text + pw_yaml_line_start(yaml, at), yaml->text + at);
}

static void G_GNUC_PRINTF(6, 0)
    complain_at_byte(const PwYaml *yaml, gsize at, PwComplaints *complaints, const char *kind,
                     PwSeverity severity, const char *format, va_list arguments)
{
  if (pw_complaints_n(complaints) >=
      PW_LIMIT_COMPLAINTS) { /* will only be counted: spare the work */
    pw_complaints_add(complaints, yaml->file, 0, 0, kind, severity, NULL, "%s", kind);
    return;
  }
  guint line, column;
  place_of(yaml, at, &line, &column);
  const gsize start = pw_yaml_line_start(yaml, at);
  g_autofree char *excerpt = g_strndup(yaml->text + start, pw_yaml_line_end(yaml, start) - start);
  g_autofree char *says = g_strdup_vprintf(format, arguments);
  pw_complaints_add(complaints, yaml->file, line, column, kind, severity, excerpt, "%s", says);
}

void
pw_yaml_complain_at_byte(const PwYaml *yaml, gsize at, PwComplaints *complaints, const char *kind,
                         PwSeverity severity, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  complain_at_byte(yaml, at, complaints, kind, severity, format, arguments);
  va_end(arguments);
}

void
pw_yaml_complain(const PwYaml *yaml, const PwYamlNode *node, PwComplaints *complaints,
                 const char *kind, PwSeverity severity, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  complain_at_byte(yaml, node->start, complaints, kind, severity, format, arguments);
  va_end(arguments);
}

/* Hexadecimal digits behind the letter of an escape in double quotes; 0 where it has none. */
static gsize
escape_digits(char letter)
{
  return letter == 'x' ? 2 : letter == 'u' ? 4 : letter == 'U' ? 8 : 0;
}

/* Bytes of content that an escape stands for: `at` points behind its backslash. */
static gsize
escape_content(const char *at)
{
  const gsize n = escape_digits(*at);
  if (n == 0) /* \N and \_ are U+0085 and U+00A0, \L and \P are U+2028 and U+2029 */
    return strchr("N_", *at) ? 2 : strchr("LP", *at) ? 3 : 1;
  g_autofree char *digits = g_strndup(at + 1, n);
  return (gsize)g_unichar_to_utf8((gunichar)g_ascii_strtoull(digits, NULL, 16), NULL);
}

/* The byte of the text where byte `offset` of a quoted scalar's content is written. */
static gsize
byte_in_quotes(const PwYaml *yaml, const PwYamlNode *scalar, gsize offset)
{
  const char quote = yaml->text[scalar->start];
  gsize at = scalar->start + 1;
  for (gsize content = 0; at + 1 < scalar->end;) {
    const char *here = yaml->text + at;
    const gboolean escape = *here == '\\' && quote == '"';
    const gsize written = escape                           ? 2 + escape_digits(here[1])
                          : *here == '\'' && quote == '\'' ? 2
                                                           : 1;
    content += escape ? escape_content(here + 1) : 1;
    if (content > offset)
      break;
    at += written;
  }
  return at;
}

static gsize
byte_of_content(const PwYaml *yaml, const PwYamlNode *scalar, gsize offset)
{
  const gboolean on_one_line = pw_yaml_line_end(yaml, scalar->start) >= scalar->end;
  if (scalar->kind != PW_YAML_SCALAR || scalar->form == PW_YAML_BLOCK || !on_one_line)
    return scalar->start;
  if (scalar->form == PW_YAML_QUOTED)
    return byte_in_quotes(yaml, scalar, offset);
  return MIN(scalar->start + offset, scalar->end);
}

void
pw_yaml_complain_at(const PwYaml *yaml, const PwYamlNode *scalar, gsize offset,
                    PwComplaints *complaints, const char *kind, PwSeverity severity,
                    const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  complain_at_byte(yaml, byte_of_content(yaml, scalar, offset), complaints, kind, severity, format,
                   arguments);
  va_end(arguments);
}

void
pw_yaml_node_place(const PwYaml *yaml, const PwYamlNode *node, guint *line, guint *column)
{
  place_of(yaml, node->start, line, column);
}
