/* Numbers of marks on one plate. Two rounds: families whose first mark's id can stand take it, then
 * the others fill the gaps, so that a late id never loses its number to an early one without. */
#include "number.h"

#include <platewright/base.h>

/* Numbers of more digits do not fit before a callout. */
#define MOST_NUMBER 999

static guint
id_number(const char *id)
{
  gint64 value;
  return pw_parse_int(id, &value) && value >= 1 && value <= MOST_NUMBER ? (guint)value : 0;
}

static gboolean
taken(GHashTable *numbers, guint number)
{
  return g_hash_table_contains(numbers, GUINT_TO_POINTER(number));
}

static void
give(GHashTable *numbers, GHashTable *families, gconstpointer family, guint number)
{
  g_hash_table_add(numbers, GUINT_TO_POINTER(number));
  g_hash_table_insert(families, (gpointer)(gsize)family, GUINT_TO_POINTER(number));
}

void
pw_number_marks(PwNumbered *marks, guint n, gboolean afresh)
{
  g_autoptr(GHashTable) numbers = g_hash_table_new(NULL, NULL), seen = g_hash_table_new(NULL, NULL);
  g_autoptr(GHashTable) families = g_hash_table_new(NULL, NULL);
  for (guint i = 0; i < n && !afresh; i++) {
    guint number = id_number(marks[i].id);
    if (g_hash_table_add(seen, (gpointer)(gsize)marks[i].family) && number != 0 &&
        !taken(numbers, number))
      give(numbers, families, marks[i].family, number);
  }
  guint next = 1;
  for (guint i = 0; i < n; i++) {
    if (!g_hash_table_contains(families, marks[i].family)) {
      while (taken(numbers, next))
        next++;
      give(numbers, families, marks[i].family, next);
    }
    marks[i].number = GPOINTER_TO_UINT(g_hash_table_lookup(families, marks[i].family));
    marks[i].differs = !afresh && id_number(marks[i].id) != marks[i].number;
  }
}
