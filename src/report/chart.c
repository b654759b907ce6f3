/* Bars from zero on one linear scale for each kind of size, hollow before and full after, so that
 * they tell apart in grey; over the end of each its uncertainty; beside them the figures. What has
 * no size is no bar: it is said in words. */
#include "chart.h"

#include <platewright/plate.h>

#include <math.h>
#include <string.h>

/* Lengths in mm. */
#define WIDTH 168.0
#define NAMES 52.0   /* column of the names */
#define FIGURES 40.0 /* column of the figures, at the right */
#define BAR 2.1
#define BARS_APART 0.7
#define ROW 7.0
#define ROW_BEFORE 4.6  /* where the document tells of no after */
#define PART 5.4        /* the line with a part's name */
#define HEAD 15.0       /* the unit, and the key */
#define HEAD_BEFORE 7.5 /* the unit alone */
#define NOTE 3.5        /* first line: the unit, what the uncertainty is */
#define FOOT 7.5        /* the scale */
#define HAIRLINE 0.12
#define RIM 0.25
#define CAP 0.8        /* half the height of an uncertainty's ends */
#define TEXT_DROP 0.95 /* from the middle of small letters to their baseline */
#define MOST_HEIGHT 215.0
#define NAME_LETTERS 36

typedef enum { KIND_AREA, KIND_LENGTH, KIND_PLACES, N_KINDS } Kind;

/* How much there is: a size, a count, nothing, or not known. */
typedef struct {
  gboolean known;
  double value, U;
  guint unsized; /* places that have no size besides */
  guint untold;  /* places of which nothing after treatment tells what became of them */
} Amount;

typedef struct {
  const char *part, *term; /* in the reader's language */
  Amount before, after;
} Row;

typedef struct {
  const PwReportOptions *options;
  gboolean has_after;
  Kind kind;
  GArray *rows; /* Row */
  double most;  /* the end of the scale */
  PwDrawing *drawing;
  GString *says;
  double y;
} Chart;

/* ---- What there is to draw ---------------------------------------------------------------------
 */

static Amount
amount_of(const PwModelTotal *total, Kind kind)
{
  if (kind == KIND_PLACES)
    return (Amount){.known = TRUE, .value = total->count};
  if (total->count == 0)
    return (Amount){.known = TRUE};
  gboolean has = kind == KIND_AREA ? total->has_area : total->has_length;
  if (!has)
    return (Amount){.unsized = total->unsized};
  PwQuantity size = pw_size_quantity(kind == KIND_AREA ? &total->area_mm2 : &total->length_mm);
  return (Amount){.known = TRUE,
                  .value = size.value,
                  .U = size.u > 0 ? pw_coverage_factor(size.dof) * size.u : 0,
                  .unsized = total->unsized};
}

/* Sizes where either stage has one; places where neither has and nothing lacks one. */
static gboolean
is_of_kind(const PwModelCondition *condition, Kind kind)
{
  const PwModelTotal *before = &condition->before, *after = &condition->after;
  gboolean area = before->has_area || after->has_area;
  gboolean length = before->has_length || after->has_length;
  switch (kind) {
  case KIND_AREA:
    return area;
  case KIND_LENGTH:
    return length;
  default:
    return !area && !length && before->unsized + after->unsized == 0;
  }
}

static const char *
term_of(const PwWords *words, const char *term)
{
  return g_strcmp0(term, PW_TERM_UNDECIDED) == 0 ? pw_words_peek(words, "undecided")
                                                 : pw_words_peek_term(words, term);
}

static void
gather_rows(Chart *chart, const PwModelSummary *summary)
{
  const PwWords *words = chart->options->words;
  for (gsize i = 0; i < summary->n_parts; i++) {
    const PwModelPart *part = &summary->parts[i];
    for (gsize k = 0; k < part->n_terms; k++) {
      const PwModelCondition *condition = &part->terms[k];
      if (!pw_model_is_damage(condition->group) || !is_of_kind(condition, chart->kind))
        continue;
      Row row = {
          .part = part->part != NULL ? pw_words_peek_part(words, part->part)
                                     : pw_words_peek(words, "chart-no-part"),
          .term = term_of(words, condition->term),
          .before = amount_of(&condition->before, chart->kind),
          .after = amount_of(&condition->after, chart->kind),
      };
      row.after.untold = condition->before.count - condition->n_followed;
      row.after.known =
          row.after.known && pw_model_after_is_told(condition->before.count, condition->n_followed,
                                                    condition->after.count);
      if (chart->has_after || condition->before.count > 0)
        g_array_append_val(chart->rows, row);
    }
  }
}

