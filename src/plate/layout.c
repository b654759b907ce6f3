/* Chooses how a plate is laid out: upright or across, pictures in a row or stacked, columns on one
 * side or both. Every plan is worked out with the words it would need; the one whose pictures are
 * largest on paper wins, a plan that needs further pages, or whose leaders run far or over other
 * marks, counting less. Plans are first weighed at their best, with pages and leaders as in the
 * lightest case; those that could then still win are laid out in full, callouts and all. */
#include "layout.h"

#include <math.h>
#include <string.h>

#include "leader.h"
#include "ratio.h"
#include "spacing.h"

/* What one more page costs, as a factor on the pictures' area. */
#define PAGE_WORTH 0.72
/* Across is how a bench photograph is usually read: taken unless upright is clearly larger. */
#define LANDSCAPE_WORTH 1.04

/* Rounding of type: a column this much wider than a text never breaks it. */
#define COLUMN_SLACK_MM 0.05
/* Words at the two ends of a caption's row do not come nearer than this. */
#define CAPTION_APART_MM 4.0
/* What a figure at an end of the scale bar, centred on it, reaches beyond it. */
#define BAR_FIGURE_MM 8.0
/* Callouts below their pictures are found by number: a step more for the reader. */
#define TABLE_WORTH 0.85
/* Shares of the page's height that are tried for callouts below the pictures. */
static const double table_shares[] = {0.18, 0.24, 0.3, 0.36, 0.42, 0.48};
/* What a leader costs that runs right across its picture, as a share of the pictures' area; and
 * what one costs, as a factor on that area, that runs over another mark or a card. */
#define LEADER_COST 0.35
#define OVER_WORTH 0.88
/* Leaders longer together on one page lie over the picture like a net: at twice as long it is worth
 * half. */
#define NET_MM 600.0

typedef struct {
  PwPdf *pdf;
  const PwStyle *style;
  const PwSheet *sheet;
  PwMeasures measures;
  PwWanted wanted[PW_MOST_PICTURES];
  PwHeights heights[2];     /* of upright pages and those across, without captions and scale */
  GPtrArray *wide, *narrow; /* callouts at the widest and the narrowest column, for their lines */
} Work;

static PwMeasures
read_measures(const PwStyle *style, const PwWords *words)
{
  PwMeasures m = {
      .margin = pw_style_length(style, "margin"),
      .column = pw_style_length(style, "callout-column"),
      .widest_column = PW_WIDEST_COLUMN,
      .gutter = pw_style_length(style, "column-gap"),
      .gap = pw_style_length(style, "gutter"),
      .least_caption = PW_LEAST_CAPTION,
      .least_ppi = PW_LEAST_PPI,
  };
  pw_style_page(style, words, &m.short_mm, &m.long_mm);
  return m;
}

/* ---- Captions -------------------------------------------------------------------------------- */

static void
row_clear(gpointer data)
{
  PwCaptionRow *row = data;
  pw_text_free(row->left);
  pw_text_free(row->right);
}

static void
caption_free(PwCaption *caption)
{
  if (caption == NULL)
    return;
  g_array_unref(caption->rows);
  g_free(caption);
}

/* The ratio before what is said of it. */
static char *
dup_scale_words(const Work *w, double ratio, const char *words)
{
  if (!(ratio > 0))
    return g_strdup(words);
  const PwWords *said = w->sheet->words;
  g_autofree char *plain = pw_ratio_dup_figure(ratio);
  g_autofree char *figure = pw_words_dup_number(said, plain);
  g_autofree char *figures =
      pw_words_dup_phrase(said, ratio < 1 ? "scale-ratio" : "scale-larger", "ratio", figure, NULL);
  return words == NULL || *words == '\0' ? g_strdup(figures)
                                         : g_strdup_printf("%s \u00b7 %s", figures, words);
}

static PwText *
set_words(const Work *w, PwRole role, const char *words, double width)
{
  return words != NULL && *words != '\0'
             ? pw_plate_phrases_new(w->pdf, w->style, role, words, width)
             : NULL;
}

