/* Numbers and dates as a record writes them: read and written without the locale, rounded as one
 * rounds by hand.
 *
 * Rounding works on the shortest decimal that names the double, so that 2.675 becomes 2.68 as a
 * reader of "2.675" expects, and not 2.67 because the double lies a little below. */
#include <platewright/base.h>

#include <errno.h>
#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Digits that tell any double from its neighbours (IEEE 754 binary64). */
enum { DIGITS_ALWAYS_KEPT = DBL_DIG, DIGITS_ENOUGH = DBL_DECIMAL_DIG };

/* No double has more places than this before or after the point. */
enum { PLACES_MAX = 400 };

/* |value| = 0.DIGITS x 10^point, digits without trailing zeros; none for 0. */
typedef struct {
  gboolean negative;
  char digits[DIGITS_ENOUGH + 2];
  int n, point;
} Decimal;

static const char *
skip_digits(const char *at)
{
  while (g_ascii_isdigit(*at))
    at++;
  return at;
}

static const char *
skip_sign(const char *at)
{
  return *at == '+' || *at == '-' ? at + 1 : at;
}

static gboolean
is_decimal_number(const char *text)
{
  const char *whole = skip_sign(text);
  const char *at = skip_digits(whole);
  gsize n_digits = (gsize)(at - whole);
  if (*at == '.') {
    const char *after = skip_digits(at + 1);
    n_digits += (gsize)(after - at - 1);
    at = after;
  }
  if (n_digits == 0)
    return FALSE;
  if (*at == 'e' || *at == 'E') {
    const char *exponent = skip_sign(at + 1);
    at = skip_digits(exponent);
    if (at == exponent)
      return FALSE;
  }
  return *at == '\0';
}

gboolean
pw_parse_double(const char *text, double *value)
{
  if (!text || !is_decimal_number(text))
    return FALSE;
  const double parsed = g_ascii_strtod(text, NULL);
  if (!isfinite(parsed))
    return FALSE;
  *value = parsed;
  return TRUE;
}

gboolean
pw_parse_int(const char *text, gint64 *value)
{
  if (!text)
    return FALSE;
  const char *digits = skip_sign(text);
  if (!g_ascii_isdigit(*digits) || *skip_digits(digits) != '\0')
    return FALSE;
  errno = 0;
  const gint64 parsed = g_ascii_strtoll(text, NULL, 10);
  if (errno == ERANGE)
    return FALSE;
  *value = parsed;
  return TRUE;
}

static gboolean
reads_back(const char *text, double value)
{
  const double parsed = g_ascii_strtod(text, NULL);
  return !(parsed < value) && !(parsed > value);
}

/* Writes `value` in the manner of printf's `conversion` ('e' or 'g') with as few digits as name it.
 */
static void
format_shortest(char *text, gsize size, char conversion, double value)
{
  /* Below DBL_MIN a double has fewer than DBL_DIG digits of its own. */
  const int first = fabs(value) < DBL_MIN ? 1 : DIGITS_ALWAYS_KEPT;
  for (int digits = first; digits <= DIGITS_ENOUGH; digits++) {
    const int precision = conversion == 'e' ? digits - 1 : digits;
    const char format[] = {
        '%', '.', (char)('0' + precision / 10), (char)('0' + precision % 10), conversion, '\0'};
    g_ascii_formatd(text, (gint)size, format, value);
    if (reads_back(text, value))
      return;
  }
}

static Decimal
decimal_of(double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  format_shortest(text, sizeof text, 'e', fabs(value));
  Decimal decimal = {.negative = value < 0};
  const char *at = text;
  for (; *at != 'e'; at++) {
    if (*at != '.')
      decimal.digits[decimal.n++] = *at;
  }
  decimal.point = atoi(at + 1) + 1;
  while (decimal.n > 0 && decimal.digits[decimal.n - 1] == '0')
    decimal.n--;
  return decimal;
}

