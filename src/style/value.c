/* Values of a style: numbers within bounds, yes and no, prose, inks, dashes, the page.
 */
#include "private.h"

#include <math.h>
#include <string.h>

/* Millimetres; what a conservator's printer takes lies well inside. */
static const double smallest_page_mm = 100, largest_page_mm = 1200;
/* Shorter dashes than a fine pen's stroke run together on paper. */
static const double shortest_dash_mm = 0.1, longest_dash_mm = 20;

static void *
field_of(const PwStyleKey *key, void *into)
{
  return (char *)into + key->offset;
}

const char *
pw_style_peek_prose(const PwStyleReading *reading, const PwYamlNode *value)
{
  const char *text = pw_yaml_node_peek_text(value);
  if (text == NULL)
    pw_style_fault(reading, value, "not text", "a text is wanted here");
  else if (pw_yaml_node_is_cut(value))
    pw_style_fault(reading, value, "cut text",
                   "YAML would drop some of these words; put them in quotes");
  else
    return text;
  return NULL;
}

static gboolean
number_of(const PwStyleReading *reading, const PwYamlNode *value, double least, double most,
          double *number)
{
  const char *text = pw_yaml_node_peek_text(value);
  if (text == NULL || !pw_parse_double(text, number)) {
    pw_style_fault(reading, value, "not a number", "a number is wanted here");
    return FALSE;
  }
  if (*number >= least && *number <= most)
    return TRUE;
  g_autofree char *low = pw_format_double(least), *high = pw_format_double(most);
  pw_style_fault(reading, value, "out of bounds", "a number from %s to %s is wanted here", low,
                 high);
  return FALSE;
}

void
pw_style_read_number(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                     void *into)
{
  double number;
  if (number_of(reading, value, key->least, key->most, &number))
    *(double *)field_of(key, into) = number;
}

void
pw_style_read_yes(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                  void *into)
{
  const char *text = pw_yaml_node_peek_text(value);
  gboolean yes = g_strcmp0(text, "yes") == 0 || g_strcmp0(text, "true") == 0;
  if (yes || g_strcmp0(text, "no") == 0 || g_strcmp0(text, "false") == 0)
    *(gboolean *)field_of(key, into) = yes;
  else
    pw_style_fault(reading, value, "not yes or no", "write yes or no");
}

void
pw_style_read_prose(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                    void *into)
{
  const char *text = pw_style_peek_prose(reading, value);
  if (text == NULL)
    return;
  char **field = field_of(key, into);
  g_free(*field);
  *field = pw_dup_printable(text);
}

/* "d55e00" or "#d55e00": red, green and blue of sRGB, as everybody writes them. */
static gboolean
parse_hex(const char *text, PwInk *ink)
{
  if (*text == '#')
    text++;
  if (strlen(text) != 6 || strspn(text, "0123456789abcdefABCDEF") != 6)
    return FALSE;
  guint64 rgb = g_ascii_strtoull(text, NULL, 16);
  *ink =
      (PwInk){(double)(rgb >> 16) / 255, (double)(rgb >> 8 & 255) / 255, (double)(rgb & 255) / 255};
  return TRUE;
}

void
pw_style_read_ink(const PwStyleReading *reading, const PwYamlNode *value, PwInk *ink, int *named)
{
  const char *text = pw_yaml_node_peek_text(value);
  int place = text != NULL ? pw_style_key_index(pw_style_ink_keys, text) : -1;
  if (place < 0 && (text == NULL || !parse_hex(text, ink)))
    pw_style_fault(
        reading, value, "not an ink",
        "an ink is six hexadecimal digits, as d55e00, or the name of one under \"inks\"");
  else
    *named = place;
}

/* [on, off] or [on, off, on, off] in mm; `solid` for none. */
void
pw_style_read_dash(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                   void *into)
{
  double dash[4] = {0};
  guint n = pw_yaml_node_n(value);
  gboolean is_list = pw_yaml_node_kind(value) == PW_YAML_SEQUENCE;
  if (!is_list && g_strcmp0(pw_yaml_node_peek_text(value), "solid") != 0) {
    pw_style_fault(reading, value, "not a dash", "write [on, off] in mm, or solid");
    return;
  }
  if (is_list && n != 2 && n != 4) {
    pw_style_fault(reading, value, "not a dash", "a dash has two or four lengths, not %u", n);
    return;
  }
  for (guint i = 0; is_list && i < n; i++)
    if (!number_of(reading, pw_yaml_node_item(value, i), shortest_dash_mm, longest_dash_mm,
                   &dash[i]))
      return;
  memcpy(field_of(key, into), dash, sizeof dash);
}

void
pw_style_read_page(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                   void *into)
{
  static const struct {
    const char *name;
    double sides[2];
  } sheets[] = {{"A4", {210, 297}}, {"A3", {297, 420}}, {"Letter", {215.9, 279.4}}};
  double sides[2] = {0, 0};
  for (gsize i = 0; i < G_N_ELEMENTS(sheets); i++)
    if (g_strcmp0(pw_yaml_node_peek_text(value), sheets[i].name) == 0)
      memcpy(sides, sheets[i].sides, sizeof sides);
  if (pw_yaml_node_kind(value) == PW_YAML_SEQUENCE && pw_yaml_node_n(value) == 2) {
    for (guint i = 0; i < 2; i++)
      if (!number_of(reading, pw_yaml_node_item(value, i), smallest_page_mm, largest_page_mm,
                     &sides[i]))
        return;
  }
  if (!(sides[0] > 0)) {
    pw_style_fault(reading, value, "not a page",
                   "a page is A4, A3, Letter or [width, height] in mm");
    return;
  }
  *(PwStylePaper *)field_of(key, into) =
      (PwStylePaper){MIN(sides[0], sides[1]), MAX(sides[0], sides[1])};
}

void
pw_style_read_already(const PwStyleReading *reading, const PwYamlNode *value, const PwStyleKey *key,
                      void *into)
{
  (void)reading;
  (void)value;
  (void)key;
  (void)into;
}
