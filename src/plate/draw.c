/* The order of things on a page: pictures, the marks on them, leaders over both, then words, which
 * never lie over anything. */
#include "draw.h"

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
    if (callout->picture == picture && callout->mark == (int)mark)
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

/* The right end of captions is the picture's, or their own where a picture is narrower than its
 * words. */
static void
draw_caption(const PwLayout *layout, const PwStyle *style, guint i)
{
  const PwBox *box = &layout->arranged.boxes[i];
  double y = box->y + box->height + pw_style_length(style, "caption-gap");
  double right = box->x + layout->arranged.caption_width[i];
  for (guint k = 0; k < layout->captions[i]->rows->len; k++) {
    const PwCaptionRow *row = &g_array_index(layout->captions[i]->rows, PwCaptionRow, k);
    double baseline = row->left != NULL ? y + pw_text_first_baseline(row->left) : y;
    if (row->left != NULL) {
      pw_text_draw(row->left, box->x, baseline, 0, 0, 0);
      y += pw_text_height(row->left);
    }
    if (row->right == NULL)
      continue;
    if (!row->right_below && row->left != NULL) {
      pw_text_draw(row->right, right, baseline, 1, 0, 0);
      continue;
    }
    pw_text_draw(row->right, box->x, y + pw_text_first_baseline(row->right), 0, 0, 0);
    y += pw_text_height(row->right);
  }
}

static void
draw_scale(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style)
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
  pw_text_draw(layout->scale, layout->scale_x, layout->scale_y, 0, 0, 0);
}

static void
draw_locator(const PwLayout *layout, PwPdf *pdf, cairo_t *cr, const PwStyle *style,
             const PwPicture *picture)
{
  if (!(layout->locator.width > 0))
    return;
  draw_picture(pdf, picture, &layout->locator);
  pw_ink_frame(cr, style, &layout->locator_frame);
  g_autoptr(PwText) words = pw_plate_text_new(pdf, style, PW_ROLE_FOOT,
                                              pw_words_peek(layout->sheet->words, "locator"), 0);
  pw_text_draw(words, layout->locator.x,
               layout->locator.y + layout->locator.height + pw_style_length(style, "caption-gap") +
                   pw_text_first_baseline(words),
               0, 0, 0);
}

static void
draw_callouts(const PwLayout *layout, cairo_t *cr, const PwStyle *style, const PwPage *page)
{
  for (guint i = 0; i < page->placed->len; i++) {
    const PwPlaced *placed = &g_array_index(page->placed, PwPlaced, i);
    if (placed->leads)
      pw_ink_leader(cr, style, placed->start, placed->bend, placed->anchor);
  }
  for (guint i = 0; i < page->placed->len; i++) {
    const PwPlaced *placed = &g_array_index(page->placed, PwPlaced, i);
    pw_block_draw(placed->block, placed->words.x, placed->words.y, layout->grid.step_mm,
                  placed->first, placed->end);
    if (placed->tagged)
      pw_text_draw(placed->block->number, placed->tag.x, placed->tag.y, 0, 0, 0);
  }
}

void
pw_layout_draw_page(const PwLayout *layout, PwPdf *pdf, const PwStyle *style, guint which,
                    const PwPicture *pictures)
{
  const PwPage *page = layout->pages->pdata[which];
  double width = layout->arranged.page_width, height = layout->arranged.page_height;
  cairo_t *cr = pw_pdf_begin_page(pdf, width, height);
  pw_head_draw(layout->head, cr, style, width);
  for (guint i = 0; i < layout->sheet->n_pictures; i++) {
    draw_picture(pdf, &pictures[i], &layout->arranged.boxes[i]);
    draw_marks(layout, cr, style, page, i);
    draw_caption(layout, style, i);
  }
  draw_locator(layout, pdf, cr, style, &pictures[layout->sheet->n_pictures]);
  draw_callouts(layout, cr, style, page);
  draw_scale(layout, pdf, cr, style);
  if (page->part != NULL)
    pw_text_draw(page->part, width - pw_style_length(style, "margin"),
                 layout->head->rule_y + PW_PART_DROP, 1, 0, 0);
  pw_foot_draw(page->foot, cr, style, width, height);
}
