/* Reading: what a reader finds and copies. Where a font has a ligature under a number of its own
 * (U+FB03 for "ffi"), Cairo writes that number into the font's ToUnicode map, and a search for
 * "office" finds nothing. Such ligatures are put back into their letters here.
 */
#include "private.h"

#include <string.h>

/* The Latin and Armenian ligatures (Unicode 15, alphabetic presentation forms). Arabic and Hebrew
 * ones stay: readers turn the glyphs of such a line round, and some would turn the letters of one
 * glyph with them. */
static gboolean
is_ligature(gunichar c)
{
  return c >= 0xFB00 && c <= 0xFB17;
}

static void
append_letters(GString *out, gunichar ligature)
{
  gunichar letters[G_UNICHAR_MAX_DECOMPOSITION_LENGTH];
  gsize n = g_unichar_fully_decompose(ligature, TRUE, letters, G_N_ELEMENTS(letters));
  for (gsize i = 0; i < n; i++)
    g_string_append_printf(out, "%04x", letters[i]);
}

/* One line of a map, "<code> <text>", the text in four hexadecimal digits for each unit of UTF-16.
 * TRUE when something was put back. */
static gboolean
append_line(GString *out, const char *line)
{
  const char *text = *line == '<' ? strstr(line, "> <") : NULL;
  const char *end = text != NULL ? strchr(text + 3, '>') : NULL;
  gboolean changed = FALSE;
  if (end == NULL || (end - text - 3) % 4 != 0) {
    g_string_append(out, line);
    return FALSE;
  }
  g_string_append_len(out, line, text + 3 - line);
  for (const char *unit = text + 3; unit < end; unit += 4) {
    char digits[5] = {unit[0], unit[1], unit[2], unit[3], '\0'};
    gunichar c = (gunichar)g_ascii_strtoull(digits, NULL, 16);
    changed |= is_ligature(c);
    if (is_ligature(c))
      append_letters(out, c);
    else
      g_string_append(out, digits);
  }
  g_string_append(out, end);
  return changed;
}

char *
pw_pdf_dup_readable_map(const char *map, gsize length)
{
  g_autofree char *text = g_strndup(map, length);
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  GString *out = g_string_new(NULL);
  gboolean changed = FALSE;
  for (guint i = 0; lines[i] != NULL; i++) {
    changed |= append_line(out, lines[i]);
    if (lines[i + 1] != NULL)
      g_string_append_c(out, '\n');
  }
  return g_string_free(out, !changed);
}
