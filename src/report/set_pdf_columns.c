/* Columns: how wide each column of a table is.
 *
 * Figures and short words are as wide as the widest of them; words share what is left by weight,
 * but none takes more than it has to say. Where there is too little for all, the columns that hold
 * words give up first, down to their widest word and below it; the narrow ones, whose dates and
 * figures must not be broken, only where they would take more than half of the room.
 */
#include "set_pdf_columns.h"

/* No column asks for more than these shares for the sake of one long word, unless its weight gives
 * it more, or of one figure. */
#define WIDEST_WORD 0.22
#define WIDEST_FIGURE 0.3
/* Narrow columns together take no more than this share, unless there are no others. */
#define NARROW_SHARE 0.6
/* Heads wider than this wrap, mm, rather than make a column of short cells wide. */
#define WIDEST_HEAD 22.0
/* Rounding of type: a column this much wider than a text never breaks it. */
#define SLACK 0.05

typedef struct {
  double natural; /* all on one line */
  double least;   /* no word is broken */
} Need;

static Need
need_of(PwText *text)
{
  return (Need){pw_text_width(text) + SLACK, pw_text_widest_word(text) + SLACK};
}

/* What the head and the cells of a column need; a long head wraps at its words. */
static Need
column_need(const PwBlock *block, PwText *const *heads, PwText *const *cells, gsize column)
{
  Need need = need_of(heads[column]);
  need.natural = MAX(need.least, MIN(need.natural, WIDEST_HEAD));
  for (guint i = 0; i < block->rows->len; i++) {
    Need cell = need_of(cells[i * block->n_columns + column]);
    need.natural = MAX(need.natural, cell.natural);
    need.least = MAX(need.least, cell.least);
  }
  return need;
}

static gboolean
is_words(const PwBlock *block, gsize column)
{
  return block->columns[column].kind == PW_COLUMN_WORDS;
}

static double
weight_of(const PwBlock *block, gsize column)
{
  return block->columns[column].weight > 0 ? block->columns[column].weight : 1;
}

/* Words share `room` by weight, each at least its least; those that need no more than their share
 * leave the rest of it to the others. */
static void
share_out(const PwBlock *block, const Need *needs, double room, double *widths)
{
  g_autofree gboolean *is_set = g_new0(gboolean, block->n_columns);
  for (gboolean again = TRUE; again;) {
    double left = room, weights = 0;
    again = FALSE;
    for (gsize j = 0; j < block->n_columns; j++) {
      if (is_words(block, j) && is_set[j])
        left -= widths[j];
      else if (is_words(block, j))
        weights += weight_of(block, j);
    }
    for (gsize j = 0; j < block->n_columns && !again; j++) {
      if (!is_words(block, j) || is_set[j])
        continue;
      double share = left * weight_of(block, j) / weights;
      widths[j] = CLAMP(share, needs[j].least, MAX(needs[j].least, needs[j].natural));
      again = is_set[j] = widths[j] > share || widths[j] < share;
    }
  }
}

static double
sum_of(const double *widths, gsize n)
{
  double sum = 0;
  for (gsize j = 0; j < n; j++)
    sum += widths[j];
  return sum;
}

/* Narrow columns are as wide as their widest, but give way, down to their widest word, where they
 * would take more than `room` together. Their sum. */
static double
set_narrow(const PwBlock *block, const Need *needs, double room, double *widths)
{
  double over = -room, spare = 0, sum = 0;
  for (gsize j = 0; j < block->n_columns; j++) {
    over += is_words(block, j) ? 0 : needs[j].natural;
    spare += is_words(block, j) ? 0 : needs[j].natural - needs[j].least;
  }
  double part = over > 0 && spare > 0 ? MIN(1, over / spare) : 0;
  for (gsize j = 0; j < block->n_columns; j++) {
    if (!is_words(block, j))
      widths[j] = needs[j].natural - part * (needs[j].natural - needs[j].least);
    sum += widths[j];
  }
  return sum;
}

/* All of `room` is used: what is over goes to the words, by weight, or to the first column; what is
 * missing is taken from the words, or from all alike. */
static void
fit(const PwBlock *block, double room, double narrow, double *widths)
{
  double sum = sum_of(widths, block->n_columns), weights = 0;
  for (gsize j = 0; j < block->n_columns; j++)
    weights += is_words(block, j) ? weight_of(block, j) : 0;
  double words = sum - narrow;
  for (gsize j = 0; j < block->n_columns && sum > room; j++) {
    if (!(weights > 0))
      widths[j] *= room / sum;
    else if (is_words(block, j))
      widths[j] *= (room - narrow) / words;
  }
  for (gsize j = 0; j < block->n_columns && sum < room; j++) {
    if (weights > 0 && is_words(block, j))
      widths[j] += (room - sum) * weight_of(block, j) / weights;
    else if (!(weights > 0) && j == 0)
      widths[j] += room - sum;
  }
}

gboolean
pw_set_columns(const PwBlock *block, PwText *const *heads, PwText *const *cells, double narrow,
               double wide, double apart, double *widths)
{
  gsize n = block->n_columns;
  double between = apart * (double)(n - 1), natural = between;
  g_autofree Need *needs = g_new0(Need, n);
  for (gsize j = 0; j < n; j++) {
    needs[j] = column_need(block, heads, cells, j);
    natural += needs[j].natural;
  }
  gboolean is_wide = natural > narrow;
  double room = (is_wide ? wide : narrow) - between;
  gboolean is_scarce = natural - between > room;
  for (gsize j = 0; j < n && is_scarce; j++) {
    const gboolean figures = block->columns[j].kind == PW_COLUMN_FIGURES;
    const double widest = (figures ? WIDEST_FIGURE : WIDEST_WORD) * room;
    needs[j].least = MIN(needs[j].least, widest);
    if (!is_words(block, j))
      needs[j].natural = MIN(needs[j].natural, widest);
  }
  double taken = set_narrow(block, needs, is_scarce ? NARROW_SHARE * room : room, widths);
  share_out(block, needs, MAX(0, room - taken), widths);
  fit(block, room, taken, widths);
  return is_wide;
}