static double
end_of(const Amount *amount)
{
  return amount->known ? amount->value + amount->U : 0;
}

static double
most_of(const Chart *chart)
{
  double most = 0;
  for (guint i = 0; i < chart->rows->len; i++) {
    const Row *row = &g_array_index(chart->rows, Row, i);
    most = MAX(most, MAX(end_of(&row->before), chart->has_after ? end_of(&row->after) : 0));
  }
  return most;
}

/* ---- Words -------------------------------------------------------------------------------------
 */

/* One whose uncertainty is nothing as short as it is. */
static char *
dup_number(const Chart *chart, double value, double U)
{
  gboolean is_whole = fabs(value - round(value)) < 1e-9;
  g_autofree char *plain =
      U > 0 ? pw_format_quantity(value, U) : pw_format_fixed(value, is_whole ? 0 : 1);
  return pw_words_dup_number(chart->options->words, plain);
}

/* Of the scale, told apart from that of the next step. */
static char *
dup_figure(const Chart *chart, double value, double step)
{
  gboolean is_whole = fabs(value - round(value)) < 1e-9;
  int decimals = is_whole ? 0 : (int)MAX(1, ceil(-log10(step) - 1e-9));
  g_autofree char *plain = pw_format_fixed(value, decimals);
  return pw_words_dup_number(chart->options->words, plain);
}

static void
join(GString *joined, const char *words)
{
  g_string_append_printf(joined, "%s%s", joined->len > 0 ? ", " : "", words);
}

static void
join_count(const Chart *chart, GString *joined, const char *key, guint n)
{
  g_autofree char *words = n > 0 ? pw_words_dup_count(chart->options->words, key, n) : NULL;
  if (words != NULL)
    join(joined, words);
}

/* "491 ± 16", "491 ± 16, 2 without a size", "not recorded". */
static char *
dup_amount(const Chart *chart, const Amount *amount)
{
  GString *joined = g_string_new(NULL);
  g_autofree char *number = dup_number(chart, amount->value, amount->U);
  if (amount->known)
    join(joined, number);
  join_count(chart, joined, "chart-unsized", amount->unsized);
  join_count(chart, joined, "chart-untold", amount->untold);
  if (joined->len == 0)
    join(joined, pw_words_peek(chart->options->words, "chart-not-recorded"));
  return g_string_free(joined, FALSE);
}

static void
say_row(Chart *chart, const Row *row)
{
  g_autofree char *before = dup_amount(chart, &row->before);
  g_autofree char *after = dup_amount(chart, &row->after);
  g_autofree char *sentence = pw_words_dup_phrase(
      chart->options->words, chart->has_after ? "chart-says" : "chart-says-before", "part",
      row->part, "term", row->term, "before", before, "after", after, NULL);
  g_string_append_printf(chart->says, "%s%s", chart->says->len > 0 ? " " : "", sentence);
}

/* What is too long for its column ends in an ellipsis: the table beside has all of it. */
static char *
dup_name(const char *name)
{
  if (g_utf8_strlen(name, -1) <= NAME_LETTERS)
    return g_strdup(name);
  g_autofree char *begin = g_utf8_substring(name, 0, NAME_LETTERS - 1);
  return g_strconcat(g_strchomp(begin), "\u2026", NULL);
}

/* ---- Drawing -----------------------------------------------------------------------------------
 */

static PwInk
ink_of(const Chart *chart, const char *name)
{
  return pw_style_ink(chart->options->style, name);
}

static double
x_of(const Chart *chart, double value)
{
  return NAMES + value / chart->most * (WIDTH - NAMES - FIGURES);
}

