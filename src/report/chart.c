/* Bars from zero on one linear scale for each kind of size, hollow before and full after, so that
 * they tell apart in grey; over the end of each its uncertainty; beside them the figures. What has
 * no size is said in words; where nothing of its kind has one, its places are counted. */
#include "chart.h"

#include <platewright/plate.h>

#include <math.h>
#include <string.h>

/* Lengths in mm. */
#define WIDTH 168.0
#define NAMES 52.0 /* column of the names */
#define TERM_X 2.5 /* within it, of what lies below a part */
#define NAMES_APART 2.0
#define FIGURES_APART 5.0  /* from the bars to the widest figures */
#define LEAST_FIGURES 30.0 /* column of the figures, at the right */
#define MOST_FIGURES 80.0
#define BAR 2.1
#define BARS_APART 1.1
#define ROW 7.4
#define ROW_BEFORE 4.6  /* where the document tells of no after */
#define PART 5.4        /* the line with a part's name */
#define HEAD 15.0       /* the unit, and the key */
#define HEAD_BEFORE 7.5 /* the unit alone */
#define LINE 3.2        /* of a name below one another */
#define NOTE 3.5        /* first line: the unit, what the uncertainty is */
#define FOOT 7.5        /* the scale */
#define HAIRLINE 0.12
#define RIM 0.25
#define CAP 0.8        /* half the height of an uncertainty's ends */
#define TEXT_DROP 0.95 /* from the middle of small letters to their baseline */
#define MOST_HEIGHT 215.0
#define MOST_STEPS 5 /* of the scale */
#define MOST_PART_LINES 3
#define MOST_TERM_LINES 2

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
  GArray *rows;      /* Row */
  double most, step; /* the end of the scale, and from one line of it to the next */
  double figures;    /* width of their column */
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
    return (Amount){.known = TRUE, .value = total->count, .unsized = total->unsized};
  if (total->count == 0)
    return (Amount){.known = TRUE};
  gboolean has = kind == KIND_AREA ? total->has_area : total->has_length;
  guint unsized = total->unsized + total->points;
  if (!has)
    return (Amount){.unsized = unsized};
  PwQuantity size = pw_size_quantity(kind == KIND_AREA ? &total->area_mm2 : &total->length_mm);
  return (Amount){.known = TRUE,
                  .value = size.value,
                  .U = size.u > 0 ? pw_coverage_factor(size.dof) * size.u : 0,
                  .unsized = unsized};
}

static gboolean
is_sized(gboolean has, const PwSize *size)
{
  return has && pw_size_quantity(size).value > 0;
}

/* Sizes where either stage has one; places where neither has: of what is gone and had none, that
 * nothing is left is no size. */
