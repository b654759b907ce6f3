/* Words: made fit to be shown, kept on one line, and the one that was probably meant. */
#include <platewright/base.h>

#include <string.h>

/* Longer "words" are no slip of the keyboard. In characters. */
enum { WORD_MAX = 64 };

/* Two overrides make a terminal show other letters than stand in the text. */
static gboolean
hides_text(gunichar character)
{
  const gunichar left_to_right_override = 0x202D, right_to_left_override = 0x202E;
  return g_unichar_iscntrl(character) || character == left_to_right_override ||
         character == right_to_left_override;
}

static gboolean
breaks_line(gunichar character)
{
  const gunichar line_separator = 0x2028, paragraph_separator = 0x2029;
  return character == '\n' || character == '\t' || character == line_separator ||
         character == paragraph_separator;
}

char *
pw_dup_printable(const char *text)
{
  const gunichar replacement = 0xFFFD;
  g_autofree char *valid = g_utf8_make_valid(text, -1);
  GString *printable = g_string_sized_new(strlen(valid));
  for (const char *at = valid; *at; at = pw_next_char(at)) {
    const gunichar character = g_utf8_get_char(at);
    if (breaks_line(character))
      g_string_append_c(printable, ' ');
    else
      g_string_append_unichar(printable, hides_text(character) ? replacement : character);
  }
  return g_string_free(printable, FALSE);
}

/* What stays on one line: a figure with its unit, its sign and its uncertainty, sizes one times the
 * other, a ratio; a raised dot with what it stands behind, and a number of few digits with the word
 * it ends. */
#define JOINED                                                         \
  "\\S \u00b7|[0-9] (?:[%\u00b0\u00b1\u00d7]|(?:mm|cm|kg)(?!\\p{L}))|" \
  "[\u00b1\u00d7\u2212+] [0-9]|[0-9] : [0-9]|[0-9] x [0-9]|\\S [0-9]{1,3}(?=\n|$)"

static const GRegex *
peek_joined(void)
{
  static gsize regex = 0;
  if (g_once_init_enter(&regex))
    g_once_init_leave(&regex, (gsize)g_regex_new(JOINED, G_REGEX_OPTIMIZE, 0, NULL));
  return (const GRegex *)regex;
}

gboolean
pw_next_joined(const char *text, gsize *from, gsize *start, gsize *end)
{
  g_autoptr(GMatchInfo) match = NULL;
  int first = 0, after = 0;
  if (!g_regex_match_full(peek_joined(), text, -1, (int)*from, 0, &match, NULL) ||
      !g_match_info_fetch_pos(match, 0, &first, &after))
    return FALSE;
  *start = (gsize)first;
  *end = (gsize)after;
  *from = (gsize)(g_utf8_prev_char(text + after) - text);
  return TRUE;
}

char *
pw_dup_joined(const char *text)
{
  GString *joined = g_string_sized_new(strlen(text));
  gsize done = 0;
  for (gsize from = 0, start, end; pw_next_joined(text, &from, &start, &end);)
    for (gsize at = MAX(start, done); at < end; at++) {
      if (text[at] != ' ')
        continue;
      g_string_append_len(joined, text + done, (gssize)(at - done));
      g_string_append(joined, "\u00a0");
      done = at + 1;
    }
  g_string_append(joined, text + done);
  return g_string_free(joined, FALSE);
}

/* The characters of `word` in one case, or NULL when there are more than WORD_MAX. */
static gunichar *
letters_of(const char *word, glong *n)
{
  /* Case folding makes at most three characters of one, of at most four bytes. */
  if (strlen(word) > 4 * WORD_MAX)
    return NULL;
  g_autofree char *valid = g_utf8_make_valid(word, -1);
  g_autofree char *folded = g_utf8_casefold(valid, -1);
  gunichar *letters = g_utf8_to_ucs4_fast(folded, -1, n);
  if (*n > WORD_MAX)
    g_clear_pointer(&letters, g_free);
  return letters;
}

/* Insertions, deletions, exchanges, and swaps of two neighbours, each counted once (the "optimal
 * string alignment" distance). */
static guint
edit_distance(const gunichar *a, glong n_a, const gunichar *b, glong n_b)
{
  guint rows[3][WORD_MAX + 1];
  guint *before = rows[0], *above = rows[1], *row = rows[2];
  for (glong j = 0; j <= n_b; j++)
    above[j] = (guint)j;
  for (glong i = 1; i <= n_a; i++) {
    row[0] = (guint)i;
    for (glong j = 1; j <= n_b; j++) {
      const guint exchanged = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = MIN(exchanged, MIN(above[j], row[j - 1]) + 1);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        row[j] = MIN(row[j], before[j - 2] + 1);
    }
    guint *const spare = before;
    before = above;
    above = row;
    row = spare;
  }
  return above[n_b];
}

static guint
a_third(glong n)
{
  return (guint)MAX(1, n / 3);
}

static guint
a_slip(glong n)
{
  (void)n;
  return 1;
}

static const char *
nearest_within(const char *word, const char *const *words, guint (*most)(glong n))
{
  glong n = 0;
  g_autofree gunichar *letters = letters_of(word, &n);
  if (!letters)
    return NULL;
  const char *nearest = NULL;
  guint best = most(n) + 1;
  for (; *words; words++) {
    glong n_other = 0;
    g_autofree gunichar *others = letters_of(*words, &n_other);
    if (!others)
      continue;
    const guint distance = edit_distance(letters, n, others, n_other);
    /* One letter in common at least, or every short word would do for every other. */
    if (distance < best && distance < (guint)MAX(n, n_other)) {
      best = distance;
      nearest = *words;
    }
  }
  return nearest;
}

const char *
pw_nearest_word(const char *word, const char *const *words)
{
  return nearest_within(word, words, a_third);
}

const char *
pw_nearest_slip(const char *word, const char *const *words)
{
  return nearest_within(word, words, a_slip);
}