/* A line with an end across, cased, so that it is seen over a full bar. */
static void
draw_uncertainty(Chart *chart, const Amount *amount, double y)
{
  static const struct {
    const char *ink;
    double width;
  } passes[] = {{"casing", 0.7}, {"ink", RIM}};
  double from = x_of(chart, MAX(0, amount->value - amount->U)), to = x_of(chart, end_of(amount));
  for (gsize i = 0; i < G_N_ELEMENTS(passes); i++) {
    PwInk ink = ink_of(chart, passes[i].ink);
    pw_drawing_line(chart->drawing, from, y, to, y, passes[i].width, ink);
    pw_drawing_line(chart->drawing, from, y - CAP, from, y + CAP, passes[i].width, ink);
    pw_drawing_line(chart->drawing, to, y - CAP, to, y + CAP, passes[i].width, ink);
  }
}

static void
draw_bar(Chart *chart, const Amount *amount, double top, gboolean is_full)
{
  PwInk ink = ink_of(chart, "ink"), fill = ink_of(chart, is_full ? "soft-ink" : "casing");
  double middle = top + BAR / 2;
  if (amount->known && amount->value > 0)
    pw_drawing_box(chart->drawing, NAMES, top, x_of(chart, amount->value), top + BAR, fill, RIM,
                   ink);
  if (amount->known && amount->U > 0)
    draw_uncertainty(chart, amount, middle);
  g_autofree char *figures = dup_amount(chart, amount);
  PwMadeOf *words = pw_drawing_words(chart->drawing, WIDTH, middle + TEXT_DROP, 1, ink, figures);
  words->is_soft = !amount->known;
}

static double
row_height(const Chart *chart)
{
  return chart->has_after ? ROW : ROW_BEFORE;
}

static void
draw_row(Chart *chart, const Row *row)
{
  g_autofree char *name = dup_name(row->term);
  double bars = chart->has_after ? 2 * BAR + BARS_APART : BAR;
  double top = chart->y + (row_height(chart) - bars) / 2;
  pw_drawing_words(chart->drawing, 2.5, top + bars / 2 + TEXT_DROP, 0, ink_of(chart, "ink"), name);
  draw_bar(chart, &row->before, top, FALSE);
  if (chart->has_after)
    draw_bar(chart, &row->after, top + BAR + BARS_APART, TRUE);
  chart->y += row_height(chart);
  say_row(chart, row);
}

static void
draw_part(Chart *chart, const char *part)
{
  g_autofree char *name = dup_name(part);
  chart->y += PART;
  pw_drawing_words(chart->drawing, 0, chart->y - 1, 0, ink_of(chart, "ink"), name)->is_strong =
      TRUE;
}

/* A box and its word; where the next begins. */
static double
draw_key_entry(Chart *chart, double x, double y, gboolean is_full, const char *key)
{
  const char *word = pw_words_peek(chart->options->words, key);
  PwInk ink = ink_of(chart, "ink"), fill = ink_of(chart, is_full ? "soft-ink" : "casing");
  pw_drawing_box(chart->drawing, x, y - BAR + 0.2, x + 6, y + 0.2, fill, RIM, ink);
  pw_drawing_words(chart->drawing, x + 7.5, y, 0, ink, word);
  return x + 12 + (double)g_utf8_strlen(word, -1) * 1.45;
}

static double
head_height(const Chart *chart)
{
  return chart->has_after ? HEAD : HEAD_BEFORE;
}

static void
draw_head(Chart *chart)
{
  static const char *const units[] = {"chart-unit-area", "chart-unit-length", "chart-unit-places"};
  const PwWords *words = chart->options->words;
  double y = 9.5, x = NAMES;
  pw_drawing_words(chart->drawing, 0, NOTE, 0, ink_of(chart, "soft-ink"),
                   pw_words_peek(words, units[chart->kind]))
      ->is_soft = TRUE;
  if (chart->has_after) {
    x = draw_key_entry(chart, x, y, FALSE, "stage-before");
    x = draw_key_entry(chart, x, y, TRUE, "stage-after");
  }
  if (chart->kind != KIND_PLACES)
    pw_drawing_words(chart->drawing, WIDTH, NOTE, 1, ink_of(chart, "soft-ink"),
                     pw_words_peek(words, "uncertainty"))
        ->is_soft = TRUE;
  chart->y = head_height(chart) - 1.5;
}