static gboolean
is_of_kind(const PwModelCondition *condition, Kind kind)
{
  const PwModelTotal *before = &condition->before, *after = &condition->after;
  gboolean area =
      is_sized(before->has_area, &before->area_mm2) || is_sized(after->has_area, &after->area_mm2);
  gboolean length = is_sized(before->has_length, &before->length_mm) ||
                    is_sized(after->has_length, &after->length_mm);
  switch (kind) {
  case KIND_AREA:
    return area;
  case KIND_LENGTH:
    return length;
  default:
    return !area && !length;
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

/* ---- The scale ---------------------------------------------------------------------------------
 */

static double
round_up(double value, double step)
{
  return ceil(value / step - 1e-9) * step;
}

/* It ends at the first round figure that no bar and no uncertainty goes past; of the steps that
 * are not too many, those that leave the least beyond, and of equals the longest. */
static void
find_scale(Chart *chart)
{
  const double longest = most_of(chart), least = chart->kind == KIND_PLACES ? 1 : 0;
  if (longest <= 0)
    return;
  chart->step = MAX(least, pw_plate_bar_length(longest / 2));
  chart->most = round_up(longest, chart->step);
  double step = pw_plate_bar_length(0.9 * chart->step);
  while (step >= least && round_up(longest, step) < (MOST_STEPS + 0.5) * step) {
    if (round_up(longest, step) < chart->most - step / 2) {
      chart->step = step;
      chart->most = round_up(longest, step);
    }
    step = pw_plate_bar_length(0.9 * step);
  }
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
join(GString *joined, const char *separator, const char *words)
{
  g_string_append_printf(joined, "%s%s", joined->len > 0 ? separator : "", words);
}

static void
join_count(const Chart *chart, GString *joined, const char *separator, const char *key, guint n)
{
  g_autofree char *words = n > 0 ? pw_words_dup_count(chart->options->words, key, n) : NULL;
  if (words != NULL)
    join(joined, separator, words);
}

/* What is to be said beside the number, "2 without a size", or in its place, "not recorded"; empty
 * where nothing is. */
static GString *
rest_of(const Chart *chart, const Amount *amount, const char *separator)
{
  const PwWords *words = chart->options->words;
  GString *rest = g_string_new(NULL);
  if (chart->kind == KIND_PLACES && amount->unsized > 0 && amount->unsized == (guint)amount->value)
    join(rest, separator, pw_words_peek(words, "chart-unsized-all"));
  else
    join_count(chart, rest, separator, "chart-unsized", amount->unsized);
  join_count(chart, rest, separator, "chart-untold", amount->untold);
  if (!amount->known && rest->len == 0)
    join(rest, separator, pw_words_peek(words, "chart-not-recorded"));
  return rest;
}

/* "491 \u00b1 16"; NULL where nothing is known. */
static char *
dup_known(const Chart *chart, const Amount *amount)
{
  return amount->known ? dup_number(chart, amount->value, amount->U) : NULL;
}

/* A comma would read as that of a decimal figure. */
static const char apart[] = " \u00b7 ";

static char *
dup_said(const Chart *chart, const Amount *amount)
{
  static const char semicolon[] = "; ";
  g_autofree char *number = dup_known(chart, amount);
  GString *said = rest_of(chart, amount, semicolon);
  if (number != NULL && said->len > 0)
    g_string_prepend(said, semicolon);
  if (number != NULL)
    g_string_prepend(said, number);
  return g_string_free(said, FALSE);
}

static void
say_row(Chart *chart, const Row *row)
{
  g_autofree char *before = dup_said(chart, &row->before);
  g_autofree char *after = dup_said(chart, &row->after);
  g_autofree char *sentence = pw_words_dup_phrase(
      chart->options->words, chart->has_after ? "chart-says" : "chart-says-before", "part",
      row->part, "term", row->term, "before", before, "after", after, NULL);
  g_string_append_printf(chart->says, "%s%s", chart->says->len > 0 ? " " : "", sentence);
}

/* ---- How much room it takes --------------------------------------------------------------------
 */

static char **
dup_part_lines(const Chart *chart, const char *part)
{
  return pw_drawing_dup_lines(chart->options->style, part, WIDTH, MOST_PART_LINES);
}

static char **
dup_term_lines(const Chart *chart, const char *term)
{
  return pw_drawing_dup_lines(chart->options->style, term, NAMES - TERM_X - NAMES_APART,
                              MOST_TERM_LINES);
}

static double
part_height(const Chart *chart, const char *part)
{
  g_auto(GStrv) lines = dup_part_lines(chart, part);
  return PART + (g_strv_length(lines) - 1) * LINE;
}

static double
row_height(const Chart *chart, const Row *row)
{
  g_auto(GStrv) lines = dup_term_lines(chart, row->term);
  return MAX(chart->has_after ? ROW : ROW_BEFORE, g_strv_length(lines) * LINE + 1);
}

static double
figures_width(const Chart *chart, const Amount *amount)
{
  g_autofree char *number = dup_known(chart, amount);
  g_autoptr(GString) all = rest_of(chart, amount, apart);
  if (number != NULL && all->len > 0)
    g_string_prepend(all, apart);
  g_string_prepend(all, number != NULL ? number : "");
  return pw_drawing_width_of(chart->options->style, all->str);
}

static double
widest_figures(const Chart *chart)
{
  double widest = 0;
  for (guint i = 0; i < chart->rows->len; i++) {
    const Row *row = &g_array_index(chart->rows, Row, i);
    widest = MAX(widest, figures_width(chart, &row->before));
    if (chart->has_after)
      widest = MAX(widest, figures_width(chart, &row->after));
  }
  return widest;
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
  return NAMES + value / chart->most * (WIDTH - NAMES - chart->figures);
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

/* The number, and softly what is to be said besides. */
static void
draw_figures(Chart *chart, const Amount *amount, double baseline)
{
  g_autofree char *number = dup_known(chart, amount);
  g_autoptr(GString) rest = rest_of(chart, amount, apart);
  PwMadeOf *words = pw_drawing_words(chart->drawing, WIDTH, baseline, 1, ink_of(chart, "ink"),
                                     number != NULL ? number : rest->str);
  words->is_soft = number == NULL;
  if (number != NULL && rest->len > 0)
    words->rest = g_strconcat(apart, rest->str, NULL);
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
  draw_figures(chart, amount, middle + TEXT_DROP);
}

static void
draw_lines(Chart *chart, char *const *lines, double x, double baseline, gboolean is_strong)
{
  for (guint i = 0; lines[i] != NULL; i++)
    pw_drawing_words(chart->drawing, x, baseline + i * LINE, 0, ink_of(chart, "ink"), lines[i])
        ->is_strong = is_strong;
}

static void
draw_row(Chart *chart, const Row *row)
{
  g_auto(GStrv) lines = dup_term_lines(chart, row->term);
  double bars = chart->has_after ? 2 * BAR + BARS_APART : BAR;
  double height = row_height(chart, row), middle = chart->y + height / 2, top = middle - bars / 2;
  draw_lines(chart, lines, TERM_X, middle + TEXT_DROP - (g_strv_length(lines) - 1) * LINE / 2,
             FALSE);
  draw_bar(chart, &row->before, top, FALSE);
  if (chart->has_after)
    draw_bar(chart, &row->after, top + BAR + BARS_APART, TRUE);
  chart->y += height;
  say_row(chart, row);
}

/* A long name runs on over the scale, whose lines stand back behind it. */
static void
draw_part(Chart *chart, const char *part)
{
  g_auto(GStrv) lines = dup_part_lines(chart, part);
  double bottom = chart->y + part_height(chart, part), widest = 0;
  for (guint i = 0; lines[i] != NULL; i++)
    widest = MAX(widest, pw_drawing_width_of(chart->options->style, lines[i]));
  if (widest > NAMES)
    pw_drawing_box(chart->drawing, 0, chart->y + 1, MIN(widest, WIDTH), bottom,
                   ink_of(chart, "casing"), 0, ink_of(chart, "casing"));
  draw_lines(chart, lines, 0, chart->y + PART - 1, TRUE);
  chart->y = bottom;
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
  for (double at = 0; at <= chart->most * (1 + 1e-9); at += chart->step) {
    g_autofree char *figure = dup_figure(chart, at, chart->step);
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
    height += row_height(chart, row);
    height += g_strcmp0(part, row->part) != 0 ? part_height(chart, row->part) : 0;
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

static void
add_charts(GPtrArray *charts, Chart *chart)
{
  for (guint first = 0; chart->most > 0 && first < chart->rows->len;) {
    guint end = end_of_page(chart, first);
    g_ptr_array_add(charts, draw(chart, first, end));
    first = end;
  }
}

GPtrArray *
pw_charts_new(const PwModelSummary *summary, const PwReportOptions *options)
{
  GPtrArray *charts = g_ptr_array_new_with_free_func(free_drawing);
  Chart of[N_KINDS];
  double widest = 0;
  for (int kind = 0; kind < N_KINDS; kind++) {
    of[kind] = (Chart){.options = options,
                       .has_after = tells_after(summary, options->kind),
                       .kind = (Kind)kind,
                       .rows = g_array_new(FALSE, FALSE, sizeof(Row))};
    gather_rows(&of[kind], summary);
    find_scale(&of[kind]);
    widest = MAX(widest, widest_figures(&of[kind]) + FIGURES_APART);
  }
  for (int kind = 0; kind < N_KINDS;
       kind++) { /* below one another, their bars begin and end alike */
    of[kind].figures = CLAMP(widest, LEAST_FIGURES, MOST_FIGURES);
    add_charts(charts, &of[kind]);
    g_array_unref(of[kind].rows);
  }
  return charts;
}
