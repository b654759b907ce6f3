/* The life of a setting, and the grid that its pages stand on. */
#include "set_pdf_setting.h"

/* Labels need at least this much of a margin column; the column of text gives way to it. */
#define LEAST_SIDE 25.0

static PwSetGrid
grid_of(const PwStyle *style, const PwWords *words)
{
  PwSetGrid grid = {0};
  pw_style_page(style, words, &grid.width, &grid.height);
  double gap = pw_style_length(style, "document-gap");
  grid.left = pw_style_length(style, "document-left");
  grid.full = grid.width - grid.left - pw_style_length(style, "document-right");
  grid.measure = MIN(pw_style_length(style, "document-measure"), grid.full - gap - LEAST_SIDE);
  grid.side_width = grid.full - gap - grid.measure;
  grid.text = grid.left + grid.side_width + gap;
  grid.top = pw_style_length(style, "document-top");
  grid.bottom = grid.height - pw_style_length(style, "document-foot");
  grid.step = pw_style_length(style, "document-grid");
  return grid;
}

static void
set_blocks(PwSetting *s)
{
  guint first = s->strips->len;
  gboolean is_signed = FALSE;
  for (s->block = 1; s->block <= s->doc->blocks->len; s->block++) {
    const PwBlock *block = s->doc->blocks->pdata[s->block - 1];
    if (block->kind == PW_BLOCK_HEADING && block->level == 1) {
      pw_set_section(s, first, is_signed);
      first = s->strips->len;
      is_signed = FALSE;
    }
    pw_set_block(s, block);
    is_signed = is_signed || block->kind == PW_BLOCK_SIGN;
  }
  pw_set_stand(s);
  pw_set_section(s, first, is_signed);
}

PwSetting *
pw_setting_new(PwPdf *pdf, const PwDoc *doc, const PwStyle *style, const PwWords *words)
{
  PwSetting *s = g_new0(PwSetting, 1);
  s->pdf = pdf;
  s->doc = doc;
  s->style = style;
  s->words = words;
  s->grid = grid_of(style, words);
  s->texts = g_ptr_array_new_with_free_func((GDestroyNotify)pw_text_free);
  s->strips = g_ptr_array_new_with_free_func((GDestroyNotify)pw_strip_free);
  s->pending = g_array_new(FALSE, FALSE, sizeof(PwPart));
  s->pages = g_array_new(FALSE, FALSE, sizeof(PwSetPage));
  pw_set_title(s);
  set_blocks(s);
  pw_set_pages(s);
  return s;
}

void
pw_setting_free(PwSetting *s)
{
  if (s == NULL)
    return;
  g_ptr_array_unref(s->texts);
  g_ptr_array_unref(s->strips);
  g_array_unref(s->pending);
  g_array_unref(s->pages);
  g_free(s);
}
