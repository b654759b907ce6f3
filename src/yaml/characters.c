/* What characters a text may hold, before anything is read in it. */
#include "node.h"

/* YAML 1.1, and libyaml with it, ends a line here, and a comment; YAML 1.2 does not. */
static gboolean
is_doubtful_break(gunichar character)
{
  const gunichar next_line = 0x85, line_separator = 0x2028, paragraph_separator = 0x2029;
  return character == next_line || character == line_separator || character == paragraph_separator;
}

/* YAML 1.2.2, section 5.1, but for the breaks above. */
static gboolean
is_allowed(gunichar character)
{
  if (is_doubtful_break(character))
    return FALSE;
  return character == '\t' || character == '\n' || character == '\r' ||
         (character >= 0x20 && character < 0x7F) || (character >= 0xA0 && character <= 0xFFFD) ||
         (character >= 0x10000 && character <= 0x10FFFF);
}

/* The first character that may not stand in the text; `at` is its byte, the length when all may. */
static gunichar
find_bad_character(const PwYaml *yaml, gsize *at)
{
  const char *valid_end;
  g_utf8_validate_len(yaml->text, yaml->length, &valid_end);
  const char *here = yaml->text;
  while (here < valid_end && is_allowed(g_utf8_get_char(here)))
    here = pw_next_char(here);
  *at = (gsize)(here - yaml->text);
  return here < valid_end ? g_utf8_get_char(here) : 0;
}

gboolean
pw_yaml_check_characters(const PwYaml *yaml, PwComplaints *complaints)
{
  gsize at;
  const gunichar bad = find_bad_character(yaml, &at);
  if (at == yaml->length)
    return TRUE;
  const PwSeverity severity = PW_SEVERITY_ERROR;
  if (bad && is_doubtful_break(bad))
    pw_yaml_complain_at_byte(yaml, at, complaints, "line break", severity,
                             "U+%04X ends a line for some readers; write it as \\u%04X inside "
                             "double quotes",
                             bad, bad);
  else if (bad)
    pw_yaml_complain_at_byte(yaml, at, complaints, "encoding", severity,
                             "the character U+%04X is not allowed in a text", bad);
  else if (yaml->text[at] == '\0')
    pw_yaml_complain_at_byte(yaml, at, complaints, "encoding", severity,
                             "a NUL byte; this is not a text file");
  else
    pw_yaml_complain_at_byte(yaml, at, complaints, "encoding", severity,
                             "not UTF-8; save the file as UTF-8");
  return FALSE;
}
