/* Sizes and scales as they are shown beside a mark or a photograph. */
#include "model-private.h"

#include <math.h>

char *
pw_model_mark_dup_shown(const PwModelMark *mark)
{
  if (mark->text->gone)
    return g_strdup("made good");
  if (mark->kind == PW_KIND_POINT)
    return g_strdup_printf("%d %s", mark->text->count, mark->text->count == 1 ? "place" : "places");
  if (!mark->sized)
    return NULL;
  return mark->kind == PW_KIND_AREA ? pw_size_dup_text(&mark->sizes.area_mm2, "mm\u00b2")
                                    : pw_size_dup_text(&mark->sizes.length_mm, "mm");
}

char *
pw_model_mark_dup_longest(const PwModelMark *mark)
{
  if (!mark->sized || mark->text->gone || mark->kind != PW_KIND_AREA)
    return NULL;
  g_autofree char *size = pw_size_dup_text(&mark->sizes.longest_mm, "mm");
  return g_strconcat("longest ", size, NULL);
}

char *
pw_model_change_dup_shown(const PwModelChange *change)
{
  if (change->before->kind == PW_KIND_POINT)
    return g_strdup_printf("%s%d", change->count_delta < 0 ? "\u2212" : "+",
                           ABS(change->count_delta));
  if (!change->sized)
    return NULL;
  return pw_size_dup_text(&change->delta, change->before->kind == PW_KIND_AREA ? "mm\u00b2" : "mm");
}

char *
pw_model_mark_dup_share(const PwModelMark *mark)
{
  return mark->has_share ? pw_size_dup_text(&mark->share_percent, "% of the face") : NULL;
}

char *
pw_model_surface_dup_shown(const PwModelPhoto *photo)
{
  return photo->has_surface ? pw_size_dup_text(&photo->surface_mm2, "mm\u00b2") : NULL;
}

char *
pw_model_within_dup_shown(const PwModelPhoto *photo, double px)
{
  enum { MOST_DECIMALS = 6 };
  if (photo->scale == NULL) {
    g_autofree char *text = pw_format_fixed(px, 1);
    return g_strconcat(text, " px", NULL);
  }
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  double mm = px * facts.mm_per_px;
  int decimals = (int)CLAMP(-floor(log10(mm)), -MOST_DECIMALS, MOST_DECIMALS);
  double step = pow(10, -decimals);
  g_autofree char *text = pw_format_fixed(ceil(mm / step) * step, MAX(decimals, 0));
  return g_strconcat(text, " mm", NULL);
}

/* By its name where there are several. */
static char *
dup_method(const PwModelPhoto *photo, PwScaleMethod method)
{
  static const char *const methods[] = {"nothing", "the rectangle", "the span", "the ruler",
                                        "the card"};
  for (gsize i = 0; photo->n_cards > 1 && i < photo->n_cards; i++)
    if (photo->cards[i].scale == photo->scale)
      return g_strdup_printf("card %s", photo->cards[i].name);
  return g_strdup(methods[method]);
}

char *
pw_model_scale_dup_shown(const PwModelPhoto *photo)
{
  enum { FIGURES = 3 };
  if (photo->scale == NULL)
    return NULL;
  PwScaleFacts facts;
  pw_scale_facts(photo->scale, &facts);
  const double px_per_mm = 1 / facts.mm_per_px;
  const int decimals = FIGURES - 1 - (int)floor(log10(px_per_mm));
  g_autofree char *figure = pw_format_fixed(px_per_mm, MAX(0, decimals));
  g_autofree char *method = dup_method(photo, facts.method);
  if (isnan(facts.tilt_deg))
    return g_strdup_printf("%s px/mm from %s", figure, method);
  g_autofree char *tilt = pw_format_fixed(facts.tilt_deg, 0);
  return g_strdup_printf("%s px/mm from %s \u00b7 tilt %s\u00b0", figure, method, tilt);
}