/* What stands left and right under a picture; either may be NULL or empty. */
typedef struct {
  PwRole left_role;
  const char *left;
  PwRole right_role;
  const char *right;
} RowWords;

static RowWords
stage_row(const PwSheetPicture *picture)
{
  return (RowWords){PW_ROLE_STAGE, picture->label, PW_ROLE_CAPTION, picture->when};
}

static RowWords
file_row(const PwSheetPicture *picture)
{
  gboolean named = picture->file != NULL && *picture->file != '\0';
  return (RowWords){PW_ROLE_FILE, named ? picture->file : picture->camera, PW_ROLE_FILE,
                    named ? picture->camera : NULL};
}

static double
width_of(const PwText *text)
{
  return text != NULL ? pw_text_width(text) : 0;
}

static gboolean
needs_below(const Work *w, RowWords words, double width)
{
  g_autoptr(PwText) left = set_words(w, words.left_role, words.left, 0);
  g_autoptr(PwText) right = set_words(w, words.right_role, words.right, 0);
  return left != NULL && right != NULL &&
         width_of(left) + CAPTION_APART_MM + width_of(right) > width;
}

/* What stands right under one picture does so under all, or under none. */
static gboolean
any_needs_below(const Work *w, RowWords (*row_of)(const PwSheetPicture *),
                const PwArranged *arranged)
{
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    if (needs_below(w, row_of(&w->sheet->pictures[i]), arranged->caption_width[i]))
      return TRUE;
  return FALSE;
}

/* `right` at the right of `left`, or below it. */
static void
add_row(const Work *w, PwCaption *caption, RowWords words, gboolean below, double width)
{
  PwCaptionRow row = {.left = set_words(w, words.left_role, words.left, width)};
  gboolean beside = row.left != NULL && !below;
  row.right = set_words(w, words.right_role, words.right, beside ? 0 : width);
  row.right_below = row.left != NULL && row.right != NULL && below;
  double left_height = row.left != NULL ? pw_text_height(row.left) : 0;
  double right_height = row.right != NULL ? pw_text_height(row.right) : 0;
  caption->height += row.right_below ? left_height + right_height : MAX(left_height, right_height);
  g_array_append_val(caption->rows, row);
}

/* Where the pictures have no common ratio, each says its own. */
static void
add_own_scale(const Work *w, PwCaption *caption, guint i, const PwArranged *arranged)
{
  const PwSheetPicture *picture = &w->sheet->pictures[i];
  if (picture->scale == NULL)
    return;
  double ratio = arranged->boxes[i].width / (picture->crop_width * picture->mm_per_px);
  g_autofree char *words =
      dup_scale_words(w, arranged->ratio > 0 ? (double)NAN : ratio, picture->scale);
  add_row(w, caption, (RowWords){PW_ROLE_FILE, words, PW_ROLE_FILE, NULL}, FALSE,
          arranged->caption_width[i]);
}

/* The bar of its steps and the figures under that. */
static void
add_steps(const Work *w, PwCaption *caption)
{
  caption->steps = caption->height + PW_STEPS_DROP;
  caption->height = caption->steps + pw_style_length(w->style, "swatch-height") + PW_STEPS_FIGURE +
                    pw_style_type(w->style, PW_ROLE_CAPTION)->leading_pt * PW_MM_PER_PT;
}

static PwCaption *
caption_new(const Work *w, guint i, const PwArranged *arranged)
{
  double width = arranged->caption_width[i];
  const PwSheetPicture *picture = &w->sheet->pictures[i];
  PwCaption *caption = g_new0(PwCaption, 1);
  caption->rows = g_array_new(FALSE, FALSE, sizeof(PwCaptionRow));
  g_array_set_clear_func(caption->rows, row_clear);
  caption->height = pw_style_length(w->style, "caption-gap");
  add_row(w, caption, stage_row(picture), any_needs_below(w, stage_row, arranged), width);
  if (picture->differs_from != NULL)
    add_steps(w, caption);
  add_row(w, caption, file_row(picture), any_needs_below(w, file_row, arranged), width);
  add_own_scale(w, caption, i, arranged);
  return caption;
}

