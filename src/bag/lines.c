/* Lines of the texts of a bag (RFC 8493, section 2.3). */
#include "private.h"

#include <string.h>

PwBagLines
pw_bag_lines(const char *text, gsize length)
{
  return (PwBagLines){text, text + length, 0};
}

char *
pw_bag_lines_dup_next(PwBagLines *lines, gboolean *cut)
{
  const char *start = lines->at, *at = start;
  if (start >= lines->end)
    return NULL;
  while (at < lines->end && *at != '\n' && *at != '\r')
    at++;
  lines->number++;
  lines->at = at < lines->end && *at == '\r' && at + 1 < lines->end && at[1] == '\n' ? at + 2
              : at < lines->end                                                      ? at + 1
                                                                                     : at;
  const gsize length = (gsize)(at - start);
  *cut = length > PW_BAG_LINE_MAX;
  return g_strndup(start, MIN(length, (gsize)PW_BAG_LINE_MAX));
}

gboolean
pw_bag_text_is_sound(const char *file, const char *text, gsize length, PwComplaints *complaints)
{
  static const char mark[] = "\xef\xbb\xbf";
  const char *says = NULL;
  if (length >= strlen(mark) && memcmp(text, mark, strlen(mark)) == 0)
    says = "it begins with a byte-order mark, which no text of a bag may have (RFC 8493, 2.3)";
  else if (memchr(text, '\0', length) != NULL || !g_utf8_validate(text, (gssize)length, NULL))
    says = "it is no UTF-8 text (RFC 8493, 2.3)";
  if (says)
    pw_complaints_add(complaints, file, 0, 0, "bag encoding", PW_SEVERITY_ERROR, NULL, "%s", says);
  return says == NULL;
}

/* A line that was cut may end within a character. */
static guint
column_of(const char *line, gsize at)
{
  g_autofree char *before = g_strndup(line, at);
  g_autofree char *valid = g_utf8_make_valid(before, -1);
  return (guint)g_utf8_strlen(valid, -1) + 1;
}

void
pw_bag_complain(PwComplaints *complaints, const char *file, guint number, const char *line,
                gsize at, const char *kind, const char *says)
{
  pw_complaints_add(complaints, file, number, column_of(line, at), kind, PW_SEVERITY_ERROR, line,
                    "%s", says);
}
