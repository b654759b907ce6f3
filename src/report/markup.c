/* A writer of HTML with a stack of what is open. Misuse (an element left open, one closed that is
 * not) is a programmer's error and aborts. */
#include "markup.h"

#include <platewright/base.h>
#include <string.h>

struct PwMarkup {
  GString *text;
  GPtrArray *open; /* const char *: names, the innermost last */
};

PwMarkup *
pw_markup_new(void)
{
  PwMarkup *markup = g_new(PwMarkup, 1);
  *markup = (PwMarkup){g_string_new(NULL), g_ptr_array_new()};
  return markup;
}

void
pw_markup_free(PwMarkup *markup)
{
  if (markup == NULL)
    return;
  g_string_free(markup->text, TRUE);
  g_ptr_array_unref(markup->open);
  g_free(markup);
}

/* HTML Living Standard, 13.3 (escaping a string), and both quotes, so that text may stand in an
 * attribute too. */
static void
append_escaped(GString *out, const char *text)
{
  g_autofree char *printable = pw_dup_printable(text);
  for (const char *at = printable; *at != '\0';) {
    gsize plain = strcspn(at, "&<>\"'");
    g_string_append_len(out, at, (gssize)plain);
    at += plain;
    if (*at != '\0')
      g_string_append_printf(out, "&#%d;", *at++);
  }
}

/* What stands between tags may be broken over lines; values of attributes never are. */
static void
append_words(GString *out, const char *text)
{
  g_autofree char *printable = pw_dup_printable(text);
  g_autofree char *joined = pw_dup_joined(printable);
  append_escaped(out, joined);
}

static void
append_tag(PwMarkup *markup, const char *name, const char *first, va_list rest, const char *end)
{
  g_string_append_printf(markup->text, "<%s", name);
  for (const char *key = first; key != NULL; key = va_arg(rest, const char *)) {
    const char *value = va_arg(rest, const char *);
    if (value == NULL)
      continue;
    g_string_append_printf(markup->text, " %s=\"", key);
    append_escaped(markup->text, value);
    g_string_append_c(markup->text, '"');
  }
  g_string_append(markup->text, end);
}

void
pw_markup_open(PwMarkup *markup, const char *name, ...)
{
  va_list pairs;
  va_start(pairs, name);
  const char *first = va_arg(pairs, const char *);
  append_tag(markup, name, first, pairs, ">");
  va_end(pairs);
  g_ptr_array_add(markup->open, (gpointer)(gsize)name);
}

void
pw_markup_close(PwMarkup *markup)
{
  g_assert(markup->open->len > 0);
  const char *name = g_ptr_array_steal_index(markup->open, markup->open->len - 1);
  g_string_append_printf(markup->text, "</%s>", name);
}

void
pw_markup_void(PwMarkup *markup, const char *name, ...)
{
  va_list pairs;
  va_start(pairs, name);
  const char *first = va_arg(pairs, const char *);
  append_tag(markup, name, first, pairs, "/>");
  va_end(pairs);
}

void
pw_markup_element(PwMarkup *markup, const char *name, const char *text, ...)
{
  va_list pairs;
  va_start(pairs, text);
  const char *first = va_arg(pairs, const char *);
  append_tag(markup, name, first, pairs, ">");
  va_end(pairs);
  append_words(markup->text, text);
  g_string_append_printf(markup->text, "</%s>", name);
}

void
pw_markup_text(PwMarkup *markup, const char *text)
{
  append_words(markup->text, text);
}

void
pw_markup_verbatim(PwMarkup *markup, const char *text)
{
  g_string_append(markup->text, text);
}

GBytes *
pw_markup_take_bytes(PwMarkup *markup)
{
  g_assert(markup->open->len == 0);
  GBytes *bytes = g_string_free_to_bytes(markup->text);
  markup->text = g_string_new(NULL);
  return bytes;
}

char *
pw_markup_dup_number(double value)
{
  char *text = pw_format_fixed(value, 2);
  char *end = text + strlen(text);
  while (end[-1] == '0')
    *--end = '\0';
  if (end[-1] == '.')
    end[-1] = '\0';
  return text;
}