/* Lines up through all rows at round figures, beneath the bars. */
static void
draw_scale(Chart *chart, double bottom)
{
  PwInk soft = ink_of(chart, "soft-ink");
  double step = pw_plate_bar_length(chart->most / 2);
  if (chart->kind == KIND_PLACES)
    step = MAX(1, step);
  for (double at = 0; at <= chart->most * (1 + 1e-9); at += step) {
    g_autofree char *figure = dup_figure(chart, at, step);
    pw_drawing_line(chart->drawing, x_of(chart, at), head_height(chart), x_of(chart, at), bottom,
                    HAIRLINE, soft);
    pw_drawing_words(chart->drawing, x_of(chart, at), bottom + 3.6, 0.5, soft, figure);
  }
}

/* ---- A chart -----------------------------------------------------------------------------------
 */

/* How far down rows `first` to `end` reach. */
static double
height_of(const Chart *chart, guint first, guint end)
{
  double height = head_height(chart);
  const char *part = NULL;
  for (guint i = first; i < end; i++) {
    const Row *row = &g_array_index(chart->rows, Row, i);
    height += row_height(chart) + (g_strcmp0(part, row->part) != 0 ? PART : 0);
    part = row->part;
  }
  return height + FOOT;
}

static guint
end_of_page(const Chart *chart, guint first)
{
  guint end = first + 1;
  while (end < chart->rows->len && height_of(chart, first, end + 1) <= MOST_HEIGHT)
    end++;
  return end;
}

static PwDrawing *
draw(Chart *chart, guint first, guint end)
{
  static const char *const titles[] = {"chart-title-area", "chart-title-length",
                                       "chart-title-places"};
  double height = height_of(chart, first, end);
  const char *part = NULL;
  chart->says = g_string_new(NULL);
  chart->drawing =
      pw_drawing_new(WIDTH, height, pw_words_peek(chart->options->words, titles[chart->kind]));
  draw_head(chart);
  draw_scale(chart, height - FOOT + 1);
  for (guint i = first; i < end; i++) {
    const Row *row = &g_array_index(chart->rows, Row, i);
    if (g_strcmp0(part, row->part) != 0)
      draw_part(chart, row->part);
    part = row->part;
    draw_row(chart, row);
  }
  pw_drawing_say(chart->drawing, chart->says->str);
  g_string_free(chart->says, TRUE);
  return g_steal_pointer(&chart->drawing);
}

static gboolean
tells_after(const PwModelSummary *summary, PwReportKind kind)
{
  if (kind != PW_REPORT_TREATMENT && kind != PW_REPORT_SUMMARY)
    return FALSE;
  for (gsize i = 0; i < summary->n_parts; i++)
    for (gsize k = 0; k < summary->parts[i].n_terms; k++)
      if (summary->parts[i].terms[k].after.count + summary->parts[i].terms[k].n_followed > 0)
        return TRUE;
  return FALSE;
}

static void
free_drawing(gpointer drawing)
{
  pw_drawing_free(drawing);
}

GPtrArray *
pw_charts_new(const PwModelSummary *summary, const PwReportOptions *options)
{
  GPtrArray *charts = g_ptr_array_new_with_free_func(free_drawing);
  for (int kind = 0; kind < N_KINDS; kind++) {
    Chart chart = {.options = options,
                   .has_after = tells_after(summary, options->kind),
                   .kind = (Kind)kind,
                   .rows = g_array_new(FALSE, FALSE, sizeof(Row))};
    gather_rows(&chart, summary);
    chart.most = most_of(&chart);
    for (guint first = 0; chart.most > 0 && first < chart.rows->len;) {
      guint end = end_of_page(&chart, first);
      g_ptr_array_add(charts, draw(&chart, first, end));
      first = end;
    }
    g_array_unref(chart.rows);
  }
  return charts;
}
