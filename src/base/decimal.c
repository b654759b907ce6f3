/* Decimals held exactly, for money: an integer and how many of its digits stand after the point.
 * What does not fit into 64 bits is refused; nothing passes through a double. */
#include <platewright/base.h>

#include <string.h>

enum { DIGITS_MOST = 18 }; /* fit into 63 bits, whatever they are */

/* ---- Text -------------------------------------------------------------------------- */

gboolean
pw_decimal_parse(const char *text, PwDecimal *value)
{
  if (text == NULL)
    return FALSE;
  const gboolean negative = *text == '-';
  const char *at = text + (negative ? 1 : 0);
  const gsize before = strspn(at, "0123456789");
  const gsize after = at[before] == '.' ? strspn(at + before + 1, "0123456789") : 0;
  const gsize length = before + (at[before] == '.' ? 1 + after : 0);
  if (before == 0 || (at[before] == '.' && after == 0) || at[length] != '\0' ||
      before + after > DIGITS_MOST || after > PW_DECIMAL_PLACES)
    return FALSE;
  gint64 units = 0;
  for (; *at != '\0'; at++)
    if (*at != '.')
      units = 10 * units + g_ascii_digit_value(*at);
  *value = (PwDecimal){negative ? -units : units, (guint)after};
  return TRUE;
}

char *
pw_decimal_dup_text(PwDecimal value)
{
  const guint64 size = value.units < 0 ? -(guint64)value.units : (guint64)value.units;
  g_autofree char *digits = g_strdup_printf("%0*" G_GUINT64_FORMAT, (int)value.decimals + 1, size);
  const int before = (int)strlen(digits) - (int)value.decimals;
  return g_strdup_printf("%s%.*s%s%s", value.units < 0 ? "-" : "", before, digits,
                         value.decimals > 0 ? "." : "", digits + before);
}

/* ---- Counting ---------------------------------------------------------------------- */

static gint64
power_of_ten(guint n)
{
  gint64 power = 1;
  for (guint i = 0; i < n; i++)
    power *= 10;
  return power;
}

/* `places` are those that `units` has, at most DIGITS_MOST. */
static gboolean
bring_to(gint64 units, guint places, guint decimals, PwDecimal *rounded)
{
  if (decimals > PW_DECIMAL_PLACES)
    return FALSE;
  if (decimals >= places) {
    *rounded = (PwDecimal){0, decimals};
    return !__builtin_mul_overflow(units, power_of_ten(decimals - places), &rounded->units);
  }
  const gint64 power = power_of_ten(places - decimals);
  const gint64 rest = units % power; /* of the sign of `units` */
  const gint64 away = rest >= power / 2 ? 1 : rest <= -(power / 2) ? -1 : 0;
  *rounded = (PwDecimal){units / power + away, decimals};
  return TRUE;
}

gboolean
pw_decimal_round(PwDecimal value, guint decimals, PwDecimal *rounded)
{
  return bring_to(value.units, value.decimals, decimals, rounded);
}

char *
pw_decimal_dup_padded(const char *text, guint decimals)
{
  PwDecimal value, padded;
  gboolean is_short = pw_decimal_parse(text, &value) && value.decimals < decimals &&
                      pw_decimal_round(value, decimals, &padded);
  return is_short ? pw_decimal_dup_text(padded) : g_strdup(text);
}

gboolean
pw_decimal_add(PwDecimal a, PwDecimal b, PwDecimal *sum)
{
  const guint decimals = MAX(a.decimals, b.decimals);
  PwDecimal x, y, z = {0, decimals};
  if (!pw_decimal_round(a, decimals, &x) || !pw_decimal_round(b, decimals, &y) ||
      __builtin_add_overflow(x.units, y.units, &z.units))
    return FALSE;
  *sum = z;
  return TRUE;
}

/* The same number with no zero at its end: what is multiplied is kept small. */
static PwDecimal
shortened(PwDecimal value)
{
  while (value.decimals > 0 && value.units % 10 == 0) {
    value.units /= 10;
    value.decimals--;
  }
  return value;
}

/* a x b x 10^-shift */
static gboolean
multiply(PwDecimal a, PwDecimal b, guint shift, guint decimals, PwDecimal *product)
{
  a = shortened(a);
  b = shortened(b);
  gint64 units;
  return !__builtin_mul_overflow(a.units, b.units, &units) &&
         bring_to(units, a.decimals + b.decimals + shift, decimals, product);
}

gboolean
pw_decimal_multiply(PwDecimal a, PwDecimal b, guint decimals, PwDecimal *product)
{
  return multiply(a, b, 0, decimals, product);
}

gboolean
pw_decimal_percent(PwDecimal a, PwDecimal percent, guint decimals, PwDecimal *part)
{
  return multiply(a, percent, 2, decimals, part);
}

/* ---- Currencies -------------------------------------------------------------------- */

/* ISO 4217, list one: the minor units that are not 2. Written from memory of the list; a test
 * compares them with what another program knows of each currency. */
static const struct {
  const char *decimals, *currencies;
} minor_units[] = {
    {"0", "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"},
    {"3", "BHD IQD JOD KWD LYD OMR TND"},
    {"4", "CLF UYW"},
};

guint
pw_currency_decimals(const char *currency)
{
  for (gsize i = 0; i < G_N_ELEMENTS(minor_units); i++)
    if (strlen(currency) == 3 && strstr(minor_units[i].currencies, currency) != NULL)
      return (guint)g_ascii_digit_value(minor_units[i].decimals[0]);
  return 2;
}
