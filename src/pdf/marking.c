/* Marking: the content of a page read as operators (ISO 32000-1, 7.8.2 and 14.6), its marks named
 * and numbered for the structure, the rest made artifacts, so that nothing painted is left that is
 * neither.
 *
 * Cairo writes a mark as "/P << /MCID 0 >> BDC ... EMC", never one in another, and never from
 * inside a text object to outside of it.
 */
#include "private.h"

#include <string.h>

typedef enum { OPERAND, OPERATOR, END } TokenKind;

typedef struct {
  TokenKind kind;
  const char *start, *end;
} Token;

static gboolean
is_space(char c)
{
  return c == '\0' || strchr(" \t\r\n\f", c) != NULL;
}

static gboolean
is_delimiter(char c)
{
  return c != '\0' && strchr("()<>[]{}/%", c) != NULL;
}

/* Past "(...)" with its escapes and the brackets inside it. */
static const char *
skip_string(const char *at, const char *end)
{
  int depth = 0;
  for (; at < end; at++) {
    if (*at == '\\')
      at++;
    else if (*at == '(')
      depth++;
    else if (*at == ')' && --depth == 0)
      return at + 1;
  }
  return end;
}

static const char *
skip_regular(const char *at, const char *end)
{
  while (at < end && !is_space(*at) && !is_delimiter(*at))
    at++;
  return at;
}

/* White space and comments. */
static const char *
skip_blank(const char *at, const char *end)
{
  gboolean in_comment = FALSE;
  for (; at < end && (in_comment || is_space(*at) || *at == '%'); at++)
    in_comment = *at == '%' || (in_comment && *at != '\n' && *at != '\r');
  return at;
}

/* Brackets of arrays and dictionaries are tokens of their own. */
static Token
next_token(const char *at, const char *end)
{
  at = skip_blank(at, end);
  Token token = {at < end ? OPERAND : END, at, at};
  if (at == end)
    return token;
  if (*at == '(')
    token.end = skip_string(at, end);
  else if (*at == '/')
    token.end = skip_regular(at + 1, end);
  else if (*at == '<' && at + 1 < end && at[1] != '<') {
    const char *close = memchr(at, '>', (gsize)(end - at));
    token.end = close != NULL ? close + 1 : end;
  } else if (is_delimiter(*at))
    token.end = at + 1;
  else {
    token.end = skip_regular(at, end);
    token.kind = g_ascii_isalpha(*at) || *at == '\'' || *at == '"' ? OPERATOR : OPERAND;
  }
  return token;
}

static gboolean
is(const Token *token, const char *operator)
{
  gsize length = (gsize)(token->end - token->start);
  return strlen(operator) == length && memcmp(token->start, operator, length) == 0;
}

/* Whether it leaves something on the paper. */
static gboolean
paints(const Token *token)
{
  static const char *const painters[] = {"S",  "s",  "f",  "F",  "f*", "B", "B*", "b",
                                         "b*", "sh", "Do", "Tj", "TJ", "'", "\""};
  for (gsize i = 0; i < G_N_ELEMENTS(painters); i++)
    if (is(token, painters[i]))
      return TRUE;
  return FALSE;
}

/* ---- A page ---------------------------------------------------------------------------- */

typedef struct {
  GString *out;
  const char *const *types;
  int *numbers;
  guint n, mark; /* of marks: how many there are, the one under way or to come */
  int next_number;
  const char *stretch; /* where what is not written yet begins */
  gboolean in_mark, painted;
} Page;

static void
write_stretch(Page *page, const char *end)
{
  if (page->in_mark)
    page->numbers[page->mark] = page->painted ? page->next_number++ : -1;
  if (page->painted && page->in_mark)
    g_string_append_printf(page->out, "%s <</MCID %d>> BDC\n", page->types[page->mark],
                           page->numbers[page->mark]);
  else if (page->painted)
    g_string_append(page->out, "/Artifact BMC\n");
  g_string_append_len(page->out, page->stretch, end - page->stretch);
  if (page->painted)
    g_string_append(page->out, "EMC\n");
  page->painted = FALSE;
}

/* FALSE: not what Cairo writes. */
static gboolean
take_operator(Page *page, const Token *token, const char *statement)
{
  gboolean begins = is(token, "BDC"), ends = is(token, "EMC");
  page->painted = page->painted || paints(token);
  if (!begins && !ends)
    return !is(token, "BMC") && !is(token, "BI"); /* neither other marks nor pictures in line */
  if (begins == page->in_mark || (begins && page->mark == page->n))
    return FALSE;
  write_stretch(page, statement);
  page->mark += ends ? 1 : 0;
  page->in_mark = begins;
  page->stretch = token->end < statement ? statement : token->end;
  return TRUE;
}

char *
pw_pdf_dup_marked(const char *content, gsize length, const char *const *types, guint n,
                  int *numbers)
{
  g_autoptr(GString) out = g_string_sized_new(length + 32 * ((gsize)n + 1));
  const char *end = content + length, *statement = NULL;
  Page page = {.out = out, .types = types, .numbers = numbers, .n = n, .stretch = content};
  for (Token token = next_token(content, end); token.kind != END;
       token = next_token(token.end, end)) {
    if (statement == NULL)
      statement = token.start;
    if (token.kind == OPERAND)
      continue;
    if (!take_operator(&page, &token, statement))
      return NULL;
    statement = NULL;
  }
  if (page.in_mark || page.mark != n)
    return NULL;
  write_stretch(&page, end);
  return g_string_free(g_steal_pointer(&out), FALSE);
}