static double
caption_height(const Work *w, guint i, const PwArranged *arranged)
{
  PwCaption *caption = caption_new(w, i, arranged);
  double height = caption->height;
  caption_free(caption);
  return height;
}

/* ---- One plan -------------------------------------------------------------------------------- */

typedef struct {
  PwPlan plan;
  PwHeights heights;
  PwArranged arranged;
  double worth;
} Tried;

/* Long enough a ratio for what will stand before the words. */
#define LONG_RATIO 0.0625

/* What is free below the captions from left to right, between callouts that run on there. */
typedef struct {
  double left, right;
} Span;

static Span
span_below(const Work *w, const PwArranged *arranged)
{
  Span span = {w->measures.margin, arranged->page_width - w->measures.margin};
  for (guint i = 0; i < arranged->n_spaces; i++) {
    const PwSpace *space = &arranged->spaces[i];
    if (space->bottom <= arranged->captions_end)
      continue;
    if (space->right)
      span.right = MIN(span.right, space->x - w->measures.gutter);
    else
      span.left = MAX(span.left, space->x + space->width + w->measures.gutter);
  }
  return span;
}

static PwText *
scale_text_new(const Work *w, double ratio, Span span)
{
  g_autofree char *words = dup_scale_words(w, ratio, w->sheet->scale);
  return pw_plate_phrases_new(w->pdf, w->style, PW_ROLE_SCALE, words, span.right - span.left);
}

static double
scale_height(const Work *w, Span span)
{
  if (w->sheet->scale == NULL)
    return 0;
  g_autoptr(PwText) text = scale_text_new(w, LONG_RATIO, span);
  return PW_SCALE_BLOCK + pw_text_height(text);
}

/* Of what stands above and below the pictures on upright pages, or on those across. */
static PwHeights
read_heights(const Work *w, gboolean landscape)
{
  double width = landscape ? w->measures.long_mm : w->measures.short_mm;
  PwHead *head = pw_head_new(w->pdf, w->style, w->sheet, width);
  PwFoot *foot = pw_foot_new(w->pdf, w->style, w->sheet, w->sheet->callouts, width);
  PwHeights heights = {.head = head->height};
  heights.below = pw_style_length(w->style, "foot-gap") + foot->height + w->measures.margin;
  pw_head_free(head);
  pw_foot_free(foot);
  return heights;
}

/* Captions and what is said of the scale are set to the widths that the pictures leave, and the
 * pictures sized by what these leave: twice round settles it, since a line more takes little from a
 * width. */
static gboolean
arrange_with_captions(const Work *w, Tried *tried)
{
  tried->heights.caption = pw_style_length(w->style, "caption-gap") + 10;
  for (guint round = 0; round < 3; round++) {
    if (!pw_arrange(&tried->plan, w->wanted, w->sheet->n_pictures, &w->measures, &tried->heights,
                    &tried->arranged))
      return FALSE;
    double highest = 0;
    for (guint i = 0; i < w->sheet->n_pictures; i++)
      highest = MAX(highest, caption_height(w, i, &tried->arranged));
    double scale = scale_height(w, span_below(w, &tried->arranged));
    if (round > 0 && highest <= tried->heights.caption && scale <= tried->heights.scale)
      return TRUE;
    tried->heights.caption = highest;
    tried->heights.scale = scale;
  }
  return pw_arrange(&tried->plan, w->wanted, w->sheet->n_pictures, &w->measures, &tried->heights,
                    &tried->arranged);
}

/* Steps beyond one from the last baseline of a callout to the first of the next: the head's
 * leading, of which about a millimetre is white, and what else the style wants white. */
static int
blank_steps(const PwStyle *style)
{
  double more = (pw_style_length(style, "callout-gap") - 1) / pw_plate_step(style);
  return pw_plate_leading(style, PW_ROLE_HEAD) - 1 + MAX(0, (int)floor(more + 0.5));
}

static double
block_mm(const Work *w, const PwBlock *block)
{
  int steps = 1 + pw_block_steps(block, 0, block->lines->len) + blank_steps(w->style);
  return steps * pw_plate_step(w->style);
}

