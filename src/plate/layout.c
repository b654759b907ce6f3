/* Chooses how a plate is laid out: upright or across, pictures in a row or stacked, columns on one
 * side or both. Every plan is worked out with the words it would need; the one whose pictures are
 * largest on paper wins, a plan that needs further pages counting less. */
#include "layout.h"

#include <math.h>
#include <string.h>

#include "ratio.h"
#include "spacing.h"

/* What one more page costs, as a factor on the pictures' area. */
#define PAGE_WORTH 0.72
/* Across is how a bench photograph is usually read: taken unless upright is clearly larger. */
#define LANDSCAPE_WORTH 1.04

/* Words at the two ends of a caption's row do not come nearer than this. */
#define CAPTION_APART_MM 4.0
/* What a figure at an end of the scale bar, centred on it, reaches beyond it. */
#define BAR_FIGURE_MM 8.0
/* Callouts below their pictures are found by number: a step more for the reader. */
#define TABLE_WORTH 0.85
/* Shares of the page's height that are tried for callouts below the pictures. */
static const double table_shares[] = {0.18, 0.24, 0.3, 0.36, 0.42, 0.48};
/* What a leader costs that runs right across its picture, as a share of the pictures' area. */
#define LEADER_COST 0.35

typedef struct {
  PwLayout *layout;
  PwPdf *pdf;
  const PwStyle *style;
  const PwSheet *sheet;
  PwMeasures measures;
  PwWanted wanted[PW_MOST_PICTURES];
  GPtrArray *trial; /* the callouts at the narrowest column, to count lines */
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

static double
page_width_of(const Work *w, const PwPlan *plan)
{
  return plan->landscape ? w->measures.long_mm : w->measures.short_mm;
}

static void
measure_words(const Work *w, Tried *tried)
{
  double width = page_width_of(w, &tried->plan);
  PwHead *head = pw_head_new(w->pdf, w->style, w->sheet, width);
  PwFoot *foot = pw_foot_new(w->pdf, w->style, w->sheet, w->sheet->callouts, width);
  tried->heights.head = head->height;
  tried->heights.scale = 0;
  tried->heights.below = pw_style_length(w->style, "foot-gap") + foot->height + w->measures.margin;
  pw_head_free(head);
  pw_foot_free(foot);
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

/* How many pages the callouts of one picture need, roughly: leaders start beside the picture, words
 * may run on below it. */
static double
pages_for(const Work *w, const Tried *tried, guint picture)
{
  double words = 0, room = 0;
  for (guint i = 0; i < w->trial->len; i++) {
    const PwBlock *block = w->trial->pdata[i];
    if (block->callout->picture == picture)
      words += block_mm(w, block);
  }
  for (guint s = 0; s < tried->arranged.n_spaces; s++) {
    const PwSpace *space = &tried->arranged.spaces[s];
    if (space->picture == picture)
      room += MIN(space->bottom - space->top, tried->arranged.boxes[picture].height + 8);
  }
  return MAX(1, ceil(words / MAX(room, 1)));
}

/* Pages that a table of all callouts needs at `room` mm a page: each number's row is as high as its
 * highest. `height` gets what it would need on one page. */
static double
table_pages(const Work *w, double room, double *height)
{
  double pages = 1, used = 0;
  *height = 0;
  for (guint i = 0; i < w->trial->len;) {
    const PwBlock *first = w->trial->pdata[i];
    double row = 0;
    for (; i < w->trial->len; i++) {
      const PwBlock *block = w->trial->pdata[i];
      if (block->callout->number != first->callout->number)
        break;
      row = MAX(row, block_mm(w, block));
    }
    *height += row;
    if (used > 0 && used + row > room) {
      pages++;
      used = 0;
    }
    used += row;
  }
  return pages;
}

/* How far across their pictures the leaders run on average, 0 to 1. */
static double
mean_run(const Work *w, const PwPlan *plan)
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
  return n > 0 ? sum / n : 0;
}

static double
pages_of(const Work *w, const Tried *tried)
{
  double height;
  if (tried->plan.table_mm > 0)
    return table_pages(w, tried->arranged.tables[0].height - PW_TABLE_DROP, &height);
  double pages = 1;
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    pages = MAX(pages, pages_for(w, tried, i));
  return pages;
}

static void
try_plan(const Work *w, PwPlan plan, Tried *best)
{
  Tried tried = {.plan = plan};
  measure_words(w, &tried);
  if (!arrange_with_captions(w, &tried))
    return;
  tried.worth = pw_arranged_area(&tried.arranged, w->sheet->n_pictures) *
                pow(PAGE_WORTH, pages_of(w, &tried) - 1) * (plan.landscape ? LANDSCAPE_WORTH : 1) *
                (plan.table_mm > 0 ? TABLE_WORTH : 1) * (1 - LEADER_COST * mean_run(w, &plan));
  if (tried.worth > best->worth)
    *best = tried;
}

static void
try_all(const Work *w, Tried *best)
{
  for (int landscape = 0; landscape < 2; landscape++) {
    try_plan(w, (PwPlan){landscape, PW_STACKED, PW_SIDE_RIGHT, 0}, best);
    try_plan(w, (PwPlan){landscape, PW_STACKED, PW_SIDE_LEFT, 0}, best);
    try_plan(w, (PwPlan){landscape, PW_STACKED, PW_SIDE_BOTH, 0}, best);
    if (w->sheet->n_pictures > 1)
      try_plan(w, (PwPlan){landscape, PW_IN_ROW, PW_SIDE_RIGHT, 0}, best);
    double high = landscape ? w->measures.short_mm : w->measures.long_mm;
    for (gsize i = 0; w->sheet->n_pictures > 2 && i < G_N_ELEMENTS(table_shares); i++) {
      double whole, share = table_shares[i] * high;
      table_pages(w, share, &whole);
      try_plan(w, (PwPlan){landscape, PW_IN_ROW, PW_SIDE_RIGHT, MIN(whole + PW_TABLE_DROP, share)},
               best);
    }
  }
}

/* ---- What the chosen plan holds -------------------------------------------------------------- */

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
  layout->scale_x = centred(layout, span, pw_text_width(layout->scale));
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
  double drop = PW_FIRST_DROP, bend = pw_style_length(w->style, "leader-level");
  layout->rise = PW_RISE;
  layout->table_drop = PW_TABLE_DROP;
  layout->point_radius = pw_style_length(w->style, "point");
  layout->grid = (PwGrid){layout->arranged.spaces[0].top + drop - layout->rise, step};
  for (guint s = 0; s < layout->arranged.n_spaces; s++) {
    const PwSpace *space = &layout->arranged.spaces[s];
    const PwBox *box = &layout->arranged.boxes[space->picture];
    double origin = layout->grid.origin_mm;
    layout->columns[s] = (PwColumn){
        .bend_x = space->right ? space->x - bend : space->x + space->width + bend,
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
set_plan(Work *w, const Tried *best)
{
  PwLayout *layout = w->layout;
  layout->arranged = best->arranged;
  set_frames(layout);
  for (guint i = 0; i < w->sheet->n_pictures; i++)
    layout->captions[i] = caption_new(w, i, &best->arranged);
  layout->head = pw_head_new(w->pdf, w->style, w->sheet, best->arranged.page_width);
  set_scale(w, layout);
  set_locator(w, layout);
  set_columns(w, layout);
  gboolean tabled = best->plan.table_mm > 0;
  for (guint i = 0; i < w->sheet->callouts->len; i++) {
    const PwCallout *callout = w->sheet->callouts->pdata[i];
    double width =
        tabled ? best->arranged.tables[callout->picture].width : best->arranged.spaces[0].width;
    g_ptr_array_add(layout->blocks, pw_block_new(w->pdf, w->style, callout, width));
  }
  pw_layout_paginate(layout, w->pdf, w->style);
}

static void
page_free(PwPage *page)
{
  g_array_unref(page->placed);
  pw_text_free(page->part);
  pw_foot_free(page->foot);
  g_free(page);
}

static Work
work_new(PwLayout *layout, PwPdf *pdf, const PwStyle *style, const PwSheet *sheet)
{
  Work w = {.layout = layout, .pdf = pdf, .style = style, .sheet = sheet};
  w.measures = read_measures(style, sheet->words);
  w.trial = g_ptr_array_new_with_free_func((GDestroyNotify)pw_block_free);
  for (guint i = 0; i < sheet->n_pictures; i++) {
    const PwSheetPicture *picture = &sheet->pictures[i];
    w.wanted[i] = (PwWanted){picture->crop_width, picture->crop_height, picture->mm_per_px,
                             picture->differs_from != NULL};
  }
  for (guint i = 0; i < sheet->callouts->len; i++)
    g_ptr_array_add(w.trial,
                    pw_block_new(pdf, style, sheet->callouts->pdata[i], w.measures.column));
  return w;
}

PwLayout *
pw_layout_new(PwPdf *pdf, const PwStyle *style, const PwSheet *sheet, GError **error)
{
  g_autoptr(PwLayout) layout = g_new0(PwLayout, 1);
  layout->sheet = sheet;
  layout->blocks = g_ptr_array_new_with_free_func((GDestroyNotify)pw_block_free);
  layout->pages = g_ptr_array_new_with_free_func((GDestroyNotify)page_free);
  Work w = work_new(layout, pdf, style, sheet);
  Tried best = {.worth = 0};
  try_all(&w, &best);
  if (best.worth > 0)
    set_plan(&w, &best);
  else
    g_set_error(error, PW_ERROR, PW_ERROR_RECORD,
                "%s: the words leave no room for the pictures; shorten its title and captions",
                sheet->place);
  g_ptr_array_unref(w.trial);
  return best.worth > 0 ? g_steal_pointer(&layout) : NULL;
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

PwBox
pw_layout_words_box(const PwLayout *layout, const PwPlaced *placed)
{
  double below = pw_block_steps(placed->block, placed->first, placed->end) * layout->grid.step_mm;
  const PwBox *table = &layout->arranged.tables[placed->block->callout->picture];
  double width = table->width > 0 ? table->width : layout->arranged.spaces[placed->space].width;
  return (PwBox){placed->words.x, placed->words.y - PW_ASCENT, width,
                 PW_ASCENT + below + PW_DESCENT};
}
