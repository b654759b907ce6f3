/* Counts as pw_decimal does, a line at a time, for tests that know the answers from elsewhere:
 * "multiply A B DECIMALS", "percent A B DECIMALS", "round A DECIMALS", "add A B", "currency CODE"
 * from standard input; the answer, or "-" where there is none, to standard output. */
#include <platewright/base.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef gboolean (*Product)(PwDecimal a, PwDecimal b, guint decimals, PwDecimal *result);

static gboolean
counted(char **words, guint n, PwDecimal *result)
{
  PwDecimal a, b = {0, 0};
  const Product product =
      strcmp(words[0], "percent") == 0 ? pw_decimal_percent : pw_decimal_multiply;
  if (n < 3 || !pw_decimal_parse(words[1], &a))
    return FALSE;
  if (strcmp(words[0], "round") == 0)
    return pw_decimal_round(a, (guint)atoi(words[2]), result);
  if (!pw_decimal_parse(words[2], &b))
    return FALSE;
  if (strcmp(words[0], "add") == 0)
    return pw_decimal_add(a, b, result);
  return n == 4 && product(a, b, (guint)atoi(words[3]), result);
}

int
main(void)
{
  char line[256];
  while (fgets(line, sizeof line, stdin) != NULL) {
    g_auto(GStrv) words = g_strsplit(g_strchomp(line), " ", -1);
    const guint n = g_strv_length(words);
    PwDecimal result;
    if (n == 2 && strcmp(words[0], "currency") == 0) {
      printf("%u\n", pw_currency_decimals(words[1]));
    } else if (counted(words, n, &result)) {
      g_autofree char *text = pw_decimal_dup_text(result);
      puts(text);
    } else {
      puts("-");
    }
  }
  return 0;
}