/* The fewest pages that the callouts of one picture could need. */
static double
pages_for(const Work *w, const Tried *tried, guint picture)
{
  gboolean is_wide =
      tried->arranged.n_spaces > 0 && tried->arranged.spaces[0].width > w->measures.column;
  const GPtrArray *blocks = is_wide ? w->wide : w->narrow;
  double words = 0, room = 0;
  for (guint i = 0; i < blocks->len; i++) {
    const PwBlock *block = blocks->pdata[i];
    if (block->callout->picture == picture)
      words += block_mm(w, block);
  }
  for (guint s = 0; s < tried->arranged.n_spaces; s++) {
    const PwSpace *space = &tried->arranged.spaces[s];
    if (space->picture == picture)
      room += space->bottom - space->top + blank_steps(w->style) * pw_plate_step(w->style);
  }
  return MAX(1, ceil(words / MAX(room, 1)));
}

/* Sets the row of the callouts from `i` on that have one number below what is used of each
 * picture's part of a table; its end. */
static guint
use_row(const Work *w, guint i, double used[PW_MOST_PICTURES])
{
  const PwBlock *first = w->narrow->pdata[i];
  guint end = i;
  double top = 0;
  for (; end < w->narrow->len; end++) {
    const PwCallout *callout = ((PwBlock *)w->narrow->pdata[end])->callout;
    if (callout->number != first->callout->number)
      break;
    top = MAX(top, used[callout->picture]);
  }
  for (guint k = i; k < end; k++)
    used[((PwBlock *)w->narrow->pdata[k])->callout->picture] = top;
  for (guint k = i; k < end; k++)
    used[((PwBlock *)w->narrow->pdata[k])->callout->picture] += block_mm(w, w->narrow->pdata[k]);
  return end;
}

static double
most_used(const double used[PW_MOST_PICTURES])
{
  double most = 0;
  for (guint i = 0; i < PW_MOST_PICTURES; i++)
    most = MAX(most, used[i]);
  return most;
}

/* Pages that a table of all callouts needs at `room` mm a page, about. `height` gets what it would
 * need on one page. */
static double
table_pages(const Work *w, double room, double *height)
{
  double pages = 1, used[PW_MOST_PICTURES] = {0}, whole[PW_MOST_PICTURES] = {0};
  for (guint i = 0; i < w->narrow->len;) {
    gboolean is_first = !(most_used(used) > 0);
    use_row(w, i, used);
    if (!is_first && most_used(used) > room) {
      pages++;
      memset(used, 0, sizeof used);
      use_row(w, i, used);
    }
    i = use_row(w, i, whole);
  }
  *height = most_used(whole);
  return pages;
}

/* How the leaders of a plan run. */
typedef struct {
  double run;    /* how far across their pictures on average, 0 to 1 */
  double net_mm; /* all of a page together, on average */
  guint n_over;  /* how often one runs over another mark */
} Leaders;

/* The least that it could be, whatever stands where. */
static Leaders
least_leaders(const Work *w, const PwPlan *plan)
{
  double sum = 0;
  guint n = 0;
  for (guint i = 0; i < w->sheet->callouts->len; i++) {
    const PwCallout *callout = w->sheet->callouts->pdata[i];
    const PwSheetMark *mark = pw_callout_peek_mark(w->sheet, callout);
    if (mark == NULL)
      continue;
    const PwSheetPicture *picture = &w->sheet->pictures[callout->picture];
    double left = 1, right = 0;
    for (gsize k = 0; k < mark->path->n; k++) {
      double x = (mark->path->points[k].x - picture->crop_x) / picture->crop_width;
      left = MIN(left, x);
      right = MAX(right, x);
    }
    gboolean pair = plan->arrangement == PW_IN_ROW && pw_sheet_n_photographs(w->sheet) == 2;
    gboolean from_left = pair ? callout->picture == 0 : plan->side == PW_SIDE_LEFT;
    double run = from_left ? left : 1 - right;
    sum += CLAMP(plan->side == PW_SIDE_BOTH && !pair ? MIN(left, 1 - right) : run, 0, 1);
    n++;
  }
  return (Leaders){n > 0 ? sum / n : 0, 0, 0};
}

