/* Sizes that carry the contribution of every input, so that they add as JCGM 100 5.2 demands: what
 * two sizes have in common cancels or adds with its sign, and only then is squared.
 */
#include "size.h"

#include <math.h>

void
pw_size_clear(PwSize *size)
{
  g_free(size->contributions);
  *size = (PwSize){0};
}

void
pw_size_copy(const PwSize *from, PwSize *to)
{
  *to = *from;
  to->contributions = g_memdup2(from->contributions, from->n * sizeof *from->contributions);
}

static int
order(guint a, guint b)
{
  return (a > b) - (a < b);
}

static int
compare(const PwContribution *a, const PwContribution *b)
{
  int by = order(a->input, b->input);
  if (by == 0)
    by = order(a->scope, b->scope);
  if (by == 0)
    by = order(a->owner, b->owner);
  return by != 0 ? by : order(a->index, b->index);
}

static int
compare_items(const void *a, const void *b)
{
  return compare(a, b);
}

void
pw_size_take(double value, GArray *contributions, PwSize *size)
{
  PwContribution *items = (PwContribution *)(void *)contributions->data;
  gsize kept = 0;
  g_array_sort(contributions, compare_items);
  for (gsize i = 0; i < contributions->len; i++) {
    if (kept > 0 && compare(&items[kept - 1], &items[i]) == 0)
      items[kept - 1].c += items[i].c;
    else
      items[kept++] = items[i];
  }
  size->value = value;
  size->n = kept;
  size->contributions = (PwContribution *)(void *)g_array_free(contributions, FALSE);
}

static PwContribution
scaled(double factor, const PwContribution *contribution)
{
  PwContribution out = *contribution;
  out.c *= factor;
  return out;
}

void
pw_size_combine(double a, const PwSize *x, double b, const PwSize *y, PwSize *out)
{
  PwContribution *merged = g_new(PwContribution, x->n + y->n + 1);
  gsize i = 0, j = 0, n = 0;
  while (i < x->n || j < y->n) {
    int by = i == x->n ? 1 : j == y->n ? -1 : compare(&x->contributions[i], &y->contributions[j]);
    if (by > 0) {
      merged[n++] = scaled(b, &y->contributions[j++]);
      continue;
    }
    merged[n] = scaled(a, &x->contributions[i++]);
    if (by == 0)
      merged[n].c += b * y->contributions[j++].c;
    n++;
  }
  *out = (PwSize){a * x->value + b * y->value, merged, n};
}

gboolean
pw_size_ratio(double factor, const PwSize *x, const PwSize *y, PwSize *out)
{
  *out = (PwSize){0};
  if (!(fabs(y->value) > 0))
    return FALSE;
  double ratio = x->value / y->value;
  pw_size_combine(factor / y->value, x, -factor * ratio / y->value, y, out);
  out->value = factor * ratio;
  return TRUE;
}

static gboolean
is_one_estimate(const PwContribution *a, const PwContribution *b)
{
  return a->input == b->input && a->scope == b->scope && a->owner == b->owner &&
         a->index / PW_ESTIMATE_BLOCK == b->index / PW_ESTIMATE_BLOCK &&
         !(fabs(a->dof - b->dof) > 0);
}

/* Eight errors that are all scaled by one standard deviation, which itself was estimated with so
 * many degrees of freedom, are one term of Welch and Satterthwaite's sum, not eight: where the
 * estimate is too small, all of them are. */
PwQuantity
pw_size_quantity(const PwSize *size)
{
  const PwContribution *c = size->contributions;
  double variance = 0, weight = 0;
  for (gsize i = 0, next = 0; i < size->n; i = next) {
    double of_estimate = 0;
    while (next < size->n && is_one_estimate(&c[i], &c[next])) {
      of_estimate += c[next].c * c[next].c;
      next++;
    }
    variance += of_estimate;
    weight += of_estimate * of_estimate / c[i].dof;
  }
  double dof = weight > 0 ? variance * variance / weight : HUGE_VAL;
  return (PwQuantity){size->value, sqrt(variance), dof};
}

double
pw_size_share_of(const PwSize *size, PwInput input, PwScope scope)
{
  double sum = 0;
  for (gsize i = 0; i < size->n; i++)
    if (size->contributions[i].input == input && size->contributions[i].scope == scope)
      sum += size->contributions[i].c * size->contributions[i].c;
  return sqrt(sum);
}

char *
pw_size_dup_text(const PwSize *size, const char *unit)
{
  PwQuantity quantity = pw_size_quantity(size);
  g_autofree char *figures =
      pw_format_quantity(quantity.value, quantity.u * pw_coverage_factor(quantity.dof));
  if (figures[0] == '-')
    return g_strdup_printf("\u2212%s %s", figures + 1, unit);
  return g_strdup_printf("%s %s", figures, unit);
}
