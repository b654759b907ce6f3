/* Figures: dates, numbers and sums as a language writes them. Text in, text out: nothing is
 * rounded or computed here.
 */
#include "private.h"

#include <string.h>

#define MINUS "\u2212" /* as wide as a plus */

static char *
dup_day(const PwWords *words, const char *phrase, const GDate *date, const char *hour,
        const char *minute)
{
  g_autofree char *day = g_strdup_printf("%d", g_date_get_day(date));
  g_autofree char *year = g_strdup_printf("%d", g_date_get_year(date));
  const char *pairs[] = {"day",    day,   "month", words->months[g_date_get_month(date) - 1],
                         "year",   year,  "hour",  hour,
                         "minute", minute};
  g_autoptr(GPtrArray) list = g_ptr_array_new();
  for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++)
    g_ptr_array_add(list, (gpointer)pairs[i]);
  return pw_words_dup_filled(phrase, list);
}

/* "2026-03-02T10:14..." by its digits: the hour is the one on the clock where it was taken. */
char *
pw_words_dup_date(const PwWords *words, const char *iso)
{
  g_autofree char *day_of = g_strndup(iso, MIN(strlen(iso), 10));
  GDate day;
  if (!pw_parse_date(day_of, &day))
    return pw_dup_printable(iso);
  const char *time = iso + strlen(day_of);
  if (strlen(time) < 6 || time[0] != 'T' || time[3] != ':')
    return dup_day(words, words->date, &day, NULL, NULL);
  g_autofree char *hour = g_strndup(time + 1, 2), *minute = g_strndup(time + 4, 2);
  return dup_day(words, words->moment, &day, hour, minute);
}

char *
pw_words_dup_gdate(const PwWords *words, const GDate *date)
{
  return g_date_valid(date) ? dup_day(words, words->date, date, NULL, NULL)
                            : g_strdup(pw_words_peek(words, "date-none"));
}

/* A hyphen between two words or two figures is none. */
static gboolean
is_minus(const char *plain, const char *at)
{
  return *at == '-' && g_ascii_isdigit(at[1]) && (at == plain || at[-1] == ' ' || at[-1] == '(');
}

static gboolean
is_point(const char *plain, const char *at)
{
  return *at == '.' && at > plain && g_ascii_isdigit(at[-1]) && g_ascii_isdigit(at[1]);
}

char *
pw_words_dup_number(const PwWords *words, const char *plain)
{
  GString *number = g_string_new(NULL);
  for (const char *at = plain; *at != '\0'; at++)
    if (is_minus(plain, at))
      g_string_append(number, MINUS);
    else if (is_point(plain, at))
      g_string_append(number, words->decimal);
    else
      g_string_append_c(number, *at);
  return g_string_free(number, FALSE);
}

/* The digits before the point, in threes from the right. */
static void
append_groups(GString *sum, const char *digits, gsize n, const char *between)
{
  for (gsize i = 0; i < n; i++) {
    if (i > 0 && (n - i) % 3 == 0)
      g_string_append(sum, between);
    g_string_append_c(sum, digits[i]);
  }
}

char *
pw_words_dup_money(const PwWords *words, const char *plain, const char *currency)
{
  GString *sum = g_string_new(*plain == '-' ? MINUS : "");
  const char *digits = *plain == '-' ? plain + 1 : plain;
  gsize n = strspn(digits, "0123456789");
  append_groups(sum, digits, n, words->groups);
  if (digits[n] == '.')
    g_string_append(sum, words->decimal);
  g_string_append(sum, digits[n] == '.' ? digits + n + 1 : digits + n);
  if (currency != NULL)
    g_string_append_printf(sum, "\u00a0%s", currency);
  return g_string_free(sum, FALSE);
}