static double
fewest_pages(const Work *w, const Tried *tried)
{
  double height;
  if (tried->plan.table_mm > 0)
    return table_pages(w, tried->arranged.tables[0].height - PW_TABLE_DROP, &height);
  double pages = 1;
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    pages = MAX(pages, pages_for(w, tried, i));
  return pages;
}

static double
worth_of(const Work *w, const Tried *tried, double pages, Leaders leaders)
{
  double net = MAX(0, leaders.net_mm / NET_MM - 1);
  return pw_arranged_area(&tried->arranged, w->sheet->n_pictures) * pow(PAGE_WORTH, pages - 1) *
         (tried->plan.landscape ? LANDSCAPE_WORTH : 1) *
         (tried->plan.table_mm > 0 ? TABLE_WORTH : 1) * (1 - LEADER_COST * leaders.run) *
         pow(OVER_WORTH, leaders.n_over) / (1 + net);
}

static void
add_plan(const Work *w, GArray *plans, PwPlan plan)
{
  Tried tried = {.plan = plan, .heights = w->heights[plan.landscape]};
  if (!arrange_with_captions(w, &tried))
    return;
  tried.worth = worth_of(w, &tried, fewest_pages(w, &tried), least_leaders(w, &plan));
  g_array_append_val(plans, tried);
}

static int
compare_worth(gconstpointer a, gconstpointer b)
{
  const Tried *p = a, *q = b;
  return p->worth > q->worth ? -1 : p->worth < q->worth;
}

static void
add_tables(const Work *w, GArray *plans, gboolean landscape)
{
  double high = landscape ? w->measures.short_mm : w->measures.long_mm, last = 0;
  for (gsize i = 0; i < G_N_ELEMENTS(table_shares); i++) {
    double whole, share = table_shares[i] * high;
    table_pages(w, share, &whole);
    double table = MIN(whole + PW_TABLE_DROP, share);
    if (table > last)
      add_plan(w, plans, (PwPlan){landscape, PW_IN_ROW, PW_SIDE_RIGHT, table, 0});
    last = table;
  }
}

/* Stacks with one column, and rows. */
static void
add_sided(const Work *w, GArray *plans, gboolean landscape, double column)
{
  add_plan(w, plans, (PwPlan){landscape, PW_STACKED, PW_SIDE_RIGHT, 0, column});
  if (!w->wanted[0].wordless)
    add_plan(w, plans, (PwPlan){landscape, PW_STACKED, PW_SIDE_LEFT, 0, column});
  if (w->sheet->n_pictures > 1)
    add_plan(w, plans, (PwPlan){landscape, PW_IN_ROW, PW_SIDE_RIGHT, 0, column});
  if (w->sheet->n_pictures > 2)
    add_tables(w, plans, landscape);
}

/* All plans whose columns are at least so wide and that leave the pictures room, the best first.
 * Narrow ones are for pictures between two. */
static GArray *
plans_new(const Work *w, double column)
{
  GArray *plans = g_array_new(FALSE, FALSE, sizeof(Tried));
  for (int landscape = 0; landscape < 2; landscape++) {
    if (!(column < w->measures.column))
      add_sided(w, plans, landscape, column);
    if (!w->wanted[0].wordless)
      add_plan(w, plans, (PwPlan){landscape, PW_STACKED, PW_SIDE_BOTH, 0, column});
  }
  g_array_sort(plans, compare_worth);
  return plans;
}

/* ---- What a plan holds -------------------------------------------------------------- */

/* Those that were found in the photograph itself. */
static void
set_cards(PwLayout *layout, guint i)
{
  const PwSheetPicture *picture = &layout->sheet->pictures[i];
  const PwModelPhoto *photo = picture->source;
  if (photo == NULL)
    return;
  layout->cards[i] = g_new0(PwPaperShape, photo->n_cards + 1);
  for (gsize k = 0; k < photo->n_cards; k++) {
    PwPx corners[4];
    if (photo->cards[k].design == NULL)
      continue;
    memcpy(corners, photo->cards[k].outline, sizeof corners);
    for (guint c = 0; picture->laid && c < 4; c++)
      pw_homography_apply(&picture->to_frame, corners[c].x, corners[c].y, &corners[c].x,
                          &corners[c].y);
    PwPxPath outline = {corners, 4};
    pw_paper_shape_init(&layout->cards[i][layout->n_cards[i]++], &layout->frames[i], PW_KIND_AREA,
                        &outline, NULL, 0);
  }
}