/* Keeps the digits down to the `decimals`-th after the point, half away from zero. */
static void
decimal_round(Decimal *decimal, int decimals)
{
  const int keep = decimal->point + decimals;
  if (keep >= decimal->n)
    return;
  gboolean carry = keep >= 0 && decimal->digits[keep] >= '5';
  decimal->n = MAX(keep, 0);
  while (carry && decimal->n > 0 && decimal->digits[decimal->n - 1] == '9')
    decimal->n--;
  if (carry && decimal->n > 0) {
    decimal->digits[decimal->n - 1]++;
  } else if (carry) {
    decimal->digits[decimal->n++] = '1';
    decimal->point++;
  } else if (decimal->n == 0) {
    *decimal = (Decimal){0};
  }
}

static char
decimal_digit(const Decimal *decimal, int place)
{
  return place >= 0 && place < decimal->n ? decimal->digits[place] : '0';
}

static const char *
word_for_not_finite(double value)
{
  return isnan(value) ? "nan" : value < 0 ? "-inf" : "inf";
}

char *
pw_format_double(double value)
{
  if (!isfinite(value))
    return g_strdup(word_for_not_finite(value));
  if (!(value < 0) && !(value > 0))
    return g_strdup("0");
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  format_shortest(text, sizeof text, 'g', value);
  return g_strdup(text);
}

char *
pw_format_fixed(double value, int decimals)
{
  if (!isfinite(value))
    return g_strdup(word_for_not_finite(value));
  decimals = CLAMP(decimals, -PLACES_MAX, PLACES_MAX);
  Decimal decimal = decimal_of(value);
  decimal_round(&decimal, decimals);
  GString *text = g_string_new(decimal.negative ? "-" : NULL);
  if (decimal.point <= 0)
    g_string_append_c(text, '0');
  for (int place = 0; place < decimal.point; place++)
    g_string_append_c(text, decimal_digit(&decimal, place));
  if (decimals > 0)
    g_string_append_c(text, '.');
  for (int place = decimal.point; place < decimal.point + decimals; place++)
    g_string_append_c(text, decimal_digit(&decimal, place));
  return g_string_free(text, FALSE);
}

int
pw_decimals_for(double U)
{
  if (!isfinite(U) || !(U > 0))
    return 0;
  Decimal decimal = decimal_of(U);
  /* 9.96 has become 10 and moved the point. */
  decimal_round(&decimal, 2 - decimal.point);
  return 2 - decimal.point;
}

char *
pw_format_uncertainty(double U)
{
  const int decimals = pw_decimals_for(U);
  return pw_format_fixed(U, MAX(decimals, 0));
}

char *
pw_format_quantity(double value, double U)
{
  if (!(U < 0) && !(U > 0) && !isnan(U))
    return pw_format_double(value);
  const int decimals = pw_decimals_for(U);
  g_autofree char *shown = pw_format_fixed(value, decimals);
  g_autofree char *shown_U = pw_format_fixed(U, decimals);
  return g_strdup_printf("%s ± %s", shown, shown_U);
}

gboolean
pw_parse_date(const char *text, GDate *date)
{
  if (!text || strlen(text) != strlen("YYYY-MM-DD") || text[4] != '-' || text[7] != '-')
    return FALSE;
  for (int i = 0; i < 10; i++) {
    if (i != 4 && i != 7 && !g_ascii_isdigit(text[i]))
      return FALSE;
  }
  const int year = atoi(text), month = atoi(text + 5), day = atoi(text + 8);
  if (!g_date_valid_dmy((GDateDay)day, (GDateMonth)month, (GDateYear)year))
    return FALSE;
  g_date_clear(date, 1);
  g_date_set_dmy(date, (GDateDay)day, (GDateMonth)month, (GDateYear)year);
  return TRUE;
}

void
pw_date_set_today(GDate *date)
{
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_date_clear(date, 1);
  g_date_set_dmy(date, (GDateDay)g_date_time_get_day_of_month(now),
                 (GDateMonth)g_date_time_get_month(now), (GDateYear)g_date_time_get_year(now));
}
