/* Sections: what stands from a heading of the first level to the next. A short one is kept on one
 * page, and so is a longer one that is signed: who signs sees what for. Of one longer still at
 * least a good piece stands over the lines to sign on.
 */
#include "set_pdf_setting.h"

/* Shares of a page's height: of a section that is short, of one that is signed, and of what stands
 * over a signature. */
#define SHORT 0.25
#define SIGNED 0.85
#define SIGNED_FOR 0.2

static void
tie(PwSetting *s, guint first, guint end)
{
  for (guint i = first + 1; i < end; i++)
    pw_setting_peek_strip(s, i)->is_tied = TRUE;
}

/* Back from its last strip as far as a good piece of it reaches. */
static void
tie_end(PwSetting *s, guint first, guint end, double least)
{
  guint from = end - 1;
  while (from > first && pw_set_height(s, from, end) < least)
    from--;
  tie(s, from, end);
}

void
pw_set_section(PwSetting *s, guint first, gboolean is_signed)
{
  guint end = s->strips->len;
  double page = s->grid.bottom - s->grid.top;
  if (first >= end)
    return;
  double height = pw_set_height(s, first, end);
  if (height < (is_signed ? SIGNED : SHORT) * page)
    tie(s, first, end);
  else if (is_signed)
    tie_end(s, first, end, SIGNED_FOR * page + pw_set_height(s, end - 1, end));
}