static void
set_frames(PwLayout *layout)
{
  for (guint i = 0; i < layout->sheet->n_pictures; i++) {
    const PwSheetPicture *picture = &layout->sheet->pictures[i];
    PwBox box = layout->arranged.boxes[i];
    layout->frames[i] = (PwFrame){picture->crop_x, picture->crop_y, box.width / picture->crop_width,
                                  box.height / picture->crop_height, box};
    layout->shapes[i] = g_new0(PwPaperShape, picture->marks->len + 1);
    for (guint k = 0; k < picture->marks->len; k++) {
      const PwSheetMark *mark = &g_array_index(picture->marks, PwSheetMark, k);
      pw_paper_shape_init(&layout->shapes[i][k], &layout->frames[i], mark->kind, mark->path,
                          mark->holes, mark->n_holes);
    }
    set_cards(layout, i);
  }
}

/* The pictures' common middle: what stands centred beneath them. */
static double
pictures_middle(const PwLayout *layout)
{
  double left = HUGE_VAL, right = 0;
  for (guint i = 0; i < layout->sheet->n_pictures; i++) {
    left = MIN(left, layout->arranged.boxes[i].x);
    right = MAX(right, layout->arranged.boxes[i].x + layout->arranged.boxes[i].width);
  }
  return (left + right) / 2;
}

/* Centred beneath the pictures, within what is free there. */
static double
centred(const PwLayout *layout, Span span, double width)
{
  return CLAMP(pictures_middle(layout) - width / 2, span.left, MAX(span.left, span.right - width));
}

static void
set_scale(const Work *w, PwLayout *layout)
{
  if (w->sheet->scale == NULL)
    return;
  double ratio = layout->arranged.ratio;
  Span span = span_below(w, &layout->arranged);
  layout->scale = scale_text_new(w, ratio, span);
  /* Each line stands in the middle of the widest: the column is as wide as that. */
  const double width_mm = pw_text_width(layout->scale);
  pw_text_set_width(layout->scale, width_mm + COLUMN_SLACK_MM);
  layout->scale_x = centred(layout, span, width_mm);
  double y = layout->arranged.captions_end + PW_BAR_DROP;
  if (ratio > 0) {
    double longest =
        MIN(pw_style_length(w->style, "bar-longest"), span.right - span.left - 2 * BAR_FIGURE_MM);
    layout->bar_mm = pw_bar_length(ratio, longest);
    double width = layout->bar_mm * ratio;
    layout->bar =
        (PwBox){centred(layout, span, width), y, width, pw_style_length(w->style, "bar-height")};
    y += layout->bar.height + PW_SCALE_DROP;
  }
  layout->scale_y = y + pw_text_first_baseline(layout->scale);
}

static void
set_columns(const Work *w, PwLayout *layout)
{
  double step = pw_plate_step(w->style), below = PW_DESCENT;
  double drop = PW_FIRST_DROP;
  /* Level over all the white there is: leaders turn where their picture begins. */
  double beside = MAX(0, w->measures.gutter - pw_style_length(w->style, "leader-level"));
  layout->rise = PW_RISE;
  layout->table_drop = PW_TABLE_DROP;
  layout->point_radius = pw_style_length(w->style, "point");
  layout->grid = (PwGrid){layout->arranged.boxes[0].y + drop - layout->rise, step};
  for (guint s = 0; s < layout->arranged.n_spaces; s++) {
    const PwSpace *space = &layout->arranged.spaces[s];
    const PwBox *box = &layout->arranged.boxes[space->picture];
    double origin = layout->grid.origin_mm;
    layout->columns[s] = (PwColumn){
        .bend_x = space->right ? box->x + box->width + beside : box->x - beside,
        .first = (int)ceil((space->top + drop - layout->rise - origin) / step - 1e-6),
        .end = (int)floor((space->bottom - below - layout->rise - origin) / step) + 1,
        .last_start = (int)floor((box->y + box->height - origin) / step),
        .blank = blank_steps(w->style),
    };
  }
}

