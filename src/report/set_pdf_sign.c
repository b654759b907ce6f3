/* Lines to sign on, two abreast, kept with the words that are signed for. */
#include "set_pdf_setting.h"

/* White between two lines abreast, and from a line to the words under it. */
#define ABREAST_APART 12.0
#define LABEL_DROP 0.6

static double
set_place_to_sign(PwSetting *s, PwStrip *strip, const PwText *text, double x, double width)
{
  double room = pw_style_length(s->style, "sign-room");
  pw_strip_rule(strip, x, x + width, room, pw_style_length(s->style, "hairline"));
  pw_strip_begin(strip, PW_ELEMENT_P);
  pw_strip_text(strip, text, x, room + LABEL_DROP + pw_text_first_baseline(text),
                pw_set_align(text));
  pw_strip_end(strip);
  return room + LABEL_DROP + pw_text_height(text);
}

void
pw_set_sign(PwSetting *s, const PwBlock *block)
{
  double width = (s->grid.full - ABREAST_APART) / 2;
  pw_set_stand(s);
  for (guint i = 0; i < block->labels->len; i++) {
    if (i % 2 == 0) {
      pw_set_keep(s);
      pw_set_strip(s, i == 0 ? 0 : s->grid.step / 2, 0, 0);
    }
    PwStrip *strip = pw_setting_peek_strip(s, s->strips->len - 1);
    PwText *text = pw_set_words(s, PW_ROLE_DOC_LABEL, block->labels->pdata[i], width);
    double x = s->grid.left + i % 2 * (width + ABREAST_APART);
    strip->height = MAX(strip->height, set_place_to_sign(s, strip, text, x, width));
  }
}
