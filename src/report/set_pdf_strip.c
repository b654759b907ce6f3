/* Strips: put together part by part. What is begun, hung or named before there is a strip for it
 * waits for the next one.
 */
#include "set_pdf_setting.h"

/* What hangs in the margin is no longer than this share of a page. */
#define LONGEST_HUNG 0.5

/* ---- On a strip -------------------------------------------------------------------- */

static void
add(PwStrip *strip, PwPart part)
{
  g_array_append_val(strip->parts, part);
}

void
pw_strip_begin(PwStrip *strip, PwElement element)
{
  add(strip, (PwPart){.kind = PW_PART_BEGIN, .element = element});
}

void
pw_strip_end(PwStrip *strip)
{
  add(strip, (PwPart){.kind = PW_PART_END});
}

void
pw_strip_lines(PwStrip *strip, const PwText *text, double x, double baseline, double align,
               guint first, guint n)
{
  add(strip, (PwPart){.kind = PW_PART_TEXT,
                      .text = text,
                      .x = x,
                      .y = baseline,
                      .align = align,
                      .first = first,
                      .n = n});
}

void
pw_strip_text(PwStrip *strip, const PwText *text, double x, double baseline, double align)
{
  pw_strip_lines(strip, text, x, baseline, align, 0, pw_text_n_lines(text));
}

void
pw_strip_rule(PwStrip *strip, double x, double x2, double y, double width)
{
  add(strip, (PwPart){.kind = PW_PART_RULE, .x = x, .x2 = x2, .y = y, .width = width});
}

void
pw_strip_bar(PwStrip *strip, double x, double y, double y2, double width)
{
  add(strip, (PwPart){.kind = PW_PART_BAR, .x = x, .y = y, .y2 = y2, .width = width});
}

static PwStrip *
strip_new(double height)
{
  PwStrip *strip = g_new0(PwStrip, 1);
  strip->height = height;
  strip->head = -1;
  strip->parts = g_array_new(FALSE, FALSE, sizeof(PwPart));
  strip->plates = g_ptr_array_new();
  return strip;
}

void
pw_strip_free(PwStrip *strip)
{
  if (strip == NULL)
    return;
  g_array_unref(strip->parts);
  g_ptr_array_unref(strip->plates);
  g_free(strip);
}

/* ---- Waiting for a strip ----------------------------------------------------------- */

static void
wait(PwSetting *s, PwPart part)
{
  g_array_append_val(s->pending, part);
}

void
pw_set_begin(PwSetting *s, PwElement element)
{
  wait(s, (PwPart){.kind = PW_PART_BEGIN, .element = element});
}

void
pw_set_end(PwSetting *s)
{
  if (s->pending->len > 0)
    wait(s, (PwPart){.kind = PW_PART_END});
  else
    pw_strip_end(pw_setting_peek_strip(s, s->strips->len - 1));
}

void
pw_set_place(PwSetting *s, const char *name)
{
  if (name != NULL)
    wait(s, (PwPart){.kind = PW_PART_PLACE, .name = name});
}

void
pw_set_bookmark(PwSetting *s, int level, const char *words)
{
  wait(s, (PwPart){.kind = PW_PART_BOOKMARK, .level = level, .name = words});
}

gboolean
pw_set_may_hang(const PwSetting *s, const PwText *text)
{
  return pw_text_height(text) <= LONGEST_HUNG * (s->grid.bottom - s->grid.top);
}

void
pw_set_hang(PwSetting *s, PwElement element, const PwText *text, double x, double align)
{
  pw_set_begin(s, element);
  wait(s, (PwPart){.kind = PW_PART_TEXT,
                   .text = text,
                   .x = x,
                   .align = align,
                   .n = pw_text_n_lines(text),
                   .is_hung = TRUE});
  pw_set_end(s);
}

/* Its last line ends so far below the top of the strip that it hangs on. What hangs beside a later
 * strip before the first is settled (numerals, beside a heading) is one line, and no higher. */
static void
note_hung(PwSetting *s, const PwText *text, double baseline)
{
  double end = baseline - pw_text_first_baseline(text) + pw_text_height(text);
  if (s->hung_height > 0 && s->hung_from != s->strips->len)
    return;
  s->hung_height = MAX(s->hung_height, end);
  s->hung_from = s->strips->len;
}

void
pw_set_settle(PwSetting *s)
{
  double beside = 0;
  for (guint i = s->hung_from; i < s->strips->len; i++) {
    PwStrip *strip = pw_setting_peek_strip(s, i);
    if (i > s->hung_from && beside < s->hung_height)
      strip->is_tied = TRUE;
    beside += strip->height + (i > s->hung_from ? strip->above : 0);
  }
  if (s->hung_from < s->strips->len && beside < s->hung_height)
    pw_setting_peek_strip(s, s->strips->len - 1)->height += s->hung_height - beside;
  s->hung_height = 0;
}

/* ---- A strip ----------------------------------------------------------------------- */

PwStrip *
pw_set_strip(PwSetting *s, double above, double height, double baseline)
{
  PwStrip *strip = strip_new(height);
  strip->above = above;
  strip->is_tied = s->is_keeping;
  strip->block = s->block;
  strip->again = s->side_head != NULL ? s->side_again : s->again;
  for (guint i = 0; i < s->pending->len; i++) {
    PwPart part = g_array_index(s->pending, PwPart, i);
    if (part.is_hung) {
      part.y = baseline;
      note_hung(s, part.text, baseline);
    }
    add(strip, part);
  }
  g_array_set_size(s->pending, 0);
  s->is_keeping = FALSE;
  s->side_head = NULL;
  g_ptr_array_add(s->strips, strip);
  return strip;
}

double
pw_set_height(const PwSetting *s, guint first, guint end)
{
  double height = 0;
  for (guint i = first; i < end; i++) {
    const PwStrip *strip = pw_setting_peek_strip(s, i);
    height += strip->height + (i > first ? strip->above : 0);
  }
  return height;
}

void
pw_set_keep(PwSetting *s)
{
  s->is_keeping = s->strips->len > 0;
}

void
pw_set_lines(PwSetting *s, PwRole role, const PwText *text, double x, double above, double pad)
{
  double leading = pw_set_leading(s, role), align = pw_set_align(text);
  guint n = pw_text_n_lines(text);
  for (guint i = 0; i < n; i++) {
    double over = i == 0 ? pad : 0, baseline = over + pw_text_first_baseline(text);
    PwStrip *strip = pw_set_strip(s, i == 0 ? above : 0, over + leading, baseline);
    if (i > 0 && (i == 1 || i == n - 1))
      strip->is_tied = TRUE;
    pw_strip_lines(strip, text, x, baseline, align, i, 1);
  }
}