static void
set_locator(const Work *w, PwLayout *layout)
{
  if (!w->sheet->locator)
    return;
  const PwSheetPicture *picture = &w->sheet->pictures[0];
  PwSpace *space = &layout->arranged.spaces[layout->arranged.n_spaces - 1];
  double widest = MIN(space->width, PW_LOCATOR);
  double scale = MIN(widest / picture->width_px, widest / picture->height_px);
  double width = picture->width_px * scale, height = picture->height_px * scale;
  const PwBox *box = &layout->arranged.boxes[0];
  layout->locator =
      (PwBox){space->x, MAX(space->top, box->y + box->height - height), width, height};
  layout->locator_frame = (PwBox){layout->locator.x + picture->crop_x * scale,
                                  layout->locator.y + picture->crop_y * scale,
                                  picture->crop_width * scale, picture->crop_height * scale};
  space->bottom = layout->locator.y - w->measures.gap;
}

static void
page_free(PwPage *page)
{
  g_array_unref(page->placed);
  pw_text_free(page->part);
  pw_foot_free(page->foot);
  g_free(page);
}

void
pw_layout_free(PwLayout *layout)
{
  if (layout == NULL)
    return;
  for (guint i = 0; i < layout->sheet->n_pictures; i++) {
    for (guint k = 0; layout->shapes[i] != NULL && k < layout->sheet->pictures[i].marks->len; k++)
      pw_paper_shape_clear(&layout->shapes[i][k]);
    g_free(layout->shapes[i]);
    for (guint k = 0; k < layout->n_cards[i]; k++)
      pw_paper_shape_clear(&layout->cards[i][k]);
    g_free(layout->cards[i]);
    caption_free(layout->captions[i]);
  }
  pw_head_free(layout->head);
  pw_text_free(layout->scale);
  g_ptr_array_unref(layout->pages);
  g_ptr_array_unref(layout->blocks);
  g_free(layout);
}

static void
set_blocks(const Work *w, PwLayout *layout, const PwPlan *plan)
{
  const PwArranged *arranged = &layout->arranged;
  for (guint i = 0; i < w->sheet->callouts->len; i++) {
    const PwCallout *callout = w->sheet->callouts->pdata[i];
    double width =
        plan->table_mm > 0 ? arranged->tables[callout->picture].width : arranged->spaces[0].width;
    g_ptr_array_add(layout->blocks, pw_block_new(w->pdf, w->style, callout, width));
  }
}

/* With its callouts on their pages, but not yet in their places there. */
static PwLayout *
lay_out(const Work *w, const Tried *tried)
{
  PwLayout *layout = g_new0(PwLayout, 1);
  layout->sheet = w->sheet;
  layout->blocks = g_ptr_array_new_with_free_func((GDestroyNotify)pw_block_free);
  layout->pages = g_ptr_array_new_with_free_func((GDestroyNotify)page_free);
  layout->arranged = tried->arranged;
  set_frames(layout);
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    layout->captions[i] = caption_new(w, i, &tried->arranged);
  layout->head = pw_head_new(w->pdf, w->style, w->sheet, tried->arranged.page_width);
  set_scale(w, layout);
  set_locator(w, layout);
  set_columns(w, layout);
  set_blocks(w, layout, &tried->plan);
  pw_layout_paginate(layout);
  return layout;
}

/* ---- The best plan --------------------------------------------------------------------------- */

static GPtrArray *
blocks_new(const Work *w, double width)
{
  GPtrArray *blocks = g_ptr_array_new_with_free_func((GDestroyNotify)pw_block_free);
  for (guint i = 0; i < w->sheet->callouts->len; i++)
    g_ptr_array_add(blocks, pw_block_new(w->pdf, w->style, w->sheet->callouts->pdata[i], width));
  return blocks;
}

