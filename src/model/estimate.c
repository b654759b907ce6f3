/* Money and hours: what the estimate comes to, line by line and in all, and what the steps of
 * treatment took. Exact decimals throughout. */
#include "model-private.h"

#include <math.h>
#include <string.h>

enum { HOURS_DECIMALS = 4 }; /* as the hours of an estimate may have */

/* ---- The estimate ------------------------------------------------------------------ */

/* The sum under way; `failed` once something did not fit, or a line lacks what it is made of. */
typedef struct {
  guint decimals;
  PwDecimal sum, hours;
  gboolean counts_hours, failed;
} Adding;

static gboolean
sum_of_line(const PwEstimateLine *line, guint decimals, PwDecimal *sum)
{
  PwDecimal hours, rate, cost;
  if (line->cost != NULL)
    return pw_decimal_parse(line->cost, &cost) && pw_decimal_round(cost, decimals, sum);
  return pw_decimal_parse(line->hours, &hours) && pw_decimal_parse(line->rate, &rate) &&
         pw_decimal_multiply(hours, rate, decimals, sum);
}

static void
add_line(Adding *adding, const PwEstimateLine *text, PwModelEstimateLine *line)
{
  PwDecimal sum, hours;
  line->text = text;
  if (!sum_of_line(text, adding->decimals, &sum) ||
      !pw_decimal_add(adding->sum, sum, &adding->sum)) {
    adding->failed = TRUE;
    return;
  }
  line->sum = pw_decimal_dup_text(sum);
  if (text->hours == NULL || !pw_decimal_parse(text->hours, &hours))
    return;
  adding->counts_hours = TRUE;
  adding->failed = !pw_decimal_add(adding->hours, hours, &adding->hours) || adding->failed;
}

static void
take_sums(PwModelEstimate *estimate, const PwVolume *volume, Adding *adding)
{
  PwDecimal percent, tax, total = adding->sum;
  if (adding->counts_hours)
    estimate->hours = pw_decimal_dup_text(adding->hours);
  estimate->subtotal = pw_decimal_dup_text(adding->sum);
  if (volume->tax != NULL) {
    if (!pw_decimal_parse(volume->tax, &percent) ||
        !pw_decimal_percent(adding->sum, percent, adding->decimals, &tax) ||
        !pw_decimal_add(adding->sum, tax, &total)) {
      adding->failed = TRUE;
      return;
    }
    estimate->tax = pw_decimal_dup_text(tax);
  }
  estimate->total = pw_decimal_dup_text(total);
}

void
pw_model_estimate_free(PwModelEstimate *estimate)
{
  if (estimate == NULL)
    return;
  for (gsize i = 0; i < estimate->n_lines; i++)
    g_free(estimate->lines[i].sum);
  g_free(estimate->lines);
  g_free(estimate->hours);
  g_free(estimate->subtotal);
  g_free(estimate->tax);
  g_free(estimate->total);
  g_free(estimate);
}

/* What a line lacks was complained of when it was read; here, that a sum is too large. */
static gboolean
is_readable(const PwVolume *volume)
{
  for (gsize i = 0; i < volume->n_estimate; i++) {
    const PwEstimateLine *line = &volume->estimate[i];
    if (line->cost == NULL && (line->hours == NULL || line->rate == NULL))
      return FALSE;
  }
  return TRUE;
}

void
pw_model_resolve_estimate(PwModel *model, PwComplaints *complaints)
{
  const PwVolume *volume = model->volume;
  if (volume == NULL || volume->currency == NULL || volume->n_estimate == 0 || !is_readable(volume))
    return;
  PwModelEstimate *estimate = g_new0(PwModelEstimate, 1);
  Adding adding = {.decimals = pw_currency_decimals(volume->currency)};
  adding.sum.decimals = adding.decimals;
  estimate->currency = volume->currency;
  estimate->n_lines = volume->n_estimate;
  estimate->lines = g_new0(PwModelEstimateLine, estimate->n_lines);
  const PwYamlNode *at = pw_yaml_node_get(pw_yaml_peek_root(volume->yaml), "estimate");
  for (gsize i = 0; i < estimate->n_lines && !adding.failed; i++) {
    add_line(&adding, &volume->estimate[i], &estimate->lines[i]);
    at = adding.failed ? volume->estimate[i].node : at;
  }
  if (!adding.failed)
    take_sums(estimate, volume, &adding);
  if (!adding.failed) {
    model->estimate = estimate;
    return;
  }
  pw_yaml_complain(volume->yaml, at, complaints, "not money", PW_SEVERITY_ERROR,
                   "the estimate comes to more than can be counted here; correct its figures");
  pw_model_estimate_free(estimate);
}

const PwModelEstimate *
pw_model_peek_estimate(const PwModel *model, PwAudience audience)
{
  return audience == PW_FOR_PUBLIC ? NULL : model->estimate;
}

/* ---- Hours ------------------------------------------------------------------------- */

/* Hours are read as a number; its shortest decimal is what stood in the text. */
static void
add_hours(PwModelHours *hours, double took)
{
  PwDecimal sum = {0, 0}, more;
  g_autofree char *text = isnan(took) ? NULL : pw_format_fixed(took, HOURS_DECIMALS);
  if (!pw_decimal_parse(text, &more) ||
      (hours->hours != NULL && !pw_decimal_parse(hours->hours, &sum)) ||
      !pw_decimal_add(sum, more, &sum)) {
    hours->n_unsaid++;
    return;
  }
  g_free(hours->hours);
  hours->hours = pw_decimal_dup_text(sum);
}

/* 3.5000 is 3.5 */
static void
shorten(char *text)
{
  gsize n = text ? strlen(text) : 0;
  while (n > 0 && text[n - 1] == '0')
    n--;
  if (n > 0)
    text[text[n - 1] == '.' ? n - 1 : n] = '\0';
}

void
pw_model_resolve_hours(PwModel *model)
{
  for (gsize i = 0; model->volume && i < model->volume->n_treatment; i++)
    add_hours(&model->hours, model->volume->treatment[i].hours);
  shorten(model->hours.hours);
}

const PwModelHours *
pw_model_peek_hours(const PwModel *model)
{
  return &model->hours;
}
