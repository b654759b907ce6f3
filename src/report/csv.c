/* The tables of a record as a folder of CSV, and the sizes in them. */
#include "tables.h"

#include <string.h>

/* Two figures more than are printed: a table is there to be reckoned with, and sums of rounded
 * values are not to show it (JCGM 100:2008, 7.2.6); further ones would say nothing of the size. */
enum { FIGURES_TO_RECKON_WITH = 2 };

void
pw_export_put_size(PwCsv *csv, const char *column, const char *U_column, const PwSize *size)
{
  const PwQuantity quantity = pw_size_quantity(size);
  const double U = quantity.u * pw_coverage_factor(quantity.dof);
  if (!(U > 0)) { /* a loss made good: 0, nothing uncertain */
    pw_csv_put_double(csv, column, quantity.value);
    pw_csv_put_double(csv, U_column, U);
    return;
  }
  const int decimals = MAX(0, pw_decimals_for(U) + FIGURES_TO_RECKON_WITH);
  pw_csv_put_fixed(csv, column, quantity.value, decimals);
  pw_csv_put_fixed(csv, U_column, U, decimals);
}

void
pw_export_put_sizes(PwCsv *csv, const PwModelMark *mark)
{
  if (mark->kind == PW_KIND_POINT)
    pw_csv_put_int(csv, "count", mark->text->gone ? 0 : mark->text->count);
  if (mark->kind == PW_KIND_POINT || !mark->sized)
    return;
  if (mark->kind == PW_KIND_LINE) {
    pw_export_put_size(csv, "length_mm", "length_U_mm", &mark->sizes.length_mm);
    return;
  }
  pw_export_put_size(csv, "area_mm2", "area_U_mm2", &mark->sizes.area_mm2);
  pw_export_put_size(csv, "perimeter_mm", "perimeter_U_mm", &mark->sizes.perimeter_mm);
  pw_export_put_size(csv, "longest_mm", "longest_U_mm", &mark->sizes.longest_mm);
  if (mark->has_share)
    pw_export_put_size(csv, "share_percent", "share_U_percent", &mark->share_percent);
}

static gboolean
is_for(const PwTable *table, PwAudience audience)
{
  return audience != PW_FOR_PUBLIC || !table->never_public;
}

char **
pw_export_dup_tables(PwAudience audience)
{
  g_autoptr(GStrvBuilder) names = g_strv_builder_new();
  for (int i = 0; i < PW_N_TABLES; i++)
    if (is_for(&pw_tables[i], audience))
      g_strv_builder_add(names, pw_tables[i].name);
  return g_strv_builder_end(names);
}

char *
pw_export_dup_table(const PwModel *model, PwAudience audience, const char *name, GError **error)
{
  if (!pw_model_may_show(model, audience, error))
    return NULL;
  for (int i = 0; i < PW_N_TABLES; i++)
    if (strcmp(pw_tables[i].name, name) == 0 && is_for(&pw_tables[i], audience))
      return pw_tables[i].dup_text(model, audience);
  g_set_error(error, PW_ERROR, PW_ERROR_USE, "there is no table %s for this reader", name);
  return NULL;
}

gboolean
pw_export_csv(const PwModel *model, PwAudience audience, const char *path, GError **error)
{
  if (!pw_model_may_show(model, audience, error))
    return FALSE;
  g_autoptr(PwFiling) filing = pw_filing_new(path, error);
  for (int i = 0; filing && i < PW_N_TABLES; i++) {
    if (!is_for(&pw_tables[i], audience))
      continue;
    g_autofree char *text = pw_tables[i].dup_text(model, audience);
    if (!pw_filing_put(filing, pw_tables[i].name, text, strlen(text), error))
      return FALSE;
  }
  return filing && pw_filing_finish(filing, error);
}