static Work
work_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet)
{
  Work w = {.pdf = pdf, .style = style, .sheet = sheet};
  gboolean wordless = sheet->callouts->len == 0 && !sheet->locator;
  w.measures = read_measures(style, sheet->words);
  for (int landscape = 0; landscape < 2; landscape++)
    w.heights[landscape] = read_heights(&w, landscape);
  w.wide = blocks_new(&w, w.measures.widest_column);
  w.narrow = blocks_new(&w, w.measures.column);
  for (guint i = 0; i < sheet->n_pictures; i++) {
    const PwSheetPicture *picture = &sheet->pictures[i];
    w.wanted[i] = (PwWanted){picture->crop_width, picture->crop_height, picture->mm_per_px,
                             wordless || picture->differs_from != NULL};
  }
  return w;
}

static Leaders
true_leaders(const PwLayout *layout)
{
  Leaders leaders = {0, 0, 0};
  guint n = 0;
  for (guint k = 0; k < layout->pages->len; k++) {
    const GArray *placed = ((PwPage *)layout->pages->pdata[k])->placed;
    for (guint i = 0; i < placed->len; i++) {
      const PwPlaced *own = &g_array_index(placed, PwPlaced, i);
      if (!own->leads)
        continue;
      double length = hypot(own->anchor.x - own->bend.x, own->anchor.y - own->bend.y);
      leaders.run += MIN(1, length / layout->arranged.boxes[own->block->callout->picture].width);
      leaders.net_mm += length / layout->pages->len;
      n++;
    }
    leaders.n_over += pw_leaders_over(layout, placed);
  }
  leaders.run /= MAX(1, n);
  return leaders;
}

typedef struct {
  PwLayout *layout; /* NULL: none yet */
  double worth;
  guint n_over;
} Best;

static void
try_plans(const Work *w, double column, Best *best)
{
  g_autoptr(GArray) plans = plans_new(w, column);
  for (guint i = 0; i < plans->len; i++) {
    const Tried *tried = &g_array_index(plans, Tried, i);
    if (tried->worth <= best->worth)
      return;
    g_autoptr(PwLayout) layout = lay_out(w, tried);
    guint pages = layout->pages->len;
    if (worth_of(w, tried, pages, least_leaders(w, &tried->plan)) <= best->worth)
      continue;
    pw_layout_place(layout, w->pdf, w->style);
    Leaders leaders = true_leaders(layout);
    double worth = worth_of(w, tried, pages, leaders);
    if (worth <= best->worth)
      continue;
    pw_layout_free(best->layout);
    *best = (Best){g_steal_pointer(&layout), worth, leaders.n_over};
  }
}

PwLayout *
pw_layout_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, GError **error)
{
  Work w = work_new(pdf, style, sheet);
  Best best = {NULL, 0, 0};
  try_plans(&w, w.measures.column, &best);
  /* Narrower columns leave larger pictures between two, wider ones hold more words. */
  if (best.layout != NULL && (best.layout->pages->len > 1 || best.n_over > 0)) {
    try_plans(&w, PW_NARROWEST_COLUMN * w.measures.column, &best);
    try_plans(&w, (w.measures.column + w.measures.widest_column) / 2, &best);
    try_plans(&w, w.measures.widest_column, &best);
  }
  if (best.layout == NULL)
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "%s: the words leave no room for the pictures; shorten its title and captions",
                sheet->place);
  g_ptr_array_unref(w.wide);
  g_ptr_array_unref(w.narrow);
  return best.layout;
}

PwBox
pw_layout_words_box(const PwLayout *layout, const PwPlaced *placed)
{
  double below = pw_block_steps(placed->block, placed->first, placed->end) * layout->grid.step_mm;
  const PwBox *table = &layout->arranged.tables[placed->block->callout->picture];
  double width = table->width > 0 ? table->width : layout->arranged.spaces[placed->space].width;
  return (PwBox){placed->words.x, placed->words.y - PW_ASCENT, width,
                 PW_ASCENT + below + PW_DESCENT};
}
