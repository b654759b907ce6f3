/* The order of things on a page: pictures, the marks on them, leaders over both, then words, which
 * never lie over anything. */
#include "draw.h"

#include "describe.h"
#include "difference.h"
#include "ink.h"
#include "ratio.h"
#include "spacing.h"

static void
draw_picture(PwPdf *pdf, const PwPicture *picture, const PwBox *box)
{
  pw_pdf_draw_jpeg(pdf, picture->jpeg, picture->width, picture->height, box->x, box->y, box->width,
                   box->height);
}

static gboolean
stands_here(const PwPage *page, guint picture, guint mark)
{
  for (guint i = 0; i < page->placed->len; i++) {
    const PwCallout *callout = g_array_index(page->placed, PwPlaced, i).block->callout;
    if (callout->picture == picture &&
        (callout->mark == (int)mark || callout->earlier == (int)mark))
      return TRUE;
  }
  return FALSE;
}

/* Marks are cut at the picture's edge: what was drawn outside the crop is not on this plate. */
static void
draw_marks(const PwLayout *layout, cairo_t *cr, const PwStyle *style, const PwPage *page, guint i)
{
  const PwSheetPicture *picture = &layout->sheet->pictures[i];
  const PwBox *box = &layout->arranged.boxes[i];
  cairo_save(cr);
  cairo_rectangle(cr, box->x, box->y, box->width, box->height);
  cairo_clip(cr);
  for (guint k = 0; k < picture->marks->len; k++) {
    const PwSheetMark *mark = &g_array_index(picture->marks, PwSheetMark, k);
    if (stands_here(page, i, k))
      pw_ink_mark(cr, style, &layout->shapes[i][k], mark->group, mark->was);
  }
  cairo_restore(cr);
}

/* A figure where one step ends and the next begins. */
static void
draw_steps(PwPdf *pdf, cairo_t *cr, const PwStyle *style, const PwWords *said, PwBox bar)
{
  pw_ink_steps(cr, style, &bar);
  for (guint i = 0; i + 1 < PW_DIFFERENCE_STEPS; i++) {
    g_autofree char *plain = pw_format_double(pw_difference_end(i));
    g_autofree char *figure = pw_words_dup_number(said, plain);
    g_autoptr(PwText) text = pw_plate_text_new(pdf, style, PW_ROLE_CAPTION, figure, 0);
    double x = bar.x + (i + 1) * bar.width / PW_DIFFERENCE_STEPS - pw_text_width(text) / 2;
    pw_text_draw(text, x, bar.y + bar.height + PW_STEPS_FIGURE + pw_text_first_baseline(text), 0, 0,
                 0);
  }
}

/* The right end of captions is the picture's, or their own where a picture is narrower than its
 * words. */
static void
draw_caption(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style, guint i,
             PwElement element)
{
  const PwBox *box = &layout->arranged.boxes[i];
  double y = box->y + box->height + pw_style_length(style, "caption-gap");
  double right = box->x + layout->arranged.caption_width[i];
  for (guint k = 0; k < layout->captions[i]->rows->len; k++) {
    const PwCaptionRow *row = &g_array_index(layout->captions[i]->rows, PwCaptionRow, k);
    double baseline = row->left != NULL ? y + pw_text_first_baseline(row->left) : y;
    if (row->left != NULL) {
      pw_plate_text_draw(pdf, element, row->left, box->x, baseline, 0);
      y += pw_text_height(row->left);
    }
    if (row->right == NULL)
      continue;
    if (!row->right_below && row->left != NULL) {
      pw_plate_text_draw(pdf, element, row->right, right, baseline, 1);
      continue;
    }
    pw_plate_text_draw(pdf, element, row->right, box->x, y + pw_text_first_baseline(row->right), 0);
    y += pw_text_height(row->right);
  }
  if (layout->captions[i]->steps > 0)
    draw_steps(pdf, cr, style, layout->sheet->words,
               (PwBox){box->x, box->y + box->height + layout->captions[i]->steps,
                       MIN(layout->arranged.caption_width[i], PW_STEPS_LONGEST),
                       pw_style_length(style, "swatch-height")});
}

static void
draw_scale(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style, PwElement element)
{
  if (layout->scale == NULL)
    return;
  if (layout->bar_mm > 0) {
    pw_ink_bar(cr, style, &layout->bar, pw_bar_parts(layout->bar_mm));
    const PwWords *said = layout->sheet->words;
    g_autofree char *plain = pw_format_double(layout->bar_mm);
    g_autofree char *length = pw_words_dup_number(said, plain);
    g_autofree char *words = pw_words_dup_phrase(said, "bar-end", "length", length, NULL);
    g_autoptr(PwText) zero =
        pw_plate_text_new(pdf, style, PW_ROLE_SIZE, pw_words_peek(said, "bar-zero"), 0);
    g_autoptr(PwText) end = pw_plate_text_new(pdf, style, PW_ROLE_SIZE, words, 0);
    double y = layout->bar.y - PW_BAR_LABEL;
    pw_text_draw(zero, layout->bar.x - pw_text_width(zero) / 2, y, 0, 0, 0);
    /* The figure, not its unit, stands over the end. */
    g_autoptr(PwText) figure = pw_plate_text_new(pdf, style, PW_ROLE_SIZE, length, 0);
    pw_text_draw(end, layout->bar.x + layout->bar.width - pw_text_width(figure) / 2, y, 0, 0, 0);
  }
  pw_plate_text_draw(pdf, element, layout->scale, layout->scale_x, layout->scale_y, 0.5);
}

static void
draw_locator(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
             const PwPicture *picture)
{
  if (!(layout->locator.width > 0))
    return;
  const char *what = pw_words_peek(layout->sheet->words, "locator");
  const PwBox *box = &layout->locator;
  pw_pdf_begin_figure(pdf, what, box->x, box->y, box->width, box->height);
  draw_picture(pdf, picture, box);
  pw_ink_frame(cr, style, &layout->locator_frame);
  pw_pdf_end(pdf);
  g_autoptr(PwText) words = pw_plate_text_new(pdf, style, PW_ROLE_FOOT, what, 0);
  pw_text_draw(words, layout->locator.x,
               layout->locator.y + layout->locator.height + pw_style_length(style, "caption-gap") +
                   pw_text_first_baseline(words),
               0, 0, 0);
}

static void
draw_callouts(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
              const PwPage *page)
{
  for (guint i = 0; i < page->placed->len; i++) {
    const PwPlaced *placed = &g_array_index(page->placed, PwPlaced, i);
    if (placed->leads)
      pw_ink_leader(cr, style, placed->start, placed->bend, placed->anchor);
  }
  if (page->placed->len == 0)
    return;
  pw_pdf_begin(pdf, PW_ELEMENT_LIST);
  for (guint i = 0; i < page->placed->len; i++) {
    const PwPlaced *placed = &g_array_index(page->placed, PwPlaced, i);
    pw_block_draw(placed->block, pdf, placed->words.x, placed->words.y, layout->grid.step_mm,
                  placed->first, placed->end);
    if (placed->tagged)
      pw_text_draw(placed->block->number, placed->tag.x, placed->tag.y, 0, 0, 0);
  }
  pw_pdf_end(pdf);
}

static void
draw_figure(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
            const PwPage *page, guint i, const PwPicture *picture)
{
  const PwBox *box = &layout->arranged.boxes[i];
  g_autofree char *says = pw_describe_dup_picture(layout->sheet, page, i);
  pw_pdf_begin_figure(pdf, says, box->x, box->y, box->width, box->height);
  draw_picture(pdf, picture, box);
  if (layout->sheet->pictures[i].differs_from != NULL)
    pw_ink_border(cr, style, box);
  draw_marks(layout, cr, style, page, i);
  pw_pdf_end(pdf);
}

void
pw_layout_draw_page(const PwLayout *layout, PwPdf *pdf, const PwStyle *style, guint which,
                    const PwPicture *pictures, PwElement heading)
{
  const PwPage *page = layout->pages->pdata[which];
  double width = layout->arranged.page_width, height = layout->arranged.page_height;
  /* What every page of a plate says is read on the first. */
  PwElement again = which == 0 ? PW_ELEMENT_P : PW_ELEMENT_ORNAMENT;
  cairo_t *cr = pw_pdf_begin_page(pdf, width, height);
  pw_head_draw(layout->head, pdf, cr, style, width, which == 0 ? heading : PW_ELEMENT_ORNAMENT);
  if (page->part != NULL)
    pw_plate_text_draw(pdf, PW_ELEMENT_P, page->part, width - pw_style_length(style, "margin"),
                       layout->head->rule_y + PW_PART_DROP, 1);
  for (guint i = 0; i < layout->sheet->n_pictures; i++) {
    draw_figure(layout, pdf, cr, style, page, i, &pictures[i]);
    draw_caption(layout, pdf, cr, style, i, again);
  }
  draw_locator(layout, pdf, cr, style, &pictures[layout->sheet->n_pictures]);
  draw_callouts(layout, pdf, cr, style, page);
  draw_scale(layout, pdf, cr, style, again);
  pw_foot_draw(page->foot, pdf, cr, style, width, height);
}
